"""Lots and spot checks for the tests."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from intake.domain.inspection.packing import packed, with_verdicts
from intake.model.inspection import CountedLot, HandKind, Look, SpotCheck, Verdict, Weighed
from intake.model.reading import ReadNumber, SketchOutline, SketchReading

NOW = datetime(2026, 3, 3, 9, 30, tzinfo=UTC)
_BOX = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (0.0, 20.0))


def lot(
    verdicts: Sequence[Verdict] = (),
    accepted: int = 10,
    share: float = 0.2,
    hand: HandKind = HandKind.CLEAR,
    version: str = "v-1",
    confidence: float = 0.97,
    month: str = "2026-03",
    slips: int = 0,
) -> CountedLot:
    """So many accepted numbers and one that is not, of which looks say this of the first; the first `slips` of those
    looks were slips."""
    some = (Weighed(confidence, True, True),) * accepted + (Weighed(0.8, False, True),)
    numbers = packed(dict(enumerate(some)), range(len(verdicts)))
    told = {n: (verdict, n < slips) for n, verdict in enumerate(verdicts)}
    return CountedLot(version, "own-paper", month, hand, share, with_verdicts(numbers, told))


def check(
    key: int, picture: str, *told: str, read: str = "386.5", confidence: float = 0.97, accepted: bool = True
) -> SpotCheck:
    looks = tuple(Look(f"d{n}", NOW + timedelta(hours=n), text) for n, text in enumerate(told))
    return SpotCheck(key, picture, key, read, Weighed(confidence, accepted, True), looks)


def reading(*numbers: tuple[str, float, bool], version: str = "v-1") -> SketchReading:
    """A reading of numbers given as (text, confidence, accepted), all eligible."""
    read = tuple(
        ReadNumber(text, round(float(text) * 10), _BOX, p, taken, eligible=True) for text, p, taken in numbers
    )
    return SketchReading(800, 600, "cm", read, SketchOutline((), False), version=version)
