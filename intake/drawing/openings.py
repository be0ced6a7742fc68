"""Openings, and what stands out from a wall, by their ordinary drawing symbols in plan."""

from __future__ import annotations

import math

from intake.drawing.clearance import Shape
from intake.drawing.display import (
    DOUBT_DASHED,
    EDGE,
    FINE,
    HIDDEN,
    POCHE,
    RED,
    WALL,
    Arc,
    Item,
    Pen,
    Point,
    Stroke,
    Text,
)
from intake.drawing.wall_frame import WallFrame
from intake.model.room import OPENINGS, Section, SectionKind

DEPTHS_MM = {
    SectionKind.BOXING: 150,
    SectionKind.BREAST: 350,
    SectionKind.NIB: 100,
    SectionKind.ALCOVE: 300,
    SectionKind.FURNITURE: 600,
    SectionKind.CURVE: 150,
}
"""Drawn dashed at this depth where none was measured (common practice, no source)."""
WHITE = "#ffffff"


def opening_symbol(
    frame: WallFrame, section: Section, start: float, end: float, thick: float, tag: str
) -> list[Item]:
    """The items of one opening in a wall `thick` real mm thick; start and end in real mm along it. A door carries its
    tag in its swing."""
    hole = Stroke(frame.quad(start, end, 0.0, -thick), None, "OPENING", True, WHITE)
    jambs = [Stroke((frame.at(run, 0.0), frame.at(run, -thick)), EDGE, "OPENING") for run in (start, end)]
    if section.kind is SectionKind.WINDOW:
        return [hole, *jambs, *_window(frame, start, end, thick)]
    if section.kind is SectionKind.DOOR:
        return [hole, *jambs, *_door(frame, section, start, end, thick, tag)]
    heads = [Stroke((frame.at(start, -d), frame.at(end, -d)), HIDDEN, "OPENING") for d in (0.0, thick)]
    return [hole, *jambs, *heads]


def _window(frame: WallFrame, start: float, end: float, thick: float) -> list[Item]:
    faces = [Stroke((frame.at(start, -d), frame.at(end, -d)), EDGE, "OPENING") for d in (0.0, thick)]
    glass = [
        Stroke((frame.at(start, -d), frame.at(end, -d)), FINE, "OPENING")
        for d in (0.42 * thick, 0.58 * thick)
    ]
    return [*faces, *glass]


def _door(frame: WallFrame, section: Section, start: float, end: float, thick: float, tag: str) -> list[Item]:
    """Leaf and swing; dashed in the colour of doubt and queried where the customer did not tell how it swings."""
    told = bool(section.swing.hinge and section.swing.into)
    hinge, latch = (end, start) if section.swing.hinge == "right" else (start, end)
    away = section.swing.into == "away"
    face, width = (-thick, -(end - start)) if away else (0.0, end - start)
    pivot, tip, closed = frame.at(hinge, face), frame.at(hinge, face + width), frame.at(latch, face)
    leaf = Stroke((pivot, tip), EDGE if told else DOUBT_DASHED, "OPENING")
    items: list[Item] = [leaf, _swing(pivot, tip, closed, FINE if told else DOUBT_DASHED)]
    x, y = frame.at(0.6 * hinge + 0.4 * latch, face + 0.36 * width)
    items.append(Text((x, y + 1.25), tag, 2.5, "middle", layer="OPENING"))
    if not told:
        items.append(Text((x, y + 5.0), "swing?", 2.5, "middle", colour=RED, layer="DOUBT"))
    return items


def _swing(pivot: Point, tip: Point, closed: Point, pen: Pen) -> Arc:
    """A quarter circle from the leaf's tip to where it closes, the short way round."""
    first, second = (math.degrees(math.atan2(p[1] - pivot[1], p[0] - pivot[0])) for p in (tip, closed))
    turn = (second - first + 180.0) % 360.0 - 180.0
    start, end = (first, first + turn) if turn > 0 else (first + turn, first)
    return Arc(pivot, math.dist(pivot, tip), start, end, pen)


def swing_space(frame: WallFrame, section: Section, start: float, end: float, thick: float) -> Shape:
    """The square that a door sweeps."""
    if section.swing.into == "away":
        return frame.quad(start, end, -thick, -thick - (end - start))
    return frame.quad(start, end, 0.0, end - start)


def standing_out(frame: WallFrame, section: Section, start: float, end: float) -> list[Item]:
    """Boxing, a nib, a chimney breast, furniture or a curve on a wall, an alcove in it."""
    depth = depth_mm(section)
    measured = section.depth is not None and bool(section.depth.value_mm)
    if section.kind is SectionKind.CURVE:
        return [_curve(frame, start, end, depth)]
    if section.kind is SectionKind.FURNITURE:
        return [Stroke(frame.quad(start, end, 0.0, depth), HIDDEN, "FIXED", True)]
    far = -depth if section.kind is SectionKind.ALCOVE else depth
    corners = frame.quad(start, end, 0.0, far)
    fill = WHITE if section.kind is SectionKind.ALCOVE else POCHE
    sides = (corners[0], corners[3], corners[2], corners[1])
    return [
        Stroke(corners, None, "WALL", True, fill),
        Stroke(sides, WALL if measured else DOUBT_DASHED, "WALL" if measured else "DOUBT"),
    ]


def stands_out_space(frame: WallFrame, section: Section, start: float, end: float) -> Shape:
    depth = depth_mm(section)
    return frame.quad(start, end, 0.0, -depth if section.kind is SectionKind.ALCOVE else depth)


def depth_mm(section: Section) -> float:
    """Its depth as measured, else a usual one."""
    if section.depth is not None and section.depth.value_mm:
        return float(abs(section.depth.value_mm))
    return float(DEPTHS_MM.get(section.kind, 0))


def _curve(frame: WallFrame, start: float, end: float, depth: float) -> Stroke:
    """A wall bowed outwards by its depth over the chord: a parabola, as only the depth is known."""
    points = []
    for n in range(25):
        t = n / 24
        points.append(frame.at(start + t * (end - start), -depth * 4 * t * (1 - t)))
    return Stroke(tuple(points), WALL, "WALL")


def is_opening(section: Section) -> bool:
    return section.kind in OPENINGS
