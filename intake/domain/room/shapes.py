"""Convex shapes in the plane, in any unit: what a piece of wall or a door takes up, and whether two of them meet."""

from __future__ import annotations

import math

from intake.model.examination import PlacedWall

RoomPoint = tuple[float, float]
Shape = tuple[RoomPoint, ...]
"""Corners of a convex shape, in order; two points are a line."""


def meet(a: Shape, b: Shape, by: float = 1e-9) -> bool:
    """Whether convex shapes share more than `by` every way (separating axes: no side's normal parts them)."""
    for one in (a, b):
        for (xa, ya), (xb, yb) in zip(one, one[1:] + one[:1], strict=True):
            length = math.hypot(xb - xa, yb - ya)
            if length < 1e-9:
                continue
            nx, ny = (yb - ya) / length, (xa - xb) / length
            first = [x * nx + y * ny for x, y in a]
            second = [x * nx + y * ny for x, y in b]
            if max(first) <= min(second) + by or max(second) <= min(first) + by:
                return False
    return True


def on_wall(wall: PlacedWall, run: float, off: float) -> RoomPoint:
    """The point `run` mm along a placed wall and `off` mm into the room (negative: into the wall)."""
    dx, dy = wall.end[0] - wall.start[0], wall.end[1] - wall.start[1]
    length = math.hypot(dx, dy) or 1.0
    ux, uy = dx / length, dy / length
    return wall.start[0] + run * ux - off * uy, wall.start[1] + run * uy + off * ux


def in_front(wall: PlacedWall, start: float, end: float, depth: float) -> Shape:
    """The rectangle in front of a stretch of wall."""
    return tuple(
        on_wall(wall, run, off) for run, off in ((start, 0.0), (end, 0.0), (end, depth), (start, depth))
    )


def quarter(wall: PlacedWall, hinge: float, latch: float) -> Shape:
    """What a door's leaf sweeps, opening a quarter turn into the room."""
    width, sign = abs(latch - hinge), 1.0 if latch > hinge else -1.0
    turns = [math.radians(90.0 * n / 12) for n in range(13)]
    arc = [(hinge + sign * width * math.cos(t), width * math.sin(t)) for t in turns]
    return tuple(on_wall(wall, run, off) for run, off in ((hinge, 0.0), *arc))
