"""Where each reading lies on the picture, as shapes for an SVG in the picture's own pixels."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from markupsafe import Markup

from intake.model.checklist import ItemState
from intake.web.terms import ITEMS
from intake.work.desk import ItemMark
from intake.work.sketch_view import Box, NumberView, SketchView, Trust

SCREEN = (820, 420)
"""Pixels that the sketch has on a desk's screen, about; labels are sized for it."""
LETTERS = 12.5
"""Height of a label's letters in those pixels."""
WIDE = 0.62
"""Width of a figure as a share of its height, roughly, in the desk's type."""
BASELINE = 0.74
"""Where the letters of a label stand, in heights of it from its top."""
MARK, MARK_IN_DOUBT = 1.2, 2.6
"""What the mark before a label's text takes, in letters: a dot, or a dot and a question."""
LABEL_HIGH, LABEL_GAP = 1.45, 0.35
"""A label's height and its distance from its number, in letters."""
PAPER_ROUND = 0.07
"""The paper shown round a drawing, in its longer side. All of these were set by looking."""


@dataclass(frozen=True)
class NumberShape:
    """One number: its outline as SVG points, and the label beside it as a rectangle and a base line."""

    number: NumberView
    points: str
    x: float
    y: float
    width: float
    height: float
    text_x: float
    text_y: float


@dataclass(frozen=True)
class Overlay:
    """All numbers of one sketch; `letters` is the size of the labels' letters, `line` a stroke of one line.

    `view` and `whole` are SVG view boxes: what is drawn, and the whole picture.
    """

    sketch: SketchView
    shapes: tuple[NumberShape, ...]
    letters: float
    line: float
    view: str
    whole: str


def overlay(sketch: SketchView) -> Overlay:
    left, top, right, bottom = _drawn(sketch)
    pixel = max((right - left) / SCREEN[0], (bottom - top) / SCREEN[1])
    letters = LETTERS * pixel
    return Overlay(
        sketch,
        _shapes(sketch, letters),
        round(letters, 1),
        round(pixel, 2),
        f"{left:.0f} {top:.0f} {right - left:.0f} {bottom - top:.0f}",
        f"0 0 {sketch.width} {sketch.height}",
    )


def in_order(sketch: SketchView) -> list[NumberView]:
    """The numbers as one goes round the room: clockwise from the top left corner of what is drawn."""
    left, top, right, bottom = _drawn(sketch)

    def turn(number: NumberView) -> float:
        across = sum(x for x, _ in number.box) / 4 - (left + right) / 2
        down = sum(y for _, y in number.box) / 4 - (top + bottom) / 2
        corner = math.atan2(left - right, bottom - top)
        return (math.atan2(across, -down) - corner) % math.tau

    return sorted(sketch.numbers, key=turn)


def _drawn(sketch: SketchView) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what was read on the picture, with some paper round it."""
    points = [*sketch.corners, *(point for n in sketch.numbers for point in n.box)]
    if not points:
        return 0, 0, sketch.width, sketch.height
    xs, ys = [x for x, _ in points], [y for _, y in points]
    paper = PAPER_ROUND * max(max(xs) - min(xs), max(ys) - min(ys))
    return (
        max(min(xs) - paper, 0),
        max(min(ys) - paper, 0),
        min(max(xs) + paper, sketch.width),
        min(max(ys) + paper, sketch.height),
    )


def _shapes(sketch: SketchView, letters: float) -> tuple[NumberShape, ...]:
    """Each number's label beside it, where it hides least of the numbers, of the customer's words and of the labels
    set so far."""
    taken = [_extent(box) for box in (*(n.box for n in sketch.numbers), *sketch.words)]
    shapes = []
    for number in in_order(sketch):
        label = min(_places(number, sketch, letters), key=lambda place: _hidden(place, taken))
        taken.append(label)
        left, top, right, bottom = label
        points = " ".join(f"{px:.0f},{py:.0f}" for px, py in number.box)
        base = top + (bottom - top) * BASELINE
        placed = (left, top, right - left, bottom - top, (left + right) / 2, base)
        shapes.append(NumberShape(number, points, *(round(v, 1) for v in placed)))
    return tuple(shapes)


Extent = tuple[float, float, float, float]
"""Left, top, right, bottom."""


def _extent(box: Box) -> Extent:
    xs, ys = [x for x, _ in box], [y for _, y in box]
    return min(xs), min(ys), max(xs), max(ys)


def _places(number: NumberView, sketch: SketchView, letters: float) -> list[Extent]:
    """Where the label may stand: under its number, over it, to its right, to its left, at its corners, within the
    picture."""
    marked = MARK if number.standing is Trust.ACCEPTED else MARK_IN_DOUBT
    wide, high, gap = (len(number.text) + marked) * letters * WIDE, letters * LABEL_HIGH, letters * LABEL_GAP
    left, top, right, bottom = _extent(number.box)
    middle, upright = (left + right - wide) / 2, (top + bottom - high) / 2
    corners = [
        (middle, bottom + gap),
        (middle, top - gap - high),
        (right + gap, upright),
        (left - gap - wide, upright),
        *((x, y) for y in (bottom + gap, top - gap - high) for x in (right, left - wide)),
    ]
    inside = [
        (min(max(x, 0), max(sketch.width - wide, 0)), min(max(y, 0), max(sketch.height - high, 0)))
        for x, y in corners
    ]
    return [(x, y, x + wide, y + high) for x, y in inside]


def _hidden(place: Extent, taken: Sequence[Extent]) -> float:
    """The area that a label would hide, its own number's included."""
    left, top, right, bottom = place
    return sum(
        max(0.0, min(right, r) - max(left, le)) * max(0.0, min(bottom, b) - max(top, t))
        for le, t, r, b in taken
    )


_Line = tuple[tuple[float, float], tuple[float, float]]


def small_plan(walls: Sequence[_Line]) -> str:
    """The walls of a sketch as an SVG path within 100 by 76, its shape kept."""
    points = [point for wall in walls for point in wall]
    left, top = min(x for x, _ in points), min(y for _, y in points)
    wide, high = max(x for x, _ in points) - left, max(y for _, y in points) - top
    scale = min(80 / max(wide, 1), 58 / max(high, 1))
    dx, dy = 50 - (left + wide / 2) * scale, 38 - (top + high / 2) * scale
    return " ".join(
        f"M{a[0] * scale + dx:.1f} {a[1] * scale + dy:.1f}L{b[0] * scale + dx:.1f} {b[1] * scale + dy:.1f}"
        for a, b in walls
    )


STEP = 20
"""From one mark of a strip to the next; a mark is 16 wide."""


def strip(marks: Sequence[ItemMark], useful: bool = False) -> Markup:
    """A checklist at a glance: one mark an item, in order, each with its title to point at."""
    if not marks:
        return Markup("")
    uses = Markup("").join(_use(m.title, m.state, n * STEP) for n, m in enumerate(marks))
    size, height = ("strip useful", 11) if useful else ("strip", 15)
    width = len(marks) * STEP
    return Markup(
        '<svg class="{}" viewBox="0 0 {} 16" width="{}" height="{}" role="img" aria-label="{}">{}</svg>'
    ).format(size, width, round(width * height / 16), height, _in_words(marks, useful), uses)


def _in_words(marks: Sequence[ItemMark], useful: bool) -> str:
    counts = Counter(ITEMS[m.state] for m in marks)
    said = ", ".join(f"{n} {state}" for state, n in counts.items())
    return f"{'Useful as well' if useful else 'Needed'}: {said}"


@lru_cache(maxsize=4096)
def _use(title: str, state: ItemState, x: int) -> Markup:
    line = Markup('<use href="#m-{}" x="{}" width="16" height="16"><title>{}: {}</title></use>')
    return line.format(state.value, x, title, ITEMS[state])
