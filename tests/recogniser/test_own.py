"""The recogniser on fixed small cases. Its figures on large sets come from `python -m fixtures.training.evaluate`."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from fixtures.hands.strokes import StrokeHand
from intake.model.reading import Alternative
from intake.reading.installed import MEMBERS
from intake.reading.own import (
    HEIGHT,
    WIDEST,
    CropReading,
    OwnReader,
    heard,
    merged,
    normalised,
    together,
)

Grey = NDArray[np.uint8]


def crop_of(
    text: str, writer: int, height: float = 32.0, paper: int = 235, ink: int = 60, margin: int = 6
) -> Grey:
    """A clean crop in the hand of a stroke writer of the validation split."""
    written = StrokeHand("test", 10_000 + writer).write(text, np.random.default_rng(writer), height).ink
    written = np.pad(written, margin)
    return np.asarray(np.round(paper - (paper - ink) * written), np.uint8)


@pytest.fixture(scope="module")
def reader() -> OwnReader:
    return OwnReader()


def best(reading: CropReading) -> str:
    return reading.alternatives[0].text if reading.alternatives else ""


def test_clean_numbers_are_read(reader: OwnReader) -> None:
    texts = ["236.5", "1450", "82", "310.5", "97", "2405", "64.5", "189"]
    readings = reader.read_crops([crop_of(text, 20 + k) for k, text in enumerate(texts)])
    right = sum(best(r) == text for r, text in zip(readings, texts, strict=True))
    assert right >= 7
    assert np.median([r.not_a_number for r in readings]) < 0.2


def test_light_pen_and_size_do_not_change_the_reading(reader: OwnReader) -> None:
    crops = [
        crop_of("386.5", 21),
        crop_of("386.5", 21, paper=120, ink=70),
        crop_of("386.5", 21, paper=250, ink=210),
        crop_of("386.5", 21, height=90.0, margin=16),
    ]
    assert [best(r) for r in reader.read_crops(crops)] == ["386.5"] * 4


def test_a_red_pen_on_white_is_ink(reader: OwnReader) -> None:
    grey = crop_of("274", 23)
    red = np.stack([np.full_like(grey, 235), grey, grey], axis=2)
    assert best(reader.read_crops([red])[0]) == "274"


def test_an_upside_down_number_is_known_as_such(reader: OwnReader) -> None:
    crops = [
        np.ascontiguousarray(np.rot90(crop_of(text, k), 2)) for k, text in enumerate(["2345", "473.5", "524"])
    ]
    readings = reader.read_crops(crops)
    assert sum(r.turns[2] > 0.5 for r in readings) >= 2
    assert np.mean([r.not_a_number for r in readings]) > 0.5


@pytest.mark.parametrize("text", ["door", "boiler", "window", "fridge"])
def test_words_are_no_numbers(reader: OwnReader, text: str) -> None:
    readings = reader.read_crops([crop_of(text, writer) for writer in range(3)])
    assert sum(r.not_a_number > 0.5 for r in readings) >= 2


def test_paper_and_bare_lines_are_no_numbers(reader: OwnReader) -> None:
    blank = np.full((50, 120), 230, np.uint8)
    wall = blank.copy()
    wall[22:27] = 40
    black = np.zeros((50, 120), np.uint8)
    for reading in reader.read_crops([blank, wall, black]):
        assert reading.not_a_number > 0.5


def test_probabilities_add_up_to_at_most_one(reader: OwnReader) -> None:
    for text in ("386.5", "door", "11"):
        reading = reader.read_crops([crop_of(text, 3)])[0]
        total = sum(a.confidence for a in reading.alternatives)
        assert total <= 1 - reading.not_a_number + 1e-5
        assert sum(reading.turns) == pytest.approx(1.0, abs=1e-5)
        assert [a.confidence for a in reading.alternatives] == sorted(
            a.confidence for a in reading.alternatives
        )[::-1]


def test_a_crop_reads_the_same_alone_and_among_others(reader: OwnReader) -> None:
    crops = [crop_of("236.5", 21), crop_of("9", 22), crop_of("1450.5", 23)]
    together = [best(r) for r in reader.read_crops(crops)]
    assert together == [best(reader.read_crops([crop])[0]) for crop in crops]


@pytest.mark.parametrize("shape", [(0, 0), (1, 1), (1, 400), (400, 1), (3, 3000)])
def test_any_shape_is_answered(reader: OwnReader, shape: tuple[int, int]) -> None:
    answers = reader.read_crops([np.full(shape, 200, np.uint8)])
    assert len(answers) == 1
    assert answers[0].not_a_number > 0.3


def test_the_reader_protocol_gives_the_alternatives(reader: OwnReader) -> None:
    assert reader.read([]) == []
    (answer,) = reader.read([crop_of("236.5", 21)])
    assert isinstance(answer[0], Alternative)


def test_the_weights_are_small_enough_to_ship() -> None:
    assert sum(path.stat().st_size for path in MEMBERS) < 10_000_000


def test_ink_is_one_and_paper_nought_whatever_the_light() -> None:
    ramp = np.linspace(0.4, 1.0, 150)[None, :]
    crop = crop_of("386.5", 21)[:, :150]
    dim = np.asarray(crop * ramp[:, : crop.shape[1]], np.uint8)
    even, uneven = normalised(crop), normalised(dim)
    assert even.shape == uneven.shape and even.shape[0] == HEIGHT
    assert np.abs(even - uneven).mean() < 0.05
    assert even.max() == 1.0 and np.median(even) < 0.05


def test_a_wide_crop_is_squeezed_to_the_widest() -> None:
    assert normalised(np.full((10, 3000), 200, np.uint8)).shape == (HEIGHT, WIDEST)


def test_spellings_that_say_the_same_are_added_up() -> None:
    added_up = merged([("7,5", 0.5), ("7.5", 0.3), ("145~", 0.1), ("145", 0.05), ("~", 0.03)])
    assert [text for text, _ in added_up] == ["7,5", "145"]
    assert [p for _, p in added_up] == pytest.approx([0.8, 0.15])


def test_what_only_one_of_the_networks_sees_is_believed_by_half() -> None:
    sure = CropReading((Alternative("148", 0.9),), 0.1, 0.0, 0.0, (1.0, 0.0, 0.0, 0.0), "148")
    other = CropReading((Alternative("198", 0.8), Alternative("148", 0.2)), 0.0, 0.4)
    both = together([sure, other], [0.5, 0.5])
    assert [(a.text, round(a.confidence, 3)) for a in both.alternatives] == [("148", 0.55), ("198", 0.4)]
    assert (both.not_a_number, both.cut) == (pytest.approx(0.05), pytest.approx(0.2))
    assert both.turns[0] == pytest.approx(0.625)


def test_a_network_with_twice_the_voice_is_believed_twice_as_much() -> None:
    sure, other = CropReading((Alternative("148", 0.9),), 0.1), CropReading((Alternative("198", 0.9),), 0.1)
    both = heard([replace(sure, voice=2.0), other])
    assert [(a.text, round(a.confidence, 3)) for a in both.alternatives] == [("148", 0.6), ("198", 0.3)]
    assert both.not_a_number == pytest.approx(0.1)
    taught = heard([replace(sure, voice=2.0), other], [replace(other, voice=2.0), sure])
    assert [(a.text, round(a.confidence, 3)) for a in taught.alternatives] == [("198", 0.6), ("148", 0.3)]
    assert taught.alone == pytest.approx(0.6)


def test_single_digits_are_named_a_bare_one_too(reader: OwnReader) -> None:
    """Crops of whole sketches hold hardly any, so training on them forgets a bare 1 first."""
    texts = [str(digit) for digit in range(10)] * 4
    readings = reader.read_crops([crop_of(text, 60 + k) for k, text in enumerate(texts)])
    right = [best(r) == text for r, text in zip(readings, texts, strict=True)]
    assert sum(right) >= 36
    assert sum(r for r, text in zip(right, texts, strict=True) if text == "1") >= 3
