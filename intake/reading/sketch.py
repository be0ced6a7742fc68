"""Reads one photographed sketch: numbers with their trail, the outline, and what is wrong with the
picture."""

from __future__ import annotations

import re
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from intake.model.finding import Finding
from intake.model.reading import Box, OutlineWall, ReadNumber, Role, SketchOutline, SketchReading
from intake.reading.ink import Page, page_of
from intake.reading.orientation import page_turn, upright
from intake.reading.outline import Drawing, find_drawing, find_outline
from intake.reading.own import WEIGHTS, OwnReader
from intake.reading.paper import InkSheet, ink_sheet, sheet
from intake.reading.ppocr import PaddleFinder, PaddleReader, weights_folder
from intake.reading.proposals import loose_ink
from intake.reading.readers import CropReader, Readers, TextFinder, WordReader
from intake.reading.tesseract import TesseractReader, tesseract_missing
from intake.reading.texts import Eyes, ReadText, read_all_ways, taken_apart, uncut
from intake.reading.walls import numbered, standings
from intake.rules.notation import infer_unit, parse_length
from intake.rules.roles import role_of_words

_SMALLEST_SIDE = 700
_LENGTH = re.compile(r"^\d{1,5}(?:[.,]\d{1,3})?\s*(?:mm|cm|m)?$|^\d{1,2}(?:'|ft)")


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
    unit = infer_unit(t.numbers[0].text for t in texts if _is_number(t))
    numbers = tuple(_number(t, page, unit, texts, walls) for t in texts if _is_number(t))
    words = tuple((t.word.text, page.box_in_picture(t.box)) for t in texts if _is_word(t))
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


def _is_number(text: ReadText) -> bool:
    if not text.numbers or not _LENGTH.match(text.numbers[0].text):
        return False
    whole = text.plain_number or (not text.parts and text.own.not_a_number < 0.3)
    enough = 0.6 if len(text.numbers[0].text) == 1 else 0.12
    return whole and text.strength > enough


def _is_word(text: ReadText) -> bool:
    return (
        not _is_number(text)
        and len(re.sub(r"[^A-Za-z]", "", text.word.text)) > 1
        and text.word.confidence > 0.5
    )


def _number(
    text: ReadText, page: Page, unit: str, texts: list[ReadText], walls: tuple[OutlineWall, ...]
) -> ReadNumber:
    best = text.numbers[0]
    role = role_of_words(text.label) if text.label else None
    if role is None and (near := _nearest_word(text, texts)):
        role = role_of_words(near)
    box: Box = page.box_in_picture(text.box)
    by = standings(box, walls)
    wall = by[0].wall if by and role is not Role.CEILING else None
    return ReadNumber(
        best.text, parse_length(best.text, unit), box, text.strength, text.strength > 0.995,
        text.numbers[1:4], role or Role.SECTION, wall, reader="pp-ocrv6",
    )  # fmt: skip


def _nearest_word(text: ReadText, texts: list[ReadText]) -> str:
    """The words written on or just above or below the number's line, nearest first; empty where none are
    near."""
    near = [(float(np.linalg.norm(w.centre - text.centre)), w.word.text) for w in texts if _is_word(w)]
    return min(near)[1] if near and min(near)[0] < 2.5 * text.height else ""
