"""Straight strokes on the page, and the lines they lie on.

Segments come from the line segment detector of Grompone von Gioi et al. (PAMI 2010). Both edges of a
stroke, the pieces of a wobbly one and the stretches either side of an opening are gathered into one line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Segments = NDArray[np.float64]
"""n x 4: the ends x1, y1, x2, y2 in page pixels."""

_ANGLE = np.radians(5)
_SOFT_PX = 0.8
"""The blur before segments are sought, which joins the steps of a slant stroke."""
_LEAST_SEGMENT = 0.01
"""Shorter segments, in shares of the picture's side, are specks."""
_ARC_PIECE = 2.75
"""Longer pieces, in reaches of an arc, belong to no door's swing. All three were set by hand, no source."""


@dataclass(frozen=True)
class Line:
    """A straight line through `point` along the unit vector `along`; `reach` is where strokes lie on it
    (its least and greatest distance from the point, in pixels) and `length` how much of it they cover, both
    edges counted once."""

    point: NDArray[np.float64]
    along: NDArray[np.float64]
    reach: tuple[float, float]
    length: float

    def at(self, distance: float) -> NDArray[np.float64]:
        return self.point + distance * self.along


def find_segments(ink: NDArray[np.bool_]) -> Segments:
    """Straight pieces of ink."""
    paper = np.where(ink, 0, 255).astype(np.uint8)
    found = cv2.createLineSegmentDetector(cv2.LSD_REFINE_STD).detect(
        cv2.GaussianBlur(paper, (0, 0), _SOFT_PX)
    )[0]
    if found is None:
        return np.zeros((0, 4))
    segments = np.asarray(found, np.float64).reshape(-1, 4)
    return np.asarray(segments[lengths(segments) > _LEAST_SEGMENT * max(ink.shape)])


def lengths(segments: Segments) -> NDArray[np.float64]:
    return np.asarray(np.hypot(segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1]))


@dataclass(frozen=True)
class Lie:
    """How strokes along one axis lie: their slope against it is `slope + drift * offset`, the offset being
    where they cross the other axis; perspective makes parallel walls run together."""

    slope: float
    drift: float

    def along(self, axis: int, offset: float) -> NDArray[np.float64]:
        slope = float(np.clip(self.slope + self.drift * offset, -_ANGLE, _ANGLE))
        across = np.array([1.0, slope]) if axis == 0 else np.array([slope, 1.0])
        return np.asarray(across / np.hypot(*across))


def lie_of(segments: Segments, axis: int) -> Lie:
    """Fitted to the strokes near an axis (0: x, 1: y), the long ones counting most."""
    run = segments[:, 2:] - segments[:, :2]
    slope = run[:, 1 - axis] / np.where(run[:, axis] == 0, 1e-6, run[:, axis])
    near = (abs(slope) < np.tan(_ANGLE)) & (abs(run[:, axis]) > abs(run[:, 1 - axis]))
    if near.sum() < 4:
        return Lie(0.0, 0.0)
    offset = segments[near][:, [1 - axis, 3 - axis]].mean(axis=1)
    weight = lengths(segments[near])
    middle = float(np.average(slope[near], weights=weight**2))
    close = abs(slope[near] - middle) < np.tan(_ANGLE) / 2
    if close.sum() < 4:
        return Lie(middle, 0.0)
    drift, level = np.polyfit(offset[close], slope[near][close], 1, w=weight[close])
    return Lie(float(level), float(drift))


def gather(segments: Segments, apart: float) -> list[Line]:
    """Segments within `apart` pixels of one straight line become that line, longest first."""
    lies = [lie_of(segments, axis) for axis in (0, 1)]
    left = [segments[i] for i in np.argsort(-lengths(segments))]
    lines: list[Line] = []
    while left:
        line = _line_of(np.asarray(left[:1]), lies, apart)
        for _ in range(2):
            near = [s for s in left if _lies_on(s, line, apart)]
            line = _line_of(np.asarray(near or left[:1]), lies, apart)
        taken = [s for s in left if _lies_on(s, line, apart)]
        left = [s for s in left if not _lies_on(s, line, apart)] if taken else left[1:]
        lines.append(line)
    return sorted(lines, key=lambda line: -line.length)


def _lies_on(segment: NDArray[np.float64], line: Line, apart: float) -> bool:
    a, b = segment[:2], segment[2:]
    normal = np.array([-line.along[1], line.along[0]])
    offsets = abs(float((a - line.point) @ normal)), abs(float((b - line.point) @ normal))
    slant = abs(float((b - a) @ normal)) / max(float(np.hypot(*(b - a))), 1e-6)
    return max(offsets) < apart and (slant < np.sin(_ANGLE) or max(offsets) < apart / 3)


def _line_of(segments: Segments, lies: Sequence[Lie], apart: float) -> Line:
    """The line through the segments, each weighing its length: along the sheet's lie where they run that way and it
    takes their ends no further off than `apart` pixels, else by least squares."""
    ends = segments.reshape(-1, 2)
    weight = np.repeat(lengths(segments), 2)
    centre = np.average(ends, axis=0, weights=weight)
    spread = (ends - centre).T @ ((ends - centre) * weight[:, None])
    along = np.linalg.eigh(spread)[1][:, 1]
    half = max(float(np.ptp((ends - centre) @ along)) / 2, 1e-6)
    for axis, lie in enumerate(lies):
        usual = lie.along(axis, float(centre[1 - axis]))
        if abs(float(along[0] * usual[1] - along[1] * usual[0])) < min(np.sin(_ANGLE), apart / half):
            along = usual
    reach = (ends - centre) @ along
    return Line(centre, along, (float(reach.min()), float(reach.max())), _covered(segments, centre, along))


def _covered(segments: Segments, centre: NDArray[np.float64], along: NDArray[np.float64]) -> float:
    """How much of the line the segments cover, overlaps counted once."""
    spans = np.sort((segments.reshape(-1, 2, 2) - centre) @ along, axis=1)
    total, end = 0.0, -np.inf
    for start, stop in spans[np.argsort(spans[:, 0])]:
        total += max(0.0, stop - max(start, end))
        end = max(end, stop)
    return float(total)


def without_arcs(lines: list[Line], reach: float) -> list[Line]:
    """The lines without those that are pieces of a door's swing: slant ones that meet another slant one end
    to end."""
    slant = [
        line for line in lines if _slant(line) > np.sin(np.radians(10)) and line.length < _ARC_PIECE * reach
    ]
    arcs = {id(a) for a in slant for b in slant if a is not b and _bends_into(a, b, reach)}
    return [line for line in lines if id(line) not in arcs]


def _slant(line: Line) -> float:
    """The sine of the angle to the nearer axis."""
    return float(np.min(np.abs(line.along)))


def _bends_into(a: Line, b: Line, reach: float) -> bool:
    turn = abs(float(a.along[0] * b.along[1] - a.along[1] * b.along[0]))
    apart = min(float(np.hypot(*(a.at(p) - b.at(q)))) for p in a.reach for q in b.reach)
    return apart < reach and np.sin(np.radians(8)) < turn < np.sin(np.radians(65))


def lying_on(segments: Segments, lines: Sequence[Line], apart: float) -> Segments:
    """The segments that lie on one of the lines."""
    return np.asarray([s for s in segments if any(_lies_on(s, line, apart) for line in lines)]).reshape(-1, 4)
