"""Raw bytes to a Message.

mail-parser decodes the header (RFC 2047 words, broken addresses, damaged dates); the parts are taken from the tree of
the standard library, because mail-parser's list of attachments loses unnamed pictures and flattens nested messages.
"""

from __future__ import annotations

import hashlib
import logging
import re
from collections.abc import Iterable
from datetime import UTC, datetime
from email.message import Message as Tree
from io import BytesIO
from typing import IO

from mailparser.utils import convert_mail_date, decode_header_part, get_addresses

from intake.mailbox.body import Body, Nested, clean, in_letters, read_body
from intake.mailbox.charsets import tame
from intake.mailbox.quotes import inline_forward, own_words
from intake.mailbox.reports import report_actions, returned_ids
from intake.mailbox.spool import Spool, too_large
from intake.model.errors import Unreadable
from intake.model.message import Address, Message, Part

# mail-parser warns of every header that it has to guess at; nobody can act on that.
logging.getLogger("mailparser").addHandler(logging.NullHandler())

LONGEST_TEXT = 50_000
"""Characters of the writer's own words that are read: an hour of typing. The rest stands in the original, and whoever
reads them tells a person that they are long."""
LONG_NOTE = f"Its text is long: after {LONGEST_TEXT:,} characters it is read in the original only."
LONGEST_SUBJECT = 1_000
MOST_ADDRESSES = 500
"""Signs of a subject, and addresses of a header, that are kept (guards, set by hand)."""

_MESSAGE_ID = re.compile(r"<[^<>]{1,900}>")
_EMAIL = re.compile(r"[^\s<>\"@\x00-\x1f]{1,64}@[^\s<>\"@\x00-\x1f]{1,253}")


def parse_message(
    raw: bytes,
    received_at: datetime,
    ours: frozenset[str] = frozenset(),
    sha256: str = "",
    spooled: IO[bytes] | None = None,
) -> Message:
    """A Message from its raw bytes; `ours` are our own addresses, whose words and pictures in a forward never count.
    `spooled` is an empty file for its attachments while it is read.

    Raises Unreadable(reason) for what cannot be parsed. Strangers' mail is read in the cell: reader.MailReader.
    """
    too_large(len(raw))
    return _guarded(
        BytesIO(raw), sha256 or hashlib.sha256(raw).hexdigest(), received_at, ours, Spool(spooled)
    )


def _guarded(
    lines: Iterable[bytes], sha256: str, received_at: datetime, ours: frozenset[str], spool: Spool
) -> Message:
    """Whatever hostile bytes make the parser raise, this one message is set aside and the rest goes on."""
    try:
        return _message(spool, spool.read(lines), sha256, received_at, ours)
    except Unreadable:
        raise
    except RecursionError as fault:
        raise Unreadable("its parts are nested too deeply to be opened safely") from fault
    except MemoryError as fault:
        raise Unreadable("it needs more memory to be opened than there is") from fault
    except Exception as fault:
        raise Unreadable(f"it could not be parsed ({type(fault).__name__})") from fault
    finally:
        spool.close()


def _message(spool: Spool, tree: Tree, sha256: str, received_at: datetime, ours: frozenset[str]) -> Message:
    tame(tree)
    headers = _headers(tree)
    if not headers:
        raise Unreadable("it holds no e-mail header")
    body = read_body(tree, spool)
    subject = _one_line(tree, "subject")[:LONGEST_SUBJECT]
    text, own, origin, parts = _contents(tree, body, subject, ours)
    long = [LONG_NOTE] if len(own) > LONGEST_TEXT else []
    message_id = _message_id(_one_line(tree, "message-id"))
    senders = _addresses(tree, "from")
    return Message(
        key=message_id or f"sha256:{sha256}",
        sha256=sha256,
        message_id=message_id,
        in_reply_to=_ids(tree, "in-reply-to"),
        references=_ids(tree, "references"),
        sender=next(iter(senders or _addresses(tree, "sender")), Address("", "")),
        from_all=senders,
        reply_to=_addresses(tree, "reply-to"),
        to=_addresses(tree, "to"),
        cc=_addresses(tree, "cc"),
        subject=subject,
        sent_at=_sent_at(tree),
        received_at=received_at,
        text=text[:LONGEST_TEXT],
        own_words=own[:LONGEST_TEXT],
        parts=parts,
        headers=headers,
        return_path=_return_path(tree),
        forwarded_from=origin,
        returned_ids=returned_ids(tree),
        report_actions=report_actions(tree),
        notes=tuple(dict.fromkeys([*long, *body.notes]))[:5],
    )


def _contents(
    tree: Tree, body: Body, subject: str, ours: frozenset[str]
) -> tuple[str, str, Address | None, tuple[Part, ...]]:
    """(text, own words, the original sender of a forward, parts).

    A delivery report (RFC 6522) returns our own letter: what is nested in it is nobody's words or pictures.
    """
    if tree.get_content_type() == "multipart/report":
        return body.text, own_words(body.text), None, body.parts
    texts, own, parts, origin = [body.text], [], list(body.parts), None
    inline = inline_forward(body.text, subject)
    if inline is None:
        own.append(own_words(body.text))
    else:
        origin = inline.sender
        own.append(own_words(inline.before))
        own += [own_words(inline.text)] if origin.email not in ours else []
    for nested in body.nested:
        sender = next(iter(_addresses(nested.tree, "from")), Address("", ""))
        inner_text, inner_own, _, inner_parts = _contents(nested.tree, nested.body, "", ours)
        texts.append(_shown(nested, sender, inner_text))
        if sender.email not in ours:
            origin = origin or (sender if sender.email else None)
            own.append(inner_own)
            parts += inner_parts
    return _joined(texts), _joined(own), origin, tuple(parts)


def _shown(nested: Nested, sender: Address, text: str) -> str:
    """An attached message as a person sees it in the text."""
    return f"--- Attached message from {sender.name or sender.email}: {_one_line(nested.tree, 'subject')} ---\n{text}"


def _joined(texts: list[str]) -> str:
    return "\n\n".join(text for text in texts if text)


def _headers(tree: Tree) -> tuple[tuple[str, str], ...]:
    """Each on one line, as written: in what the rules ask of them RFC 2047 5 knows no encoded words, and a server that
    writes a stranger's address down takes one for a plain word that needs no quotes."""
    return tuple(
        (clean(name).lower()[:200], _on_one_line(in_letters(str(value)))) for name, value in tree.raw_items()
    )


def _values(tree: Tree, name: str) -> list[str]:
    """Every header of that name, as it was written."""
    return [in_letters(str(value)) for key, value in tree.raw_items() if key.lower() == name]


def _decode(value: str) -> str:
    """A header on one line, its encoded words decoded (RFC 2047)."""
    return _on_one_line(decode_header_part(value))


def _on_one_line(value: str) -> str:
    return re.sub(r"\s+", " ", clean(value)).strip()


def _one_line(tree: Tree, name: str) -> str:
    values = _values(tree, name)
    return _decode(values[0]) if values else ""


def _addresses(tree: Tree, name: str) -> tuple[Address, ...]:
    """Every mailbox in every header of that name; what is no address is left out."""
    found = []
    for value in _values(tree, name):
        for label, email in get_addresses(value, decode_names=True):
            email = clean(email).strip().lower()
            if _EMAIL.fullmatch(email):
                found.append(Address(re.sub(r"\s+", " ", clean(label)).strip()[:200], email))
    return tuple(found[:MOST_ADDRESSES])


def _ids(tree: Tree, name: str) -> tuple[str, ...]:
    """Message ids in order, each once (RFC 5322 3.6.4); the last 500, which are the nearest."""
    joined = " ".join(_values(tree, name))
    found = (re.sub(r"\s", "", clean(match)) for match in _MESSAGE_ID.findall(joined))
    return tuple(dict.fromkeys(found))[-500:]


def _message_id(value: str) -> str:
    """The id with its brackets, or "" where there is none that another message could refer to."""
    match = _MESSAGE_ID.search(value)
    if match:
        return re.sub(r"\s", "", match[0])
    return f"<{value}>" if re.fullmatch(r"[^\s<>]{1,900}", value) else ""


def _sent_at(tree: Tree) -> datetime | None:
    """The first date that can be understood, in UTC."""
    for value in _values(tree, "date"):
        try:
            date, _ = convert_mail_date(value[:200])
        except ValueError:
            continue
        found: datetime = date
        return found.replace(tzinfo=UTC) if found.tzinfo is None else found.astimezone(UTC)
    return None


def _return_path(tree: Tree) -> str | None:
    """The topmost one, which our own server wrote (RFC 5321 4.4)."""
    values = _values(tree, "return-path")
    if not values:
        return None
    match = _EMAIL.search(values[0])
    return match[0].lower() if match else values[0].strip(" \t\r\n<>").lower()[:300]
