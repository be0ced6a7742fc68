"""Reads what the sorter found written: every number by itself, with the words of its line beside it.

The sorter says where lines of writing and where numbers stand. Both may be wrong: a line that holds no number it
knows of is read as well and taken apart, two numbers in one box are parted, and a number that the recogniser holds to
be cut off or lying another way is cut anew.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import reduce

import numpy as np

from intake.domain.lengths.notation import infer_unit, likelihood_of_form, of_a_room
from intake.model.reading import Box
from intake.reading.boxes import around, height, longer, share
from intake.reading.halves import with_spaced_halves
from intake.reading.letters_of_words import without_letters
from intake.reading.line_parts import HALF, STROKE, NumberPiece, along, sub_box
from intake.reading.readers import Grey
from intake.reading.sorter import Sorted
from intake.reading.texts import CropReaders, ReadText, seen_twice
from intake.reading.tidy import Cutting, cleared, reaches, tidy, with_touching, writing_alone
from intake.reading.unclaimed import unclaimed
from intake.reading.ways_up import turned_upright

_MARGIN = 0.22
_FULL, _OVER = 0.8, 0.3
"""A line that its numbers fill to the first share, and up to the second, in heights, at either end, holds nothing else
(set by hand)."""
_HELD = 0.5
"""A number belongs to a line that holds this share of its box's points."""
_NONE = 0.3
"""What the recogniser holds to be no number with this chance is none."""
_SAME = 0.6
"""Two texts of which one has this share of its points in the other are of one place."""
_LAPS, _SAME_WAY = 0.3, 0.9
"""Two texts of one line, their directions alike by the second (a cosine), of which one has the first share in the other
are read of some of the same ink (both set by hand)."""
_LOST = 0.15
"""What is read with less is looked at twice; from .15 to .9 a second look made as many right as wrong (60 sheets)."""
_FEET, _MOSTLY = re.compile(r"['\"]|ft"), 0.35
_NEAR, _SURE, _VERY_SURE = 0.45, 0.5, 0.75
"""Parts of one number stand nearer than the first, in heights; the whole must read as surely as the second, or,
where only one part was found to be a number, as the third."""
_AS_SURE = 0.05
"""A longer cut with more digits may read less surely by this."""
_FEET_NEAR = 1.2
"""How near, in heights, inches stand to their feet: a blank parts "2ft 7"."""
_CUT_OFF, _LONGER = 0.2, 0.6
"""The chance from which on a text is taken for cut off, and by how many heights its box is then longer."""
_LIKE_SIZE, _LAP = 1.8, 0.7
"""How much higher one of two pieces of a number may be, and by how many heights they may overlap."""
_SAME_NUMBER = 0.3
"""The overlap of two boxes that hold the same number."""
_BITTEN = 0.2
"""The share of a number's box that holds one of its digits. All six were set by hand, no source."""


def read_writing(flat: Grey, ink: Sorted, eyes: CropReaders) -> list[ReadText]:
    """Every text on the page, each the right way up; numbers carry the words of their line as `label`."""
    page = writing_alone(flat, ink)
    cuttings = [tidy(page, box) for box in (*ink.numbers, *unclaimed(ink))]
    numbers = eyes.look(cuttings)
    if _in_feet(numbers):
        eyes = eyes.for_feet()
        numbers = eyes.look(cuttings)
    numbers = turned_upright(page, _uncut(page, numbers, eyes), eyes)
    mixed = _mixed(numbers)
    numbers = _parted(page, numbers, mixed, eyes)
    unit = _unit(numbers, eyes)
    numbers = _grown(
        page, _joined(page, _with_touching_digits(page, numbers, eyes, unit), eyes, unit), eyes, unit
    )
    open_lines = [box for box in ink.lines if _is_open(box, numbers)]
    words = eyes.look([tidy(page, box) for box in open_lines], lines=True)
    numbers = without_letters(numbers, [_line_of(n, [*words, *mixed]) for n in numbers], eyes)
    numbers = _parted_by_strokes(page, words, numbers, eyes)
    more = _overlooked(page, words, numbers, eyes)
    numbers = _again(flat, ink, _apart([*numbers, *more], unit), eyes)
    kept = eyes.witnessed(_apart(with_spaced_halves(page, numbers, eyes, unit), unit))
    named = [_labelled(number, words, kept) for number in kept]
    return [
        *named,
        *(text for text in words if not _holds_any(text, named) and not _held_by_any(text, named)),
    ]


def _in_feet(texts: Sequence[ReadText]) -> bool:
    """Whether the numbers are feet and inches, by what the recogniser makes of them."""
    firsts = [t.own.alternatives[0].text for t in texts if t.own.alternatives and t.own.not_a_number < 0.5]
    return sum(bool(_FEET.search(text)) for text in firsts) > _MOSTLY * len(firsts) > 0


def _unit(texts: Sequence[ReadText], eyes: CropReaders) -> str:
    """The sheet's unit, by the numbers that are read surely."""
    return "ft" if eyes.feet else infer_unit([t.numbers[0].text for t in texts if t.strength > _SURE])


def _uncut(page: Grey, texts: Sequence[ReadText], eyes: CropReaders) -> list[ReadText]:
    """The texts, those that the recogniser holds to be cut off read again in a longer box."""
    short = [text for text in texts if text.own.cut > _CUT_OFF]
    again = eyes.look([tidy(page, longer(text.cutting.found, _LONGER, _LONGER)) for text in short])
    better = {
        id(a): b for a, b in zip(short, again, strict=True) if b.strength > a.strength and b.plain_number
    }
    return [better.get(id(text), text) for text in texts]


def _mixed(texts: Sequence[ReadText]) -> list[ReadText]:
    """The texts that hold several parts, of which one is a number at least."""
    return [t for t in texts if len(t.parts) > 1 and any(p.number for p in t.parts)]


def _parted(
    page: Grey, texts: Sequence[ReadText], mixed: Sequence[ReadText], eyes: CropReaders
) -> list[ReadText]:
    """The texts, the `mixed` among them cut into their numbers."""
    parts = [cut for text in mixed for _, cut in _number_parts(page, text)]
    return [text for text in texts if text not in mixed] + eyes.look(parts)


def _joined(page: Grey, texts: Sequence[ReadText], eyes: CropReaders, unit: str) -> list[ReadText]:
    """The texts, with close neighbours on one line made one where they read as one number that a room may have."""
    near = _FEET_NEAR if eyes.feet else _NEAR
    pairs = [(a, b) for a in texts for b in texts if a is not b and _follows(a, b, near)]
    found = [((a, b), tidy(page, around(a.box, b.box))) for a, b in pairs]
    found = [(pair, cutting) for pair, cutting in found if not _swallows(cutting, pair, texts)]
    tried = eyes.look([cutting for _, cutting in found])
    gone: set[int] = set()
    new: list[ReadText] = []
    for ((a, b), _), whole in sorted(zip(found, tried, strict=True), key=lambda each: -each[1].strength):
        if id(a) not in gone and id(b) not in gone and _is_one(whole, (a, b), unit):
            gone |= {id(a), id(b)}
            new.append(replace(whole, label=a.label or b.label))
    return [text for text in texts if id(text) not in gone] + new


def _with_touching_digits(
    page: Grey, texts: Sequence[ReadText], eyes: CropReaders, unit: str
) -> list[ReadText]:
    """The texts, those in whose box a digit touches the writing beside it, and was painted out with that, read with it;
    a stroke more is soon taken for a 1, and is none."""
    touching = [(t, cutting) for t in texts if (cutting := with_touching(page, t.cutting.found))]
    read = eyes.look([cutting for _, cutting in touching])
    whole = {
        id(text): replace(more, rival=text.rival, shorter=text.strength, label=text.label)
        for (text, _), more in zip(touching, read, strict=True)
        if more.strength > _VERY_SURE and _is_one(more, (text,), unit) and not _adds_ones(more, text)
    }
    return [whole.get(id(text), text) for text in texts]


def _adds_ones(whole: ReadText, part: ReadText) -> bool:
    """Whether ones alone stand before or behind what was read before."""
    more, less = (re.sub(r"\D", "", text.numbers[0].text if text.numbers else "") for text in (whole, part))
    return less in more and set(more.replace(less, "", 1)) <= {"1"}


def _grown(page: Grey, texts: Sequence[ReadText], eyes: CropReaders, unit: str) -> list[ReadText]:
    """The texts, those beside which more signs stand close read in longer boxes as well, and taken so where that is one
    number with more digits: the first 1 of 1190 may look like no digit to the sorter."""
    wider = [(text, tidy(page, box)) for text in texts for box in _reaching(page, text.box)]
    beside = {id(text) for text, _ in wider}
    glanced = zip(wider, eyes.glance([cutting for _, cutting in wider]), strict=True)
    wider = [
        each for each, own in glanced if own.not_a_number < _NONE and not _swallows(each[1], each[:1], texts)
    ]
    read = eyes.look([cutting for _, cutting in wider])
    best: dict[int, ReadText] = {}
    for (text, _), whole in zip(wider, read, strict=True):
        if _is_better(whole, best.get(id(text))) and _is_one(whole, (text,), unit):
            best[id(text)] = replace(whole, rival=text.rival, shorter=text.strength, label=text.label)
    return [best.get(id(text), replace(text, close=id(text) in beside)) for text in texts]


def _is_better(whole: ReadText, other: ReadText | None) -> bool:
    """Whether a longer cut reads surely, and better than another: nearly as surely with more digits, or more surely."""
    if whole.strength < _VERY_SURE or other is None or not whole.numbers:
        return whole.strength > _VERY_SURE
    one, two = (_digits(text.numbers[0].text) for text in (whole, other))
    return whole.strength > other.strength + _AS_SURE * ((one < two) - (one > two))


def _again(flat: Grey, ink: Sorted, texts: Sequence[ReadText], eyes: CropReaders) -> list[ReadText]:
    """The texts, those in which hardly a number is seen looked at once more without the lines that run through them."""
    lost = [text for text in texts if text.strength < _LOST]
    page = cleared(flat, ink, [text.cutting.found for text in lost])
    again = eyes.look([tidy(page, text.cutting.found) for text in lost])
    twice = {id(a): seen_twice(a, b) for a, b in zip(lost, again, strict=True)}
    return [twice.get(id(text), text) for text in texts]


def _swallows(cutting: Cutting, parts: Sequence[ReadText], texts: Sequence[ReadText]) -> bool:
    """Whether a longer cut of some texts takes in a digit of another number that was read by itself."""
    return any(
        all(other is not part for part in parts)
        and other.strength > _SURE
        and share(other.box, cutting.box) > _BITTEN
        for other in texts
    )


def _reaching(page: Grey, box: Box) -> list[Box]:
    """The box with one, two, three more of the signs that stand close before it, after it, and one on either side."""
    before, after = reaches(page, box)
    ends = [*((far, 0.0) for far in before), *((0.0, far) for far in after)]
    ends += [(before[0], after[0])] if before and after else []
    return [longer(box, *each) for each in ends]


def _apart(texts: Sequence[ReadText], unit: str) -> list[ReadText]:
    """The texts without those that lie for the most part in another's place: of two the longer one stays where it reads
    surely as one number, else the surer one; the other speaks against the one kept. The end of one and the beginning of
    the next are no third."""
    kept: list[ReadText] = []
    for text in sorted(texts, key=lambda t: (-_whole_digits(t, unit), -t.strength)):
        other = next((k for k in kept if max(share(text.box, k.box), share(k.box, text.box)) > _SAME), None)
        if other is not None:
            kept[kept.index(other)] = _against(other, text)
        elif sum(share(text.box, k.box) for k in kept if k.strength > _SURE) < _SAME:
            kept.append(text)
    return [reduce(_against, _across(text, kept), text) for text in kept]


def _against(text: ReadText, other: ReadText) -> ReadText:
    """The text with another read off some of its ink speaking against it."""
    few, many = (_digits(t.numbers[0].text) if t.numbers else 0 for t in (other, text))
    if few < many:
        return replace(text, shorter=max(text.shorter, other.strength))
    return replace(text, rival=max(text.rival, other.strength))


def _across(text: ReadText, others: Sequence[ReadText]) -> list[ReadText]:
    """The other texts that share some of a text's ink, such as 204 of "2048" beside 48."""
    same = [other for other in others if other is not text and _on_one_line(text, other)]
    return [o for o in same if max(share(text.box, o.box), share(o.box, text.box)) > _LAPS]


def _on_one_line(a: ReadText, b: ReadText) -> bool:
    """Whether two texts run the same way and neither stands higher than the other by half its height."""
    run, other = (np.subtract(text.box[1], text.box[0]) for text in (a, b))
    run, other = (way / max(float(np.hypot(*way)), 1e-6) for way in (run, other))
    apart = abs(float((b.centre - a.centre) @ (-run[1], run[0])))
    return float(run @ other) > _SAME_WAY and apart < 0.5 * min(a.height, b.height)


def _whole_digits(text: ReadText, unit: str) -> int:
    """How many digits a text has that reads surely as one number; none where it does not."""
    return _digits(text.numbers[0].text) if _is_one(text, (), unit) else 0


def _follows(a: ReadText, b: ReadText, near: float) -> bool:
    """Whether b stands close behind a on one line (less than `near` heights), in writing of like size."""
    if max(a.height, b.height) > _LIKE_SIZE * min(a.height, b.height):
        return False
    along, down = np.subtract(a.box[1], a.box[0]), np.subtract(a.box[3], a.box[0])
    along, down = along / max(float(np.hypot(*along)), 1e-6), down / max(float(np.hypot(*down)), 1e-6)
    gap = np.subtract(b.box[0], a.box[1])
    offset = float((b.centre - a.centre) @ down)
    return -_LAP * a.height < float(gap @ along) < near * a.height and abs(offset) < 0.5 * a.height


def _is_one(whole: ReadText, parts: Sequence[ReadText], unit: str) -> bool:
    """Whether a longer cut is one number with more digits than either part was read with, and no longer than a room."""
    if not whole.plain_number or not whole.numbers or whole.own.not_a_number > _NONE:
        return False
    text = whole.numbers[0].text
    most = max((_digits(part.numbers[0].text) if part.numbers else 0 for part in parts), default=0)
    usual = likelihood_of_form(text, unit == "ft") == 1 and of_a_room(text, unit)
    return usual and _digits(text) > most and whole.strength > _SURE


def _digits(text: str) -> int:
    return sum(sign.isdigit() for sign in text)


def _number_parts(page: Grey, text: ReadText) -> list[tuple[NumberPiece, Cutting]]:
    """The number parts of a text, each cut out by itself."""
    parts = [part for part in text.parts if part.number]
    return [(part, tidy(page, sub_box(text.box, part.span, _MARGIN))) for part in parts]


def _overlooked(
    page: Grey, words: Sequence[ReadText], numbers: Sequence[ReadText], eyes: CropReaders
) -> list[ReadText]:
    """Numbers that were read within lines of words although no number was found there, or one with fewer digits."""
    parts = [(part.text, cut) for line in words for part, cut in _number_parts(page, line)]
    return eyes.look([cut for text, cut in parts if _is_overlooked(text, cut, numbers)])


def _parted_by_strokes(
    page: Grey, words: Sequence[ReadText], numbers: Sequence[ReadText], eyes: CropReaders
) -> list[ReadText]:
    """The numbers, those of a line that says "86/201" read on either side of the stroke, which looks like a 1."""
    kept = list(numbers)
    for line in (each for each in words if any(part.text == STROKE for part in each.parts)):
        sides = eyes.look([cut for _, cut in _number_parts(page, line)])
        if all(side.plain_number and side.strength > _SURE for side in sides):
            apart = [n for n in kept if all(share(n.box, side.box) <= _SAME_NUMBER for side in sides)]
            kept = [*apart, *sides]
    return kept


def _is_overlooked(text: str, cut: Cutting, numbers: Sequence[ReadText]) -> bool:
    there = [number for number in numbers if share(cut.box, number.box) > _SAME_NUMBER]
    return all(not number.label and _says_more(text, number) for number in there) and not (
        there and _swallows(cut, there[:1], numbers)
    )


def _labelled(number: ReadText, lines: Sequence[ReadText], numbers: Sequence[ReadText]) -> ReadText:
    """The number with the words of its line: those just before it, else those after."""
    line = _line_of(number, lines)
    if line is None:
        return number
    at = float(along(line.box, number.centre))
    before = [p.text for p in line.parts if not p.number and sum(p.span) / 2 < at]
    after = [p.text for p in line.parts if not p.number and sum(p.span) / 2 >= at]
    label = number.label or (before[-1:] + after[:1] + [""])[0]
    if number.label and not before + after:
        return number
    there = [p for p in line.parts if p.number and p.span[0] < at < p.span[1]]
    open_ = any(_says_more(part.text, number) and not _are_all(part, line, numbers) for part in there)
    return replace(number, label=label, more_in_line=open_)


def _are_all(part: NumberPiece, line: ReadText, numbers: Sequence[ReadText]) -> bool:
    """Whether a part of a line says the numbers that were read in it and nothing more: 4253 of 42x53."""
    inside = [n for n in numbers if n.numbers and _line_of(n, (line,)) is not None]
    placed = sorted((float(along(line.box, n.centre)), n.numbers[0].text) for n in inside)
    texts = [text for at, text in placed if part.span[0] < at < part.span[1]]
    digits = re.sub(r"\D", "", "".join(texts))
    said = [re.sub(HALF, "5", part.text), *(a.text for a in line.own.alternatives[:1])]
    return len(texts) > 1 and any(re.fullmatch(r"\D*" + r"\D?".join(digits) + r"\D*", text) for text in said)


def _line_of(number: ReadText, lines: Sequence[ReadText]) -> ReadText | None:
    """The line that holds a number, of several the lowest."""
    of = [line for line in lines if share(number.box, line.cutting.found) > _HELD]
    return min(of, key=lambda text: text.height, default=None)


def _says_more(text: str, number: ReadText) -> bool:
    """Whether a number is read with more digits within its line than by itself: 228.5 where 28.5 was cut out."""
    text = re.sub(HALF, "5", text)
    whole, part = (re.sub(r"\D", "", t) for t in (text, number.numbers[0].text if number.numbers else ""))
    bare = part.removesuffix("5") if number.numbers and number.numbers[0].text.endswith(".5") else part
    return whole not in (part, bare) and (part in whole or bare in whole)


def _holds_any(line: ReadText, numbers: Sequence[ReadText]) -> bool:
    return any(share(number.box, line.cutting.found) > _HELD for number in numbers)


def _held_by_any(line: ReadText, numbers: Sequence[ReadText]) -> bool:
    return any(share(line.box, number.box) > _SAME for number in numbers if number.strength > _SURE)


def _is_open(line: Box, numbers: Sequence[ReadText]) -> bool:
    """Whether a line may hold more than its numbers: a first 1 that was left off, or a stroke between two."""
    inside = [n.cutting.found for n in numbers if share(n.box, line) > _HELD]
    spans = [sorted((along(line, np.asarray(box[0])), along(line, np.asarray(box[1])))) for box in inside]
    filled = sum(min(b, 1.0) - max(a, 0.0) for a, b in spans)
    if filled < _FULL or len(inside) > 1:
        return True
    over = max(min(a for a, _ in spans), 1.0 - max(b for _, b in spans))
    return over * float(np.hypot(*np.subtract(line[1], line[0]))) > _OVER * height(line)
