"""Where each reading lies on the picture, as shapes for an SVG in the picture's own pixels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from intake.work.job_view import NumberView, SketchView

LABEL = 0.0165
"""Height of a label's letters as a share of the picture's width."""
WIDE = 0.62
"""Width of a figure as a share of its height, roughly, in the desk's type."""


@dataclass(frozen=True)
class Shape:
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
    """All numbers of one sketch; `letters` is the size of the labels' letters, `line` a stroke of one line."""

    sketch: SketchView
    shapes: tuple[Shape, ...]
    letters: float
    line: float


def overlay(sketch: SketchView) -> Overlay:
    letters = max(LABEL * sketch.width, 1.0)
    shapes = tuple(_shape(n, sketch, letters) for n in sketch.numbers)
    return Overlay(sketch, shapes, round(letters, 1), round(sketch.width / 450, 2))


def _shape(number: NumberView, sketch: SketchView, letters: float) -> Shape:
    """The label stands under its number, or over it at the foot of the picture."""
    xs, ys = [x for x, _ in number.box], [y for _, y in number.box]
    width, height = (len(number.text) + 2.2) * letters * WIDE, letters * 1.45
    gap = letters * 0.35
    x = min(max((min(xs) + max(xs) - width) / 2, 0), sketch.width - width)
    y = max(ys) + gap
    if y + height > sketch.height:
        y = max(min(ys) - gap - height, 0)
    points = " ".join(f"{px:.0f},{py:.0f}" for px, py in number.box)
    text_y = y + height * 0.74
    return Shape(number, points, *(round(v, 1) for v in (x, y, width, height, x + width / 2, text_y)))


Line = tuple[tuple[float, float], tuple[float, float]]


def small_plan(walls: Sequence[Line]) -> str:
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
