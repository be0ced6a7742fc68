"""Numbers that were cut in two: by the finder, or where their first digits were taken for letters.

Each join is only tried; it stands where the readers take the longer cut for one number too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from intake.model.reading import Box
from intake.reading.readers import Grey
from intake.reading.texts import Eyes, ReadText, height
from intake.reading.tidy import Cutting, as_found, tidy
from intake.rules.notation import split_label

_NEAR = 0.5
"""Ink nearer than this many heights on one line may be of one number."""
_THIN = 0.55
"""Where a smaller share of the ink was kept, a digit that touches a line may be gone with it."""


def joined(flat: Grey, texts: Sequence[ReadText], eyes: Eyes) -> list[ReadText]:
    """The texts, with neighbours on one line made one where together they read better."""
    pairs = [(a, b) for a, b in combinations(texts, 2) if _may_join(a, b)]
    tried = eyes.look([tidy(flat, _around(a, b), False) for a, b in pairs])
    gone: set[int] = set()
    new: list[ReadText] = []
    for (a, b), text in sorted(zip(pairs, tried, strict=True), key=lambda each: -each[1].strength):
        if id(a) not in gone and id(b) not in gone and _is_better(text, (a, b)):
            gone |= {id(a), id(b)}
            new.append(replace(text, label=a.label or b.label))
    return [text for text in texts if id(text) not in gone] + new


def extended(flat: Grey, texts: Sequence[ReadText], eyes: Eyes) -> list[ReadText]:
    """The numbers that may have lost digits, cut anew where they read better so: those behind words on a line
    with the ink before them, and those of whose ink much was painted out as the finder gave them."""
    doubtful = [text for text in texts if text.numbers and (text.line is not None or _thinned(text))]
    tried = eyes.look([_anew(flat, text) for text in doubtful])
    longer = {id(a): b for a, b in zip(doubtful, tried, strict=True) if _is_better(b, (a,))}
    return [replace(longer[id(t)], label=t.label, line=t.line) if id(t) in longer else t for t in texts]


def _thinned(text: ReadText) -> bool:
    return text.cutting.clean < _THIN


def _anew(flat: Grey, text: ReadText) -> Cutting:
    return as_found(flat, text.cutting.found) if text.line is None else tidy(flat, _back(text), False)


def _is_better(whole: ReadText, parts: Sequence[ReadText]) -> bool:
    """Whether a longer cut is one number that holds what its parts were read as, and more."""
    if not whole.numbers or whole.own.not_a_number > 0.3:
        return False
    digits = split_label(whole.numbers[0].text)[1]
    most = max(len(split_label(p.numbers[0].text)[1]) if p.numbers else 0 for p in parts)
    weakest = min(p.strength for p in parts)
    return len(digits) > most and whole.strength > max(0.3, 0.6 * weakest)


def _may_join(a: ReadText, b: ReadText) -> bool:
    if not (a.numbers and b.numbers) or max(a.height, b.height) > 2.2 * min(a.height, b.height):
        return False
    along, down = _axes(a.box)
    other = _axes(b.box)[0]
    if float(along @ other) < 0.9:
        return False
    h = max(a.height, b.height)
    apart = b.centre - a.centre
    spans = [sorted((np.asarray(t.box) - a.centre) @ along) for t in (a, b)]
    gap = max(spans[0][0], spans[1][0]) - min(spans[0][-1], spans[1][-1])
    return abs(float(apart @ down)) < 0.45 * h and -2.0 * h < gap < _NEAR * h


def _around(a: ReadText, b: ReadText) -> Box:
    """The box of both, along the first one's line."""
    along, down = _axes(a.box)
    points = np.asarray([*a.box, *b.box])
    return _box(points @ along, points @ down, (along, down))


def _back(text: ReadText) -> Box:
    """The text's box drawn back along its line by a digit and a half."""
    along, down = _axes(text.box)
    points = np.asarray(text.box)
    reach = points @ along
    start = float(reach.min()) - 1.1 * height(text.box)
    if text.line is not None:
        start = max(start, float((np.asarray(text.line) @ along).min()))
    return _box(np.append(reach, start), points @ down, (along, down))


def _axes(box: Box) -> tuple[np.ndarray, np.ndarray]:
    along = np.subtract(box[1], box[0])
    along = along / max(float(np.hypot(*along)), 1e-6)
    return along, np.array([-along[1], along[0]])


def _box(across: np.ndarray, depth: np.ndarray, axes: tuple[np.ndarray, np.ndarray]) -> Box:
    along, down = axes
    low, high, top, bottom = across.min(), across.max(), depth.min(), depth.max()
    corners = ((low, top), (high, top), (high, bottom), (low, bottom))
    a, b, c, d = ((float(p[0]), float(p[1])) for p in (u * along + v * down for u, v in corners))
    return (a, b, c, d)
