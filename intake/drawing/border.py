"""What every sheet has round its drawing: frame, caution, title block, scale bar, north."""

from __future__ import annotations

import math
from dataclasses import dataclass

from intake.drawing.display import BLACK, EDGE, FINE, FRAME, GREY, POCHE, Pasted, Sheet, Stroke, Text
from intake.drawing.layout import HEADING, MEDIUM, SMALL
from intake.drawing.lettering import clean, shortened, text_width
from intake.drawing.titles import CAUTION, TitleBlock

FILING_MM, MARGIN_MM = 20.0, 10.0
"""Left margin for filing and the other margins (ISO 5457)."""
TITLE_MM, CAUTION_MM = 14.0, 10.0
PANEL_MM = 92.0
LOGO_MM, LOGO_DOWN = 5.6, 0.8
"""How high the showroom's logo stands at most, above its name, and how far below the title block's edge."""
CAUTION_UP, ASSUMED_UP = 5.6, 1.6
"""The baselines of the caution and of what is assumed, above the title block; like the next, layout of our own."""
CELL_PAD, LABEL_DOWN, VALUE_UP = 1.5, 4.3, 3.8
"""In a cell of the title block: left of its words, its label's baseline from the top, its value's from the bottom."""
CELL_SHARES = {
    "Showroom": 0.15, "Room": 0.14, "Customer": 0.13, "Job": 0.13, "Drawing": 0.12,
    "Scale": 0.1, "Date": 0.09, "Revision": 0.07, "Sheet": 0.07,
}  # fmt: skip
"""Of the title block's width."""
BAR_HIGH, BAR_MARK_UP, HALF_METRES_TO, EACH_MARKED_FROM = 1.8, 1.2, 20, 12.0
"""The scale bar: its height, its figures above it, the last scale of half metres, the unit that lets each be marked."""
NORTH_IN, NORTH_LONG, NORTH_WIDE, NORTH_LETTER, LETTER_DOWN = 6.0, 5.0, 1.8, 7.6, 1.2
"""The arrow: its middle from the corner, half its length, its head's half width, how far off its N stands and how much
lower the baseline is."""
PAPERS = {"A4": (297.0, 210.0), "A3": (420.0, 297.0)}
"""Landscape (ISO 216)."""


@dataclass(frozen=True)
class Area:
    """A rectangle on paper, mm."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


def drawing_area(paper: str, panel: bool = True) -> Area:
    """Where the drawing goes, left of the panel where there is one."""
    width, height = PAPERS[paper]
    bottom = height - MARGIN_MM - TITLE_MM - CAUTION_MM
    return Area(FILING_MM, MARGIN_MM, width - MARGIN_MM - (PANEL_MM if panel else 0.0), bottom)


def panel_area(paper: str) -> Area:
    """Where tables and notes go."""
    area = drawing_area(paper)
    return Area(area.right, area.top, area.right + PANEL_MM, area.bottom)


def blank_sheet(paper: str, title: str, scale: int) -> Sheet:
    width, height = PAPERS[paper]
    return Sheet(width, height, title, scale, paper)


def draw_border(sheet: Sheet, title: TitleBlock, number: int, count: int) -> None:
    """The frame, the caution and the title block of a finished sheet."""
    left, right, bottom = FILING_MM, sheet.width - MARGIN_MM, sheet.height - MARGIN_MM
    corners = ((left, MARGIN_MM), (right, MARGIN_MM), (right, bottom), (left, bottom))
    sheet.add(Stroke(corners, FRAME, "FRAME", closed=True))
    top = bottom - TITLE_MM
    sheet.add(Stroke(((left, top - CAUTION_MM), (right, top - CAUTION_MM)), EDGE, "FRAME"))
    sheet.add(Stroke(((left, top), (right, top)), EDGE, "FRAME"))
    middle = (left + right) / 2
    sheet.add(Text((middle, top - CAUTION_UP), CAUTION, HEADING, "middle", bold=True, layer="FRAME"))
    assumed = shortened(clean(title.assumed, 300), SMALL, right - left - 4.0)
    sheet.add(Text((middle, top - ASSUMED_UP), assumed, SMALL, "middle", layer="FRAME"))
    scale = f"1:{sheet.scale} on {sheet.paper}" if sheet.scaled else "none"
    cells = (
        ("Showroom", title.showroom),
        ("Room", title.room),
        ("Customer", title.customer),
        ("Job", title.job),
        ("Drawing", sheet.title),
        ("Scale", scale),
        ("Date", f"{title.drawn_on:%d.%m.%Y}" if title.drawn_on else ""),
        ("Revision", title.revision),
        ("Sheet", f"{number} / {count}"),
    )
    x = left
    for n, (label, value) in enumerate(cells):
        width = (right - left) * CELL_SHARES[label]
        if n:
            sheet.add(Stroke(((x, top), (x, bottom)), FINE, "FRAME"))
        sheet.add(Text((x + CELL_PAD, top + LABEL_DOWN), label, SMALL, colour=GREY, layer="FRAME"))
        sheet.add(_fitted(clean(value) or "-", (x + CELL_PAD, bottom - VALUE_UP), width - CELL_PAD - 1.0))
        if title.logo and label == "Showroom":
            named = text_width(label, SMALL) + 2 * CELL_PAD
            sheet.logo = Pasted(x + named, top + LOGO_DOWN, width - named - 1.0, LOGO_MM, title.logo)
        x += width


def _fitted(words: str, at: tuple[float, float], width: float) -> Text:
    """The words at 3.5 mm if they fit, smaller to 2.5 mm if not, then shortened."""
    height = next((h for h in (MEDIUM, HEADING) if text_width(words, h) <= width), SMALL)
    return Text(at, shortened(words, height, width), height, layer="FRAME")


def draw_scale_bar(sheet: Sheet, left: float, base: float) -> None:
    """A bar of whole metres (half metres in large scales), to be trusted on a print of any size."""
    step = 500 if sheet.scale <= HALF_METRES_TO else 1000
    parts = 4
    unit = step / sheet.scale
    for n in range(parts):
        corners = tuple(
            (left + x * unit, base + y) for x, y in ((n, 0.0), (n + 1, 0.0), (n + 1, BAR_HIGH), (n, BAR_HIGH))
        )
        sheet.add(Stroke(corners, FINE, "FRAME", True, BLACK if n % 2 == 0 else "#ffffff"))
    for n in range(0, parts + 1, 1 if unit > EACH_MARKED_FROM else 2):
        mark = f"{n * step / 1000:g}" + (" m" if n == parts else "")
        sheet.add(Text((left + n * unit, base - BAR_MARK_UP), mark, SMALL, "middle", layer="FRAME"))


def draw_north(sheet: Sheet, at: tuple[float, float], north_deg: float | None) -> None:
    """An arrow where north is told; where it is not, that it is not."""
    x, y = at
    if north_deg is None:
        sheet.add(Text((x, y), "North not known", SMALL, "end", layer="FRAME"))
        return
    # The top of the plan bears north_deg, so north lies that much anticlockwise of the top.
    turn = math.radians(-north_deg)
    ux, uy = math.sin(turn), -math.cos(turn)
    cx, cy = x - NORTH_IN, y - NORTH_IN
    long, wide, off = NORTH_LONG, NORTH_WIDE, NORTH_LETTER
    tip, tail = (cx + long * ux, cy + long * uy), (cx - long * ux, cy - long * uy)
    side = (tail[0] - wide * uy, tail[1] + wide * ux)
    sheet.add(Stroke((tail, tip), EDGE, "FRAME"), Stroke((tip, side, tail), EDGE, "FRAME", True, POCHE))
    letter = cx + off * ux, cy + off * uy + LETTER_DOWN
    sheet.add(Text(letter, "N", SMALL, "middle", bold=True, layer="FRAME"))
