"""A half written as a fraction behind a number: "86½", its 1 small and high, its 2 small and low, a bar aslant or level
between them.

The project's own recogniser knows no fractions and reads 8612 or 862. PP-OCR does: its alphabet has ½, and what looks
like one it calls %, too. So where PP-OCR sees one and the ink ends like a half, or it plainly does, the digits
are read again by themselves, and the half is put behind them as .5, which is what it says.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from intake.domain.lengths.notation import likelihood_of_form
from intake.model.reading import Alternative, Box
from intake.reading.marks import InkMark, marks
from intake.reading.readers import HALF_SIGN, Grey
from intake.reading.texts import CropReaders, ReadText, with_strangeness
from intake.reading.tidy import Cutting, tidy
from intake.reading.votes import agreed

HALVED = ".5"
_BARE, _POINTED = (re.compile(rf"{number} ?(mm|cm|m)?") for number in (r"\d+", r"[\d.,]+"))
"""A number without a point, and one that may have one, with the unit behind it."""
_SEEN, _ALIKE = 0.3, 0.06
"""The chance of a fraction's sign from which on PP-OCR has seen one, and on a sheet of more such, where the ink shows
more than a bar. Of 140 halves aslant on 15 sheets (real pen strokes, drawn by somebody else) it gave 117 more than the
first and 2 more than the second; of 712 other numbers on those and 22 other sheets 2 more than the first, both dates,
and none else more than the second. A level bar it does not know."""
_SURELY = 0.9
"""The same chance where the digits end in a 0, which no half is spelt with: "31/0" is 3110 (set by hand)."""
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
_LONGER = 1.1
"""What stands behind a number makes its cut so many times as long at least (set by hand)."""
_SPELT = re.compile(rf"\A\D*+(\d++)'?(?:{HALF_SIGN}|1?/2)")
"""The digits before a half in PP-OCR's own spelling."""
_BY_SPELLING = 0.7
"""The chance of those digits where one more than a 1 of them was cut off with the half's ink (both of two such; set by
hand)."""
_LEVEL_HALF = frozenset({"1", "2", "4", "7", "12", "42", "72"})
"""What PP-OCR reads of a half with a level bar, which the project's own recogniser passes over: on sheets in
centimetres with two such or more of 80 by a fourth drawer 17 of 17 were halves, and one of two on 239 by a third. In
millimetres it is a digit that was cut off."""
_LIKE_ONE, _DOUBT = re.compile(r"\d\d2(?:mm|cm|m)?\Z"), 0.5
"""What may be a half spelt in digits, and how much that speaks against it (set by hand)."""
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
class WrittenHalf:
    """The ink of a half at a line's end: where along the width it begins (0 to 1), and of how many marks it is, three
    where its 1 stands over its 2."""

    begins: float
    marks: int

    @property
    def plain(self) -> bool:
        return self.marks == _APART


def half_of(crop: Grey, unit: int = 0) -> WrittenHalf | None:
    """The half that a line ends in, if its last marks before a unit of so many letters, which may touch, are
    drawn like one and something stands before them."""
    last = marks(crop)[::-1]
    found = (_last_half(last[letters:], crop.shape[1]) for letters in range(min(unit, 1), unit + 1))
    return max((half for half in found if half), key=lambda half: half.marks, default=None)


def _last_half(signs: Sequence[InkMark], width: int) -> WrittenHalf | None:
    """The half that marks begin with, the rightmost first."""
    stacked = _stacked(signs)
    last = stacked or _aslant(signs)
    if not last or len(last) == len(signs):
        return None
    return WrittenHalf(min(mark.left for mark in last) / width, _APART if stacked else len(last))


def _aslant(signs: Sequence[InkMark]) -> list[InkMark]:
    """The marks of a half with its bar aslant: the bar, and the low 2 and the high 1 unless they are of its ink."""
    high = max((mark.height for mark in signs), default=0.0)
    found: list[list[InkMark]] = [[]]
    for at, bar in enumerate(signs[:2]):
        two = [
            mark for mark in signs[:at] if bar.share(mark.top) > _LOW and mark.height < _SMALL * bar.height
        ]
        one = [mark for mark in signs[at + 1 : at + 2] if bar.share(mark.bottom) < _HIGH]
        one = [
            mark for mark in one if mark.height < _SMALL * bar.height and mark.right > bar.left - _LAP * high
        ]
        if len(two) == at and bar.height > _TALL * high:
            found.append([*two, bar, *one])
    return max(found, key=len)


def _stacked(signs: Sequence[InkMark]) -> list[InkMark]:
    """The marks of a half with a level bar: the 1 over it and the 2 under it, either of which may touch it."""
    high = max((mark.height for mark in signs), default=0.0)
    for size in (3, 2):
        last = sorted(signs[:size], key=lambda mark: mark.top)
        if len(last) == size and all(_over(upper, lower) for upper, lower in pairwise(last)):
            small = [mark for mark in last if mark.height < _PART * high]
            level = [mark for mark in last if mark.height < _LEVEL * mark.width]
            if len(small) == size and (size == 2 or level == [last[1]]):
                return last
    return []


def _over(upper: InkMark, lower: InkMark) -> bool:
    """Whether one mark stands over another, the one's middle between the other's ends."""
    beside = lower.left < upper.middle < lower.right or upper.left < lower.middle < upper.right
    return beside and upper.bottom < lower.top + _TOUCH * lower.height


def with_halves(page: Grey, texts: Sequence[ReadText], eyes: CropReaders, unit: str) -> list[ReadText]:
    """The texts, those that end in a half read as such; where a sheet has several, those too of which the half was not
    taken for a part of the number."""
    ends = {i: half for i, text in enumerate(texts) if (half := _end(text)) is not None}
    often = sum(half.plain or texts[i].half >= _SEEN for i, half in ends.items()) >= _OFTEN
    halves = {i: half for i, half in ends.items() if _is_believed(half, texts[i].half, often)}
    found = _read(texts, halves, eyes, witnessed=True)
    if often:
        rest = {i: text for i, text in enumerate(texts) if i not in found}
        found |= {i: _in_doubt(text) for i, text in rest.items()} | _reached(page, rest, eyes)
    told = [found.get(i, text) for i, text in enumerate(texts)]
    passed_over = {i for i, text in enumerate(told) if unit == "cm" and _is_passed_over(text)}
    if often or len(passed_over) >= _OFTEN:
        told = [_unproved_half(text) if i in passed_over else text for i, text in enumerate(told)]
    return with_strangeness(told)


def look(eyes: CropReaders, cuttings: Sequence[Cutting]) -> list[ReadText]:
    """What each cutting says, as `CropReaders.look`; those that end in a half which PP-OCR sees are read with it."""
    return seen_halves(eyes.look(cuttings), eyes)


def seen_halves(texts: Sequence[ReadText], eyes: CropReaders) -> list[ReadText]:
    """The texts, those that end in a half which PP-OCR sees read with it; on a sheet in feet none."""
    seen = {i: text for i, text in enumerate(texts) if text.half >= _SEEN and not eyes.feet}
    found = _read(texts, {i: half for i, text in seen.items() if (half := _end(text))}, eyes)
    return [found.get(i, text) for i, text in enumerate(texts)]


def _read(
    texts: Sequence[ReadText], halves: Mapping[int, WrittenHalf], eyes: CropReaders, witnessed: bool = False
) -> dict[int, ReadText]:
    """Those texts of which the ink before the half is a whole number, with the half."""
    digits = eyes.look([texts[i].cutting.between(0.0, half.begins) for i, half in halves.items()])
    digits = eyes.witnessed(digits) if witnessed else digits
    return {i: _halved(texts[i], bare) for i, bare in zip(halves, digits, strict=True) if _is_whole(bare)}


def _is_passed_over(text: ReadText) -> bool:
    """Whether the number was read without what PP-OCR reads behind it as a 1, a 2 or what else a half with a level bar
    looks like."""
    best, seen = (_digits_of(each[0].text if each else "") for each in (text.numbers, text.witness))
    return bool(best) and seen.startswith(best) and seen[len(best) :] in _LEVEL_HALF


def _digits_of(text: str) -> str:
    """A whole number without its unit; "" where it is none."""
    found = _BARE.fullmatch(text)
    return text[: -len(found[1])].strip() if found and found[1] else text if found else ""


def _unproved_half(text: ReadText) -> ReadText:
    """The number with a half, and as it was read: which, a person says."""
    digits = replace(text.numbers[0], text=_digits_of(text.numbers[0].text))
    halved = (_half(digits, _unit(text)),)
    numbers = agreed([halved, text.numbers], [_BY_SPELLING, 1 - _BY_SPELLING])
    return replace(text, numbers=numbers, rival=max(text.rival, _DOUBT))


def _in_doubt(text: ReadText) -> ReadText:
    """On such a sheet a number that ends in a 2 may be one more, spelt in digits: "442" for 4½."""
    like = text.numbers and _LIKE_ONE.search(text.numbers[0].text)
    return replace(text, rival=max(text.rival, _DOUBT)) if like else text


def _end(text: ReadText) -> WrittenHalf | None:
    """The half that a text may end in but for its unit; one that is read with a point has none, unless PP-OCR has seen
    it."""
    best = text.numbers[0].text if text.numbers else ""
    if not (_POINTED if text.half >= _SEEN else _BARE).fullmatch(best):
        return None
    if best.endswith("0") and text.half < _SURELY:
        return None
    return half_of(text.cutting.crop, len(_unit(text)))


def _is_believed(half: WrittenHalf, seen: float, often: bool) -> bool:
    """Whether it is one: PP-OCR has seen it, or on a sheet with more such less will do, or a plain drawing alone."""
    return seen >= _SEEN or (often and (half.plain or (half.marks > 1 and seen >= _ALIKE)))


def _reached(page: Grey, texts: Mapping[int, ReadText], eyes: CropReaders) -> dict[int, ReadText]:
    """The numbers with the half that stands behind them, plainly drawn or seen by PP-OCR."""
    longer = {i: tidy(page, _longer(text)) for i, text in texts.items() if text.plain_number}
    longer = {i: cut for i, cut in longer.items() if _length(cut.box) > _LONGER * _length(texts[i].box)}
    read = dict(zip(longer, eyes.witnessed(eyes.look(list(longer.values()))), strict=True))
    found = {i: _with_half_behind(texts[i], whole) for i, whole in read.items()}
    found |= {i: _by_spelling(text, text) for i, text in texts.items() if not found.get(i)}
    return {i: text for i, text in found.items() if text is not None}


def _longer(text: ReadText) -> Box:
    """Its box with room for a half behind it."""
    a, b, c, d = text.box
    dx, dy = (
        _REACH * text.height * (v - u) / max(_length(text.box), 1e-6) for u, v in zip(a, b, strict=True)
    )
    return (a, (b[0] + dx, b[1] + dy), (c[0] + dx, c[1] + dy), d)


def _with_half_behind(text: ReadText, whole: ReadText) -> ReadText | None:
    """A text with the half that a longer cut of it, `whole`, ends in; where the ink alone says so, it stays in doubt,
    for a wall's hatching behind a number looks like one."""
    half, from_there = half_of(whole.cutting.crop), _BEHIND * _length(text.box) / _length(whole.box)
    if half is not None and half.plain and half.begins >= from_there and _is_whole(text):
        told = _halved(text, text)
        by_ink = text.rival if whole.half >= _ALIKE else max(text.rival, _DOUBT)
        return replace(told, cutting=whole.cutting, rival=by_ink)
    found = _by_spelling(text, whole)
    alone = re.fullmatch(_SPELT.pattern + r"\D*", whole.spelt)
    return replace(found, cutting=whole.cutting) if found and alone else found


def _by_spelling(text: ReadText, whole: ReadText) -> ReadText | None:
    """A text with the half that PP-OCR sees in a cut of it behind the same digits, and as it was read: which, a person
    says."""
    spelt = _SPELT.match(whole.spelt) if whole.half >= _SEEN and text.numbers else None
    digits = re.sub(r"\D", "", text.numbers[0].text) if spelt else ""
    if spelt is None or not digits.startswith(spelt[1]):
        return None
    said = [Alternative(spelt[1] + HALVED + _unit(text), 1.0)]
    numbers = agreed([said, text.numbers], [_BY_SPELLING, 1 - _BY_SPELLING])
    return replace(text, numbers=numbers, rival=max(text.rival, _DOUBT))


def _length(box: Box) -> float:
    return float(np.hypot(*np.subtract(box[1], box[0])))


def _is_whole(bare: ReadText) -> bool:
    """Whether it is one plain number without decimals."""
    text = bare.numbers[0].text if bare.plain_number and bare.numbers else ""
    return text.isdigit() and likelihood_of_form(text) == 1


def _halved(text: ReadText, bare: ReadText) -> ReadText:
    """The text with the digits of `bare`, a half and its own unit."""
    unit = _unit(text)
    chance = _IS_HALF if len(bare.numbers[0].text) > 1 else _IS_CUT
    digits = _more_digits(bare, text.spelt)
    by_spelling = [Alternative(digits, 1.0)] if digits else bare.numbers
    numbers = agreed([by_spelling, bare.numbers], [_BY_SPELLING, 1 - _BY_SPELLING])
    return replace(
        text,
        rival=max(text.rival, _DOUBT) if digits else text.rival,
        word=_half(bare.word, unit),
        numbers=agreed([_half_each(numbers, unit), text.numbers], [chance, 1 - chance], feet=False),
        belief=bare.belief,
        parts=tuple(replace(part, text=part.text + HALVED + unit) for part in bare.parts),
        votes=tuple((name, _half_each(said, unit)) for name, said in bare.votes),
        own=replace(bare.own, alternatives=_half_each(bare.own.alternatives, unit), letters=text.letters),
        witness=_half_each(bare.witness, unit),
    )


def _more_digits(bare: ReadText, spelt: str) -> str:
    """The digits that PP-OCR spells before the half, where they are more than `bare` ones by more than the half's own
    1; "" where they are not."""
    found = _SPELT.match(spelt)
    read = bare.numbers[0].text
    return found[1] if found and found[1].removeprefix(read) not in ("1", "", found[1]) else ""


def _unit(text: ReadText) -> str:
    found = _POINTED.fullmatch(text.numbers[0].text) if text.numbers else None
    return (found[1] or "") if found else ""


def _half_each(said: Sequence[Alternative], unit: str) -> tuple[Alternative, ...]:
    return tuple(_half(each, unit) for each in said)


def _half(said: Alternative, unit: str) -> Alternative:
    return replace(said, text=said.text + HALVED + unit)
