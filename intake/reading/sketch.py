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
from intake.reading.outline import find_drawing, find_outline
from intake.reading.paper import ink_sheet, sheet
from intake.reading.ppocr import PaddleFinder, PaddleReader, weights_folder
from intake.reading.readers import Readers
from intake.reading.tesseract import TesseractReader, tesseract_missing
from intake.reading.texts import ReadText, read_all_ways, taken_apart
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
    crops: list[PaddleReader | TesseractReader] = []
    finder = words = None
    folder = weights_folder()
    if folder is None:
        missing.append("PP-OCR is not installed (package rapidocr), so few handwritten numbers can be read.")
    else:
        finder = PaddleFinder(folder / "PP-OCRv6_det_small.onnx")
        words = PaddleReader(folder / "PP-OCRv6_rec_small.onnx")
        crops.append(words)
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
    texts = [text for text in _texts(page, boxes, readers) if _on(paper, text)]
    walls = _walls(page, paper, boxes)
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
    ways = read_all_ways(page.flat, boxes, readers.words)
    return taken_apart(page.flat, upright(ways, page_turn(ways)), readers.words)


def _on(paper: NDArray[np.bool_], text: ReadText) -> bool:
    x, y = text.centre.astype(int)
    return bool(paper[min(max(y, 0), paper.shape[0] - 1), min(max(x, 0), paper.shape[1] - 1)])


def _walls(page: Page, paper: NDArray[np.bool_], boxes: list[Box]) -> tuple[OutlineWall, ...]:
    ink = ink_sheet(page.flat, paper, boxes)
    texts = [ink.box_onto(box) for box in boxes]
    corners = find_outline(find_drawing(ink.ink, texts), texts)
    if corners is None:
        return ()
    return numbered(np.asarray(page.in_picture(tuple((float(x), float(y)) for x, y in ink.off(corners)))))


def _is_number(text: ReadText) -> bool:
    return text.plain_number and text.strength > 0.02 and _LENGTH.match(text.numbers[0].text) is not None


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
