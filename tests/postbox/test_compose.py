"""The bytes of a letter, read back by Python's email package and held against the RFCs' limits."""

from __future__ import annotations

import email
from datetime import UTC, datetime
from email.message import EmailMessage
from email.policy import default

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.letter import Letter, LetterKind
from intake.model.message import Address
from intake.postbox.compose import compose, new_message_id
from intake.postbox.letters import InlineImage, RenderedLetter

US = Address("Hollin & Daughters", "surveys@hollin.example")
NOW = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


def letter(**more: object) -> Letter:
    given: dict[str, object] = {
        "job": "R-7K2M4", "kind": LetterKind.FOLLOW_UP, "to": (Address("Ann Lee", "ann@x.example"),),
        "subject": "Re: Kitchen [R-7K2M4]", "in_reply_to": "<parent@x.example>",
        "references": ("<root@x.example>",), "thanks": "", "asks": (), "cautions": (),
    }  # fmt: skip
    return Letter(**(given | more))  # type: ignore[arg-type]


CROP = InlineImage("crop-1@l", "n.png", "image/png", b"\x89PNG" * 500)
WORDS = RenderedLetter("", "Hello Ann\n.dot\n", '<p>Hello</p><img src="cid:crop-1@l">', (CROP,))


def read(raw: bytes) -> EmailMessage:
    message = email.message_from_bytes(raw, policy=default)
    assert isinstance(message, EmailMessage)
    return message


def test_headers_are_as_the_rfcs_ask() -> None:
    message = read(compose(letter(), WORDS, US, "<intake.1@hollin.example>", NOW))
    assert message["Message-ID"] == "<intake.1@hollin.example>"
    assert message["In-Reply-To"] == "<parent@x.example>"
    assert str(message["References"]).split() == ["<root@x.example>", "<parent@x.example>"]  # RFC 5322 3.6.4
    assert message["Auto-Submitted"] == "auto-replied"  # RFC 3834 5
    assert message["From"].addresses[0].addr_spec == "surveys@hollin.example"
    assert message["Date"].datetime == NOW
    assert not message.defects


def test_a_reminder_is_auto_generated() -> None:
    message = read(compose(letter(kind=LetterKind.REMINDER), WORDS, US, "<1@hollin.example>", NOW))
    assert message["Auto-Submitted"] == "auto-generated"


def test_the_picture_stands_inside_the_html() -> None:
    """RFC 2387: alternative(text, related(html, image)), the image found by its Content-ID."""
    message = read(compose(letter(), WORDS, US, "<1@hollin.example>", NOW))
    kinds = [part.get_content_type() for part in message.walk()]
    assert kinds == ["multipart/alternative", "text/plain", "multipart/related", "text/html", "image/png"]
    image = list(message.walk())[-1]
    assert image["Content-ID"] == "<crop-1@l>"
    assert image.get_content() == b"\x89PNG" * 500
    body = message.get_body(("plain",))
    assert body is not None
    assert body.get_content().splitlines() == ["Hello Ann", ".dot"]


def test_long_ids_are_neither_broken_nor_encoded() -> None:
    long_id = f"<{'a' * 300}@x.example>"
    raw = compose(
        letter(in_reply_to=long_id, references=(long_id,) * 3), WORDS, US, "<1@hollin.example>", NOW
    )
    assert raw.count(long_id.encode()) == 2


def test_a_long_thread_keeps_its_root_and_its_latest() -> None:
    ids = tuple(f"<{n}@x.example>" for n in range(400))
    message = read(compose(letter(references=ids), WORDS, US, "<1@hollin.example>", NOW))
    kept = str(message["References"]).split()
    assert (kept[0], kept[-1], len(kept)) == ("<0@x.example>", "<parent@x.example>", 30)


def test_no_address_that_is_none() -> None:
    with pytest.raises(ValueError, match="no e-mail address"):
        compose(
            letter(to=(Address("", "ann@x.example\r\nBcc: e@e.example"),)), WORDS, US, "<1@h.example>", NOW
        )


hostile = st.text(min_size=0, max_size=300) | st.just("x\r\nBcc: eve@e.example\r\n\r\nbody")


@given(hostile, hostile, st.lists(hostile, max_size=4), hostile)
def test_nothing_a_customer_writes_becomes_a_header(
    subject: str, name: str, ids: list[str], parent: str
) -> None:
    given = letter(
        subject=subject, to=(Address(name, "ann@x.example"),), references=tuple(ids), in_reply_to=parent
    )
    raw = compose(given, WORDS, US, new_message_id(name, US), NOW)
    message = email.message_from_bytes(raw)
    always = ["From", "To", "Date", "Message-ID", "Auto-Submitted", "MIME-Version", "Content-Type"]
    assert [name for name in message.keys() if name not in ("In-Reply-To", "References", "Subject")] == always  # noqa: SIM118
    assert message.is_multipart()
    assert max(len(line) for line in raw.split(b"\r\n")) <= 998  # RFC 5322 2.1.1
    assert b"\n" not in raw.replace(b"\r\n", b"")
