"""Any reader may be missing, or break, and the others go on; the plan is drawn here with a plotter's letters."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from intake.model.reading import Alternative, SketchReading
from intake.reading.installed import MEMBERS, STALE, rule
from intake.reading.own import CropReading, OwnReader
from intake.reading.ppocr import PaddleReader, weights_folder
from intake.reading.readers import CropReader, Grey, Readers
from intake.reading.sketch import default_readers, read_sketch
from intake.wording import desk
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


class Careless(OwnReader):
    """The project's recogniser, which forgets the last crop it was asked about."""

    def read_crops(self, crops: Sequence[np.ndarray]) -> list[CropReading]:
        return super().read_crops(crops)[:-1]


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
    return [desk.worded(finding.text) for finding in reading.findings if finding.code == "reader-missing"]


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


def test_weights_that_are_damaged_on_the_disk_stop_no_other_reader(tmp_path: Path) -> None:
    bad = tmp_path / "recogniser.onnx"
    bad.write_bytes(b"no network")
    paddle = _paddle()
    without_own = read_sketch(_plan(), _own(OwnReader([bad]), paddle))
    assert len(WHOLE & _texts(without_own)) >= len(WHOLE) - 1 and len(_missing(without_own)) == 1
    without_pp_ocr = read_sketch(_plan(), _own(OwnReader(), PaddleReader(bad)))
    assert _texts(without_pp_ocr) >= WHOLE and len(_missing(without_pp_ocr)) == 1


def test_a_reader_that_leaves_an_answer_out_is_not_believed() -> None:
    paddle = _paddle()
    reading = read_sketch(_plan(), _own(Careless(), paddle))
    assert len(WHOLE & _texts(reading)) >= len(WHOLE) - 1
    assert ["own" in text and "ValueError" in text for text in _missing(reading)] == [True]


def test_one_network_of_the_recogniser_reads_without_the_other_and_nothing_is_accepted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("sketch", "installed"):
        monkeypatch.setattr(f"intake.reading.{name}.MEMBERS", (MEMBERS[0], tmp_path / "missing.onnx"))
    default_readers.cache_clear()
    rule.cache_clear()
    try:
        reading = read_sketch(_plan(), default_readers())
    finally:
        default_readers.cache_clear()
        rule.cache_clear()
    assert _texts(reading) >= WHOLE
    assert not any(number.accepted for number in reading.numbers)
    assert any("One network" in text for text in _missing(reading)) and STALE in _missing(reading)
