"""The outline in the terms of the model, and which wall a number stands by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from intake.model.reading import Box, Direction, OutlineWall, Point

_NEARNESS = 0.3
"""How much standing near a wall counts beside where the stretch lies that the text seems to be of."""
_SQUARE, _SQUARE_SHORT = 14.0, 25.0
"""A wall within the first, in degrees, of the way that the room lies on the picture runs E, S, W or N; of a short one,
which a wobble of the pen turns, within the second. On 170 sheets of three drawers short walls that are square lay up
to 18 off and long ones up to 7, walls of bays from 17 on."""
_SHORT, _LONG = 0.08, 0.12
"""Short and long walls, in diagonals of the room."""


def numbered(corners: NDArray[np.float64]) -> tuple[OutlineWall, ...]:
    """Walls of a clockwise chain of corners (picture pixels), the first starting nearest the picture's top
    left."""
    first = int(np.argmin(np.hypot(corners[:, 0], corners[:, 1])))
    ring = [(float(x), float(y)) for x, y in np.roll(corners, -first, axis=0)]
    ends = list(zip(ring, ring[1:] + ring[:1], strict=True))
    directions = _directions(np.asarray(ends))
    return tuple(
        OutlineWall(i, start, end, direction)
        for i, ((start, end), direction) in enumerate(zip(ends, directions, strict=True))
    )


def _directions(ends: NDArray[np.float64]) -> list[Direction]:
    """Which way each wall runs; `ends` is walls x 2 x 2. A room that lies askew on the picture has its walls askew."""
    run = ends[:, 1] - ends[:, 0]
    lengths, angles = np.hypot(*run.T), np.degrees(np.arctan2(run[:, 1], run[:, 0]))
    off = (angles + 45.0) % 90.0 - 45.0
    order = np.argsort(off)
    middle = np.searchsorted(np.cumsum(lengths[order]), lengths.sum() / 2)
    askew = float(off[order][middle])
    diagonal = float(np.hypot(*np.ptp(ends[:, 0], axis=0)))
    limits = np.interp(lengths / max(diagonal, 1.0), (_SHORT, _LONG), (_SQUARE_SHORT, _SQUARE))
    return [_direction(angle - askew, limit) for angle, limit in zip(angles, limits, strict=True)]


def _direction(angle: float, limit: float) -> Direction:
    quarter = round(angle / 90)
    if abs(angle - 90 * quarter) > limit:
        return Direction.OTHER
    return (Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH)[quarter % 4]


_NEAR_A_WALL, _PAST_ITS_END, _ACROSS_IT = 0.025, 6.0, 0.55
"""How the odds that a text is of a wall fall: in diagonals of the room off it, per length of the wall past its corners,
and for a text that does not run along it (judgement)."""
_RUNS_ALONG = 0.7
"""The cosine from which on a text runs along a wall (judgement)."""
_NEAR_A_STRETCH, _SAME_WAY = 0.02, 1.5
"""The same for a stretch that the sorter saw: in diagonals off the wall, and for how much it runs the wall's way
(judgement)."""


@dataclass(frozen=True)
class WallStanding:
    """How a text stands to one wall. `apart` is its distance in diagonals of the room, `along` where on the
    wall its middle falls (0 to 1, beyond them past the corners); `inside` the room or not; `turned` whether it
    runs the way the wall does; `weight` the odds that it belongs there, adding up to 1."""

    wall: int
    apart: float
    along: float
    inside: bool
    turned: bool
    weight: float = 0.0


_FURTHEST, _FURTHEST_OF_A_WALL, _OF_A_WALL = 0.22, 0.4, 0.5
"""No number of a plan stands further from its walls than the first, in diagonals of the room, or than the second where
the sorter has it of a wall with more than the last: of what stands so far off that is .06 at most for tables and lists,
and 0 for dates and telephone numbers (set by hand on nine drawers' sheets)."""


def is_off(by: Sequence[WallStanding], of_wall: float) -> bool:
    """Whether a number stands outside the room, far from all of its walls; `of_wall` is the sorter's chance that it is
    of one."""
    furthest = _FURTHEST_OF_A_WALL if of_wall > _OF_A_WALL else _FURTHEST
    return bool(by) and not by[0].inside and min(b.apart for b in by) >= furthest


Stretch = tuple[Point, Point]


@dataclass(frozen=True)
class _Ring:
    """The walls as arrays: their starts, runs (n x 2, pixels) and lengths, the room and the lines as shapes."""

    starts: NDArray[np.float64]
    runs: NDArray[np.float64]
    lengths: NDArray[np.float64]
    room: Polygon
    lines: Any
    diagonal: float


@lru_cache(maxsize=8)
def _ring(walls: tuple[OutlineWall, ...]) -> _Ring:
    ends = np.array([(w.start, w.end) for w in walls], np.float64)
    runs = ends[:, 1] - ends[:, 0]
    room = Polygon(ends[:, 0])
    x0, y0, x1, y1 = room.bounds
    lengths = np.maximum(np.hypot(*runs.T), 1e-6)
    return _Ring(
        ends[:, 0], runs, lengths, room, shapely.linestrings(ends), max(hypot(x1 - x0, y1 - y0), 1.0)
    )


def standings(
    box: Box, walls: Sequence[OutlineWall], stretch: Stretch | None = None
) -> tuple[WallStanding, ...]:
    """How a text stands to each wall, likeliest first; empty where there are no walls. `stretch` is the stretch of wall
    that it seems to be of, clockwise round the room."""
    if not walls:
        return ()
    ring = _ring(tuple(walls))
    found = _all_standings(box, walls, ring)
    odds = np.array([_odds(s) for s in found])
    if stretch is not None:
        odds = odds**_NEARNESS * _lies_on(np.asarray(stretch, np.float64), ring)
    odds = odds / max(float(odds.sum()), 1e-12)
    weighed = [replace(s, weight=float(o)) for s, o in zip(found, odds, strict=True)]
    return tuple(sorted(weighed, key=lambda s: -s.weight))


def _all_standings(box: Box, walls: Sequence[OutlineWall], ring: _Ring) -> list[WallStanding]:
    shape = Polygon(box)
    middle = np.mean(box, axis=0)
    text = np.asarray(box[1]) - np.asarray(box[0])
    units = ring.runs / ring.lengths[:, None]
    apart = shapely.distance(shape, ring.lines) / ring.diagonal
    along = ((middle - ring.starts) * units).sum(axis=1) / ring.lengths
    turned = np.abs(units @ text) > _RUNS_ALONG * float(np.hypot(*text))
    inside = bool(ring.room.contains(shape.centroid))
    return [
        WallStanding(w.wall, float(apart[n]), float(along[n]), inside, bool(turned[n]))
        for n, w in enumerate(walls)
    ]


def _odds(s: WallStanding) -> float:
    """Falls off with the distance, faster past the wall's corners; a text along the wall is likelier its
    own."""
    past = max(0.0, -s.along, s.along - 1)
    return (
        float(
            np.exp(-s.apart / _NEAR_A_WALL - _PAST_ITS_END * min(past, 1.0))
            * (1.0 if s.turned else _ACROSS_IT)
        )
        + 1e-9
    )


def _lies_on(stretch: NDArray[np.float64], ring: _Ring) -> NDArray[np.float64]:
    """For each wall: falls off as the stretch's ends and middle lie off it, and as it runs another way."""
    points = np.vstack([stretch[:1], stretch.mean(axis=0, keepdims=True), stretch[1:]])
    units = ring.runs / ring.lengths[:, None]
    off = points[None] - ring.starts[:, None]
    along = np.clip((off * units[:, None]).sum(axis=2), 0.0, ring.lengths[:, None])
    distance = (
        np.hypot(*np.moveaxis(off - along[..., None] * units[:, None], 2, 0)).mean(axis=1) / ring.diagonal
    )
    way = stretch[1] - stretch[0]
    same = units @ way / max(float(np.hypot(*way)), 1e-6)
    return np.asarray(np.exp(-distance / _NEAR_A_STRETCH + _SAME_WAY * (same - 1)) + 1e-12)
