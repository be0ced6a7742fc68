"""Keeping things on paper apart: which places are taken."""

from __future__ import annotations

from dataclasses import dataclass, field

from shapely.geometry import Point as Point2D
from shapely.geometry import Polygon

from intake.domain.room.shapes import Shape, meet
from intake.drawing.display import PaperPoint, Text
from intake.drawing.wall_frame import WallFrame

FAR_MM = 1e5
"""Further along a wall than any room reaches."""


@dataclass
class Clearance:
    """The convex shapes that are taken on one sheet."""

    taken: list[tuple[tuple[float, float, float, float], Shape]] = field(default_factory=list)

    def take(self, *shapes: Shape) -> None:
        self.taken.extend((_box(s), s) for s in shapes)

    def free(self, shape: Shape) -> bool:
        """Whether a convex shape meets nothing that is taken."""
        box = _box(shape)
        return not any(_boxes_meet(box, other) and meet(shape, s) for other, s in self.taken)

    def free_text(self, text: Text) -> bool:
        return self.free(text.corners())

    def take_text(self, text: Text) -> None:
        self.take(text.corners())


def rectangle(left: float, top: float, right: float, bottom: float) -> Shape:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def inside(point: PaperPoint, outline: list[PaperPoint]) -> bool:
    """Whether a point lies in a polygon (even-odd rule)."""
    x, y = point
    within = False
    for (xa, ya), (xb, yb) in zip(outline, outline[1:] + outline[:1], strict=True):
        if (ya > y) != (yb > y) and x < (xb - xa) * (y - ya) / (yb - ya) + xa:
            within = not within
    return within


def within_depth(outline: list[PaperPoint], frame: WallFrame, depth: float) -> list[Shape]:
    """The parts of a room's outline that lie in front of a wall, up to `depth` real mm from it."""
    from_wall = (frame.at(-FAR_MM), frame.at(FAR_MM), frame.at(FAR_MM, depth), frame.at(-FAR_MM, depth))
    room = Polygon(outline)
    if not room.is_valid:
        return [frame.quad(0.0, frame.length, 0.0, depth)]
    cut = room.intersection(Polygon(from_wall))
    parts = [p for p in getattr(cut, "geoms", [cut]) if isinstance(p, Polygon) and p.area > 1.0]
    middle = Point2D(frame.at(frame.length / 2, depth / 2))
    near = [p for p in parts if p.distance(middle) < 1e-6] or parts
    return [tuple((x, y) for x, y in list(p.exterior.coords)[:-1]) for p in near]


def _box(shape: Shape) -> tuple[float, float, float, float]:
    xs, ys = [p[0] for p in shape], [p[1] for p in shape]
    return min(xs), min(ys), max(xs), max(ys)


def _boxes_meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
