"""What our own mail server found out about a sender: Authentication-Results (RFC 8601).

The sections of RFC 8601 and RFC 7489 are cited from memory.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from intake.model.message import Message
from intake.model.phrase import Phrase, phrase

_QUOTED = r'"(?:[^"\\]|\\.)*+"'
_VALUE = rf'{_QUOTED}(?:@[^\s;"]++)?|[^\s;"]++'
_RESULT = re.compile(r"\A\s*+([A-Za-z][A-Za-z0-9_-]*+)(?:\s*+/\s*+\d++)?\s*+=\s*+([A-Za-z]++)")
_PROPERTY = re.compile(
    rf"(?<!\s)\s++([A-Za-z][A-Za-z0-9_-]*+)(?:\s*+\.\s*+([A-Za-z0-9_-]++))?\s*+=\s*+({_VALUE})"
)
_DECEIVING = re.compile(r"[;\"\s\\]")


@dataclass(frozen=True)
class Result:
    """One method's result: "dkim", "pass", and its properties as {"header.d": "x.example"}."""

    method: str
    result: str
    properties: tuple[tuple[str, str], ...]

    def property(self, name: str) -> str:
        return next((value for key, value in self.properties if key == name), "")


def results(value: str) -> tuple[str, tuple[Result, ...] | None]:
    """(authserv-id, results) of one header value by the grammar of RFC 8601 2.2; comments are dropped.

    The results are None where any of them is malformed: a server that writes down a stranger's words unquoted can be
    made to write a result of his, and the rest of those words stands beside it.
    """
    first, *rest = _split(without_comments(value))
    words = first.split()
    found = [_result(part) for part in rest if part.strip() not in ("", "none")]
    name = words[0].strip('"').lower() if words else ""
    return name, None if None in found else tuple(r for r in found if r is not None)


def _result(part: str) -> Result | None:
    match = _RESULT.match(part)
    if match is None:
        return None
    at, end, found = match.end(), len(part.rstrip()), []
    while at < end:
        given = _PROPERTY.match(part, at)
        if given is None:
            return None
        if given[2]:  # a reason and the like stand without a dot
            found.append((f"{given[1]}.{given[2]}".lower(), given[3].strip('"').lower()))
        at = given.end()
    return Result(match[1].lower(), match[2].lower(), tuple(found))


def _split(value: str) -> list[str]:
    """At semicolons that are not inside a quoted string."""
    return [piece[0] for piece in re.finditer(rf"(?:{_QUOTED}|[^;\"]|\")++", value)] or [""]


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


def doubt_of_sender(message: Message, authserv_id: str) -> Phrase | None:
    """Why the sender cannot be taken for who it says it is; None where our server vouches for it.

    Only the topmost header with our own server's name counts (RFC 8601 5 and 7.1): a header is written on top of those
    that came with the message, so whatever a stranger forged lies below.
    """
    if not authserv_id:
        return phrase("no-server-named")
    for value in message.all_headers("authentication-results"):
        name, found = results(value)
        if name == authserv_id.lower():
            return _judge(found, message, commented=without_comments(value) != value)
    return phrase("server-says-nothing")


def _judge(found: Sequence[Result] | None, message: Message, commented: bool) -> Phrase | None:
    if found is None or _contradicts_itself(found) or _broken_up(found, commented):
        return phrase("results-malformed")
    if _DECEIVING.search(message.header("return-path").strip(" <>")):
        return phrase("return-path-deceives")  # RFC 5321 4.1.2 allows it and nobody's address has it
    domain = message.sender.domain
    dmarc = [r for r in found if r.method == "dmarc"]
    if any(r.result == "fail" for r in dmarc):
        return phrase("dmarc-fails")  # RFC 7489 6.6.2
    told = commented or any(
        r.properties for r in found
    )  # beside a stranger's words a bare dmarc=pass may be his
    named = "" if told else domain
    if any(r.result == "pass" and _aligned(r.property("header.from") or named, domain) for r in dmarc):
        return None
    if any(r.result == "pass" and _aligned(_signer(r), domain) for r in found if r.method == "dkim"):
        return None  # RFC 7489 3.1.1: the signing domain must be the sender's
    if any(r.result == "pass" and _aligned(_envelope(r), domain) for r in found if r.method == "spf"):
        return None  # RFC 7489 3.1.2: so must the envelope's
    if any(
        r.result == "pass" and r.property("smtp.auth") == message.sender.email
        for r in found
        if r.method == "auth"
    ):
        return None  # RFC 8601 2.7.4: it was handed in with a password
    return phrase("nothing-vouches")


def _contradicts_itself(found: Sequence[Result]) -> bool:
    """One check of one thing has one result; only signatures are several (RFC 8601 2.7.1). An envelope address has a
    domain (RFC 5321 4.1.2)."""
    envelopes = (r.property("smtp.mailfrom") for r in found)
    if any(e and "." not in e.rpartition("@")[2] for e in envelopes):
        return True
    checked = [
        (r.method, *sorted(name for name, _ in r.properties)) for r in found if r.method in ("dmarc", "spf")
    ]
    return len(checked) != len(set(checked)) or sum(r.method == "dmarc" for r in found) > 1


def _broken_up(found: Sequence[Result], commented: bool) -> bool:
    """Whether a name that the stranger's computer gave itself (RFC 5321 4.1.1.1: HELO), written down bare, may have
    ended the result or the comment that it stands in: "smtp.helo=x;dmarc=pass", "(helo=x);dkim=pass header.d=y ()".

    Then spf says nothing of whom it looked at beside results that do, or a result has what belongs to another (RFC 8601
    2.7: dkim and dmarc look at the header, the envelope sender is looked at once).
    """
    silent = any(r.method == "spf" and not r.properties for r in found)
    if commented and silent and any(r.properties for r in found):
        return True
    envelope = [r.method for r in found for name, _ in r.properties if name == "smtp.mailfrom"]
    return len(envelope) > 1 or any(
        name.startswith("smtp.") for r in found if r.method in ("dkim", "dmarc") for name, _ in r.properties
    )


def _signer(result: Result) -> str:
    return result.property("header.d") or result.property("header.i").rpartition("@")[2]


def _envelope(result: Result) -> str:
    return result.property("smtp.mailfrom").rpartition("@")[2]


def _aligned(one: str, other: str) -> bool:
    """RFC 7489 3.1 in its relaxed mode, without a list of public suffixes: equal, or one is below the other."""
    if "." not in one or "." not in other:
        return False
    return one == other or one.endswith(f".{other}") or other.endswith(f".{one}")
