"""A process that has everything imported and forks a real worker process for each order it reads; a worker can be made
to kill itself with SIGKILL at a named point, or at the n-th event of the interpreter.

Lists of orders are JSON lines on standard input, their answers JSON lines on standard output; the orders of one list
are worked on at once.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import tempfile
import traceback
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import FrameType
from typing import Any

from intake.checklists import load_checklists
from intake.domain.mail.rhythm import OfficeHours, Rhythm
from intake.mailbox.folder import FolderMailbox
from intake.mailbox.imap import ImapAccount, ImapMailbox
from intake.mailbox.parse import parse_message
from intake.model.checklist import Checklist, RoomKind
from intake.model.finding import Finding
from intake.model.message import Message
from intake.model.picture import Panorama
from intake.model.reading import Box, SketchOutline, SketchReading
from intake.pen import ShowroomPen, letterhead_of
from intake.postbox.outcome import Outcome
from intake.postbox.smtp import SmtpPostbox, SmtpServer
from intake.settings import Settings, load_settings
from intake.store.database import Store
from intake.work.collect import collect
from intake.work.send import send_due
from intake.work.services import PicturePage, Policy, Services

OURS = "surveys@hollin.example"
SERVER = "mx.hollin.example"


class NoEyes:
    """Looks at no picture: these runs are about mail."""

    def look(self, message: Message) -> tuple[list[PicturePage], tuple[Finding, ...]]:
        return [], ()

    def full(self, message: Message, picture: str) -> bytes | None:
        return None

    def read(self, jpeg: bytes) -> SketchReading:
        return SketchReading(0, 0, "cm", (), SketchOutline((), False))

    def compare(
        self, displays: Sequence[bytes], focals: Sequence[float | None], known: Collection[int] = ()
    ) -> Panorama:
        return Panorama((), ())

    def labels(self, jpeg: bytes) -> tuple[str, ...]:
        return ()

    def crop(self, jpeg: bytes, box: Box) -> bytes:
        return b""


def open_services(data: str, url: str = "", ahead: float = 0.0, **settings: str) -> Services:
    """Services without eyes, in automatic mode, whose clock runs `ahead` by so many seconds."""
    environ = {
        "INTAKE_ADDRESS": OURS, "INTAKE_AUTHSERV_ID": SERVER, "INTAKE_MODE": "automatic", "INTAKE_QUIET_MINUTES": "0",
        "INTAKE_WORKING_HOURS": "00:00-24:00", "INTAKE_WORKING_DAYS": "Mon Tue Wed Thu Fri Sat Sun",
        "INTAKE_DATABASE_URL": url,
    }  # fmt: skip
    given = load_settings(environ | {f"INTAKE_{k.upper()}": v for k, v in settings.items()}, data)
    ours = frozenset({OURS})
    checklists, pen = _words(given)
    return Services(
        store=Store(given.database, given.data),
        # More than any showroom may set: a run sends an address in minutes what it would get in weeks.
        policy=_policy(given) if "letters_a_day" in settings else replace(_policy(given), letters_a_day=1000),
        checklists=checklists,
        parse=lambda path, at, sha: parse_message(path.read_bytes(), at, ours, sha),
        eyes=NoEyes(),
        pen=pen,
        clock=lambda: datetime.now(UTC) + timedelta(seconds=ahead),
        letterhead=lambda: letterhead_of(given),
    )


def _policy(given: Settings) -> Policy:
    """As intake.wiring makes it; importing that would import every reader, in each of these processes."""
    rhythm = Rhythm(
        timedelta(minutes=given.quiet_minutes),
        tuple(timedelta(days=d) for d in given.reminder_days),
        OfficeHours(*given.hours, given.days, given.zone),
    )
    return Policy(
        addresses=frozenset({OURS}),
        authserv_id=given.authserv_id,
        automatic=given.mode == "automatic",
        rhythm=rhythm,
        same_sender_days=given.same_sender_days,
        letters_a_day=given.letters_a_day,
    )


_READ: list[tuple[Mapping[RoomKind, Checklist], ShowroomPen]] = []


def _words(given: Settings) -> tuple[Mapping[RoomKind, Checklist], ShowroomPen]:
    """The checklists and the letters, read once: workers forked later share them."""
    if not _READ:
        _READ.append((load_checklists(given.checklists), ShowroomPen(given)))
    return _READ[0]


@dataclass
class Killer:
    """Ends this process by SIGKILL at a point: `function` with `event` (call or return) for the `count`-th time, or at
    the `count`-th event of any kind where `function` is empty. Counts all events, from the call of `after` on."""

    function: str
    event: str
    count: int
    after: str = ""
    seen: int = 0

    def __call__(self, frame: FrameType, event: str, argument: Any) -> None:
        if self.after:
            if event != "call" or frame.f_code.co_qualname != self.after:
                return
            self.after = ""
        if self.function and not (event == self.event and frame.f_code.co_qualname == self.function):
            return
        self.seen += 1
        if self.seen == self.count:
            os.kill(os.getpid(), signal.SIGKILL)


def work(order: Mapping[str, Any]) -> None:
    """What one worker does: a pass over the mailbox and a pass over the outbox, each where asked for."""
    services = open_services(order["data"], order.get("url", ""), order.get("ahead", 0.0))
    try:
        if "folder" in order:
            collect(FolderMailbox(Path(order["folder"])), services)
        if "imap" in order:
            mailbox = ImapMailbox(ImapAccount(**order["imap"]))
            collect(mailbox, services)
            mailbox.close()
        if "smtp" in order:
            send_due(services, SmtpPostbox(SmtpServer(**order["smtp"])))
    finally:
        services.store.close()


def _worker(order: Mapping[str, Any], report: int) -> None:
    killer = Killer(
        order.get("function", ""), order.get("event", "call"), order.get("count", 0), order.get("after", "")
    )
    if order.get("send_dies"):
        _let_send_die(*order["send_dies"])
    elif killer.count:
        sys.setprofile(killer)
    fault = ""
    try:
        work(order)
    except Exception:
        fault = traceback.format_exc()
    sys.setprofile(None)
    os.write(report, json.dumps({"events": killer.seen, "fault": fault}).encode())
    os._exit(0)


def _let_send_die(event: str, count: int) -> None:
    """As Killer would, without watching every other call."""
    real, calls = SmtpPostbox.send, iter(range(1, sys.maxsize))

    def send(self: SmtpPostbox, recipients: tuple[str, ...], raw: bytes) -> Outcome:
        last = next(calls) == count
        if last and event == "call":
            os.kill(os.getpid(), signal.SIGKILL)
        outcome = real(self, recipients, raw)
        if last:
            os.kill(os.getpid(), signal.SIGKILL)
        return outcome

    SmtpPostbox.send = send  # type: ignore[method-assign]


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        open_services(folder).store.close()
    print(json.dumps({"ready": True}), flush=True)
    for line in sys.stdin:
        started = [_start(order) for order in json.loads(line)]
        print(json.dumps([_end(*each) for each in started]), flush=True)


def _start(order: Mapping[str, Any]) -> tuple[int, int]:
    """A worker's process, and where it reports."""
    read, write = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(read)
        _worker(order, write)
    os.close(write)
    return pid, read


def _end(pid: int, read: int) -> dict[str, Any]:
    with os.fdopen(read, "rb") as report:
        answer = report.read()
    _, status = os.waitpid(pid, 0)
    killed = os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
    return {"killed": killed} | (json.loads(answer) if answer else {})


class Zygote:
    """The tests' side of it."""

    def __init__(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.mail_runs.zygote"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self._answer()

    def run(self, order: Mapping[str, Any]) -> dict[str, Any]:
        return self.together([order])[0]

    def together(self, orders: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
        """So many workers at once."""
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(orders) + "\n")
        self.process.stdin.flush()
        found: list[dict[str, Any]] = self._answer()
        return found

    def _answer(self) -> Any:
        assert self.process.stdout is not None
        return json.loads(self.process.stdout.readline())

    def close(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.close()
        try:
            self.process.wait(60)
        except subprocess.TimeoutExpired:
            self.process.kill()


if __name__ == "__main__":
    main()
