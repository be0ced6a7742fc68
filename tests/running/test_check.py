"""`intake check` says of everything that the settings name that it is good, or what to do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from intake import checkup
from tests.servers.ports import free_port
from tests.servers.smtp import smtp_server
from tests.work.mail import OURS, folder, message

Console = Callable[..., tuple[int, Any, str]]


@pytest.fixture
def ready(console: Console, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Console:
    """An installation in which everything is right."""
    mail = folder(
        tmp_path / "mail", message("Ann <ann@a.example>", "Kitchen", "hello", message_id="<1@a.example>")
    )
    monkeypatch.setenv("INTAKE_MAIL_FOLDER", str(mail))
    console("collect")
    return console


def bad(console: Console) -> dict[str, str]:
    """What is not good, with its line."""
    code, said, _ = console("check")
    lines = [line.split(None, 2) for line in said.splitlines()]
    assert len(lines) == 10 and all(len(line) == 3 for line in lines)
    found = {what: line for good, what, line in lines if good == "BAD"}
    assert code == (1 if found else 0)
    return found


def test_everything_is_good(ready: Console) -> None:
    assert bad(ready) == {}


def test_a_data_folder_that_others_may_read(ready: Console, tmp_path: Path) -> None:
    (tmp_path / "data" / "handed-over.jsonl").touch()
    (tmp_path / "data" / "handed-over.jsonl").chmod(0o644)
    assert "Run `chmod" in bad(ready)["data"]


def test_servers_that_do_not_answer(ready: Console, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("INTAKE_MAIL_FOLDER")
    monkeypatch.delenv("INTAKE_LETTERS_FOLDER")
    for name in ("IMAP", "SMTP"):
        monkeypatch.setenv(f"INTAKE_{name}_HOST", "127.0.0.1")
        monkeypatch.setenv(f"INTAKE_{name}_PORT", str(free_port()))
    found = bad(ready)
    assert set(found) == {"mailbox", "sending"}
    assert "refused" in found["sending"] and "Check smtp_host" in found["sending"]


def test_a_server_that_lets_us_in(ready: Console, monkeypatch: pytest.MonkeyPatch) -> None:
    with smtp_server() as server:
        monkeypatch.delenv("INTAKE_LETTERS_FOLDER")
        for key, value in {"HOST": "127.0.0.1", "PORT": str(server.port), "SECURITY": "none"}.items():
            monkeypatch.setenv(f"INTAKE_SMTP_{key}", value)
        assert bad(ready) == {}
        assert server.taken == []


def test_a_full_disk_a_wrong_clock_and_a_copied_database(
    ready: Console, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(checkup, "LEAST_FREE", 1 << 60)
    now = checkup.wiring.now()
    monkeypatch.setattr(checkup.wiring, "now", lambda: now.replace(year=2020))
    (tmp_path / "data" / "home").unlink()
    found = bad(ready)
    assert set(found) == {"disk", "clock", "database"}
    assert "Set the clock" in found["clock"] and "intake reconcile" in found["database"]


def test_before_anything_is_set(console: Console, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("ADDRESS", "AUTHSERV_ID", "LETTERS_FOLDER"):
        monkeypatch.delenv(f"INTAKE_{name}")
    assert set(bad(console)) == {"settings", "data", "database", "mailbox", "sending"}


def test_json_for_scripts(ready: Console) -> None:
    code, found, _ = ready("check", "--json")
    assert code == 0 and {k: found[5][k] for k in ("what", "good")} == {"what": "mailbox", "good": True}
    assert OURS in found[0]["line"]


def test_an_account_made_in_the_wrong_folder_begins_no_new_installation(
    console: Console, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("INTAKE_DATA")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("intake.settings.Settings.data", tmp_path / "intake-data")
    code, _, err = console("account", "maya")
    assert code == 1 and "No data folder is set" in err
    assert not (tmp_path / "intake-data").exists()


def test_accounts_are_changed_from_the_console(ready: Console) -> None:
    code, said, _ = ready("account", "maya", "--role", "owner")
    assert code == 0 and said.startswith("maya may sign in with ")
    assert ready("account", "maya")[0] == 1
    assert ready("account", "maya", "--reset")[1].startswith("maya may sign in with ")
    for change in ("--unlock", "--open", "--owner"):
        assert ready("account", "maya", change)[:2] == (0, "maya: done.\n")
    for change in ("--delete", "--close", "--designer"):
        code, _, err = ready("account", "maya", change)
        assert code == 1 and "last owner" in err
    assert ready("account", "nobody", "--reset")[0] == 1
    assert ready("account", "maya", "--reset", "--close")[0] == 2
