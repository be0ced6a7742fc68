"""Which numbers are looked at blind: by lot, more at first and of hands that are read badly, fewer once the promise is
shown to be kept.

The three severities are those of sampling inspection by attributes (ISO 2859-1: normal, tightened and reduced, with
rules for switching between them; from memory). Here the sequential limits of bounds.py switch: tightened where the
share of wrong ones is shown to be above what is promised, reduced where it is shown to be within it. Between the
kinds of hands the looks are shared out as Neyman's allocation does (J. R. Stat. Soc. 97, 1934): by the square root of
p (1 - p).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

from intake.domain.inspection.bounds import FLOOR, Silent
from intake.model.inspection import HandKind, Weighed
from intake.model.reading import SketchReading

MOST = 0.5
FULL = 60
"""So many numbers waiting to be looked at halve the share."""
NEAR = 0.75
"""Numbers from this confidence on, though not accepted, take part too: they tell whether the bar is too tight."""
CLEAR, MIXED = 0.9, 0.6
"""From this share of accepted numbers on a hand is read clearly, or passably."""
EXPECTED = {HandKind.CLEAR: 0.004, HandKind.MIXED: 0.01, HandKind.HARD: 0.03}
"""The shares of wrong ones supposed before anything was seen here, and weighed as so many looks:"""
SUPPOSED = 100


class Severity(StrEnum):
    NORMAL = "normal"
    TIGHTENED = "tightened"
    REDUCED = "reduced"


@dataclass(frozen=True)
class Seen:
    """What the looks so far tell the next lots: the silent errors, (looked at, wrong) by kind of hand, and how many
    numbers wait to be looked at."""

    silent: Silent
    by_hand: Mapping[HandKind, tuple[int, int]]
    waiting: int = 0


def severity(silent: Silent, promise: float) -> Severity:
    """How hard to look, by whether the promised share of wrong ones is shown to be kept, or to be broken."""
    if silent.lower > promise:
        return Severity.TIGHTENED
    return Severity.REDUCED if silent.upper <= promise else Severity.NORMAL


def share(hand: HandKind, seen: Seen, first: float, promise: float) -> float:
    """The chance with which each number of a sheet is looked at, FLOOR at least; `first` is that of the beginning."""
    how = severity(seen.silent, promise)
    base = FLOOR if how is Severity.REDUCED else first
    base *= _allocated(hand, seen.by_hand) * FULL / (FULL + seen.waiting)
    return min(max(base, FLOOR), MOST)


def _allocated(hand: HandKind, by_hand: Mapping[HandKind, tuple[int, int]]) -> float:
    """How many times the usual share a kind of hand gets; the usual is that of a clear hand as supposed."""
    return _spread(hand, by_hand) / _spread(HandKind.CLEAR, {})


def _spread(hand: HandKind, by_hand: Mapping[HandKind, tuple[int, int]]) -> float:
    checked, wrong = by_hand.get(hand, (0, 0))
    p = (wrong + SUPPOSED * EXPECTED[hand]) / (checked + SUPPOSED)
    return sqrt(p * (1 - p))


def hand_of(reading: SketchReading) -> HandKind:
    """How well the sheet's hand is read."""
    lengths = [n for n in reading.numbers if n.value_mm is not None]
    accepted = sum(n.accepted for n in lengths) / max(len(lengths), 1)
    return HandKind.CLEAR if accepted >= CLEAR else HandKind.MIXED if accepted >= MIXED else HandKind.HARD


def taking_part(reading: SketchReading) -> dict[int, Weighed]:
    """The numbers that lots are drawn for, by their index on the sketch."""
    return {
        i: Weighed(round(n.confidence, 4), n.accepted, n.eligible)
        for i, n in enumerate(reading.numbers)
        if n.value_mm is not None and (n.accepted or (n.eligible and n.confidence >= NEAR))
    }


def drawn(numbers: Sequence[int], chances: Sequence[float], share: float) -> list[int]:
    """Those of the numbers whose lot, evenly between 0 and 1 and one a number, falls under the share."""
    return [n for n, chance in zip(numbers, chances, strict=True) if chance < share]
