"""Reads what the sorter found written: every number by itself, with the words of its line beside it.

The sorter says where lines of writing and where numbers stand. Both may be wrong: a line that holds no number it
knows of is read as well and taken apart, two numbers in one box are parted, and a number that the recogniser holds to
be cut off or lying another way is cut anew.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box
from intake.reading.crops import turned
from intake.reading.phrases import sub_box
from intake.reading.readers import Grey
from intake.reading.sorter import Sorted
from intake.reading.texts import Eyes, ReadText, height
from intake.reading.tidy import tidy, writing_alone
from intake.rules.notation import likelihood_of_form

_MARGIN = 0.22
_FULL = 0.8
"""A line that its numbers fill to this share of its length holds nothing else."""
_HELD = 0.5
"""A number belongs to a line that holds this share of its box's points."""
_POINTS = 9
_FEET, _MOSTLY = re.compile(r"['\"]|ft"), 0.35
_NEAR, _SURE = 0.45, 0.5
"""Parts of one number stand nearer than the first, in heights; the whole must read at least as surely as the second."""


def read_writing(flat: Grey, ink: Sorted, eyes: Eyes) -> list[ReadText]:
    """Every text on the page, each the right way up; numbers carry the words of their line as `label`."""
    page = writing_alone(flat, ink)
    cuttings = [tidy(page, line.box) for line in ink.numbers]
    numbers = eyes.look(cuttings)
    if _in_feet(numbers):
        eyes = eyes.for_feet()
        numbers = eyes.look(cuttings)
    numbers = _parted(page, _righted(page, _uncut(page, numbers, eyes), eyes), eyes)
    numbers = _joined(page, numbers, eyes)
    open_lines = [line.box for line in ink.lines if _filled(line.box, numbers) < _FULL]
    words = eyes.look([tidy(page, box) for box in open_lines], lines=True)
    more = _overlooked(page, words, numbers, eyes)
    named = [_labelled(number, words) for number in (*numbers, *more)]
    return [*named, *(text for text in words if not _holds_any(text, named))]


def _in_feet(texts: Sequence[ReadText]) -> bool:
    """Whether the numbers are feet and inches, by what the recogniser makes of them."""
    firsts = [t.own.alternatives[0].text for t in texts if t.own.alternatives and t.own.not_a_number < 0.5]
    return sum(bool(_FEET.search(text)) for text in firsts) > _MOSTLY * len(firsts) > 0


def _uncut(page: Grey, texts: Sequence[ReadText], eyes: Eyes) -> list[ReadText]:
    """The texts, those that the recogniser holds to be cut off read again in a longer box."""
    short = [text for text in texts if text.own.cut > 0.2]
    again = eyes.look([tidy(page, _longer(text.cutting.found, 0.6)) for text in short])
    better = {
        id(a): b for a, b in zip(short, again, strict=True) if b.strength > a.strength and b.plain_number
    }
    return [better.get(id(text), text) for text in texts]


def _righted(page: Grey, texts: Sequence[ReadText], eyes: Eyes) -> list[ReadText]:
    """The texts, those that the recogniser holds to lie another way turned; the best other way is the `rival`."""
    ways = [(t, q) for t in texts if (q := int(np.argmax(t.own.turns))) and t.own.turns[q] > 0.5]
    again = eyes.look([tidy(page, turned(t.cutting.found, q)) for t, q in ways])
    other = {id(text): back for (text, _), back in zip(ways, again, strict=True)}
    return [_likelier(text, other[id(text)]) if id(text) in other else text for text in texts]


def _likelier(text: ReadText, other: ReadText) -> ReadText:
    better, worse = (other, text) if other.strength > text.strength else (text, other)
    return replace(better, rival=worse.strength)


def _parted(page: Grey, texts: Sequence[ReadText], eyes: Eyes) -> list[ReadText]:
    """The texts, those that hold several parts cut into their numbers."""
    mixed = [t for t in texts if len(t.parts) > 1 and any(p.number for p in t.parts)]
    parts = _numbers_in(page, mixed, eyes)
    return [text for text in texts if text not in mixed] + [part for _, part in parts]


def _joined(page: Grey, texts: Sequence[ReadText], eyes: Eyes) -> list[ReadText]:
    """The texts, with close neighbours on one line made one where they read as one number."""
    pairs = [(a, b) for a in texts for b in texts if a is not b and _follows(a, b)]
    tried = eyes.look([tidy(page, _around(a.box, b.box)) for a, b in pairs])
    gone: set[int] = set()
    new: list[ReadText] = []
    for (a, b), whole in sorted(zip(pairs, tried, strict=True), key=lambda each: -each[1].strength):
        if id(a) not in gone and id(b) not in gone and _is_one(whole, (a, b)):
            gone |= {id(a), id(b)}
            new.append(replace(whole, label=a.label or b.label))
    return [text for text in texts if id(text) not in gone] + new


def _follows(a: ReadText, b: ReadText) -> bool:
    """Whether b stands close behind a on one line, in writing of like size."""
    if max(a.height, b.height) > 1.8 * min(a.height, b.height):
        return False
    along, down = np.subtract(a.box[1], a.box[0]), np.subtract(a.box[3], a.box[0])
    along, down = along / max(float(np.hypot(*along)), 1e-6), down / max(float(np.hypot(*down)), 1e-6)
    gap = np.subtract(b.box[0], a.box[1])
    offset = float((b.centre - a.centre) @ down)
    return -0.7 * a.height < float(gap @ along) < _NEAR * a.height and abs(offset) < 0.5 * a.height


def _is_one(whole: ReadText, parts: Sequence[ReadText]) -> bool:
    """Whether a longer cut is one number with more digits than either part was read with."""
    if not whole.plain_number or not whole.numbers or whole.own.not_a_number > 0.3:
        return False
    text = whole.numbers[0].text
    most = max(_digits(part.numbers[0].text) if part.numbers else 0 for part in parts)
    return _digits(text) > most and likelihood_of_form(text) == 1 and whole.strength > _SURE


def _digits(text: str) -> int:
    return sum(sign.isdigit() for sign in text)


def _around(a: Box, b: Box) -> Box:
    """The box of both, along the first one's line."""
    points = np.asarray([*a, *b], np.float64)
    along = np.subtract(a[1], a[0]) / max(float(np.hypot(*np.subtract(a[1], a[0]))), 1e-6)
    down = np.array([-along[1], along[0]])
    x, y = points @ along, points @ down
    corners = ((x.min(), y.min()), (x.max(), y.min()), (x.max(), y.max()), (x.min(), y.max()))
    p, q, r, s = ((float(v[0]), float(v[1])) for v in (u * along + w * down for u, w in corners))
    return (p, q, r, s)


def _numbers_in(page: Grey, texts: Sequence[ReadText], eyes: Eyes) -> list[tuple[ReadText, ReadText]]:
    """The number parts of texts, read by themselves, each after the text it is from."""
    cuts = [(text, part.span) for text in texts for part in text.parts if part.number]
    cuttings = [tidy(page, sub_box(text.box, span, _MARGIN)) for text, span in cuts]
    return [(text, number) for (text, _), number in zip(cuts, eyes.look(cuttings), strict=True)]


def _overlooked(
    page: Grey, words: Sequence[ReadText], numbers: Sequence[ReadText], eyes: Eyes
) -> list[ReadText]:
    """Numbers that were read within lines of words although no number was found there."""
    found = [part for _, part in _numbers_in(page, words, eyes)]
    return [part for part in found if not any(_share(part.box, number.box) > 0.3 for number in numbers)]


def _labelled(number: ReadText, lines: Sequence[ReadText]) -> ReadText:
    """The number with the words of its line: those just before it, else those after."""
    of = [line for line in lines if _share(number.box, line.cutting.found) > _HELD]
    if not of or number.label:
        return number
    line = min(of, key=lambda text: text.height)
    at = float(_along(line.box, number.centre))
    before = [p.text for p in line.parts if not p.number and sum(p.span) / 2 < at]
    after = [p.text for p in line.parts if not p.number and sum(p.span) / 2 >= at]
    return replace(number, label=(before[-1:] + after[:1] + [""])[0])


def _holds_any(line: ReadText, numbers: Sequence[ReadText]) -> bool:
    return any(_share(number.box, line.cutting.found) > _HELD for number in numbers)


def _filled(line: Box, numbers: Sequence[ReadText]) -> float:
    """How much of a line's length its numbers take up."""
    inside = [n.cutting.found for n in numbers if _share(n.box, line) > _HELD]
    spans = [sorted((_along(line, np.asarray(box[0])), _along(line, np.asarray(box[1])))) for box in inside]
    return float(sum(min(b, 1.0) - max(a, 0.0) for a, b in spans))


def _along(box: Box, point: NDArray[np.float64]) -> float:
    """Where along a box's line a point falls: 0 at its start, 1 at its end."""
    start, run = np.asarray(box[0]), np.subtract(box[1], box[0])
    return float((point - start) @ run / max(float(run @ run), 1e-6))


def _share(inner: Box, outer: Box) -> float:
    """How much of one box lies in another, by a grid of points."""
    steps = (np.arange(_POINTS) + 0.5) / _POINTS
    origin, u, v = np.asarray(inner[0]), np.subtract(inner[1], inner[0]), np.subtract(inner[3], inner[0])
    points = (origin + steps[:, None, None] * u + steps[None, :, None] * v).reshape(-1, 2) - outer[0]
    a, b = np.subtract(outer[1], outer[0]), np.subtract(outer[3], outer[0])
    x, y = points @ a / max(float(a @ a), 1e-6), points @ b / max(float(b @ b), 1e-6)
    return float(((x >= 0) & (x <= 1) & (y >= 0) & (y <= 1)).mean())


def _longer(box: Box, heights: float) -> Box:
    """The box drawn out at both ends."""
    p = np.asarray(box, np.float64)
    along = p[1] - p[0]
    more = along / max(float(np.hypot(*along)), 1e-6) * heights * height(box)
    a, b, c, d = ((float(x), float(y)) for x, y in (p[0] - more, p[1] + more, p[2] + more, p[3] - more))
    return (a, b, c, d)
