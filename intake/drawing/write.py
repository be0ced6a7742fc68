"""A room's drawings into a file, by its ending."""

from __future__ import annotations

import json
from pathlib import Path

from intake.drawing.dxf import sheets_dxf
from intake.drawing.pdf import sheets_pdf
from intake.drawing.plan import plan_sheet
from intake.drawing.plan_json import plan_json
from intake.drawing.svg import sheet_svg
from intake.drawing.titles import TitleBlock
from intake.model.errors import IntakeError
from intake.model.room import RoomExamination

ENDINGS = (".svg", ".pdf", ".dxf", ".json")


def write_plan(examination: RoomExamination, title: TitleBlock, path: Path) -> None:
    """Write the drawings to `path`: .svg the plan alone, .pdf and .dxf all sheets, .json the numbers.

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
    sheets = [plan_sheet(examination, title)]
    if ending == ".svg":
        return sheet_svg(sheets[0]).encode()
    if ending == ".pdf":
        return sheets_pdf(sheets, title.room or "Room", title.showroom)
    return sheets_dxf(sheets).encode()
