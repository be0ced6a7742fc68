"""A room's drawings into a file, by its ending."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from pathlib import Path

from intake.drawing.border import PAPERS, Area, blank_sheet, draw_border, drawing_area
from intake.drawing.display import Sheet
from intake.drawing.elevation import draw_elevation, elevation_size
from intake.drawing.ifc import room_ifc
from intake.drawing.pdf import sheets_pdf
from intake.drawing.plan import drawn_plan, plan_svg
from intake.drawing.plan_json import plan_json
from intake.drawing.plan_view import PlanView
from intake.drawing.tables import table_sheets
from intake.drawing.titles import TitleBlock, titled
from intake.model.errors import IntakeError
from intake.model.examination import RoomExamination

SMALLEST_SCALE = 1000
"""Elevations are not drawn smaller than about 1:1000, whether they fit or not."""
ENDINGS = (".svg", ".pdf", ".dxf", ".json", ".ifc")


def write_plan(examination: RoomExamination, title: TitleBlock, path: Path) -> None:
    """Write the drawings to `path`: .svg the plan alone, .pdf and .dxf all sheets, .json the numbers,
    .ifc the room in three dimensions (where IfcOpenShell is installed).

    Raises IntakeError for another ending or a file that cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise IntakeError(f"{path.name}: unknown ending", f"Use one of {', '.join(ENDINGS)}")
    try:
        path.write_bytes(plan_bytes(examination, title, ending))
    except OSError as error:
        raise IntakeError(f"{path} cannot be written ({error.strerror})", "Choose another place") from error


def plan_bytes(examination: RoomExamination, title: TitleBlock, ending: str) -> bytes:
    """The same as bytes, for a page to hand out."""
    if ending == ".json":
        return (json.dumps(plan_json(examination), indent=1, ensure_ascii=False) + "\n").encode()
    if ending == ".ifc":
        return room_ifc(examination, titled(title, examination)).encode()
    if ending == ".svg":
        return plan_svg(examination, title).encode()
    sheets, view = all_sheets(examination, title)
    if ending == ".pdf":
        return sheets_pdf(sheets, title.room or "Room", title.showroom)
    from intake.drawing.dxf import sheets_dxf  # its library takes a third of a second to import

    return sheets_dxf(sheets, view).encode()


def all_sheets(examination: RoomExamination, title: TitleBlock) -> tuple[list[Sheet], PlanView]:
    """The plan, the elevations, and the tables, each with its border; and the plan's view."""
    title = titled(title, examination)
    view, left_over = drawn_plan(examination, title)
    plan = view.sheet
    sheets = [plan, *elevation_sheets(examination, plan.scale, plan.paper)]
    sheets += table_sheets(examination, plan.paper, plan.scale, left_over)
    for n, sheet in enumerate(sheets):
        draw_border(sheet, title, n + 1, len(sheets))
    return sheets, view


def elevation_sheets(examination: RoomExamination, scale: int, paper: str) -> list[Sheet]:
    """One elevation a wall, set in rows, several to a sheet; smaller where one would not fit its paper, and on smaller
    paper than the plan's where that takes less of it."""
    walls = [w.wall for w in examination.placed.walls if w.length_mm > 0]
    sizes = [elevation_size(examination, w, scale) for w in walls]
    while not _fit(sizes, paper) and scale < SMALLEST_SCALE:
        scale *= 2
        sizes = [elevation_size(examination, w, scale) for w in walls]
    papers = [p for p in PAPERS if _fit(sizes, p)] or [paper]
    paper = min(papers, key=lambda p: (len(_packed(sizes, p)) * PAPERS[p][0] * PAPERS[p][1], p != paper))
    whole, sheets = drawing_area(paper, panel=False), []
    for places in _packed(sizes, paper):
        sheet = blank_sheet(paper, "Elevations", scale)
        right = max(x + sizes[n][0] for n, x, _ in places)
        bottom = max(y + sizes[n][1] for n, _, y in places)
        dx, dy = whole.left + (whole.width - right) / 2, whole.top + (whole.height - bottom) / 2
        for n, x, y in places:
            area = Area(x + dx, y + dy, x + dx + sizes[n][0], y + dy + sizes[n][1])
            draw_elevation(sheet, examination, walls[n], area)
        sheets.append(sheet)
    return sheets


Size = tuple[float, float]
"""Width and height on paper, mm."""


def _fit(sizes: Sequence[Size], paper: str) -> bool:
    whole = drawing_area(paper, panel=False)
    return all(w <= whole.width and h <= whole.height for w, h in sizes)


def _packed(sizes: Sequence[Size], paper: str) -> list[list[tuple[int, float, float]]]:
    """Which drawing stands where, (its place in `sizes`, left, top) in mm, sheet by sheet, in rows and in order."""
    whole = drawing_area(paper, panel=False)
    sheets: list[list[tuple[int, float, float]]] = []
    x, y, row = math.inf, 0.0, 0.0
    for n, (width, height) in enumerate(sizes):
        if x + width > whole.width:
            x, y, row = 0.0, y + row, 0.0
        if not sheets or y + height > whole.height:
            sheets.append([])
            x, y, row = 0.0, 0.0, 0.0
        sheets[-1].append((n, x, y))
        x, row = x + width, max(row, height)
    return sheets
