"""Messages for the tests of the rules, written as raw mail and parsed as the program does."""

from __future__ import annotations

from datetime import UTC, datetime

from intake.mailbox.parse import parse_message
from intake.model.message import Message

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
US = frozenset({"surveys@hollin.example"})
SERVER = "mx.hollin.example"
PASS = f"Authentication-Results: {SERVER}; dmarc=pass header.from=x.example"


def mail(*headers: str, body: str = "The plan of our kitchen is attached.", plain: bool = False) -> Message:
    """A message from Ann to us that may be answered, but for what `headers` add or replace (`-Name` takes one away)."""
    lines = [] if plain else [
        "Return-Path: <ann@x.example>", PASS, "From: Ann Lee <ann@x.example>", "To: surveys@hollin.example",
        "Subject: Kitchen", "Message-ID: <1@x.example>", "Date: Mon, 2 Mar 2026 08:55:00 +0000",
    ]  # fmt: skip
    for header in headers:
        name = header.removeprefix("-").partition(":")[0].lower()
        lines = [line for line in lines if line.partition(":")[0].lower() != name]
    lines += [header for header in headers if not header.startswith("-")]
    return parse_message(("\r\n".join(lines) + "\r\n\r\n" + body).encode(), NOW, US)
