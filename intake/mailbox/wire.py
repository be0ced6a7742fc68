"""A Message as plain JSON and the bytes of its parts, on its way out of the process that read it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from intake.model.message import Address, Message, Part

_ADDRESSES = ("from_all", "reply_to", "to", "cc")
_STRINGS = ("key", "sha256", "message_id", "subject", "text", "own_words")
_LISTS = ("in_reply_to", "references", "returned_ids", "report_actions", "notes")


def packed(message: Message) -> tuple[dict[str, Any], list[bytes]]:
    """Plain data, and the contents of its parts in order."""
    plain: dict[str, Any] = {
        name: getattr(message, name) for name in (*_STRINGS, *_LISTS, "headers", "return_path")
    }
    plain |= {name: [_pair(a) for a in getattr(message, name)] for name in _ADDRESSES}
    plain["sender"] = _pair(message.sender)
    plain["forwarded_from"] = _pair(message.forwarded_from) if message.forwarded_from else None
    plain["sent_at"] = message.sent_at.isoformat() if message.sent_at else None
    plain["received_at"] = message.received_at.isoformat()
    plain["parts"] = [[p.path, p.name, p.media_type, p.inline, p.content_id] for p in message.parts]
    return plain, [p.content for p in message.parts]


def unpacked(plain: dict[str, Any], contents: Sequence[bytes]) -> Message:
    """The Message again, field by field: a wrong type is an error here, never a surprise later.

    Raises KeyError, TypeError or ValueError.
    """
    same: dict[str, Any] = {name: str(plain[name]) for name in _STRINGS}
    same |= {name: tuple(str(value) for value in plain[name]) for name in _LISTS}
    same |= {name: tuple(_address(pair) for pair in plain[name]) for name in _ADDRESSES}
    parts = zip(plain["parts"], contents, strict=True)
    return Message(
        **same,
        sender=_address(plain["sender"]),
        forwarded_from=_address(plain["forwarded_from"]) if plain["forwarded_from"] else None,
        sent_at=_moment(plain["sent_at"]) if plain["sent_at"] else None,
        received_at=_moment(plain["received_at"]),
        return_path=None if plain["return_path"] is None else str(plain["return_path"]),
        headers=tuple((str(name), str(value)) for name, value in plain["headers"]),
        parts=tuple(_part(given, content) for given, content in parts),
    )


def _pair(address: Address) -> list[str]:
    return [address.name, address.email]


def _address(pair: Sequence[Any]) -> Address:
    name, email = pair
    return Address(str(name), str(email))


def _moment(text: str) -> datetime:
    found = datetime.fromisoformat(text)
    if found.tzinfo is None:
        raise ValueError("a time without a zone")
    return found


def _part(given: Sequence[Any], content: bytes) -> Part:
    path, name, media_type, inline, content_id = given
    return Part(str(path), str(name), str(media_type), content, bool(inline), str(content_id))
