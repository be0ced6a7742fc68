"""What is never accepted however sure the readers are. The lengths are common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from intake.domain.sketch.inference import Inferred
from intake.domain.sketch.meaning import Meaning
from intake.model.reading import Alternative, Role
from intake.reading.acceptance import accepted, certainty
from intake.reading.own import CropReading
from intake.reading.texts import ReadText
from intake.reading.tidy import Cutting

BOX = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (0.0, 20.0))


def _sure(text: str, cut: float = 0.0) -> tuple[ReadText, Inferred]:
    """A text that every reader is sure of."""
    one = (Alternative(text, 0.999),)
    own = CropReading(one, 0.001, cut)
    cutting = Cutting(BOX, np.zeros((64, 200), np.uint8), BOX)
    read = ReadText(cutting, one[0], one, 0.999, (), "", (("pp-ocrv6", one), ("own", one)), own)
    return read, Inferred(
        Meaning(0, 1000.0, Role.SECTION, 0, (0.0, 1.0), None, 0.0), text, 0.999, 0.999, 1.0, ()
    )


@pytest.mark.parametrize(
    ("text", "unit"),
    [("236.5", "cm"), ("90", "cm"), ("1450", "mm"), ("2.365", "m"), ("5'3\"", "ft"), ("6ft 8", "ft")],
)
def test_a_sure_reading_of_a_usual_length_is_accepted(text: str, unit: str) -> None:
    read, decision = _sure(text)
    assert accepted(read, decision, unit, 20.0)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("2.51", "cm"),
        ("145", "m"),
        ("14.5", "mm"),
        ("5", "cm"),
        ("99999", "cm"),
        ("1165", "cm"),
        ("0.5", "cm"),
        ("10", "ft"),
        ("10'", "cm"),
    ],
    ids=[
        "point that is none",
        "point lost",
        "part of a millimetre",
        "one digit",
        "a kilometre",
        "a room of twelve metres, or a lost point",
        "5 mm",
        "the rest of feet and inches",
        "feet among centimetres",
    ],
)
def test_a_length_that_no_tape_gives_or_nobody_writes_is_never_accepted(text: str, unit: str) -> None:
    read, decision = _sure(text)
    assert not accepted(read, decision, unit, 20.0)


def test_a_number_cut_off_or_far_from_the_writings_size_is_not_accepted() -> None:
    assert not accepted(*_sure("236.5", cut=0.4), "cm", 20.0)
    assert certainty(*_sure("236.5"), 70.0) < certainty(*_sure("236.5"), 20.0)


def test_two_digits_with_their_marks_of_feet_are_no_rest_of_a_longer_number() -> None:
    assert certainty(*_sure("5'3\""), 20.0) > certainty(*_sure("53"), 20.0)


def test_a_length_that_may_as_well_have_a_point_is_never_accepted_whatever_the_sums_say() -> None:
    """Millimetres among centimetres look like this: the ink says 3745 or 374.5, and the wall would have the latter."""
    read, decision = _sure("374.5")
    either = replace(read, numbers=(Alternative("374.5", 0.52), Alternative("3745", 0.45)))
    assert accepted(read, decision, "cm", 20.0) and not accepted(either, decision, "cm", 20.0)
