"""A room's drawings into a file, by its ending."""

from __future__ import annotations

import json
from pathlib import Path

from intake.drawing.border import Area, blank_sheet, draw_border, drawing_area
from intake.drawing.display import Sheet
from intake.drawing.dxf import sheets_dxf
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
    """One elevation a wall, set in rows, several to a sheet; smaller where one would not fit its paper."""
    whole = drawing_area(paper, panel=False)
    walls = [w.wall for w in examination.placed.walls if w.length_mm > 0]
    sizes = [elevation_size(examination, w, scale) for w in walls]
    while any(w > whole.width or h > whole.height for w, h in sizes) and scale < 1000:
        scale *= 2
        sizes = [elevation_size(examination, w, scale) for w in walls]
    sheets: list[Sheet] = []
    x, y = whole.right, whole.bottom
    for wall, (width, height) in zip(walls, sizes, strict=True):
        if x + width > whole.right:
            x, y = whole.left, y + height
        if y + height > whole.bottom or not sheets:
            sheets.append(blank_sheet(paper, "Elevations", scale))
            x, y = whole.left, whole.top
        draw_elevation(sheets[-1], examination, wall, Area(x, y, x + width, y + height))
        x += width
    return sheets
