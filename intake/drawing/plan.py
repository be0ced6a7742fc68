"""The plan of a room to scale."""

from __future__ import annotations

from intake.drawing.border import (
    Area,
    blank_sheet,
    draw_border,
    draw_north,
    draw_scale_bar,
    drawing_area,
    panel_area,
)
from intake.drawing.columns import Block, flow
from intake.drawing.display import EDGE, Sheet, Stroke, Text, cropped, extent_of
from intake.drawing.lettering import wrapped
from intake.drawing.panel import panel_blocks
from intake.drawing.plan_view import BELOW_MM, PlanView, needed
from intake.drawing.svg import sheet_svg
from intake.drawing.titles import CAUTION, TitleBlock, titled
from intake.model.room import RoomExamination

ALONE_MM = 80.0
"""The longer side of a plan that stands alone, mm of a drawing whose lettering is 2.5 mm high."""
SCALES = ((20, "A4"), (20, "A3"), (50, "A4"), (50, "A3"), (100, "A3"), (200, "A3"), (500, "A3"))
"""Tried in this order: 1:20 or 1:50, smaller only for what fits neither."""


def plan_sheet(examination: RoomExamination, title: TitleBlock | None = None) -> tuple[Sheet, list[Block]]:
    """The plan's sheet without its border, and the blocks of the panel that found no room on it."""
    scale, paper = choose_scale(examination)
    sheet = blank_sheet(paper, "Plan", scale)
    area = drawing_area(paper)
    PlanView(examination, sheet, area, title or TitleBlock()).draw()
    panel = panel_area(paper)
    sheet.add(Stroke(((panel.left, panel.top), (panel.left, panel.bottom)), EDGE, "FRAME"))
    draw_scale_bar(sheet, area.left + 6.0, area.bottom - 5.0)
    draw_north(sheet, (area.right - 5.0, area.bottom - 4.0), examination.survey.north_deg)
    return sheet, flow(sheet, [panel], panel_blocks(examination))


def plan_svg(examination: RoomExamination, title: TitleBlock | None = None) -> str:
    """The plan as an SVG document, for a page; safe to set into HTML.

    With a title block the whole sheet. Without one the plan alone, cropped, at no particular scale: so that its
    dimensions can be read in a panel some 540 pixels wide.
    """
    if title is None:
        return sheet_svg(_alone(examination))
    title = titled(title, examination)
    sheet, _ = plan_sheet(examination, title)
    draw_border(sheet, title, 1, 1)
    return sheet_svg(sheet)


def _alone(examination: RoomExamination) -> Sheet:
    scale = max(round(_size(examination) / ALONE_MM), 10)
    sheet = Sheet(0.0, 0.0, "Plan", scale, "", scaled=False)
    PlanView(examination, sheet, Area(-500.0, -500.0, 500.0, 500.0), TitleBlock()).draw()
    left, _, right, bottom = extent_of(sheet)
    width = max(right - left, 100.0)
    for n, line in enumerate(wrapped(CAUTION, 2.5, width)):
        at = ((left + right) / 2, bottom + 7.0 + 4.0 * n)
        sheet.add(Text(at, line, 2.5, "middle", layer="FRAME"))
    return cropped(sheet, 4.0)


def choose_scale(examination: RoomExamination) -> tuple[int, str]:
    """The first scale and paper on which the room and its dimensions fit."""
    for scale, paper in SCALES:
        area, (left, top, right, bottom) = drawing_area(paper), needed(examination, scale)
        if right - left <= area.width and bottom - top <= area.height - BELOW_MM:
            return scale, paper
    return SCALES[-1]


def _size(examination: RoomExamination) -> float:
    """The longer side of the room, real mm."""
    points = [p for w in examination.placed.walls for p in (w.start, w.end)] or [(0, 0)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return float(max(max(xs) - min(xs), max(ys) - min(ys)))
