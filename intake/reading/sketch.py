"""Reads one photographed sketch: numbers with their trail, the outline, and what is wrong with the
picture."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from intake.model.finding import Finding
from intake.model.reading import Box, OutlineWall, SketchOutline, SketchReading
from intake.reading.ink import Page, page_of
from intake.reading.joining import extended, joined
from intake.reading.numbers import is_number, is_word, of_the_plan, placed, read_numbers
from intake.reading.openings import openings
from intake.reading.orientation import page_turn, upright
from intake.reading.outline import Drawing, find_drawing, find_outline, has_second_room
from intake.reading.own import WEIGHTS, OwnReader
from intake.reading.paper import InkSheet, ink_sheet, sheet
from intake.reading.ppocr import PaddleFinder, PaddleReader, weights_folder
from intake.reading.proposals import loose_ink
from intake.reading.quality import SCREEN, TOO_SMALL, TWO_SKETCHES, is_screen, no_plan, obstacle, tiny_writing
from intake.reading.readers import CropReader, Readers, TextFinder, WordReader
from intake.reading.tesseract import TesseractReader, tesseract_missing
from intake.reading.texts import Eyes, ReadText, height, read_all_ways, taken_apart, uncut
from intake.reading.walls import numbered


@lru_cache(maxsize=1)
def default_readers() -> Readers:
    """Every reader that this machine has; their weights are opened when first used. Says which are missing.

    Tesseract, trained on print, votes only where one of the two better readers is missing: on handwriting it
    costs more time than it is right.
    """
    missing = []
    crops: list[CropReader] = []
    finder: TextFinder | None = None
    words: WordReader | None = None
    if (folder := weights_folder()) is None:
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
    elif len(crops) < 2:
        crops.append(TesseractReader())
    return Readers(tuple(crops), finder, words, tuple(missing))


def read_sketch(rgb: NDArray[np.uint8], readers: Readers | None = None) -> SketchReading:
    """Everything on the sketch in `rgb` (uint8, height x width x 3, after its EXIF orientation). Never raises
    for what the picture shows: that is a finding."""
    readers = readers or default_readers()
    missing = [Finding("reader-missing", why) for why in readers.missing]
    if (why := obstacle(rgb)) is not None:
        return _nothing(rgb, [*missing, why])
    page = page_of(rgb)
    boxes = [] if readers.finder is None else [found.box for found in readers.finder.find(page.flat)]
    if tiny_writing([height(box) for box in boxes], page.to_page[0, 0]):
        return _nothing(rgb, [*missing, TOO_SMALL])
    ink = ink_sheet(page.flat, sheet(rgb, page.flat.shape, boxes), boxes)
    drawing = find_drawing(ink.ink, [ink.box_onto(box) for box in boxes])
    walls = _walls(page, ink, drawing, boxes)
    texts = _texts(page, ink, drawing, boxes, readers)
    gaps = _openings(page, ink, drawing, walls)
    places = [placed(t, page.box_in_picture(t.box), walls, texts, gaps) for t in texts if is_number(t)]
    unit, numbers = read_numbers(of_the_plan(places, walls), walls)
    words = tuple((t.word.text, page.box_in_picture(t.box)) for t in texts if is_word(t))
    if (why := no_plan(walls, numbers, [word for word, _ in words])) is not None:
        return replace(_nothing(rgb, [*missing, why]), words=words)
    doubts = [TWO_SKETCHES] if has_second_room(drawing, [ink.box_onto(box) for box in boxes]) else []
    doubts += [SCREEN] if is_screen(rgb) else []
    if doubts:
        numbers = tuple(replace(number, accepted=False) for number in numbers)
    outline = SketchOutline(walls, bool(walls))
    return SketchReading(rgb.shape[1], rgb.shape[0], unit, numbers, outline, (*missing, *doubts), words)


def _nothing(rgb: NDArray[np.uint8], findings: list[Finding]) -> SketchReading:
    return SketchReading(rgb.shape[1], rgb.shape[0], "cm", (), SketchOutline((), False), tuple(findings))


def _texts(page: Page, ink: InkSheet, drawing: Drawing, boxes: list[Box], readers: Readers) -> list[ReadText]:
    """Every text on the sheet, the right way up, lines of several parts taken apart."""
    if not isinstance(readers.words, PaddleReader):
        return []
    eyes = Eyes(readers.words, readers.crops)
    loose = loose_ink(ink.ink, drawing.segments, [ink.box_onto(box) for box in boxes])
    ways = read_all_ways(page.flat, [*boxes, *map(ink.box_off, loose)], eyes)
    apart = taken_apart(page.flat, upright(ways, page_turn(ways)), eyes)
    whole = joined(page.flat, extended(page.flat, uncut(page.flat, apart, eyes), eyes), eyes)
    return [text for text in whole if ink.holds(text.centre)]


def _walls(page: Page, ink: InkSheet, drawing: Drawing, boxes: list[Box]) -> tuple[OutlineWall, ...]:
    corners = find_outline(drawing, [ink.box_onto(box) for box in boxes])
    if corners is None:
        return ()
    return numbered(np.asarray(page.in_picture(tuple((float(x), float(y)) for x, y in ink.off(corners)))))


def _openings(
    page: Page, ink: InkSheet, drawing: Drawing, walls: tuple[OutlineWall, ...]
) -> dict[int, list[tuple[float, float]]]:
    """The openings of each wall, as spans along it."""
    if not walls:
        return {}
    starts = ink.onto(page.on_page(tuple(wall.start for wall in walls)))
    diagonal = float(np.hypot(*(starts.max(axis=0) - starts.min(axis=0))))
    ends = np.roll(starts, -1, axis=0)
    return {
        w.wall: openings(a, b, drawing.segments, diagonal)
        for w, a, b in zip(walls, starts, ends, strict=True)
    }
