"""The commands answer as docs/commands.md says, with its keys, and one plain line where something is wrong."""

from __future__ import annotations

import re
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.work.mail import folder, message, picture

Console = Callable[..., tuple[int, Any, str]]
KITCHEN_ITEMS = {
    "sketch", "wall-sections", "overall", "ceiling-height", "sill-height", "head-height", "reveal-depth",
    "openings", "room-photographs", "consumer-unit", "gas-meter", "boiler", "water-main",
}  # fmt: skip
STATES = {"missing", "doubtful", "present", "confirmed", "not-applicable"}


@pytest.fixture
def one_job(console: Console, tmp_path: Path) -> str:
    mail = folder(
        tmp_path / "mail",
        message(
            "Nell Archer <nell@archer.example>",
            "My kitchen",
            "The ceiling height is 2.36m. No gas in the house. Consumer unit is in the hall.",
            message_id="<1@archer.example>",
            files=(("a.jpg", picture(1)), ("b.jpg", picture(2))),
        ),
    )
    code, done, _ = console("collect", "--folder", str(mail), "--json")
    assert code == 0
    assert (done["taken"], done["already_taken"], done["set_aside"]) == (1, 0, [])
    return str(done["jobs"][0])


def test_jobs_has_one_row_a_job_with_every_item_of_a_kitchen(console: Console, one_job: str) -> None:
    code, rows, _ = console("jobs", "--json")
    assert code == 0
    (row,) = rows
    assert set(row) == {
        "job",
        "state",
        "room",
        "customer",
        "messages",
        "photographs",
        "sketches",
        "items",
        "needs_person",
    }
    assert row["job"] == one_job
    assert row["room"] == "kitchen"
    assert row["customer"] == {"name": "Nell Archer", "addresses": ["nell@archer.example"]}
    assert row["messages"] == ["<1@archer.example>"]
    assert row["photographs"] == 2
    assert set(row["items"]) >= KITCHEN_ITEMS
    assert set(row["items"].values()) <= STATES


def test_commands_that_read_no_picture_load_nothing_that_does(tmp_path: Path) -> None:
    given = {"INTAKE_LETTERS_FOLDER": str(tmp_path / "letters")}
    started = [sys.executable, "-c", STARTED, str(tmp_path)]
    said = subprocess.run(started, capture_output=True, text=True, check=True, env=given).stdout
    assert [line for line in said.splitlines() if line.startswith("loaded")] == ["loaded []"] * 3


STARTED = """
import contextlib, sys
from intake.cli import main
for command in (["--help"], ["jobs", "--data", sys.argv[1]], ["send", "--data", sys.argv[1]]):
    with contextlib.suppress(SystemExit):
        assert main(command) == 0
    print("loaded", sorted({"numpy", "cv2", "PIL", "scipy", "onnxruntime", "reportlab"} & {*sys.modules}))
"""


def test_the_customers_own_words_count(console: Console, one_job: str) -> None:
    items = console("jobs", "--json")[1][0]["items"]
    assert items["ceiling-height"] == "present"
    assert items["gas-meter"] == "not-applicable"
    assert items["consumer-unit"] == "present"
    assert items["sketch"] == "missing"


def test_the_outbox_row_asks_for_what_is_missing_and_answers_the_message(
    console: Console, one_job: str
) -> None:
    (row,) = console("outbox", "--json")[1]
    assert set(row) == {
        "job", "to", "subject", "message_id", "in_reply_to", "state", "asks", "held_because", "answer"
    }  # fmt: skip
    assert row["to"] == ["nell@archer.example"]
    assert one_job in row["subject"]
    assert row["in_reply_to"] == "<1@archer.example>"
    assert re.fullmatch(r"<[^<>@\s]+@rooms\.example>", row["message_id"])
    assert row["held_because"] is None
    assert "sketch" in row["asks"]
    assert "ceiling-height" not in row["asks"]
    assert "gas-meter" not in row["asks"]


def test_a_second_pass_takes_nothing_twice(console: Console, one_job: str, tmp_path: Path) -> None:
    _, done, _ = console("collect", "--folder", str(tmp_path / "mail"), "--json")
    assert done == {"taken": 0, "already_taken": 1, "set_aside": [], "jobs": []}
    assert len(console("outbox", "--json")[1]) == 1


def test_collect_sends_nothing_and_a_draft_waits_for_its_release(
    console: Console, one_job: str, tmp_path: Path
) -> None:
    assert console("send", "--json")[:2] == (0, [])
    assert not (tmp_path / "out").exists()


def test_show_tells_a_job_whole(console: Console, one_job: str) -> None:
    code, whole, _ = console("show", one_job, "--json")
    assert code == 0
    assert whole["mail"][0]["reason"]
    assert whole["letters"][0]["text"].startswith("Hello Nell")
    assert [p["name"] for p in whole["pictures"]] == ["a.jpg", "b.jpg"]
    assert whole["timeline"]
    assert all(set(c) == {"item", "title", "state", "reason", "evidence"} for c in whole["checklist"])


def test_without_authserv_id_everything_is_held_and_one_sentence_says_so(
    console: Console, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("INTAKE_AUTHSERV_ID")
    mail = folder(
        tmp_path / "mail", message("Ann <ann@a.example>", "Kitchen", "hello", message_id="<1@a.example>")
    )
    code, _, err = console("collect", "--folder", str(mail))
    assert code == 0
    assert err.count("\n") == 1
    assert "every letter is held" in err
    assert "Authentication-Results" in err
    (row,) = console("outbox", "--json")[1]
    assert row["state"] == "held"
    assert "authserv_id" in row["held_because"]
    assert console("outbox", "--json")[2] == ""
    assert "every letter is held" in console("outbox")[2]


def test_text_output_is_for_people(console: Console, one_job: str) -> None:
    for command in (["jobs"], ["outbox"], ["show", one_job]):
        code, text, err = console(*command)
        assert code == 0
        assert one_job in text
        assert err == ""


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["show", "R-NOPE2"], 1, "no job R-NOPE2"),
        (["plan", "R-NOPE2", "--out", "x.svg"], 1, "no job R-NOPE2"),
        (["read", "/nowhere/picture.jpg"], 1, "cannot be opened"),
        (["collect", "--folder", "/nowhere/mail"], 1, "no folder"),
        (["collect"], 2, "No mailbox is set"),
        (["nonsense"], 2, "invalid choice"),
        (["plan", "R-NOPE2"], 2, "--out"),
    ],
)
def test_wrong_requests_get_the_contracts_exit_code_and_a_line(
    console: Console, arguments: list[str], code: int, says: str
) -> None:
    got, out, err = console(*arguments)
    assert got == code
    assert says in err
    assert out == ""
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("INTAKE_MODE", "sometimes", "draft, automatic"),
        ("INTAKE_PORT", "many", "whole number"),
        ("INTAKE_ADDRESS", "nobody", "no e-mail address"),
        ("INTAKE_SETTINGS", "/nowhere.yaml", "no settings file"),
        ("INTAKE_DATABASE_URL", "nonsense://", "database"),
        ("INTAKE_CHECKLISTS", "/nowhere", "/nowhere"),
    ],
)
def test_wrong_settings_exit_2_with_one_line(
    console: Console, monkeypatch: pytest.MonkeyPatch, key: str, value: str, says: str
) -> None:
    monkeypatch.setenv(key, value)
    code, _, err = console("jobs")
    assert code == 2
    assert says in err
    assert err.count("\n") == 1


def test_a_file_that_is_no_picture_cannot_be_read(console: Console, tmp_path: Path) -> None:
    (tmp_path / "x.jpg").write_bytes(b"this is no picture")
    code, _, err = console("read", str(tmp_path / "x.jpg"), "--json")
    assert code == 1
    assert "no picture" in err


def test_an_unreadable_message_is_set_aside_whole_and_the_rest_goes_on(
    console: Console, tmp_path: Path
) -> None:
    good = message("Ann <ann@a.example>", "bathroom", "photos to follow", message_id="<g@a.example>")
    nested = b"Subject: x\r\nMIME-Version: 1.0\r\n" + b"".join(
        b'Content-Type: multipart/mixed; boundary="b%d"\r\n\r\n--b%d\r\n' % (n, n) for n in range(1200)
    )
    mail = folder(tmp_path / "mail", nested, b"", good)
    code, done, _ = console("collect", "--folder", str(mail), "--json")
    assert code == 0
    assert done["taken"] == 3
    assert {a["file"] for a in done["set_aside"]} == {"000.eml", "001.eml"}
    assert all(a["why"] for a in done["set_aside"])
    assert len(done["jobs"]) == 1
    kept = {p.read_bytes() for p in (tmp_path / "data" / "raw").rglob("*.eml")}
    assert kept == {nested, b"", good}


def test_a_message_without_a_message_id_appears_by_its_hash(console: Console, tmp_path: Path) -> None:
    raw = message("Ann <ann@a.example>", "bathroom", "photos to follow")
    console("collect", "--folder", str(folder(tmp_path / "mail", raw)), "--json")
    (key,) = console("jobs", "--json")[1][0]["messages"]
    assert re.fullmatch(r"sha256:[0-9a-f]{64}", key)


def test_a_read_only_disk_is_one_line_and_loses_nothing(
    console: Console, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mail = folder(
        tmp_path / "mail", message("Ann <ann@a.example>", "bathroom", "hello", message_id="<f@a.example>")
    )

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("intake.store.files._settle", full)
        code, _, err = console("collect", "--folder", str(mail))
    assert code == 1
    assert "Free disk space" in err
    assert console("collect", "--folder", str(mail), "--json")[1]["taken"] == 1


def test_a_full_database_is_one_line(
    console: Console, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mail = folder(
        tmp_path / "mail", message("Ann <ann@a.example>", "bathroom", "hello", message_id="<f@a.example>")
    )

    def full(*_: object, **__: object) -> None:
        from sqlalchemy.exc import OperationalError

        raise OperationalError("INSERT", {}, sqlite3.OperationalError("database or disk is full"))

    with monkeypatch.context() as patched:
        patched.setattr("intake.store.messages.Messages.add_deliveries", full)
        code, _, err = console("collect", "--folder", str(mail))
    assert code == 1
    assert "Free disk space" in err
