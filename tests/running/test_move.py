"""A database moves whole to another one; nothing is lost, and never can both send."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import time_machine
from sqlalchemy import text

from intake.mailbox.folder import FolderMailbox
from intake.model.errors import SettingsError
from intake.postbox.folder import FolderPostbox
from intake.store import move as moving
from intake.store import schema as t
from intake.store.database import open_engine
from intake.store.move import Counted, NotMovable, move
from intake.work.accounts import AccountRole, create_account
from intake.work.collect import collect
from intake.work.send import SendingHeld, check_not_restored, send_due
from intake.work.services import Services
from tests.mail_runs.zygote import open_services
from tests.running.test_restore import BACKUP_AT, mail, posted
from tests.servers.postgres import postgres, why_not


@pytest.fixture
def services(tmp_path: Path) -> Iterator[Services]:
    """Three customers' mail, one letter sent and the others due, within working hours."""
    with time_machine.travel(BACKUP_AT, tick=False):
        yield from a_morning(tmp_path)


def a_morning(tmp_path: Path) -> Iterator[Services]:
    opened = open_services(str(tmp_path / "data"))
    for number, who in enumerate(("ann@a.example", "ben@b.example", "cleo@c.example")):
        mail(tmp_path / "mail", who, number)
        collect(FolderMailbox(tmp_path / "mail"), opened)
        if number == 0:
            send_due(opened, FolderPostbox(tmp_path / "out"))
    create_account(opened.store, "maya", "plain-tape-and-pencil", AccountRole.OWNER, opened.clock())
    yield opened
    opened.store.close()


def to_sqlite(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'new.sqlite3'}"


def content(services: Services) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table but the mark, as text."""
    with services.store.reading() as tables:
        return {
            table.name: sorted(tuple(map(str, row)) for row in tables.db.execute(table.select()))
            for table in t.metadata.sorted_tables
            if table.name not in ("home", "ticks")
        }


def check_goes_on(services: Services, url: str, tmp_path: Path) -> Services:
    """The new one has all, sends what waited, once, and takes in new mail; the old one is refused."""
    before = content(services)
    move(services.store, url, services.clock())
    services.store.close()
    with pytest.raises(SettingsError, match="was moved to another one"):
        open_services(str(tmp_path / "data"), str(services.store.engine.url))
    there = open_services(str(tmp_path / "data"), url)
    assert content(there) == before
    check_not_restored(there.store)
    mail(tmp_path / "mail", "dora@d.example", 4)
    assert collect(FolderMailbox(tmp_path / "mail"), there).taken == 1
    assert [s.state for s in send_due(there, FolderPostbox(tmp_path / "out"))] == ["sent"] * 3
    assert len(posted(tmp_path / "out")) == 4
    return there


def test_to_another_file(services: Services, tmp_path: Path) -> None:
    check_goes_on(services, to_sqlite(tmp_path), tmp_path).store.close()


@pytest.mark.postgresql
def test_to_postgresql_and_back(services: Services, tmp_path: Path) -> None:
    if reason := why_not():
        pytest.skip(reason)
    with postgres() as url:
        there = check_goes_on(services, url, tmp_path)
        before = content(there)
        move(there.store, to_sqlite(tmp_path), there.clock())
        there.store.close()
        with pytest.raises(SettingsError, match="was moved"):
            open_services(str(tmp_path / "data"), url)
    back = open_services(str(tmp_path / "data"), to_sqlite(tmp_path))
    assert content(back) == before
    check_not_restored(back.store)
    back.store.close()


def test_nothing_is_moved_over_a_database(services: Services, tmp_path: Path) -> None:
    other = open_services(str(tmp_path / "other"))
    with pytest.raises(NotMovable, match="a database already"):
        move(services.store, str(other.store.engine.url), services.clock())
    other.store.close()
    check_not_restored(services.store)


def test_what_arrives_changed_is_not_accepted(
    services: Services, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A target that keeps a letter's text otherwise than it was given."""
    real = moving.copy_in

    def careless(here: object, there: object) -> None:
        real(here, there)  # type: ignore[arg-type]
        there.execute(text("UPDATE letters SET subject = subject || ' '"))  # type: ignore[attr-defined]

    monkeypatch.setattr(moving, "copy_in", careless)
    with pytest.raises(NotMovable, match="letters did not arrive as it was"):
        move(services.store, to_sqlite(tmp_path), services.clock())
    check_not_restored(services.store)
    assert len(send_due(services, FolderPostbox(tmp_path / "out"))) == 2


@pytest.mark.parametrize("broken_at", ["bear_mark", "UPDATE"])
def test_broken_off_at_any_point_never_both_can_send(
    services: Services, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken_at: str
) -> None:
    def dies(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(moving, "bear_mark" if broken_at == "bear_mark" else "text", dies)
    with pytest.raises(KeyboardInterrupt):
        move(services.store, to_sqlite(tmp_path), services.clock())
    there = open_services(str(tmp_path / "data"), to_sqlite(tmp_path))
    able = []
    for each in (services, there):
        try:
            check_not_restored(each.store)
            able.append(each)
        except SendingHeld:
            pass
    there.store.close()
    assert able == ([services] if broken_at == "bear_mark" else [there])


def test_a_checksum_tells_a_changed_value_and_not_another_order(tmp_path: Path) -> None:
    sums: list[Counted] = []
    for number, rows in enumerate(([(1, "a"), (2, "b")], [(2, "b"), (1, "a")], [(1, "b"), (2, "a")])):
        engine = open_engine(f"sqlite:///{tmp_path / str(number)}")
        t.metadata.create_all(engine)
        with engine.begin() as db:
            db.execute(t.home.insert(), [{"id": key, "mark": mark} for key, mark in rows])
            sums.append(moving.count(db, t.home))
    assert sums[0] == sums[1] != sums[2]
    assert sums[0].rows == 2
