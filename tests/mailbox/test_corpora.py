"""Messages of other people's making: each is parsed or set aside with a reason, and its parts are what Python's email
package, the oracle, says they are."""

from __future__ import annotations

import email
from collections import Counter
from collections.abc import Iterable
from datetime import UTC, datetime
from email.message import Message as Tree

import pytest

from intake.domain.mail.answering import standing_of
from intake.mailbox.parse import parse_message
from intake.model.errors import Unreadable
from intake.model.message import Message
from tests.servers.corpora import bounces, python_messages, spam_assassin

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
US = frozenset({"surveys@hollin.example"})


Parsed = tuple[list[tuple[str, bytes, Message]], dict[str, str]]


@pytest.fixture(scope="module")
def corpus() -> Parsed:
    return parsed(spam_assassin())


def parsed(messages: Iterable[tuple[str, bytes]]) -> Parsed:
    """(name, raw, message) of what could be read, and the reason of each that could not."""
    read, aside = [], {}
    for name, raw in messages:
        try:
            read.append((name, raw, parse_message(raw, NOW, US)))
        except Unreadable as why:
            aside[name] = str(why)
    return read, aside


def leaves(tree: Tree) -> list[Tree]:
    return [part for part in tree.walk() if not part.is_multipart()]


def check_parts(raw: bytes, message: Message) -> None:
    """Every attachment's bytes are among what the standard library decodes, and no other leaf is lost."""
    expected = Counter(leaf.get_payload(decode=True) for leaf in leaves(email.message_from_bytes(raw)))
    ours = Counter(part.content for part in message.parts if ".data" not in part.path)
    nested = any(p.name.lower().endswith(".eml") for p in message.parts)
    assert nested or not ours - expected


def test_python_messages() -> None:
    """Source: CPython's Lib/test/test_email/data. msg_19 has no header at all."""
    read, aside = parsed(python_messages())
    assert aside == {"msg_19.txt": "it holds no e-mail header"}
    for _, raw, message in read:
        check_parts(raw, message)


def test_every_attachment_of_pythons_messages_is_kept() -> None:
    """A leaf that is no running text must be a part of ours, byte for byte, outside delivery reports."""
    read, _ = parsed(python_messages())
    for name, raw, message in read:
        tree = email.message_from_bytes(raw)
        if tree.get_content_type() == "multipart/report":
            continue
        wanted = [
            leaf
            for leaf in leaves(tree)
            if leaf.get_content_maintype() not in ("text", "message", "multipart")
        ]
        missing = Counter(leaf.get_payload(decode=True) for leaf in wanted) - Counter(
            p.content for p in message.parts
        )
        assert not missing, name


def test_a_large_corpus_is_parsed_whole(corpus: Parsed) -> None:
    """Source: the SpamAssassin public corpus. Nothing crashes, and next to nothing is set aside."""
    read, aside = corpus
    assert len(read) >= 300
    assert len(aside) <= 0.005 * (len(read) + len(aside))
    for _, raw, message in read:
        check_parts(raw, message)
        assert "\x00" not in message.text
        message.text.encode("utf-8")


def test_mailing_lists_of_the_corpus_are_not_answered(corpus: Parsed) -> None:
    """Every message of the corpus that carries RFC 2369 or RFC 2919 headers is list mail, and is never answered."""
    read, _ = corpus
    lists = [m for _, raw, m in read if b"\nlist-" in raw.split(b"\n\n", 1)[0].lower()]
    assert len(lists) > 50
    assert {standing_of(m, US, "").verdict for m in lists} == {"never"}


NO_REPORT = frozenset({"groupwise_03.txt"})
"""A guest's letter to a hotel, kept there because a detector once crashed on it."""


def test_no_delivery_report_is_answered() -> None:
    """Source: the test messages of flufl.bounce, delivery reports of many makes of mail server."""
    read, aside = parsed(bounces())
    answered = {name for name, _, message in read if standing_of(message, US, "").verdict != "never"}
    assert (len(read), aside) == (117, {})
    assert answered <= NO_REPORT


@pytest.mark.parametrize("levels", [50, 1200])
def test_deep_nesting_is_read_or_set_aside(levels: int) -> None:
    inner = b"Content-Type: text/plain\r\n\r\nhello\r\n"
    for level in range(levels):
        inner = (
            b'Content-Type: multipart/mixed; boundary="b%d"\r\n\r\n--b%d\r\n' % (level, level)
            + inner
            + b"--b%d--\r\n" % level
        )
    raw = b"From: a@x.example\r\n" + inner
    if levels > 100:
        with pytest.raises(Unreadable, match="nested too deeply"):
            parse_message(raw, NOW)
    else:
        assert parse_message(raw, NOW).text.strip() == "hello"
