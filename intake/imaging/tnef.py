"""Attachments out of a winmail.dat, which Outlook sends in place of ordinary MIME parts.

Format: [MS-OXTNEF] 2.1.3: a signature and a key, then attributes (level, id, length, data, checksum). Only attachments
are taken; the message properties are skipped unread.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field

_SIGNATURE = 0x223E9F78
"""The first four bytes, [MS-OXTNEF] (from memory)."""
_ATTACHMENT_STARTS = 0x00069002  # idAttachRendData: each one begins the next attachment
_SHORT_NAME = 0x00018010  # idAttachTitle
_DATA = 0x0006800F  # idAttachData
_PROPERTIES = 0x00069005  # idAttachment: MAPI properties, among them the long file name
_LONG_NAME = 0x3707  # PidTagAttachLongFilename, [MS-OXPROPS]
_MAX_ATTACHMENTS = 100
"""More are passed over (a guard, set by hand)."""


class NotTnef(ValueError):
    """The bytes stop making sense as TNEF before the first attachment."""


@dataclass
class Attachment:
    name: str = ""
    content: bytes = field(default=b"", repr=False)


def attachments_in(content: bytes) -> tuple[list[Attachment], bool]:
    """The attachments, and whether the file was whole (False: it ends in the middle of an attribute).

    Raises NotTnef where the signature is wrong.
    """
    if len(content) < 6 or struct.unpack_from("<I", content)[0] != _SIGNATURE:
        raise NotTnef("no TNEF signature")
    found: list[Attachment] = []
    at = 6
    while at + 9 <= len(content) and len(found) <= _MAX_ATTACHMENTS:
        _level, attribute, length = struct.unpack_from("<BII", content, at)
        data = content[at + 9 : at + 9 + length]
        if len(data) < length:
            return found, False
        _take(found, attribute, data)
        at += 9 + length + 2
    return found, at >= len(content)


def _take(found: list[Attachment], attribute: int, data: bytes) -> None:
    if attribute == _ATTACHMENT_STARTS:
        found.append(Attachment())
    if not found:
        return
    if attribute == _DATA:
        found[-1].content = data
    elif attribute == _SHORT_NAME and not found[-1].name:
        found[-1].name = data.rstrip(b"\0").decode("cp1252", "replace")
    elif attribute == _PROPERTIES:
        found[-1].name = _long_name(data) or found[-1].name


def _long_name(data: bytes) -> str:
    """The long file name among MAPI properties, or "" ([MS-OXTNEF] 2.1.3.4). Any nonsense ends the search."""
    try:
        return _walk_properties(data)
    except (struct.error, UnicodeDecodeError):
        return ""


# Bytes of one value of a fixed-width property type ([MS-OXCDATA] 2.11.1), each padded to four.
_FIXED = {2: 4, 3: 4, 4: 4, 5: 8, 6: 8, 7: 8, 10: 4, 11: 4, 20: 8, 64: 8, 72: 16}
_STRING8, _UNICODE, _OBJECT, _BINARY = 0x1E, 0x1F, 0x0D, 0x102


_NAMED = 0x8000
"""Properties from this tag on bear a name of their own."""


def _walk_properties(data: bytes) -> str:
    (count,) = struct.unpack_from("<I", data)
    at = 4
    for _ in range(min(count, 500)):
        kind, tag = struct.unpack_from("<HH", data, at)
        at += 4
        if tag >= _NAMED:
            at = _skip_property_name(data, at)
        if kind in _FIXED:
            at += _FIXED[kind]
            continue
        if kind not in (_STRING8, _UNICODE, _OBJECT, _BINARY):
            return ""
        values, at = _variable_values(data, at)
        if tag == _LONG_NAME and values:
            text = values[0].decode("utf-16-le" if kind == _UNICODE else "cp1252", "replace")
            return text.rstrip("\0")
    return ""


def _skip_property_name(data: bytes, at: int) -> int:
    """Named properties carry a GUID and a number, or a GUID and a padded string."""
    (how,) = struct.unpack_from("<I", data, at + 16)
    (number,) = struct.unpack_from("<I", data, at + 20)
    return at + 24 + (-(-number // 4) * 4 if how else 0)


def _variable_values(data: bytes, at: int) -> tuple[list[bytes], int]:
    (count,) = struct.unpack_from("<I", data, at)
    at += 4
    values = []
    for _ in range(min(count, 100)):
        (length,) = struct.unpack_from("<I", data, at)
        values.append(data[at + 4 : at + 4 + length])
        at += 4 + -(-length // 4) * 4
    return values, at
