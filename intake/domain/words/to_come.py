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
_WINDOW = re.compile(r"\b(?:windows?|fenster)\b", re.I)
LOWEST_TOP_MM = 1500
"""Lower than that is the height of the glass and no top; common practice, no source."""


def altered(wholes: Iterable[Clause], said: Sequence[Statement], checklist: Checklist) -> list[Statement]:
    """The statements of what some sentence says will be altered, "we're having new windows put in in June"."""
    telling = [w for w in wholes if will_change(w, told=True) and not w.has(C.ANOTHER_HOME)]
    items = {i.id: i for i in checklist.items}
    return [s for s in said if s.item in items and any(_is_of(w, items[s.item]) for w in telling)]


def of_the_glass(text: str, said: Sequence[Statement], checklist: Checklist) -> list[Statement]:
    """The tops of windows that lie too low for one, where the message speaks of the glass alone."""
    if not _GLASS.search(text):
        return []
    tops = {i.id for i in checklist.items if Role.HEAD in i.roles}
    return [s for s in said if s.item in tops and s.value_mm is not None and s.value_mm < LOWEST_TOP_MM]


def _is_of(whole: Clause, item: ChecklistItem) -> bool:
    """Whether a sentence names an item, the window that it is a length of, or the floor that it is measured from."""
    named = any(item.id in m.items for m in whole.mentions)
    at_it = whole.has(C.WINDOW) or _WINDOW.search(whole.text)  # "new windows" are a change first
    from_the_floor = HEIGHTS.intersection(item.roles) and _FLOOR.search(whole.text)
    return named or bool(from_the_floor) or bool(at_it and OF_A_WINDOW.intersection(item.roles))
