"""Letters of the word before a number that were read as digits of it: the last l of "sill 985" as the 1 of 1985.

A stroke alone does not say which it is. The line does: what stands before the number is a word, which is whole with
the stroke or without it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from intake.domain.sketch.words_for_roles import NAMING_WORDS
from intake.reading.line_parts import HALF, along
from intake.reading.marks import InkMark, marks
from intake.reading.readers import Grey
from intake.reading.texts import CropReaders, ReadText
from intake.reading.tidy import Cutting
from intake.reading.votes import agreed

_STROKES = {"1": "lit", "4": "t", "7": "t"}
_LETTERS = _STROKES | {"2": "z", "5": "s", "6": "b", "8": "b", "9": "gq"}
"""Letters that a word ends in and the digit that each looks like; a stroke may be missed in the word (judgement)."""
_WORD, _NUMBER = 2, 2
"""From so many letters on it is a word and no label of a kind; a number behind it has so many digits."""
_NARROW, _SMALL = 0.55, 0.3
"""Such a letter is at most so wide, in heights of the line; marks lower than the second, in heights of the highest, are
points and dots."""
_READ = 0.5
"""How surely the digits behind the letter must read by themselves, now or before the letter was added to them."""
_OPEN, _OF_THE_WORD = 0.5, 0.6
"""The rival of a number of which it stays open, so that a person looks, and the chance that the stroke is the word's
there. All were set by hand, on 60 lines of 35 sheets drawn by somebody else."""


@dataclass(frozen=True)
class _Before:
    """What a number's line holds before it: the word in small letters, and the digits that the line is read with in the
    number's place."""

    word: str = ""
    digits: str = ""
    unread: int = 0
    """How many more marks the line has than letters and digits."""
    nearer: bool = False
    """Whether the number's first mark stands nearer to what is before it than to the next."""


def _before(number: ReadText, line: ReadText | None) -> _Before:
    if line is None:
        return _Before()
    start, end = (along(line.box, np.asarray(number.box[k])) for k in (0, 1))
    for word, there in pairwise(line.parts):
        if there.number and not word.number and there.span[0] < end and start < there.span[1]:
            letters = re.sub(r"[^a-z]", "", word.text.lower())
            digits = re.sub(r"\D", "", re.sub(HALF, "5", there.text))
            written = "".join(re.sub(HALF, "1i2", part.text) for part in line.parts)
            signs = sum(sign.isalnum() for sign in written)
            unread = len(_large(line.cutting.crop)) - signs
            return _Before(letters, digits, unread, _nearer(number.cutting, line.cutting))
    return _Before()


def _large(crop: Grey) -> list[InkMark]:
    """The marks but for points and dots."""
    found = marks(crop)
    high = max((mark.height for mark in found), default=0.0)
    return [mark for mark in found if mark.height > _SMALL * high]


def _nearer(number: Cutting, line: Cutting) -> bool:
    """Whether a number's first mark stands nearer to the mark before it in its line than to the next."""
    own, all_of_it, width = _large(number.crop), _large(line.crop), line.crop.shape[1]
    share = own[0].middle / number.crop.shape[1] if own else 0.0
    here = np.asarray(number.box[0]) + share * np.subtract(number.box[1], number.box[0])
    at = along(line.box, here) * width
    k = min(range(len(all_of_it)), key=lambda i: abs(all_of_it[i].middle - at), default=0)
    if not 0 < k < len(all_of_it) - 1:
        return False
    before, first, after = all_of_it[k - 1 : k + 2]
    return first.left - before.right < after.left - first.right


def without_letters(
    numbers: Sequence[ReadText], lines: Sequence[ReadText | None], eyes: CropReaders
) -> list[ReadText]:
    """The numbers, those that begin with a letter of the word before them read without it; `lines` are theirs."""
    before = [_before(number, line) for number, line in zip(numbers, lines, strict=True)]
    begin = {i: text for i, text in enumerate(numbers) if _may_be_the_words(text, before[i])}
    cuts = {i: cut for i, text in begin.items() if (cut := _behind_first(text.cutting)) is not None}
    read = dict(zip(cuts, eyes.look(list(cuts.values())), strict=True))
    without = {i: _without_letter(text, read.get(i), before[i]) for i, text in begin.items()}
    return [without.get(i, text) for i, text in enumerate(numbers)]


def _may_be_the_words(text: ReadText, before: _Before) -> bool:
    """Whether the first digit may be the word's last letter: the line is read so, or the word is one only with it."""
    digits = _digits(text)
    if len(before.word) < _WORD or len(digits) <= _NUMBER or digits[0] not in _LETTERS or digits[1] == "0":
        return False
    if digits[0] not in _STROKES and before.word[-1] not in _LETTERS[digits[0]]:
        return False
    if _known(before.word, digits[0]):
        return True
    is_a_digit = not _known(before.word) and before.word[-1:] in "lit" and _known(before.word[:-1])
    one_less = _was_added(text) and _known(before.word[:-1]) and before.digits == digits[2:]
    belongs = _known(before.word) or before.nearer or _was_added(text)
    return (one_less or _reads(before, text, 1)) and belongs and not is_a_digit


def _reads(before: _Before, text: ReadText, first: int) -> bool:
    """Whether the line is read with the text's digits from the first on; a half may be lost there or spelt as 12."""
    digits = _digits(text)[first:]
    if not text.numbers[0].text.endswith(".5"):
        return before.digits == digits
    return before.digits in (digits, digits[:-1], digits[:-1] + "12")


def _was_added(text: ReadText) -> bool:
    """Whether the digits behind the first were found to be a number by themselves."""
    return text.shorter > _READ


def _known(word: str, digit: str = "") -> bool:
    """Whether it is a word that people write on plans, with the letter that looks like the digit behind it."""
    return any(word + letter in NAMING_WORDS for letter in (_LETTERS[digit] if digit else ("",)))


def _behind_first(cutting: Cutting) -> Cutting | None:
    """The cutting without its first mark; None where that is wider than such a letter."""
    signs = marks(cutting.crop)
    high, wide = cutting.crop.shape
    if len(signs) < 2 or signs[0].width > _NARROW * high:
        return None
    second = min(mark.left for mark in signs[1:])
    return cutting.between((signs[0].right + second) / 2 / wide, 1.0)


def _without_letter(text: ReadText, read: ReadText | None, before: _Before) -> ReadText:
    """The number without the letter; where that stays open, both ways."""
    digits = _digits(text)
    if read is None or read.strength < _READ or _digits(read) != digits[1:]:
        shorter = tuple(replace(a, text=a.text[1:]) for a in text.numbers if a.text[:1] == digits[0])
    elif _is_the_words(text, before):
        return replace(read, label=before.word, close=text.close)
    else:
        shorter = read.numbers
    chance = _OF_THE_WORD if before.nearer else 1 - _OF_THE_WORD
    numbers = agreed([shorter, text.numbers], [chance, 1 - chance])
    return replace(text, numbers=numbers, label=before.word, rival=max(text.rival, _OPEN))


def _is_the_words(text: ReadText, before: _Before) -> bool:
    """Whether a digit that may be a known word's last letter is: it stands nearer to the word, and every mark of the
    line is a sign, or there are fewer, joined ones, and the number was found without it."""
    digits = _digits(text)
    if not (_known(before.word) or _known(before.word, digits[0])) or not any(
        _reads(before, text, k) for k in (0, 1)
    ):
        return False
    unread = before.unread - (_reads(before, text, 1) and _known(before.word, digits[0]))
    # A letter that was left out is a mark more, and no unread one.
    return before.nearer and (unread <= 0 if _was_added(text) else unread == 0)


def _digits(text: ReadText) -> str:
    return re.sub(r"\D", "", text.numbers[0].text) if text.numbers else ""
