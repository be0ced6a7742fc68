"""Half centimetres written neither close behind their number nor on its line: a fraction that stands apart ("77 1/2"),
and a small raised 5, as building drawings have millimetres behind centimetres (DIN 1356-1). Each is shown to the
readers as they know it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from intake.reading.readers import Grey
from intake.reading.texts import CropReaders, ReadText
from intake.reading.tidy import with_gap_closed

_SURE, _SURE_RAISED = 0.5, 0.85
"""A half that stands apart and a raised 5 are read as surely as this: on seven sheets of a seventh drawer 57 of 66
raised ones were, and of 3,601 other numbers of four drawers none."""
_POINT, _HALF = re.compile(r"[.,]"), re.compile(r"[.,]5\Z")
_INK = 140
"""The grey level of a stretched crop below which it is ink."""
_SPECK = 0.125
"""Marks lower than this share of the crop are no signs."""
_LOWEST, _SMALL, _RAISED, _TOP = 0.25, 0.78, 0.28, 0.4
"""In heights of the other digits: how high a raised 5 is at least and at most, how far its foot hangs over theirs at
least, and how far its head at most below theirs."""
_DOT, _GAP = 0.07, 0.16
"""The point's radius, and the paper on either side of it, in digits' heights. All were set by hand, no source."""


def with_raised_fives(texts: Sequence[ReadText], eyes: CropReaders) -> list[ReadText]:
    """The texts, those whose last sign is small and raised read with half a centimetre, where it is a 5."""
    whole = [t for t in texts if t.numbers and not eyes.feet and not _POINT.search(t.numbers[0].text)]
    raised = [(text, crop) for text in whole if (crop := lowered(text.cutting.crop)) is not None]
    read = eyes.look([replace(text.cutting, crop=crop) for text, crop in raised])
    halves = {
        id(text): replace(half, rival=text.rival, label=text.label)
        for (text, _), half in zip(raised, read, strict=True)
        if half.strength > _SURE_RAISED and _HALF.search(half.numbers[0].text)
    }
    return [halves.get(id(text), text) for text in texts]


def with_spaced_halves(page: Grey, texts: Sequence[ReadText], eyes: CropReaders, unit: str) -> list[ReadText]:
    """The texts, those behind which a half stands apart read with it, the gap closed; `page` bears writing alone."""
    whole = [t for t in texts if unit == "cm" and t.strength > _SURE and t.numbers[0].text.isdigit()]
    closed = [(text, cutting) for text in whole if (cutting := with_gap_closed(page, text.box))]
    read = eyes.look([cutting for _, cutting in closed])
    halved = {
        id(text): replace(half, rival=max(text.rival, half.rival), label=text.label)
        for (text, _), half in zip(closed, read, strict=True)
        if half.strength > _SURE and half.numbers[0].text.replace(",", ".") in _halves_of(text)
    }
    return [halved.get(id(text), text) for text in texts]


def _halves_of(text: ReadText) -> set[str]:
    """What a text says with a half behind it, whose 1 may have been taken for its last digit."""
    digits = text.numbers[0].text
    return {f"{digits}.5", f"{digits.removesuffix('1')}.5"}


@dataclass(frozen=True)
class _Sign:
    left: int
    right: int
    top: int
    foot: int

    @property
    def high(self) -> int:
        return self.foot - self.top


def lowered(crop: Grey) -> Grey | None:
    """The crop of a number with its raised last sign as large as the others, on their line and behind a point; None
    where its last sign is not small and raised."""
    signs = _signs(crop)
    if len(signs) < 2:
        return None
    *digits, last = signs
    high = float(np.median([sign.high for sign in digits]))
    foot, top = (float(np.median([getattr(sign, side) for sign in digits])) for side in ("foot", "top"))
    small = _LOWEST * high < last.high < _SMALL * high
    if not small or foot - last.foot < _RAISED * high or last.top - top > _TOP * high:
        return None
    return _written_on(crop, last, round(high), round(foot))


def _written_on(crop: Grey, last: _Sign, high: int, foot: int) -> Grey:
    paper = float(np.percentile(crop, 80))
    gap, dot = round(_GAP * high), max(round(_DOT * high), 1)
    sign = crop[last.top : last.foot, last.left : last.right]
    sign = cv2.resize(
        sign, (max(round(sign.shape[1] * high / last.high), 1), high), interpolation=cv2.INTER_LINEAR
    )
    edge = crop.shape[1] - last.right
    page = np.full((crop.shape[0], last.left + 2 * gap + 2 * dot + sign.shape[1] + edge), paper, np.float32)
    page[:, : last.left] = crop[:, : last.left]
    cv2.circle(page, (last.left + gap + dot, foot - dot), dot, (0.0,), -1, cv2.LINE_AA)
    start, head = last.left + 2 * (gap + dot), max(foot - high, 0)
    page[head : head + high, start : start + sign.shape[1]] = sign[: page.shape[0] - head]
    return np.asarray(page, np.uint8)


def _signs(crop: Grey) -> list[_Sign]:
    """The signs of a crop from left to right; marks above one another are of one sign, a bar under it is not."""
    count, _, stats, _ = cv2.connectedComponentsWithStats((crop < _INK).astype(np.uint8), connectivity=8)
    marks = sorted((int(x), int(x + w), int(y), int(y + h)) for x, y, w, h, _ in stats[1:count])
    found: list[_Sign] = []
    for left, right, top, foot in marks:
        if foot - top < _SPECK * crop.shape[0]:
            continue
        if found and left < found[-1].right - (right - left) / 2:
            before = found.pop()
            found.append(
                _Sign(before.left, max(before.right, right), min(before.top, top), max(before.foot, foot))
            )
        else:
            found.append(_Sign(left, right, top, foot))
    return found
