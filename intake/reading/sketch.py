"""Reads one photographed sketch: numbers with their trail, the outline, and what is wrong with the
picture."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from intake.model.finding import Finding
from intake.model.reading import Box, OutlineWall, SketchOutline, SketchReading
from intake.reading.ink import Page, page_of
from intake.reading.numbers import is_number, is_word, placed, read_numbers
from intake.reading.orientation import page_turn, upright
from intake.reading.outline import Drawing, find_drawing, find_outline
from intake.reading.own import WEIGHTS, OwnReader
from intake.reading.paper import InkSheet, ink_sheet, sheet
from intake.reading.ppocr import PaddleFinder, PaddleReader, weights_folder
from intake.reading.proposals import loose_ink
from intake.reading.readers import CropReader, Readers, TextFinder, WordReader
from intake.reading.tesseract import TesseractReader, tesseract_missing
from intake.reading.texts import Eyes, ReadText, read_all_ways, taken_apart, uncut
from intake.reading.walls import numbered

_SMALLEST_SIDE = 700


@lru_cache(maxsize=1)
def default_readers() -> Readers:
    """Every reader that this machine has; their weights are opened when first used. Says which are
    missing."""
    missing = []
    crops: list[CropReader] = []
    finder: TextFinder | None = None
    words: WordReader | None = None
    folder = weights_folder()
    if folder is None:
        missing.append("PP-OCR is not installed (package rapidocr), so few handwritten numbers can be read.")
    else:
        finder = PaddleFinder(folder / "PP-OCRv6_det_small.onnx")
        words = paddle = PaddleReader(folder / "PP-OCRv6_rec_small.onnx")
        crops.append(paddle)
    if WEIGHTS.exists():
        crops.append(OwnReader())
    else:
        missing.append("The project's own recogniser has no weights here; numbers are read without it.")
    if why := tesseract_missing():
        missing.append(why)
    else:
        crops.append(TesseractReader())
    return Readers(tuple(crops), finder, words, tuple(missing))


def read_sketch(rgb: NDArray[np.uint8], readers: Readers | None = None) -> SketchReading:
    """Everything on the sketch in `rgb` (uint8, height x width x 3, after its EXIF orientation). Never
    raises for what the picture shows: that is a finding."""
    readers = readers or default_readers()
    page = page_of(rgb)
    boxes = [] if readers.finder is None else [found.box for found in readers.finder.find(page.flat)]
    paper = sheet(rgb, page.flat.shape, boxes)
    ink = ink_sheet(page.flat, paper, boxes)
    drawing = find_drawing(ink.ink, [ink.box_onto(box) for box in boxes])
    walls = _walls(page, ink, drawing, boxes)
    loose = loose_ink(ink.ink, drawing.segments, [ink.box_onto(box) for box in boxes])
    texts = [text for text in _texts(page, [*boxes, *map(ink.box_off, loose)], readers) if _on(paper, text)]
    findings = [Finding("reader-missing", why) for why in readers.missing]
    places = [placed(t, page.box_in_picture(t.box), walls, texts) for t in texts if is_number(t)]
    unit, numbers = read_numbers(places, walls)
    words = tuple((t.word.text, page.box_in_picture(t.box)) for t in texts if is_word(t))
    height, width = rgb.shape[:2]
    outline = SketchOutline(walls, bool(walls))
    return SketchReading(width, height, unit, numbers, outline, tuple(findings), words)


def _texts(page: Page, boxes: list[Box], readers: Readers) -> list[ReadText]:
    if not isinstance(readers.words, PaddleReader):
        return []
    own = next((r for r in readers.crops if isinstance(r, OwnReader)), None)
    eyes = Eyes(readers.words, own)
    ways = read_all_ways(page.flat, boxes, eyes)
    apart = taken_apart(page.flat, upright(ways, page_turn(ways)), eyes)
    return uncut(page.flat, apart, eyes)


def _on(paper: NDArray[np.bool_], text: ReadText) -> bool:
    x, y = text.centre.astype(int)
    return bool(paper[min(max(y, 0), paper.shape[0] - 1), min(max(x, 0), paper.shape[1] - 1)])


def _walls(page: Page, ink: InkSheet, drawing: Drawing, boxes: list[Box]) -> tuple[OutlineWall, ...]:
    corners = find_outline(drawing, [ink.box_onto(box) for box in boxes])
    if corners is None:
        return ()
    return numbered(np.asarray(page.in_picture(tuple((float(x), float(y)) for x, y in ink.off(corners)))))
