"""Backups are of one moment, and a restored installation sends nothing until it is reconciled, wherever it stands."""

from __future__ import annotations

import os
import shutil
import threading
import time
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from pathlib import Path

import pytest
import time_machine
from sqlalchemy import text

from intake import adaptations
from intake.mailbox.folder import FolderMailbox
from intake.model.checklist import ItemState
from intake.model.errors import MailboxUnreachable
from intake.model.word import Confirmation
from intake.postbox.folder import FolderPostbox
from intake.reading.adapted import Adapted, save
from intake.store.backup import NotRestorable, read_contents, restore, write_backup
from intake.wording.desk import worded
from intake.work.accounts import AccountRole, create_account, sign_in, sign_out, whose
from intake.work.collect import collect
from intake.work.erase import erase
from intake.work.examine import examine
from intake.work.reconcile import reconcile
from intake.work.remind import remind
from intake.work.send import SendingHeld, send_due
from intake.work.services import Services
from intake.work.write import release_letter
from tests.mail_runs.zygote import OURS, SERVER, open_services
from tests.servers.postgres import postgres, why_not

BACKUP_AT = datetime(2026, 3, 2, 10, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.fixture
def clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel(BACKUP_AT, tick=False) as traveller:
        yield traveller


@pytest.fixture
def services(tmp_path: Path, clock: time_machine.Traveller) -> Iterator[Services]:
    opened = open_services(str(tmp_path / "here" / "data"))
    yield opened
    opened.store.close()


def mail(box: Path, sender: str, number: int) -> None:
    box.mkdir(exist_ok=True)
    path = box / f"{number}.eml"
    path.write_bytes(
        f"Return-Path: <{sender}>\r\n"
        f"Authentication-Results: {SERVER}; dmarc=pass header.from={sender.partition('@')[2]}\r\n"
        f"From: {sender}\r\nTo: {OURS}\r\nSubject: Kitchen\r\nDate: Mon, 02 Mar 2026 09:{number:02d}:00 +0000\r\n"
        f"Message-ID: <{number}@{sender.partition('@')[2]}>\r\n\r\nOur kitchen plan.\r\n".encode()
    )
    os.utime(path, (time.time(), time.time()))  # the disk's own clock stands still for nobody


def posted(folder: Path) -> list[tuple[str, str]]:
    """Whom letters went to, and what each answers."""
    found = [message_from_bytes(path.read_bytes()) for path in folder.glob("*.eml")]
    return sorted((str(m["To"]), str(m["In-Reply-To"])) for m in found)


def states(services: Services) -> list[str]:
    with services.store.reading() as tables:
        return [kept.state.value for kept in tables.letters.all()]


def an_hour_of_letters(services: Services, box: Path, out: Path, clock: time_machine.Traveller) -> Path:
    """A letter waits when the backup is taken and goes out after it; a second customer writes and is answered
    within the hour. Returns the backup."""
    mail(box, "ann@a.example", 1)
    collect(FolderMailbox(box), services)
    assert states(services) == ["due"]
    backup = out.parent / "backup.zip"
    write_backup(services.store, backup, services.clock())
    clock.shift(HOUR / 2)
    mail(box, "ben@b.example", 2)
    collect(FolderMailbox(box), services)
    assert [s.state for s in send_due(services, FolderPostbox(out))] == ["sent", "sent"]
    clock.shift(HOUR / 2)
    return backup


def restored(tmp_path: Path, backup: Path, url: str = "") -> Services:
    """The backup on another machine: another folder, no journal but the backup's own."""
    data = tmp_path / "elsewhere" / "data"
    restore(backup, url or f"sqlite:///{data / 'intake.sqlite3'}", data, datetime.now(UTC))
    return open_services(str(data), url)


def test_restored_elsewhere_an_hour_later_no_letter_goes_twice(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    box, out = tmp_path / "mail", tmp_path / "out"
    backup = an_hour_of_letters(services, box, out, clock)
    before = posted(out)
    assert before == [("ann@a.example", "<1@a.example>"), ("ben@b.example", "<2@b.example>")]
    there = restored(tmp_path, backup)
    with pytest.raises(SendingHeld, match="restored from a backup of 02 March 2026 10:00 UTC"):
        send_due(there, FolderPostbox(tmp_path / "again"))
    collect(FolderMailbox(box), there)  # what the service does before anybody looks
    with pytest.raises(SendingHeld):
        send_due(there, FolderPostbox(tmp_path / "again"))
    done = reconcile(there, FolderMailbox(box))
    assert len(done.held) == 2
    assert send_due(there, FolderPostbox(tmp_path / "again")) == []
    assert states(there) == ["held", "held"]
    there.store.close()
    assert posted(tmp_path / "again") == []


@pytest.mark.parametrize("in_words", [False, True])
def test_an_examination_after_reconciling_does_not_let_a_held_letter_go(
    services: Services, tmp_path: Path, clock: time_machine.Traveller, in_words: bool
) -> None:
    """Also where an older version held it, whose rows say why in words."""
    box, out = tmp_path / "mail", tmp_path / "out"
    there = restored(tmp_path, an_hour_of_letters(services, box, out, clock))
    reconcile(there, FolderMailbox(box))
    if in_words:
        with there.store.engine.begin() as db:
            why = "It may have gone out before a restore: look into the customer's thread or the Sent folder."
            db.execute(text("UPDATE letters SET held_because = :why"), {"why": why})
    with there.store.transaction() as tables:
        job = next(j.id for j in tables.jobs.all() if j.customer.email == "ann@a.example")
        tables.jobs.decide(
            job, Confirmation("gas-meter", ItemState.NOT_APPLICABLE, "told", by="maya", at=BACKUP_AT)
        )
    examine(there, job)
    remind(there)
    assert send_due(there, FolderPostbox(tmp_path / "again")) == []
    with there.store.reading() as tables:
        latest = tables.letters.of_job(job)[-1]
    assert latest.state == "held" and "before a restore" in worded(latest.held_because)
    release_letter(there, job, latest.id, "maya", sure=True)
    assert [s.state for s in send_due(there, FolderPostbox(tmp_path / "again"))] == ["sent"]
    there.store.close()


def test_what_a_customer_writes_after_reconciling_is_answered(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    box, out = tmp_path / "mail", tmp_path / "out"
    there = restored(tmp_path, an_hour_of_letters(services, box, out, clock))
    reconcile(there, FolderMailbox(box))
    mail(box, "cleo@c.example", 3)
    collect(FolderMailbox(box), there)
    assert [s.state for s in send_due(there, FolderPostbox(tmp_path / "again"))] == ["sent"]
    assert posted(tmp_path / "again") == [("cleo@c.example", "<3@c.example>")]
    there.store.close()


def test_a_reminder_that_went_after_the_backup_does_not_go_again(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    box, out = tmp_path / "mail", tmp_path / "out"
    mail(box, "ann@a.example", 1)
    collect(FolderMailbox(box), services)
    send_due(services, FolderPostbox(out))
    write_backup(services.store, tmp_path / "backup.zip", services.clock())
    clock.shift(timedelta(days=3, hours=1))
    assert len(remind(services)) == 1
    assert [s.state for s in send_due(services, FolderPostbox(out))] == ["sent"]
    clock.shift(HOUR)
    there = restored(tmp_path, tmp_path / "backup.zip")
    assert [s.state for s in reconcile(there, FolderMailbox(box)).held] == ["held"]
    remind(there)
    assert send_due(there, FolderPostbox(tmp_path / "again")) == []
    there.store.close()


def test_a_session_that_was_ended_since_the_backup_does_not_live_again(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    create_account(services.store, "maya", "plain-tape-and-pencil", AccountRole.OWNER, services.clock())
    token = sign_in(services.store, "maya", "plain-tape-and-pencil", "192.0.2.7", services.clock()).token
    write_backup(services.store, tmp_path / "backup.zip", services.clock())
    sign_out(services.store, token)
    there = restored(tmp_path, tmp_path / "backup.zip")
    assert whose(there.store, token, there.clock()) is None
    assert sign_in(there.store, "maya", "plain-tape-and-pencil", "192.0.2.7", there.clock())
    there.store.close()


def test_copies_in_the_mailbox_say_which_letters_went(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    box, out = tmp_path / "mail", tmp_path / "out"
    backup = an_hour_of_letters(services, box, out, clock)
    for path in out.glob("*.eml"):
        shutil.copy(path, box)
    there = restored(tmp_path, backup)
    reconcile(there, FolderMailbox(box))
    with there.store.reading() as tables:
        found = {kept.to[0]: (kept.state.value, worded(kept.held_because)) for kept in tables.letters.all()}
    assert found["ann@a.example"][0] == "sent"
    assert found["ben@b.example"][0] == "held"
    assert "went out on 02 March 2026, before a restore" in found["ben@b.example"][1]
    there.store.close()


def test_a_mailbox_that_does_not_answer_leaves_it_unreconciled(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    there = restored(tmp_path, an_hour_of_letters(services, tmp_path / "mail", tmp_path / "out", clock))
    with pytest.raises(MailboxUnreachable):
        reconcile(there, FolderMailbox(tmp_path / "nowhere"))
    with pytest.raises(SendingHeld):
        send_due(there, FolderPostbox(tmp_path / "again"))
    there.store.close()


def test_a_database_copied_by_hand_without_its_folder_sends_nothing_either(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    box, out = tmp_path / "mail", tmp_path / "out"
    mail(box, "ann@a.example", 1)
    collect(FolderMailbox(box), services)
    services.store.engine.dispose()
    (tmp_path / "elsewhere" / "data").mkdir(parents=True)
    shutil.copy(tmp_path / "here" / "data" / "intake.sqlite3", tmp_path / "elsewhere" / "data")
    send_due(services, FolderPostbox(out))
    there = open_services(str(tmp_path / "elsewhere" / "data"))
    with pytest.raises(SendingHeld, match="does not belong to this data folder"):
        send_due(there, FolderPostbox(tmp_path / "again"))
    assert len(reconcile(there, FolderMailbox(box)).held) == 1
    assert send_due(there, FolderPostbox(tmp_path / "again")) == []
    there.store.close()


def test_a_backup_taken_while_mail_comes_in_is_of_one_moment(services: Services, tmp_path: Path) -> None:
    """Every message of the copied database has its original in the backup, and the database is sound."""
    box, stop = tmp_path / "mail", threading.Event()

    def writing() -> None:
        for number in range(60):
            mail(box, f"p{number}@a.example", number % 60)
            collect(FolderMailbox(box), replace(services))
            if stop.is_set():
                return

    writer = threading.Thread(target=writing)
    box.mkdir()
    writer.start()
    try:
        for n in range(5):
            backup = tmp_path / f"{n}.zip"
            write_backup(services.store, backup, services.clock())
            data = tmp_path / f"there{n}"
            contents = restore(backup, f"sqlite:///{data / 'intake.sqlite3'}", data, services.clock())
            assert contents.missing == 0
            there = open_services(str(data))
            with there.store.reading() as tables:
                assert tables.db.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
                named = tables.db.exec_driver_sql("SELECT sha256 FROM messages").scalars().all()
            assert len(named) == contents.messages
            assert all(there.store.files.raw_path(sha256).exists() for sha256 in named)
            there.store.close()
    finally:
        stop.set()
        writer.join()


def test_a_backup_is_for_its_owner_alone(services: Services, tmp_path: Path) -> None:
    write_backup(services.store, tmp_path / "b.zip", services.clock())
    assert (tmp_path / "b.zip").stat().st_mode & 0o077 == 0
    assert read_contents(tmp_path / "b.zip").taken_at == BACKUP_AT


def test_what_the_readers_learned_here_comes_along(services: Services, tmp_path: Path) -> None:
    here = services.store.folder / "adapted"
    first, second = Adapted(slope=0.8), Adapted(level=-0.5)
    for learned in (first, second):
        save(learned, here / learned.name, {"labels": 200})
        adaptations.use(here, learned.name)
    (here / "notes.txt").write_text("not ours")
    backup = tmp_path / "b.zip"
    write_backup(services.store, backup, services.clock())
    there = restored(tmp_path, backup).store.folder / "adapted"
    assert adaptations.in_use(there) == second
    assert adaptations.back(there) == first.name and adaptations.in_use(there) == first
    assert not (there / "notes.txt").exists()


def test_nothing_is_restored_over_a_database(services: Services, tmp_path: Path) -> None:
    write_backup(services.store, tmp_path / "b.zip", services.clock())
    with pytest.raises(NotRestorable, match="a database already"):
        restore(tmp_path / "b.zip", str(services.store.engine.url), services.store.folder, services.clock())


@pytest.mark.parametrize("harm", ["cut", "changed", "not a zip"])
def test_a_damaged_backup_is_refused_and_leaves_no_database(
    services: Services, tmp_path: Path, harm: str
) -> None:
    mail(tmp_path / "mail", "ann@a.example", 1)
    collect(FolderMailbox(tmp_path / "mail"), services)
    backup = tmp_path / "b.zip"
    write_backup(services.store, backup, services.clock())
    whole = backup.read_bytes()
    at = whole.index(b"Our kitchen plan.")
    backup.write_bytes(
        {"cut": whole[:-100], "changed": whole[:at] + b"X" + whole[at + 1 :], "not a zip": b"hello"}[harm]
    )
    data = tmp_path / "there"
    with pytest.raises(NotRestorable):
        restore(backup, f"sqlite:///{data / 'intake.sqlite3'}", data, services.clock())
    assert not (data / "intake.sqlite3").exists()


def test_a_strange_zip_writes_nowhere_else(services: Services, tmp_path: Path) -> None:
    backup = tmp_path / "b.zip"
    write_backup(services.store, backup, services.clock())
    with zipfile.ZipFile(backup, "a") as archive:
        archive.writestr("../outside.txt", "x")
        archive.writestr("pictures/../../outside.txt", "x")
    restore(backup, f"sqlite:///{tmp_path / 'there' / 'x.sqlite3'}", tmp_path / "there", services.clock())
    assert not list(tmp_path.rglob("outside.txt"))


@pytest.mark.postgresql
def test_from_sqlite_to_postgresql_and_back(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    """The same file goes into either database; what stands in every table is the same afterwards."""
    if reason := why_not():
        pytest.skip(reason)
    backup = an_hour_of_letters(services, tmp_path / "mail", tmp_path / "out", clock)
    with postgres() as url:
        there = restored(tmp_path, backup, url)
        with there.store.reading() as tables:
            first = [(k.to, k.raw, k.decided_at, k.letter) for k in tables.letters.all()]
            jobs = tables.jobs.all()
        collect(FolderMailbox(tmp_path / "mail"), there)  # numbers go on after those that came
        assert states(there) == ["due", "due"]
        write_backup(there.store, tmp_path / "back.zip", there.clock())
        there.store.close()
    data = tmp_path / "third"
    restore(tmp_path / "back.zip", f"sqlite:///{data / 'intake.sqlite3'}", data, datetime.now(UTC))
    back = open_services(str(data))
    with back.store.reading() as tables:
        assert [(k.to, k.raw, k.decided_at, k.letter) for k in tables.letters.all()][:1] == first
        assert tables.jobs.all()[:1] == jobs
    assert states(back) == ["due", "due"]
    with pytest.raises(SendingHeld):
        send_due(back, FolderPostbox(tmp_path / "again"))
    back.store.close()


@pytest.mark.postgresql
def test_a_customer_is_erased_from_postgresql_too(
    services: Services, tmp_path: Path, clock: time_machine.Traveller
) -> None:
    if reason := why_not():
        pytest.skip(reason)
    backup = an_hour_of_letters(services, tmp_path / "mail", tmp_path / "out", clock)
    with postgres() as url:
        there = restored(tmp_path, backup, url)
        assert erase(there, "ann@a.example", "maya").messages == 1
        with there.store.reading() as tables:
            assert tables.jobs.all() == []
            assert "ann@" not in str(
                [tuple(row) for row in tables.db.exec_driver_sql("SELECT * FROM messages")]
            )
        there.store.close()
