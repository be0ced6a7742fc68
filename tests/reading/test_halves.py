"""A half written as a fraction is read as one, in drawn hands (forms from memory of people's plans)."""

from __future__ import annotations

import numpy as np
import pytest

from fixtures.benchmark.scoring import match, same_text
from fixtures.benchmark.whole import drawn
from intake.reading.ctc import Sign
from intake.reading.line_parts import pieces
from intake.reading.readers import Grey
from intake.reading.sketch import read_sketch


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
