"""What a plan shows, drawn piece by piece so that nothing runs into anything else."""

from __future__ import annotations

import math
from dataclasses import dataclass

from intake.drawing.border import Area
from intake.drawing.clearance import Clearance, inside, rectangle
from intake.drawing.dimensions import ROW, chain_of, dimension_of, doubtful_ids, draw_string
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
    WALL,
    Arc,
    Point,
    Sheet,
    Stroke,
    Text,
    centred,
)
from intake.drawing.lettering import clean, shortened
from intake.drawing.openings import (
    is_opening,
    opening_symbol,
    standing_out,
    stands_out_space,
    swing_space,
)
from intake.drawing.room_text import room_lines
from intake.drawing.titles import TitleBlock
from intake.drawing.wall_frame import WallFrame, frame_of, mitre
from intake.model.room import (
    Across,
    Basis,
    Fixed,
    Measurement,
    PlacedWall,
    RoomExamination,
    Section,
    SectionKind,
    Wall,
)

THICK_MM = 100.0
"""Walls are drawn this thick; nobody measured it."""
ROUND_MM = 26.0
"""Paper left round the walls for two dimension strings."""
SWING_ROUND_MM = 20.0
"""The same beyond a door that opens away from the room."""
BELOW_MM = 8.0
"""Paper left below for the scale bar."""


def needed(examination: RoomExamination, scale: float) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what a plan takes up on paper with its dimensions, mm from the first corner."""
    points: list[Point] = [(0.0, 0.0)]
    for wall, placed in zip(examination.survey.walls, examination.placed.walls, strict=False):
        frame = frame_of(placed, (0.0, 0.0), 1.0 / scale)
        away = [s.length.value_mm or 0 for s in wall.sections if s.swing.into == "away"]
        swing = max(away, default=0) / scale + SWING_ROUND_MM if away else 0.0
        outside = THICK_MM / scale + max(ROUND_MM, swing)
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
        self.thick = THICK_MM * self.per_mm
        self.clear = Clearance()
        self.doubtful = doubtful_ids(self.examination)
        self.tags = self.room.opening_tags()
        self.left_off = 0
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
        if not self.placed:
            at = (self.area.left + self.area.right) / 2, (self.area.top + self.area.bottom) / 2
            self.sheet.add(Text(at, "Nothing to draw: see the notes.", 3.5, "middle"))
            return
        self._across()
        self._bands()
        for wall, placed, frame in self._walls():
            self._sections(wall, placed, frame)
        self._slopes()
        self._gap()
        self._fixed_things()
        for wall, placed, frame in self._walls():
            self._dimensions(wall, placed, frame)
        self._opening_tags()
        self._middle()
        for wall, _, frame in self._walls():
            self._letter(wall, frame)
        if self.left_off:
            words = f"{self.left_off} dimensions found no room here: see the table of measurements."
            at = (self.area.left + self.area.right) / 2, self.area.top + 5.0
            self.sheet.add(Text(at, words, 2.5, "middle", colour=RED))

    def _walls(self) -> list[tuple[Wall, PlacedWall, WallFrame]]:
        return list(zip(self.room.walls, self.placed, self.frames, strict=True))

    # -- walls -----------------------------------------------------------------------------------------------------

    def _bands(self) -> None:
        """The cut of each wall, mitred at its corners, its inner face drawn extra-wide."""
        count, shut = len(self.frames), self.room.closed and self._meets()
        for n, frame in enumerate(self.frames):
            before = self.frames[n - 1] if n or shut else None
            after = self.frames[(n + 1) % count] if n + 1 < count or shut else None
            start, end = frame.at(0.0), frame.at(frame.length)
            outer_start = mitre(before, frame, self.thick) if before else frame.shifted(0.0, -self.thick)
            outer_end = mitre(frame, after, self.thick) if after else frame.shifted(frame.length, -self.thick)
            band = (start, end, outer_end, outer_start)
            self.sheet.add(Stroke(band, None, "WALL", True, POCHE))
            self.clear.take(frame.quad(0.0, frame.length, 0.0, -THICK_MM))

    def _meets(self) -> bool:
        """Whether the last wall comes back to the first corner."""
        return len(self.placed) > 2 and math.dist(self.placed[-1].end, self.placed[0].start) < 2.0

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
                self.sheet.add(*opening_symbol(frame, section, start, end, THICK_MM, tag))
                if part.basis is Basis.ASSUMED:
                    self._face(frame, start, end, part.basis)
                if section.kind is SectionKind.DOOR:
                    self.clear.take(swing_space(frame, section, start, end, THICK_MM))
                continue
            if section.kind is not SectionKind.CURVE:
                self._face(frame, start, end, part.basis)
            if section.kind is not SectionKind.WALL:
                self.sheet.add(*standing_out(frame, section, start, end))
                self.clear.take(stands_out_space(frame, section, start, end))
                self._name(frame, section, start, end)

    def _face(self, frame: WallFrame, start: float, end: float, basis: Basis) -> None:
        doubted = basis is Basis.ASSUMED
        pen, layer = (DOUBT_DASHED, "DOUBT") if doubted else (WALL, "WALL")
        self.sheet.add(Stroke((frame.at(start), frame.at(end)), pen, layer))

    def _name(self, frame: WallFrame, section: Section, start: float, end: float) -> None:
        """The name of what stands on the wall, in front of it."""
        words = shortened(clean(section.label or section.kind.value.replace("-", " ")), 2.5, 45.0)
        if section.depth is not None and section.depth.value_mm:
            words += f" {section.depth.value_mm} deep"
        elif section.kind is not SectionKind.FURNITURE:
            words += ", depth not measured"
        box = stands_out_space(frame, section, start, end)
        far = math.dist(box[0], box[3]) if section.kind is not SectionKind.ALCOVE else 0.0
        self._text_near(frame, (start + end) / 2, words, far + 1.5)

    def _text_near(
        self, frame: WallFrame, run: float, words: str, off: float, colour: str = "#000000"
    ) -> None:
        """Lettering along the wall, at the first free place into the room from `off` mm on paper."""
        for further in (0.0, 4.0, 8.0, 12.0, 16.0):
            for shift in (0.0, -8.0, 8.0, -16.0, 16.0, -24.0, 24.0):
                at = frame.shifted(run + shift / self.per_mm, off + 1.4 + further)
                text = centred(at, words, frame.text_angle, colour)
                if self.clear.free_text(text) and self._in_room(text):
                    self.sheet.add(text)
                    self.clear.take_text(text)
                    return

    def _in_room(self, text: Text) -> bool:
        outline = [f.at(0.0) for f in self.frames]
        return len(outline) < 3 or all(inside(p, outline) for p in text.corners())

    def _slopes(self) -> None:
        """Where a sloped ceiling starts to fall, as an edge overhead."""
        for slope in self.room.slopes:
            if not 0 <= slope.wall < len(self.frames):
                continue
            frame, starts, low = self.frames[slope.wall], slope.starts.value_mm, slope.low.value_mm
            if starts:
                edge = frame.at(0.0, starts), frame.at(frame.length, starts)
                self.sheet.add(Stroke(edge, HIDDEN))
                self.clear.take(edge)
            words = f"slope, {low if low else 'height n.m.'} at the wall"
            self._text_near(frame, frame.length / 2, words, (starts or 0) * self.per_mm + 1.0)

    def _gap(self) -> None:
        """Where the room does not come back to its start, the gap and its size."""
        gap = self.examination.placed.gap
        if gap is None:
            return
        start, end = self.frames[0].at(0.0), self.frames[-1].at(self.frames[-1].length)
        self.sheet.add(Stroke((end, start), DOUBT_DASHED, "DOUBT"))
        for x, y in (start, end):
            self.sheet.add(Arc((x, y), 1.6, 0.0, 360.0, DOUBT, "DOUBT"))
        words = f"GAP {abs(gap[0])} x {abs(gap[1])}"
        for at in ((start[0] + 4, start[1] + 7), (end[0] + 4, end[1] + 7), (start[0] + 4, start[1] + 14)):
            text = Text(at, words, 3.5, bold=True, colour=RED, layer="DOUBT")
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
            basis = self._worked_out(wall, placed)
            strings.append([dimension_of(Measurement(""), 0, round(frame.length), basis, self.doubtful)])
        row = self.thick + 6.0
        for string in filter(None, strings):
            used, left_off = draw_string(self.sheet, self.clear, frame, string, row, self.thick)
            row, self.left_off = max(used, row) + ROW, self.left_off + left_off

    @staticmethod
    def _worked_out(wall: Wall, placed: PlacedWall) -> Basis:
        return placed.basis if placed.basis is Basis.ASSUMED else Basis.DERIVED

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
            at = (xa + 0.3 * (xb - xa), ya + 0.3 * (yb - ya))
            text = centred(at, words, angle)
            self.sheet.add(Stroke(text.corners(), None, "DIMENSION", True, "#ffffff"), text)
            self.clear.take_text(text)

    def _ends_across(self, across: Across) -> tuple[Point, Point] | None:
        if across.corners:
            one, other = across.corners
            return self.frames[one].at(0.0), self.frames[other].at(0.0)
        if across.walls is None:
            return None
        near, far = (self.frames[w] for w in across.walls)
        (xa, ya), (xb, yb) = near.at(near.length * 0.62), far.at(far.length * 0.38)
        if abs(near.along[0]) > abs(near.along[1]):
            return (xa, ya), (xa, yb)
        return (xa, ya), (xb, ya)

    # -- marks -----------------------------------------------------------------------------------------------------

    def _letter(self, wall: Wall, frame: WallFrame) -> None:
        """The wall's letter in a circle with a pointer: the elevation of the same letter shows what it points at."""
        for off in (8.0, 12.0, 17.0, 23.0, 30.0):
            for share in (0.5, 0.38, 0.62, 0.25, 0.75, 0.12, 0.88):
                run = frame.length * share
                x, y = frame.shifted(run, off)
                ring = tuple(
                    (x + 3.4 * math.cos(t), y + 3.4 * math.sin(t))
                    for t in (n * math.pi / 4 for n in range(8))
                )
                pointer = frame.shifted(run, off - 3.0), frame.shifted(run, 1.0 if off > 12.0 else off - 6.4)
                if not (self.clear.free(ring) and self.clear.free(pointer)):
                    continue
                self.clear.take(ring, pointer)
                self.sheet.add(Stroke(pointer, FINE, "TEXT"), Arc((x, y), 3.0, 0.0, 360.0, FINE, "TEXT"))
                size = 2.5 if len(wall.letter) > 1 else 3.0
                self.sheet.add(Text((x, y + size / 2), wall.letter, size, "middle", bold=True))
                return

    def _middle(self) -> None:
        """The room's name, height and area where they are clear of everything; smaller where the room is small."""
        outline = [f.at(0.0) for f in self.frames]
        for size in (4.0, 3.0, 2.5):
            lines = room_lines(self.examination, self.title, size)
            tall = sum(height + 2.0 for _, height, _ in lines)
            for x, y in self._spots(outline):
                texts, base = [], y - tall / 2
                for words, height, bold in lines:
                    base += height
                    texts.append(Text((x, base), words, height, "middle", bold=bold))
                    base += 2.0
                if all(self.clear.free_text(t) and self._in_room(t) for t in texts):
                    self.sheet.add(*texts)
                    for text in texts:
                        self.clear.take_text(text)
                    return

    def _spots(self, outline: list[Point]) -> list[Point]:
        """Places in the room, the middle first."""
        xs, ys = [p[0] for p in outline], [p[1] for p in outline]
        cx, cy = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
        grid = [
            (min(xs) + (max(xs) - min(xs)) * i / 12, min(ys) + (max(ys) - min(ys)) * j / 12)
            for i in range(1, 12)
            for j in range(1, 12)
        ]
        within = [p for p in grid if len(outline) < 3 or inside(p, outline)]
        return sorted(within, key=lambda p: math.dist(p, (cx, cy)))

    def _opening_tags(self) -> None:
        for wall, placed, frame in self._walls():
            for part in placed.sections:
                tag = self.tags.get((wall.index, part.index))
                if tag and wall.sections[part.index].kind is not SectionKind.DOOR:
                    self._text_near(frame, (part.start_mm + part.end_mm) / 2, tag, 3.0)

    def _fixed_things(self) -> None:
        """Each fixed thing on its wall at its distance, in its own size where that was measured, with its tag."""
        for n, fixed in enumerate(self.room.fixed):
            if fixed.wall is None or not 0 <= fixed.wall < len(self.frames):
                continue
            frame = self.frames[fixed.wall]
            span = _span(fixed, frame.length)
            if span is None:
                continue
            start, end = span
            depth = float((fixed.depth and fixed.depth.value_mm) or min(150.0, 4.0 / self.per_mm))
            measured = bool(fixed.width and fixed.width.value_mm and fixed.depth and fixed.depth.value_mm)
            box = frame.quad(start, end, 0.0, depth)
            self.sheet.add(Stroke(box, EDGE if measured else HIDDEN, "FIXED", True))
            self.clear.take(box)
            self._text_near(frame, (start + end) / 2, f"F{n + 1}", depth * self.per_mm + 1.2, GREY)


def _span(fixed: Fixed, length: float) -> tuple[float, float] | None:
    """Where a fixed thing starts and ends along its wall; None where nobody said."""
    width = float((fixed.width and fixed.width.value_mm) or 200.0)
    if fixed.from_left and fixed.from_left.value_mm is not None:
        return float(fixed.from_left.value_mm), fixed.from_left.value_mm + width
    if fixed.from_right and fixed.from_right.value_mm is not None:
        end = length - fixed.from_right.value_mm
        return end - width, end
    return None
