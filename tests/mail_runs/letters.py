"""Send thousands of letters through a real SMTP server while workers die before and after acceptance, and count.

`python -m tests.mail_runs.letters [LETTERS] [SEED]` prints the figures; 2,000 letters unless told otherwise. One letter
in ten meets a death of the worker, one in twenty a fault of the server.
"""

from __future__ import annotations

import email
import random
import shutil
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from intake.model.checklist import RoomKind
from intake.model.job import Job, JobState
from intake.model.letter import Letter, LetterKind, LetterState
from intake.model.message import Address
from intake.store.jobs import as_examined
from intake.store.letters import Written
from tests.mail_runs.zygote import OURS, Zygote, open_services
from tests.servers.smtp import Faults, Server, smtp_server

FAULTS = [
    Faults(rcpt="451 4.7.1 later"), Faults(mail="451 4.3.0 later"), Faults(text="452 4.3.1 disk full"),
    Faults(text="drop"), Faults(after="drop"), Faults(after="421 4.3.2 going down"),
]  # fmt: skip


@dataclass
class Figures:
    letters: int
    deaths: int = 0
    faults: int = 0
    arrived: int = 0
    arrived_twice: int = 0
    sent: int = 0
    settled_by_copy: int = 0
    in_doubt: int = 0
    waiting: int = 0
    sent_and_never_arrived: int = 0


def fill_outbox(data: Path, letters: int) -> None:
    """One job with one letter due for each of so many customers."""
    services = open_services(str(data))
    now = datetime.now(UTC)
    for start in range(0, letters, 200):
        with services.store.transaction() as tables:
            for n in range(start, min(start + 200, letters)):
                job, customer = f"R-{n:05d}", Address(f"Customer {n}", f"c{n}@x.example")
                asked = JobState.ARRIVING
                tables.jobs.open(Job(job, RoomKind.KITCHEN, asked, customer, (customer.email,), now, now))
                tables.jobs.change(job, **as_examined(1, now))
                letter = Letter(
                    job, LetterKind.FOLLOW_UP, (customer,), "Kitchen", f"<c{n}@x.example>", (), "", (), ()
                )
                message_id = f"<intake.{n}@hollin.example>"
                raw = f"From: {OURS}\r\nTo: {customer.email}\r\nMessage-ID: {message_id}\r\n\r\nHello\r\n".encode()
                tables.letters.queue(Written(letter, message_id, "Hello", "", raw), LetterState.DUE, now)
    services.store.close()


def send_all(letters: int, seed: int) -> Figures:
    """Send them all by workers that die, then by one that lives, with the copies back; and count."""
    folder = Path(tempfile.mkdtemp(prefix="intake-letters-"))
    chance, figures = random.Random(seed), Figures(letters)
    try:
        fill_outbox(folder / "data", letters)
        with smtp_server() as smtp:
            zygote = Zygote()
            smtp.choose = lambda: _fault(chance, figures)
            order: dict[str, Any] = {"data": str(folder / "data"), "smtp": _server(smtp), "ahead": 0.0}
            quiet = 0
            while quiet < 2:
                event, count = chance.choice(["call", "return"]), chance.randrange(1, 20)
                found = zygote.run(order | {"send_dies": [event, count]})
                figures.deaths += found["killed"]
                quiet = 0 if found["killed"] else quiet + 1
            smtp.choose, smtp.faults = None, Faults()
            for _ in range(3):
                order["ahead"] += 86_400  # what is to be tried again becomes due
                zygote.run(order)
            _copies(folder / "mail", smtp)
            zygote.run({"data": order["data"], "folder": str(folder / "mail"), "ahead": order["ahead"]})
            zygote.close()
            return _count(folder / "data", smtp, figures)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _fault(chance: random.Random, figures: Figures) -> Faults:
    if chance.random() >= 0.05:
        return Faults()
    figures.faults += 1
    return chance.choice(FAULTS)


def _server(smtp: Server) -> dict[str, object]:
    return {
        "host": "127.0.0.1", "port": smtp.port, "envelope_from": OURS, "security": "none", "timeout": 10.0,
        "copy_to": OURS,
    }  # fmt: skip


def _copies(folder: Path, smtp: Server) -> None:
    folder.mkdir()
    for n, received in enumerate(smtp.taken):
        (folder / f"{n}.eml").write_bytes(received.content)


def _count(data: Path, smtp: Server, figures: Figures) -> Figures:
    arrived = Counter(str(email.message_from_bytes(r.content)["Message-ID"]) for r in smtp.taken)
    figures.arrived = len(arrived)
    figures.arrived_twice = sum(count - 1 for count in arrived.values())
    services = open_services(str(data))
    with services.store.reading() as tables:
        kept = tables.letters.all()
    services.store.close()
    figures.sent = sum(k.state is LetterState.SENT for k in kept)
    figures.settled_by_copy = sum(k.answer == "A copy of it came back." for k in kept)
    figures.in_doubt = sum(k.state is LetterState.IN_DOUBT for k in kept)
    figures.waiting = sum(k.state not in (LetterState.SENT, LetterState.IN_DOUBT) for k in kept)
    figures.sent_and_never_arrived = sum(
        k.state is LetterState.SENT and k.message_id not in arrived for k in kept
    )
    return figures


if __name__ == "__main__":
    print(
        send_all(
            int(sys.argv[1]) if len(sys.argv) > 1 else 2000, int(sys.argv[2]) if len(sys.argv) > 2 else 1
        )
    )
