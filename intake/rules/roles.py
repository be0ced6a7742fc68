"""What a word written beside a number says of its role. Common practice in the trade, no source."""

from __future__ import annotations

import re

from intake.model.reading import Role

_WORDS: tuple[tuple[Role, str], ...] = (
    (Role.SILL, r"\b(?:sills?|cill|cills|window ?board|sh)\b"),
    (Role.REVEAL, r"\b(?:reveal|recess depth|rev|rd)\b"),
    (Role.HEAD, r"\b(?:head|top of window|lintel|window top|win top|hh)\b"),
    (Role.CEILING, r"\b(?:ceiling|celing|cieling|ceil|clg|c/?h|floor to ceiling|room height|h|ht)\b"),
    (
        Role.FIXTURE,
        r"\b(?:boiler|meter|consumer unit|fuse ?(?:box|board)|cu|radiator|rad|sockets?|switch|stop ?(?:tap|cock)"
        r"|water main|sink|hob|cooker|fridge|freezer|oven|washer|dishwasher|table|bath|basin|wc|toilet|shower"
        r"|soil|pipes?|towel|bed|wardrobe|chest|desk|cabinet|units?|dresser|boxing|boxed|hatch|depth|deep)\b",
    ),
    (Role.OPENING, r"\b(?:door ?way|doors?|window|win|opening|arch|patio|french)\b"),
    (Role.OVERALL, r"\b(?:overall|o/a|total|wall to wall|full)\b"),
)


def role_of_words(words: str) -> Role | None:
    """The role that `words` name, or None. "H" alone is the ceiling; "sill H" is the sill: the narrower
    word wins."""
    plain = re.sub(r"[^a-z/]+", " ", words.lower()).strip()
    return next((role for role, pattern in _WORDS if re.search(pattern, plain)), None)
