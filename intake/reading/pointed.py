"""Lengths that stand away from their piece of wall, with a leader to it: the stretch is the piece at which that ends.

The sorter was taught that a length stands by its stretch; where there was no room, a leader says better.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from intake.model.reading import OutlineWall, Span
from intake.reading.leaders import Leader
from intake.reading.numbers import CHAIN, LEAST_WEIGHT, Placed, stand_at
from intake.reading.openings import piece_at
from intake.reading.walls import Stretch, standings

_Floats = NDArray[np.float64]
_THOUGHT_OF = 0.1
"""From this chance on to be a section or an opening a number's leader is looked at (set by hand)."""
_ON = 0.012
"""A leader ends at a wall that it comes so near to, in diagonals of the room."""
_CROSSING, _OPPOSITE = 0.5, -0.94
"""The sine from which on it comes to a wall rather than runs along it; two strokes whose cosine is less than the second
are one line through the number. All were set by hand on 138 sheets of nine drawers: 27 of 29 leaders told so end at
their number's own piece; of strokes behind whose start a line runs on, mostly lines to a dimension line's ends, 7 of
34."""


def led_to_its_piece(
    place: Placed,
    leaders: Sequence[Leader],
    walls: Sequence[OutlineWall],
    open_spans: Mapping[int, Sequence[Span]],
) -> Placed:
    """A number with the stretch to which its leader leads, if it has one and no dimension line; `leaders` in the
    picture's pixels, `open_spans` the openings of each wall."""
    along = sum(place.roles.get(role, 0.0) for role in CHAIN) > _THOUGHT_OF
    stretch = _stretch(leaders, walls, open_spans) if along and not place.line else None
    if stretch is None:
        return place
    told = replace(place.told, stretch=stretch)
    by = standings(place.box, walls, stretch)
    stands = tuple(stand_at(s, walls, told, open_spans) for s in by if s.weight > LEAST_WEIGHT)
    return replace(place, told=told, stands=stands)


def _stretch(
    leaders: Sequence[Leader], walls: Sequence[OutlineWall], open_spans: Mapping[int, Sequence[Span]]
) -> Stretch | None:
    """The piece of wall, from end to end, at which the best drawn leader ends."""
    starts = np.array([wall.start for wall in walls])
    runs = np.array([wall.end for wall in walls]) - starts
    diagonal = float(np.hypot(*np.ptp(starts, axis=0)))
    for leader in sorted(leaders, key=lambda each: -each.head):
        off = leader.end - starts
        along = np.clip((off * runs).sum(axis=1) / np.maximum((runs**2).sum(axis=1), 1e-6), 0.0, 1.0)
        apart = np.hypot(*(off - along[:, None] * runs).T)
        n = int(apart.argmin())
        if apart[n] < _ON * diagonal and _leads(leader, leaders, runs[n]):
            (low, high), _ = piece_at(float(along[n]), open_spans.get(walls[n].wall, ()))
            ends = starts[n] + np.array([[low], [high]]) * runs[n]
            return tuple(map(float, ends[0])), tuple(map(float, ends[1]))  # type: ignore[return-value]
    return None


def _leads(leader: Leader, others: Sequence[Leader], wall: _Floats) -> bool:
    """Whether a stroke that ends at a wall comes to it from its number, with more of an arrow's head than it begins off
    its label (in heights), and is no line that passes by or through."""
    way, along = _unit(leader.end - leader.start), _unit(wall)
    through = any(float(_unit(other.end - other.start) @ way) < _OPPOSITE for other in others)
    crossing = abs(float(way[0] * along[1] - way[1] * along[0]))
    return leader.head > leader.gap and not leader.passing and not through and crossing > _CROSSING


def _unit(way: _Floats) -> _Floats:
    return np.asarray(way / max(float(np.hypot(*way)), 1e-6))
