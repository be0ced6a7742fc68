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
from intake.drawing.layout import LINE, NAME, SMALL
from intake.drawing.lettering import text_width, wrapped
from intake.drawing.panel import panel_blocks
from intake.drawing.plan_view import BELOW_MM, PlanView, needed
from intake.drawing.svg import sheets_svg
from intake.drawing.tables import word_sheets
from intake.drawing.titles import CAUTION, TitleBlock, titled
from intake.model.examination import RoomExamination
from intake.wording.desk import worded

ALONE_MM = 80.0
"""The longer side of a plan that stands alone, mm of a drawing whose lettering is 2.5 mm high."""
ABOVE_MM, VERDICT_UP_MM, VERDICT_IN_MM, VERDICT_GAP_MM, HOW_UP_MM = 10.0, 4.0, 3.0, 5.0, 1.8
"""What the verdict takes above a plan without a panel, its baseline above the plan and its distance from the edge; what
parts it from how the plan is drawn, which starts so much higher. Like the next, layout of our own."""
BAR_IN_MM, BAR_UP_MM, NORTH_IN_MM, NORTH_UP_MM = 6.0, 5.0, 5.0, 4.0
"""The scale bar from the lower left corner of the plan, and north from the lower right one."""
FAR_MM, SAID_DOWN_MM, LEAST_WIDE_MM = 500.0, 7.0, 100.0
"""A plan that stands alone: no end of paper, its words below it, and how wide they may be at least."""
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
    draw_scale_bar(sheet, area.left + BAR_IN_MM, area.bottom - BAR_UP_MM)
    draw_north(sheet, (area.right - NORTH_IN_MM, area.bottom - NORTH_UP_MM), examination.survey.north_deg)
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
    PlanView(examination, sheet, Area(-FAR_MM, -FAR_MM, FAR_MM, FAR_MM), TitleBlock()).draw()
    left, _, right, bottom = extent_of(sheet)
    width = max(right - left, LEAST_WIDE_MM)
    said = [CAUTION, worded(examination.placed.squareness.text)] if examination.placed.walls else [CAUTION]
    lines = [line for words in said for line in wrapped(words, SMALL, width)]
    for n, line in enumerate(lines):
        at = ((left + right) / 2, bottom + SAID_DOWN_MM + LINE * n)
        sheet.add(Text(at, line, SMALL, "middle", layer="FRAME"))
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
    x, y = area.left + VERDICT_IN_MM, area.top - VERDICT_UP_MM
    sheet.add(Text((x, y), verdict.text, NAME, bold=True, colour=verdict.colour))
    x += text_width(verdict.text, NAME, True) + VERDICT_GAP_MM
    after = blocks[blocks.index(verdict) + 1 :][:1]
    how = [b.text for b in after if isinstance(b, Paragraph) and b.colour == RED]
    for n, line in enumerate(
        wrapped(" ".join([*how, NEXT_SHEET]), SMALL, area.right - x - VERDICT_IN_MM)[:2]
    ):
        sheet.add(Text((x, y - HOW_UP_MM + LINE * n), line, SMALL, colour=RED if how else GREY))


def _plan_area(paper: str, beside: bool) -> Area:
    """Where the plan goes: left of the panel, or below the verdict where the panel has sheets of its own."""
    area = drawing_area(paper, beside)
    return area if beside else Area(area.left, area.top + ABOVE_MM, area.right, area.bottom)


def _size(examination: RoomExamination) -> float:
    """The longer side of the room, real mm."""
    points = [p for w in examination.placed.walls for p in (w.start, w.end)] or [(0, 0)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return float(max(max(xs) - min(xs), max(ys) - min(ys)))
