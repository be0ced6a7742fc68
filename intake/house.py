"""Several showrooms in one service: the same workers go the rounds of all, and each desk has a path of its own."""

from __future__ import annotations

import hmac
import logging
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import timedelta
from functools import partial
from ipaddress import ip_address
from threading import Lock
from typing import Any, cast

from werkzeug.middleware.dispatcher import DispatcherMiddleware
from werkzeug.wrappers import Request, Response

from intake import wiring
from intake.crew import Crew
from intake.desk import desk_app
from intake.eyes import SharedEyes
from intake.mailbox.reader import MailReader
from intake.model.errors import IntakeError
from intake.orders import Done
from intake.service import note_lost, run
from intake.settings import Settings
from intake.showrooms import Showrooms
from intake.work.health import STILL, Trouble
from intake.work.metrics import ReadingTimes
from intake.work.services import Services

THREADS = 16
"""Requests that are answered at a time, of all desks together."""
FORGOTTEN = 3
"""Polls without a round after which a showroom counts as standing still."""
log = logging.getLogger(__name__)

Application = Callable[[dict[str, Any], Any], Iterable[bytes]]


class House:
    """The showrooms of the service, opened for their desks when first asked for, and what is wrong with each. Safe to
    share between threads."""

    def __init__(self, showrooms: Showrooms) -> None:
        self.settings = showrooms.found
        self._eyes, self._reader = SharedEyes(), MailReader()
        self._opened: dict[str, Services] = {}
        self._locks = {name: Lock() for name in self.settings}
        self._wrong = {n: [Trouble("settings", e.line())] for n, e in showrooms.faults.items()}
        self._looked_at = dict.fromkeys(self.settings, wiring.now())

    def services(self, name: str) -> Services:
        """A showroom's services. Raises SettingsError where it cannot be opened, KeyError where there is none."""
        with self._locks[name]:
            if name not in self._opened:
                self._opened[name] = wiring.assembled(
                    self.settings[name], self._eyes, self._reader, waits_connected=False
                )
            return self._opened[name]

    def told(self, done: Done) -> None:
        """A round of a showroom is over, and this is wrong with it."""
        name = done.duty.showroom
        self._wrong[name], self._looked_at[name] = list(done.wrong), wiring.now()

    def lost(self, name: str | None, how: str) -> None:
        """A worker was lost over a showroom: its own desk says so too. One without a duty is the log's to tell."""
        if name is None:
            return
        self._wrong[name] = [Trouble("worker-lost", f"The process that took its mail {how}.")]
        try:
            note_lost(self.services(name), how)
        except IntakeError as error:
            log.warning("showroom %s: %s", name, error.line())

    def wrong(self) -> dict[str, list[Trouble]]:
        """What was wrong with each showroom when it was last looked after; only those with which something is."""
        found = {name: list(troubles) for name, troubles in list(self._wrong.items())}
        for name, at in list(self._looked_at.items()):
            since = wiring.now() - at
            if since > FORGOTTEN * timedelta(minutes=self.settings[name].poll_minutes) + STILL:
                found.setdefault(name, []).append(
                    Trouble("worker", f"Nobody has looked after it since {at:%H:%M} UTC.")
                )
        return {name: troubles for name, troubles in sorted(found.items()) if troubles}

    def close(self) -> None:
        self._reader.close()
        self._eyes.close()
        for services in self._opened.values():
            services.store.close()


def serve(settings: Settings, showrooms: Showrooms, port: int) -> None:
    """Go the rounds of every showroom at each poll, and serve their desks, until stopped. Raises SettingsError."""
    for name, fault in showrooms.faults.items():
        print(f"Note: showroom {name}: {fault.line()}", file=sys.stderr)
    house = House(showrooms)
    crew = Crew(showrooms.found, settings.processes, told=house.told, lost=house.lost)
    try:
        run(front(house, crew, settings.metrics_token), settings, port, crew, THREADS)
    finally:
        house.close()


class _Desks(Mapping[str, Application]):
    """The desk of each showroom by its path, made when it is first asked for."""

    def __init__(self, house: House, later: Callable[[str, str], None], times: ReadingTimes) -> None:
        self._house, self._later, self._times = house, later, times
        self._made, self._lock = dict[str, Application](), Lock()

    def __contains__(self, path: object) -> bool:
        return isinstance(path, str) and path[:1] == "/" and path[1:] in self._house.settings

    def __getitem__(self, path: str) -> Application:
        name = path[1:]
        try:
            services = replace(self._house.services(name), later=partial(self._later, name))
        except IntakeError as error:
            log.warning("showroom %s: %s", name, error.line())
            return Response("This showroom cannot be opened just now.\n", 503, mimetype="text/plain")
        with self._lock:
            if path not in self._made:
                settings = self._house.settings[name]
                self._made[path] = desk_app(settings, services, self._times, under=path).wsgi_app
            return self._made[path]

    def __iter__(self) -> Iterator[str]:
        return (f"/{name}" for name in self._house.settings)

    def __len__(self) -> int:
        return len(self._house.settings)


def front(house: House, crew: Crew, metrics_token: str) -> Application:
    """The door of the house: each showroom's desk under its name, and whether all is well."""

    def door(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        asked = Request(environ)
        return _answer(house, asked, _may_know(asked, metrics_token))(environ, start_response)

    desks = _Desks(house, crew.later, crew.times)
    return cast(Application, DispatcherMiddleware(cast(Any, door), cast(Any, desks)))


def _answer(house: House, asked: Request, may_know: bool) -> Response:
    if asked.path == "/alive":
        return Response("ok\n", mimetype="text/plain")
    if asked.path == "/health":
        wrong = house.wrong()
        lines = [f"{n}: {t.what}: {t.line}" for n, found in wrong.items() for t in found]
        told = lines if may_know else [f"{len(wrong)} showrooms"]
        body = "".join(f"{line}\n" for line in (told if wrong else ["ok"]))
        return Response(body, 503 if wrong else 200, mimetype="text/plain")
    if asked.path == "/metrics" and may_know:
        return Response("".join(f"{line}\n" for line in _metrics(house)), mimetype="text/plain")
    return Response("The address of a desk ends in the showroom's name.\n", 404, mimetype="text/plain")


def _metrics(house: House) -> Iterator[str]:
    wrong = house.wrong()
    yield "# HELP intake_showroom_wrong Things that are wrong with a showroom."
    yield "# TYPE intake_showroom_wrong gauge"
    for name in sorted({*house.settings, *wrong}):
        escaped = name.replace("\\", r"\\").replace('"', r"\"").replace("\n", r"\n")
        yield f'intake_showroom_wrong{{showroom="{escaped}"}} {len(wrong.get(name, ()))}'


def _may_know(asked: Request, token: str) -> bool:
    """This machine itself, or whoever has the token of the settings; names of showrooms are nobody else's to know."""
    given = asked.headers.get("Authorization", "")
    if token and hmac.compare_digest(given.encode(), f"Bearer {token}".encode()):
        return True
    try:
        return ip_address(asked.remote_addr or "").is_loopback
    except ValueError:
        return False
