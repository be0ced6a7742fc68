"""Any reader may be missing, or break, and the others go on; the plan is drawn here with a plotter's letters."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from intake.model.reading import Alternative, SketchReading
from intake.reading.own import CropReading, OwnReader
from intake.reading.ppocr import PaddleReader, weights_folder
from intake.reading.readers import CropReader, Grey, Readers
from intake.reading.sketch import read_sketch
from tests.reading.test_sketch import NUMBERS, _plan

WHOLE = {text.removeprefix("H=") for text in NUMBERS}


class BrokenOwn(OwnReader):
    """The project's recogniser with damaged weights."""

    def read_crops(self, crops: Sequence[np.ndarray]) -> list[CropReading]:
        raise RuntimeError("the weights are damaged")


class BrokenPaddle(PaddleReader):
    """PP-OCR whose engine fails after the first answer."""

    asked = 0

    def frames(self, crops: Sequence[Grey]) -> list[np.ndarray]:
        self.asked += 1
        raise MemoryError("no memory left")


class Nobody:
    """A reader that sees nothing."""

    name = "nobody"

    def read(self, crops: Sequence[Grey]) -> list[tuple[Alternative, ...]]:
        return [()] * len(crops)


def _paddle(kind: type[PaddleReader] = PaddleReader) -> PaddleReader:
    folder = weights_folder()
    if folder is None:
        pytest.skip("PP-OCR is not installed")
    return kind(folder / "PP-OCRv6_rec_small.onnx")


def _own(own: OwnReader, paddle: PaddleReader | None = None, after: tuple[CropReader, ...] = ()) -> Readers:
    """The project's own recogniser, with others before and after it."""
    return Readers((*([paddle] if paddle else []), own, *after), paddle, own=own)


def _texts(reading: SketchReading) -> set[str]:
    return {number.text for number in reading.numbers}


def _missing(reading: SketchReading) -> list[str]:
    return [finding.text for finding in reading.findings if finding.code == "reader-missing"]


def test_without_pp_ocr_the_projects_own_reads_the_plan() -> None:
    reading = read_sketch(_plan(), _own(OwnReader()))
    assert _texts(reading) >= WHOLE
    assert reading.outline.closed and not _missing(reading)


def test_without_its_own_recogniser_pp_ocr_reads_the_plan() -> None:
    paddle = _paddle()
    reading = read_sketch(_plan(), Readers((paddle,), paddle))
    assert len(WHOLE & _texts(reading)) >= len(WHOLE) - 1


def test_a_recogniser_that_breaks_is_named_and_pp_ocr_goes_on() -> None:
    paddle = _paddle()
    reading = read_sketch(_plan(), _own(BrokenOwn(), paddle))
    assert len(WHOLE & _texts(reading)) >= len(WHOLE) - 1
    assert ["own" in text and "RuntimeError" in text for text in _missing(reading)] == [True]


def test_a_pp_ocr_that_breaks_is_asked_once_and_the_projects_own_goes_on() -> None:
    paddle = _paddle(BrokenPaddle)
    reading = read_sketch(_plan(), _own(OwnReader(), paddle))
    assert _texts(reading) >= WHOLE
    assert any(PaddleReader.name in text for text in _missing(reading))
    assert isinstance(paddle, BrokenPaddle) and paddle.asked == 1


def test_where_every_reader_breaks_no_number_is_invented_and_the_picture_is_not_blamed() -> None:
    reading = read_sketch(_plan(), _own(BrokenOwn()))
    assert reading.numbers == () and len(_missing(reading)) >= 1
    assert "too-small-to-read" not in {finding.code for finding in reading.findings}


def test_a_reader_that_sees_nothing_takes_nothing_from_the_others() -> None:
    reading = read_sketch(_plan(), _own(OwnReader(), after=(Nobody(),)))
    assert _texts(reading) >= WHOLE
