"""A desk with invented jobs: real messages through the real pipeline, with a reader that knows what was drawn.

Run as a program it serves them: python -m tests.web.world FOLDER [PORT]
"""

from __future__ import annotations

import io
import os
import shutil
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from email.utils import format_datetime
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from flask import Flask
from PIL import Image, ImageDraw
from waitress import create_server
from waitress.wasyncore import close_all

from intake import wiring
from intake.desk import desk_app
from intake.mailbox.folder import FolderMailbox
from intake.model.reading import SketchOutline, SketchReading
from intake.settings import Settings
from intake.work.accounts import AccountRole, create_account
from intake.work.collect import collect
from intake.work.services import Services
from tests.web import plans
from tests.web.plans import Plan

NOW = datetime(2026, 3, 3, 9, 30, tzinfo=UTC)
SHOWROOM = "surveys@alder.example"
PASSWORD = "plain-tape-and-pencil"
SLOW = float(os.environ.get("INTAKE_TEST_SLOW", "0"))
"""Seconds that a desk waits before each answer and in the middle of it: INTAKE_TEST_SLOW=0.3 finds the tests in a
browser that look at a page before it has come."""


@dataclass(frozen=True)
class Person:
    """One invented customer: the plan they send, what they write, when, and how many photographs."""

    name: str
    email: str
    room: str
    plan: Plan | None
    words: str
    hours_ago: int = 20
    photographs: int = 2


PEOPLE = (
    Person(
        "Ines Marlow",
        "ines@marlow.example",
        "kitchen",
        plans.KITCHEN,
        "Hello, here is our plan. The ceiling height is 2.41m. No gas in the house. The consumer unit is in the hall.",
        70,
    ),
    Person(
        "Tomas Reed",
        "tomas.reed@post.example",
        "bathroom",
        plans.BATHROOM,
        "Plan of our bathroom attached.",
        28,
    ),
    Person(
        "Ada Fenwick", "ada@fenwick.example", "bedroom", plans.BEDROOM, "Bedroom plan, hope it is clear!", 5
    ),
    Person(
        "Wren Castle",
        "wren.castle@post.example",
        "kitchen",
        plans.L_KITCHEN,
        "New kitchen. Boiler is in the loft. The sill height is 104. The door is 204 high.",
        100,
    ),
    Person(
        "Oscar Penhale", "oscar@penhale.example", "kitchen", None, "A new kitchen, please. What next?", 2, 0
    ),
)


class KnowingEyes:
    """The real eyes, but reading off the truth of the sketches drawn here."""

    def __init__(self, real: Any, known: dict[tuple[int, int], SketchReading]) -> None:
        self.real, self.known = real, known

    def __getattr__(self, name: str) -> Any:
        return getattr(self.real, name)

    def labels(self, jpeg: bytes) -> tuple[str, ...]:
        """None: there is none in the photographs drawn here, and looking takes a third of a second each."""
        return ()

    def read(self, jpeg: bytes) -> SketchReading:
        mean = _fingerprint(jpeg)
        nothing = SketchReading(mean[0], mean[1], "cm", (), SketchOutline((), False))
        return self.known.get(mean, nothing)


def _fingerprint(jpeg: bytes) -> tuple[int, int]:
    """A size that each sketch here has alone."""
    return Image.open(io.BytesIO(jpeg)).size


@cache
def photograph(seed: int) -> bytes:
    """A picture that may pass for a room: a floor, walls, a window, with noise."""
    rng = np.random.default_rng(seed)
    picture = Image.new("RGB", (1200, 900), tuple(int(v) for v in rng.integers(120, 220, 3)))
    draw = ImageDraw.Draw(picture)
    draw.polygon([(0, 900), (300, 600), (900, 600), (1200, 900)], fill=(126, 92, 62))
    draw.rectangle((300, 190, 900, 600), fill=(214, 205, 188))
    draw.rectangle((460, 260, 680, 450), fill=(176, 208, 236), outline=(90, 80, 70), width=12)
    for _ in range(160):
        x, y = int(rng.integers(0, 1100)), int(rng.integers(0, 820))
        size, colour = rng.integers(10, 160, 2), tuple(int(v) for v in rng.integers(20, 230, 3))
        draw.rectangle((x, y, x + int(size[0]), y + int(size[1])), fill=colour)
    noisy = np.asarray(picture).astype(np.int16) + rng.normal(0, 9, (900, 1200, 3))
    out = io.BytesIO()
    Image.fromarray(noisy.clip(0, 255).astype(np.uint8)).save(out, "JPEG", quality=88)
    return out.getvalue()


def message(person: Person, now: datetime, sketch: bytes | None) -> bytes:
    mail = EmailMessage()
    sent = now - timedelta(hours=person.hours_ago)
    mail["From"] = f"{person.name} <{person.email}>"
    mail["To"] = SHOWROOM
    mail["Subject"] = f"Our {person.room}"
    mail["Date"] = format_datetime(sent)
    mail["Message-ID"] = f"<{person.email.replace('@', '.')}@post.example>"
    mail["Return-Path"] = f"<{person.email}>"
    mail["Authentication-Results"] = (
        f"mx.alder.example; dmarc=pass header.from={person.email.partition('@')[2]}"
    )
    mail.set_content(person.words)
    if sketch:
        mail.add_attachment(sketch, "image", "jpeg", filename="plan of the room.jpg")
    for n in range(person.photographs):
        mail.add_attachment(
            photograph(100 * len(person.email) + n), "image", "jpeg", filename=f"IMG_{n + 1}.jpg"
        )
    return bytes(mail)


def write_mail(
    folder: Path, now: datetime, people: tuple[Person, ...]
) -> dict[tuple[int, int], SketchReading]:
    """Put everybody's first message into a folder; returns what a reader finds on each sketch, by its size."""
    folder.mkdir(parents=True, exist_ok=True)
    for n, person in enumerate(people):
        sketch = plans.picture_of(person.plan) if person.plan else None
        (folder / f"{n}.eml").write_bytes(message(person, now, sketch))
    (folder / "broken.eml").write_bytes(b"")
    (folder / "away.eml").write_bytes(_automatic_reply(now))
    return readings(people)


def _automatic_reply(now: datetime) -> bytes:
    mail = EmailMessage()
    mail["From"], mail["To"], mail["Subject"] = "away@post.example", SHOWROOM, "Out of office"
    mail["Date"], mail["Auto-Submitted"] = format_datetime(now - timedelta(hours=3)), "auto-replied"
    mail["Message-ID"], mail["Return-Path"] = "<away@post.example>", "<>"
    mail.set_content("I am away until Monday.")
    return bytes(mail)


def as_it_is(services: Services) -> Services:
    return services


@contextmanager
def desk(
    folder: Path,
    people: tuple[Person, ...] = PEOPLE,
    now: datetime = NOW,
    services_change: Callable[[Services], Services] = as_it_is,
    came_then: bool = False,
) -> Iterator[tuple[Flask, Services]]:
    """A desk over everybody's messages, with the accounts owner and designer. They came when the files were written,
    which is later than `now`; with `came_then` those of people came at `now`."""
    known = write_mail(folder / "mail", now, people)
    for n in range(len(people) if came_then else 0):
        os.utime(folder / "mail" / f"{n}.eml", (now.timestamp(), now.timestamp()))
    with opened(folder, known, now, services_change) as (app, services):
        collect(FolderMailbox(folder / "mail"), services)
        create_account(services.store, "maya", PASSWORD, AccountRole.OWNER, now)
        create_account(services.store, "jon", PASSWORD, AccountRole.DESIGNER, now)
        yield app, services


@contextmanager
def opened(
    folder: Path,
    known: dict[tuple[int, int], SketchReading],
    now: datetime = NOW,
    services_change: Callable[[Services], Services] = as_it_is,
) -> Iterator[tuple[Flask, Services]]:
    """The desk whose data lie in `folder`, as `desk` left them or a copy of it."""
    settings = Settings(
        data=folder / "data",
        address=(SHOWROOM,),
        authserv_id="mx.alder.example",
        showroom_name="Alder & Row",
        showroom_phone="01632 960 111",
        designer="Maya Alder",
        session_key="for tests alone",
    )
    with wiring.opened(settings) as real:
        services = replace(real, eyes=KnowingEyes(real.eyes, known), clock=lambda: now)
        services = services_change(services)
        yield desk_app(settings, services), services


class Desks:
    """Desks that are filled once for all tests of a process; each test opens a copy of its own."""

    def __init__(self, new_folder: Callable[[str], Path]) -> None:
        self.new_folder = new_folder
        self.filled: dict[object, Path] = {}

    @contextmanager
    def copy(
        self,
        people: tuple[Person, ...] = PEOPLE,
        services_change: Callable[[Services], Services] = as_it_is,
        came_then: bool = False,
    ) -> Iterator[tuple[Flask, Services]]:
        """As `desk`."""
        which = (people, services_change, came_then)
        if which not in self.filled:
            self.filled[which] = self.new_folder("filled")
            with desk(self.filled[which], people, NOW, services_change, came_then):
                pass
        folder = self.new_folder("desk")
        shutil.copytree(self.filled[which], folder, dirs_exist_ok=True)
        with opened(folder, readings(people), NOW, services_change) as (app, services):
            app.testing = True
            yield app, services


def readings(people: tuple[Person, ...] = PEOPLE) -> dict[tuple[int, int], SketchReading]:
    """What a reader finds on each sketch, by its size."""
    found = [plans.reading_of(person.plan) for person in people if person.plan is not None]
    return {(reading.width, reading.height): reading for reading in found}


def jobs(services: Services) -> list[str]:
    with services.store.reading() as tables:
        return [job.id for job in tables.jobs.all()]


def _slowed(app: Any) -> Any:
    def answer(environ: Any, start: Any) -> Iterator[bytes]:
        time.sleep(SLOW)
        body = b"".join(app(environ, start))
        yield body[: len(body) // 2]
        time.sleep(SLOW)
        yield body[len(body) // 2 :]

    return answer


@contextmanager
def listening(app: Any) -> Iterator[str]:
    """The app's address on a port of its own. It is closed by the thread that serves, which another could leave waiting
    on a socket that is gone."""
    sockets: dict[int, Any] = {}
    server = create_server(_slowed(app) if SLOW else app, map=sockets, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.trigger.pull_trigger(lambda: close_all(sockets))
    thread.join(10)


if __name__ == "__main__":
    from waitress import serve

    with desk(Path(sys.argv[1]), now=datetime.now(UTC)) as (app, _):
        serve(app, host="127.0.0.1", port=int(sys.argv[2]) if len(sys.argv) > 2 else 8047)
