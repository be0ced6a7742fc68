"""A number that was found on its head: the writing round it stands the other way, and both ways are read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

import numpy as np
import pytest

from intake.model.reading import Alternative, Box
from intake.reading.crops import turned
from intake.reading.texts import CropReaders, ReadText
from intake.reading.tidy import Cutting
from intake.reading.ways_up import turned_upright

PAGE = np.full((700, 200), 255, np.uint8)
NEIGHBOURS = ("254", "159", "53", "203")


def _text(text: str, row: int, over: bool = False, strength: float = 0.95) -> ReadText:
    x, y = 20.0, 100.0 * row + 20
    box: Box = ((x, y), (x + 90, y), (x + 90, y + 40), (x, y + 40))
    box = turned(box, 2) if over else box
    said = (Alternative(text, 1.0),)
    return ReadText(Cutting(box, np.full((64, 200), 255, np.uint8), box), said[0], said, strength)


class _Eyes:
    """A reader to whom every cutting says the same."""

    def __init__(self, text: str, strength: float) -> None:
        self._said, self._strength = (Alternative(text, 1.0),), strength
        self.asked = 0

    def look(self, cuttings: Sequence[Cutting]) -> list[ReadText]:
        self.asked += len(cuttings)
        return [ReadText(cut, self._said[0], self._said, self._strength) for cut in cuttings]


def _read(texts: list[ReadText], eyes: _Eyes) -> list[ReadText]:
    return turned_upright(PAGE, texts, cast(CropReaders, eyes))


@pytest.mark.parametrize(("strength", "kept"), [(0.97, "59"), (0.5, "65")])
def test_a_number_on_its_head_among_others_is_read_both_ways_and_the_surer_one_stays(
    strength: float, kept: str
) -> None:
    """59 is 65 to whoever turns the sheet."""
    others = [_text(text, row) for row, text in enumerate(NEIGHBOURS)]
    eyes = _Eyes("59", strength)
    *rest, read = _read([*others, _text("65", 4, over=True)], eyes)
    assert rest == others and eyes.asked == 1
    assert read.numbers[0].text == kept and read.rival > 0.4, "never accepted by itself"
    upright = read.box[1][0] > read.box[0][0]
    assert upright == (kept == "59")


def test_what_stands_as_most_others_do_or_has_few_beside_it_is_read_one_way() -> None:
    eyes = _Eyes("59", 0.97)
    texts = [_text(text, row) for row, text in enumerate((*NEIGHBOURS, "65"))]
    assert _read(texts, eyes) == texts
    few = [*texts[:3], _text("65", 4, over=True)]
    assert _read(few, eyes) == few
    assert eyes.asked == 0
