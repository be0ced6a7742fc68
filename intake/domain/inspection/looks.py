"""What blind looks say of a reading, with the designers' own slips taken out of it.

A look that says otherwise than the reading is repeated, blind again, before the reading counts as wrong: a designer
who errs once in two hundred looks would else be taken for a reader that does. What is left of their slips is allowed
for in the interval (bounds.py).
"""

from __future__ import annotations

from datetime import datetime, timedelta

from intake.domain.lengths.notation import parse_length
from intake.model.inspection import SpotCheck, Verdict

ENOUGH = 2
"""So many looks against a reading make it wrong."""
IN_TIME = timedelta(days=60)
"""A number that nobody has looked at for so long is given up."""


def agrees(read: str, told: str, unit: str) -> bool:
    """Whether a person saw the length that was read, however each is written."""
    value = parse_length(told, unit)
    return value is not None and value == parse_length(read, unit)


def verdict(check: SpotCheck, unit: str, drawn_at: datetime, now: datetime) -> Verdict:
    """One look that agrees settles it; two that do not make the reading wrong."""
    if any(agrees(check.read, look.told, unit) for look in check.looks):
        return Verdict.RIGHT
    if is_wrong(check, unit):
        return Verdict.WRONG
    if sum(not look.told for look in check.looks) >= ENOUGH or now - drawn_at > IN_TIME:
        return Verdict.UNTOLD
    return Verdict.WAITING


def is_wrong(check: SpotCheck, unit: str) -> bool:
    """Whether enough looks told something else than the reading, and none the same."""
    told = [look.told for look in check.looks if look.told]
    return len(told) >= ENOUGH and not any(agrees(check.read, each, unit) for each in told)


def is_slip(check: SpotCheck, unit: str) -> bool:
    """Whether the first look was the designer's own slip: it told something else than the reading, and a later one
    did not."""
    first, *later = [look.told for look in check.looks] or [""]
    return (
        first != ""
        and not agrees(check.read, first, unit)
        and any(agrees(check.read, t, unit) for t in later)
    )


def settled_as(check: SpotCheck) -> str:
    """What the designers saw where the reading is wrong: their last word."""
    return next((look.told for look in reversed(check.looks) if look.told), "")
