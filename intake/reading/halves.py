"""A half written as a fraction behind a number: "86½", its 1 small and high, its 2 small and low, a bar aslant or level
between them.

The project's own recogniser knows no fractions and reads 8612 or 862. PP-OCR does: its alphabet has ½, and what looks
like one it calls %, too. So where PP-OCR sees one and the ink ends like a half, or it plainly does, the digits
are read again by themselves, and the half is put behind them as .5, which is what it says.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import cv2
import numpy as np

from intake.domain.lengths.notation import likelihood_of_form
from intake.model.reading import Alternative, Box
from intake.reading.line_parts import sub_box
from intake.reading.readers import Grey
from intake.reading.texts import CropReaders, ReadText
from intake.reading.tidy import Cutting, tidy
from intake.reading.votes import agreed

HALF = ".5"
_BARE = re.compile(r"[\d.,]+")
_SEEN, _ALIKE = 0.3, 0.06
"""The chance of a fraction's sign from which on PP-OCR has seen one, and on a sheet of more such, where the ink shows
more than a bar. Of 140 halves aslant on 15 sheets (real pen strokes, drawn by somebody else) it gave 117 more than the
first and 2 more than the second; of 712 other numbers on those and 22 other sheets 2 more than the first, both dates,
and none else more than the second. A level bar it does not know."""
_OFTEN = 2
"""So many on a sheet are a habit of the hand: of 771 numbers of 36 validation sheets without halves two ended
like one by their ink alone, on two sheets."""
_IS_HALF = 0.98
"""The chance that it is a half where PP-OCR has seen one (117 of 119; the two dates are no length in any case)."""
_IS_CUT = 0.5
"""The chance that a half behind a single digit is all that was written: of six, five had lost digits before."""
_APART = 3
"""So many marks are a half with its 1 and 2 apart from the bar; of the 712 two ended so, one in its unit."""
_REACH, _BEHIND = 1.8, 0.9
"""How far behind a number its half reaches, in its heights, and where it begins at least, in its length."""
_LIKE_ONE, _DOUBT = re.compile(r"\d\d2\Z"), 0.5
"""What may be a half spelt in digits, and how much that speaks against it (set by hand)."""
_SPECK = 0.006
"""The ink of a sign, in squares of the crop's height."""
_SOFT_PX, _DARK, _DARKEST = 0.8, 0.42, 99
"""The blur before ink is told from paper, and the share of the darkest (that percentile) from which on it is ink."""
_TALL, _SMALL = 0.55, 0.8
"""A bar aslant is at least so high, in heights of the highest sign, and the 1 and the 2 at most, in heights of it."""
_HIGH, _LOW = 0.85, 0.25
"""The 1 ends above the first and the 2 begins below the second, in heights of the bar from its top."""
_LAP = 0.3
"""How far before the bar the 1 may end, in heights of the highest sign."""
_LEVEL, _PART, _TOUCH = 0.6, 0.62, 0.25
"""A level bar is at most so high, in its widths; 1, 2 and bar each at most, in heights of the highest sign; and how far
two of them overlap, in heights of the lower. All were set by hand on those 15 sheets and on validation sheets of the
plain renderer (`python -m fixtures.benchmark.whole --plans plain-halves`)."""


@dataclass(frozen=True)
class _Mark:
    """A connected piece of ink: its left, right, top and bottom in pixels of the crop."""

    left: float
    right: float
    top: float
    bottom: float

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2

    def share(self, y: float) -> float:
        """How far down it a height lies, 0 at its top and 1 at its bottom."""
        return (y - self.top) / max(self.height, 1.0)


@dataclass(frozen=True)
class WrittenHalf:
    """The ink of a half at a line's end: where along the width it begins (0 to 1), and of how many marks it is, three
    where its 1 stands over its 2."""

    begins: float
    marks: int

    @property
    def plain(self) -> bool:
        return self.marks == _APART


def half_of(crop: Grey) -> WrittenHalf | None:
    """The half that a line ends in, if its last marks are drawn like one and something stands before them."""
    marks = _marks(crop)
    stacked = _stacked(marks)
    last = stacked or _aslant(marks)
    if not last or len(last) == len(marks):
        return None
    return WrittenHalf(min(mark.left for mark in last) / crop.shape[1], _APART if stacked else len(last))


def _marks(crop: Grey) -> list[_Mark]:
    """The pieces of ink, the rightmost first."""
    dark = 255 - cv2.GaussianBlur(crop, (0, 0), _SOFT_PX).astype(np.float32)
    ink = (dark > _DARK * np.percentile(dark, _DARKEST)).astype(np.uint8)
    _, _, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    sizes = (map(float, row[:4]) for row in stats[1:] if row[4] >= _SPECK * crop.shape[0] ** 2)
    return sorted((_Mark(x, x + w, y, y + h) for x, y, w, h in sizes), key=lambda mark: -mark.middle)


def _aslant(marks: Sequence[_Mark]) -> list[_Mark]:
    """The marks of a half with its bar aslant: the bar, and the low 2 and the high 1 unless they are of its ink."""
    high = max((mark.height for mark in marks), default=0.0)
    found: list[list[_Mark]] = [[]]
    for at, bar in enumerate(marks[:2]):
        two = [
            mark for mark in marks[:at] if bar.share(mark.top) > _LOW and mark.height < _SMALL * bar.height
        ]
        one = [mark for mark in marks[at + 1 : at + 2] if bar.share(mark.bottom) < _HIGH]
        one = [
            mark for mark in one if mark.height < _SMALL * bar.height and mark.right > bar.left - _LAP * high
        ]
        if len(two) == at and bar.height > _TALL * high:
            found.append([*two, bar, *one])
    return max(found, key=len)


def _stacked(marks: Sequence[_Mark]) -> list[_Mark]:
    """The marks of a half with a level bar: the 1 over it and the 2 under it, either of which may touch it."""
    high = max((mark.height for mark in marks), default=0.0)
    for size in (3, 2):
        last = sorted(marks[:size], key=lambda mark: mark.top)
        if len(last) == size and all(_over(upper, lower) for upper, lower in pairwise(last)):
            small = [mark for mark in last if mark.height < _PART * high]
            level = [mark for mark in last if mark.height < _LEVEL * mark.width]
            if len(small) == size and (size == 2 or level == [last[1]]):
                return last
    return []


def _over(upper: _Mark, lower: _Mark) -> bool:
    """Whether one mark stands over another, the one's middle between the other's ends."""
    beside = lower.left < upper.middle < lower.right or upper.left < lower.middle < upper.right
    return beside and upper.bottom < lower.top + _TOUCH * lower.height


def with_halves(page: Grey, texts: Sequence[ReadText], eyes: CropReaders) -> list[ReadText]:
    """The texts, those that end in a half read as such; where a sheet has several, those too of which the half was not
    taken for a part of the number."""
    ends = {i: half for i, text in enumerate(texts) if (half := _end(text)) is not None}
    often = sum(half.plain or texts[i].half >= _SEEN for i, half in ends.items()) >= _OFTEN
    halves = {i: half for i, half in ends.items() if _is_believed(half, texts[i].half, often)}
    digits = eyes.witnessed(eyes.look([_before(texts[i].cutting, half) for i, half in halves.items()]))
    found = {i: _halved(texts[i], bare) for i, bare in zip(halves, digits, strict=True) if _is_whole(bare)}
    if not often:
        return [found.get(i, text) for i, text in enumerate(texts)]
    return [found.get(i) or _reaching(page, text) or _in_doubt(text) for i, text in enumerate(texts)]


def _in_doubt(text: ReadText) -> ReadText:
    """On such a sheet a number that ends in a 2 may be one more, spelt in digits: "442" for 4½."""
    like = text.numbers and _LIKE_ONE.search(text.numbers[0].text)
    return replace(text, rival=max(text.rival, _DOUBT)) if like else text


def _end(text: ReadText) -> WrittenHalf | None:
    """The half that a text may end in; one that is read with a point has none, unless PP-OCR has seen it."""
    best = text.numbers[0].text if text.numbers else ""
    bare = best.isdigit() or (text.half >= _SEEN and _BARE.fullmatch(best))
    return half_of(text.cutting.crop) if bare else None


def _is_believed(half: WrittenHalf, seen: float, often: bool) -> bool:
    """Whether it is one: PP-OCR has seen it, or on a sheet with more such less will do, or a plain drawing alone."""
    return seen >= _SEEN or (often and (half.plain or (half.marks > 1 and seen >= _ALIKE)))


def _reaching(page: Grey, text: ReadText) -> ReadText | None:
    """A number with the half that stands behind it, plainly drawn."""
    if not _is_whole(text):
        return None
    a, b, c, d = text.box
    dx, dy = (
        _REACH * text.height * (v - u) / max(_length(text.box), 1e-6) for u, v in zip(a, b, strict=True)
    )
    longer = tidy(page, (a, (b[0] + dx, b[1] + dy), (c[0] + dx, c[1] + dy), d))
    half = half_of(longer.crop)
    if half is None or not half.plain or half.begins < _BEHIND * _length(text.box) / _length(longer.box):
        return None
    return replace(_halved(text, text), cutting=longer)


def _length(box: Box) -> float:
    return float(np.hypot(*np.subtract(box[1], box[0])))


def _before(cutting: Cutting, half: WrittenHalf) -> Cutting:
    """What stands before the half."""
    width = max(round(half.begins * cutting.crop.shape[1]), 1)
    box = sub_box(cutting.box, (0.0, half.begins), 0.0)
    return Cutting(box, np.ascontiguousarray(cutting.crop[:, :width]), box)


def _is_whole(bare: ReadText) -> bool:
    """Whether it is one plain number without decimals."""
    text = bare.numbers[0].text if bare.plain_number and bare.numbers else ""
    return text.isdigit() and likelihood_of_form(text) == 1


def _halved(text: ReadText, bare: ReadText) -> ReadText:
    """The text with the digits of `bare` and a half."""
    chance = _IS_HALF if len(bare.numbers[0].text) > 1 else _IS_CUT
    return replace(
        text,
        word=_half(bare.word),
        numbers=agreed([[_half(a) for a in bare.numbers], text.numbers], [chance, 1 - chance], feet=False),
        belief=bare.belief,
        parts=tuple(replace(part, text=part.text + HALF) for part in bare.parts),
        votes=tuple((name, tuple(map(_half, said))) for name, said in bare.votes),
        own=replace(bare.own, alternatives=tuple(map(_half, bare.own.alternatives)), letters=text.letters),
        witness=tuple(map(_half, bare.witness)),
    )


def _half(said: Alternative) -> Alternative:
    return replace(said, text=said.text + HALF)
