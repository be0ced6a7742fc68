"""Plans of the desk's invented rooms: drawn with a few strokes, and what a reader reads off each, fixed for every run.

The pictures rest on no font and no renderer of the project's, so a test may say exactly what stands on them.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from intake.domain.lengths.notation import parse_length
from intake.model.phrase import as_said
from intake.model.reading import (
    Alternative,
    Box,
    Direction,
    Feature,
    OpeningKind,
    OutlineWall,
    Point,
    ReadNumber,
    Role,
    SketchOutline,
    SketchReading,
)

PIXELS = 2.2
"""Pixels to a centimetre of the room."""
CORNER = (300.0, 260.0)
"""Where the first corner stands on the page."""
STEPS = {Direction.EAST: (1, 0), Direction.SOUTH: (0, 1), Direction.WEST: (-1, 0), Direction.NORTH: (0, -1)}


@dataclass(frozen=True)
class Side:
    """One wall: the way it runs, its pieces as (kind, as written), and its overall as written, "" for none."""

    runs: str
    pieces: tuple[tuple[str, str], ...]
    overall: str = ""


@dataclass(frozen=True)
class Plan:
    """A room as it was drawn. `misread` is what the reader makes of some texts: wrong, and doubtful. `width` is the
    picture's width, one of its own for each plan."""

    sides: tuple[Side, ...]
    width: int
    ceiling: str = ""
    sill: str = ""
    """Written beside the first window."""
    misread: tuple[tuple[str, str], ...] = ()


def wall(text: str) -> tuple[str, str]:
    return "wall", text


def window(text: str) -> tuple[str, str]:
    return "window", text


def door(text: str) -> tuple[str, str]:
    return "door", text


KITCHEN = Plan(
    (
        Side("E", (wall("84.5"), window("120"), wall("156")), "360.5"),
        Side("S", (wall("284"),)),
        Side("W", (wall("213.5"), door("86"), wall("61")), "360.5"),
        Side("N", (wall("140"), window("62.5"), wall("81.5"))),
    ),
    width=1500,
    misread=(("84.5", "34.5"), ("284", "234"), ("213.5", "218.5"), ("81.5", "87.5")),
)
"""Four numbers misread, so that nothing adds up; no sill and no ceiling on the plan."""
BATHROOM = Plan(
    (
        Side("E", (wall("62"), window("90"), wall("62")), "214"),
        Side("S", (wall("198"),)),
        Side("W", (wall("124"), door("70"), wall("20")), "214"),
        Side("N", (wall("198"),)),
    ),
    width=1504,
    ceiling="240.5",
    sill="122",
    misread=(("90", "96"), ("124", "174")),
)
BEDROOM = Plan(
    (
        Side("E", (wall("110"), window("150"), wall("90")), "350"),
        Side("S", (wall("300"),)),
        Side("W", (wall("240"), door("80"), wall("30")), "350"),
        Side("N", (wall("300"),)),
    ),
    width=1508,
)
L_KITCHEN = Plan(
    (
        Side("E", (wall("74"), window("150"), wall("164")), "388"),
        Side("S", (wall("246"),)),
        Side("W", (wall("152"),)),
        Side("S", (wall("106"),)),
        Side("W", (wall("120"), door("78"), wall("38")), "236"),
        Side("N", (wall("352"),)),
    ),
    width=1512,
    misread=(("152", "162"),),
)


def reading_of(plan: Plan) -> SketchReading:
    """What the reader reads: every text, the misread ones as doubtful with the right text as first alternative."""
    reading = _true_reading(plan)
    wrong = dict(plan.misread)
    numbers = tuple(_misread(n, wrong[n.text]) if n.text in wrong else n for n in reading.numbers)
    assert sum(not n.accepted for n in numbers) == len(wrong), "a text to misread must stand on the plan once"
    return replace(reading, numbers=numbers)


def _true_reading(plan: Plan) -> SketchReading:
    numbers: list[ReadNumber] = []
    walls: list[OutlineWall] = []
    features: list[Feature] = []
    start: Point = CORNER
    for index, side in enumerate(plan.sides):
        length = sum(float(text) for _, text in side.pieces)
        along = STEPS[Direction(side.runs)]
        end = (start[0] + along[0] * length * PIXELS, start[1] + along[1] * length * PIXELS)
        walls.append(OutlineWall(index, start, end, Direction(side.runs)))
        at = 0.0
        for kind, text in side.pieces:
            span = at / length, (at + float(text)) / length
            middle = _beside(start, along, (at + float(text) / 2) * PIXELS, 34)
            role = Role.SECTION if kind == "wall" else Role.OPENING
            numbers.append(_number(text, middle, role, index, span))
            if kind != "wall":
                features.append(Feature(OpeningKind(kind), index, span, _box(middle, 60, 20)))
            at += float(text)
        if side.overall:
            middle = _beside(start, along, length * PIXELS / 2, 84)
            numbers.append(_number(side.overall, middle, Role.OVERALL, index, (0.0, 1.0)))
        start = end
    numbers += _heights(plan)
    return SketchReading(
        plan.width, 1150, "cm", tuple(numbers), SketchOutline(tuple(walls), True, tuple(features))
    )


def _heights(plan: Plan) -> list[ReadNumber]:
    inside = (CORNER[0] + 250, CORNER[1] + 180)
    ceiling = [_number(plan.ceiling, inside, Role.CEILING, None, None)] if plan.ceiling else []
    under_window = (CORNER[0] + 230, CORNER[1] + 50)
    return ceiling + ([_number(plan.sill, under_window, Role.SILL, 0, None)] if plan.sill else [])


def _beside(start: Point, along: tuple[int, int], run: float, out: float) -> Point:
    """A point outside a wall: the room lies to the right hand of every wall."""
    return start[0] + along[0] * run + along[1] * out, start[1] + along[1] * run - along[0] * out


def _box(middle: Point, wide: float, high: float) -> Box:
    (x, y), w, h = middle, wide / 2, high / 2
    return (x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h)


def _number(
    text: str, middle: Point, role: Role, index: int | None, span: tuple[float, float] | None
) -> ReadNumber:
    box = _box(middle, 15 * len(text), 28)
    value = parse_length(text, "cm")
    return ReadNumber(text, value, box, 0.97, True, (), role, index, "test reader", span=span)


def _misread(number: ReadNumber, wrong: str) -> ReadNumber:
    return replace(
        number,
        text=wrong,
        value_mm=parse_length(wrong, "cm"),
        confidence=0.48,
        accepted=False,
        alternatives=(Alternative(number.text, 0.41), Alternative(wrong[:-1] + "1", 0.06)),
        arithmetic=as_said("With this reading the wall misses its overall."),
    )


@cache
def picture_of(plan: Plan) -> bytes:
    """A JPEG of the plan: pen on paper, a little uneven, as wide as the plan says."""
    reading = _true_reading(plan)
    page = Image.new("L", (reading.width, reading.height), 236)
    draw, font = ImageDraw.Draw(page), ImageFont.load_default(28)
    for side in reading.outline.walls:
        draw.line([side.start, side.end], fill=60, width=5)
    for number in reading.numbers:
        draw.text(number.box[0], number.text, fill=60, font=font)
    rng = np.random.default_rng(plan.width)
    light = np.linspace(8, -8, reading.width)[None, :] + rng.normal(0, 3, (reading.height, reading.width))
    out = io.BytesIO()
    Image.fromarray((np.asarray(page) + light).clip(0, 255).astype(np.uint8)).convert("RGB").save(out, "JPEG")
    return out.getvalue()
