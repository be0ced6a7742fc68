"""The plan of a room to scale."""

from __future__ import annotations

from intake.drawing.display import BLACK, WALL, Sheet, Stroke, Text
from intake.drawing.svg import sheet_svg
from intake.drawing.titles import CAUTION, TitleBlock
from intake.model.room import RoomExamination


def plan_sheet(examination: RoomExamination, title: TitleBlock | None = None) -> Sheet:
    sheet = Sheet(297, 210, "Plan", 50)
    walls = examination.placed.walls
    xs = [p[0] for w in walls for p in (w.start, w.end)] or [0]
    ys = [p[1] for w in walls for p in (w.start, w.end)] or [0]
    for scale in (20, 50, 100):
        sheet.scale = scale
        if (max(xs) - min(xs)) / scale < 230 and (max(ys) - min(ys)) / scale < 150:
            break

    def at(p: tuple[float, float]) -> tuple[float, float]:
        return 40 + (p[0] - min(xs)) / sheet.scale, 30 + (p[1] - min(ys)) / sheet.scale

    for w in walls:
        sheet.add(Stroke((at(w.start), at(w.end)), WALL))
        mid = at(((w.start[0] + w.end[0]) / 2, (w.start[1] + w.end[1]) / 2))
        sheet.add(Text(mid, f"{w.length_mm / 10:g}", anchor="middle"))
    sheet.add(Text((10, 200), CAUTION, colour=BLACK))
    return sheet


def plan_svg(examination: RoomExamination, title: TitleBlock | None = None) -> str:
    """The plan alone as an SVG document, for a page."""
    return sheet_svg(plan_sheet(examination, title))
