"""Which room a customer's words are about."""

from __future__ import annotations

import re

from intake.model.checklist import RoomKind

_NAMES = {
    RoomKind.KITCHEN: r"kitchens?|kitchen[- ]diner|k[üu]che|cuisine|cocina|cucina|keuken",
    RoomKind.BEDROOM: r"bed ?rooms?|bed-rooms?|wardrobes?|schlafzimmer|dormitorio|camera da letto|slaapkamer",
    RoomKind.BATHROOM: r"bath ?rooms?|bath-rooms?|en[- ]?suites?|shower[- ]?rooms?|wet[- ]?rooms?|cloak ?rooms?"
    r"|badezimmer|salle de bains?|baño|bagno|badkamer",
}
_ROOM = re.compile(
    "|".join(rf"(?P<{kind.value}>\b(?:{names})\b)" for kind, names in _NAMES.items()), re.IGNORECASE
)
# "The boiler is in the kitchen" says where the boiler is, not which room the survey is of.
_PLACE = re.compile(
    r"\b(?:in|into|inside|under|underneath|below|above|over|beside|behind|near|by|off|outside|from|to|through|via"
    r"|between|beyond|opposite|adjoining|towards?|next to|nor|not|isn't)\s+(?:the|our|my|a|an|your|that|this)?\s*"
    r"(?:\w+\s+)?$",
    re.IGNORECASE,
)
_AFTER = re.compile(
    r"^\s*(?:door|doorway|ceiling below|sink|tap|cupboard|wall is|side|above|below|next door|radiator)\b",
    re.IGNORECASE,
)


def rooms_in(text: str) -> frozenset[RoomKind]:
    """Every room named at all."""
    return frozenset(RoomKind(match.lastgroup) for match in _ROOM.finditer(text[:4000]) if match.lastgroup)


def room_named(text: str) -> RoomKind:
    """The one room that a text is about, or unknown where it names none, or several, or only says where a thing is."""
    text = text[:4000]
    about = {
        RoomKind(match.lastgroup)
        for match in _ROOM.finditer(text)
        if match.lastgroup
        and not _PLACE.search(text[max(0, match.start() - 40) : match.start()])
        and not _AFTER.match(text[match.end() : match.end() + 40])
    }
    return about.pop() if len(about) == 1 else RoomKind.UNKNOWN


def room_of(subject: str, words: str) -> RoomKind:
    """The subject decides where it names one room; else the customer's own words."""
    named = rooms_in(subject)
    if len(named) == 1:
        return next(iter(named))
    return RoomKind.UNKNOWN if named else room_named(words)
