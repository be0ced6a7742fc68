"""Drawings seen from above."""

from __future__ import annotations

import math

from reportlab.graphics.shapes import Drawing

from intake.postbox.illustrations.sheet import (
    FIGURE,
    LINE,
    PAPER,
    SOFT,
    WALL,
    WATER,
    WHITE,
    DrawnPoint,
    Illustration,
)


def plan() -> Drawing:
    """A room as a customer draws it: every stretch with its length."""
    sheet = Illustration()
    room: tuple[DrawnPoint, ...] = ((50, 30), (50, 140), (230, 140), (230, 66), (180, 66), (180, 30))
    sheet.patch(*room, fill=SOFT)
    sheet.line(*room, room[0], width=3)
    _window(sheet, (100, 140), (160, 140))
    sheet.line((84, 30), (122, 30), width=5, colour=SOFT)
    sheet.line((84, 30), (84, 68), width=PAPER)
    sheet.arc(84, 30, 38, 0, 90)
    for x, y, figure in (
        (75, 152, "95.5"), (130, 152, "120"), (195, 152, "184.5"), (250, 103, "178"), (214, 55, "90"),
        (194, 42, "70"), (28, 85, "248"), (66, 18, "60"), (103, 18, "80"), (152, 18, "170"),
    ):  # fmt: skip
        sheet.text(x, y, figure, 10)
    return sheet.done


def sections() -> Drawing:
    """One wall, section by section."""
    sheet = Illustration(280, 120)
    _wall_with_window(sheet)
    for a, b, figure in ((30, 85, "95.5"), (85, 155, "120"), (155, 250, "184.5")):
        sheet.tape((a, 40), (b, 40), figure, side=-14)
    return sheet.done


def overall() -> Drawing:
    """The same wall in one go."""
    sheet = Illustration(280, 120)
    _wall_with_window(sheet)
    sheet.tape((30, 40), (250, 40), "400", side=0)
    return sheet.done


def reveal() -> Drawing:
    """How deep a window stands back from the face of the wall."""
    sheet = Illustration(280, 110)
    for x1, x2 in ((20, 95), (185, 260)):
        sheet.patch((x1, 25), (x2, 25), (x2, 90), (x1, 90), fill=WALL, line=LINE)
    sheet.box(95, 72, 90, 12, fill=WATER)
    sheet.line((95, 78), (185, 78), width=1)
    sheet.line((95, 25), (185, 25), width=1, dashed=True)
    sheet.tape((140, 25), (140, 72), "12", side=-18)
    return sheet.done


def corners() -> Drawing:
    """Where to stand to photograph all round."""
    sheet = Illustration()
    sheet.box(55, 20, 170, 130, fill=SOFT, line=3)
    stands = ((72, 38, 37), (208, 38, 143), (208, 132, 217), (72, 132, 323))
    for x, y, middle in stands:
        reach, half = 62, 30
        edges = [math.radians(middle + turn) for turn in (-half, half)]
        seen = [(x + reach * math.cos(e), y + reach * math.sin(e)) for e in edges]
        sheet.patch((x, y), *seen, fill=WALL)
        for end in seen:
            sheet.line((x, y), end, width=1, dashed=True)
    for x, y, _ in stands:
        sheet.phone(x, y)
    return sheet.done


def across() -> Drawing:
    """Corner to corner, both ways."""
    sheet = Illustration()
    sheet.box(55, 20, 170, 130, fill=SOFT, line=3)
    sheet.tape((58, 23), (222, 147))
    sheet.tape((58, 147), (222, 23))
    sheet.label(99, 116, "b")
    sheet.label(181, 116, "a")
    return sheet.done


def flat() -> Drawing:
    """A plan photographed from straight above, the whole sheet in the picture."""
    sheet = Illustration()
    sheet.box(70, 25, 140, 120, fill=WHITE, line=PAPER)
    room: tuple[DrawnPoint, ...] = ((95, 50), (95, 120), (185, 120), (185, 72), (150, 72), (150, 50))
    sheet.line(*room, room[0], width=FIGURE)
    for x, y, figure in ((140, 128, "400"), (84, 85, "248"), (198, 97, "178"), (122, 42, "280")):
        sheet.text(x, y, figure, 9)
    sheet.frame(58, 14, 164, 142)
    return sheet.done


def _window(sheet: Illustration, start: DrawnPoint, end: DrawnPoint) -> None:
    (x1, y), (x2, _) = start, end
    sheet.box(x1, y - 7 / 2, x2 - x1, 7, fill=WHITE, line=PAPER)
    sheet.line((x1, y), (x2, y), width=1)


def _wall_with_window(sheet: Illustration) -> None:
    sheet.patch((18, 85), (262, 85), (262, 70), (18, 70), fill=WALL, line=LINE)
    sheet.patch((18, 70), (30, 70), (30, 20), (18, 20), fill=WALL, line=LINE)
    sheet.patch((250, 70), (262, 70), (262, 20), (250, 20), fill=WALL, line=LINE)
    _window(sheet, (85, (70 + 85) / 2), (155, (70 + 85) / 2))
    sheet.box(85, 70, 70, 15, fill=WATER, line=LINE)
    sheet.line((85, (70 + 85) / 2), (155, (70 + 85) / 2), width=1)
