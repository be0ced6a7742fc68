"""A small drawing board over reportlab's shapes: walls, tapes, figures, in the one style of all our drawings.

Coordinates are points, x to the right, y up, origin bottom left.
"""

from __future__ import annotations

import math

from reportlab.graphics.shapes import ArcPath, Circle, Drawing, Line, Polygon, PolyLine, Rect, String
from reportlab.lib.colors import Color, HexColor

INK = HexColor("#22332E")
TAPE = HexColor("#B5401F")
WALL = HexColor("#D9D0BC")
SOFT = HexColor("#F3EDE1")
WATER = HexColor("#DCE8EC")
WHITE = HexColor("#FFFFFF")

THIN, PAPER, LINE, FIGURE = 0.8, 1.2, 1.4, 1.6
"""Widths of lines, points: what leads to a tape, a sheet's edge, any other, what is drawn on; like the next, layout of
our own."""
MIDDLE_DOWN = 0.36
"""From the middle of words down to their baseline, in sizes of their type."""
DISC, FIGURE_WIDE = 8.5, 6.6
"""A letter's disc, and the width of one figure of a length, points."""
HEAD_LONG, HEAD_HALF = 7.0, 2.8
"""A tape's arrowhead."""

DrawnPoint = tuple[float, float]


class Illustration:
    """One drawing in the making; `done` is the reportlab drawing."""

    def __init__(self, width: float = 280, height: float = 170) -> None:
        self.done = Drawing(width, height)

    def line(
        self, *points: DrawnPoint, width: float = LINE, colour: Color = INK, dashed: bool = False
    ) -> None:
        flat = [c for p in points for c in p]
        dashes = [4, 3] if dashed else None
        if len(points) == 2:
            shape = Line(*flat, strokeColor=colour, strokeWidth=width, strokeDashArray=dashes)
        else:
            shape = PolyLine(flat, strokeColor=colour, strokeWidth=width, strokeDashArray=dashes)
        self.done.add(shape)

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        fill: Color | None = WHITE,
        line: float = LINE,
        r: float = 0,
    ) -> None:
        self.done.add(Rect(x, y, width, height, r, r, fillColor=fill, strokeColor=INK, strokeWidth=line))

    def patch(self, *points: DrawnPoint, fill: Color = WALL, line: float = 0) -> None:
        flat = [c for p in points for c in p]
        stroke = INK if line else None
        self.done.add(Polygon(flat, fillColor=fill, strokeColor=stroke, strokeWidth=line))

    def disc(self, x: float, y: float, radius: float, fill: Color | None = WHITE, line: float = LINE) -> None:
        self.done.add(Circle(x, y, radius, fillColor=fill, strokeColor=INK, strokeWidth=line))

    def arc(self, x: float, y: float, radius: float, start: float, end: float, dashed: bool = True) -> None:
        """A quarter or other arc about (x, y), degrees anticlockwise from the right."""
        path = ArcPath(
            strokeColor=INK, strokeWidth=1, fillColor=None, strokeDashArray=[3, 2] if dashed else None
        )
        path.addArc(x, y, radius, start, end)
        self.done.add(path)

    def text(
        self, x: float, y: float, words: str, size: float = 11, colour: Color = INK, bold: bool = False
    ) -> None:
        """Words centred on (x, y)."""
        font = "Helvetica-Bold" if bold else "Helvetica"
        self.done.add(
            String(
                x,
                y - size * MIDDLE_DOWN,
                words,
                fontName=font,
                fontSize=size,
                fillColor=colour,
                textAnchor="middle",
            )
        )

    def tape(
        self, start: DrawnPoint, end: DrawnPoint, label: str = "", side: float = 0, tick: float = 5
    ) -> None:
        """A measured length: a line with an arrowhead and a tick at both ends, its label beside it on `side`."""
        (x1, y1), (x2, y2) = start, end
        length = math.hypot(x2 - x1, y2 - y1)
        ux, uy = (x2 - x1) / length, (y2 - y1) / length
        self.line(start, end, width=FIGURE, colour=TAPE)
        for (x, y), way in ((start, 1), (end, -1)):
            self.line(
                (x - uy * tick, y + ux * tick), (x + uy * tick, y - ux * tick), width=FIGURE, colour=TAPE
            )
            self._head(x, y, ux * way, uy * way)
        if label:
            middle = ((x1 + x2) / 2 - uy * side, (y1 + y2) / 2 + ux * side)
            self.label(*middle, label)

    def label(self, x: float, y: float, words: str) -> None:
        """A single letter in a disc, or a figure on white."""
        if len(words) == 1:
            self.done.add(Circle(x, y, DISC, fillColor=TAPE, strokeColor=WHITE, strokeWidth=1))
            self.text(x, y, words, 11, WHITE, bold=True)
        else:
            width = FIGURE_WIDE * len(words)
            self.done.add(Rect(x - width / 2, y - 7, width, 14, fillColor=WHITE, strokeColor=None))
            self.text(x, y, words, 11, TAPE, bold=True)

    def floor(self, x1: float, x2: float, y: float) -> None:
        """A floor in section: a heavy line, hatched below."""
        self.patch((x1, y), (x2, y), (x2, y - 9), (x1, y - 9), fill=WALL)
        self.line((x1, y), (x2, y), width=2)

    def frame(self, x: float, y: float, width: float, height: float) -> None:
        """The corners of what a camera sees."""
        arm = 12
        for cx, sx in ((x, 1), (x + width, -1)):
            for cy, sy in ((y, 1), (y + height, -1)):
                self.line((cx, cy + sy * arm), (cx, cy), (cx + sx * arm, cy), width=2, colour=TAPE)

    def phone(self, x: float, y: float) -> None:
        """A phone seen from its front, centred on (x, y)."""
        self.box(x - 8, y - 14, 16, 28, fill=INK, line=1, r=3)
        self.box(x - 6, y - 10, 12, 20, fill=SOFT, line=0.5)

    def _head(self, x: float, y: float, ux: float, uy: float) -> None:
        (bx, by), half = (x + ux * HEAD_LONG, y + uy * HEAD_LONG), HEAD_HALF
        self.done.add(
            Polygon(
                [x, y, bx - uy * half, by + ux * half, bx + uy * half, by - ux * half],
                fillColor=TAPE,
                strokeColor=None,
            )
        )
