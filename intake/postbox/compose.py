"""The final bytes of a letter: header and MIME (RFC 5322, RFC 2045 to 2047, RFC 2387, RFC 3834)."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email.header import Header
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime

from intake.model.letter import OF_THE_DESK, Letter, LetterKind
from intake.model.message import Address
from intake.postbox.letters import RenderedLetter

LONGEST_LINE = 998
"""Characters of a line without its CRLF (RFC 5322 2.1.1)."""
MOST_REFERENCES = 30
"""Ids kept in References: the first, which opened the thread, and the latest (RFC 5537 3.4.4 allows the cut)."""

_ID = re.compile(r"<[^<>\s\x00-\x20\x7f-\U0010ffff]{1,900}>")


def new_message_id(token: str, sender: Address) -> str:
    """A Message-ID of our own domain (RFC 5322 3.6.4); `token` must be unique and is kept to letters and figures."""
    return f"<intake.{re.sub(r'[^A-Za-z0-9.-]', '-', token)}@{sender.domain}>"


@dataclass(frozen=True)
class Enclosure:
    """A file that goes with a letter: a PDF, or what `media_type` says."""

    name: str
    content: bytes
    media_type: str = "application/pdf"
    parameters: Mapping[str, str] = field(default_factory=dict)


def compose(
    letter: Letter,
    words: RenderedLetter,
    sender: Address,
    message_id: str,
    now: datetime,
    enclosures: Sequence[Enclosure] = (),
) -> bytes:
    """The letter as it goes over the wire, lines ended by CRLF.

    No value can start a header of its own: line breaks and control characters become spaces. Raises ValueError where
    an address is no address.
    """
    # RFC 3834 3.1.7, 5: a letter that answers a message is auto-replied; a reminder answers none, so auto-generated.
    submitted = "auto-generated" if letter.kind is LetterKind.REMINDER else "auto-replied"
    # A person wrote it, or had it written.
    submitted = "" if letter.kind in OF_THE_DESK else submitted
    headers = [
        _header("From", _address(sender)),
        _header("To", ",\r\n ".join(_address(to) for to in letter.to[:1])),
        _header("Cc", ",\r\n ".join(_address(to) for to in letter.to[1:])),
        _header("Subject", _encoded(letter.subject, len("Subject: "))),
        _header("Date", format_datetime(now.astimezone(UTC))),
        _header("Message-ID", message_id),
        _header("In-Reply-To", " ".join(_ids((letter.in_reply_to,)))),
        _header("References", _folded(_thread(letter))),
        _header("Auto-Submitted", submitted),
        _header("MIME-Version", "1.0"),
    ]
    return "".join(h for h in headers if h).encode("ascii") + _body(words, enclosures)


def _thread(letter: Letter) -> list[str]:
    """RFC 5322 3.6.4 (and RFC 3834 3.1.6): the parent's References and then its own id."""
    ids = list(dict.fromkeys(_ids((*letter.references, letter.in_reply_to))))
    return ids if len(ids) <= MOST_REFERENCES else [ids[0], *ids[-(MOST_REFERENCES - 1) :]]


def _ids(given: tuple[str, ...]) -> list[str]:
    return [value for value in given if _ID.fullmatch(value)]


def _header(name: str, value: str) -> str:
    return f"{name}: {value}\r\n" if value else ""


def _folded(ids: list[str]) -> str:
    """One id a line: an id must not be broken or encoded, or no mail program finds the thread."""
    return "\r\n ".join(ids)


def _address(address: Address) -> str:
    if address.wire != address.email:
        raise ValueError(f"{address.email!r} is no e-mail address")
    name = _one_line(address.name)
    if not name:
        return address.email
    if re.fullmatch(r"[A-Za-z0-9 '-]{1,60}", name):
        return f"{name} <{address.email}>"
    return f"{Header(name[:200], 'utf-8', maxlinelen=75).encode(linesep=chr(13) + chr(10))} <{address.email}>"


def _encoded(text: str, taken: int) -> str:
    """Unstructured text, folded and encoded where it must be (RFC 2047)."""
    text = _one_line(text)[:400]
    charset = "us-ascii" if text.isascii() else "utf-8"
    return Header(text, charset, maxlinelen=75, header_name=" " * taken).encode(linesep="\r\n")


def _one_line(text: str) -> str:
    return re.sub(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\s]+", " ", text).strip()


def _body(words: RenderedLetter, enclosures: Sequence[Enclosure]) -> bytes:
    """RFC 2046 5.1.4: the plain text first, then HTML with its pictures as one related part (RFC 2387); beside them
    what is enclosed (RFC 2046 5.1.3, RFC 2183)."""
    message = EmailMessage(policy=SMTP)
    message.set_content(words.text, cte="quoted-printable")
    message.add_alternative(words.html, subtype="html", cte="quoted-printable")
    html = message.get_payload(1)
    for image in words.images:
        kind, _, subtype = image.media_type.partition("/")
        html.add_related(  # type: ignore[union-attr]
            image.content,
            maintype=kind,
            subtype=subtype,
            cid=f"<{image.content_id}>",
            filename=image.name,
            disposition="inline",
        )
    for enclosure in enclosures:
        kind, _, subtype = enclosure.media_type.partition("/")
        message.add_attachment(
            enclosure.content, kind, subtype, filename=enclosure.name, params=dict(enclosure.parameters)
        )
    del message["MIME-Version"]
    return message.as_bytes()
