"""Letters beside numbers. What customers write there is common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from intake.model.reading import Alternative
from intake.reading.kind_letters import lettered, parted
from intake.reading.own import CropReading, merged, reading_of
from intake.reading.texts import ReadText, bears_out, bodies, same_number, with_strangeness
from intake.reading.tidy import Cutting

SYMBOLS = "0123456789.S"


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("S98", ("S", "98")),
        ("S 89.5", ("S", "89.5")),
        ("H=240", ("H", "240")),
        ("C/H240", ("C/H", "240")),
        ("C/H=2400", ("C/H", "2400")),
        ("120W", ("W", "120")),
        ("=236", ("", "236")),
        ("95.5cm", ("", "95.5cm")),
        ("5'3\"", ("", "5'3\"")),
        ("40x70", ("", "40x70")),
        ("236", ("", "236")),
        ("S", ("", "S")),
    ],
)
def test_letters_and_number_are_told_apart(text: str, wanted: tuple[str, str]) -> None:
    assert parted(text) == wanted


def test_a_letter_is_no_digit_and_its_number_is_one_with_the_bare_one() -> None:
    assert merged([("S98", 0.5), ("98", 0.3), ("598", 0.2)]) == [("98", 0.8), ("598", 0.2)]
    assert bodies([Alternative("H236", 0.6), Alternative("236", 0.3)]) == (
        Alternative("236", pytest.approx(0.9)),
    )


def test_a_letter_that_the_free_reading_sees_apart_is_no_digit() -> None:
    """ "L 43" is no 143; "B3.5" may well be 13.5."""
    digits = (Alternative("143", 0.99), Alternative("43", 0.001))
    assert lettered(digits, Alternative("L 43", 0.9))[0].text == "43"
    assert lettered(digits, Alternative("L 43", 0.6)) == digits
    assert lettered(digits, Alternative("B43", 0.99)) == digits
    assert lettered(digits, Alternative("I 43", 0.99)) == digits


def test_the_letters_of_a_crop_are_handed_on_with_their_chances() -> None:
    """Frames that say S or 5, then 9, then 8, with blanks between."""
    frames = np.full((6, 1 + len(SYMBOLS)), 1e-6, np.float32)
    frames[0, 1 + SYMBOLS.index("S")], frames[0, 1 + SYMBOLS.index("5")] = 0.7, 0.3
    frames[[1, 3, 5], 0] = 1.0
    frames[2, 1 + SYMBOLS.index("9")] = frames[4, 1 + SYMBOLS.index("8")] = 1.0
    verdicts = ("NUMBER", "CUT", "STRUCK", "OTHER", "TURNED_1", "TURNED_2", "TURNED_3")
    read = reading_of(frames, np.eye(7, dtype=np.float32)[0], SYMBOLS, verdicts)
    assert [(a.text, round(a.confidence, 2)) for a in read.alternatives] == [("98", 0.7), ("598", 0.3)]
    assert [(a.text, round(a.confidence, 2)) for a in read.letters] == [("S", 0.7)]
    assert read.as_written == "S98"


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("89.5", "89,5", True),
        ("89.5", "589.5", False),
        ("89.5", "895", False),
        ("5'3\"", "53", True),
        ("95cm", "95", True),
        ("236", "286", False),
    ],
)
def test_a_witness_says_the_same_or_otherwise(one: str, other: str, same: bool) -> None:
    assert same_number(one, other) is same


@pytest.mark.parametrize(
    ("witness", "text", "bears"),
    [
        ("915", "91.5", True),
        ("9142", "91,5", True),
        ("912", "91.5", True),
        ("9112", "91.5cm", True),
        ("91", "91.5cm", False),
        ("913", "91.5", False),
        ("91.3", "91.5", False),
        ("9138", "91.5", False),
        ("9.15", "91.5", False),
        ("9155", "915", False),
        ("815", "91.5", False),
        ("91425", "91.5", False),
        ("85", "8.5", False),
    ],
)
def test_a_witness_bears_out_the_whole_part_of_a_half(witness: str, text: str, bears: bool) -> None:
    assert bears_out(witness, text) is bears


def test_a_sheet_is_strange_where_the_witness_says_otherwise_and_the_recogniser_doubts_its_own() -> None:
    box = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (0.0, 20.0))
    cutting = Cutting(box, np.zeros((64, 200), np.uint8), box)

    def sheet(contradicted: int, doubted: int) -> list[ReadText]:
        found = []
        for i in range(10):
            one = (Alternative("236", 0.6 if i < doubted else 0.97),)
            witness = (Alternative("286" if i < contradicted else "236", 0.9),)
            votes = (("own", one),)
            found.append(
                ReadText(cutting, one[0], one, 0.9, votes=votes, own=CropReading(one, 0.1), witness=witness)
            )
        return with_strangeness(found)

    assert sheet(0, 0)[9].strange < 0.05
    assert sheet(6, 0)[9].strange < 0.1, "PP-OCR alone misses many a point in the plainest hand"
    assert sheet(0, 6)[9].strange < 0.1
    assert sheet(4, 4)[9].strange == pytest.approx(4.2 / 10)
    assert sheet(4, 4)[0].strange == pytest.approx(3.2 / 10), (
        "what is said of a number itself is counted apart"
    )
