"""A half written as a fraction is read as one, in drawn hands (forms from memory of people's plans)."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from fixtures.benchmark.scoring import match, same_text
from fixtures.benchmark.whole import drawn
from fixtures.hands.hand import tight
from fixtures.hands.strokes import StrokeHand
from intake.reading.ctc import Sign
from intake.reading.line_parts import pieces
from intake.reading.own import OwnReader
from intake.reading.ppocr import RECOGNISER, PaddleReader, weights_folder
from intake.reading.readers import Grey
from intake.reading.sketch import read_sketch
from intake.reading.texts import CropReaders, ReadText
from intake.reading.tidy import Cutting, tidy


@pytest.mark.parametrize("seed", [93005, 93006], ids=["level", "aslant"])
def test_a_plan_with_halves_is_read_with_them(seed: int) -> None:
    sketch = drawn("plain-halves", "validation", seed)
    reading = read_sketch(sketch.image)
    true = sketch.truth["numbers"]
    pairs = match(reading.numbers, true)
    halves = {i: t for i, t in pairs.items() if true[t]["text"].endswith(".5")}
    right = [same_text(reading.numbers[i].text, true[t]["text"]) for i, t in halves.items()]
    assert len(right) >= 5 and sum(right) >= 0.8 * len(right)
    assert not any(reading.numbers[i].text.endswith(".5") for i, t in pairs.items() if i not in halves), (
        "no whole number has one"
    )


@pytest.mark.parametrize("digits", ["43", "109", "252", "8"])
def test_a_small_raised_5_is_half_a_centimetre(digits: str) -> None:
    """As DIN 1356-1 has it on building drawings (from memory)."""
    (text,) = _eyes().look([_raised(digits, size=0.55, up=0.5)])
    assert _point(text) == f"{digits}.5"


@pytest.mark.parametrize(("size", "up"), [(1.0, 0.0), (0.85, 0.15), (0.6, 0.0), (1.0, 0.5)])
def test_a_5_that_is_not_both_small_and_raised_is_a_digit(size: float, up: float) -> None:
    (text,) = _eyes().look([_raised("43", size, up)])
    assert _point(text) == "435"


@pytest.mark.parametrize("sign", [*"01234", *"6789"])
def test_another_small_raised_sign_is_surely_no_half(sign: str) -> None:
    (text,) = _eyes().look([_raised("43", 0.55, 0.5, sign)])
    assert not (_point(text).endswith(".5") and text.strength > 0.5), "square, or millimetres"


def _point(text: ReadText) -> str:
    return text.numbers[0].text.replace(",", ".")


def _raised(digits: str, size: float, up: float, sign: str = "5") -> Cutting:
    """Digits and one sign more, of a size and hanging over their line by a share of their height."""
    hand, high = StrokeHand("test", 10_021), 40
    row, last = (
        tight(hand.write(text, np.random.default_rng(3), share * high).ink)[0]
        for text, share in ((digits, 1.0), (sign, size))
    )
    page = np.zeros((80, row.shape[1] + last.shape[1] + 30), np.float32)
    page[70 - row.shape[0] : 70, 10 : 10 + row.shape[1]] = row
    foot, left = 70 - round(up * row.shape[0]), 18 + row.shape[1]
    page[foot - last.shape[0] : foot, left : left + last.shape[1]] = last
    right, bottom = page.shape[1] - 2, page.shape[0] - 2
    box = ((2.0, 2.0), (right, 2.0), (right, bottom), (2.0, bottom))
    return tidy(np.asarray(np.round(255 - 200 * page), np.uint8), box)


@cache
def _eyes() -> CropReaders:
    folder = weights_folder()
    assert folder is not None
    paddle, own = PaddleReader(folder / RECOGNISER), OwnReader()
    return CropReaders((paddle, own), paddle, own)


def _spelt(text: str) -> tuple[list[Sign], Grey]:
    """Signs in a row with a little paper between them, one every three frames."""
    crop = np.full((48, 8 * 3 * (len(text) + 1)), 255, np.uint8)
    for k in range(len(text)):
        crop[8:40, 24 * k + 2 : 24 * k + 20] = 0
    return [Sign(sign, 3 * k + 1, 0.9) for k, sign in enumerate(text)], crop


@pytest.mark.parametrize("text", ["86½cm", "122½2cm", "9½", "144/2cm", "1221/2cm"])
def test_a_number_with_a_half_and_a_unit_is_one_part_of_its_line(text: str) -> None:
    (part,) = pieces(*_spelt(text))
    assert part.number and part.text == text
