"""Strangers' mail read in the cell: nothing takes long, and nothing stops what comes after it."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from intake import wiring
from intake.mailbox.charsets import CODECS, codec_of
from intake.mailbox.folder import FolderMailbox
from intake.mailbox.parse import LONGEST_TEXT, parse_message
from intake.mailbox.reader import MailReader
from intake.model.errors import Unreadable
from intake.model.message import Message
from intake.settings import load_settings
from intake.work.collect import collect
from tests.work.mail import OURS, folder, message

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
HEAD = b"From: ann@x.example\r\nSubject: Kitchen\r\n"
HTML = HEAD + b"Content-Type: text/html\r\n\r\n"


@pytest.fixture(scope="module")
def reader() -> Iterator[MailReader]:
    found = MailReader(frozenset({OURS}))
    yield found
    found.close()


def _read(reader: MailReader, tmp_path: Path, raw: bytes) -> Message:
    (tmp_path / "m.eml").write_bytes(raw)
    return reader.read(tmp_path / "m.eml", NOW, "0" * 64)


HOSTILE = {
    "tabs": HEAD + b"\r\n" + b"\t" * 100_000,
    "tabs in lines": HEAD + b"\r\n" + (b"\t" * 250 + b"\r\n") * 400,
    "tags without an end": HTML + b"<b x=" * 200_000,
    "quotes without an end": HTML + b'<b x="' * 150_000,
    "comments without an end": HTML + b"<!--" * 250_000,
    "declarations": HTML + b"<![" * 250_000,
    "character references": HTML + b"&#x" * 300_000,
    "punycode": HEAD
    + b"Content-Type: text/plain; charset=punycode\r\n\r\n"
    + b"a" * 300_000
    + b"-b" * 140_000,
    "punycode in a header": b"From: a@x.example\r\nSubject: =?punycode?q?" + b"a" * 500_000 + b"?=\r\n\r\nhi",
    "punycode in a file name": HEAD
    + b"Content-Type: text/plain; name*=punycode''"
    + b"a-b" * 90_000
    + b"\r\n\r\nhi",
    "addresses": HEAD + b"To: " + b"(a@" * 60_000 + b"\r\n\r\nhi",
    "references": HEAD + b"References: " + b"<a@b> " * 100_000 + b"\r\n\r\nhi",
    "heads of quotations": HEAD + b"\r\n" + (b"On Mon wrote: " * 20 + b"\r\n") * 400,
    "a header's parameters": HEAD + b"Content-Type: text/plain;" + b" a=b;" * 100_000 + b"\r\n\r\nhi",
    "quotation marks": HEAD + b"\r\n" + b"> " * 50_000,
    "forwards": HEAD.replace(b"Kitchen", b"Fwd: x") + b"\r\n" + (b"From: a " * 30 + b"\r\n") * 400,
}


@pytest.mark.parametrize("name", sorted(HOSTILE))
def test_hostile_mail_is_read_at_once(reader: MailReader, tmp_path: Path, name: str) -> None:
    """A machine as busy as it may be: each takes less than a tenth of a second of its own, or half with HTML."""
    reader.without()
    started = time.monotonic()
    assert len(_read(reader, tmp_path, HOSTILE[name]).text) <= LONGEST_TEXT
    assert time.monotonic() - started < 15


def test_what_comes_through_the_cell_is_what_the_parser_gives(reader: MailReader, tmp_path: Path) -> None:
    files = (("plan.jpg", os.urandom(300_000)), ("notes.txt", b"x"))
    raw = message("Jörg <ann@x.example>", "Küche", "Hello\n> quoted", message_id="<1@x.example>", files=files)
    mine = _read(reader, tmp_path, raw)
    theirs = parse_message(raw, NOW, frozenset({OURS}), "0" * 64)
    assert mine == theirs and [p.content for p in mine.parts] == [content for _, content in files]


def test_text_of_50_mb_takes_less_than_400_mb(tmp_path: Path) -> None:
    reader = MailReader()
    try:
        raw = HEAD + b"\r\n" + b"The sill is 103 cm and so on and so forth and more of it all.\r\n" * 800_000
        with pytest.raises(Unreadable, match="too long"):
            _read(reader, tmp_path, raw)
        status = Path(f"/proc/{reader._cell.process}/status").read_text()
        assert int(status.partition("VmHWM:")[2].split()[0]) < 400 * 1024
    finally:
        reader.close()


def test_more_memory_than_a_message_may_take_sets_it_aside(reader: MailReader, tmp_path: Path) -> None:
    with pytest.raises(Unreadable, match="memory"):
        _read(reader, tmp_path, HEAD + b"\r\n" + b"\r\n" * 20_000_000)
    assert _read(reader, tmp_path, HEAD + b"\r\nhi").text == "hi"


def test_headers_without_end_are_set_aside(reader: MailReader, tmp_path: Path) -> None:
    with pytest.raises(Unreadable, match="header lines"):
        _read(reader, tmp_path, b"".join(b"X-%d: y\r\n" % n for n in range(50_000)) + HEAD + b"\r\nhi")


def test_a_message_that_never_ends_is_set_aside_and_the_pass_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("intake.cell.keeper.PATIENCE", 1)
    settings = load_settings({"INTAKE_ADDRESS": OURS}, str(tmp_path / "data"))
    mails = [
        message(f"c{n} <c{n}@x.example>", f"Kitchen {n}", "Hello", n, f"<{n}@x.example>") for n in range(3)
    ]
    reader = MailReader(seconds=1)

    def stuck(path: Path, at: datetime, sha256: str) -> Message:
        reader.without()
        if b"Kitchen 1" in path.read_bytes():
            os.kill(reader._cell.process, 19)  # SIGSTOP: as good as an endless loop
        return reader.read(path, at, sha256)

    with wiring.opened(settings) as services:
        try:
            done = collect(FolderMailbox(folder(tmp_path / "mail", *mails)), replace(services, parse=stuck))
        finally:
            reader.close()
    assert (done.taken, len(done.jobs)) == (3, 2)
    assert [(a.file, "more time or memory" in a.why) for a in done.set_aside] == [("001.eml", True)]


MAIL = (
    "utf-8 UTF8 us-ascii ISO-8859-15 windows-1252 koi8-r GB2312 iso-8859-8-i big5 windows-31j ks_c_5601-1987"
)
PYTHON = "punycode idna unicode_escape raw_unicode_escape rot13 hex zip base64 undefined mbcs oem palmos uu quopri ../x"


def test_charsets_are_those_that_mail_has() -> None:
    assert all(codec_of(name) in CODECS for name in MAIL.split())
    assert [name for name in PYTHON.split() if codec_of(name)] == []


def test_a_charset_that_mail_does_not_have_is_said(reader: MailReader, tmp_path: Path) -> None:
    found = _read(reader, tmp_path, HEAD + b"Content-Type: text/plain; charset=punycode\r\n\r\nhello-abc")
    assert found.text == "hello-abc"
    assert found.notes == ("Its text names the charset “punycode”, which mail does not have.",)
