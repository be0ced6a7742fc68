"""The printable measuring sheet as data: where its corner marks and its boxes lie, and what each box measures.

Millimetres on an A4 page in portrait, x to the right, y down, origin at the paper's top left.
"""

from __future__ import annotations

from dataclasses import dataclass

from intake.model.reading import Role

PAGE_MM = (210.0, 297.0)
MARK_MM = 14.0
"""Side of a corner mark, its black border included."""
MARK_INSET_MM = 9.0
"""From the edges of the paper to a mark: printers leave about 5 mm white."""
PLAN_MM = (12.0, 40.0, 186.0, 122.0)
"""The area for the drawing: x, y, width, height."""
BOX_MM = (25.0, 10.5)
"""Width and height of every box."""


@dataclass(frozen=True)
class SheetBox:
    """One box to write a length in. `id` is unique; `row` names its line ("window-1"), `x_mm`, `y_mm` its top left."""

    id: str
    role: Role
    row: str
    x_mm: float
    y_mm: float

    @property
    def corners_mm(self) -> tuple[tuple[float, float], ...]:
        """Clockwise from the top left."""
        (x, y), (w, h) = (self.x_mm, self.y_mm), BOX_MM
        return (x, y), (x + w, y), (x + w, y + h), (x, y + h)


def mark_corners_mm(mark: int) -> tuple[tuple[float, float], ...]:
    """The corners of mark 0 to 3 (top left, top right, bottom right, bottom left), each clockwise from its top left."""
    width, height = PAGE_MM
    left = mark in (0, 3)
    top = mark in (0, 1)
    x = MARK_INSET_MM if left else width - MARK_INSET_MM - MARK_MM
    y = MARK_INSET_MM if top else height - MARK_INSET_MM - MARK_MM
    return (x, y), (x + MARK_MM, y), (x + MARK_MM, y + MARK_MM), (x, y + MARK_MM)


def _row(row: str, y: float, *columns: tuple[float, str, Role]) -> tuple[SheetBox, ...]:
    return tuple(SheetBox(f"{row}-{name}", role, row, x, y) for x, name, role in columns)


_COLUMNS = (60.0, 94.0, 128.0, 162.0)
_WINDOW = (
    (_COLUMNS[0], "width", Role.OPENING),
    (_COLUMNS[1], "sill", Role.SILL),
    (_COLUMNS[2], "head", Role.HEAD),
    (_COLUMNS[3], "reveal", Role.REVEAL),
)
SHEET_BOXES = (
    *_row("ceiling", 180.0, (_COLUMNS[0], "first", Role.CEILING), (_COLUMNS[1], "second", Role.CEILING)),
    *_row("window-1", 203.0, *_WINDOW),
    *_row("window-2", 216.0, *_WINDOW),
    *_row("window-3", 229.0, *_WINDOW),
    *_row("door", 252.0, *((x, str(n), Role.OPENING) for n, x in enumerate(_COLUMNS, 1))),
)
"""Every box of the sheet, top to bottom, left to right."""
