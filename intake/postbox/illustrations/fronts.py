"""Drawings seen from the front or in section."""

from __future__ import annotations

from reportlab.graphics.shapes import Drawing

from intake.postbox.illustrations.sheet import (
    FIGURE,
    INK,
    LINE,
    PAPER,
    SOFT,
    THIN,
    WALL,
    WATER,
    WHITE,
    Illustration,
)

SMALL_UNIT, SMALL_METER = 0.62, 0.75
"""Their sizes beside one another, over those of their own drawings."""
KNOB, GLASS = 2.5, 242 + 9 / 2
"""A door's, its radius; a pane's place in its frame."""


def ceiling() -> Drawing:
    """Floor to ceiling in two places, from the floor."""
    sheet = Illustration()
    _room(sheet)
    sheet.tape((55, 25), (55, 148), "a", side=0)
    sheet.tape((225, 25), (225, 148), "b", side=0)
    _person(sheet, 82, 25)
    return sheet.done


def opening() -> Drawing:
    """A door from the outer edge of one architrave to the outer edge of the other."""
    sheet = Illustration()
    sheet.floor(20, 260, 20)
    sheet.box(95, 20, 90, 122, fill=WALL)
    sheet.box(104, 20, 72, 113, fill=WHITE)
    sheet.disc(168, 72, KNOB, fill=INK)
    sheet.tape((95, 155), (185, 155))
    sheet.line((95, 142), (95, 165), width=THIN, dashed=True)
    sheet.line((185, 142), (185, 165), width=THIN, dashed=True)
    return sheet.done


def sill() -> Drawing:
    """Floor to the underside of the sill; over a worktop in two parts."""
    sheet = Illustration()
    _window_in_section(sheet, 20)
    sheet.tape((60, 20), (60, 92))
    sheet.line((140, 10), (140, 160), width=THIN, dashed=True)
    _window_in_section(sheet, 160)
    sheet.box(172, 20, 44, 46, fill=SOFT)
    sheet.box(172, 66, 48, 6, fill=WALL)
    sheet.tape((238, 20), (238, 72), "a", side=0)
    sheet.tape((200, 72), (200, 92), tick=4)
    sheet.label(216, 82, "b")
    sheet.line((220, 72), (246, 72), width=THIN, dashed=True)
    return sheet.done


def head() -> Drawing:
    """From the underside of the sill to the top of the frame."""
    sheet = Illustration()
    _window_front(sheet, 90)
    sheet.tape((215, 64), (215, 150))
    sheet.line((196, 64), (224, 64), width=THIN, dashed=True)
    sheet.line((190, 150), (224, 150), width=THIN, dashed=True)
    return sheet.done


def window() -> Drawing:
    """The three lengths of a window: sill, top, recess."""
    sheet = Illustration()
    _window_front(sheet, 40)
    sheet.tape((160, 20), (160, 64), "a", side=0)
    sheet.tape((160, 64), (160, 150), "b", side=0)
    sheet.line((146, 64), (170, 64), width=THIN, dashed=True)
    sheet.line((140, 150), (170, 150), width=THIN, dashed=True)
    for y in (30, 128):
        sheet.patch((205, y), (255, y), (255, y + 26), (205, y + 26), fill=WALL, line=PAPER)
    sheet.box(242, 56, 9, 72, fill=WATER)
    sheet.line((GLASS, 56), (GLASS, 128), width=THIN)
    sheet.tape((205, 92), (242, 92), "c", side=14)
    return sheet.done


def slope() -> Drawing:
    """A sloping ceiling: its low height, and how far from the wall it starts."""
    sheet = Illustration()
    sheet.floor(30, 250, 25)
    sheet.line((40, 25), (40, 70), (120, 148), (240, 148), (240, 25), width=3)
    sheet.tape((56, 25), (56, 70), "a", side=-14)
    sheet.line((40, 70), (66, 70), width=THIN, dashed=True)
    sheet.tape((40, 120), (120, 120), "b", side=14)
    sheet.line((120, 120), (120, 148), width=THIN, dashed=True)
    sheet.line((40, 70), (40, 128), width=THIN, dashed=True)
    return sheet.done


def consumer_unit() -> Drawing:
    """A consumer unit with its cover on, the wall round it in the picture."""
    sheet = Illustration(280, 150)
    _unit(sheet, 90, 48)
    sheet.frame(62, 18, 156, 116)
    return sheet.done


def gas_meter() -> Drawing:
    """A gas meter, closed, with its pipes."""
    sheet = Illustration(280, 150)
    _meter(sheet, 108, 40)
    sheet.frame(62, 14, 156, 122)
    return sheet.done


def boiler() -> Drawing:
    """Where a boiler hangs: from the corner, from the floor, and its own size."""
    sheet = Illustration()
    sheet.floor(20, 260, 20)
    sheet.line((40, 20), (40, 160), width=3)
    _boiler(sheet, 110, 80)
    sheet.tape((40, 112), (110, 112), "a", side=14)
    sheet.tape((137, 20), (137, 80), "b", side=-16)
    sheet.tape((110, 160), (165, 160), "c", side=0, tick=4)
    sheet.tape((190, 80), (190, 148), "d", side=0)
    return sheet.done


def stop_tap() -> Drawing:
    """A stop tap on the pipe under a sink."""
    sheet = Illustration(280, 150)
    sheet.box(70, 20, 140, 92, fill=WHITE)
    sheet.box(64, 112, 152, 8, fill=WALL)
    sheet.box(112, 94, 64, 18, fill=WATER)
    sheet.line((95, 20), (95, 74), (128, 74), (128, 94), width=3)
    sheet.line((152, 94), (152, 60), (210, 60), width=3)
    sheet.disc(95, 52, 7, fill=SOFT, line=2)
    sheet.line((84, 62), (106, 62), width=3)
    sheet.line((95, 52), (95, 62), width=2)
    sheet.frame(74, 30, 44, 46)
    return sheet.done


def services() -> Drawing:
    """Consumer unit, gas meter and boiler, all closed."""
    sheet = Illustration(280, 130)
    _unit(sheet, 18, 38, scale=SMALL_UNIT)
    _meter(sheet, 118, 30, scale=SMALL_METER)
    _boiler(sheet, 210, 34)
    for x in (8, 100, 192):
        sheet.frame(x, 16, 80, 98)
    return sheet.done


def house() -> Drawing:
    """A house, its bricks and its floorboards."""
    sheet = Illustration(280, 150)
    sheet.floor(40, 240, 20)
    sheet.box(80, 20, 120, 72, fill=SOFT)
    sheet.patch((68, 92), (212, 92), (140, 138), fill=WALL, line=FIGURE)
    sheet.box(128, 20, 24, 42, fill=WHITE)
    for x in (92, 164):
        sheet.box(x, 52, 24, 24, fill=WATER)
        sheet.line((x + 12, 52), (x + 12, 76), width=1)
    return sheet.done


def _room(sheet: Illustration) -> None:
    sheet.floor(25, 255, 25)
    sheet.line((35, 25), (35, 148), (245, 148), (245, 25), width=3)


def _person(sheet: Illustration, x: float, y: float) -> None:
    """Somebody standing on the floor, pushing the tape up."""
    sheet.disc(x, y + 68, 9, fill=WHITE)
    sheet.line((x, y + 59), (x, y + 30), (x - 9, y), width=2)
    sheet.line((x, y + 30), (x + 9, y), width=2)
    sheet.line((x, y + 52), (x - 24, y + 62), width=2)
    sheet.line((x, y + 52), (x - 24, y + 44), width=2)


def _window_in_section(sheet: Illustration, x: float) -> None:
    sheet.floor(x, x + 100, 20)
    sheet.patch((x, 20), (x + 12, 20), (x + 12, 92), (x, 92), fill=WALL, line=LINE)
    sheet.box(x, 92, 30, 7, fill=WHITE)
    sheet.line((x + 5, 99), (x + 5, 152), width=2)
    sheet.patch((x, 152), (x + 12, 152), (x + 12, 164), (x, 164), fill=WALL, line=LINE)


def _window_front(sheet: Illustration, x: float) -> None:
    sheet.floor(x - 25, x + 150, 20)
    sheet.box(x, 70, 100, 80, fill=WALL)
    sheet.box(x + 8, 76, 84, 66, fill=WATER)
    sheet.line((x + 50, 76), (x + 50, 142))
    sheet.box(x - 6, 64, 112, 7, fill=WHITE)


def _unit(sheet: Illustration, x: float, y: float, scale: float = 1.0) -> None:
    sheet.box(x, y, 100 * scale, 56 * scale, fill=SOFT, r=3)
    sheet.box(x + 8 * scale, y + 12 * scale, 84 * scale, 32 * scale, fill=WHITE, line=1)
    for n in range(7):
        sheet.box(x + (13 + 11 * n) * scale, y + 21 * scale, 7 * scale, 14 * scale, fill=INK, line=0.5)


def _meter(sheet: Illustration, x: float, y: float, scale: float = 1.0) -> None:
    for offset in (14, 50):
        sheet.line(
            (x + offset * scale, y + 56 * scale), (x + offset * scale, y + 84 * scale), width=4 * scale
        )
    sheet.box(x, y, 64 * scale, 58 * scale, fill=SOFT, r=4)
    sheet.box(x + 12 * scale, y + 32 * scale, 40 * scale, 14 * scale, fill=WHITE, line=1)
    sheet.text(x + 32 * scale, y + 39 * scale, "04128", 9 * scale)


def _boiler(sheet: Illustration, x: float, y: float) -> None:
    sheet.box(x, y, 55, 68, fill=WHITE, r=3)
    sheet.line((x + 4, y + 14), (x + 51, y + 14), width=1)
    sheet.disc(x + 27, y + 7, 3, fill=SOFT, line=1)
