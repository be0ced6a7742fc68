"""Erasing leaves nothing of a customer anywhere, and everything of the others; an export holds all that there is."""

from __future__ import annotations

import json
import sqlite3
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from intake import wiring
from intake.settings import settings_from_process
from intake.work.send import send_due
from intake.work.write import release_letter
from tests.work.mail import folder, message, picture

Console = Callable[..., tuple[int, Any, str]]
TRACES = (b"ann@archer.example", b"Ann Archer", b"larkspur yellow", b"larkspur")


@pytest.fixture
def two(console: Console, tmp_path: Path) -> Path:
    """Ann, with pictures, an unreadable message and a letter that went; and Ben. Returns the mail folder."""
    nested = b"From: ann@archer.example\r\nSubject: x\r\nMIME-Version: 1.0\r\n" + b"".join(
        b'Content-Type: multipart/mixed; boundary="b%d"\r\n\r\n--b%d\r\n' % (n, n) for n in range(1200)
    )
    mail = folder(
        tmp_path / "mail",
        message(
            "Ann Archer <ann@archer.example>",
            "My kitchen in larkspur yellow",
            "No gas in the house. The doors are to be larkspur yellow.",
            message_id="<1@archer.example>",
            files=(("larkspur.jpg", picture(1)),),
        ),
        message(
            "Ben Boyle <ben@boyle.example>",
            "Our bathroom",
            "The ceiling is 2.40m.",
            hours=1,
            message_id="<1@boyle.example>",
            files=(("b.jpg", picture(2)),),
        ),
        nested,
    )
    assert console("collect", "--folder", str(mail))[0] == 0
    return mail


def everything(data: Path) -> bytes:
    return b"".join(str(p).encode() + p.read_bytes() for p in sorted(data.rglob("*")) if p.is_file())


def send_anns(console: Console, tmp_path: Path) -> None:
    """Ann's letter goes out, into the letters' folder."""
    with wiring.opened(settings_from_process()) as services:
        with services.store.reading() as tables:
            kept = next(k for k in tables.letters.all() if k.to == ("ann@archer.example",))
        release_letter(services, kept.job, kept.id, "maya", sure=True)
        late = replace(services, clock=lambda: datetime(2030, 1, 7, 12, tzinfo=UTC))
        assert [s.state for s in send_due(late, wiring.postbox(settings_from_process()))] == ["sent"]
    assert len(list((tmp_path / "out").glob("*.eml"))) == 1


def test_nothing_of_the_customer_is_left_in_any_file(console: Console, two: Path, tmp_path: Path) -> None:
    send_anns(console, tmp_path)
    data, out = tmp_path / "data", tmp_path / "out"
    before = everything(data) + everything(out)
    assert all(trace in before for trace in TRACES)
    ben = next(r for r in console("jobs", "--json")[1] if r["customer"]["name"] == "Ben Boyle")
    with wiring.opened_store(settings_from_process()) as service, service.reading() as tables:
        # The service runs meanwhile: what was deleted stays in the database's log until it is emptied.
        tables.jobs.all()
        tables.db.rollback()
        code, said, err = console("erase", "ann@archer.example", "--sure")
        after = everything(data) + everything(out)
    assert (code, err) == (0, "")
    assert "1 jobs" in said and "2 messages, 1 pictures, 1 letters" in said
    assert [trace for trace in TRACES if trace in after] == []
    assert console("jobs", "--json")[1] == [ben]
    assert len(list((data / "raw").rglob("*.eml"))) == 1


def test_without_sure_it_only_says_what_would_go(console: Console, two: Path, tmp_path: Path) -> None:
    before = console("jobs", "--json")[1]
    code, said, _ = console("erase", "ann@archer.example")
    assert code == 0 and said.startswith("Would erase 1 jobs")
    assert console("jobs", "--json")[1] == before


def test_what_lies_in_the_mailbox_still_is_not_taken_again(
    console: Console, two: Path, tmp_path: Path
) -> None:
    console("erase", "ann@archer.example", "--sure")
    first = two / "000.eml"
    first.rename(two / "new-name.eml")  # as after a new UIDVALIDITY: the same bytes under another name
    code, done, _ = console("collect", "--folder", str(two), "--json")
    assert (code, done["taken"], done["jobs"]) == (0, 0, [])
    assert [trace for trace in TRACES if trace in everything(tmp_path / "data")] == []


def test_that_it_happened_is_on_record_and_nothing_of_whom(
    console: Console, two: Path, tmp_path: Path
) -> None:
    console("erase", "ann@archer.example", "--sure")
    with sqlite3.connect(tmp_path / "data" / "intake.sqlite3") as database:
        rows = database.execute("SELECT by, jobs, messages, pictures, letters FROM erasures").fetchall()
    assert rows == [("the console", 1, 2, 1, 1)]


def test_a_backup_from_before_is_erased_again_when_it_is_restored(
    console: Console, two: Path, tmp_path: Path
) -> None:
    console("backup", "--out", str(tmp_path / "b.zip"))
    console("erase", "ann@archer.example", "--sure")
    for path in (tmp_path / "data").glob("intake.sqlite3*"):
        path.unlink()
    code, said, _ = console("restore", str(tmp_path / "b.zip"))
    assert code == 0 and "Erased 1 jobs again" in said
    assert [r["customer"]["name"] for r in console("jobs", "--json")[1]] == ["Ben Boyle"]
    assert [trace for trace in TRACES if trace in everything(tmp_path / "data")] == []


@pytest.mark.parametrize("who", ["nobody@x.example", "R-NOPE2", "survey@rooms.example"])
def test_nobody_else_can_be_erased_by_a_slip(console: Console, two: Path, who: str) -> None:
    code, _, err = console("erase", who, "--sure")
    assert code == 1 and err.count("\n") == 1
    assert len(console("jobs", "--json")[1]) == 2


def test_an_export_holds_everything_that_can_be_read(console: Console, two: Path, tmp_path: Path) -> None:
    send_anns(console, tmp_path)
    out = tmp_path / "ann.zip"
    assert console("export", "ann@archer.example", "--out", str(out))[0] == 0
    assert out.stat().st_mode & 0o077 == 0
    with zipfile.ZipFile(out) as archive:
        names = archive.namelist()
        original = next(
            archive.read(n) for n in names if n.startswith("messages/") and b"larkspur" in archive.read(n)
        )
        assert original == (two / "000.eml").read_bytes()
        whole = json.loads(archive.read(next(n for n in names if n.endswith(".json"))))
        assert whole["customer"]["name"] == "Ann Archer"
        assert sum(n.startswith("pictures/") for n in names) == 1
        assert b"To: Ann Archer" in archive.read(next(n for n in names if n.startswith("letters/")))
        assert "ann@archer.example" in archive.read("READ ME.txt").decode()
        assert not any(b"Ben Boyle" in archive.read(n) for n in names)


def test_a_stranger_in_a_customers_thread_has_and_erases_only_his_own_words(
    console: Console, tmp_path: Path
) -> None:
    """He wrote first with the customer in copy, and she answered: it is one job, and hers."""
    eve, ada = "Eve <eve@evil.example>", "Ada <ada@post.example>"
    box = folder(
        tmp_path / "mail",
        message(eve, "Our kitchen", "larkspur", 0, "<e@evil.example>", Cc="ada@post.example"),
        message(
            ada, "Re: Our kitchen", "My home is at 7 Mill Lane.", 2, "<a@post.example>", (("a.jpg", picture(1)),),
            In_Reply_To="<e@evil.example>",
        ),
    )  # fmt: skip
    assert console("collect", "--folder", str(box))[0] == 0
    (row,) = console("jobs", "--json")[1]
    assert row["messages"] == ["<e@evil.example>", "<a@post.example>"]
    assert console("export", "eve@evil.example", "--out", str(tmp_path / "eve.zip"))[0] == 0
    with zipfile.ZipFile(tmp_path / "eve.zip") as archive:
        names = [name for name in archive.namelist() if name != "READ ME.txt"]
        assert len(names) == 1 and names[0].startswith("messages/")
        assert all(
            b"Mill Lane" not in archive.read(n) and b"ada@" not in archive.read("READ ME.txt") for n in names
        )
    assert console("erase", "eve@evil.example", "--sure")[0] == 0
    assert console("collect", "--folder", str(box))[0] == 0
    (left,) = console("jobs", "--json")[1]
    assert left["job"] == row["job"] and left["messages"] == ["<a@post.example>"] and left["photographs"] == 1
    assert left["customer"]["addresses"] == ["ada@post.example"]
    traces = everything(tmp_path / "data")
    assert b"evil.example" not in traces.replace(b"<e@evil.example>", b"") and b"larkspur" not in traces
    console("export", "ada@post.example", "--out", str(tmp_path / "ada.zip"))
    with zipfile.ZipFile(tmp_path / "ada.zip") as archive:
        assert f"job-{row['job']}.txt" in archive.namelist()
