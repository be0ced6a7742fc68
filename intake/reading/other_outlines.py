"""Other outlines that the same strokes may mean: the one found with a few of its walls taken away, or cut along a line.

An extension line that touches a wall, a door's leaf outside the room or a shelf drawn like a wall puts a bump on the
outline, of walls that no number measures; a dimension line and its ends shut in a strip beside a wall, or the corner
that a splay cuts off. Which outline is the room's, the numbers say (sketch.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing, LineString, Polygon
from shapely.ops import split

from intake.reading.outline import Corners, PixelPoint, straightened
from intake.reading.sorter import Ink, Sorted
from intake.reading.strokes import Line

_MOST_WALLS = 4
"""So many walls in a row are taken away at once."""
_MOST_AREA = 0.2
"""They change the room by this share of its area at most."""
_LEAST_CUT = 0.005
"""What is cut off is more than this share of the room: less is a wall's own thickness (judgement)."""
_LIKE, _APART = 0.26, 0.035
"""Two walls within this angle (its sine) run the same way; nearer than this, in diagonals, they are one."""
_SHARE = 90
_DRAWN = [Ink.WALL, Ink.OPENING, Ink.LINE, Ink.OTHER]
_ON = 0.012
"""How far to either side of a wall its ink lies, in diagonals."""
_STEPS = 60
_OUTSIDE = 0.2
"""A pixel less likely inside than this is held for outside (judgement)."""
_OFF, _LITTLE = 0.02, 0.01
"""A place this far, in diagonals, from the other outline is taken away; less than the second of that is nothing."""


def simpler(corners: Corners) -> Iterator[Corners]:
    """The outlines (n x 2, clockwise) with one to four neighbouring walls taken away, their neighbours drawn on until
    they meet."""
    count = len(corners)
    whole = _area(corners)
    diagonal = float(np.hypot(*np.ptp(corners, axis=0)))
    for gone in range(1, _MOST_WALLS + 1):
        if count - gone < 4:
            return
        for start in range(count):
            ring = np.roll(corners, -start, axis=0)
            found = _without(ring, gone, diagonal)
            if found is None or len(found) < 4:
                continue
            if (
                abs(_area(found) - whole) < _MOST_AREA * whole
                and _area(found) > 0
                and _sound(found, diagonal)
            ):
                yield found


def _without(ring: Corners, gone: int, diagonal: float) -> Corners | None:
    """The ring without walls 1 to `gone`; wall n runs from corner n to corner n + 1."""
    before, after = (ring[0], ring[1]), (ring[gone + 1], ring[(gone + 2) % len(ring)])
    u, v = _unit(before), _unit(after)
    cross = float(u[0] * v[1] - u[1] * v[0])
    rest = ring[gone + 2 :]
    if abs(cross) > _LIKE:
        off = after[0] - before[0]
        along = float(off[0] * v[1] - off[1] * v[0]) / cross
        return np.vstack([ring[:1], before[0] + along * u, rest])
    off = after[0] - before[0]
    if float(u @ v) < 0 or abs(float(off[0] * u[1] - off[1] * u[0])) > _APART * diagonal:
        return None
    return np.vstack([ring[:1], rest])


def cut(corners: Corners, lines: Sequence[Line]) -> Iterator[Corners]:
    """The outlines (n x 2, clockwise) with a part taken away that one of the lines drawn cuts off; lines in the pixels
    of the corners."""
    room = Polygon(corners)
    if not room.is_valid:
        return
    diagonal = float(np.hypot(*np.ptp(corners, axis=0)))
    for line in lines:
        parts = sorted(
            split(room, LineString([line.at(-3 * diagonal), line.at(3 * diagonal)])).geoms,
            key=lambda part: part.area,
        )
        for part in parts[:-1]:
            rest = room.difference(part)
            if not _LEAST_CUT < part.area / room.area < _MOST_AREA or not isinstance(rest, Polygon):
                continue
            ring = np.asarray(shapely.remove_repeated_points(shapely.normalize(rest)).exterior.coords[:-1])
            found = straightened(
                ring if _area(ring) > 0 else ring[::-1],
                lambda _, a, b, __: float(np.hypot(*(b - a))) < _LEAST_WALL * diagonal,
            )
            if len(found) >= 4 and _area(found) > 0 and _sound(found, diagonal):
                yield found


def _unit(wall: tuple[PixelPoint, PixelPoint]) -> NDArray[np.float64]:
    run = wall[1] - wall[0]
    return np.asarray(run / max(float(np.hypot(*run)), 1e-9))


_LEAST_WALL = 0.02
"""No wall is shorter, in diagonals of the room (set by hand, no source)."""


def _sound(corners: Corners, diagonal: float) -> bool:
    """Whether no wall has come to nothing or turned round, and each is left with some length."""
    runs = np.roll(corners, -1, axis=0) - corners
    return bool((np.hypot(*runs.T) > _LEAST_WALL * diagonal).all())


def _area(corners: Corners) -> float:
    x, y = corners.T
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) / 2.0)


def bare(corners: Corners, ink: Sorted) -> float:
    """How much of an outline bears no ink of a wall or an opening, in diagonals of the room."""
    shares = np.maximum(ink.kinds[Ink.WALL], ink.kinds[Ink.OPENING])
    diagonal = _diagonal(corners)
    ends = zip(corners, np.roll(corners, -1, axis=0), strict=True)
    return sum(
        float((~_inked(a, b, shares, diagonal)).mean() * np.hypot(*(b - a))) / diagonal for a, b in ends
    )


def grown(corners: Corners, other: Corners, ink: Sorted) -> float:
    """How much `other` adds to an outline that the sorter holds for outside, in squared diagonals of the room."""
    within, added = (np.zeros(ink.inside.shape, np.uint8) for _ in range(2))
    cv2.fillPoly(within, [corners.round().astype(np.int32)], (1,))
    cv2.fillPoly(added, [other.round().astype(np.int32)], (1,))
    return float(((added > within) & (ink.inside < _OUTSIDE)).sum()) / _diagonal(corners) ** 2


def solid(corners: Corners, other: Corners, ink: Sorted) -> tuple[float, float]:
    """Of what `other` takes away from an outline the share that is drawn as wall, and that drawn at all: a dimension
    line along a short wall hides it. 0 where it takes little."""
    diagonal, kept = _diagonal(corners), LinearRing(other)
    wall, drawn = ink.kinds[Ink.WALL], ink.kinds[_DRAWN].max(axis=0)
    gone, walls, strokes = 0.0, 0.0, 0.0
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        off = shapely.distance(kept, shapely.points(_places(a, b))) > _OFF * diagonal
        step = float(np.hypot(*(b - a))) / _STEPS / diagonal
        gone += step * float(off.sum())
        walls += step * float((off & _inked(a, b, wall, diagonal)).sum())
        strokes += step * float((off & _inked(a, b, drawn, diagonal)).sum())
    return (walls / gone, strokes / gone) if gone > _LITTLE else (0.0, 0.0)


def _diagonal(corners: Corners) -> float:
    return max(float(np.hypot(*np.ptp(corners, axis=0))), 1.0)


def _places(a: PixelPoint, b: PixelPoint) -> NDArray[np.float64]:
    return np.asarray(a + (b - a) * ((np.arange(_STEPS) + 0.5) / _STEPS)[:, None])


def _inked(a: PixelPoint, b: PixelPoint, shares: NDArray[np.uint8], diagonal: float) -> NDArray[np.bool_]:
    """At which places along a wall there is ink of the shares."""
    run = b - a
    normal = np.array([-run[1], run[0]]) / max(float(np.hypot(*run)), 1e-9)
    off = np.arange(-_ON * diagonal, _ON * diagonal + 1)
    points = (_places(a, b)[:, None] + off[None, :, None] * normal).round().astype(int)
    xs = np.clip(points[..., 0], 0, shares.shape[1] - 1)
    ys = np.clip(points[..., 1], 0, shares.shape[0] - 1)
    return np.asarray(shares[ys, xs].max(axis=1) >= _SHARE)
