"""Tables and notes set in columns beside a drawing or on a sheet of their own."""

from __future__ import annotations

from dataclasses import dataclass

from intake.drawing.border import Area
from intake.drawing.display import BLACK, FINE, GREY, RED, Sheet, Stroke, Text
from intake.drawing.layout import HEADING, LARGE, MEDIUM, NAME, SMALL
from intake.drawing.lettering import clean, shortened, text_width, wrapped

TEXT, LEADING = SMALL, 4.1
PAD, FOOT = 3.0, 1.5
"""Beside and below the words of a column, mm; like the next, layout of our own."""
VERDICT_TALL, VERDICT_DOWN = 9.0, 6.5
HEADING_TALL, HEADING_DOWN, RULE_DOWN = 7.5, 5.0, 6.2
"""What they take of a column, and their baselines and the heading's rule from their top."""
PARAGRAPH_GAP, ROW_GAP, BASE_UP, ROW_RULE_DOWN = 0.8, 0.6, 0.8, 0.4
"""Below a paragraph and a row, a baseline above its line's foot, a row's rule below it."""


@dataclass(frozen=True)
class Heading:
    text: str


@dataclass(frozen=True)
class ColumnVerdict:
    text: str
    colour: str = BLACK


@dataclass(frozen=True)
class Paragraph:
    text: str
    colour: str = BLACK
    bold: bool = False
    indent: float = 0.0


@dataclass(frozen=True)
class CellRow:
    """Cells right-aligned in equal columns after a first cell of words; `shares` are the widths of the columns."""

    cells: tuple[str, ...]
    shares: tuple[float, ...]
    colour: str = BLACK
    bold: bool = False
    ruled: bool = False


Block = Heading | ColumnVerdict | Paragraph | CellRow


def flow(sheet: Sheet, areas: list[Area], blocks: list[Block]) -> list[Block]:
    """Set the blocks in the areas, one after the other; returns those that found no room."""
    waiting = list(blocks)
    for area in areas:
        y = area.top + 1.0
        while waiting:
            height = _height(waiting[0], area.width - 2 * PAD)
            # A heading stays with what it heads.
            needed = height + (_height(waiting[1], area.width - 2 * PAD) if _heads(waiting) else 0.0)
            if y + needed > area.bottom - FOOT:
                break
            _draw(sheet, waiting.pop(0), area, y)
            y += height
    return waiting


def _heads(blocks: list[Block]) -> bool:
    return isinstance(blocks[0], Heading) and len(blocks) > 1


def _height(block: Block, width: float) -> float:
    if isinstance(block, ColumnVerdict):
        return VERDICT_TALL
    if isinstance(block, Heading):
        return HEADING_TALL
    return LEADING * len(_lines(block, width)) + (PARAGRAPH_GAP if isinstance(block, Paragraph) else ROW_GAP)


def _lines(block: Paragraph | CellRow, width: float) -> list[str]:
    if isinstance(block, Paragraph):
        return wrapped(clean(block.text, 600), TEXT, width - block.indent, block.bold) or [""]
    return wrapped(clean(block.cells[0], 300), TEXT, width * block.shares[0] - 1.0, block.bold) or [""]


def _draw(sheet: Sheet, block: Block, area: Area, top: float) -> None:
    left, width = area.left + PAD, area.width - 2 * PAD
    if isinstance(block, ColumnVerdict):
        height = next((h for h in (LARGE, NAME, MEDIUM) if text_width(block.text, h, True) <= width), HEADING)
        sheet.add(Text((left, top + VERDICT_DOWN), block.text, height, bold=True, colour=block.colour))
    elif isinstance(block, Heading):
        sheet.add(Text((left, top + HEADING_DOWN), block.text, HEADING, bold=True))
        sheet.add(Stroke(((left, top + RULE_DOWN), (left + width, top + RULE_DOWN)), FINE, "TEXT"))
    elif isinstance(block, Paragraph):
        for n, line in enumerate(_lines(block, width)):
            at = (left + block.indent, top + LEADING * (n + 1) - BASE_UP)
            sheet.add(Text(at, line, TEXT, bold=block.bold, colour=block.colour))
    else:
        _draw_row(sheet, block, left, width, top)


def _draw_row(sheet: Sheet, row: CellRow, left: float, width: float, top: float) -> None:
    lines = _lines(row, width)
    for n, line in enumerate(lines):
        at = (left, top + LEADING * (n + 1) - BASE_UP)
        sheet.add(Text(at, line, TEXT, bold=row.bold, colour=row.colour))
    right = left + width * row.shares[0]
    for cell, share in zip(row.cells[1:], row.shares[1:], strict=True):
        right += width * share
        words = shortened(clean(cell), TEXT, width * share - 0.5, row.bold)
        sheet.add(
            Text((right, top + LEADING - BASE_UP), words, TEXT, "end", bold=row.bold, colour=row.colour)
        )
    if row.ruled:
        y = top + LEADING * len(lines) + ROW_RULE_DOWN
        sheet.add(Stroke(((left, y), (left + width, y)), FINE, "TEXT"))


def muted(text: str) -> Paragraph:
    return Paragraph(text, GREY)


def alarming(text: str, bold: bool = False) -> Paragraph:
    return Paragraph(text, RED, bold)
