"""The final bytes of a letter: header and MIME (RFC 5322, RFC 2045 to 2047, RFC 2387, RFC 3834)."""

from __future__ import annotations

import re
import secrets
from binascii import b2a_qp
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email.header import Header
from email.message import MIMEPart
from email.policy import SMTP
from email.utils import format_datetime
from functools import lru_cache

from intake.model.letter import OF_THE_DESK, Letter, LetterKind
from intake.model.message import Address
from intake.postbox.letters import InlineImage, RenderedLetter

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
    html = _text(words.html, "html")
    if words.images:
        html = _multipart("related", [html, *map(_picture, words.images)], '; type="text/html"')
    body = _multipart("alternative", [_text(words.text, "plain"), html])
    return _multipart("mixed", [body, *map(_enclosed, enclosures)]) if enclosures else body


def _multipart(subtype: str, parts: Sequence[bytes], parameters: str = "") -> bytes:
    """Parts, each with its headers, between boundaries that stand in none of them but by a chance of 1 in 2^128."""
    boundary = f"=_{secrets.token_hex(16)}"
    head = f'Content-Type: multipart/{subtype}{parameters};\r\n boundary="{boundary}"\r\n'
    line = f"\r\n--{boundary}".encode()
    return b"".join([head.encode(), *(line + b"\r\n" + part for part in parts), line + b"--\r\n"])


def _text(text: str, subtype: str) -> bytes:
    """Words as quoted-printable (RFC 2045 6.7), their lines ended by CRLF."""
    head = f'Content-Type: text/{subtype}; charset="utf-8"\r\nContent-Transfer-Encoding: quoted-printable\r\n\r\n'
    lines = re.sub(r"\r\n?|\n", "\r\n", text)
    return head.encode() + b2a_qp(lines.encode(), istext=True)


def _picture(image: InlineImage) -> bytes:
    """A picture within the HTML (RFC 2392)."""
    return f"Content-ID: <{image.content_id}>\r\n".encode() + _drawn(
        image.name, image.media_type, image.content
    )


@lru_cache(maxsize=64)
def _drawn(name: str, media_type: str, content: bytes) -> bytes:
    """The part of a picture but for its id: most letters have the same few."""
    part = MIMEPart(policy=SMTP)
    part.set_content(content, *media_type.split("/"), filename=name, disposition="inline")
    return part.as_bytes()


def _enclosed(enclosure: Enclosure) -> bytes:
    part = MIMEPart(policy=SMTP)
    kind, _, subtype = enclosure.media_type.partition("/")
    params = dict(enclosure.parameters)
    part.set_content(
        enclosure.content, kind, subtype, filename=enclosure.name, params=params, disposition="attachment"
    )
    return part.as_bytes()
