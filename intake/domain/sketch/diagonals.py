"""Which corners of a drawn outline a number runs between: one across the room, from corner to corner."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from intake.model.reading import OutlineWall, Point, ReadNumber

OFF_LINE = 0.08
"""How far off the line between two corners its number stands at most, as a share of that line."""
ASKEW_DEG = 35.0
"""How far lettering on a diagonal is turned from it at most; lettering that stands level may be on any."""
FROM_A_CORNER = 0.08
"""How far from both corners its number stands at least, as a share of the line (set by hand)."""
LINE_DEG = 900.0
"""Lettering so many degrees askew fits as badly as one that stands the line's whole length off it (set by hand)."""
APART = 0.03
"""Two pairs of corners whose fit differs by less cannot be told apart: the number stays unplaced."""


def corners_spanned(walls: Sequence[OutlineWall], number: ReadNumber) -> tuple[int, int] | None:
    """The two corners (by the order of the walls, each where its wall starts), or None where none or several fit."""
    fits = sorted(_fits(walls, number))
    if not fits or (len(fits) > 1 and fits[1][0] - fits[0][0] < APART):
        return None
    return fits[0][1]


def _fits(walls: Sequence[OutlineWall], number: ReadNumber) -> Iterator[tuple[float, tuple[int, int]]]:
    corners, count = [w.start for w in walls], len(walls)
    centre = (sum(x for x, _ in number.box) / 4, sum(y for _, y in number.box) / 4)
    for a, b in combinations(range(count), 2):
        if b - a in (1, count - 1):
            continue
        along, off = _on_line(corners[a], corners[b], centre)
        askew = _askew(number, corners[a], corners[b])
        if (
            FROM_A_CORNER < along < 1 - FROM_A_CORNER
            and off <= OFF_LINE
            and (askew <= ASKEW_DEG or _is_level(number))
        ):
            yield off + askew / LINE_DEG, (a, b)


def _on_line(start: Point, end: Point, at: Point) -> tuple[float, float]:
    """How far along a line a point lies, and how far off it, both as shares of its length."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = max(dx * dx + dy * dy, 1e-9)
    px, py = at[0] - start[0], at[1] - start[1]
    return (px * dx + py * dy) / square, abs(px * dy - py * dx) / square


def _askew(number: ReadNumber, start: Point, end: Point) -> float:
    """Degrees between the lettering and a line, 0 to 90."""
    return abs((_turn(number.box[0], number.box[1]) - _turn(start, end) + 90.0) % 180.0 - 90.0)


def _is_level(number: ReadNumber) -> bool:
    return abs((_turn(number.box[0], number.box[1]) + 90.0) % 180.0 - 90.0) < 10.0


def _turn(start: Point, end: Point) -> float:
    return math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
