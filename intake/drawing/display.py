"""A drawing as a list of strokes, arcs and texts in millimetres on paper: x to the right, y down, origin top left.

One description, rendered as SVG, PDF and DXF, so that the three can never disagree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Literal

from intake.drawing.layout import HALF, SMALL
from intake.drawing.lettering import text_width

PaperPoint = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class LineStyle:
    """A line: `width` in mm of the series 0.13 0.18 0.25 0.35 0.5 0.7 (ISO 128-2), `dash` of (on, off) mm lengths."""

    width: float
    colour: str = "#000000"
    dash: tuple[float, ...] = ()


WALL = LineStyle(0.5)
"""Cut edges: extra-wide next to the narrow lines, as ISO 128 has it for sections."""
EDGE = LineStyle(0.25)
"""Visible edges that are not cut."""
FINE = LineStyle(0.18)
"""Dimension, extension and leader lines, hatching."""
HIDDEN = LineStyle(0.18, dash=(2.0, 1.0))
"""Things above or in the way."""
CENTRE = LineStyle(0.18, dash=(4.0, 1.0, 0.7, 1.0))
DOUBT = LineStyle(0.35, "#b00020")
DOUBT_DASHED = LineStyle(0.35, "#b00020", (1.5, 1.0))
FRAME = LineStyle(0.7)
"""The border of the sheet (ISO 5457)."""

BLACK = "#000000"
GREY = "#555555"
RED = "#b00020"
POCHE = "#d9d9d9"
"""The fill of what is cut."""
SEAM = LineStyle(0.13, POCHE)
"""Round each piece of it, so that no light shows between two that touch."""


DESCENDS, RISES = 0.3, 1.05
"""How far lettering reaches below its baseline and above it, in heights of capitals, with a little air."""


@dataclass(frozen=True)
class Stroke:
    points: tuple[PaperPoint, ...]
    pen: LineStyle | None = FINE
    layer: str = "WALL"
    closed: bool = False
    fill: str = ""


@dataclass(frozen=True)
class Arc:
    """Part of a circle from angle `start` to `end`, degrees clockwise from the x axis as seen on the paper."""

    centre: PaperPoint
    radius: float
    start: float
    end: float
    pen: LineStyle = FINE
    layer: str = "OPENING"


@dataclass(frozen=True)
class Text:
    """One line of lettering on its baseline. `height` is that of a capital, mm, 2.5 at least; `angle` in degrees
    anticlockwise, 90 reads from the right-hand side of the sheet."""

    at: PaperPoint
    text: str
    height: float = SMALL
    anchor: Anchor = "start"
    angle: float = 0.0
    bold: bool = False
    colour: str = BLACK
    layer: str = "TEXT"

    def corners(self) -> tuple[PaperPoint, PaperPoint, PaperPoint, PaperPoint]:
        """The rectangle that the line of lettering takes up on paper, descenders included."""
        width = text_width(self.text, self.height, self.bold)
        left = {"start": 0.0, "middle": -width / 2, "end": -width}[self.anchor]
        turn = math.radians(self.angle)
        cos, sin = math.cos(turn), math.sin(turn)

        def on_paper(along: float, up: float) -> PaperPoint:
            return self.at[0] + along * cos - up * sin, self.at[1] - along * sin - up * cos

        low, high = -DESCENDS * self.height, RISES * self.height
        return (
            on_paper(left, high),
            on_paper(left + width, high),
            on_paper(left + width, low),
            on_paper(left, low),
        )


def centred(at: PaperPoint, words: str, angle: float, colour: str = BLACK) -> Text:
    """Lettering whose middle lies at a point."""
    turn = math.radians(angle)
    return Text(
        (at[0] + HALF * math.sin(turn), at[1] + HALF * math.cos(turn)),
        words,
        SMALL,
        "middle",
        angle,
        False,
        colour,
    )


Item = Stroke | Arc | Text


@dataclass(frozen=True)
class DrawnLength:
    """A dimension as a thing of its own: from `start` to `end`, its line through `line`, its lettering about `text_at`
    (points on paper); `angle` of the line in degrees anticlockwise. `label` is all that it says. `moved`: the lettering
    is not in its usual place above the middle of the line. `edge` is how far off extension lines start, mm on paper."""

    start: PaperPoint
    end: PaperPoint
    line: PaperPoint
    text_at: PaperPoint
    angle: float
    label: str
    doubtful: bool = False
    moved: bool = False
    edge: float = 0.0


@dataclass(frozen=True)
class Pasted:
    """A JPEG within a rectangle on paper, as large as it fits, its shape kept; on paper only, and on no DXF."""

    left: float
    top: float
    width: float
    height: float
    jpeg: bytes = field(repr=False)


@dataclass
class Sheet:
    """One sheet of paper. `scale` 20 means 1:20; `paper` is its name."""

    width: float
    height: float
    title: str
    scale: int
    paper: str
    scaled: bool = True
    """False for a sheet of words; its scale then only sets its size beside the others in a DXF."""
    items: list[Item] = field(default_factory=list)
    dimensions: list[DrawnLength] = field(default_factory=list)
    drawn_dimensions: set[int] = field(default_factory=set)
    """Places among the items of those that draw `dimensions`."""
    logo: Pasted | None = None
    """The showroom's, in the title block."""

    def add(self, *items: Item) -> None:
        self.items.extend(items)

    def texts(self) -> list[Text]:
        return [i for i in self.items if isinstance(i, Text)]


def extent_of(sheet: Sheet) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of everything on a sheet, mm."""
    points = [p for item in sheet.items for p in _outline(item)] or [(0.0, 0.0)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def cropped(sheet: Sheet, margin: float) -> Sheet:
    """The sheet cut down to what is on it and a margin."""
    left, top, right, bottom = extent_of(sheet)
    dx, dy = margin - left, margin - top
    items = [_shifted(item, dx, dy) for item in sheet.items]
    return replace(sheet, width=right - left + 2 * margin, height=bottom - top + 2 * margin, items=items)


def _outline(item: Item) -> tuple[PaperPoint, ...]:
    if isinstance(item, Stroke):
        return item.points
    if isinstance(item, Text):
        return item.corners()
    (x, y), r = item.centre, item.radius
    turns = [math.radians(item.start + (item.end - item.start) * n / 16) for n in range(17)]
    return tuple((x + r * math.cos(t), y + r * math.sin(t)) for t in turns)


def _shifted(item: Item, dx: float, dy: float) -> Item:
    if isinstance(item, Stroke):
        return replace(item, points=tuple((x + dx, y + dy) for x, y in item.points))
    if isinstance(item, Text):
        return replace(item, at=(item.at[0] + dx, item.at[1] + dy))
    return replace(item, centre=(item.centre[0] + dx, item.centre[1] + dy))
