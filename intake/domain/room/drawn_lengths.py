"""How well the lengths of a room agree with how long they are drawn: that tells slips apart which the sums cannot.

Plans are not drawn to scale, but a piece of 2 m is seldom drawn shorter than one of 50 cm beside it. The pieces of a
wall are held against one another, and the wall against the others of the room.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import median

import numpy as np

from intake.domain.room.adjusting import Array
from intake.model.room import RoomSurvey, Wall

_PROPORTION, _OUT_OF_PROPORTION = 0.35, 0.08
"""Spread of a drawn length's logarithm about true proportion, and how often it has none at all: plans are not drawn to
scale (common practice, no source; with .45 for .35 of 439 rooms one less closes and two more have an alarm)."""
_LEAST_DRAWN_MM = 310.0
"""What is short is drawn longer than it is, as if this stood square to it: a jamb has to be seen, and its number to be
written (fitted to 5,756 sections of validation sheets, of which it tells .2 nats each)."""
_PIECES, _OUT_OF_PIECES = 0.25, 0.13
"""The same of the pieces of one wall beside one another (1,900 pieces of clean plans by seven drawers: .24 and .13)."""
_SHORTEST_DRAWN_MM = 10.0
"""Nothing is taken to be drawn shorter (set by hand)."""


def proportion_logs(
    lengths_mm: Array,
    drawn_mm: Array | float,
    spread: float = _PROPORTION,
    astray: float = _OUT_OF_PROPORTION,
) -> Array:
    """How well lengths agree with how long they are drawn, as log factors about 0."""
    z = np.log(np.hypot(lengths_mm, _LEAST_DRAWN_MM) / np.maximum(drawn_mm, _SHORTEST_DRAWN_MM)) / spread
    return np.asarray(np.log((1.0 - astray) * np.exp(-z * z / 2.0) + astray))


class DrawnLengths:
    """What the drawing of a room says of its lengths; nothing of a wall that is not drawn."""

    def __init__(self, room: RoomSurvey) -> None:
        self._walls = [_DrawnWall.of(wall) for wall in room.walls]
        known = [float(w.whole()[0]) / w.drawn for w in self._walls if w.drawn]
        scales = [scale for scale in known if scale > 0.0]
        self._scale = median(scales) if scales else 0.0

    def gains(self, wall: int | None, reading: str, meant_mm: Array) -> Array:
        """What the drawing gains (log) where a reading of a wall was meant to be each of these lengths, beside what it
        says; a section of 0 mm is none."""
        if wall is None:
            return np.zeros(len(meant_mm))
        mine = self._walls[wall]
        return mine.meaning(reading, meant_mm).logs(self._scale) - mine.logs(self._scale)

    def gain_longer(self, wall: int, size_mm: float) -> float:
        """The same where a wall is so much longer than its pieces come to; where the rest is drawn is not asked."""
        mine = self._walls[wall]
        longer, as_read = mine.whole() + size_mm, mine.whole()
        return float((mine.in_all(longer, self._scale) - mine.in_all(as_read, self._scale))[0])


@dataclass(frozen=True)
class _DrawnWall:
    """`says` are the lengths of the pieces of a wall and of its overall, mm, a row for each thing that they may have
    been meant to say (NaN: not measured); `shares` what part of the wall each piece is drawn (0: not known)."""

    drawn: float
    readings: tuple[str, ...]
    says: Array
    shares: Array

    @classmethod
    def of(cls, wall: Wall) -> _DrawnWall:
        lengths = [*(s.length for s in wall.sections), *wall.overalls[:1]]
        says = [float(m.value_mm or math.nan) for m in lengths] + [math.nan] * (not wall.overalls)
        shares = [s.share[1] - s.share[0] if s.share else 0.0 for s in wall.sections]
        return cls(wall.drawn, tuple(m.id for m in lengths), np.array([says]), np.array(shares))

    def meaning(self, reading: str, meant_mm: Array) -> _DrawnWall:
        says = np.repeat(self.says, len(meant_mm), axis=0)
        if reading in self.readings:
            says[:, self.readings.index(reading)] = meant_mm
        return replace(self, says=says)

    def whole(self) -> Array:
        """How long the wall is, by its pieces where all are known, else by its overall; NaN where nothing says it."""
        total, overall = self.says[:, :-1].sum(axis=1), self.says[:, -1]
        return np.where(total > 0.0, total, overall)

    def in_all(self, whole_mm: Array, scale: float) -> Array:
        """How well the wall's length agrees with the drawing, of `scale` mm a unit (log factors about 0)."""
        if not self.drawn or not scale:
            return np.zeros(len(whole_mm))
        return np.nan_to_num(proportion_logs(whole_mm, self.drawn * scale))

    def logs(self, scale: float) -> Array:
        """How well each row agrees with the drawing: the wall beside others, its pieces beside one another."""
        if not self.drawn or not scale:
            return np.zeros(len(self.says))
        whole = self.whole()
        pieces, told = self.says[:, :-1], (self.shares > 0.0) & (len(self.shares) > 1)
        agree = proportion_logs(pieces, self.shares * whole[:, None], _PIECES, _OUT_OF_PIECES)
        each = np.where(told & (pieces > 0.0), np.nan_to_num(agree), 0.0)
        return np.asarray(self.in_all(whole, scale) + each.sum(axis=1))
