"""What our own mail server found out about a sender: Authentication-Results (RFC 8601).

The sections of RFC 8601 and RFC 7489 are cited from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from intake.model.message import Message

_QUOTED = r'"(?:[^"\\]|\\.)*"'
_RESULT = re.compile(rf"([A-Za-z0-9_-]+)(?:\s*/\s*\d+)?\s*=\s*([A-Za-z]+)((?:\s+(?:{_QUOTED}|[^\s;\"])+)*)")
_PROPERTY = re.compile(rf"([A-Za-z]+)\s*\.\s*([A-Za-z0-9_-]+)\s*=\s*({_QUOTED}|[^\s;\"]+)")


@dataclass(frozen=True)
class Result:
    """One method's result: "dkim", "pass", and its properties as {"header.d": "x.example"}."""

    method: str
    result: str
    properties: tuple[tuple[str, str], ...]

    def property(self, name: str) -> str:
        return next((value for key, value in self.properties if key == name), "")


def results(value: str) -> tuple[str, tuple[Result, ...]]:
    """(authserv-id, results) of one header value by the grammar of RFC 8601 2.2; comments are dropped."""
    first, *rest = _split(without_comments(value))
    words = first.split()
    return (words[0].strip('"').lower() if words else ""), tuple(r for part in rest for r in _one(part))


def _one(part: str) -> list[Result]:
    match = _RESULT.match(part.strip())
    if match is None:
        return []
    found = ((f"{p[1]}.{p[2]}".lower(), p[3].strip('"').lower()) for p in _PROPERTY.finditer(match[3]))
    return [Result(match[1].lower(), match[2].lower(), tuple(found))]


def _split(value: str) -> list[str]:
    """At semicolons that are not inside a quoted string."""
    return [piece[0] for piece in re.finditer(rf"(?:{_QUOTED}|[^;\"]|\")+", value)] or [""]


def without_comments(value: str) -> str:
    """RFC 5322 3.2.2: comments nest and may hold quoted pairs; inside a quoted string there are none."""
    kept: list[str] = []
    depth, quoted, escaped = 0, False, False
    for sign in value:
        if escaped:
            escaped = False
        elif sign == "\\":
            escaped = True
        elif sign == '"' and not depth:
            quoted = not quoted
        elif sign == "(" and not quoted:
            depth += 1
        elif sign == ")" and depth:
            depth -= 1
            kept.append(" ")
            continue
        if not depth:
            kept.append(sign)
    return "".join(kept)


def doubt_of_sender(message: Message, authserv_id: str) -> str:
    """Why the sender cannot be taken for who it says it is, in a sentence; "" where our server vouches for it.

    Only the topmost header with our own server's name counts (RFC 8601 5 and 7.1): a header is written on top of those
    that came with the message, so whatever a stranger forged lies below.
    """
    if not authserv_id:
        return "The setting authserv_id names no mail server of ours, so nothing vouches for any sender."
    for value in message.all_headers("authentication-results"):
        name, found = results(value)
        if name == authserv_id.lower():
            return _judge(found, message.sender.domain)
    return "Our mail server says nothing of who sent it, so nothing vouches for the sender."


def _judge(found: tuple[Result, ...], domain: str) -> str:
    dmarc = [r for r in found if r.method == "dmarc"]
    if any(r.result == "fail" for r in dmarc):
        return "It fails the sender domain's own check (DMARC)."  # RFC 7489 6.6.2
    if any(r.result == "pass" and _aligned(r.property("header.from") or domain, domain) for r in dmarc):
        return ""
    if any(r.result == "pass" and _aligned(_signer(r), domain) for r in found if r.method == "dkim"):
        return ""  # RFC 7489 3.1.1: the signing domain must be the sender's
    if any(r.result == "pass" and _aligned(_envelope(r), domain) for r in found if r.method == "spf"):
        return ""  # RFC 7489 3.1.2: so must the envelope's
    return "Nothing that our mail server checked vouches for the sender."


def _signer(result: Result) -> str:
    return result.property("header.d") or result.property("header.i").rpartition("@")[2]


def _envelope(result: Result) -> str:
    return result.property("smtp.mailfrom").rpartition("@")[2]


def _aligned(one: str, other: str) -> bool:
    """RFC 7489 3.1 in its relaxed mode, without a list of public suffixes: equal, or one is below the other."""
    if "." not in one or "." not in other:
        return False
    return one == other or one.endswith(f".{other}") or other.endswith(f".{one}")
