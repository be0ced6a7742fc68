"""What a delivery report says: which message it is about, and what became of it (RFC 3464, RFC 6522)."""

from __future__ import annotations

import re
from email.message import Message as Tree

_ID_LINE = re.compile(r"^[ \t>]*message-id:\s*(<[^<>\s]{1,900}>)", re.IGNORECASE | re.MULTILINE)
MOST_TEXT = 200_000
"""Characters of a returned text in which the id is looked for."""


def returned_ids(tree: Tree) -> tuple[str, ...]:
    """Message-IDs of what a message returns or encloses: attached messages, their headers, and headers in its text."""
    found: list[str] = []
    for part in tree.walk():
        if part is not tree and part.get("message-id"):
            found += re.findall(r"<[^<>\s]{1,900}>", str(part["message-id"]))
        if part.get_content_type() in ("text/rfc822-headers", "text/plain") and not part.is_multipart():
            content = part.get_payload(decode=True)
            text = content[:MOST_TEXT].decode("latin-1") if isinstance(content, bytes) else ""
            found += _ID_LINE.findall(text)
    return tuple(dict.fromkeys(found))[:50]


def report_actions(tree: Tree) -> tuple[str, ...]:
    """The Action fields of a delivery status (RFC 3464 2.3.3), in lower case."""
    found = []
    for part in tree.walk():
        if part.get_content_type() == "message/delivery-status" and part.is_multipart():
            groups = part.get_payload()
            found += [str(group["action"]).strip().lower() for group in groups if group["action"]]  # type: ignore[index]
    return tuple(dict.fromkeys(found))
