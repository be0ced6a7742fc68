"""Sheets of words: every measurement with what the adjustment says of it, and what found no room beside the plan.

Of a room that does not close nothing is adjusted: its lengths would be pulled to whatever the slip is."""

from __future__ import annotations

from collections.abc import Iterator

from intake.drawing.border import Area, blank_sheet, drawing_area, panel_area
from intake.drawing.columns import Block, CellRow, Heading, Paragraph, alarming, flow, muted
from intake.drawing.display import BLACK, FINE, RED, Sheet, Stroke
from intake.model.examination import RoomExamination
from intake.model.room import Measurement

SHARES = (0.19, 0.16, 0.15, 0.13, 0.1, 0.11, 0.16)
"""Of the table's width by column (by eye)."""
HEADS = ("Length", "measured", "adjusted", "st. dev.", "r", "w", "hidden <")
MOST_SHEETS = 20
"""A longer table is cut off (a guard, set by hand)."""


def table_sheets(examination: RoomExamination, paper: str, scale: int, left_over: list[Block]) -> list[Sheet]:
    """As many sheets as the tables need, without borders."""
    return word_sheets([*left_over, *_measurements(examination)], paper, scale, "Measurements")


def word_sheets(blocks: list[Block], paper: str, scale: int, title: str) -> list[Sheet]:
    """Sheets of words in columns. What not even MOST_SHEETS hold is counted on the last: nothing goes in silence."""
    sheets: list[Sheet] = []
    while blocks and len(sheets) < MOST_SHEETS:
        sheet = blank_sheet(paper, title, scale)
        sheet.scaled = False
        columns = _columns(paper)
        for column in columns[1:]:
            sheet.add(Stroke(((column.left, column.top), (column.left, column.bottom)), FINE, "FRAME"))
        if len(sheets) == MOST_SHEETS - 1:
            last = columns[-1]
            columns[-1] = Area(last.left, last.top, last.right, last.bottom - 12.0)
        before = len(blocks)
        blocks = flow(sheet, columns, blocks)
        sheets.append(sheet)
        if blocks and (len(blocks) == before or len(sheets) == MOST_SHEETS):
            last = columns[-1]
            below = [Area(last.left, last.bottom, last.right, last.bottom + 12.0)]
            flow(sheet, below, [alarming(f"{len(blocks)} more entries: see the JSON.", bold=True)])
            break
    return sheets


def _columns(paper: str) -> list[Area]:
    whole, panel = drawing_area(paper), panel_area(paper)
    count = 2 if paper == "A4" else 3
    width = (panel.right - whole.left) / count
    return [
        Area(whole.left + n * width, whole.top, whole.left + (n + 1) * width, whole.bottom)
        for n in range(count)
    ]


def _measurements(examination: RoomExamination) -> Iterator[Block]:
    yield Heading("Every length, mm")
    yield CellRow(HEADS, SHARES, bold=True, ruled=True)
    for measurement in examination.survey.lengths():
        yield _row(examination, measurement)
    yield muted(
        "r: redundancy, 0 where nothing checks it. w: residual over its standard deviation, critical 3.29."
        " hidden <: the smallest slip that would be found four times in five."
    )
    if examination.survey.unplaced:
        yield Heading("Read, but not placed")
        for measurement in examination.survey.unplaced:
            yield Paragraph(f"{measurement.text or measurement.value_mm} ({measurement.id})")


def _row(examination: RoomExamination, measurement: Measurement) -> CellRow:
    found = examination.reading(measurement.id)
    if found is None:
        said = "not measured" if measurement.value_mm is None else f"{measurement.value_mm}"
        return CellRow((measurement.id, said, "", "", "", "", ""), SHARES)
    cells = (
        measurement.id,
        f"{found.measured_mm}" + (" ?" if found.doubtful or not measurement.accepted else ""),
        "-" if examination.closes is False else f"{found.adjusted_mm:.0f}",
        f"{found.sd_mm:.1f}",
        f"{found.redundancy:.2f}",
        "-" if found.standardised is None else _signed(found.standardised),
        "never" if found.detectable_mm is None else f"{found.detectable_mm:.0f}",
    )
    return CellRow(cells, SHARES, RED if found.doubtful else BLACK, found.doubtful)


def _signed(value: float) -> str:
    return "0.00" if round(value, 2) == 0 else f"{value:+.2f}"
