"""The outbox's rules one by one: doubt, copies, leases, the brake, restored databases, late mail, bounces."""

from __future__ import annotations

import contextlib
import os
import shutil
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import time_machine

from intake.domain.mail.rhythm import back_off
from intake.mailbox.folder import FolderMailbox
from intake.model.letter import LetterState
from intake.orders import NO_PAUSE
from intake.postbox.outcome import Handed, Outcome
from intake.round import attempt
from intake.store.letters import KeptLetter
from intake.wording.desk import worded
from intake.work.collect import Collected, collect
from intake.work.reconcile import from_journal
from intake.work.remind import remind
from intake.work.send import FIRST_AGAIN, LAST_AGAIN, MOST_ATTEMPTS, SendingHeld, send_due
from intake.work.services import Services
from intake.work.take_in import SetAside
from tests.mail_runs.zygote import OURS, SERVER, open_services

MONDAY = datetime(2026, 3, 2, 10, tzinfo=UTC)


class Hand:
    """A postbox that answers as it is told, and keeps what it was given."""

    def __init__(self, *states: str) -> None:
        self.states = [Handed(s) for s in states]
        self.given: list[bytes] = []

    def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome:
        self.given.append(raw)
        return Outcome(self.states.pop(0) if self.states else Handed.SENT, "as told")


@pytest.fixture
def services(tmp_path: Path) -> Iterator[Services]:
    opened = open_services(str(tmp_path / "data"), letters_a_day="2")
    yield opened
    opened.store.close()


@pytest.fixture
def clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel(MONDAY, tick=False) as traveller:
        yield traveller


def mail(
    sender: str, number: int, text: str = "Our kitchen plan.", *more: str, subject: str = "Kitchen"
) -> bytes:
    domain = sender.partition("@")[2]
    lines = [
        f"Return-Path: <{sender}>", f"Authentication-Results: {SERVER}; dmarc=pass header.from={domain}",
        f"From: {sender}", f"To: {OURS}", f"Subject: {subject}", f"Message-ID: <{number}.{sender}>",
        "Date: Mon, 2 Mar 2026 09:00:00 +0000", *more, "", text,
    ]  # fmt: skip
    return "\r\n".join(lines).encode()


def take(services: Services, folder: Path, *raws: bytes) -> Collected:
    folder.mkdir(exist_ok=True)
    for raw in raws:
        path = folder / f"{len(list(folder.iterdir()))}.eml"
        path.write_bytes(raw)
        os.utime(path, (time.time(), time.time()))  # the file system's own clock is not the tests'
    return collect(FolderMailbox(folder), services)


def letters(services: Services) -> list[KeptLetter]:
    with services.store.reading() as tables:
        return tables.letters.all()


def states(services: Services) -> list[str]:
    return [k.state.value for k in letters(services)]


def events(services: Services) -> str:
    with services.store.reading() as tables:
        return "\n".join(e.text for job in tables.jobs.all() for e in tables.jobs.events(job.id))


def test_in_doubt_is_never_sent_again_and_a_copy_settles_it(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    hand = Hand("in-doubt")
    assert [s.state for s in send_due(services, hand)] == ["in-doubt"]
    clock.shift(timedelta(days=2))
    assert send_due(services, hand) == []
    take(services, tmp_path / "m", hand.given[0])
    assert states(services) == ["sent"]
    assert "A copy of our letter came back" in events(services)
    with services.store.reading() as tables:
        [job] = tables.jobs.all()
        assert len(tables.messages.of_job(job.id)) == 1, "our own copy is no message of the customer's"


def test_tried_again_with_the_same_bytes_at_growing_pauses_then_given_up(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    hand = Hand(*["try-again"] * 100)
    for _ in range(40):
        send_due(services, hand)
        clock.shift(timedelta(hours=4))
    assert states(services) == ["failed"]
    assert len(hand.given) == MOST_ATTEMPTS
    pauses = [back_off(n, FIRST_AGAIN, LAST_AGAIN) for n in range(1, MOST_ATTEMPTS)]
    assert timedelta(days=4) <= sum(pauses, timedelta()) <= timedelta(days=5)  # RFC 5321 4.5.4.1
    assert len(set(hand.given)) == 1


def test_a_worker_whose_lease_ran_out_changes_nothing(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))

    class Slow(Hand):
        def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome:
            clock.shift(timedelta(minutes=11))
            assert [s.state for s in send_due(services, Hand())] == ["in-doubt"]
            return super().send(recipients, raw)

    assert [s.state for s in send_due(services, Slow())] == ["in-doubt"]
    assert states(services) == ["in-doubt"]


def test_the_brake_counts_when_letters_went_and_not_when_they_were_decided(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    """Three rooms of one customer: the third letter is held, by the day on which the others left."""
    rooms = ["kitchen", "bedroom", "bathroom"]
    raws = [mail("ann@x.example", n, "The plan.", subject=room) for n, room in enumerate(rooms)]
    take(services, tmp_path / "m", *raws)
    clock.shift(timedelta(days=3))
    assert sorted(s.state for s in send_due(services, Hand())) == ["held", "sent", "sent"]
    assert next(k.held_because for k in letters(services) if k.state is LetterState.HELD)


def test_new_mail_between_decision_and_sending_supersedes_the_letter(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    [first] = letters(services)
    with services.store.transaction() as tables:
        tables.jobs.touch(first.job)  # filed by another worker, not examined yet
    assert send_due(services, Hand()) == []
    take(services, tmp_path / "m", mail("ann@x.example", 2, "Our kitchen: no gas in the house."))
    assert states(services) == ["superseded", "due"]
    assert [s.state for s in send_due(services, Hand())] == ["sent"]


def test_a_restored_database_sends_nothing_until_it_is_reconciled(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    services.store.engine.dispose()
    database = tmp_path / "data" / "intake.sqlite3"
    shutil.copytree(tmp_path / "data", tmp_path / "backup")
    [sent] = send_due(services, Hand())
    assert sent.state == "sent"
    services.store.engine.dispose()
    for path in database.parent.glob("intake.sqlite3*"):
        path.unlink()
    for path in (tmp_path / "backup").glob("intake.sqlite3*"):
        shutil.copy(path, database.parent)
    hand = Hand()
    with pytest.raises(SendingHeld, match="older than letters"):
        send_due(services, hand)
    assert [(s.message_id, s.state) for s in from_journal(services)] == [(sent.message_id, "in-doubt")]
    assert send_due(services, hand) == []
    assert hand.given == []
    assert from_journal(services) == []


def test_a_letter_lost_with_the_database_holds_back_its_repetition(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    """The backup is older than the mail itself: the job is opened anew, under another reference."""
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    assert [s.state for s in send_due(services, Hand())] == ["sent"]
    services.store.close()
    for path in (tmp_path / "data").glob("intake.sqlite3*"):
        path.unlink()
    again = open_services(str(tmp_path / "data"))
    take(again, tmp_path / "m")
    hand = Hand()
    with pytest.raises(SendingHeld):
        send_due(again, hand)
    assert [s.state for s in from_journal(again)] == ["lost"]
    assert [s.state for s in send_due(again, hand)] == ["held"]
    assert "before a restore" in worded(letters(again)[0].held_because)
    assert hand.given == []
    again.store.close()


def test_a_bounce_stops_the_job_and_is_not_answered(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    [sent] = send_due(services, Hand())
    report = (
        "Return-Path: <>\r\nFrom: MAILER-DAEMON@mx.hollin.example\r\nTo: "
        + OURS
        + "\r\nSubject: Undelivered\r\n"
        'Content-Type: multipart/report; report-type=delivery-status; boundary="b"\r\n\r\n--b\r\n\r\nno such user\r\n'
        "--b\r\nContent-Type: message/delivery-status\r\n\r\nReporting-MTA: dns; mx\r\n\r\n"
        "Final-Recipient: rfc822; ann@x.example\r\nAction: failed\r\nStatus: 5.1.1\r\n\r\n"
        f"--b\r\nContent-Type: text/rfc822-headers\r\n\r\nMessage-ID: {sent.message_id}\r\n\r\n--b--\r\n"
    )
    clock.shift(timedelta(hours=1))
    take(services, tmp_path / "m", report.encode())
    clock.shift(timedelta(days=10))
    assert remind(services) == []
    assert len(letters(services)) == 1
    assert "came back" in events(services)


def test_one_reminder_after_a_long_silence_of_the_program(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    send_due(services, Hand())
    clock.shift(timedelta(days=30))
    assert len(remind(services)) == 1
    assert [k.kind for k in letters(services)] == ["follow-up", "reminder"]
    assert [s.state for s in send_due(services, Hand())] == ["sent"]
    clock.shift(timedelta(days=30))
    assert remind(services) == []


def test_please_stop_ends_it(services: Services, tmp_path: Path, clock: time_machine.Traveller) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    [sent] = send_due(services, Hand())
    clock.shift(timedelta(hours=1))
    reply = mail("ann@x.example", 2, "Please stop emailing me.", f"In-Reply-To: {sent.message_id}")
    take(services, tmp_path / "m", reply)
    clock.shift(timedelta(days=30))
    assert remind(services) == []
    assert states(services) == ["sent"]


def test_a_tick_that_fails_is_left_alone_longer_each_time() -> None:
    now, calls = [0.0], []

    def step() -> None:
        calls.append(now[0])
        raise SendingHeld("no")

    pause = NO_PAUSE
    for minute in range(16):
        now[0] = minute * 60.0
        pause = attempt(step, pause=pause, clock=lambda: now[0])
    assert calls == [0.0, 60.0, 180.0, 420.0, 900.0]


def test_a_message_that_ends_the_program_each_time_is_set_aside(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    """As a message would that the kernel kills us over: no exception is raised in Python."""

    class Death(BaseException):
        pass

    def parse(path: Path, at: datetime, sha256: str) -> None:
        raise Death

    deadly = replace(services, parse=parse)  # type: ignore[arg-type]
    new, aside = [mail("ann@x.example", 1)], list[SetAside]()
    for _ in range(7):
        with contextlib.suppress(Death):
            aside += take(deadly, tmp_path / "m", *new[:1]).set_aside
        new.clear()
    assert [a.why for a in aside] == ["reading it ended the program again and again"]
    assert len(list((tmp_path / "data" / "raw").rglob("*.eml"))) == 1
