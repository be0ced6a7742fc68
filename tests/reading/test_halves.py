"""A half written as a fraction is read as one, in drawn hands (forms from memory of people's plans)."""

from __future__ import annotations

import numpy as np
import pytest

from fixtures.benchmark.scoring import match, same_text
from fixtures.benchmark.whole import drawn
from fixtures.hands.fractions import write_half
from fixtures.hands.hand import Written, tight
from fixtures.hands.strokes import StrokeHand
from intake.model.reading import Alternative
from intake.reading.ctc import Sign
from intake.reading.halves import half_of, with_halves
from intake.reading.line_parts import pieces
from intake.reading.own import CropReading
from intake.reading.readers import Grey
from intake.reading.sketch import read_sketch
from intake.reading.texts import CropReaders, ReadText
from intake.reading.tidy import Cutting

HANDS = [StrokeHand(f"hand {seed}", seed) for seed in range(20)]
PLACE = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (0.0, 20.0))
BLANK = np.full((64, 200), 255, np.uint8)
NUMBERS = ("86", "140", "27", "251", "9", "333")


def _crop(written: Written) -> Grey:
    ink = np.pad(written.ink, 6)
    return np.asarray(255 * (1 - ink), np.uint8)


@pytest.mark.parametrize("level", [False, True])
def test_most_halves_are_told_from_their_ink_and_begin_behind_the_digits(level: bool) -> None:
    rng, found, rightly = np.random.default_rng(5), 0, 0
    for hand in HANDS:
        for number in NUMBERS:
            written = write_half(hand, number, rng, 48, level)
            half = half_of(_crop(written))
            if half is not None and half.plain:
                start = written.boxes[-1][0] + 6
                found += 1
                rightly += abs(half.begins * (written.ink.shape[1] + 12) - start) < 12
    assert found > 0.6 * len(HANDS) * len(NUMBERS)
    assert rightly > 0.9 * found


@pytest.mark.parametrize("level", [False, True])
def test_a_half_with_its_unit_behind_it_is_told_from_its_ink(level: bool) -> None:
    rng, found, rightly = np.random.default_rng(7), 0, 0
    for hand in HANDS:
        for number in NUMBERS:
            written, unit = write_half(hand, number, rng, 48, level), tight(hand.write("cm", rng, 48).ink)[0]
            rows = max(written.ink.shape[0], unit.shape[0])
            parts = [np.pad(ink, ((rows - ink.shape[0], 0), (0, 5))) for ink in (written.ink, unit)]
            crop = np.asarray(255 * (1 - np.pad(np.hstack(parts), 6)), np.uint8)
            half = half_of(crop, len("cm"))
            if half is not None and half.plain:
                found += 1
                rightly += abs(half.begins * crop.shape[1] - written.boxes[-1][0] - 6) < 12
    assert found > 0.5 * len(HANDS) * len(NUMBERS)
    assert rightly > 0.9 * found


def test_digits_hardly_ever_end_like_a_half() -> None:
    rng, alike, count = np.random.default_rng(6), 0, 0
    for hand in HANDS:
        for number in (*NUMBERS, "112", "61.5", "237", "41", "4112"):
            half = half_of(_crop(hand.write(number, rng, 48)))
            alike += half is not None and half.plain
            count += 1
    assert alike <= 0.02 * count


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


@pytest.mark.parametrize(
    ("own", "witness", "says"),
    [
        ("52", "521", "52.5"),
        ("173cm", "1732cm", "173.5cm"),
        ("52", "528", "52"),
        ("52.5", "521", "52.5"),
        ("52", "41", "52"),
    ],
)
def test_what_one_reader_passes_over_and_the_other_takes_for_a_digit_may_be_a_half(
    own: str, witness: str, says: str
) -> None:
    """On a sheet with two such; it stays in doubt, for sums tell no half a centimetre."""
    one, other = (Alternative(text, 0.9) for text in (own, witness))
    text = ReadText(
        Cutting(PLACE, BLANK, PLACE),
        one,
        (one,),
        0.9,
        (),
        "",
        (("own", (one,)),),
        CropReading((one,), 0.001, 0.0),
        witness=(other,),
    )
    both = with_halves(BLANK, [text, text], CropReaders(()), "cm")
    assert [each.numbers[0].text for each in both] == [says, says]
    assert all((each.rival > text.rival) == (says != own) for each in both)
    for texts, unit in (([text], "cm"), ([text, text], "mm")):
        assert with_halves(BLANK, texts, CropReaders(()), unit)[0].numbers == text.numbers
