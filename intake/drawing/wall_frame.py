"""From distances along and off a wall to points on paper."""

from __future__ import annotations

import math
from dataclasses import dataclass

from intake.drawing.display import PaperPoint
from intake.model.examination import PlacedWall

UPRIGHT_DEG = 0.01
"""A wall this near upright is lettered as one that is upright: from the right-hand side."""
IN_LINE = 0.05
"""Sine of the turn below which two walls count as one straight line, without a mitre (set by hand)."""
Quad = tuple[PaperPoint, PaperPoint, PaperPoint, PaperPoint]


@dataclass(frozen=True)
class WallFrame:
    """One wall on paper. `origin` is its start, `along` the unit vector of its run, `per_mm` paper mm a real mm."""

    origin: PaperPoint
    along: PaperPoint
    per_mm: float
    length: float

    def at(self, run: float, off: float = 0.0) -> PaperPoint:
        """The point `run` real mm along the wall and `off` real mm into the room (negative: into the wall)."""
        return self.shifted(run, off * self.per_mm)

    def shifted(self, run: float, off_paper: float) -> PaperPoint:
        """The same with the distance off the wall in mm on paper."""
        (x, y), (ux, uy) = self.origin, self.along
        s = run * self.per_mm
        return x + ux * s - uy * off_paper, y + uy * s + ux * off_paper

    def quad(self, start: float, end: float, near: float, far: float) -> Quad:
        """A rectangle on the wall in real mm."""
        return self.at(start, near), self.at(end, near), self.at(end, far), self.at(start, far)

    @property
    def text_angle(self) -> float:
        """The angle of lettering along the wall: read from below or from the right-hand side (ISO 129-1)."""
        angle = -math.degrees(math.atan2(self.along[1], self.along[0]))
        angle = (angle + 90.0) % 180.0 - 90.0
        return 90.0 if angle <= -90.0 + UPRIGHT_DEG else angle


def up_of(angle: float) -> PaperPoint:
    """Which way is up for lettering at an angle, on paper."""
    turn = math.radians(angle)
    return -math.sin(turn), -math.cos(turn)


def frame_of(wall: PlacedWall, origin: PaperPoint, per_mm: float) -> WallFrame:
    """The frame of a placed wall on a sheet where the room's (0, 0) lies at `origin`."""
    dx, dy = wall.end[0] - wall.start[0], wall.end[1] - wall.start[1]
    length = math.hypot(dx, dy)
    along = (dx / length, dy / length) if length else (1.0, 0.0)
    start = origin[0] + wall.start[0] * per_mm, origin[1] + wall.start[1] * per_mm
    return WallFrame(start, along, per_mm, length)


def mitre(one: WallFrame, other: WallFrame, thick: float) -> PaperPoint:
    """Where the outer faces of two walls that follow each other meet."""
    (ax, ay), (bx, by) = one.along, other.along
    corner = other.at(0.0)
    cross = ax * by - ay * bx
    if abs(cross) < IN_LINE:
        return other.shifted(0.0, -thick)
    # Both offset lines pass at `thick` to the left of their wall; solve for the point on both.
    ox, oy = one.shifted(one.length, -thick), other.shifted(0.0, -thick)
    t = ((oy[0] - ox[0]) * by - (oy[1] - ox[1]) * bx) / cross
    point = ox[0] + t * ax, ox[1] + t * ay
    return point if math.dist(point, corner) < 4 * thick else other.shifted(0.0, -thick)
