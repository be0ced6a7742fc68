"""What is wrong is seen on the health page and the desk, told to the owner once, and counted for Prometheus."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from pathlib import Path

import pytest
import time_machine
from flask import Flask
from flask.testing import FlaskClient

from intake.desk import desk_app
from intake.mailbox.folder import FolderMailbox
from intake.model.errors import IntakeError, MailboxUnreachable, MessageStuck, SettingsError
from intake.postbox.outcome import Handed, Outcome
from intake.round import Round, attempt, note
from intake.settings import Settings, load_settings
from intake.store.ticks import Ticks
from intake.work import health
from intake.work.accounts import AccountRole, create_account, sign_in, sign_in_link
from intake.work.alarm import by_mail, watch
from intake.work.collect import collect
from intake.work.health import Trouble, Watched, troubles
from intake.work.measure import measured
from intake.work.metrics import ReadingTimes, TimedEyes, metrics
from intake.work.outbox import lines
from intake.work.send import send_due
from intake.work.services import Services
from tests.mail_runs.test_outbox import Hand, mail, take
from tests.mail_runs.zygote import open_services

MONDAY = datetime(2026, 3, 2, 10, tzinfo=UTC)
ALL = Watched(has_mailbox=True, sends=True)


@pytest.fixture
def clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel(MONDAY, tick=False) as traveller:
        yield traveller


@pytest.fixture
def services(tmp_path: Path, clock: time_machine.Traveller) -> Iterator[Services]:
    opened = open_services(str(tmp_path / "data"))
    yield opened
    opened.store.close()


def wrong(services: Services) -> dict[str, str]:
    return {trouble.what: trouble.line for trouble in troubles(services, ALL)}


def poll(services: Services, fault: str = "") -> None:
    def step() -> None:
        if fault:
            raise MailboxUnreachable(fault, "Check imap_host")

    attempt(step, note=lambda said: note(services, "poll", said))


def test_nothing_is_wrong_where_all_is_well(services: Services, tmp_path: Path) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    poll(services)
    send_due(services, Hand())
    assert wrong(services) == {}


def test_a_mailbox_that_was_not_reached(services: Services, clock: time_machine.Traveller) -> None:
    poll(services)
    clock.shift(300)
    poll(services, "mail.x.example refuses the login")
    assert wrong(services) == {
        "mailbox": "The mailbox was last reached 02 March 10:00 UTC: mail.x.example refuses the login. Check imap_host"
    }
    poll(services)
    assert wrong(services) == {}


def test_a_worker_that_stands_still(services: Services, clock: time_machine.Traveller) -> None:
    poll(services)
    clock.shift(timedelta(minutes=29))
    assert wrong(services) == {}
    clock.shift(timedelta(minutes=2))
    assert set(wrong(services)) == {"worker"}


def test_a_message_that_the_mailbox_does_not_hand_out(
    services: Services, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "m").mkdir()
    (tmp_path / "m" / "1.eml").write_bytes(mail("ann@x.example", 1))
    settings = replace(Settings(), mail_folder=tmp_path / "m")

    def refuses(self: object, to: Path) -> datetime:
        raise MessageStuck("message 8 cannot be fetched: NO [SERVERBUG]")

    with monkeypatch.context() as broken:
        broken.setattr("intake.mailbox.folder.FileDelivery.fetch", refuses)
        Round(settings, services).go()
    assert wrong(services) == {
        "message-stuck": "The mailbox does not hand out a message: message 8 cannot be fetched: NO [SERVERBUG]"
    }
    Round(settings, services).go()
    assert wrong(services) == {}


def test_a_letter_that_is_stuck(services: Services, tmp_path: Path, clock: time_machine.Traveller) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    clock.shift(timedelta(minutes=61))
    poll(services)
    assert set(wrong(services)) == {"letters-stuck"}
    hand = Hand("try-again", "try-again", "try-again")
    for _ in range(3):
        send_due(services, hand)
        clock.shift(timedelta(minutes=30))
    poll(services)
    assert "not taken yet after 3 tries" in wrong(services)["letters-refused"]
    assert "ann" not in wrong(services)["letters-refused"]


def test_a_letter_in_doubt(services: Services, tmp_path: Path) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    send_due(services, Hand("in-doubt"))
    assert set(wrong(services)) == {"letters-in-doubt"}


def test_a_full_disk_and_a_database_that_cannot_be_written(
    services: Services, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(health, "LEAST_FREE", 1 << 60)
    assert set(wrong(services)) == {"disk"}
    services.store.engine.dispose()
    database = services.store.folder / "intake.sqlite3"
    database.rename(database.with_suffix(".away"))
    database.write_bytes(b"this is no database" * 100)
    for log in services.store.folder.glob("intake.sqlite3-*"):
        log.unlink()
    assert set(wrong(services)) == {"disk", "database"}


@pytest.fixture
def place(services: Services, tmp_path: Path) -> tuple[Flask, Services]:
    settings: Settings = load_settings(
        {
            "INTAKE_MAIL_FOLDER": str(tmp_path / "m"),
            "INTAKE_METRICS_TOKEN": "hush",
            "INTAKE_SESSION_KEY": "k",
        },
        str(tmp_path / "data"),
    )
    create_account(services.store, "maya", "plain-tape-and-pencil", AccountRole.OWNER, services.clock())
    return desk_app(settings, services), services


def maya(place: tuple[Flask, Services]) -> FlaskClient:
    client = place[0].test_client()
    client.get(sign_in_link(place[1].store, "maya", place[1].clock()))
    return client


def test_the_health_page_says_a_word_to_strangers_and_the_sentence_to_the_signed_in(
    place: tuple[Flask, Services], clock: time_machine.Traveller
) -> None:
    app, services = place
    poll(services)
    assert (app.test_client().get("/health").status_code, app.test_client().get("/alive").text) == (
        200,
        "ok\n",
    )
    poll(services, "mail.x.example is away")
    clock.shift(11)
    stranger = app.test_client().get("/health")
    assert (stranger.status_code, stranger.text) == (503, "mailbox\n")
    assert app.test_client().get("/alive").status_code == 200
    assert "mail.x.example is away" in maya(place).get("/health").text
    assert "mail.x.example is away" in maya(place).get("/").text


def test_metrics_are_for_this_machine_or_the_token(place: tuple[Flask, Services]) -> None:
    client = place[0].test_client()
    far = {"REMOTE_ADDR": "192.0.2.9"}
    assert client.get("/metrics").status_code == 200
    assert client.get("/metrics", environ_base=far).status_code == 403
    wrong_token = {"Authorization": "Bearer hash"}
    assert client.get("/metrics", environ_base=far, headers=wrong_token).status_code == 403
    assert (
        client.get("/metrics", environ_base=far, headers={"Authorization": "Bearer hush"}).status_code == 200
    )


def test_metrics_are_what_prometheus_own_parser_reads(services: Services, tmp_path: Path) -> None:
    """The reference parser of the text format, prometheus_client.parser."""
    parser = pytest.importorskip("prometheus_client.parser")
    take(services, tmp_path / "m", mail("ann@x.example", 1), b"From: mailer-daemon@x.example\r\n\r\nhello")
    poll(services)
    send_due(services, Hand())
    create_account(services.store, "maya", "plain-tape-and-pencil", AccountRole.OWNER, services.clock())
    with pytest.raises(Exception, match="do not go together"):
        sign_in(services.store, "maya", "not-the-password", "192.0.2.7", services.clock())
    times = ReadingTimes()
    TimedEyes(services.eyes, times).read(b"")
    page = metrics(services, [Trouble("disk", "The disk is full.")], times, measured(services))
    found = {
        (sample.name, *sample.labels.values()): sample.value
        for family in parser.text_string_to_metric_families(page)
        for sample in family.samples
    }
    assert found["intake_letters", "sent"] == 1
    assert found["intake_messages", "filed"] == 1
    assert found["intake_failed_sign_ins",] == 1
    assert found["intake_oldest_unread_seconds",] == 0
    assert found["intake_last_good_timestamp_seconds", "poll"] == MONDAY.timestamp()
    assert found["intake_trouble", "disk"] == 1
    assert found["intake_reading_seconds_count",] == 1
    assert found["intake_disk_free_bytes",] > 0
    assert "ann@" not in page


class Post:
    """Keeps what the owner was sent; takes nothing while it is `away`."""

    def __init__(self) -> None:
        self.mails: list[str] = []
        self.away = False

    def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome:
        if self.away:
            return Outcome(Handed.TRY_AGAIN, "away")
        mail = message_from_bytes(raw)
        assert (mail["To"], mail["Auto-Submitted"]) == ("owner@x.example", "auto-generated")
        self.mails.append(str(mail["Subject"]))
        return Outcome(Handed.SENT, "250")


def test_the_owner_is_told_once_and_once_when_it_is_over(
    services: Services, clock: time_machine.Traveller
) -> None:
    post, full = Post(), [Trouble("disk", "The disk is full.")]
    tell = by_mail(post, "survey@x.example", "owner@x.example", services.clock)
    watch(services, full, tell)
    assert post.mails == []  # it may be over in a moment
    clock.shift(timedelta(minutes=16))
    post.away = True
    watch(services, full, tell)
    post.away = False
    for _ in range(3):
        watch(services, full, tell)
    assert post.mails == ["Survey intake needs you: disk"]
    clock.shift(timedelta(hours=1))
    for _ in range(3):
        watch(services, [], tell)
    assert post.mails == ["Survey intake needs you: disk", "Over: disk"]


def test_what_is_over_soon_is_not_told(services: Services, clock: time_machine.Traveller) -> None:
    post = Post()
    tell = by_mail(post, "survey@x.example", "owner@x.example", services.clock)
    watch(services, [Trouble("disk", "The disk is full.")], tell)
    clock.shift(timedelta(minutes=5))
    watch(services, [], tell)
    clock.shift(timedelta(minutes=30))
    watch(services, [], tell)
    assert post.mails == []


def test_the_outbox_says_why_each_letter_has_not_gone(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    reasons = lambda: [cells[-1] for cells in lines(services.store, services.clock())]  # noqa: E731
    assert reasons() == ["goes at the next look"]
    send_due(services, Hand("try-again"))
    assert reasons() == ["not taken yet, tried 1 times (as told); goes 02 March 2026 10:05 UTC"]
    with services.store.transaction() as tables:
        tables.home.note_restored(MONDAY, MONDAY)
    assert "restored from a backup" in reasons()[0]
    with services.store.transaction() as tables:
        tables.home.note_reconciled(MONDAY)
    clock.shift(600)
    send_due(services, Hand())
    assert reasons() == ["went 02 March 2026 10:10 UTC"]


def test_a_step_says_since_when_it_fails(services: Services, clock: time_machine.Traveller) -> None:
    poll(services)
    clock.shift(60)
    poll(services, "away")
    with services.store.reading() as tables:
        tick = Ticks(tables.db).all()["poll"]
    assert (tick.good_at, tick.tried_at) == (MONDAY, MONDAY + timedelta(minutes=1))


def test_collecting_goes_on_meanwhile(services: Services, tmp_path: Path) -> None:
    """The health page's own writing is no obstacle to a pass over the mailbox."""
    take(services, tmp_path / "m", mail("ann@x.example", 1))
    assert wrong(replace(services)) == {}
    assert collect(FolderMailbox(tmp_path / "m"), services).already_taken == 1


@pytest.mark.parametrize(
    ("fault", "level", "says"),
    [
        (MailboxUnreachable("The mailbox did not answer"), "WARNING", "tried again in 1 minutes"),
        (SettingsError("The password is wrong", "Correct it"), "ERROR", "does not pass by itself"),
    ],
)
def test_a_fault_says_whether_it_passes_by_itself(
    fault: IntakeError, level: str, says: str, caplog: pytest.LogCaptureFixture
) -> None:
    def step() -> None:
        raise fault

    attempt(step)
    (said,) = caplog.records
    assert said.levelname == level and says in said.getMessage()


def test_the_front_page_does_not_wait_while_another_writes(
    place: tuple[Flask, Services], clock: time_machine.Traveller
) -> None:
    client = maya(place)
    assert client.get("/").status_code == 200
    with place[1].store.transaction() as tables:
        Ticks(tables.db).note("other", place[1].clock())
        clock.shift(timedelta(seconds=11))
        begun = os.times().elapsed  # a clock that does not stand still here
        assert client.get("/").status_code == 200
        assert os.times().elapsed - begun < 5, "the look that was due goes on beside it"
