"""The elevation of one wall as somebody sees it who faces it from inside: left is the wall's start."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from intake.drawing.border import Area
from intake.drawing.clearance import Clearance, rectangle
from intake.drawing.dimensions import ROW, chain_of, dimension_of, doubtful_ids, draw_string
from intake.drawing.display import (
    BLACK,
    DOUBT_DASHED,
    EDGE,
    FINE,
    HIDDEN,
    RED,
    WALL,
    LineStyle,
    PaperPoint,
    Sheet,
    Stroke,
    Text,
)
from intake.drawing.layout import ABOVE_LINE, EXTENSION_BEYOND, EXTENSION_OFF, FIRST_ROW, HALF, MEDIUM, SMALL
from intake.drawing.lettering import clean, shortened, text_width
from intake.drawing.openings import FIXED_MM, fixed_span
from intake.drawing.wall_frame import WallFrame
from intake.model.examination import Basis, PlacedWall, RoomExamination
from intake.model.reading import Direction, Hinge, Opens
from intake.model.room import Fixed, Measurement, Section, SectionKind, Wall, fixed_tag

GUESS_MM = {"ceiling": 2400, "sill": 1000, "tall": 1100, "door": 2040, "fixed": 1000}
"""Heights drawn dashed in the colour of doubt where none was measured (common practice, no source)."""
LEAST_DIMENSION_MM = 6.0
"""A height shorter than this on paper is left to the schedule."""
ROUND = (19.0, 11.0, 10.0, 18.0)
"""Paper left of, above, right of and below an elevation for its dimensions and title, mm; like the next, layout of our
own."""
LEAST_WIDE_MM, TITLE_UP_MM = 34.0, 3.0
"""The paper that the narrowest elevation takes, and its title's baseline above it."""
SLOPE_WORDS_MM, LOW_LEFT_MM, LOW_RIGHT_MM = 1.2, 5.0, 7.0
"""Words above the edge of a sloped ceiling, and how far outside the wall its height stands on either side."""
UPRIGHT_TICK_MM, BESIDE_MM = 1.2, 1.5
"""Half an oblique stroke, and lettering beside a line that is too short for it."""
FURNITURE_HIGH, FURNITURE_NAMED, NAMED, NAME_LONG = 0.85, 0.42, 0.45, 0.7
"""Shares of the ceiling's height: furniture as drawn, the middle of its name and of others, an upright name at most."""
SILL_AT, HEAD_AT = 0.22, 0.78
"""Shares of a window's width, where its heights are dimensioned."""
DOOR_HEIGHT_AT, TAG_AT, TAG_HIGH, TAG_WIDE = 0.8, 0.3, 0.88, 0.6
"""Shares of a door: from its hinge to its height and to its tag, how high the tag stands, and how wide it may be."""


def elevation_size(examination: RoomExamination, wall: int, scale: int) -> tuple[float, float]:
    """Width and height on paper, dimensions included, mm."""
    placed = examination.placed.walls[wall]
    width, height = placed.length_mm / scale, ceiling_of(examination)[0] / scale
    return max(width, LEAST_WIDE_MM) + ROUND[0] + ROUND[2], height + ROUND[1] + ROUND[3]


def ceiling_of(examination: RoomExamination) -> tuple[int, bool]:
    """The lowest ceiling height and whether it is known for certain."""
    heights = [(c.value_mm, c.accepted) for c in examination.survey.ceilings if c.value_mm and c.value_mm > 0]
    return min(heights) if heights else (GUESS_MM["ceiling"], False)


def draw_elevation(sheet: Sheet, examination: RoomExamination, wall: int, area: Area) -> None:
    """Draw wall number `wall` with its dimensions into the top left of `area`."""
    _Elevation(sheet, examination, wall, area).draw()


@dataclass
class _Elevation:
    sheet: Sheet
    examination: RoomExamination
    number: int
    area: Area

    def __post_init__(self) -> None:
        self.room = self.examination.survey
        self.wall: Wall = self.room.walls[self.number]
        self.placed: PlacedWall = self.examination.placed.walls[self.number]
        self.per_mm = 1.0 / self.sheet.scale
        self.ceiling, self.ceiling_known = ceiling_of(self.examination)
        left, top = self.area.left + ROUND[0], self.area.top + ROUND[1]
        self.floor: PaperPoint = (left, top + self.ceiling * self.per_mm)
        self.clear = Clearance()
        self.clear.take(rectangle(left, top, left + self.placed.length_mm * self.per_mm, self.floor[1]))
        self.doubtful = doubtful_ids(self.examination)
        self.tags = self.room.opening_tags()

    def at(self, run: float, height: float) -> PaperPoint:
        return self.floor[0] + run * self.per_mm, self.floor[1] - height * self.per_mm

    def draw(self) -> None:
        length = self.placed.length_mm
        self._outline(length)
        self._slopes(length)
        for part in (p for p in self.placed.sections if p.end_mm > p.start_mm):
            self._section(
                self.wall.sections[part.index], float(part.start_mm), float(part.end_mm), part.index
            )
        for n, fixed in enumerate(self.room.fixed):
            if fixed.wall == self.number:
                self._fixed(n, fixed, length)
        self._lengths(length)
        self._ceiling_dimension()
        title = f"Elevation {self.wall.letter}"
        self.sheet.add(
            Text((self.floor[0], self.area.top + ROUND[1] - TITLE_UP_MM), title, MEDIUM, bold=True)
        )

    def _outline(self, length: float) -> None:
        """The cut round the wall extra-wide, its top following the sloped ceilings beside it; dashed where nobody
        measured the ceiling."""
        top = [self.at(run, height) for run, height in self._top_edge(length)]
        start, end = self.at(0, 0), self.at(length, 0)
        self.sheet.add(Stroke((top[0], start, end, top[-1]), WALL))
        self.sheet.add(Stroke(tuple(top), WALL if self.ceiling_known else DOUBT_DASHED))

    def _top_edge(self, length: float) -> list[tuple[float, float]]:
        """(run, height) of the ceiling along the wall, from left to right."""
        left, right = self._beside(-1, length), self._beside(1, length)
        points = [(0.0, float(self.ceiling)), (length, float(self.ceiling))]
        if left:
            starts, low = left
            points = [(0.0, low), (starts, float(self.ceiling)), points[-1]]
        if right:
            starts, low = right
            points = [*points[:-1], (max(length - starts, points[-2][0]), float(self.ceiling)), (length, low)]
        return points

    def _beside(self, step: int, length: float) -> tuple[float, float] | None:
        """(how far along this wall it reaches, its height at the corner) of a ceiling that falls towards the wall
        before (-1) or after (1) this one, where both stand square."""
        beside = (self.number + step) % len(self.room.walls)
        for slope in self.room.slopes:
            low, starts = slope.low.value_mm, slope.starts.value_mm
            if slope.wall == beside and low and starts and 0 < low < self.ceiling:
                if Direction.OTHER in (self.wall.direction, self.room.walls[beside].direction):
                    return None
                return min(float(starts), length), float(low)
        return None

    def _slopes(self, length: float) -> None:
        """A ceiling that falls towards this wall: the edge where it meets the wall, with its height."""
        for slope in self.room.slopes:
            low = slope.low.value_mm
            if slope.wall == self.number and low is not None and low < self.ceiling:
                self.sheet.add(Stroke((self.at(0, low), self.at(length, low)), EDGE))
                self._words(self.at(length / 2, low), "slope above", SLOPE_WORDS_MM)
                self._low(length + LOW_RIGHT_MM / self.per_mm, slope.low)
        for step, run in ((-1, -LOW_LEFT_MM / self.per_mm), (1, length + LOW_RIGHT_MM / self.per_mm)):
            beside = (self.number + step) % len(self.room.walls)
            lows = [s.low for s in self.room.slopes if s.wall == beside]
            if lows and self._beside(step, length):
                self._low(run, lows[0])

    def _low(self, run: float, low: Measurement) -> None:
        """How high the ceiling is where it meets a wall."""
        self._upright(run, 0, float(low.value_mm or 0), _queried(low), low.accepted, extend=run < 0)

    def _section(self, section: Section, start: float, end: float, n: int) -> None:
        tag = self.tags.get((self.number, n), "")
        if section.kind is SectionKind.WINDOW:
            self._window(section, start, end, tag)
        elif section.kind in (SectionKind.DOOR, SectionKind.DOORWAY, SectionKind.OPENING):
            self._door(section, start, end, tag)
        elif section.kind is SectionKind.FURNITURE:
            self._box(start, end, 0, FURNITURE_HIGH * self.ceiling, HIDDEN)
            self._name(section, start, end, FURNITURE_NAMED)
        elif section.kind is not SectionKind.WALL:
            self._to_ceiling(start, end)
            self._name(section, start, end, NAMED)

    def _to_ceiling(self, start: float, end: float) -> None:
        """The upright edges of what goes up to the ceiling, sloped as it may be."""
        edge = self._top_edge(self.placed.length_mm)
        runs, heights = [r for r, _ in edge], [h for _, h in edge]
        for run in (start, end):
            high = float(np.interp(run, runs, heights))
            self.sheet.add(Stroke((self.at(run, 0), self.at(run, high)), EDGE, "OPENING"))

    def _window(self, section: Section, start: float, end: float, tag: str) -> None:
        sill, sill_known = self._sill(section)
        top, top_known = self._top(section, sill, sill + GUESS_MM["tall"], sill_known)
        pen = EDGE if sill_known and top_known else DOUBT_DASHED
        self._box(start, end, sill, top, pen)
        inset = min(60.0, (end - start) / 6, (top - sill) / 6)
        self._box(
            start + inset, end - inset, sill + inset, top - inset, FINE if pen is EDGE else DOUBT_DASHED
        )
        middle = (start + end) / 2
        self._words(self.at(middle, (sill + top) / 2), tag, -HALF)
        self._upright(start + SILL_AT * (end - start), 0, sill, _sill_text(section), sill_known)
        tall = _queried(section.top_above_sill) or str(round(top - sill))
        self._upright(
            start + SILL_AT * (end - start), sill, top, tall, top_known, bool(section.top_above_sill)
        )
        self._upright(
            start + HEAD_AT * (end - start),
            0,
            top,
            _queried(section.top_above_floor),
            top_known,
            bool(section.top_above_floor),
            lettered_to=sill,
        )

    def _sill(self, section: Section) -> tuple[int, bool]:
        """The sill above the floor, and whether it is known for certain."""
        if section.sill and section.sill.value_mm is not None:
            return section.sill.value_mm, section.sill.accepted
        parts = [p for p in (section.worktop, section.worktop_to_sill) if p and p.value_mm is not None]
        if len(parts) == 2:
            return sum(p.value_mm or 0 for p in parts), all(p.accepted for p in parts)
        return GUESS_MM["sill"], False

    def _top(self, section: Section, sill: int, guess: int, sill_known: bool = True) -> tuple[int, bool]:
        """The top of an opening above the floor, and whether it is known for certain."""
        if section.top_above_floor and section.top_above_floor.value_mm:
            return section.top_above_floor.value_mm, section.top_above_floor.accepted
        if section.top_above_sill and section.top_above_sill.value_mm:
            return sill + section.top_above_sill.value_mm, section.top_above_sill.accepted and sill_known
        return min(guess, self.ceiling), False

    def _door(self, section: Section, start: float, end: float, tag: str) -> None:
        top, known = self._top(section, 0, GUESS_MM["door"])
        pen: LineStyle = EDGE if known else DOUBT_DASHED
        self.sheet.add(
            Stroke((self.at(start, 0), self.at(start, top), self.at(end, top), self.at(end, 0)), pen)
        )
        hinge, latch = (end, start) if section.swing.hinge is Hinge.RIGHT else (start, end)
        if section.kind is SectionKind.DOOR and section.swing.hinge:
            # The lines meet at the hinge; full where the leaf opens towards who looks at it, broken where it opens
            # away (common practice in Britain, no source).
            towards = EDGE if section.swing.into is Opens.ROOM else HIDDEN
            self.sheet.add(Stroke((self.at(latch, top), self.at(hinge, top / 2), self.at(latch, 0)), towards))
        inside = text_width(tag, SMALL) < TAG_WIDE * (end - start) * self.per_mm
        at = (
            self.at((1 - TAG_AT) * hinge + TAG_AT * latch, TAG_HIGH * top)
            if inside
            else self.at((start + end) / 2, top + 2.0 / self.per_mm)
        )
        self._words(at, tag, 0.0)
        self._upright(
            (1 - DOOR_HEIGHT_AT) * hinge + DOOR_HEIGHT_AT * latch,
            0,
            top,
            _queried(section.top_above_floor) or "head n.m.",
            known,
        )

    def _fixed(self, n: int, fixed: Fixed, length: float) -> None:
        """Its box, and every measurement of it that was taken: from the corner, above the floor, wide and tall."""
        span = fixed_span(fixed, length)
        if span is None:
            return
        start, end = span
        height = fixed.height.value_mm if fixed.height else None
        known, base = height is not None, float(GUESS_MM["fixed"] if height is None else height)
        tall = float((fixed.tall and fixed.tall.value_mm) or FIXED_MM)
        sized = bool(fixed.width and fixed.width.value_mm and fixed.tall and fixed.tall.value_mm)
        self._box(start, end, base, base + tall, DOUBT_DASHED if not known else EDGE if sized else HIDDEN)
        self._words(self.at((start + end) / 2, base + tall / 2), fixed_tag(n), -HALF)
        if known and base * self.per_mm > LEAST_DIMENSION_MM:
            self._upright((start + end) / 2, 0, base, _queried(fixed.height), _accepted(fixed.height))
        if fixed.tall and fixed.tall.value_mm and tall * self.per_mm > LEAST_DIMENSION_MM:
            beside = end + 4.0 / self.per_mm
            self._upright(beside, base, base + tall, _queried(fixed.tall), _accepted(fixed.tall))
        if fixed.width and fixed.width.value_mm:
            self._level(start, end, base + tall, fixed.width)
        if fixed.from_left and fixed.from_left.value_mm:
            self._level(0.0, start, base + tall, fixed.from_left)
        if fixed.from_right and fixed.from_right.value_mm:
            self._level(end, end + fixed.from_right.value_mm, base + tall, fixed.from_right)

    def _level(self, start: float, end: float, height: float, given: Measurement) -> None:
        """A horizontal dimension just above `height`, as it was measured."""
        words, known = _queried(given), given.accepted
        lift = 4.0 / self.per_mm
        a, b = self.at(start, height + lift), self.at(end, height + lift)
        if words and b[0] - a[0] > 1.0:
            self.sheet.add(Stroke((a, b), FINE, "DIMENSION"))
            for point in (a, b):
                self._tick(*point)
            colour, layer = (BLACK, "DIMENSION") if known else (RED, "DOUBT")
            at = ((a[0] + b[0]) / 2, a[1] - ABOVE_LINE)
            self.sheet.add(Text(at, words, SMALL, "middle", 0.0, not known, colour, layer))

    # -- dimensions ------------------------------------------------------------------------------------------------

    def _lengths(self, length: float) -> None:
        """Sections below the floor line, then the overall, as in the plan."""
        frame = WallFrame(self.floor, (1.0, 0.0), self.per_mm, length)
        below = _Below(frame)
        chain = chain_of(self.wall, self.placed, self.doubtful)
        row = FIRST_ROW
        if chain:
            row = draw_string(self.sheet, self.clear, below, chain, row, 0.0)[0] + ROW
        if length > 0 and (self.wall.overalls or len(chain) != 1):
            given = self.wall.overalls[0] if self.wall.overalls else Measurement("")
            basis = Basis.LEFT_OUT if given.id in self.examination.placed.left_out else self.placed.basis
            whole = dimension_of(given, 0, round(length), basis, self.doubtful, self.placed.sd_mm)
            draw_string(self.sheet, self.clear, below, [whole], row, 0.0)

    def _ceiling_dimension(self) -> None:
        text = str(self.ceiling) if self.ceiling_known else "ceiling n.m."
        if not self.ceiling_known and any(c.value_mm == self.ceiling for c in self.room.ceilings):
            text = f"{self.ceiling} ?"
        self._upright(-10.0 / self.per_mm, 0, self.ceiling, text, self.ceiling_known, extend=True)

    def _upright(
        self,
        run: float,
        low: float,
        high: float,
        words: str,
        known: bool,
        shown: bool = True,
        extend: bool = False,
        lettered_to: int | None = None,
    ) -> None:
        """A vertical dimension at `run`, its lettering in the middle, or in that below `lettered_to` where it fits; not
        drawn where it would only repeat a guess."""
        if not shown or high <= low:
            return
        a, b = self.at(run, low), self.at(run, high)
        self.sheet.add(Stroke((a, b), FINE, "DIMENSION"))
        for x, y in (a, b):
            self._tick(x, y)
            if extend:
                self.sheet.add(
                    Stroke(((x - EXTENSION_BEYOND, y), (self.floor[0] - EXTENSION_OFF, y)), FINE, "DIMENSION")
                )
        label, colour, layer = (words, BLACK, "DIMENSION") if known else (f"{words}", RED, "DOUBT")
        clear = a[1] - self.at(run, high if lettered_to is None else lettered_to)[1]
        wide = text_width(label, SMALL, not known) + 1.0
        middle = a[1] - clear / 2 if wide < clear else (a[1] + b[1]) / 2
        if wide < abs(a[1] - b[1]):
            self.sheet.add(
                Text((a[0] - ABOVE_LINE, middle), label, SMALL, "middle", 90.0, not known, colour, layer)
            )
        else:
            self.sheet.add(
                Text((a[0] + BESIDE_MM, middle + HALF), label, SMALL, "start", 0.0, not known, colour, layer)
            )

    def _tick(self, x: float, y: float) -> None:
        half = UPRIGHT_TICK_MM
        self.sheet.add(Stroke(((x - half, y + half), (x + half, y - half)), EDGE, "DIMENSION"))

    def _box(self, start: float, end: float, low: float, high: float, pen: LineStyle) -> None:
        corners = (self.at(start, low), self.at(end, low), self.at(end, high), self.at(start, high))
        self.sheet.add(Stroke(corners, pen, "DOUBT" if pen is DOUBT_DASHED else "OPENING", True))

    def _name(self, section: Section, start: float, end: float, share: float) -> None:
        """What stands there, upright where it is narrow."""
        words, room = (
            clean(section.label or section.kind.value.replace("-", " ")),
            (end - start) * self.per_mm - 1.0,
        )
        x, y = self.at((start + end) / 2, share * self.ceiling)
        if text_width(words, SMALL) <= room:
            self.sheet.add(Text((x, y), words, SMALL, "middle"))
        elif room > 3.0:
            words = shortened(words, SMALL, NAME_LONG * self.ceiling * self.per_mm)
            self.sheet.add(Text((x + HALF, y), words, SMALL, "middle", 90.0))

    def _words(self, at: PaperPoint, words: str, lift: float) -> None:
        self.sheet.add(Text((at[0], at[1] - lift), words, SMALL, "middle"))


class _Below(WallFrame):
    """A frame whose outside lies below the line, as dimensions of an elevation do."""

    def __init__(self, frame: WallFrame) -> None:
        super().__init__(frame.origin, frame.along, frame.per_mm, frame.length)

    def shifted(self, run: float, off_paper: float) -> PaperPoint:
        return super().shifted(run, -off_paper)


def _sill_text(section: Section) -> str:
    parts = [_queried(section.worktop), _queried(section.worktop_to_sill)]
    return _queried(section.sill) or (" + ".join(parts) if all(parts) else "sill n.m.")


def _queried(height: Measurement | None) -> str:
    """A height in mm, queried where nobody has accepted it; "" where there is none."""
    if height is None or height.value_mm is None:
        return ""
    return f"{height.value_mm}" + ("" if height.accepted else " ?")


def _accepted(height: Measurement | None) -> bool:
    return height is not None and height.accepted
