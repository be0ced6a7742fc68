"""The last letter of a word is no digit of the number behind it, in drawn hands (words as people write them on plans:
common practice, no source)."""

from __future__ import annotations

import numpy as np
import pytest

from fixtures.hands.hand import tight
from fixtures.hands.strokes import StrokeHand
from intake.model.reading import Box
from intake.reading.own import OwnReader
from intake.reading.ppocr import PaddleReader, weights_folder
from intake.reading.readers import Grey
from intake.reading.sorter import ROLES, Ink, Sorted
from intake.reading.texts import CropReaders, ReadText
from intake.reading.writing import read_writing

INNER, SPACE = 0.06, 0.16
"""The gaps within words and between them, in digits' heights."""
HIGH, LEFT, TOP = 40, 80, 60
OPEN, SURE = 0.3, 0.9
"""A number with a rival above the first, or a strength below the second, is not accepted (reading/acceptance.py)."""


@pytest.fixture(scope="module")
def eyes() -> CropReaders:
    folder = weights_folder()
    assert folder is not None
    paddle, own = PaddleReader(folder / "PP-OCRv6_rec_small.onnx"), OwnReader()
    return CropReaders((paddle, own), paddle, own)


def _read(eyes: CropReaders, hand: StrokeHand, word: str, number: str, cut: int) -> ReadText:
    """A line of writing read whole, of which the sorter takes all but the word and the first `cut` digits for the
    number; a `cut` below 0 takes letters of the word in."""
    rng = np.random.default_rng(4)
    parts = [
        tight(hand.write(text, rng, HIGH).ink)[0] for text in (word[:-1], word[-1], number[0], number[1:])
    ]
    gaps = (INNER, SPACE, INNER)
    starts = np.cumsum([LEFT, *(p.shape[1] + round(gap * HIGH) for p, gap in zip(parts, gaps, strict=False))])
    high, wide = max(p.shape[0] for p in parts), int(starts[-1]) + parts[-1].shape[1]
    page = np.full((high + 2 * TOP, wide + LEFT), 255, np.uint8)
    for part, at in zip(parts, starts, strict=True):
        page[TOP + high - part.shape[0] : TOP + high, at : at + part.shape[1]] = np.round(255 - 210 * part)
    line = _box(LEFT - 2, TOP - 2, wide + 2, TOP + high + 2)
    number_box = _box(float(starts[2 + cut]) - 2, TOP - 2, wide + 2, TOP + high + 2)
    texts = read_writing(page, _sorted(page, number_box, line), eyes)
    return max((text for text in texts if text.numbers), key=lambda text: text.strength)


def _box(left: float, top: float, right: float, bottom: float) -> Box:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _sorted(page: Grey, number: Box, line: Box) -> Sorted:
    kinds = np.zeros((len(Ink), *page.shape), np.uint8)
    kinds[Ink.WRITING] = np.where(page < 200, 255, 0)
    kinds[Ink.NONE] = 255 - kinds[Ink.WRITING]
    meanings = np.zeros((len(ROLES) + 8, page.shape[0] // 8, page.shape[1] // 8), np.float32)
    return Sorted(kinds, np.zeros(page.shape, np.float32), (line,), (number,), (1.0, 1.0), meanings)


HANDS = [StrokeHand(f"hand {seed}", seed) for seed in range(40, 60)]


def _unmarked(read: list[ReadText], number: str) -> int:
    """How many were read otherwise with nothing that calls for a person."""
    return sum(
        r.numbers[0].text != number and max(r.rival, r.shorter) < OPEN and r.strength > SURE for r in read
    )


@pytest.mark.parametrize(("number", "cut"), [("985", 0), ("96", -1)])
def test_the_last_letter_of_a_known_word_is_no_digit(eyes: CropReaders, number: str, cut: int) -> None:
    read = [_read(eyes, hand, "sill", number, cut) for hand in HANDS]
    assert sum(r.numbers[0].text == number for r in read) >= 0.7 * len(read), "before, two of forty"
    assert _unmarked(read, number) <= 0.1 * len(read)


def test_a_first_digit_is_not_left_to_the_word_unmarked(eyes: CropReaders) -> None:
    read = [_read(eyes, hand, "wall", "1190", 1) for hand in HANDS]
    assert _unmarked(read, "1190") <= 0.15 * len(read)


@pytest.mark.parametrize(("word", "number"), [("davanz", "85"), ("taps", "84")])
def test_a_letter_that_looks_like_a_digit_is_never_taken_for_one_unmarked(
    eyes: CropReaders, word: str, number: str
) -> None:
    """Words that no list holds, in whatever language the customer writes."""
    read = [_read(eyes, hand, word, number, -1) for hand in HANDS[:10]]
    assert _unmarked(read, number) <= 1
