"""The open sides of a room: where two walls end free, face to face, and nothing is drawn from the one to the other.

The minimum cut (outline.py) parts the page along drawn lines only, so it would close such a room at the last line that
crosses it. A line between the two free ends lets it close the room where its walls end.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from intake.reading.strokes import Line

_FREE = 0.05
"""A line's end is free where no other line's strokes come nearer, in diagonals of the drawing."""
_WIDEST_TURN, _ACROSS = 0.35, 0.5
"""Sines: of the angle between two walls that end at one open side, and of that by which the side may lean."""
_NARROWEST = 0.12
"""An open side is no narrower, in diagonals: a narrower one is a doorway in a wall."""
_WITHIN, _BEYOND = 0.1, 0.04
"""So far within and beyond the side, in diagonals, the room lies and lies no more: the sorter frays where nothing is
drawn. All were set by hand, no source."""
_FRAYS = 0.15
_PLACES = (0.25, 0.5, 0.75)
"""Ends within so much of a diagonal of a side count for it; a side is looked at in three places (set by hand)."""


def open_sides(lines: Sequence[Line], diagonal: float, inside: NDArray[np.float32]) -> list[Line]:
    """Lines from free end to free end (pixels of `inside`, the chance to lie in the room)."""
    ends = [end for n in range(len(lines)) for end in _free_ends(n, lines, _FREE * diagonal)]
    found = (_side(a, b, diagonal, inside) for a, b in combinations(ends, 2))
    return [line for line in found if line is not None]


def beside(at: NDArray[np.float64], sides: Sequence[Line], diagonal: float) -> bool:
    """Whether a point lies so near to an open side that the room's rim frays there."""
    return any(_off(at, side) < _FRAYS * diagonal for side in sides)


_End = tuple[NDArray[np.float64], NDArray[np.float64]]
"""Where a line ends, and the way it would run on."""


def _free_ends(n: int, lines: Sequence[Line], apart: float) -> Iterator[_End]:
    line = lines[n]
    for reach, way in zip(line.reach, (-line.along, line.along), strict=True):
        at = line.at(reach)
        if all(_off(at, other) > apart for m, other in enumerate(lines) if m != n and _crosses(line, other)):
            yield at, way


def _crosses(a: Line, b: Line) -> bool:
    return _sine(a.along, b.along) > _WIDEST_TURN


def _sine(a: NDArray[np.float64], b: NDArray[np.float64]) -> float:
    return abs(float(a[0] * b[1] - a[1] * b[0]))


def _off(at: NDArray[np.float64], line: Line) -> float:
    """How far a point lies off the stretch that a line's strokes take up."""
    along = float(np.clip((at - line.point) @ line.along, *line.reach))
    return float(np.hypot(*(line.at(along) - at)))


def _side(a: _End, b: _End, diagonal: float, inside: NDArray[np.float32]) -> Line | None:
    """The line between two free ends, where the room ends there."""
    (start, way), (stop, other) = a, b
    length = float(np.hypot(*(stop - start)))
    if length < _NARROWEST * diagonal or _sine(way, other) > _WIDEST_TURN or float(way @ other) < 0:
        return None
    along, out = (stop - start) / length, (way + other) / np.hypot(*(way + other))
    if abs(float(along @ out)) > _ACROSS:
        return None
    places = start + (stop - start) * np.array(_PLACES)[:, None]
    within, beyond = (_chance(places + out * by * diagonal, inside) for by in (-_WITHIN, _BEYOND))
    if within < 0.5 or beyond > 0.5:
        return None
    return Line(start, along, (0.0, length), 0.0)


def _chance(places: NDArray[np.float64], inside: NDArray[np.float32]) -> float:
    """The middle chance of some places to lie in the room."""
    xs, ys = (np.clip(places[:, n].round().astype(int), 0, inside.shape[1 - n] - 1) for n in (0, 1))
    return float(np.median(inside[ys, xs]))
