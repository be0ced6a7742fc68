"""What counts as a number, and what it is taken for where its ink is not clear. The lengths are common practice, no
source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from intake.model.reading import Alternative, Box, Role
from intake.reading.line_parts import NumberPiece
from intake.reading.numbers import Placed, decided, is_number
from intake.reading.own import CropReading
from intake.reading.sorter import SeenMeaning
from intake.reading.texts import ReadText
from intake.reading.tidy import Cutting

BOX: Box = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (0.0, 20.0))


TOLD = SeenMeaning(dict.fromkeys(Role, 0.1), 0.0, ((0.0, 0.0), (1.0, 0.0)))


def _text(*said: tuple[str, float], struck: float = 0.0) -> ReadText:
    texts = tuple(Alternative(text, p) for text, p in said)
    own = CropReading(texts, 1 - 0.98 * (1 - struck), 0.0, struck)
    return ReadText(Cutting(BOX, np.zeros((64, 200), np.uint8), BOX), texts[0], texts, 1.0, own=own)


def _place(*said: tuple[str, float]) -> Placed:
    return Placed(_text(*said), BOX, TOLD, (), None, {**dict.fromkeys(Role, 0.01), Role.SECTION: 0.92})


def test_a_crossed_out_number_counts_no_more() -> None:
    assert is_number(_text(("306.5", 0.9)))
    assert not is_number(_text(("306.5", 0.9), struck=0.9))
    one = (NumberPiece("306.5", True, (0.0, 1.0)),)
    assert is_number(replace(_text(("306.5", 0.9), struck=0.4), parts=one))
    likelier = replace(_text(("306.5", 0.9), struck=0.5), parts=one)
    assert not is_number(likelier), "with .5 crossed out, with .49 a number"


def test_unclear_ink_is_not_taken_for_a_length_that_no_room_has_and_clear_ink_is() -> None:
    """26.75 m among centimetres: a point that is hard to see, or a slip for the customer to settle."""
    others = [_place(("120.5", 0.95)), _place(("84.5", 0.95)), _place(("210", 0.95))]
    unclear, clear = _place(("2675", 0.6), ("267.5", 0.35)), _place(("2675", 0.905), ("267.5", 0.093))
    unit, found = decided([*others, unclear, clear], ())
    assert unit == "cm"
    assert [each.decision.text for each in found[3:]] == ["267.5", "2675"]
    assert "2675" in {a.text for a in found[3].seen.texts}
