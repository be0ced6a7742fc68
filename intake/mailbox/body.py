"""The leaves of a MIME tree (RFC 2045, 2046): the running text, the other parts, and nested messages."""

from __future__ import annotations

import base64
import binascii
import re
from dataclasses import dataclass, field
from email.message import Message as Tree
from io import BytesIO

from mailparser.utils import decode_header_part

from intake.mailbox.charsets import codec_of, decoded
from intake.mailbox.html_text import html_to_text
from intake.mailbox.spool import Spool
from intake.model.errors import Unreadable
from intake.model.message import Part

DEEPEST = 60
"""Levels of nesting that are opened; mail clients make fewer than ten."""
MOST_PARTS = 20_000
"""More are passed over (a guard, set by hand)."""

LONGEST_HTML = 4_000_000
"""Characters of an HTML part that are looked at, its pictures apart."""
MOST_BYTES = {False: 2 << 20, True: 40 << 20}
"""Bytes of a part that are decoded, by whether it is HTML: that may hold pictures. Who knows whether what follows more
is the writer's own or quoted: such a message is a person's."""
TOO_LONG = "its text is too long to tell the writer's own words from what is quoted"

_DATA_URI = re.compile(r"data:(image/[a-z0-9.+-]{1,40});base64,([A-Za-z0-9+/=\s]+)", re.IGNORECASE)
_NAMED_MESSAGE = re.compile(r"\.eml$", re.IGNORECASE)


@dataclass(frozen=True)
class Nested:
    """A message attached to a message: its own header and its own body."""

    tree: Tree
    body: Body


@dataclass
class Body:
    """`text` is the running text; `parts` all other leaves, in order; `nested` the attached messages; `notes` say in
    sentences what was left out or guessed."""

    text: str = ""
    parts: tuple[Part, ...] = ()
    nested: tuple[Nested, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass
class _Gathered:
    spool: Spool
    texts: list[str] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    nested: list[Nested] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    seen: int = 0


def read_body(tree: Tree, spool: Spool, path: str = "", depth: int = 0) -> Body:
    """Walks the tree. Raises Unreadable where it is nested, divided or long beyond all use."""
    gathered = _Gathered(spool)
    _walk(tree, path, depth, gathered)
    text = "\n\n".join(t for t in gathered.texts if t.strip())
    return Body(text, tuple(gathered.parts), tuple(gathered.nested), tuple(gathered.notes))


def _walk(part: Tree, path: str, depth: int, into: _Gathered) -> None:
    into.seen += 1
    if depth > DEEPEST or into.seen > MOST_PARTS:
        raise Unreadable("its parts are nested too deeply or too many to be opened safely")
    kind = part.get_content_type()
    if kind == "message/rfc822" and part.is_multipart():
        _take_nested(part.get_payload(0), path, depth, into)  # type: ignore[arg-type]
    elif kind == "multipart/alternative" and part.is_multipart():
        _walk_alternative(part, path, depth, into)
    elif part.is_multipart():
        for number, child in enumerate(_children(part), 1):
            _walk(child, _below(path, number), depth + 1, into)
    elif _is_running_text(part):
        _take_text(part, path or "1", into)
    elif _NAMED_MESSAGE.search(_name(part)) and depth < DEEPEST:
        _take_nested(into.spool.read(BytesIO(into.spool.content(part))), path, depth, into)
    else:
        into.parts.append(_leaf(part, path or "1", into.spool))


def _walk_alternative(part: Tree, path: str, depth: int, into: _Gathered) -> None:
    """RFC 2046 5.1.4: the same words several times over. Plain text is taken unless it is empty; pictures from all."""
    before, texts = into.texts, {"text/plain": list[str](), "text/html": list[str]()}
    for number, child in enumerate(_children(part), 1):
        into.texts = []
        _walk(child, _below(path, number), depth + 1, into)
        plain = child.get_content_type() == "text/plain"
        texts["text/plain" if plain else "text/html"] += [t for t in into.texts if t.strip()]
    into.texts = before + (texts["text/plain"] or texts["text/html"])


def _take_nested(tree: Tree, path: str, depth: int, into: _Gathered) -> None:
    body = read_body(tree, into.spool, path or "1", depth + 1)
    into.nested.append(Nested(tree, body))


def _take_text(part: Tree, path: str, into: _Gathered) -> None:
    charset, content = str(part.get_content_charset("utf-8")), into.spool.content(part)
    if not codec_of(charset):
        into.notes.append(f"Its text names the charset “{clean(charset)[:40]}”, which mail does not have.")
    html = part.get_content_type() == "text/html"
    if len(content) > MOST_BYTES[html]:
        raise Unreadable(TOO_LONG)
    text = clean(decoded(content, charset))
    if html:
        into.parts += _pictures_in_html(text, path)
        if len(text := _DATA_URI.sub("", text)) > LONGEST_HTML:
            raise Unreadable(TOO_LONG)
        text = html_to_text(text)
    into.texts.append(text)


def _pictures_in_html(html: str, path: str) -> list[Part]:
    """Pictures that a client wrote into the HTML itself (RFC 2397)."""
    found = []
    for number, match in enumerate(_DATA_URI.finditer(html), 1):
        try:
            content = base64.b64decode(re.sub(r"\s", "", match[2]), validate=True)
        except (binascii.Error, ValueError):
            continue
        found.append(Part(f"{path}.data{number}", "", match[1].lower(), content, inline=True))
    return found


def _is_running_text(part: Tree) -> bool:
    """RFC 2183 2.9: a text part without a file name and not marked as an attachment is meant to be read at once."""
    if part.get_content_type() not in ("text/plain", "text/html"):
        return False
    return part.get_content_disposition() != "attachment" and not part.get_filename()


def _children(part: Tree) -> list[Tree]:
    payload = part.get_payload()
    return [child for child in payload if isinstance(child, Tree)] if isinstance(payload, list) else []


def _below(path: str, number: int) -> str:
    return f"{path}.{number}" if path else str(number)


def _leaf(part: Tree, path: str, spool: Spool) -> Part:
    return Part(
        path=path,
        name=_name(part),
        media_type=part.get_content_type(),
        content=spool.content(part),
        inline=part.get_content_disposition() == "inline" or bool(part.get("Content-ID")),
        content_id=str(part.get("Content-ID", "")).strip()[:900],
    )


def _name(part: Tree) -> str:
    """The sender's file name on one line, for showing only."""
    plain = Tree()
    for key, value in part.raw_items():
        if key.lower() in ("content-disposition", "content-type"):
            plain[key] = in_letters(str(value))
    try:
        given = plain.get_filename() or ""
    except (ValueError, LookupError, AttributeError, TypeError):
        return ""
    return clean(decode_header_part(given)).replace("\n", " ").strip()[:255]


def in_letters(header: str) -> str:
    """A header's bytes beyond ASCII, which the parser keeps as surrogates: UTF-8 (RFC 6532), else Windows-1252."""
    if header.isascii():
        return header
    raw = header.encode("utf-8", "surrogateescape")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace")


def clean(text: str) -> str:
    """Without NUL and control characters and without halves of surrogate pairs, which no database or page takes."""
    text = text.encode("utf-8", "replace").decode("utf-8").replace("\r\n", "\n").replace("\r", "\n")
    return re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", "", text)
