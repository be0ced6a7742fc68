"""Dimension strings as a draughtsman sets them: oblique strokes, text above the line, read from below or the right
(ISO 129-1); what is doubtful is boxed and queried, what was worked out stands in brackets (auxiliary dimensions)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from intake.domain.room.shapes import Shape
from intake.drawing.clearance import Clearance
from intake.drawing.display import BLACK, DOUBT, EDGE, FINE, RED, DrawnLength, PaperPoint, Sheet, Stroke, Text
from intake.drawing.layout import ABOVE_LINE, EXTENSION_BEYOND, EXTENSION_OFF, SMALL, TICK
from intake.drawing.lettering import text_width
from intake.drawing.wall_frame import WallFrame, up_of
from intake.model.examination import Basis, PlacedWall, RoomExamination
from intake.model.room import Measurement, Wall

TEXT = SMALL
"""The smallest height of the standard's that we use."""
ROW = 7.5
"""From one dimension line to the next, mm."""
END_GAP, LINE_HALF = 0.7, 0.2
"""Strings may come so near each other end to end, and a line takes so much to either side, mm; like the next, layout
of our own."""
INSIDE, TALL_SHARE = 5.0, 1.6
"""The nearest row inside a room, and how much of a row its lettering takes, in heights of it."""
ABOVE_BOX, BESIDE, MOVED = 1.9, 2.2, 1.5
"""Boxed lettering above its line, lettering beside the end of its string, and from where on it counts as moved."""
LEADERS, LEADER_GAP, LEADER_SIDE_GAP = (4.4, 7.6, 10.8, 14.0, 17.2), 0.4, 0.6
"""How far off lettering on a leader may stand, and what is left between the two."""
BOX_WIDER, BOX_TALLER = 1.2, 1.18
"""A box: mm wider than its lettering, times taller."""
DEPTH_ROWS = (3.5, 5.5, 8.0)
"""How far beside what stands out the dimension of its depth is tried."""
DOUBTED_SD_MM = 30.0
"""A length that the rest fixes no better than this is drawn as doubtful (the trade's tolerance; common practice)."""
ASIDE_MM = (-20.0, -16.0, -12.0, -8.0, -4.0, 0.0, 4.0, 8.0, 12.0, 16.0, 20.0)
"""How far lettering that finds no place near its dimension may be moved, either way."""
LAYER = "DIMENSION"


class Mark(Enum):
    """How a dimension is to be taken."""

    PLAIN = ""
    DOUBTFUL = "doubtful"
    DERIVED = "derived"
    MISSING = "missing"


@dataclass(frozen=True)
class Dimension:
    """From `start` to `end` in real mm along the wall."""

    start: float
    end: float
    text: str
    mark: Mark = Mark.PLAIN
    sd_mm: float | None = None

    def label(self) -> str:
        return {
            Mark.PLAIN: self.text,
            Mark.DOUBTFUL: f"{self.text} ?",
            Mark.DERIVED: f"({self.text}{self._spread()})",
            Mark.MISSING: "n.m.",
        }[self.mark]

    def _spread(self) -> str:
        """Give or take: twice the standard deviation, which chance keeps 95 times in 100."""
        return "" if self.sd_mm is None else f" ±{2 * self.sd_mm:.0f}"


def doubtful_ids(examination: RoomExamination) -> frozenset[str]:
    """The lengths that the sums doubt, or that nobody has accepted."""
    doubted = {r.id for r in examination.readings if r.doubtful}
    return frozenset(doubted | {m.id for m in examination.survey.lengths() if not m.accepted})


def chain_of(wall: Wall, placed: PlacedWall, doubtful: frozenset[str]) -> list[Dimension]:
    """The dimensions of a wall's sections, in order."""
    return [
        dimension_of(wall.sections[p.index].length, p.start_mm, p.end_mm, p.basis, doubtful, p.sd_mm)
        for p in placed.sections
        if p.end_mm > p.start_mm
    ]


def dimension_of(
    measurement: Measurement,
    start: int,
    end: int,
    basis: Basis,
    doubtful: frozenset[str],
    sd_mm: float | None = None,
) -> Dimension:
    """A length as it is written on a drawing: as measured, and marked where it is not to be relied on."""
    if measurement.value_mm is None:
        if basis is Basis.ASSUMED:
            return Dimension(start, end, str(end - start), Mark.MISSING)
        unsure = sd_mm is not None and sd_mm > DOUBTED_SD_MM
        text = f"{end - start} ±{2 * (sd_mm or 0):.0f}" if unsure else str(end - start)
        return Dimension(start, end, text, Mark.DOUBTFUL if unsure else Mark.DERIVED, sd_mm)
    doubted = measurement.id in doubtful or basis is Basis.LEFT_OUT
    mark = Mark.DOUBTFUL if doubted else Mark.DERIVED if measurement.estimated else Mark.PLAIN
    return Dimension(start, end, str(measurement.value_mm), mark)


def draw_string(
    sheet: Sheet, clear: Clearance, frame: WallFrame, dimensions: list[Dimension], nearest: float, edge: float
) -> tuple[float, int]:
    """Draw one string outside a wall at the first free row from `nearest` (mm on paper off the face), or inside where
    none is free; extension lines start at `edge`. Returns its row, and how many texts found no room and were left off:
    never those in doubt."""
    row, before = _free_row(clear, frame, dimensions, nearest), len(sheet.items)
    ends = sorted({d.start for d in dimensions} | {d.end for d in dimensions})
    near, far = (
        (edge + EXTENSION_OFF, row + EXTENSION_BEYOND)
        if row > 0
        else (-EXTENSION_OFF, row - EXTENSION_BEYOND)
    )
    for run in ends:
        sheet.add(Stroke((frame.shifted(run, -near), frame.shifted(run, -far)), FINE, LAYER))
        sheet.add(_tick(frame, run, row))
        clear.take(_thick(frame, run, near, far))
    sheet.add(Stroke((frame.shifted(ends[0], -row), frame.shifted(ends[-1], -row)), FINE, LAYER))
    left_off = 0
    for dimension in sorted(dimensions, key=lambda d: d.start - d.end):
        beyond = -1 if dimension.start == ends[0] else 1 if dimension.end == ends[-1] else 0
        left_off += not _letter(sheet, clear, frame, dimension, row, beyond, edge if row > 0 else 0.0)
    clear.take(_line_shape(frame, ends[0], ends[-1], row))
    sheet.drawn_dimensions.update(range(before, len(sheet.items)))
    return row, left_off


def _free_row(clear: Clearance, frame: WallFrame, dimensions: list[Dimension], nearest: float) -> float:
    """Rows outside the wall are positive; where all are taken, as in a notch, the string goes inside the room."""
    # Strings of neighbouring walls may touch end to end.
    end_gap = END_GAP / frame.per_mm
    start, end = min(d.start for d in dimensions) + end_gap, max(d.end for d in dimensions) - end_gap
    sense = 1.0 if _outward_is_up(frame) else -1.0
    outside = [nearest + n * ROW / 2 for n in range(10)]
    inside = [-INSIDE - n * ROW / 2 for n in range(5)]
    for row in (*outside, *inside):
        low, high = sorted((row - sense * TEXT / 2, row + sense * TALL_SHARE * TEXT))
        shape = tuple(frame.shifted(s, -o) for s, o in ((start, low), (end, low), (end, high), (start, high)))
        if clear.free(shape):
            return row
    return nearest


def _tick(frame: WallFrame, run: float, row: float) -> Stroke:
    """An oblique stroke at 45 degrees, rising to the right of the lettering."""
    turn = math.radians(frame.text_angle)
    (x, y), (ux, uy) = frame.shifted(run, -row), up_of(frame.text_angle)
    dx, dy = TICK * (math.cos(turn) + ux), TICK * (uy - math.sin(turn))
    return Stroke(((x - dx, y - dy), (x + dx, y + dy)), EDGE, LAYER)


def _thick(frame: WallFrame, run: float, near: float, far: float) -> Shape:
    """The place of an extension line."""
    half = LINE_HALF / frame.per_mm
    points = ((run - half, near), (run + half, near), (run + half, far), (run - half, far))
    return tuple(frame.shifted(s, -o) for s, o in points)


def _line_shape(frame: WallFrame, start: float, end: float, row: float) -> Shape:
    low, high = row - LINE_HALF, row + LINE_HALF
    points = ((start, low), (end, low), (end, high), (start, high))
    return tuple(frame.shifted(s, -o) for s, o in points)


def _letter(
    sheet: Sheet,
    clear: Clearance,
    frame: WallFrame,
    dimension: Dimension,
    row: float,
    beyond: int,
    edge: float,
) -> bool:
    """Above the line; where there is no room, beside the end of the string (`beyond` is -1, 1 or 0 for neither), else
    further from the wall on a leader, else aside. False where there is no room at all."""
    middle = frame.shifted((dimension.start + dimension.end) / 2, -row)
    text, leader, free = _place_text(clear, frame, dimension, middle, row, beyond)
    if not free:
        text, leader, free = _place_aside(clear, frame, dimension, middle) or (text, None, False)
    sheet.dimensions.append(_measured(frame, dimension, middle, text, edge))
    if not free and dimension.mark is not Mark.DOUBTFUL:
        return False
    if leader:
        sheet.add(Stroke((middle, leader), FINE, LAYER))
    sheet.add(text)
    clear.take_text(text)
    if dimension.mark is Mark.DOUBTFUL:
        sheet.add(Stroke(_boxed(text), DOUBT, "DOUBT", closed=True))
    return True


def _measured(
    frame: WallFrame, dimension: Dimension, middle: PaperPoint, text: Text, edge: float
) -> DrawnLength:
    a, _, c, _ = text.corners()
    usual = _text_at(frame, dimension, middle, ABOVE_LINE)
    doubtful = dimension.mark in (Mark.DOUBTFUL, Mark.MISSING)
    return DrawnLength(
        frame.at(dimension.start),
        frame.at(dimension.end),
        middle,
        ((a[0] + c[0]) / 2, (a[1] + c[1]) / 2),
        frame.text_angle,
        dimension.label(),
        doubtful,
        math.dist(usual.at, text.at) > MOVED,
        edge,
    )


def _place_text(
    clear: Clearance, frame: WallFrame, dimension: Dimension, middle: PaperPoint, row: float, beyond: int
) -> tuple[Text, PaperPoint | None, bool]:
    """The lettering at its place, where its leader ends if it needs one, and whether the place is free."""
    close = ABOVE_BOX if dimension.mark is Mark.DOUBTFUL else ABOVE_LINE
    first = _text_at(frame, dimension, middle, close)
    if clear.free_text(first):
        return first, None, True
    if beyond:
        width = text_width(first.text, TEXT, first.bold)
        run = (dimension.end if beyond > 0 else dimension.start) + beyond * (
            width / 2 + BESIDE
        ) / frame.per_mm
        beside = _text_at(frame, dimension, frame.shifted(run, -row), close)
        if clear.free_text(beside):
            return beside, None, True
    sense = 1 if _outward_is_up(frame) == (row > 0) else -1
    for away in LEADERS:
        lift = away if sense > 0 else -TEXT - away
        text = _text_at(frame, dimension, middle, lift)
        if clear.free_text(text):
            return text, _toward(frame, middle, lift), True
    return first, None, False


def _place_aside(
    clear: Clearance, frame: WallFrame, dimension: Dimension, middle: PaperPoint
) -> tuple[Text, PaperPoint, bool] | None:
    """The nearest free place round about, on a leader to its side; None where there is none."""
    ux, uy = up_of(frame.text_angle)
    places = [
        (across, lift) for across in ASIDE_MM for lift in ASIDE_MM if min(abs(across), abs(lift)) > TEXT
    ]
    for across, lift in sorted(places, key=lambda place: math.hypot(*place)):
        text = _text_at(frame, dimension, (middle[0] - uy * across, middle[1] + ux * across), lift)
        if clear.free_text(text):
            near = across - math.copysign(
                text_width(text.text, TEXT, text.bold) / 2 + LEADER_SIDE_GAP, across
            )
            high = lift + TEXT / 2
            return text, (middle[0] - uy * near + ux * high, middle[1] + ux * near + uy * high), True
    return None


def _outward_is_up(frame: WallFrame) -> bool:
    """Whether lettering above the line stands further from the wall than the line."""
    (ux, uy), (xa, ya), (xb, yb) = up_of(frame.text_angle), frame.shifted(0.0, 0.0), frame.shifted(0.0, -1.0)
    return ux * (xb - xa) + uy * (yb - ya) > 0


def _text_at(frame: WallFrame, dimension: Dimension, middle: PaperPoint, lift: float) -> Text:
    angle = frame.text_angle
    ux, uy = up_of(angle)
    at = (middle[0] + ux * lift, middle[1] + uy * lift)
    doubtful = dimension.mark in (Mark.DOUBTFUL, Mark.MISSING)
    layer = "DOUBT" if doubtful else LAYER
    return Text(at, dimension.label(), TEXT, "middle", angle, doubtful, RED if doubtful else BLACK, layer)


def _toward(frame: WallFrame, middle: PaperPoint, lift: float) -> PaperPoint:
    ux, uy = up_of(frame.text_angle)
    reach = lift - LEADER_GAP if lift > 0 else lift + TEXT + LEADER_GAP
    return middle[0] + ux * reach, middle[1] + uy * reach


def _boxed(text: Text) -> tuple[PaperPoint, ...]:
    """A box a little larger than the lettering."""
    a, b, c, d = text.corners()
    mx, my = (a[0] + c[0]) / 2, (a[1] + c[1]) / 2
    width = text_width(text.text, text.height, text.bold)
    fx, fy = 1 + BOX_WIDER / width, BOX_TALLER
    ux, uy = (b[0] - a[0]) / 2, (b[1] - a[1]) / 2
    vx, vy = (d[0] - a[0]) / 2, (d[1] - a[1]) / 2
    return tuple(
        (mx + i * ux * fx + j * vx * fy, my + i * uy * fx + j * vy * fy)
        for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    )


def draw_depth(
    sheet: Sheet, clear: Clearance, frame: WallFrame, start: float, end: float, depth: float, label: Dimension
) -> bool:
    """The dimension of how far something from `start` to `end` stands out (negative: goes in), beside it at the first
    free place; False, and nothing drawn, where there is none."""
    ux, uy = frame.along
    after = WallFrame(frame.at(end, min(depth, 0.0)), (-uy, ux), frame.per_mm, abs(depth))
    before = WallFrame(frame.at(start, max(depth, 0.0)), (uy, -ux), frame.per_mm, abs(depth))
    for side in (after, before):
        for row in DEPTH_ROWS:
            if _fits(clear, side, label, row):
                draw_string(sheet, clear, side, [label], row, 0.0)
                return True
    return False


def _fits(clear: Clearance, frame: WallFrame, dimension: Dimension, row: float) -> bool:
    middle = frame.shifted((dimension.start + dimension.end) / 2, -row)
    text, _, free = _place_text(clear, frame, dimension, middle, row, 0)
    ends = (frame.shifted(dimension.start, -row), frame.shifted(dimension.end, -row))
    return (
        free
        and clear.free(ends)
        and clear.free((frame.shifted(dimension.start, -1.0), ends[0]))
        and bool(text)
    )
