"""Errors name their cause: a full disk, a locked database, a journal that cannot be written, a path with odd signs."""

from __future__ import annotations

import errno
import os
import sqlite3
from pathlib import Path

import pytest

from intake import wiring
from intake.mailbox import imap
from intake.mailbox.imap import ImapAccount
from intake.model.errors import StoreBusy, StoreFull
from intake.model.letter import LetterState
from intake.postbox.outcome import Handed, Outcome
from intake.settings import load_settings
from intake.store import database
from intake.work.report import outbox
from intake.work.send import send_due
from intake.work.services import Services
from tests.work.mail import message
from tests.work.test_flow import TOM, release, taken


@pytest.mark.parametrize("name", ["100% sure", "what?", "a#b", "ä ö", "%20"])
def test_a_data_path_may_hold_any_sign(tmp_path: Path, name: str) -> None:
    settings = load_settings({}, str(tmp_path / name))
    with wiring.opened_store(settings) as store, store.transaction() as tables:
        assert tables.jobs.count() == 0
    assert (tmp_path / name / "intake.sqlite3").is_file()


def test_a_locked_database_is_said_and_tried_again(
    services: Services, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "BUSY_MS", 50)
    services.store.engine.dispose()
    other = sqlite3.connect(tmp_path / "data" / "intake.sqlite3")
    other.execute("BEGIN IMMEDIATE")
    with (
        pytest.raises(StoreBusy, match="Another process has held the database") as busy,
        services.store.transaction(),
    ):
        pass
    assert busy.value.again
    other.close()


def test_a_full_disk_is_neither_the_mail_servers_fault_nor_a_settings(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    assert imap._what_to_do(full, ImapAccount("mail.example", 993, "x")) is None

    def make(*_: object) -> None:
        raise full

    monkeypatch.setattr(database, "make_private", make)
    with pytest.raises(StoreFull, match="No space left"):
        database.Store("sqlite://", tmp_path / "data")


def test_a_journal_that_cannot_be_written_leaves_no_letter_in_doubt(
    services: Services, tmp_path: Path
) -> None:
    (job,) = taken(services, tmp_path / "m", message(TOM, "Our kitchen", "Hello", 0, "<1@hale.example>"))
    release(services, job)
    services.store.journal.path.mkdir()
    sent: list[bytes] = []

    class Postbox:
        def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome:
            sent.append(raw)
            return Outcome(Handed.SENT, "250 ok")

    with pytest.raises(IsADirectoryError):
        services.store.journal.path.open("ab")
    services.store.journal.latest = list  # type: ignore[method-assign]
    (done,) = send_due(services, Postbox())
    assert (done.state, sent) == (LetterState.DUE.value, [])
    assert "journal of letters could not be written" in done.answer
    (row,) = outbox(services.store)
    assert row["state"] == "due" and "journal" in row["answer"]


def test_what_the_sending_server_refused_stands_in_the_outbox(services: Services, tmp_path: Path) -> None:
    (job,) = taken(services, tmp_path / "m", message(TOM, "Our kitchen", "Hello", 0, "<1@hale.example>"))
    release(services, job)

    class Refusing:
        def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome:
            return Outcome(Handed.REFUSED, "550 no such user here")

    send_due(services, Refusing())
    (row,) = outbox(services.store)
    assert (row["state"], row["answer"]) == ("failed", "550 no such user here")
