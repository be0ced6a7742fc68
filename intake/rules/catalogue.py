"""The catalogue of slips: what a written length may have been meant to say.

Each kind is taken as equally likely before the sums are looked at, as nothing published says otherwise (judgement, no
source); within a kind the chance is shared by the ways it can happen. The confusions of digits, the feet and inches
and the lost digit are common practice (no source).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from intake.model.room import Measurement, Section, SectionKind
from intake.rules.notation import MM_IN, format_cm

TEN_TIMES = "ten-times"
METRES = "metres"
LOST_DIGIT = "lost-digit"
FEET = "feet-and-inches"
INCHES = "inches"
SWAPPED = "swapped-digits"
MISREAD = "misread-digit"
METRE_OUT = "metre-or-decimetre"
TWICE = "counted-twice"
MISSING = "section-missing"
ARCHITRAVE = "architrave"
BOXING = "to-the-boxing"
RETURN = "return-missing"
SQUARE = "out-of-square"

PRIOR = 0.003
"""Chance that a given reading suffers a given kind of slip: three in a hundred readings, shared by ten kinds."""
LOOKALIKES = {"1": "7", "7": "1", "6": "05", "0": "6", "4": "9", "9": "4", "3": "8", "8": "3", "5": "6"}
LOOKALIKE_SHARE = 0.7
"""Of misread digits, those between look-alikes; the rest is any digit for any."""
CONFIRMED_FACTOR = 0.05
"""A length that was measured again or that a designer has confirmed is wrong this much more seldom."""


@dataclass(frozen=True)
class Change:
    """One reading changed: it said `measured` and was meant to say `meant_mm`. `prior` is the chance of it beforehand;
    `exact` that the meant value is a written number and so ends on a half centimetre like the others."""

    kind: str
    meant_mm: int
    prior: float
    exact: bool = True


def changes_of(measurement: Measurement, neighbours: list[int], others: list[int]) -> list[Change]:
    """Every single change of one reading that the catalogue knows. `neighbours` and `others` are the lengths (mm) of
    the sections beside it and elsewhere on its wall, for one counted twice."""
    value = measurement.value_mm or 0
    found = [
        *_units(value),
        *_digits(*_written(measurement)),
        *_tape(value),
        *_twice(value, neighbours, others),
        *_alternatives(measurement),
    ]
    factor = CONFIRMED_FACTOR if measurement.taken_from != "sketch" else 1.0
    return [
        Change(c.kind, c.meant_mm, c.prior * factor, c.exact)
        for c in found
        if c.meant_mm > 0 and c.meant_mm != value
    ]


def _units(value: int) -> Iterator[Change]:
    """Millimetres or a lost point among centimetres; metres; feet and inches; inches."""
    if value % 10 == 0 or value >= 1000:
        yield Change(TEN_TIMES, round(value / 10), PRIOR)
    written = format_cm(value)
    if value < 120:
        yield Change(METRES, value * 100, PRIOR)
        feet, _, inches = written.partition(".")
        if int(feet) < 40 and int(inches or 0) < 12:
            yield Change(
                FEET, round(float(MM_IN["in"]) * (12 * int(feet) + int(inches or 0))), PRIOR, exact=False
            )
    yield Change(INCHES, round(value * 2.54), PRIOR, exact=False)


Writer = Callable[[str], int]
"""From a string of digits to millimetres, the point and the unit staying where they are."""


def _written(measurement: Measurement) -> tuple[str, Writer]:
    """The digits of a length as they were written, and what other digits in their place would mean."""
    value = measurement.value_mm or 0
    digits = re.sub(r"\D", "", measurement.text)
    if not digits or not int(digits) or value not in {int(digits) * 10**k for k in (0, 1, 2, 3)}:
        digits = format_cm(value).replace(".", "")
    unit = value / int(digits)
    return digits, lambda other: round(int(other) * unit)


def _digits(digits: str, write: Writer) -> Iterator[Change]:
    yield from _swaps(digits, write)
    yield from _misreads(digits, write)
    yield from _lost(digits, write)


def _swaps(digits: str, write: Writer) -> Iterator[Change]:
    """Two neighbouring digits changed places, the point staying where it is."""
    pairs = [i for i in range(len(digits) - 1) if digits[i] != digits[i + 1]]
    for i in pairs:
        swapped = digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :]
        yield Change(SWAPPED, write(swapped), PRIOR / len(pairs))


def _misreads(digits: str, write: Writer) -> Iterator[Change]:
    for i, digit in enumerate(digits):
        alike = LOOKALIKES.get(digit, "")
        for other in "0123456789":
            if other == digit:
                continue
            share = (
                LOOKALIKE_SHARE / len(alike) if other in alike else (1.0 - LOOKALIKE_SHARE) / (9 - len(alike))
            )
            yield Change(MISREAD, write(digits[:i] + other + digits[i + 1 :]), PRIOR * share / len(digits))


def _lost(digits: str, write: Writer) -> Iterator[Change]:
    """A digit dropped anywhere: put each digit in each place."""
    seen: set[int] = set()
    for i in range(len(digits) + 1):
        for other in "0123456789":
            meant = write(digits[:i] + other + digits[i:])
            if meant not in seen:
                seen.add(meant)
                yield Change(LOST_DIGIT, meant, PRIOR / (len(digits) + 1))


def _tape(value: int) -> Iterator[Change]:
    for step in (1000, 100):
        for sign in (1, -1):
            yield Change(METRE_OUT, value + sign * step, PRIOR / 4)


def _twice(value: int, neighbours: list[int], others: list[int]) -> Iterator[Change]:
    """Another section of the wall is counted in this one; its neighbour mostly."""
    for lengths, share in ((neighbours, 0.9), (others, 0.1)):
        for length in lengths:
            yield Change(TWICE, value - length, PRIOR * share / len(lengths))


def _alternatives(measurement: Measurement) -> Iterator[Change]:
    """What the reader itself thought possible, at its own odds."""
    taken = max(1.0 - sum(p for _, p in measurement.alternatives), 0.05)
    for value, probability in measurement.alternatives:
        yield Change(MISREAD, value, min(probability / taken, 20.0))


def plausibility(section: Section | None, value: float) -> float:
    """Relative density of lengths like this one: alike on a logarithmic scale within the plausible range of its kind
    (check the survey checklist; common practice, no source), a thousandth of that outside."""
    low, high = _RANGES.get(section.kind, (30, 8000)) if section else (800, 12000)
    return (1.0 if low <= value <= high else 1e-3) / max(value, 1.0)


_RANGES = {
    SectionKind.DOOR: (450, 2400),
    SectionKind.DOORWAY: (450, 4000),
    SectionKind.WINDOW: (250, 5000),
    SectionKind.OPENING: (250, 5000),
    SectionKind.NIB: (30, 600),
    SectionKind.BOXING: (50, 1000),
    SectionKind.BREAST: (600, 2500),
}
