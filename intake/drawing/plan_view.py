"""What a plan shows, drawn piece by piece so that nothing runs into anything else."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from intake.drawing.border import Area
from intake.drawing.caption import room_lines
from intake.drawing.clearance import Clearance, rectangle, within_depth
from intake.drawing.dimensions import ROW, Mark, chain_of, dimension_of, doubtful_ids, draw_depth, draw_string
from intake.drawing.display import (
    CENTRE,
    DOUBT,
    DOUBT_DASHED,
    EDGE,
    FINE,
    GREY,
    HIDDEN,
    POCHE,
    RED,
    SEAM,
    WALL,
    Arc,
    PaperPoint,
    Sheet,
    Stroke,
    Text,
    centred,
)
from intake.drawing.layout import FIRST_ROW, MEDIUM, SMALL
from intake.drawing.lettering import clean, shortened
from intake.drawing.openings import (
    depth_mm,
    depth_words,
    fixed_span,
    is_opening,
    opening_symbol,
    standing_out,
    stands_out_space,
    swing_space,
)
from intake.drawing.plan_marks import draw_angles, draw_letter, draw_middle, in_room
from intake.drawing.titles import TitleBlock
from intake.drawing.wall_frame import WallFrame, frame_of
from intake.drawing.walls import thickness, wall_shapes
from intake.model.examination import Basis, PlacedWall, RoomExamination
from intake.model.reading import Opens
from intake.model.room import Across, Bows, Measurement, Section, SectionKind, Wall, fixed_tag

ROUND_MM = 23.0
"""Paper left round the walls for two dimension strings."""
SWING_ROUND_MM = 20.0
"""The same beyond a door that opens away from the room."""
BELOW_MM = 8.0
"""Paper left below for the scale bar; like the next, layout of our own."""
NAME_MM, NAME_OFF_MM, TAG_OFF_MM, FIXED_OFF_MM = 45.0, 1.5, 3.0, 1.2
"""The longest name of what stands on a wall, and how far off what they name a name and the tags stand."""
FURTHER_MM = (0.0, 4.0, 8.0, 12.0, 16.0)
SIDEWAYS_MM = (0.0, -8.0, 8.0, -16.0, 16.0, -24.0, 24.0)
MIDDLE_OFF_MM = 1.4
"""Where lettering is tried: ever further into the room, to either side, its middle so far off at least."""
RING_MM, LEFT_OFF_DOWN_MM = 1.6, 5.0
"""Round each end of a gap; how far down it stands what was left off."""
ACROSS_NAMED, ACROSS_FROM, ACROSS_TO = 0.3, 0.62, 0.38
"""Shares: of a measurement across where its length stands, and of the walls where it starts and ends."""
FIXED_DEEP_MM = 150.0
"""A fixed thing whose depth nobody measured is drawn so deep at most, in the room (common practice, no source)."""


def needed(examination: RoomExamination, scale: float) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what a plan takes up on paper with its dimensions, mm from the first corner."""
    points: list[PaperPoint] = [(0.0, 0.0)]
    for wall, placed in zip(examination.survey.walls, examination.placed.walls, strict=False):
        frame = frame_of(placed, (0.0, 0.0), 1.0 / scale)
        away = [s.length.value_mm or 0 for s in wall.sections if s.swing.into is Opens.AWAY]
        swing = max(away, default=0) / scale + SWING_ROUND_MM if away else 0.0
        outside = thickness(examination.survey) / scale + max(ROUND_MM, swing)
        points += [frame.at(0.0), frame.at(frame.length)]
        points += [frame.shifted(0.0, -outside), frame.shifted(frame.length, -outside)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


@dataclass
class PlanView:
    """One plan being drawn. Order matters: what is drawn first takes its place first."""

    examination: RoomExamination
    sheet: Sheet
    area: Area
    title: TitleBlock

    def __post_init__(self) -> None:
        self.room = self.examination.survey
        self.placed = self.examination.placed.walls
        self.per_mm = 1.0 / self.sheet.scale
        left, top, right, bottom = needed(self.examination, self.sheet.scale)
        cx, cy = (self.area.left + self.area.right) / 2, (self.area.top + self.area.bottom - BELOW_MM) / 2
        self.origin = cx - (left + right) / 2, cy - (top + bottom) / 2
        self.frames = [frame_of(w, self.origin, self.per_mm) for w in self.placed]
        self.thick_mm = thickness(self.room)
        self.thick = self.thick_mm * self.per_mm
        self.clear = Clearance()
        self.doubtful = doubtful_ids(self.examination)
        self.tags = self.room.opening_tags()
        self.left_off = 0
        self.first_item = self.last_item = len(self.sheet.items)
        self.wall_items: set[int] = set()
        self._keep_to(self.area)

    def _keep_to(self, area: Area) -> None:
        """Nothing is placed outside the drawing's area."""
        far = 1000.0
        self.clear.take(
            rectangle(area.left - far, area.top - far, area.left, area.bottom + far),
            rectangle(area.right, area.top - far, area.right + far, area.bottom + far),
            rectangle(area.left - far, area.top - far, area.right + far, area.top),
            rectangle(area.left - far, area.bottom, area.right + far, area.bottom + far),
        )

    def draw(self) -> None:
        """Draw it; afterwards `first_item` to `last_item` are its places among the sheet's items, `wall_items` those
        of the walls' fills."""
        self._draw()
        self.last_item = len(self.sheet.items)

    def _draw(self) -> None:
        if not self.placed:
            at = (self.area.left + self.area.right) / 2, (self.area.top + self.area.bottom) / 2
            self.sheet.add(Text(at, "Nothing to draw: see the notes.", MEDIUM, "middle"))
            return
        self._across()
        self._bands()
        for wall, placed, frame in self.walls():
            self._sections(wall, placed, frame)
        self._slopes()
        self._gap()
        self._other_outline()
        self._fixed_things()
        self._opening_tags()
        for wall, _, frame in self.walls():
            draw_letter(self.sheet, self.clear, wall, frame)
        for wall, placed, frame in self.walls():
            self._dimensions(wall, placed, frame)
        for wall, placed, frame in self.walls():
            self._depths(wall, placed, frame)
        self._slope_words()
        draw_angles(self.sheet, self.clear, self.frames, self.examination.placed.squareness)
        draw_middle(
            self.sheet, self.clear, self.frames, lambda size: room_lines(self.examination, self.title, size)
        )
        if self.left_off:
            count = "1 dimension" if self.left_off == 1 else f"{self.left_off} dimensions"
            words = f"{count} found no room here: see the table of measurements."
            at = (self.area.left + self.area.right) / 2, self.area.top + LEFT_OFF_DOWN_MM
            self.sheet.add(Text(at, words, SMALL, "middle", colour=RED))

    def walls(self) -> list[tuple[Wall, PlacedWall, WallFrame]]:
        return list(zip(self.room.walls, self.placed, self.frames, strict=True))

    # -- walls -----------------------------------------------------------------------------------------------------

    def _bands(self) -> None:
        """The cut of each wall, mitred at its corners, with gaps for openings."""
        for shape in wall_shapes(self.examination, self.frames):
            self.wall_items.add(len(self.sheet.items))
            self.sheet.add(Stroke(shape, SEAM, "WALL", True, POCHE))
        for frame in self.frames:
            self.clear.take(frame.quad(0.0, frame.length, 0.0, -self.thick_mm))

    def _sections(self, wall: Wall, placed: PlacedWall, frame: WallFrame) -> None:
        """Faces, openings and what stands out, section by section; a wall without sections is one face."""
        if not placed.sections:
            self._face(frame, 0.0, frame.length, placed.basis)
        for part in placed.sections:
            section = wall.sections[part.index]
            start, end = float(part.start_mm), float(part.end_mm)
            if end <= start:
                continue
            if is_opening(section):
                tag = self.tags[wall.index, part.index]
                self.sheet.add(*opening_symbol(frame, section, start, end, self.thick_mm, tag))
                if part.basis is Basis.ASSUMED:
                    self._face(frame, start, end, part.basis)
                if section.kind is SectionKind.DOOR:
                    self.clear.take(*swing_space(frame, section, start, end, self.thick_mm))
                continue
            if section.kind not in (SectionKind.CURVE, SectionKind.ALCOVE):
                self._face(frame, start, end, part.basis)
            if section.kind is not SectionKind.WALL:
                self.sheet.add(*standing_out(frame, section, start, end))
                self.clear.take(stands_out_space(frame, section, start, end))
            if section.kind is SectionKind.ALCOVE or (
                section.kind is SectionKind.CURVE and section.bows is not Bows.IN
            ):
                self.clear.take(frame.quad(start, end, 0.0, -depth_mm(section) - self.thick_mm))

    def _face(self, frame: WallFrame, start: float, end: float, basis: Basis) -> None:
        doubted = basis is Basis.ASSUMED
        pen, layer = (DOUBT_DASHED, "DOUBT") if doubted else (WALL, "WALL")
        self.sheet.add(Stroke((frame.at(start), frame.at(end)), pen, layer))

    def _depths(self, wall: Wall, placed: PlacedWall, frame: WallFrame) -> None:
        """How far each thing stands out of the wall, and its name in front of it."""
        for part in placed.sections:
            section, start, end = wall.sections[part.index], float(part.start_mm), float(part.end_mm)
            if end <= start or section.kind is SectionKind.WALL or is_opening(section):
                continue
            self._name(frame, section, start, end, self._depth(frame, section, start, end))

    def _depth(self, frame: WallFrame, section: Section, start: float, end: float) -> bool:
        """Draw the measured depth as a dimension; False where there is none or no room for it."""
        given = section.depth
        if given is None or not given.value_mm or section.kind is SectionKind.CURVE:
            return False
        depth = float(-given.value_mm if section.kind is SectionKind.ALCOVE else given.value_mm)
        label = dimension_of(given, 0, abs(given.value_mm), Basis.UNCHECKED, self.doubtful)
        if not given.accepted:
            label = replace(label, mark=Mark.DOUBTFUL)
        return draw_depth(self.sheet, self.clear, frame, start, end, depth, label)

    def _name(self, frame: WallFrame, section: Section, start: float, end: float, dimensioned: bool) -> None:
        """The name of what stands on the wall, in front of it, with its depth where no dimension gives it."""
        words = shortened(clean(section.label or section.kind.value.replace("-", " ")), SMALL, NAME_MM)
        if not dimensioned:
            words += depth_words(section)
        box = stands_out_space(frame, section, start, end)
        far = math.dist(box[0], box[3]) if section.kind is not SectionKind.ALCOVE else 0.0
        self._text_near(frame, (start + end) / 2, words, far + NAME_OFF_MM)

    def _text_near(
        self, frame: WallFrame, run: float, words: str, off: float, colour: str = "#000000"
    ) -> bool:
        """Lettering along the wall, at the first free place into the room from `off` mm on paper."""
        to = frame.shifted(run, off)
        for crossing in (False, True):
            for further in FURTHER_MM:
                for shift in SIDEWAYS_MM:
                    at = frame.shifted(run + shift / self.per_mm, off + MIDDLE_OFF_MM + further)
                    text = centred(at, words, frame.text_angle, colour)
                    leader = _leader(text, to) if abs(shift) > 8.0 or further > 4.0 else None
                    apart = crossing or leader is None or self.clear.free(leader)
                    if apart and self.clear.free_text(text) and in_room(text, self.frames):
                        self._set(text, leader)
                        return True
        return False

    def _set(self, text: Text, leader: tuple[PaperPoint, PaperPoint] | None) -> None:
        """Draw lettering with the line that leads from it, where it stands away from what it names."""
        self.sheet.add(text)
        self.clear.take_text(text)
        if leader:
            self.sheet.add(Stroke(leader, FINE, "TEXT"))
            self.clear.take(leader)

    def _slopes(self) -> None:
        """The floor under a sloped ceiling, outlined as an edge overhead."""
        outline = [f.at(0.0) for f in self.frames]
        for slope in self.room.slopes:
            if not 0 <= slope.wall < len(self.frames):
                continue
            frame, starts = self.frames[slope.wall], slope.starts.value_mm
            if starts and len(outline) > 2:
                for part in within_depth(outline, frame, float(starts)):
                    self.sheet.add(Stroke(part, HIDDEN, "WALL", True))
            if starts:
                self.clear.take((frame.at(0.0, starts), frame.at(frame.length, starts)))

    def _slope_words(self) -> None:
        """How high each sloped ceiling is at its wall, under it where there is room, else beside its edge."""
        for slope in self.room.slopes:
            if 0 <= slope.wall < len(self.frames):
                frame, starts, low = self.frames[slope.wall], slope.starts.value_mm or 0, slope.low.value_mm
                words = f"slope, {low if low else 'height n.m.'} at the wall"
                edge = starts * self.per_mm
                self._text_near(frame, frame.length / 2, words, edge - 4.0 if edge > 8.0 else edge + 1.0)

    def _other_outline(self) -> None:
        """A second outline that fits the lengths as well."""
        if corners := self.examination.placed.other_corners:
            ox, oy = self.origin
            points = tuple((ox + x * self.per_mm, oy + y * self.per_mm) for x, y in corners)
            here = [f.at(0.0) for f in self.frames]
            moved = [math.dist(a, b) > 0.5 for a, b in zip(here, points, strict=False)]
            for n in range(len(here)):
                after = (n + 1) % len(here)
                if moved[n] or moved[after]:
                    self.sheet.add(Stroke((points[n], points[after]), DOUBT_DASHED, "DOUBT"))

    def _gap(self) -> None:
        """Where the room does not come back to its start, the gap and its size."""
        gap = self.examination.placed.gap
        if gap is None:
            return
        start, end = self.frames[0].at(0.0), self.frames[-1].at(self.frames[-1].length)
        self.sheet.add(Stroke((end, start), DOUBT_DASHED, "DOUBT"))
        for x, y in (start, end):
            self.sheet.add(Arc((x, y), RING_MM, 0.0, 360.0, DOUBT, "DOUBT"))
        words = f"GAP {abs(gap[0])} x {abs(gap[1])}"
        for at in ((start[0] + 4, start[1] + 7), (end[0] + 4, end[1] + 7), (start[0] + 4, start[1] + 14)):
            text = Text(at, words, MEDIUM, bold=True, colour=RED, layer="DOUBT")
            if self.clear.free_text(text) or at[1] == start[1] + 14:
                self.sheet.add(text)
                self.clear.take_text(text)
                return

    # -- dimensions ------------------------------------------------------------------------------------------------

    def _dimensions(self, wall: Wall, placed: PlacedWall, frame: WallFrame) -> None:
        """The sections nearest the wall, the overall outside them."""
        if frame.length <= 0:
            return
        strings = [chain_of(wall, placed, self.doubtful)]
        for overall in wall.overalls:
            basis = Basis.LEFT_OUT if overall.id in self.examination.placed.left_out else Basis.ADJUSTED
            strings.append([dimension_of(overall, 0, round(frame.length), basis, self.doubtful)])
        if not wall.overalls and len(strings[0]) != 1:
            basis = placed.basis if placed.basis is Basis.ASSUMED else Basis.DERIVED
            whole = dimension_of(Measurement(""), 0, round(frame.length), basis, self.doubtful, placed.sd_mm)
            strings.append([whole])
        row = self.thick + FIRST_ROW
        for string in filter(None, strings):
            used, left_off = draw_string(self.sheet, self.clear, frame, string, row, self.thick)
            row, self.left_off = max(used, row) + ROW, self.left_off + left_off

    def _across(self) -> None:
        """Measurements across the room as centre lines with their length on them."""
        for across in self.room.across:
            ends = self._ends_across(across)
            if ends is None:
                continue
            self.sheet.add(Stroke(ends, CENTRE, "DIMENSION"))
            self.clear.take(ends)
            (xa, ya), (xb, yb) = ends
            angle = (-math.degrees(math.atan2(yb - ya, xb - xa)) + 90.0) % 180.0 - 90.0
            words = str(across.length.value_mm) if across.length.value_mm else "n.m."
            at = (xa + ACROSS_NAMED * (xb - xa), ya + ACROSS_NAMED * (yb - ya))
            text = centred(at, words, angle)
            self.sheet.add(Stroke(text.corners(), None, "DIMENSION", True, "#ffffff"), text)
            self.clear.take_text(text)

    def _ends_across(self, across: Across) -> tuple[PaperPoint, PaperPoint] | None:
        if across.corners:
            one, other = across.corners
            return self.frames[one].at(0.0), self.frames[other].at(0.0)
        if across.walls is None:
            return None
        near, far = (self.frames[w] for w in across.walls)
        (xa, ya), (xb, yb) = near.at(near.length * ACROSS_FROM), far.at(far.length * ACROSS_TO)
        if abs(near.along[0]) > abs(near.along[1]):
            return (xa, ya), (xa, yb)
        return (xa, ya), (xb, ya)

    # -- marks -----------------------------------------------------------------------------------------------------

    def _opening_tags(self) -> None:
        for wall, placed, frame in self.walls():
            for part in placed.sections:
                tag = self.tags.get((wall.index, part.index))
                section = wall.sections[part.index]
                if tag and section.kind is not SectionKind.DOOR:
                    middle, reveal = (part.start_mm + part.end_mm) / 2, section.reveal
                    deep = f" reveal {reveal.value_mm}" if reveal is not None and reveal.value_mm else ""
                    query = " ?" if reveal is not None and not reveal.accepted and deep else ""
                    if not self._text_near(frame, middle, f"{tag}{deep}{query}", TAG_OFF_MM):
                        self._text_near(frame, middle, tag, TAG_OFF_MM)

    def _fixed_things(self) -> None:
        """Each fixed thing on its wall at its distance, in its own size where that was measured, with its tag."""
        for n, fixed in enumerate(self.room.fixed):
            if fixed.wall is None or not 0 <= fixed.wall < len(self.frames):
                continue
            frame = self.frames[fixed.wall]
            span = fixed_span(fixed, frame.length)
            if span is None:
                continue
            start, end = span
            depth = float((fixed.depth and fixed.depth.value_mm) or min(FIXED_DEEP_MM, 4.0 / self.per_mm))
            measured = bool(fixed.width and fixed.width.value_mm and fixed.depth and fixed.depth.value_mm)
            box = frame.quad(start, end, 0.0, depth)
            self.sheet.add(Stroke(box, EDGE if measured else HIDDEN, "FIXED", True))
            self.clear.take(box)
            self._text_near(frame, (start + end) / 2, fixed_tag(n), depth * self.per_mm + FIXED_OFF_MM, GREY)


def _leader(text: Text, to: PaperPoint) -> tuple[PaperPoint, PaperPoint]:
    """From the nearest side of lettering to what it names."""
    corners = text.corners()
    sides = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise((*corners, corners[0]))]
    return min(sides, key=lambda p: math.dist(p, to)), to
