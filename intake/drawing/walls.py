"""The cut of the walls in plan: closed shapes with real gaps where openings are."""

from __future__ import annotations

import math

from intake.domain.room.floor import curve_depths, curve_profile
from intake.drawing.display import PaperPoint
from intake.drawing.wall_frame import WallFrame, mitre
from intake.model.examination import PlacedWall, RoomExamination
from intake.model.room import OPENINGS, Bows, RoomSurvey, Section, SectionKind, Wall

THICK_MM = 100.0
"""Walls are drawn this thick, or as deep as their deepest reveal and a window's frame; nobody measured it."""
FRAME_MM = 60.0
"""A window's frame is drawn this deep (common practice, no source)."""
CURVE_MM = 150.0
"""A curve is drawn with this rise where none was measured."""
ALCOVE_MM = 300.0
"""An alcove is drawn this deep where that was not measured."""
CUT = OPENINGS | {SectionKind.CURVE, SectionKind.ALCOVE}
_Shape = tuple[PaperPoint, ...]


def thickness(room: RoomSurvey) -> float:
    """How thick the room's walls are drawn, real mm."""
    reveals = [s.reveal.value_mm or 0 for w in room.walls for s in w.sections if s.reveal is not None]
    return max(THICK_MM, max(reveals, default=0) + FRAME_MM)


def meets(examination: RoomExamination) -> bool:
    """Whether the last wall comes back to the first corner."""
    placed = examination.placed.walls
    return examination.survey.closed and len(placed) > 2 and math.dist(placed[-1].end, placed[0].start) < 2.0


def wall_shapes(examination: RoomExamination, frames: list[WallFrame]) -> list[_Shape]:
    """Every piece of wall between openings as a closed shape on paper, mitred at the corners."""
    shapes: list[_Shape] = []
    for n, (wall, placed, frame) in enumerate(
        zip(examination.survey.walls, examination.placed.walls, frames, strict=True)
    ):
        ends = outer_ends(examination, frames, n)
        pieces = _pieces(wall, placed, frame.length)
        for start, end, section in pieces:
            if end - start > 0.5:
                shapes.append(_shape(frame, start, end, section, ends, thickness(examination.survey)))
    return shapes


def outer_ends(
    examination: RoomExamination, frames: list[WallFrame], n: int
) -> tuple[PaperPoint, PaperPoint]:
    """Where the outer face of a wall starts and ends on paper."""
    frame, count, shut = frames[n], len(frames), meets(examination)
    thick = thickness(examination.survey) * frame.per_mm
    before = frames[n - 1] if n or shut else None
    after = frames[(n + 1) % count] if n + 1 < count or shut else None
    start = mitre(before, frame, thick) if before else frame.shifted(0.0, -thick)
    end = mitre(frame, after, thick) if after else frame.shifted(frame.length, -thick)
    return start, end


def _pieces(wall: Wall, placed: PlacedWall, length: float) -> list[tuple[float, float, Section | None]]:
    """(start, end, its curve or alcove or None) of what is wall, from left to right."""
    found: list[tuple[float, float, Section | None]] = []
    at = 0.0
    for part in placed.sections:
        section, start, end = wall.sections[part.index], float(part.start_mm), float(part.end_mm)
        if end <= start or section.kind not in CUT:
            continue
        found.append((at, start, None))
        if section.kind not in OPENINGS:
            found.append((start, end, section))
        at = end
    return [*found, (at, length, None)]


def _shape(
    frame: WallFrame,
    start: float,
    end: float,
    curve: Section | None,
    ends: tuple[PaperPoint, PaperPoint],
    thick: float,
) -> _Shape:
    """Its inner face from start to end, then its outer face back."""
    if curve is not None and curve.kind is SectionKind.ALCOVE:
        return _round_alcove(frame, start, end, alcove_mm(curve), thick)
    outer_start = ends[0] if start <= 0.0 else frame.at(start, -thick)
    outer_end = ends[1] if end >= frame.length - 0.5 else frame.at(end, -thick)
    if curve is None:
        return (frame.at(start), frame.at(end), outer_end, outer_start)
    inner = curve_points(frame, curve, start, end)
    if curve.bows is Bows.IN:
        return (*inner, outer_end, outer_start)
    back = curve_points(frame, curve, start, end, -thick)[1:-1]
    return (*inner, outer_end, *reversed(back), outer_start)


def alcove_mm(section: Section) -> float:
    return float((section.depth and section.depth.value_mm) or ALCOVE_MM)


def _round_alcove(frame: WallFrame, start: float, end: float, depth: float, thick: float) -> _Shape:
    """The wall round an alcove, as thick behind it as elsewhere; one that is less deep than the wall is a recess."""
    if depth <= thick:
        return frame.quad(start, end, -depth, -thick)
    inner = ((start, -thick), (start, -depth), (end, -depth), (end, -thick))
    outer = ((end + thick, -thick), (end + thick, -depth - thick), (start - thick, -depth - thick))
    return tuple(frame.at(run, off) for run, off in (*inner, *outer, (start - thick, -thick)))


def curve_points(
    frame: WallFrame, section: Section, start: float, end: float, shift: float = 0.0
) -> list[PaperPoint]:
    """A curve on paper, `shift` real mm into the room."""
    profile = curve_profile(section, end - start, curve_depths(section) or (CURVE_MM,))
    return [frame.at(start + along, off + shift) for along, off in profile]
