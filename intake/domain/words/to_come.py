"""What a message says of what it has told elsewhere: that it will be altered, or cannot be what it is called."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from intake.domain.words.calls import will_change
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.fitting import HEIGHTS
from intake.domain.words.said_of_items import OF_A_WINDOW
from intake.model.checklist import Checklist, ChecklistItem
from intake.model.letter import Ask
from intake.model.reading import Role
from intake.model.word import Statement

_GLASS = re.compile(
    r"\bglass\b|\bglas\b|\bnot from the (?:floor|ground)\b|\bfrom the (?:sill|cill)\b|\bwindow itself\b", re.I
)
_FLOOR = re.compile(
    r"\b(?:floor(?:ing|boards)?|boards|lino|screed|tiles|carpet|laminate|parquet|underfloor|estrich|boden|dielen"
    r"|fußbodenheizung|parkett|laminat|fliesen)\b",
    re.I,
)
_THAT_WALL = re.compile(
    r"\b(?:that|this|diese[rsn]?)\s(?:\w+\s)?(?:doorway|door|wall|corner|bit|piece|wand|tür|ecke|stück)\b",
    re.I,
)
_WINDOW = re.compile(r"\b(?:windows?|fenster)\b", re.I)
LOWEST_TOP_MM = 1500
"""Lower than that is the height of the glass and no top; common practice, no source."""
_NAMED_RANGE = re.compile(r"\b(?:from|von) (\d{1,3}) (?:to|bis) (\d{1,3}) cm\b", re.I)
LEAST_GLASS_MM = 300
"""No window of a room is lower; common practice, no source."""
HIGHEST_TOP_MM = 2900
"""No window of a room reaches higher; common practice, no source."""
_FROM_THE_SILL = re.compile(
    r"\b(?:sill|cill|there|that|brüstung|fensterbank) (?:up )?(?:to|bis)\b"
    r"|\b(?:from|above|over|ab|von|über) (?:the |der |dem )?(?:sill|cill|there|that|brüstung|fensterbank)\b",
    re.I,
)


def altered(
    wholes: Iterable[Clause], said: Sequence[Statement], asks: Sequence[Ask], checklist: Checklist
) -> list[Statement]:
    """The statements of what some sentence says will be altered, "we're having new windows put in in June", and of the
    only number that is asked about where "that doorway" will be."""
    telling = [w for w in wholes if will_change(w, told=True) and not w.has(C.ANOTHER_HOME)]
    items = {i.id: i for i in checklist.items}
    found = [s for s in said if s.item in items and any(_is_of(w, items[s.item]) for w in telling)]
    numbers = [a.item for a in asks if a.number is not None]
    it = len(numbers) == 1 and any(_THAT_WALL.search(w.text) for w in telling)
    return [*found, *(s for s in said if it and s.item in numbers)]


def implausible(
    text: str, said: Sequence[Statement], asks: Sequence[Ask], checklist: Checklist
) -> list[Statement]:
    """The lengths outside what their request names ("from 5 to 30 cm"), and the tops of windows that lie too low for
    one: where the message speaks of the glass alone, and where a top is hardly above its sill and nothing says from
    where ("98, 107, 11"), or neither above it nor as much glass ("a 205, b 95")."""
    roles = {i.id: i.roles for i in checklist.items}
    told = [(s, s.value_mm) for s in said if s.value_mm is not None]
    named = {
        i: (int(m[1]) * 10, int(m[2]) * 10)
        for a in asks
        for m in _NAMED_RANGE.finditer(a.question)
        for i in a.items
    }
    outside = [s for s, v in told if s.item in named and not named[s.item][0] <= v <= named[s.item][1]]
    low = [(s, v) for s, v in told if Role.HEAD in roles.get(s.item, ()) and v < LOWEST_TOP_MM]
    sills = [v for s, v in told if Role.SILL in roles.get(s.item, ())]
    glass = _GLASS.search(text)
    return outside + [
        s
        for s, v in low
        if glass
        or any(at > v and at + v > HIGHEST_TOP_MM for at in sills)
        or (any(0 < v - at < LEAST_GLASS_MM for at in sills) and not _FROM_THE_SILL.search(s.text))
    ]


def _is_of(whole: Clause, item: ChecklistItem) -> bool:
    """Whether a sentence names an item, the window that it is a length of, or the floor that it is measured from."""
    named = any(item.id in m.items for m in whole.mentions)
    at_it = whole.has(C.WINDOW) or _WINDOW.search(whole.text)  # "new windows" are a change first
    from_the_floor = HEIGHTS.intersection(item.roles) and _FLOOR.search(whole.text)
    return named or bool(from_the_floor) or bool(at_it and OF_A_WINDOW.intersection(item.roles))
