"""From raw bytes to a message: words, quotations, forwards, parts, and what hostile senders write."""

from __future__ import annotations

import base64
import email
import zipfile
from datetime import UTC, datetime
from email.message import EmailMessage
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.mailbox.html_text import html_to_text
from intake.mailbox.parse import parse_message
from intake.model.errors import Unreadable
from intake.model.message import Address, Message

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
US = frozenset({"surveys@hollin.example"})
PNG = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)


def parse(text: str | bytes) -> Message:
    raw = text if isinstance(text, bytes) else text.encode()
    return parse_message(raw.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n"), NOW, US)


def words(body: str, subject: str = "Re: Kitchen") -> str:
    return parse(f"From: ann@x.example\nSubject: {subject}\n\n{body}").own_words


# Quotations


def test_the_customers_words_stand_without_the_letter_they_answer() -> None:
    head = "On Mon, 3 Nov 2025 at 10:00, Hollin <surveys@hollin.example>\nwrote:"
    body = f"It is 236.\n\n{head}\n\n> The ceiling is 240?\n"
    assert words(body) == "It is 236."


def test_answers_between_the_quoted_lines_stay() -> None:
    body = "Hello\n\nOn Mon, 3 Nov 2025, Hollin wrote:\n> 1. ceiling height?\n236 cm\n> 2. boiler?\nin the hall\n"
    assert words(body) == "Hello\n\n> 1.\n236 cm\n> 2.\nin the hall"


def test_a_quotation_without_marks_goes_whole() -> None:
    head = "From: Hollin <surveys@hollin.example>\nSent: Monday\nTo: Ann\nSubject: Kitchen"
    body = f"No gas here.\n\n{head}\n\nIs there gas?\nCeiling 240\n"
    assert words(body) == "No gas here."


@pytest.mark.parametrize(
    "head",
    ["Am 03.11.2025 um 10:00 schrieb Hollin <surveys@hollin.example>:", "Le lun. 3 nov. 2025 à 10:00, Hollin a écrit :",
     "-----Original Message-----"],
)  # fmt: skip
def test_heads_of_other_programs(head: str) -> None:
    assert words(f"Ceiling is 236\n\n{head}\n> Ceiling 240?\n") == "Ceiling is 236"


@pytest.mark.parametrize(
    "line", ["DW: 60", "A: 386.5\nB: 240", "Do: 5", "To the left: 12", "Data: 12", "Cc 4"]
)
def test_labels_of_a_customers_own_are_no_head_of_a_quotation(line: str) -> None:
    body = f"Sizes\n{line}\nceiling 236"
    assert words(body) == body


def test_html_alone_is_read_as_words_and_its_blockquote_as_a_quotation() -> None:
    html = (
        "<html><head><style>p {color: red}</style></head><body><p>Ceiling&nbsp;is 2.36&nbsp;m</p>"
        "<script>alert(1)</script>"
        '<div style="display:none">tracking</div><blockquote><p>Ceiling 240?</p></blockquote></body></html>'
    )
    message = parse(f"From: ann@x.example\nSubject: x\nContent-Type: text/html; charset=utf-8\n\n{html}")
    assert message.own_words == "Ceiling is 2.36 m"
    assert "alert" not in message.text and "tracking" not in message.text and "<" not in message.text


def test_plain_text_is_taken_before_html_and_html_where_plain_is_empty() -> None:
    def both(plain: str, html: str) -> str:
        message = EmailMessage()
        message["From"] = "ann@x.example"
        message.set_content(plain)
        message.add_alternative(html, subtype="html")
        return parse(message.as_bytes()).text.strip()

    assert both("plain words", "<p>html words</p>") == "plain words"
    assert both("\n", "<p>html words</p>") == "html words"


# Forwards


def test_an_inline_forward_is_credited_to_its_first_writer() -> None:
    body = (
        "see below, thanks Jo\n\n---------- Forwarded message ---------\nFrom: Ann Lee <Ann@X.example>\n"
        "Date: Mon, 2 Mar 2026\nSubject: Kitchen\nTo: <jo@hollin.example>\n\nThe ceiling is 236.\n"
    )
    message = parse(f"From: jo@hollin.example\nSubject: Fwd: Kitchen\n\n{body}")
    assert message.forwarded_from == Address("Ann Lee", "ann@x.example")
    assert message.own_words == "see below, thanks Jo\n\nThe ceiling is 236."


def test_a_forward_by_its_subject_alone() -> None:
    body = "fyi\n\nVon: Ann Lee <ann@x.example>\nGesendet: Montag\nAn: Jo\nBetreff: Küche\n\nDecke 236\n"
    message = parse(f"From: jo@hollin.example\nSubject: WG: Küche\n\n{body}")
    assert message.forwarded_from == Address("Ann Lee", "ann@x.example")
    assert message.own_words == "fyi\n\nDecke 236"


def attached(inner: EmailMessage) -> bytes:
    outer = EmailMessage()
    outer["From"], outer["Subject"] = "jo@hollin.example", "Fwd: Kitchen"
    outer.set_content("attached")
    outer.add_attachment(inner)
    return outer.as_bytes()


def from_(sender: str, text: str = "The ceiling is 236.") -> EmailMessage:
    inner = EmailMessage()
    inner["From"], inner["Subject"] = sender, "Kitchen"
    inner.set_content(text)
    inner.add_attachment(PNG, maintype="image", subtype="png", filename="plan.png")
    return inner


def test_an_attached_message_is_credited_and_its_pictures_count() -> None:
    message = parse(attached(from_("Ann Lee <ann@x.example>")))
    assert message.forwarded_from == Address("Ann Lee", "ann@x.example")
    assert [p.content for p in message.parts] == [PNG]
    assert message.own_words == "attached\n\nThe ceiling is 236."


def test_our_own_letter_sent_back_counts_for_nothing() -> None:
    message = parse(attached(from_("Hollin <surveys@hollin.example>", "Is the ceiling 240?")))
    assert message.forwarded_from is None
    assert message.parts == ()
    assert message.own_words == "attached"


def test_an_attached_eml_file_is_opened_as_a_message() -> None:
    outer = EmailMessage()
    outer["From"] = "jo@hollin.example"
    outer.set_content("x")
    outer.add_attachment(
        from_("ann@x.example").as_bytes(), maintype="application", subtype="octet-stream", filename="mail.eml"
    )
    message = parse(outer.as_bytes())
    assert message.forwarded_from == Address("", "ann@x.example")
    assert [p.content for p in message.parts] == [PNG]


# Parts


def test_a_picture_with_neither_name_nor_id_is_kept() -> None:
    """mail-parser's own list of attachments loses it."""
    body = base64.encodebytes(PNG).decode()
    raw = (
        'From: ann@x.example\nContent-Type: multipart/mixed; boundary="b"\n\n--b\nContent-Type: text/plain\n\nhi\n'
        f"--b\nContent-Type: image/png\nContent-Transfer-Encoding: base64\n\n{body}--b--\n"
    )
    [part] = parse(raw).parts
    assert (part.content, part.name, part.path, part.media_type) == (PNG, "", "2", "image/png")


def test_a_picture_written_into_the_html_is_kept() -> None:
    html = f'<p>plan <img src="data:image/png;base64,{base64.b64encode(PNG).decode()}"></p>'
    message = parse(f"From: ann@x.example\nContent-Type: text/html\n\n{html}")
    assert [p.content for p in message.parts] == [PNG]
    assert message.text == "plan"


def test_a_message_that_is_a_picture_alone() -> None:
    body = base64.encodebytes(PNG).decode()
    [part] = parse(
        f"From: a@x.example\nContent-Type: image/png\nContent-Transfer-Encoding: base64\n\n{body}"
    ).parts
    assert part.content == PNG


def test_a_file_name_is_shown_and_never_a_path() -> None:
    raw = (
        "From: a@x.example\nContent-Type: application/zip\nContent-Disposition: attachment;\n"
        " filename*=utf-8''..%2F..%2Fetc%2Fpasswd%0Aplan.zip\n\nPK"
    )
    [part] = parse(raw).parts
    assert "\n" not in part.name
    assert part.name.endswith("plan.zip")


def test_winmail_and_zip_are_passed_on_as_they_came() -> None:
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("plan.png", PNG)
    outer = EmailMessage()
    outer["From"] = "ann@x.example"
    outer.set_content("x")
    outer.add_attachment(packed.getvalue(), maintype="application", subtype="zip", filename="plans.zip")
    outer.add_attachment(
        b"\x78\x9f\x3e\x22", maintype="application", subtype="ms-tnef", filename="winmail.dat"
    )
    assert [p.content for p in parse(outer.as_bytes()).parts] == [packed.getvalue(), b"\x78\x9f\x3e\x22"]


# Hostile


def test_three_thousand_parts() -> None:
    parts = "".join(f"--b\nContent-Type: image/png\n\npart {n}\n" for n in range(3000))
    message = parse(f'From: a@x.example\nContent-Type: multipart/mixed; boundary="b"\n\n{parts}--b--\n')
    assert len(message.parts) == 3000


@pytest.mark.parametrize(
    ("charset", "content", "text"),
    [("us-ascii", "café".encode(), "café"), ("utf-8", "café".encode("cp1252"), "café"),
     ("no-such-charset", "café".encode(), "café"), ("utf-16", b"odd", "odd"), ("utf-8", b"a\x00b\x07c", "abc"),
     ("unicode_escape", b"plain", "plain"), ("rot13", b"plain", "plain"), ("hex", b"zz", "zz"), ("idna", b"a", "a")],
)  # fmt: skip
def test_charsets_that_lie(charset: str, content: bytes, text: str) -> None:
    head = (
        f"From: a@x.example\nContent-Type: text/plain; charset={charset}\nContent-Transfer-Encoding: 8bit\n\n"
    )
    assert parse(head.encode() + content).text == text


def test_headers_that_lie() -> None:
    raw = (
        b"From: =?utf-8?q?Ann=0D=0ABcc=3A_eve=40e=2Eexample?= <ann@x.example>\nSubject: a\x00b =?x?q?broken?= \xff\n"
        b"Message-ID: <a b\x00c@x>\nReferences: <1@x> garbage <2\n @x> <1@x>\nDate: Thu, 99 Foo 20266 99:99\n"
        b"Return-Path: <>\nIn-Reply-To: none\n\nhi"
    )
    message = parse(raw)
    assert message.sender.email == "ann@x.example"
    assert "\r" not in message.sender.name and "\n" not in message.sender.name
    assert "\x00" not in message.subject and "\n" not in message.subject
    assert message.references == ("<1@x>", "<2@x>")
    assert (message.sent_at, message.return_path, message.in_reply_to) == (None, "", ())


def test_no_message_id_is_known_by_its_hash() -> None:
    message = parse("From: a@x.example\n\nhi")
    assert message.key == f"sha256:{message.sha256}"


@pytest.mark.parametrize("raw", [b"", b"\x00" * 100, b"\n\nno header at all"])
def test_what_is_no_mail_is_set_aside(raw: bytes) -> None:
    with pytest.raises(Unreadable):
        parse_message(raw, NOW)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_are_parsed_or_set_aside(raw: bytes) -> None:
    try:
        message = parse_message(b"From: a@x.example\n" + raw, NOW)
    except Unreadable:
        return
    message.text.encode("utf-8")
    assert "\x00" not in message.text + message.subject + message.sender.name


PIECES = st.sampled_from(
    ["<p>", "</p>", "<blockquote>", "<script>", "</script>", "<!--", "-->", "<![x", "<svg>", "&lt;b&gt;", "<a href=",
     "text ", "<style>", "\x00", "</blockquote>", "<br>", "<table><tr><td>", '<p style="display:none">', "<body>",
     "]]>"]
)  # fmt: skip


@given(st.lists(PIECES, max_size=30))
def test_any_html_becomes_words(pieces: list[str]) -> None:
    assert isinstance(html_to_text("".join(pieces)), str)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.binary(min_size=1, max_size=300), min_size=1, max_size=5))
def test_attachments_are_what_pythons_email_package_says(contents: list[bytes]) -> None:
    """Oracle: the standard library."""
    outer = EmailMessage()
    outer["From"] = "ann@x.example"
    outer.set_content("x")
    for number, content in enumerate(contents):
        outer.add_attachment(content, maintype="image", subtype="jpeg", filename=f"{number}.jpg")
    raw = outer.as_bytes()
    theirs = [p.get_payload(decode=True) for p in email.message_from_bytes(raw).walk() if p.get_filename()]
    assert [p.content for p in parse_message(raw, NOW).parts] == theirs == contents


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 3),
    st.sampled_from([57, 54, 45]),
    st.sampled_from(["base64", "7bit", "BASE64 "]),
    st.binary(max_size=90),
)
def test_a_long_attachment_comes_out_as_the_standard_library_has_it(
    more: int, step: int, encoding: str, tail: bytes
) -> None:
    """Long runs of base64 pass by the parser; whatever a part claims, its bytes are the oracle's."""
    content = bytes(range(256)) * 300 * more + tail
    lines = [base64.b64encode(content[at : at + step]) for at in range(0, len(content), step)]
    raw = (
        b'From: a@x.example\r\nContent-Type: multipart/mixed; boundary="b"\r\n\r\n--b\r\n\r\nhello\r\n--b\r\n'
        b"Content-Type: image/png\r\nContent-Transfer-Encoding: " + encoding.encode() + b"\r\n\r\n"
    ) + b"\r\n".join([*lines, b"--b--", b""])
    theirs = email.message_from_bytes(raw).get_payload()[1].get_payload(decode=True)  # type: ignore[index,union-attr]
    assert parse_message(raw, NOW).parts[0].content == theirs


@pytest.mark.parametrize("charset", ["utf-8", "cp1252"])
def test_headers_that_are_not_encoded_are_read_all_the_same(charset: str) -> None:
    """RFC 6532 3.2 allows UTF-8 in a header; older programs write their own charset there without a word of it."""
    raw = (
        "From: J\u00f6rg M\u00fcller <joerg@m\u00fcnchen.example>\r\nSubject: K\u00fcche\r\n"
        'Content-Type: image/png; name="gr\u00f6\u00dfe.png"\r\n\r\nx'
    ).encode(charset)
    message = parse_message(raw, NOW)
    assert message.sender == Address("J\u00f6rg M\u00fcller", "joerg@m\u00fcnchen.example")
    assert message.sender.wire == "joerg@xn--mnchen-3ya.example"
    assert message.subject == "K\u00fcche"
    assert [p.name for p in message.parts] == ["gr\u00f6\u00dfe.png"]
