"""What takes floor from a room and what adds to it: breasts, boxing, nibs, curves and alcoves."""

from __future__ import annotations

import numpy as np

from intake.domain.room.net import usable
from intake.model.examination import PlacedRoom
from intake.model.room import Bows, RoomSurvey, Section, SectionKind

TAKES = frozenset({SectionKind.NIB, SectionKind.BOXING, SectionKind.BREAST})
STATIONS = 48
"""Straight pieces that a curve is drawn in."""
Profile = tuple[tuple[float, float], ...]
"""(along, out of the wall into the room) in mm from a section's start."""


def curve_depths(section: Section) -> tuple[float, ...]:
    """The depths of a curve in mm at equal steps along it, ends left out; empty where none was measured."""
    several = tuple(float(d.value_mm or 0) for d in section.depths if usable(d))
    if several and len(several) == len(section.depths):
        return several
    return (float(section.depth.value_mm or 0),) if section.depth and usable(section.depth) else ()


def curve_profile(section: Section, length: float, depths: tuple[float, ...]) -> Profile:
    """A curve over its chord: an arc of a circle through one depth at its middle, a natural spline through several."""
    sign = 1.0 if section.bows is Bows.IN else -1.0
    along = np.linspace(0.0, length, STATIONS + 1)
    if len(depths) == 1:
        off = _arc(along, length, depths[0])
    else:
        from scipy.interpolate import CubicSpline  # half a second to import, for the few walls that curve

        given = np.linspace(0.0, length, len(depths) + 2)
        off = CubicSpline(given, [0.0, *depths, 0.0], bc_type="natural")(along)
    return tuple((float(a), sign * float(o)) for a, o in zip(along, off, strict=True))


def _arc(along: np.ndarray, length: float, rise: float) -> np.ndarray:
    """Radius by the sagitta: r = c^2 / 8h + h / 2."""
    if rise <= 0.0:
        return np.zeros_like(along)
    radius = length * length / (8.0 * rise) + rise / 2.0
    middle = along - length / 2.0
    off = rise - radius + np.sqrt(np.maximum(radius * radius - np.square(middle), 0.0))
    return np.asarray(off, dtype=np.float64)


def net_area(room: RoomSurvey, placed: PlacedRoom) -> int | None:
    """The floor's area in mm2; None where the gross is not known, or a depth was not measured."""
    if placed.area_mm2 is None:
        return None
    total = float(placed.area_mm2)
    for wall, laid in zip(room.walls, placed.walls, strict=True):
        for part in laid.sections:
            taken = _floor_taken(wall.sections[part.index], float(part.end_mm - part.start_mm))
            if taken is None:
                return None
            total -= taken
    return round(total)


def _floor_taken(section: Section, length: float) -> float | None:
    """Floor that a section takes (negative: adds), mm2; None where its depth is wanted and not known."""
    if section.kind is SectionKind.CURVE:
        depths = curve_depths(section)
        profile = np.array(curve_profile(section, length, depths)) if depths else np.zeros((0, 2))
        return float(np.trapezoid(profile[:, 1], profile[:, 0])) if depths else None
    sign = 1.0 if section.kind in TAKES else -1.0 if section.kind is SectionKind.ALCOVE else 0.0
    if not sign:
        return 0.0
    return sign * length * (section.depth.value_mm or 0) if section.depth and usable(section.depth) else None
