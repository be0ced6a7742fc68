"""Openings, and what stands out from a wall, by their ordinary drawing symbols in plan."""

from __future__ import annotations

import math
from itertools import pairwise

from intake.domain.room.floor import curve_depths
from intake.domain.room.shapes import Shape
from intake.drawing.clearance import rectangle
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
    LineStyle,
    PaperPoint,
    Stroke,
    Text,
)
from intake.drawing.layout import HALF, LARGE, SMALL
from intake.drawing.wall_frame import WallFrame
from intake.drawing.walls import ALCOVE_MM, CURVE_MM, FRAME_MM, curve_points
from intake.model.reading import Hinge, Opens
from intake.model.room import OPENINGS, Bows, Fixed, Section, SectionKind

DEPTHS_MM = {
    SectionKind.BOXING: 150,
    SectionKind.BREAST: 350,
    SectionKind.NIB: 100,
    SectionKind.ALCOVE: round(ALCOVE_MM),
    SectionKind.FURNITURE: 600,
    SectionKind.CURVE: round(CURVE_MM),
}
"""Drawn dashed at this depth where none was measured (common practice, no source)."""


FIXED_MM = 200.0
"""A fixed thing is drawn this wide and this tall where that was not measured (common practice, no source)."""
TAG_HALF = 6.0
"""Half the width that a door's tag takes, mm on paper; like the next, layout of our own."""
TAG_ALONG, TAG_OFF = 0.4, 0.36
"""Where the tag stands, in widths of the door: from its hinge, and into its swing."""


def opening_symbol(
    frame: WallFrame, section: Section, start: float, end: float, thick: float, tag: str
) -> list[Item]:
    """The items of one opening in a wall `thick` real mm thick; start and end in real mm along it. A door carries its
    tag in its swing."""
    jambs = [Stroke((frame.at(run, 0.0), frame.at(run, -thick)), EDGE, "OPENING") for run in (start, end)]
    if section.kind is SectionKind.WINDOW:
        return [*jambs, *_window(frame, section, start, end, thick)]
    if section.kind is SectionKind.DOOR:
        return [*jambs, *_door(frame, section, start, end, thick, tag)]
    heads = [Stroke((frame.at(start, -d), frame.at(end, -d)), HIDDEN, "OPENING") for d in (0.0, thick)]
    return [*jambs, *heads]


def _window(frame: WallFrame, section: Section, start: float, end: float, thick: float) -> list[Item]:
    """The edges of the sill at both faces, and the frame with its glass as deep in as the reveal was measured; in the
    middle of the wall, in the colour of doubt, where it was not."""
    faces = [Stroke((frame.at(start, -d), frame.at(end, -d)), EDGE, "OPENING") for d in (0.0, thick)]
    reveal = section.reveal.value_mm if section.reveal is not None else None
    near = (thick - FRAME_MM) / 2 if reveal is None else float(min(max(reveal, 0), thick - FRAME_MM))
    known = reveal is not None
    glass = near + FRAME_MM / 2
    case = frame.quad(start, end, -near, -near - FRAME_MM)
    return [
        *faces,
        Stroke(case, EDGE if known else HIDDEN, "OPENING", True),
        Stroke((frame.at(start, -glass), frame.at(end, -glass)), FINE, "OPENING"),
    ]


def _door(frame: WallFrame, section: Section, start: float, end: float, thick: float, tag: str) -> list[Item]:
    """Leaf and swing; dashed in the colour of doubt and queried where the customer did not tell how it swings."""
    told = bool(section.swing.hinge and section.swing.into)
    hinge, latch = (end, start) if section.swing.hinge is Hinge.RIGHT else (start, end)
    away = section.swing.into is Opens.AWAY
    face, width = (-thick, -(end - start)) if away else (0.0, end - start)
    pivot, tip, closed = frame.at(hinge, face), frame.at(hinge, face + width), frame.at(latch, face)
    leaf = Stroke((pivot, tip), EDGE if told else DOUBT_DASHED, "OPENING")
    items: list[Item] = [leaf, _swing(pivot, tip, closed, FINE if told else DOUBT_DASHED)]
    x, y = frame.at((1 - TAG_ALONG) * hinge + TAG_ALONG * latch, face + TAG_OFF * width)
    items.append(Text((x, y + HALF), tag, SMALL, "middle", layer="OPENING"))
    if not told:
        items.append(Text((x, y + LARGE), "swing?", SMALL, "middle", colour=RED, layer="DOUBT"))
    return items


def _swing(pivot: PaperPoint, tip: PaperPoint, closed: PaperPoint, pen: LineStyle) -> Arc:
    """A quarter circle from the leaf's tip to where it closes, the short way round."""
    first, second = (math.degrees(math.atan2(p[1] - pivot[1], p[0] - pivot[0])) for p in (tip, closed))
    turn = (second - first + 180.0) % 360.0 - 180.0
    start, end = (first, first + turn) if turn > 0 else (first + turn, first)
    return Arc(pivot, math.dist(pivot, tip), start, end, pen)


def swing_space(frame: WallFrame, section: Section, start: float, end: float, thick: float) -> list[Shape]:
    """The square that a door sweeps in the room; of one that opens away the leaf, the arc and the tag only, so that
    dimensions find room between them."""
    if section.swing.into is not Opens.AWAY:
        return [frame.quad(start, end, 0.0, end - start)]
    width, sign = end - start, 1.0 if section.swing.hinge is not Hinge.RIGHT else -1.0
    pivot = start if sign > 0 else end
    turns = [math.radians(90.0 * n / 8) for n in range(9)]
    arc = [frame.at(pivot + sign * width * math.cos(t), -thick - width * math.sin(t)) for t in turns]
    leaf = (frame.at(pivot, -thick), frame.at(pivot, -thick - width))
    x, y = frame.at(pivot + sign * TAG_ALONG * width, -thick - TAG_OFF * width)
    return [leaf, *pairwise(arc), rectangle(x - TAG_HALF, y - 2, x + TAG_HALF, y + 2)]


def standing_out(frame: WallFrame, section: Section, start: float, end: float) -> list[Item]:
    """Boxing, a nib, a chimney breast, furniture or a curve on a wall, an alcove in it."""
    depth = depth_mm(section)
    measured = section.depth is not None and bool(section.depth.value_mm)
    if section.kind is SectionKind.CURVE:
        return [_curve(frame, section, start, end)]
    if section.kind is SectionKind.FURNITURE:
        return [Stroke(frame.quad(start, end, 0.0, depth), HIDDEN, "FIXED", True)]
    into_wall = section.kind is SectionKind.ALCOVE
    corners = frame.quad(start, end, 0.0, -depth if into_wall else depth)
    sides = (corners[0], corners[3], corners[2], corners[1])
    face = Stroke(sides, WALL if measured else DOUBT_DASHED, "WALL" if measured else "DOUBT")
    return [face] if into_wall else [Stroke(corners, None, "WALL", True, POCHE), face]


def stands_out_space(frame: WallFrame, section: Section, start: float, end: float) -> Shape:
    depth = depth_mm(section)
    into_wall = section.kind is SectionKind.ALCOVE or (
        section.kind is SectionKind.CURVE and section.bows is not Bows.IN
    )
    return frame.quad(start, end, 0.0, -depth if into_wall else depth)


def depth_mm(section: Section) -> float:
    """Its depth as measured, else a usual one."""
    if section.depths and (several := curve_depths(section)):
        return max(several)
    if section.depth is not None and section.depth.value_mm:
        return float(abs(section.depth.value_mm))
    return float(DEPTHS_MM.get(section.kind, 0))


def _curve(frame: WallFrame, section: Section, start: float, end: float) -> Stroke:
    """The face of a curved wall, in the colour of doubt where its rise, or which way it goes, was not told."""
    told = bool(curve_depths(section)) and bool(section.bows)
    pen, layer = (WALL, "WALL") if told else (DOUBT_DASHED, "DOUBT")
    return Stroke(tuple(curve_points(frame, section, start, end)), pen, layer)


def is_opening(section: Section) -> bool:
    return section.kind in OPENINGS


def depth_words(section: Section) -> str:
    """A depth in words; that it was not measured, but for furniture, which may go."""
    if depths := [d.value_mm for d in (*section.depths, section.depth) if d is not None and d.value_mm]:
        bows = f", bows {section.bows or 'out?'}" if section.kind is SectionKind.CURVE else ""
        return f" {' / '.join(map(str, depths))} deep{bows}"
    return "" if section.kind is SectionKind.FURNITURE else ", depth not measured"


def fixed_span(fixed: Fixed, length: float) -> tuple[float, float] | None:
    """Where a fixed thing starts and ends along its wall of that length, real mm; None where nobody said."""
    width = float((fixed.width and fixed.width.value_mm) or FIXED_MM)
    if fixed.from_left and fixed.from_left.value_mm is not None:
        return float(fixed.from_left.value_mm), fixed.from_left.value_mm + width
    if fixed.from_right and fixed.from_right.value_mm is not None:
        end = length - fixed.from_right.value_mm
        return end - width, end
    return None
