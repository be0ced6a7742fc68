"""Taking a line of writing apart: "floor to sill 115.5" is a label and a number, "310 1000" two numbers."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from intake.domain.lengths.notation import likelihood_of_form
from intake.model.reading import Box
from intake.reading.crops import widened
from intake.reading.ctc import Sign
from intake.reading.readers import HALF_SIGN, Grey

FRAME = 8
"""Pixels a frame of the recogniser stands for, at its height of 48."""

_LIKE_DIGITS = set("lIiOoSsBZzgqbDGAT/()'\"-")
STROKE = "/"
_WIDTH_AND_HEIGHT = re.compile(rf"\d[\d.,]{{0,4}}\d({STROKE})(?:\d[\d.,]{{0,4}}\d\w{{0,2}})?")
"""Two lengths of an opening, its width and its height, parted by a stroke (86/201, DIN 1356-1, from memory): no half,
which is of one digit each."""
_NO_HEIGHT = re.compile(r"[0-3]?\d/(?:[0-3]\d|(?:19|20)\d\d)|\d{1,4}/(?:16|32|64)")
"""A day and its month, a month and its year; sixteenths of an inch."""
_METRIC = "mm|cm|m|c|cn|crn|om|an|un"
"""A metric unit as it is read behind a number."""
HALF = rf"{HALF_SIGN}2?|1?/2"
"""A half behind a number as it is spelt; its 2 may be seen once more."""
_WIDE_GAP, _SOME_GAP, _ANY_GAP = 1.1, 0.45, 0.15
"""Digits further apart than the first (in heights, ink to ink) are two numbers, nearer than the second one;
between them, two where the gap is out of proportion with the line's other gaps."""
_OUT_OF_PROPORTION = 2.2
"""So many times the line's usual gap (set by hand)."""


@dataclass(frozen=True)
class NumberPiece:
    """A part of a line: its text as spelled, whether it is a number, and its (start, end) along the crop, 0
    to 1."""

    text: str
    number: bool
    span: tuple[float, float]


def pieces(signs: list[Sign], crop: Grey) -> list[NumberPiece]:
    """The line's parts in order; `crop` (ink dark) is what the signs were spelled from."""
    words = _words(signs)
    parts = [half for word in words for part in _parts(word) for half in _halves(part, crop)]
    runs = _joined(parts, crop)
    cuts = _cuts(runs, crop)
    return [
        NumberPiece("".join(s.text for s in run), _is_number(run), (cuts[i], cuts[i + 1]))
        for i, run in enumerate(runs)
    ]


def with_stroke(signs: list[Sign], spelt: str) -> list[Sign]:
    """The signs, a stroke among them where the project's own recogniser spells the crop as two lengths that one parts:
    to PP-OCR it may be a 1."""
    inked = [i for i, sign in enumerate(signs) if sign.text != " "]
    across = _WIDTH_AND_HEIGHT.fullmatch(spelt)
    if across is None or len(inked) != len(spelt):
        return signs
    at = inked[across.start(1)]
    return [*signs[:at], replace(signs[at], text=STROKE), *signs[at + 1 :]]


def along(box: Box, point: NDArray[np.float64]) -> float:
    """Where along a box's line a point falls: 0 at its start, 1 at its end."""
    start, run = np.asarray(box[0]), np.subtract(box[1], box[0])
    return float((point - start) @ run / max(float(run @ run), 1e-6))


def sub_box(box: Box, span: tuple[float, float], margin: float) -> Box:
    """The part of a box (cut out with `margin`) that lies between two shares of its crop's width."""
    corners = np.asarray(widened(box, margin))
    inner = np.asarray(box, np.float64)
    along = corners[1] - corners[0]
    length = float(np.hypot(*along))
    grow = margin * float(np.hypot(*(inner[3] - inner[0])))
    low, high = max(span[0] * length, grow), min(span[1] * length, length - grow)
    unit, down = along / max(length, 1e-6), inner[3] - inner[0]
    start = inner[0] + unit * (low - grow)
    end = inner[0] + unit * (max(high, low + 4) - grow)
    a, b, c, d = ((float(x), float(y)) for x, y in (start, end, end + down, start + down))
    return (a, b, c, d)


def _words(signs: list[Sign]) -> list[list[Sign]]:
    words: list[list[Sign]] = [[]]
    for sign in signs:
        if sign.text == " ":
            words.append([])
        else:
            words[-1].append(sign)
    return [word for word in words if word]


def _parts(word: list[Sign]) -> list[list[Sign]]:
    """A word cut where letters turn into digits; a lone letter among digits is taken for a misread digit."""
    text = "".join(s.text for s in word)
    if (across := _WIDTH_AND_HEIGHT.fullmatch(text)) and not _NO_HEIGHT.fullmatch(text):
        at = across.start(1)
        return [word[:at], word[at : at + 1], word[at + 1 :]] if word[at + 1 :] else [word[:at], word[at:]]
    digits = sum(c.isdigit() for c in text)
    strange = [c for c in text if not c.isdigit() and c not in ".,"]
    if digits and (
        re.fullmatch(rf"[\d.,]+(?:{HALF})?(?:{_METRIC}|'|\")?", text)
        or re.fullmatch(r"\d+(?:'|ft)\d*\"?", text)
        or (len(strange) <= digits // 2 and set(strange) <= _LIKE_DIGITS)
    ):
        return [word]
    parts: list[list[Sign]] = []
    for sign in word:
        kind = sign.text.isdigit() or sign.text in ".,"
        if parts and kind == (parts[-1][-1].text.isdigit() or parts[-1][-1].text in ".,"):
            parts[-1].append(sign)
        else:
            parts.append([sign])
    return parts


def _is_number(run: list[Sign]) -> bool:
    return 2 * sum(s.text.isnumeric() for s in run) >= len(run)


def _joined(parts: list[list[Sign]], crop: Grey) -> list[list[Sign]]:
    """Neighbouring number parts with no wide gap between them are one number; neighbouring words one
    label."""
    runs: list[list[Sign]] = []
    for part in parts:
        number = _is_number(part)
        alike = bool(runs) and _is_number(runs[-1]) == number
        if alike and (not number or _one_number(runs[-1], part, crop)):
            runs[-1] += ([] if number else [Sign(" ", part[0].frame, 0.0)]) + part
        else:
            runs.append(list(part))
    return runs


def _halves(part: list[Sign], crop: Grey) -> list[list[Sign]]:
    """A number part cut where two of its digits stand too far apart to be one number, and at its widest gap
    where as a whole it would be no length."""
    if not _is_number(part) or len(part) < 2:
        return [part]
    gaps = [_gap(a, b, crop)[1] if b.text.isdigit() else 0.0 for a, b in pairwise(part)]
    for i, gap in enumerate(gaps):
        if _too_far(gap, [g for k, g in enumerate(gaps) if k != i]):
            return [*_halves(part[: i + 1], crop), *_halves(part[i + 1 :], crop)]
    widest = int(np.argmax(gaps))
    next_widest = sorted(gaps)[-2] if len(gaps) > 1 else 0.0
    if _no_length(part) and gaps[widest] > max(_ANY_GAP, _WIDEST_BY * next_widest):
        return [part[: widest + 1], part[widest + 1 :]]
    return [part]


_WIDEST_BY = 1.6
"""How much wider than the next the gap is that parts two numbers."""
_LEAST_USUAL, _USUAL_GAP = 0.2, 0.35
"""Gaps between the digits of one number, in its heights: the least, and that of a number with one gap."""
_INK = 128
"""The grey level below which a column holds ink. All were set by hand, no source."""


def _too_far(gap: float, others: list[float]) -> bool:
    usual = max(_LEAST_USUAL, float(np.median(others))) if others else _USUAL_GAP
    return gap > _WIDE_GAP or (gap > _SOME_GAP and gap > _OUT_OF_PROPORTION * usual)


def _no_length(part: list[Sign]) -> bool:
    text = re.sub(HALF, ".5", "".join(sign.text for sign in part))
    return len(part) > 3 and likelihood_of_form(text) < 0.5


def _one_number(left: list[Sign], right: list[Sign], crop: Grey) -> bool:
    if _no_length([*left, *right]) and _gap(left[-1], right[0], crop)[1] > _ANY_GAP:
        return False
    gaps = [_gap(a, b, crop)[1] for run in (left, right) for a, b in pairwise(run)]
    return not _too_far(_gap(left[-1], right[0], crop)[1], gaps)


def _cuts(runs: list[list[Sign]], crop: Grey) -> list[float]:
    between = [_gap(a[-1], b[0], crop)[0] for a, b in pairwise(runs)]
    return [0.0, *between, 1.0]


def _gap(left: Sign, right: Sign, crop: Grey) -> tuple[float, float]:
    """The middle of the emptiest run of columns between two signs (0 to 1 of the width) and its width in
    heights."""
    height, width = crop.shape
    scale = height / 48 * FRAME
    low = int(np.clip((left.frame + 0.5) * scale, 0, width - 2))
    high = int(np.clip((right.frame + 1.0) * scale, low + 1, width - 1))
    ink = (crop[:, low : high + 1] < _INK).sum(axis=0)
    empty = ink <= ink.min()
    best, start = (0, 0), None
    for x, blank in enumerate([*empty, False]):
        if blank and start is None:
            start = x
        elif not blank and start is not None:
            best = max(best, (x - start, start))
            start = None
    run, at = best
    return (low + at + run / 2) / width, (run / height if ink.min() == 0 else 0.0)
