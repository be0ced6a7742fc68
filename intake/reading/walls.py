"""The outline in the terms of the model, and which wall a number stands by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan2, degrees, hypot

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely import Point as Point2D

from intake.model.reading import Box, Direction, OutlineWall, Point

_NEARNESS = 0.3
"""How much standing near a wall counts beside where the stretch lies that the text seems to be of."""
_SQUARE = 25.0
"""A wall within this many degrees of an axis of the picture runs E, S, W or N."""


def numbered(corners: NDArray[np.float64]) -> tuple[OutlineWall, ...]:
    """Walls of a clockwise chain of corners (picture pixels), the first starting nearest the picture's top
    left."""
    first = int(np.argmin(np.hypot(corners[:, 0], corners[:, 1])))
    ring = [(float(x), float(y)) for x, y in np.roll(corners, -first, axis=0)]
    return tuple(
        OutlineWall(i, start, end, _direction(start, end))
        for i, (start, end) in enumerate(zip(ring, ring[1:] + ring[:1], strict=True))
    )


def _direction(start: tuple[float, float], end: tuple[float, float]) -> Direction:
    angle = degrees(atan2(end[1] - start[1], end[0] - start[0]))
    quarter = round(angle / 90)
    if abs(angle - 90 * quarter) > _SQUARE:
        return Direction.OTHER
    return (Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH)[quarter % 4]


@dataclass(frozen=True)
class Standing:
    """How a text stands to one wall. `apart` is its distance in diagonals of the room, `along` where on the
    wall its middle falls (0 to 1, beyond them past the corners); `inside` the room or not; `turned` whether it
    runs the way the wall does; `weight` the odds that it belongs there, adding up to 1."""

    wall: int
    apart: float
    along: float
    inside: bool
    turned: bool
    weight: float = 0.0


Stretch = tuple[Point, Point]


def standings(box: Box, walls: Sequence[OutlineWall], stretch: Stretch | None = None) -> tuple[Standing, ...]:
    """How a text stands to each wall, likeliest first; empty where there are no walls. `stretch` is the stretch of wall
    that it seems to be of, clockwise round the room."""
    if not walls:
        return ()
    room = Polygon([w.start for w in walls])
    x0, y0, x1, y1 = room.bounds
    diagonal = max(hypot(x1 - x0, y1 - y0), 1.0)
    found = [_standing(Polygon(box), box, wall, room, diagonal) for wall in walls]
    odds = np.array([_odds(s) for s in found])
    if stretch is not None:
        odds = odds**_NEARNESS * np.array([_lies_on(stretch, wall, diagonal) for wall in walls])
    odds = odds / max(float(odds.sum()), 1e-12)
    weighed = [replace(s, weight=float(o)) for s, o in zip(found, odds, strict=True)]
    return tuple(sorted(weighed, key=lambda s: -s.weight))


def _standing(shape: Polygon, box: Box, wall: OutlineWall, room: Polygon, diagonal: float) -> Standing:
    line = LineString([wall.start, wall.end])
    middle = np.mean(box, axis=0)
    start, end = np.asarray(wall.start), np.asarray(wall.end)
    run = (end - start) / max(line.length, 1e-6)
    text = np.asarray(box[1]) - np.asarray(box[0])
    size = float(np.hypot(*text))
    return Standing(
        wall.wall,
        float(shape.distance(line)) / diagonal,
        float((middle - start) @ run) / max(line.length, 1e-6),
        bool(room.contains(shape.centroid)),
        abs(float(text @ run)) > 0.7 * size,
    )


def _odds(s: Standing) -> float:
    """Falls off with the distance, faster past the wall's corners; a text along the wall is likelier its
    own."""
    past = max(0.0, -s.along, s.along - 1)
    return float(np.exp(-s.apart / 0.025 - 6 * min(past, 1.0)) * (1.0 if s.turned else 0.55)) + 1e-9


def span_on(wall: OutlineWall, stretch: Stretch) -> tuple[float, float]:
    """Where a stretch lies along a wall, from 0 to 1."""
    start, run = np.asarray(wall.start), np.subtract(wall.end, wall.start)
    low, high = sorted(
        float(np.clip((np.asarray(p) - start) @ run / max(float(run @ run), 1e-6), 0, 1)) for p in stretch
    )
    return low, high


def _lies_on(stretch: Stretch, wall: OutlineWall, diagonal: float) -> float:
    """Falls off as the stretch's ends and middle lie off the wall, and as it runs another way."""
    line = LineString([wall.start, wall.end])
    middle = ((stretch[0][0] + stretch[1][0]) / 2, (stretch[0][1] + stretch[1][1]) / 2)
    off = np.mean([line.distance(Point2D(p)) for p in (stretch[0], middle, stretch[1])]) / diagonal
    run, way = np.subtract(wall.end, wall.start), np.subtract(stretch[1], stretch[0])
    same = float(run @ way) / max(float(np.hypot(*run) * np.hypot(*way)), 1e-6)
    return float(np.exp(-off / 0.02 + 1.5 * (same - 1))) + 1e-12
