"""How well a number agrees with the distance from corner to corner of the room that the other numbers make: what
tells a diagonal from a ceiling height or a length across the room, by Pythagoras.

The levels of the room are adjusted from the lengths that agree, each about where it is drawn as broadly as in the sums
(domain/sketch/sums); a distance is as sure as the levels of its corners. Where the room's corners are not known yet it
is as good as unknown, and nothing follows.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from intake.domain.lengths.plausible import USUAL
from intake.domain.room.adjusting import Array
from intake.domain.sketch.meaning import Meaning
from intake.domain.sketch.outline_levels import Levels
from intake.domain.sketch.sums import LEVEL_SHARE
from intake.model.reading import Point, Role
from intake.model.room import OVERALL_SIGMA_MM, SECTION_SIGMA_MM

_OUT_OF_SQUARE_MM = 15.0
"""Deviation of a distance across a room whose corners are taken for square (common practice, no source)."""
_OTHERWISE = 0.1
"""How often a diagonal agrees with no two corners: it may run to a point of a wall (judgement)."""
_OFF_LINE = 0.12
"""Spread of how far a number stands off the line between its corners, as a share of that line."""
_ANYWHERE = 0.05
"""What a pair of corners counts at least, wherever the number stands."""


class Diagonal(NamedTuple):
    """From one corner to another, by the order of the walls whose starts they are: how long, how surely (mm)."""

    corners: tuple[int, int]
    length_mm: float
    sd_mm: float


def corner_distances(meanings: Sequence[Meaning], levels: Levels, scale: float) -> list[Diagonal]:
    """The distances between corners that share no wall, by the lengths along the walls among `meanings`; `scale` is
    millimetres a pixel."""
    places = {level: n for n, level in enumerate(itertools.chain(*levels.nets()[:2]))}
    centre, covariance = _levels(list(_lengths(meanings, levels)), places, levels, scale)
    found = []
    count = len(levels.walls)
    for a, b in itertools.combinations(range(count), 2):
        if b - a in (1, count - 1):
            continue
        ends = [(places[i], places[j]) for i, j in zip(levels.corner(a), levels.corner(b), strict=True)]
        steps = np.array([centre[j] - centre[i] for i, j in ends])
        length = float(np.hypot(*steps))
        turn = np.zeros(len(places))
        for (i, j), step in zip(ends, steps, strict=True):
            turn[j] += step / max(length, 1.0)
            turn[i] -= step / max(length, 1.0)
        found.append(Diagonal((a, b), length, math.sqrt(float(turn @ covariance @ turn))))
    return found


def _lengths(meanings: Sequence[Meaning], levels: Levels) -> Iterator[tuple[int, int, float, float]]:
    """(low, high, millimetres, deviation) of each overall, and of each wall whose sections all say a length."""
    sections: dict[int, list[Meaning]] = {}
    for m in meanings:
        if m.role is Role.SECTION and m.wall is not None:
            sections.setdefault(m.wall, []).append(m)
        elif m.role is Role.OVERALL and m.levels is not None and m.value is not None:
            yield *m.levels, m.value, OVERALL_SIGMA_MM
    for wall, held in sections.items():
        values = [m.value for m in held if m.value is not None]
        if len(values) == len(held):
            yield *levels.of_wall(wall), sum(values), SECTION_SIGMA_MM * math.sqrt(len(held))


def _levels(
    lengths: Sequence[tuple[int, int, float, float]], places: Mapping[int, int], levels: Levels, scale: float
) -> tuple[Array, Array]:
    """Where the levels lie (mm), and their covariance."""
    drawn = np.array([levels.at(level) * scale for level in places])
    information = np.zeros((len(places), len(places)))
    pull = np.zeros(len(places))
    for net in levels.nets()[:2]:
        at = [places[level] for level in net]
        spread = LEVEL_SHARE * max(float(np.ptp(drawn[at])), 1.0)
        information[at, at] += spread**-2
        pull[at] += drawn[at] * spread**-2
    for low, high, value, sigma in lengths:
        if low not in places:
            continue
        row = np.zeros(len(places))
        row[places[low]], row[places[high]] = -1.0, 1.0
        information += np.outer(row, row) / sigma**2
        pull += row * value / sigma**2
    covariance = np.asarray(np.linalg.inv(information), np.float64)
    return covariance @ pull, covariance


def diagonal_log(value_mm: float, at: Point, distances: Sequence[Diagonal], levels: Levels) -> float:
    """How much likelier a diagonal says `value_mm` in this room than in any (a log factor); the number stands `at`."""
    if not distances:
        return 0.0
    near = np.array([max(_ANYWHERE, _beside(at, d, levels)) for d in distances])
    sd = np.array([math.hypot(d.sd_mm, OVERALL_SIGMA_MM, _OUT_OF_SQUARE_MM) for d in distances])
    off = (value_mm - np.array([d.length_mm for d in distances])) / sd
    density = np.exp(-off * off / 2.0) / (sd * math.sqrt(2.0 * math.pi))
    told = float((near * density).sum() / near.sum()) * value_mm
    return math.log((1.0 - _OTHERWISE) * told / USUAL[Role.DIAGONAL].density(value_mm) + _OTHERWISE)


def _beside(at: Point, distance: Diagonal, levels: Levels) -> float:
    """How near the line between two corners a number stands, 0 to 1."""
    start, end = (np.array(levels.walls[corner].start) for corner in distance.corners)
    step, off = end - start, np.array(at) - start
    square = max(float(step @ step), 1e-9)
    along, aside = float(off @ step) / square, abs(float(step[0] * off[1] - step[1] * off[0])) / square
    return math.exp(-((aside / _OFF_LINE) ** 2) / 2.0) if 0.0 < along < 1.0 else 0.0
