"""Kill the program at random points and at each named one, against a real Dovecot and a real SMTP server, and count.

`python -m tests.mail_runs.kills [KILLS] [SEED]` prints the figures; 250 kills unless told otherwise.
"""

from __future__ import annotations

import contextlib
import email
import random
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import create_engine, text

from tests.mail_runs.zygote import OURS, SERVER, Zygote
from tests.servers.dovecot import Dovecot, running, why_not
from tests.servers.smtp import Received, Server, smtp_server

POINTS = {
    "in the fetch": ("ImapMailbox._copy", "call"),
    "after the fetch, before the rename": ("_hash", "return"),
    "after the rename, before the commit": ("Files.settle", "return"),
    "after the commit, before the parse": ("parse_message", "call"),
    "after the parse, before the filing commits": ("Messages.file_in", "return"),
    "filed, before the mark": ("ImapMailbox.mark", "call"),
    "moved, the answer lost": ("ImapMailbox._move", "return"),
    "filed, before the examination": ("examine", "call"),
    "before the decision commits": ("Letters.queue", "return"),
    "after the outbox commit": ("examine", "return"),
    "after the claim, before SMTP": ("SmtpPostbox.send", "call"),
    "the text handed over, before the answer": ("_dotted", "return"),
    "after 250, before the row is marked": ("SmtpPostbox.send", "return"),
    "before the outcome commits": ("Letters.settle", "return"),
}
"""Each row of the crash table that a dead process can stand for: the function and the event at which it dies."""
STAGES = ["", "Files.settle", "_Pass.examine_what_changed", "send_due", "_hand_over"]
"""Where the random kills start to be drawn from: the whole run, or its later parts, which have fewer events."""


@dataclass
class World:
    """One mailbox, one sending server whose copies come back to the mailbox, one data folder."""

    dovecot: Dovecot
    smtp: Server
    zygote: Zygote
    user: str
    data: Path
    url: str = ""
    raws: list[bytes] = field(default_factory=list)
    copied: int = 0

    def deliver(self, customer: int, number: int) -> None:
        """One more e-mail of a customer."""
        address = f"c{customer}@x.example"
        raw = (
            f"Authentication-Results: {SERVER}; dmarc=pass header.from=x.example\r\n"
            f"From: Customer {customer} <{address}>\r\n"
            f"To: {OURS}\r\nSubject: Kitchen {number}\r\nMessage-ID: <c{customer}.{number}@x.example>\r\n"
            f"Date: Mon, 2 Mar 2026 09:{number % 60:02d}:00 +0000\r\n\r\nPart {number} of our kitchen plan.\r\n"
        ).encode()
        self.dovecot.deliver(self.user, raw, address)

    def copy_back(self) -> None:
        """What a mail server does with the copy of each letter it took."""
        for received in self.smtp.taken[self.copied :]:
            self.dovecot.deliver(self.user, received.content, OURS)
        self.copied = len(self.smtp.taken)

    def run(self, workers: int = 1, **more: Any) -> dict[str, Any]:
        """A pass over the mailbox and the outbox by so many workers at once; the first one's answer."""
        account = {
            "host": "127.0.0.1", "port": self.dovecot.imap_port, "user": self.user, "password": "secret",
            "security": "none", "timeout": 10.0, "keyword": "Taken", "move_to": "Taken",
        }  # fmt: skip
        server = {
            "host": "127.0.0.1", "port": self.smtp.port, "envelope_from": OURS, "security": "none", "timeout": 10.0,
            "copy_to": OURS,
        }  # fmt: skip
        order = {"data": str(self.data), "url": self.url, "imap": account, "smtp": server}
        all_found = self.zygote.together([order | more] * workers)
        assert not any(found.get("fault") for found in all_found), all_found
        return all_found[0]

    def rows(self, query: str) -> list[Any]:
        engine = create_engine(self.url or f"sqlite:///{self.data / 'intake.sqlite3'}")
        with engine.connect() as connection:
            found = list(connection.execute(text(query)))
        engine.dispose()
        return found


@contextlib.contextmanager
def world(url: str = "") -> Iterator[World]:
    folder = Path(tempfile.mkdtemp(prefix="intake-kills-"))
    folder.chmod(0o755)
    try:
        with running(folder / "dovecot", ["shared"]) as dovecot, smtp_server() as smtp:
            zygote = Zygote()
            try:
                yield World(dovecot, smtp, zygote, "shared", folder / "data", url)
            finally:
                zygote.close()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@dataclass
class Figures:
    kills: int = 0
    delivered: int = 0
    lost: int = 0
    twice: int = 0
    jobs: int = 0
    letters: int = 0
    letters_twice: int = 0
    in_doubt: int = 0
    settled_by_copy: int = 0
    unfinished: int = 0


def at_random(w: World, kills: int, seed: int) -> Figures:
    """New mail, a kill at a random event of a random stage, and so on; then quiet passes, and count."""
    chance = random.Random(seed)
    figures, number = Figures(), 0
    spans = dict.fromkeys(STAGES, 100_000)
    while figures.kills < kills:
        for _ in range(chance.randrange(1, 3)):
            # Half of the mail goes on with a job, half opens one, which is written to in the same run.
            w.deliver(chance.randrange(12) if chance.random() < 0.5 else 1000 + number, number)
            number += 1
        stage = chance.choice(STAGES)
        found = w.run(count=chance.randrange(1, spans[stage]), after=stage)
        if found["killed"]:
            figures.kills += 1
            spans[stage] += spans[stage] // 10
        else:
            # The kill lay beyond the end of the run: draw from what a run really takes.
            spans[stage] = max(1000, int(found["events"]))
        if chance.random() < 0.3:
            w.copy_back()
    return settle(w, figures, number)


def at_points(w: World, times: int = 1) -> Figures:
    """A kill at each named point, with mail for it."""
    figures, number = Figures(), 0
    for _ in range(times):
        for function, event in POINTS.values():
            w.deliver(100 + number, number)
            number += 1
            found = w.run(function=function, event=event, count=1)
            figures.kills += found["killed"]
    return settle(w, figures, number)


def settle(w: World, figures: Figures, delivered: int) -> Figures:
    """Let the program finish in peace, with all copies back, and count what became of everything."""
    for _ in range(3):
        w.copy_back()
        w.run()
    figures.delivered = delivered
    kept = w.rows("SELECT sha256 FROM messages WHERE sender_email LIKE 'c%@x.example'")
    figures.lost = delivered - len(kept)
    ids = Counter(key for (key,) in w.rows("SELECT key FROM messages WHERE sender_email LIKE 'c%@x.example'"))
    figures.twice = sum(count - 1 for count in ids.values())
    unfiled = w.rows("SELECT count(*) FROM messages WHERE state = 'kept'")[0][0]
    figures.unfinished = unfiled + w.rows("SELECT count(*) FROM jobs WHERE examined < changed")[0][0]
    figures.jobs = w.rows("SELECT count(*) FROM jobs WHERE merged_into IS NULL")[0][0]
    _count_letters(w, figures)
    return figures


def _count_letters(w: World, figures: Figures) -> None:
    went = Counter(_message_id(received) for received in w.smtp.taken)
    figures.letters = len(went)
    figures.letters_twice = sum(count - 1 for count in went.values())
    states = dict(w.rows("SELECT message_id, state FROM letters"))
    figures.in_doubt = sum(state == "in-doubt" for state in states.values())
    found = w.rows("SELECT count(*) FROM letters WHERE answer LIKE 'A copy of it%'")
    figures.settled_by_copy = found[0][0]
    wrong = [m for m in went if states.get(m) != "sent"]
    assert not wrong, f"went out and not known as sent: {[(m, states.get(m)) for m in wrong]}"
    early = [m for m, state in states.items() if state == "sent" and m not in went]
    assert not early, f"known as sent and never went out: {early}"


def _message_id(received: Received) -> str:
    return str(email.message_from_bytes(received.content)["Message-ID"])


def main() -> None:
    if reason := why_not():
        sys.exit(reason)
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 250
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with world() as w:
        print("at each point:", at_points(w, 2))
    with world() as w:
        print("at random:    ", at_random(w, kills, seed))


if __name__ == "__main__":
    main()
