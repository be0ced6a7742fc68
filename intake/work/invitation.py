"""The invitation to the design call as an iCalendar object (RFC 5545)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

_LINE_OCTETS = 75
"""A line is folded there (RFC 5545, 3.1)."""


@dataclass(frozen=True)
class Invitation:
    """A call to be held. Times are aware; `uid` stays the same when the call is moved, `revision` grows."""

    uid: str
    starts_at: datetime
    lasts: timedelta
    summary: str
    description: str
    organiser: tuple[str, str]
    """Name and address; an empty address leaves it out."""
    guest: tuple[str, str]
    location: str = ""
    revision: int = 0


def icalendar(invitation: Invitation, now: datetime) -> bytes:
    """The invitation as a text/calendar body: lines end in CRLF and have 75 octets at most (RFC 5545 3.1)."""
    request = bool(invitation.organiser[1])
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Survey intake//Design call//EN",
        # RFC 5546 3.2: a REQUEST names its organiser; without one the event is only published.
        f"METHOD:{'REQUEST' if request else 'PUBLISH'}",
        "BEGIN:VEVENT",
        f"UID:{_text(invitation.uid)}",
        f"DTSTAMP:{_utc(now)}",
        f"DTSTART:{_utc(invitation.starts_at)}",
        f"DTEND:{_utc(invitation.starts_at + invitation.lasts)}",
        f"SEQUENCE:{invitation.revision}",
        f"SUMMARY:{_text(invitation.summary)}",
        f"DESCRIPTION:{_text(invitation.description)}",
        *([f"LOCATION:{_text(invitation.location)}"] if invitation.location else []),
        *(_people(invitation) if request else []),
        "STATUS:CONFIRMED",
        "END:VEVENT",
        "END:VCALENDAR",
    ]
    return b"".join(_folded(line) for line in lines)


def _people(invitation: Invitation) -> list[str]:
    name, address = invitation.organiser
    guest, guest_address = invitation.guest
    return [
        f"ORGANIZER;CN={_parameter(name or address)}:mailto:{address}",
        f"ATTENDEE;CN={_parameter(guest or guest_address)};ROLE=REQ-PARTICIPANT;PARTSTAT=NEEDS-ACTION;RSVP=TRUE"
        f":mailto:{guest_address}",
    ]


def _utc(moment: datetime) -> str:
    """RFC 5545 3.3.5, form 2."""
    return moment.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")


def _text(words: str) -> str:
    """RFC 5545 3.3.11: backslash, semicolon, comma and line break are escaped; other controls are no text."""
    escaped = words.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    lines = escaped.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\\n")
    return "".join(c for c in lines if c >= " " and c != "\x7f")


def _parameter(words: str) -> str:
    """RFC 5545 3.2: a quoted string holds no double quote and no control."""
    return '"' + "".join(c for c in words if c >= " " and c not in '"\x7f') + '"'


def _folded(line: str) -> bytes:
    """RFC 5545 3.1: no more than 75 octets a line, a continuation starts with a space; no character is cut."""
    parts, part = [], b""
    for character in line:
        octets = character.encode()
        if len(part) + len(octets) > _LINE_OCTETS:
            parts.append(part)
            part = b" "
        part += octets
    return b"\r\n".join([*parts, part]) + b"\r\n"
