"""No command changes a database of another version; `intake upgrade` does, or leaves it as it was."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from intake import wiring
from intake.settings import Settings
from intake.store.migrate import HEAD
from intake.work import upgrade as upgrades

Console = Callable[..., tuple[int, Any, str]]
OLD = Path(__file__).with_name("old_database.sql")


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A data folder with a database of a hundred commits ago."""
    (tmp_path / "data").mkdir()
    path = tmp_path / "data" / "intake.sqlite3"
    with sqlite3.connect(path) as database:
        database.executescript(OLD.read_text(encoding="utf-8"))
    return path


def step(path: Path) -> str:
    return str(sqlite3.connect(path).execute("SELECT version_num FROM alembic_version").fetchone()[0])


@pytest.mark.parametrize(
    "command", [["jobs"], ["outbox"], ["send"], ["collect"], ["purge"], ["account", "jo"]]
)
def test_no_command_migrates_silently(console: Console, old: Path, command: list[str]) -> None:
    code, out, err = console(*command)
    assert (code, out) == (2, "")
    assert "intake upgrade" in err and err.count("\n") == 1
    assert step(old) == "0002"


def test_an_old_database_is_upgraded_whole(console: Console, old: Path) -> None:
    code, out, err = console("upgrade")
    assert (code, err) == (0, "")
    assert "from step 0002; 2 jobs were read" in out
    assert step(old) == HEAD
    (copy,) = (old.parent / "before-upgrade").iterdir()
    assert step(copy) == "0002"
    jobs = {row["customer"]["name"]: row for row in console("jobs", "--json")[1]}
    assert set(jobs) == {"Tom Brearley", "Wei Lindqvist"}
    assert jobs["Tom Brearley"]["items"]["gas-meter"] == "not-applicable"
    database = sqlite3.connect(old)
    for job, kept in database.execute("SELECT id, item_states FROM jobs").fetchall():
        query = "SELECT item, state FROM items WHERE job = ? ORDER BY position"
        assert list(json.loads(kept).items()) == database.execute(query, (job,)).fetchall() != []
    letters = {row["to"][0]: row["state"] for row in console("outbox", "--json")[1]}
    assert letters == {"tom.brearley@example.net": "sent", "wei@lindqvist.example": "draft"}
    assert console("show", jobs["Tom Brearley"]["job"])[0] == 0
    assert "up to date" in console("upgrade")[1]


def test_what_fails_is_undone(console: Console, old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = list(sqlite3.connect(old).iterdump())

    def unreadable(*_: object) -> int:
        raise ValueError("an older reading has no field 'unit'")

    monkeypatch.setattr(upgrades, "_read_all", unreadable)
    code, _, err = console("upgrade")
    assert code == 1
    assert "was undone" in err and "no field 'unit'" in err and err.count("\n") == 1
    assert list(sqlite3.connect(old).iterdump()) == before


def test_letters_of_ones_own_that_do_not_fit_stop_it_before_anything_changes(
    console: Console, old: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "letters"
    own.mkdir()
    for file in Settings.letters.iterdir():
        (own / file.name).write_text(file.read_text(encoding="utf-8"), encoding="utf-8")
    lines = (own / "en.yaml").read_text(encoding="utf-8").splitlines(keepends=True)
    gone = next(
        n for n, line in enumerate(lines) if line.startswith("  greeting") or line.startswith("  hello")
    )
    (own / "en.yaml").write_text("".join(lines[:gone] + lines[gone + 1 :]), encoding="utf-8")
    monkeypatch.setenv("INTAKE_LETTERS", str(own))
    code, _, err = console("upgrade")
    assert code == 2 and "en.yaml" in err
    assert step(old) == "0002"


def test_a_newer_database_is_refused_in_one_line(console: Console, settings: Settings) -> None:
    with wiring.opened_store(settings):
        pass
    path = settings.data / "intake.sqlite3"
    with sqlite3.connect(path) as database:
        database.execute("UPDATE alembic_version SET version_num = '0999'")
    for command in (["jobs"], ["upgrade"]):
        code, _, err = console(*command)
        assert code == 2
        assert "newer version" in err and err.count("\n") == 1
    assert step(path) == "0999"


def test_an_old_demo_says_how_to_start_afresh(console: Console, old: Path) -> None:
    code, _, err = console("demo", "--no-serve", "--data", str(old.parent))
    assert code == 2
    assert f"Delete the folder {old.parent} to start the demo afresh" in err and err.count("\n") == 1
