"""How much of the room the photographs show."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from intake.model.phrase import Gap, Phrase, phrase
from intake.model.picture import Overlap

FILM_DIAGONAL = math.hypot(36.0, 24.0)  # mm; a "35 mm equivalent" focal length refers to this frame


class FieldOfView(NamedTuple):
    """Degrees seen across and up."""

    across: float
    up: float


def field_of_view(focal_length_35mm: float, width: int, height: int) -> FieldOfView:
    """2 atan(d / 2f) on a frame of the picture's own shape with the 35 mm diagonal (equivalence by diagonal, which is
    what telephones write; from memory). Width and height in pixels, upright."""
    diagonal = math.hypot(width, height)
    sides = (FILM_DIAGONAL * width / diagonal, FILM_DIAGONAL * height / diagonal)
    across, up = (2 * math.degrees(math.atan(side / (2 * focal_length_35mm))) for side in sides)
    return FieldOfView(across, up)


@dataclass(frozen=True)
class Coverage:
    """How the room photographs lie round the circle.

    `order` lists all pictures for a contact sheet: those that join, from left to right, then the rest. `directions` are
    degrees to the right of the first in `order`, None for a picture that joins no other. `seen` is the degrees of the
    circle that the joined ones show; `closed` that the last joins the first again. `gap` is
    the widest unseen arc (from, to), only where every picture is placed.
    """

    order: tuple[int, ...]
    directions: tuple[float | None, ...]
    seen: float
    closed: bool
    gap: tuple[float, float] | None

    @property
    def joined(self) -> int:
        return sum(d is not None for d in self.directions)


_CONTRADICTION = 60.0
"""Degrees: an overlap further off than this is a chance likeness (two equal cupboards) and is left out."""


def coverage_of(across: Sequence[float], overlaps: Sequence[Overlap]) -> Coverage:
    """Chain the pictures by their overlaps. `across` is each one's horizontal field of view in degrees."""
    piece = _largest_piece(len(across), overlaps)
    directions: list[float | None] = [None] * len(across)
    closed = False
    if len(piece) > 1:
        placed, closed = _placed(piece, overlaps)
        start = min(placed.values())
        for k, direction in placed.items():
            directions[k] = direction - start
    rest = [k for k in range(len(across)) if directions[k] is None]
    order = sorted((k for k in piece if directions[k] is not None), key=lambda k: directions[k] or 0.0) + rest
    arcs = [(d - across[k] / 2, d + across[k] / 2) for k, d in enumerate(directions) if d is not None]
    seen, gap = _degrees_inside(arcs)
    seen = 360.0 if closed else seen
    return Coverage(tuple(order), tuple(directions), seen, closed, None if rest or closed else gap)


def _largest_piece(count: int, overlaps: Sequence[Overlap]) -> list[int]:
    """The most pictures that hang together: one by itself where none do, none of none."""
    label = list(range(count))
    for o in overlaps:
        old, new = label[o.second], label[o.first]
        label = [new if x == old else x for x in label]
    pieces = [[k for k in range(count) if label[k] == x] for x in dict.fromkeys(label)]
    return max(pieces, key=len, default=[])


def _placed(piece: Sequence[int], overlaps: Sequence[Overlap]) -> tuple[dict[int, float], bool]:
    """Directions by least squares over all overlaps that agree with the strongest chain, give or take whole turns."""
    rough = _along_strongest(piece, overlaps)
    edges = [(o, rough[o.second] - rough[o.first] - o.turn) for o in overlaps if o.first in rough]
    kept = [
        (o, round(off / 360) * 360.0)
        for o, off in edges
        if abs(off - round(off / 360) * 360) < _CONTRADICTION
    ]
    closed = any(turns for _, turns in kept)
    row = {k: n for n, k in enumerate(rough)}
    design, target = np.zeros((len(kept), len(row))), np.zeros(len(kept))
    for n, (o, turns) in enumerate(kept):
        weight = math.sqrt(o.matches)
        design[n, row[o.second]], design[n, row[o.first]] = weight, -weight
        target[n] = weight * (o.turn + turns)
    solved = np.linalg.lstsq(design, target, rcond=None)[0]  # turned as a whole anyhow: the shortest solution
    return {k: float(solved[n]) for k, n in row.items()}, closed


def _along_strongest(piece: Sequence[int], overlaps: Sequence[Overlap]) -> dict[int, float]:
    """Walk from picture to picture, always over the overlap with the most matches (a maximum spanning tree)."""
    placed = {piece[0]: 0.0}
    while len(placed) < len(piece):
        reachable = [o for o in overlaps if (o.first in placed) != (o.second in placed)]
        best = max(reachable, key=lambda o: o.matches)
        if best.first in placed:
            placed[best.second] = placed[best.first] + best.turn
        else:
            placed[best.first] = placed[best.second] - best.turn
    return placed


def _degrees_inside(arcs: Sequence[tuple[float, float]]) -> tuple[float, tuple[float, float] | None]:
    """Degrees of the circle inside any arc, and the widest stretch outside all; arcs may wind past a whole turn."""
    if not arcs:
        return 0.0, None
    tops = sorted((low % 360, high - low) for low, high in arcs)
    # Where the arc that goes furthest winds past the whole turn, it covers the beginning as well.
    reach, gaps = max(low + wide for low, wide in tops) - 360, []
    for low, wide in tops:
        if low > reach:
            gaps.append((reach, low))
        reach = max(reach, low + wide)
    unseen = sum(high - low for low, high in gaps)
    return 360 - unseen, max(gaps, key=lambda g: g[1] - g[0], default=None)


class Reach(NamedTuple):
    """Whether the floor's and the ceiling's edge are in view; None where that cannot be told."""

    floor: bool | None
    ceiling: bool | None


# A lens 1.5 m above the floor under a ceiling of 2.4 m, walls 2.4 to 4.6 m away: the floor's edge lies 18 to 32 degrees
# below the lens and the ceiling's 11 to 21 above (atan of 1.5 or 0.9 over the distance). Room sizes are common
# practice, no source. Beyond the outer angle it is in view, short of the inner one it is not, between we do not say.
_FLOOR, _CEILING = (18.0, 32.0), (11.0, 21.0)


def reach_of(up: float, pitch: float | None) -> Reach:
    """From the vertical field of view and the camera's pitch, both in degrees."""
    if pitch is None:
        return Reach(None, None)
    return Reach(_in_view(up / 2 - pitch, _FLOOR), _in_view(up / 2 + pitch, _CEILING))


def _in_view(angle: float, doubt: tuple[float, float]) -> bool | None:
    if angle >= doubt[1]:
        return True
    return False if angle <= doubt[0] else None


def reach_told(reaches: Sequence[Reach]) -> Phrase | None:
    """How many of the photographs show the floor and the ceiling, of those that tell; None for none."""
    said = []
    for name in ("floor", "ceiling"):
        told = [r for reach in reaches if (r := getattr(reach, name)) is not None]
        if told:
            said.append(phrase(f"in-view-{name}", shown=sum(told), of=len(told)))
    return phrase("in-view", what=tuple(said)) if said else None


LEAST_GAP_DEG = 20
"""A narrower gap is within what the turns are known to."""


def coverage_told(coverage: Coverage) -> Phrase:
    """How the photographs lie round the room; it never claims more than was placed."""
    count = len(coverage.order)
    if count < 2:
        return phrase("too-few-to-join")
    if not coverage.joined:
        return phrase("none-joined", count=count)
    rest = count - coverage.joined
    left = phrase("not-placed", count=rest) if rest else ""
    if coverage.closed:
        return phrase("joined-all-round", count=coverage.joined, left=left)
    missing: Gap = ""
    if coverage.gap and coverage.gap[1] - coverage.gap[0] >= LEAST_GAP_DEG:
        wide = 10 * round((coverage.gap[1] - coverage.gap[0]) / 10)
        missing = phrase("gap-in-the-round", degrees=wide, picture=coverage.order[-1] + 1)
    seen = 10 * round(coverage.seen / 10)
    return phrase("joined", count=coverage.joined, degrees=seen, left=left, missing=missing)
