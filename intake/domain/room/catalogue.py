"""The catalogue of slips: what a written length may have been meant to say.

Each kind is taken as equally likely before the sums are looked at, as nothing published says otherwise (judgement, no
source); within a kind the chance is shared by the ways it can happen. The confusions of digits, the feet and inches
and the lost digit are common practice (no source).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from intake.domain.lengths.notation import MM_IN, format_cm, parse_length
from intake.domain.lengths.plausible import PLAIN, SECTIONS, WHOLE_WALL
from intake.domain.lengths.written import in_feet_or_inches
from intake.domain.room.slip_chances import KNOWN_SLIP
from intake.model.examination import SlipKind
from intake.model.reading import PEOPLE
from intake.model.room import Measurement, Section

LOOKALIKES = {"1": "7", "7": "1", "6": "05", "0": "6", "4": "9", "9": "4", "3": "8", "8": "3", "5": "6"}
LOOKALIKE_SHARE = 0.7
"""Of misread digits, those between look-alikes; the rest is any digit for any."""
NEIGHBOUR_SHARE = 0.9
"""Of sections counted twice, those beside the one that was measured (common practice, no source)."""
LEAST_TAKEN, MOST_ODDS = 0.05, 20.0
"""A reader's own odds against what it read are believed up to 1 in 20 (common practice, no source)."""
CONFIRMED_FACTOR = 0.05
"""A length that was measured again or that a designer has confirmed is wrong this much more seldom."""


@dataclass(frozen=True)
class Change:
    """One reading changed: it said `measured` and was meant to say `meant_mm`. `prior` is the chance of it beforehand;
    `spread_mm` is how far from it the true length may lie, where the writing was coarser than a half centimetre; `ours`
    that the reader itself thought it possible, so that the customer may have written it."""

    kind: SlipKind
    meant_mm: int
    prior: float
    spread_mm: float = 0.0
    ours: bool = False


def changes_of(measurement: Measurement, neighbours: list[int], others: list[int]) -> list[Change]:
    """Every single change of one reading that the catalogue knows. `neighbours` and `others` are the lengths (mm) of
    the sections beside it and elsewhere on its wall, for one counted twice."""
    value = measurement.value_mm or 0
    imperial = in_feet_or_inches(measurement.text)
    found = [
        *(
            _imperial(measurement.text)
            if imperial
            else (*_units(measurement), *_digits(*_written(measurement)))
        ),
        *(() if imperial else _tape(value)),
        *_twice(value, neighbours, others),
        *_alternatives(measurement),
    ]
    factor = CONFIRMED_FACTOR if measurement.taken_from in PEOPLE else 1.0
    return [replace(c, prior=c.prior * factor) for c in found if c.meant_mm > 0 and c.meant_mm != value]


INCH_SPREAD_MM = 7.3
"""Written to the inch: 25.4 mm / sqrt 12."""


def _units(measurement: Measurement) -> Iterator[Change]:
    """Millimetres or a lost point among centimetres; metres; feet and inches; inches."""
    value = measurement.value_mm or 0
    inch = float(MM_IN["in"])
    if value % 10 == 0 or value >= METRE_MM:
        yield Change(SlipKind.TEN_TIMES, round(value / 10), KNOWN_SLIP)
    if value < IN_METRES_MM:
        written = measurement.text if _PLAIN.fullmatch(measurement.text) else format_cm(value)
        whole, _, part = written.replace(",", ".").partition(".")
        yield Change(
            SlipKind.METRES,
            round(float(f"{whole}.{part or 0}") * 1000),
            KNOWN_SLIP,
            DECIMALS_MM if part else NO_DECIMALS_MM,
        )
        if int(part or 0) < INCHES_IN_A_FOOT:
            yield Change(
                SlipKind.FEET, round(inch * (12 * int(whole) + int(part or 0))), KNOWN_SLIP, INCH_SPREAD_MM
            )
    yield Change(SlipKind.INCHES, round(value * inch / 10), KNOWN_SLIP, INCH_SPREAD_MM)


_PLAIN = re.compile(r"\d{1,2}(?:[.,]\d{1,3})?")
METRE_MM = 1000
IN_METRES_MM = 120
"""Less, in centimetres, may have been meant in metres: no room is longer than 12 m (common practice, no source)."""
DECIMALS_MM = 10 / math.sqrt(12.0)
NO_DECIMALS_MM = 30.0
"""Deviations of lengths in metres: the step / sqrt 12, and about that of a decimetre where no decimals stand."""
INCHES_IN_A_FOOT = 12
"""By definition (international yard and pound agreement, 1959, from memory)."""


def _imperial(text: str) -> Iterator[Change]:
    """Feet and inches: one digit otherwise, a foot more or less; each is read again as written."""
    places = [i for i, c in enumerate(text) if c.isdigit()]
    for i in places:
        for digit in "0123456789":
            meant = parse_length(text[:i] + digit + text[i + 1 :], "ft")
            if digit != text[i] and meant:
                yield Change(SlipKind.MISREAD, meant, KNOWN_SLIP / (9 * len(places)), INCH_SPREAD_MM)
    value = parse_length(text, "ft")
    for step in (FOOT_MM, -FOOT_MM) if value else ():
        yield Change(
            SlipKind.METRE_OUT, round((value or 0) + step), KNOWN_SLIP * FOOT_OUT_SHARE / 2, INCH_SPREAD_MM
        )


FOOT_MM = float(MM_IN["ft"])
FOOT_OUT_SHARE = 0.5
"""Of the chance of a tape read a step out, the foot's part: a metric tape has its metre and its decimetre, one in feet
no second step that anybody takes for another (judgement)."""
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
    yield from _extra(digits, write)


def _swaps(digits: str, write: Writer) -> Iterator[Change]:
    """Two neighbouring digits changed places, the point staying where it is."""
    pairs = [i for i in range(len(digits) - 1) if digits[i] != digits[i + 1]]
    for i in pairs:
        swapped = digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :]
        yield Change(SlipKind.SWAPPED, write(swapped), KNOWN_SLIP / len(pairs))


def _misreads(digits: str, write: Writer) -> Iterator[Change]:
    for i, digit in enumerate(digits):
        alike = LOOKALIKES.get(digit, "")
        for other in "0123456789":
            if other == digit:
                continue
            share = (
                LOOKALIKE_SHARE / len(alike) if other in alike else (1.0 - LOOKALIKE_SHARE) / (9 - len(alike))
            )
            yield Change(
                SlipKind.MISREAD,
                write(digits[:i] + other + digits[i + 1 :]),
                KNOWN_SLIP * share / len(digits),
            )


def _lost(digits: str, write: Writer) -> Iterator[Change]:
    """A digit dropped anywhere: put each digit in each place."""
    seen: set[int] = set()
    for i in range(len(digits) + 1):
        for other in "0123456789":
            meant = write(digits[:i] + other + digits[i:])
            if meant not in seen:
                seen.add(meant)
                yield Change(SlipKind.LOST_DIGIT, meant, KNOWN_SLIP / (len(digits) + 1))


EXTRA_SHARE = 0.2
"""A digit too many, beside the other kinds: nobody's tape says it, the pen alone does (judgement; as often as they, on
300 validation sheets one slip of 59 fewer is listed and one plan of 239 fewer closes)."""


def _extra(digits: str, write: Writer) -> Iterator[Change]:
    """A digit too many anywhere, as 613.5 for 13.5: leave each out."""
    left = {digits[:i] + digits[i + 1 :] for i in range(len(digits))} if len(digits) > 1 else set[str]()
    for other in sorted(left):
        yield Change(SlipKind.EXTRA_DIGIT, write(other), KNOWN_SLIP * EXTRA_SHARE / len(left))


def _tape(value: int) -> Iterator[Change]:
    for step in (METRE_MM, METRE_MM // 10):
        for sign in (1, -1):
            yield Change(SlipKind.METRE_OUT, value + sign * step, KNOWN_SLIP / 4)


def _twice(value: int, neighbours: list[int], others: list[int]) -> Iterator[Change]:
    """Another section of the wall is counted in this one; its neighbour mostly."""
    for lengths, share in ((neighbours, NEIGHBOUR_SHARE), (others, 1.0 - NEIGHBOUR_SHARE)):
        for length in lengths:
            yield Change(SlipKind.TWICE, value - length, KNOWN_SLIP * share / len(lengths))


def _alternatives(measurement: Measurement) -> Iterator[Change]:
    """What the reader itself thought possible, at its own odds."""
    taken = max(1.0 - sum(p for _, p in measurement.alternatives), LEAST_TAKEN)
    for value, probability in measurement.alternatives:
        yield Change(SlipKind.MISREAD, value, min(probability / taken, MOST_ODDS), ours=True)


def plausibility(section: Section | None, value: float) -> float:
    """Density of lengths like this one, per mm: log-normal about a usual length of its kind, with a floor, as rooms
    hold surprises. None: a whole wall."""
    usual = SECTIONS.get(section.kind, PLAIN) if section else WHOLE_WALL
    z = math.log(max(value, 1.0) / usual.middle_mm) / usual.spread
    return (math.exp(-z * z / 2.0) / usual.spread + SURPRISE) / max(value, 1.0)


SURPRISE = 0.003
"""A share of lengths that no kind explains (common practice, no source)."""
