"""What every sheet has round its drawing: frame, caution, title block, scale bar, north."""

from __future__ import annotations

import math
from dataclasses import dataclass

from intake.drawing.display import BLACK, EDGE, FINE, FRAME, GREY, POCHE, Pasted, Sheet, Stroke, Text
from intake.drawing.lettering import clean, shortened, text_width
from intake.drawing.titles import CAUTION, TitleBlock

FILING_MM, MARGIN_MM = 20.0, 10.0
"""Left margin for filing and the other margins (ISO 5457)."""
TITLE_MM, CAUTION_MM = 14.0, 10.0
PANEL_MM = 92.0
LOGO_MM = 5.6
"""How high the showroom's logo stands at most, above its name."""
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
    sheet.add(Text((middle, top - 5.6), CAUTION, 3.0, "middle", bold=True, layer="FRAME"))
    assumed = shortened(clean(title.assumed, 300), 2.5, right - left - 4.0)
    sheet.add(Text((middle, top - 1.6), assumed, 2.5, "middle", layer="FRAME"))
    scale = f"1:{sheet.scale} on {sheet.paper}" if sheet.scaled else "none"
    cells = (
        ("Showroom", title.showroom, 0.15),
        ("Room", title.room, 0.14),
        ("Customer", title.customer, 0.13),
        ("Job", title.job, 0.13),
        ("Drawing", sheet.title, 0.12),
        ("Scale", scale, 0.1),
        ("Date", f"{title.drawn_on:%d.%m.%Y}" if title.drawn_on else "", 0.09),
        ("Revision", title.revision, 0.07),
        ("Sheet", f"{number} / {count}", 0.07),
    )
    x = left
    for n, (label, value, share) in enumerate(cells):
        width = (right - left) * share
        if n:
            sheet.add(Stroke(((x, top), (x, bottom)), FINE, "FRAME"))
        sheet.add(Text((x + 1.5, top + 4.3), label, 2.5, colour=GREY, layer="FRAME"))
        sheet.add(_fitted(clean(value) or "-", (x + 1.5, bottom - 3.8), width - 2.5))
        if title.logo and label == "Showroom":
            named = text_width(label, 2.5) + 3.0
            sheet.logo = Pasted(x + named, top + 0.8, width - named - 1.0, LOGO_MM, title.logo)
        x += width


def _fitted(words: str, at: tuple[float, float], width: float) -> Text:
    """The words at 3.5 mm if they fit, smaller to 2.5 mm if not, then shortened."""
    height = next((h for h in (3.5, 3.0, 2.5) if text_width(words, h) <= width), 2.5)
    return Text(at, shortened(words, height, width), height, layer="FRAME")


def draw_scale_bar(sheet: Sheet, left: float, base: float) -> None:
    """A bar of whole metres (half metres in large scales), to be trusted on a print of any size."""
    step = 500 if sheet.scale <= 20 else 1000
    parts = 4
    unit = step / sheet.scale
    for n in range(parts):
        corners = tuple(
            (left + x * unit, base + y) for x, y in ((n, 0.0), (n + 1, 0.0), (n + 1, 1.8), (n, 1.8))
        )
        sheet.add(Stroke(corners, FINE, "FRAME", True, BLACK if n % 2 == 0 else "#ffffff"))
    for n in range(0, parts + 1, 1 if unit > 12 else 2):
        mark = f"{n * step / 1000:g}" + (" m" if n == parts else "")
        sheet.add(Text((left + n * unit, base - 1.2), mark, 2.5, "middle", layer="FRAME"))


def draw_north(sheet: Sheet, at: tuple[float, float], north_deg: float | None) -> None:
    """An arrow where north is told; where it is not, that it is not."""
    x, y = at
    if north_deg is None:
        sheet.add(Text((x, y), "North not known", 2.5, "end", layer="FRAME"))
        return
    # The top of the plan bears north_deg, so north lies that much anticlockwise of the top.
    turn = math.radians(-north_deg)
    ux, uy = math.sin(turn), -math.cos(turn)
    cx, cy = x - 6.0, y - 6.0
    tip, tail = (cx + 5 * ux, cy + 5 * uy), (cx - 5 * ux, cy - 5 * uy)
    side = (cx - 5 * ux - 1.8 * uy, cy - 5 * uy + 1.8 * ux)
    sheet.add(Stroke((tail, tip), EDGE, "FRAME"), Stroke((tip, side, tail), EDGE, "FRAME", True, POCHE))
    sheet.add(Text((cx + 7.6 * ux, cy + 7.6 * uy + 1.2), "N", 2.5, "middle", bold=True, layer="FRAME"))
