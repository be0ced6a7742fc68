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
from intake.drawing.columns import Block, ColumnVerdict, Paragraph, flow
from intake.drawing.display import EDGE, GREY, RED, Sheet, Stroke, Text, cropped, extent_of
from intake.drawing.lettering import text_width, wrapped
from intake.drawing.panel import panel_blocks
from intake.drawing.plan_view import BELOW_MM, PlanView, needed
from intake.drawing.svg import sheets_svg
from intake.drawing.tables import word_sheets
from intake.drawing.titles import CAUTION, TitleBlock, titled
from intake.model.examination import RoomExamination

ALONE_MM = 80.0
"""The longer side of a plan that stands alone, mm of a drawing whose lettering is 2.5 mm high."""
ABOVE_MM = 10.0
"""What the verdict takes above a plan without a panel."""
NEXT_SHEET = "Closures, schedules and notes: on the sheets of words."
SCALES = (
    (20, "A4", True),
    (20, "A3", True),
    (20, "A3", False),
    (50, "A4", True),
    (50, "A3", True),
    (100, "A3", True),
    (200, "A3", True),
    (500, "A3", True),
)
"""Scale (ISO 5455), paper, and whether the panel stands beside the plan, tried in this order: a larger scale is worth a
sheet of its own for the words."""


def plan_sheet(examination: RoomExamination, title: TitleBlock | None = None) -> tuple[Sheet, list[Block]]:
    """The plan's sheet without its border, and the blocks of the panel that found no room on it."""
    view, blocks = drawn_plan(examination, title or TitleBlock())
    return view.sheet, blocks


def drawn_plan(examination: RoomExamination, title: TitleBlock) -> tuple[PlanView, list[Block]]:
    """The same with the plan as it was drawn on the sheet."""
    scale, paper, beside = choose_scale(examination)
    sheet = blank_sheet(paper, "Plan", scale)
    area = _plan_area(paper, beside)
    view = PlanView(examination, sheet, area, title)
    view.draw()
    blocks = panel_blocks(examination)
    if beside:
        panel = panel_area(paper)
        sheet.add(Stroke(((panel.left, panel.top), (panel.left, panel.bottom)), EDGE, "FRAME"))
        blocks = flow(sheet, [panel], blocks)
    else:
        _say_above(sheet, area, blocks)
    draw_scale_bar(sheet, area.left + 6.0, area.bottom - 5.0)
    draw_north(sheet, (area.right - 5.0, area.bottom - 4.0), examination.survey.north_deg)
    return view, blocks


def plan_svg(examination: RoomExamination, title: TitleBlock | None = None) -> str:
    """The plan as an SVG document, for a page; safe to set into HTML.

    With a title block the whole sheet, and below it those of what found no room on it. Without one the plan alone,
    cropped, at no particular scale: so that its
    dimensions can be read in a panel some 540 pixels wide.
    """
    if title is None:
        return sheets_svg([_alone(examination)])
    title = titled(title, examination)
    sheet, left_over = plan_sheet(examination, title)
    sheets = [sheet, *word_sheets(left_over, sheet.paper, sheet.scale, "Plan, notes")]
    for n, each in enumerate(sheets):
        draw_border(each, title, n + 1, len(sheets))
    return sheets_svg(sheets)


def _alone(examination: RoomExamination) -> Sheet:
    scale = max(round(_size(examination) / ALONE_MM), 10)
    sheet = Sheet(0.0, 0.0, "Plan", scale, "", scaled=False)
    PlanView(examination, sheet, Area(-500.0, -500.0, 500.0, 500.0), TitleBlock()).draw()
    left, _, right, bottom = extent_of(sheet)
    width = max(right - left, 100.0)
    said = [CAUTION, examination.placed.squareness.text] if examination.placed.walls else [CAUTION]
    lines = [line for words in said for line in wrapped(words, 2.5, width)]
    for n, line in enumerate(lines):
        at = ((left + right) / 2, bottom + 7.0 + 4.0 * n)
        sheet.add(Text(at, line, 2.5, "middle", layer="FRAME"))
    return cropped(sheet, 4.0)


def choose_scale(examination: RoomExamination) -> tuple[int, str, bool]:
    """The first scale and paper on which the room and its dimensions fit, and whether the panel fits beside it."""
    for scale, paper, beside in SCALES:
        area, (left, top, right, bottom) = _plan_area(paper, beside), needed(examination, scale)
        if right - left <= area.width and bottom - top <= area.height - BELOW_MM:
            return scale, paper, beside
    return SCALES[-1]


def _say_above(sheet: Sheet, area: Area, blocks: list[Block]) -> None:
    """On a plan without a panel: whether the room closes, how it is drawn, and where the rest is said."""
    verdict = next(b for b in blocks if isinstance(b, ColumnVerdict))
    x, y = area.left + 3.0, area.top - ABOVE_MM + 6.0
    sheet.add(Text((x, y), verdict.text, 4.0, bold=True, colour=verdict.colour))
    x += text_width(verdict.text, 4.0, True) + 5.0
    after = blocks[blocks.index(verdict) + 1 :][:1]
    how = [b.text for b in after if isinstance(b, Paragraph) and b.colour == RED]
    for n, line in enumerate(wrapped(" ".join([*how, NEXT_SHEET]), 2.5, area.right - x - 3.0)[:2]):
        sheet.add(Text((x, y - 1.8 + 4.0 * n), line, 2.5, colour=RED if how else GREY))


def _plan_area(paper: str, beside: bool) -> Area:
    """Where the plan goes: left of the panel, or below the verdict where the panel has sheets of its own."""
    area = drawing_area(paper, beside)
    return area if beside else Area(area.left, area.top + ABOVE_MM, area.right, area.bottom)


def _size(examination: RoomExamination) -> float:
    """The longer side of the room, real mm."""
    points = [p for w in examination.placed.walls for p in (w.start, w.end)] or [(0, 0)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return float(max(max(xs) - min(xs), max(ys) - min(ys)))
