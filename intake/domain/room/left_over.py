"""Lengths that a room which closes works out by itself, and numbers that it does not count which were meant for them.

No sum shows such a slip: what the customer wrote was found to say something else than it clearly says, or to measure
nothing where it stands, so the room adds up without it. What it should have been the rest of the room tells.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from intake.domain.room.adjusting import CRITICAL
from intake.domain.room.catalogue import changes_of
from intake.domain.room.changes import LEAST_MM, Suspect
from intake.domain.room.elsewhere import odds_of_a_section
from intake.domain.room.net import usable
from intake.domain.room.slip_chances import (
    ALIKE_SOMEWHERE,
    KNOWN_SLIP,
    SAYS_WHAT_IT_CLEARLY_SAYS,
    TOLD,
)
from intake.model.examination import Basis, PlacedRoom, SlipKind
from intake.model.room import SECTION_SIGMA_MM, Measurement, RoomSurvey

_FIXED = frozenset({Basis.DERIVED, Basis.ADJUSTED, Basis.UNCHECKED})
"""Walls whose length other numbers than an overall without a length say."""


class _LeftOver(NamedTuple):
    """A length that the rest of the room fixes, mm, with its deviation: of a wall, of the reading by this id ("": of a
    wall that has none); `number` where ink stands there."""

    wall: int
    reading: str
    length: float
    deviation: float
    number: int | None

    def may_be(self, length_mm: float, spread_mm: float = 0.0) -> bool:
        """Whether a length is the one left over, within what a tape and the writing leave open."""
        return abs(length_mm - self.length) <= CRITICAL * self._off(spread_mm)

    def log(self, length_mm: float, spread_mm: float) -> float:
        """How well it is that (the log density, but for what all have)."""
        off = self._off(spread_mm)
        return -0.5 * ((length_mm - self.length) / off) ** 2 - math.log(off)

    def _off(self, spread_mm: float) -> float:
        return math.hypot(self.deviation, SECTION_SIGMA_MM, spread_mm)


def spoken_against(room: RoomSurvey, placed: PlacedRoom) -> Iterator[Suspect]:
    """Clear ink that the sums speak against, and that a usual slip makes of the length that they leave over."""
    clear = {m.id: m for m in room.spoken_against}
    for left in _left_over(room, placed):
        if left.number is None or left.reading not in clear:
            continue
        written = clear[left.reading]
        ways = [c for c in changes_of(written, [], []) if left.may_be(c.meant_mm, c.spread_mm)]
        if ways and abs((written.value_mm or 0) - left.length) >= LEAST_MM:
            best = max(ways, key=lambda c: math.log(c.prior) + left.log(c.meant_mm, c.spread_mm))
            chance = SAYS_WHAT_IT_CLEARLY_SAYS
            yield _suspect(best.kind, left.wall, left.reading, chance, would_be_mm=best.meant_mm)


def of_another_wall(room: RoomSurvey, placed: PlacedRoom) -> Iterator[Suspect]:
    """Numbers that look like a section of the wall that they stand at, count for nothing there, and say what is left
    over for a piece of another wall, or for all of it, that has no number."""
    bare = [left for left in _left_over(room, placed) if left.number is None and left.length >= LEAST_MM]
    for number in room.astray:
        there = [b for b in bare if b.wall != number.wall and b.may_be(number.length.value_mm or 0)]
        looks = KNOWN_SLIP * odds_of_a_section(number)
        chance = looks / (looks + ALIKE_SOMEWHERE * len(bare))
        if len(there) == 1 and chance > TOLD:
            to = there[0].wall
            yield _suspect(SlipKind.ANOTHER_WALL, number.wall, number.length.id, chance, to=to)


def _left_over(room: RoomSurvey, placed: PlacedRoom) -> Iterator[_LeftOver]:
    """Every length of a wall or a piece of one that no number says and the rest of the room fixes."""
    for wall, laid in zip(room.walls, placed.walls, strict=True):
        for section, part in zip(wall.sections, laid.sections, strict=True):
            if part.basis is Basis.DERIVED and not usable(section.length):
                yield _of(wall.index, section.length, part.end_mm - part.start_mm, part.sd_mm)
        for overall in wall.overalls:
            if laid.basis in _FIXED and not usable(overall):
                yield _of(wall.index, overall, laid.length_mm, laid.sd_mm)
        if laid.basis is Basis.DERIVED and not wall.sections and not wall.overalls:
            yield _LeftOver(wall.index, "", laid.length_mm, laid.sd_mm or 0.0, None)


def _of(wall: int, length: Measurement, left: float, deviation: float | None) -> _LeftOver:
    return _LeftOver(wall, length.id, left, deviation or 0.0, length.number)


def _suspect(
    kind: SlipKind,
    wall: int,
    reading: str,
    chance: float,
    would_be_mm: int | None = None,
    to: int | None = None,
) -> Suspect:
    found = Suspect(kind, wall, reading, np.zeros(0), math.log(chance), to=to)
    return replace(found, would_be_mm=would_be_mm, probability=chance)
