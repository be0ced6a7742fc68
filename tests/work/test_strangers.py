"""Every way by which a stranger could get a customer's letter or set the customer's evidence, tried and shut.

The program runs in automatic mode, so that whatever would go out does.
"""

from __future__ import annotations

from collections.abc import Iterator
from email import message_from_bytes
from pathlib import Path

import pytest

from intake import wiring
from intake.model.letter import LetterState
from intake.settings import Settings
from intake.wording.desk import worded
from intake.work import refile
from intake.work.collect import collect
from intake.work.decide import undo
from intake.work.job_file import JobFile, open_file
from intake.work.report import job_row, job_whole
from intake.work.send import send_due
from intake.work.services import Services
from tests.work.mail import OURS, SERVER, folder, message, picture

TOM, EVE = "Tom Hale <tom@hale.example>", "Eve <eve@evil.example>"
SILL = "The window sill is 103 cm. Please stop writing to me. The boiler is in the loft."


class World:
    """One customer's job that a letter has gone out about, and strangers who know all there is to know of it."""

    def __init__(self, services: Services, settings: Settings, tmp_path: Path) -> None:
        self.services, self.settings, self.path = services, settings, tmp_path
        self.count = 0
        files = (("one.jpg", picture(1)), ("two.jpg", picture(2)))
        self.job = self.take(
            message(TOM, "Our kitchen", "Photos of our kitchen.", 0, "<1@hale.example>", files)
        )[0]
        self.letter = message_from_bytes(self.sent()[0].read_bytes())
        self.items = self.row["items"]

    def take(self, *messages: bytes) -> list[str]:
        self.count += 1
        box = wiring.mailbox(Settings(), folder(self.path / f"mail{self.count}", *messages))
        return list(collect(box, self.services).jobs)

    def sent(self) -> list[Path]:
        send_due(self.services, wiring.postbox(self.settings))
        return sorted((self.path / "out").glob("*.eml"))

    @property
    def row(self) -> dict:  # type: ignore[type-arg]
        with self.services.store.reading() as tables:
            return job_row(tables, self.job)

    @property
    def file(self) -> JobFile:
        with self.services.store.reading() as tables:
            return open_file(tables, self.job, self.services.checklists)

    def unharmed(self) -> None:
        """No evidence set, no letter stopped, no address learnt, and no letter of Tom's to anybody else."""
        assert self.row["items"] == self.items
        assert self.row["customer"]["addresses"] == ["tom@hale.example"]
        assert self.row["photographs"] == 2
        assert self.file.stopped == "" and self.file.blocking == ()
        for letter in (message_from_bytes(path.read_bytes()) for path in self.sent()):
            assert letter["To"].endswith("tom@hale.example>") or self.job not in letter["Subject"]


@pytest.fixture
def world(automatic: Services, settings: Settings, tmp_path: Path) -> Iterator[World]:
    yield World(automatic, settings, tmp_path)


def _channels(world: World) -> dict[str, bytes]:
    letter, job = world.letter["Message-ID"], world.job
    plan = (("plan.jpg", picture(9)),)
    forward = (
        f"See below.\n\n---------- Forwarded message ---------\nFrom: {TOM}\nSubject: Our kitchen\n\n{SILL}"
    )
    deceiving = f"{SERVER}; spf=pass smtp.mailfrom=eve;dmarc=pass header.from=hale.example; x=y"

    def eve(subject: str, text: str = SILL, number: str = "9", **headers: str) -> bytes:
        return message(EVE, subject, text, 5, f"<{number}@evil.example>", plan, **headers)

    def forged(authentication: str, **headers: str) -> bytes:
        given = {"Authentication_Results": authentication} if authentication else {}
        return message(
            TOM, "Re: Our kitchen", SILL, 5, "<9@evil.example>", plan, passed=False, **given, **headers
        )

    return {
        "reference": eve(f"Re: Our kitchen [{job}]"),
        "letter id": eve("Re: Our kitchen", In_Reply_To=letter, References=letter),
        "thread": eve("Re: Our kitchen", In_Reply_To="<1@hale.example>", References="<1@hale.example>"),
        "all three": eve(
            f"Re: Our kitchen [{job}]", In_Reply_To=letter, References=f"<1@hale.example> {letter}"
        ),
        "copy": eve("Re: Our kitchen", Cc="tom@hale.example", In_Reply_To="<1@hale.example>"),
        "forward": eve("Fwd: Our kitchen", forward),
        "reply-to": eve("Our kitchen", Reply_To=TOM),
        "robot with reply-to": message(
            "Forms <noreply@evil.example>", "Our kitchen", SILL, 5, "<9@evil.example>", plan, Reply_To=TOM
        ),
        "name": message("Tom Hale <tom.hale@evil.example>", "Our kitchen", SILL, 5, "<9@evil.example>", plan),
        "postcode": eve("Our kitchen at AB1 2CD", f"{SILL} AB1 2CD"),
        "message id": message(EVE, "Our kitchen", SILL, 5, "<1@hale.example>", plan),
        "forged, dmarc=fail": forged(f"{SERVER}; dmarc=fail header.from=hale.example"),
        "forged, nothing said": forged(""),
        "forged, another server's word": forged("mx.evil.example; dmarc=pass header.from=hale.example"),
        "forged, a word within a word": forged(deceiving),
        "forged, reply-to": forged("", Reply_To="Tom <tom2@hale.example>"),
        "forged, copies eve in": forged("", Cc=EVE),
        "forged, forwards eve": message(
            TOM, "Fwd: Our kitchen", forward.replace(TOM, EVE), 5, "<9@evil.example>", plan, passed=False
        ),
        "forged, a computer's own name": forged(f"{SERVER}; spf=fail smtp.helo=evil.example;dmarc=pass"),
        "forged, a name that ends its comment": forged(
            f"{SERVER}; spf=none (helo=x);dkim=pass header.d=hale.example () smtp.mailfrom=eve@evil.example"
        ),
        "machine": eve(f"Re: Our kitchen [{job}]", Auto_Submitted="auto-generated", In_Reply_To=letter),
        "a copy of our letter": message(EVE, "Re: Our kitchen", SILL, 5, letter, plan),
    }


NAMES = [
    "reference", "letter id", "thread", "all three", "copy", "forward", "reply-to", "robot with reply-to", "name",
    "postcode", "message id", "forged, dmarc=fail", "forged, nothing said", "forged, another server's word",
    "forged, a word within a word", "forged, reply-to", "forged, copies eve in", "forged, forwards eve",
    "forged, a computer's own name", "forged, a name that ends its comment", "machine", "a copy of our letter",
]  # fmt: skip


def test_every_channel_is_tried(world: World) -> None:
    assert list(_channels(world)) == NAMES


@pytest.mark.parametrize("channel", NAMES)
def test_a_stranger_gets_nothing_and_sets_nothing(world: World, channel: str) -> None:
    world.take(_channels(world)[channel])
    world.unharmed()
    world.take(message(EVE, f"Re: Our kitchen [{world.job}]", "Hello again", 6, "<10@evil.example>"))
    world.take(message(TOM, "Our kitchen again", "More to follow.", 7, "<2@hale.example>"))
    world.unharmed()
    assert "<2@hale.example>" in world.row["messages"], "and the customer's own mail still finds its job"


def test_the_stranger_is_offered_and_a_designers_word_lets_him_in(world: World) -> None:
    plain = SILL.partition(" Please")[0]
    (job,) = world.take(message(EVE, f"Re: Our kitchen [{world.job}]", plain, 5, "<9@evil.example>"))
    with world.services.store.reading() as tables:
        (theirs,) = tables.messages.of_job(job)
        (letter,) = tables.letters.of_job(job)
    assert job != world.job and theirs.offers == (world.job,) and theirs.rule == "stranger"
    assert letter.state is LetterState.HELD and "another job" in worded(letter.held_because)
    key = refile.merge_jobs(world.services, world.job, job, "maya")
    assert "eve@evil.example" in world.row["customer"]["addresses"]
    assert world.row["items"]["sill-height"] == "present"
    later = message(
        EVE, "Re: Our kitchen", "And more", 9, "<11@evil.example>", In_Reply_To="<1@hale.example>"
    )
    assert world.take(later) == [world.job], "from now on the job knows the address"
    assert world.file.answered.sender_email == "tom@hale.example", "but letters go to the customer"
    undo(world.services, world.job, key, "maya")


def test_a_partner_whom_the_customer_copied_in_counts_and_the_letter_still_goes_to_the_customer(
    world: World,
) -> None:
    world.take(
        message(TOM, "Our kitchen", "My wife will measure.", 3, "<2@hale.example>", Cc="jo@other.example")
    )
    jo = message(
        "Jo <jo@other.example>", "Re: Our kitchen", "The window sill is 103 cm.", 4, "<3@other.example>",
        In_Reply_To="<2@hale.example>",
    )  # fmt: skip
    assert world.take(jo) == [world.job]
    assert world.row["items"]["sill-height"] == "present"
    assert world.file.answered.sender_email == "tom@hale.example"


def test_what_nobody_vouches_for_is_shown_and_counts_by_a_designers_word(world: World) -> None:
    assert world.take(_channels(world)["forged, nothing said"]) == [world.job]
    shown = job_whole(world.services, world.job)
    (mail,) = [m for m in shown["mail"] if not m["counted"]]
    assert "Nobody vouches" in mail["not_counted_because"] and "103 cm" in mail["text"]
    assert [p["counted"] for p in shown["pictures"]] == [True, True, False]
    sha256 = next(m.sha256 for m in world.file.messages if not m.counts)
    key = refile.vouch(world.services, world.job, sha256, "maya")
    assert world.row["items"]["sill-height"] == "present" and world.row["photographs"] == 3
    undo(world.services, world.job, key, "maya")
    world.unharmed()


def test_a_forged_report_stops_no_letters_without_the_letters_own_id(world: World) -> None:
    def report(about: str) -> bytes:
        return (
            f"Return-Path: <>\r\nFrom: MAILER-DAEMON@evil.example\r\nTo: {OURS}\r\n"
            f"Subject: Undelivered mail [{world.job}]\r\nMessage-ID: <r{len(about)}@evil.example>\r\n"
            "Content-Type: multipart/report; report-type=delivery-status; boundary=b\r\n\r\n--b\r\n\r\n"
            f"Message-ID: {about}\r\n\r\n--b\r\nContent-Type: message/delivery-status\r\n\r\n"
            "Reporting-MTA: dns; x\r\n\r\nFinal-Recipient: rfc822; x\r\nAction: failed\r\n\r\n--b--\r\n"
        ).encode()

    world.take(report("<guessed@rooms.example>"))
    assert not world.file.situation(False, ()).bounced
    world.take(report(world.letter["Message-ID"]))
    assert world.file.situation(False, ()).bounced, "and one that has it does"
    assert len(world.letter["Message-ID"].split(".")[2].partition("@")[0]) == 16, (
        "64 bits that nobody guesses"
    )


def test_references_are_beyond_guessing(world: World) -> None:
    signs = world.job.removeprefix("R-").replace("-", "")
    assert len(signs) == 10 and 30**10 / 100_000 > 10**9
