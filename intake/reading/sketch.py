"""Reads one photographed sketch: numbers with their trail, the outline, and what is wrong with the
picture."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.domain.sketch.written_slips import AS_SHIPPED
from intake.model.finding import Finding
from intake.model.phrase import as_said
from intake.model.reading import Box, Feature, OutlineWall, Role, SketchOutline, SketchReading
from intake.reading.adapted import weighed
from intake.reading.boxes import height
from intake.reading.dimensions import Ends, own_lines
from intake.reading.ink import Page, page_of
from intake.reading.installed import MEMBERS, RULE, STALE, rule
from intake.reading.keyed import with_keys
from intake.reading.numbers import (
    Placed,
    is_number,
    is_word,
    likelihood,
    of_the_plan,
    placed,
    read_numbers,
)
from intake.reading.opening_words import labels, with_words
from intake.reading.openings import Opening, openings
from intake.reading.other_outlines import bare, cut, grown, simpler, solid
from intake.reading.outline import Corners, Drawing, find_drawing, find_outline, has_second_room
from intake.reading.own import OwnReader
from intake.reading.ppocr import RECOGNISER, PaddleReader, weights_folder
from intake.reading.readers import CropReader, Readers
from intake.reading.sorter import SeenMeaning, Sorted, Sorter
from intake.reading.surroundings import with_surroundings
from intake.reading.tesseract import TesseractReader, tesseract_missing
from intake.reading.texts import CropReaders, ReadText, doubted, is_unknown
from intake.reading.unreadable import SCREEN, TINY, TWO_SKETCHES, is_screen, no_plan, obstacle, tiny_writing
from intake.reading.upside_down import with_doubts_of_ways
from intake.reading.walls import Stretch, numbered
from intake.reading.writing import read_writing

NO_ODDS: Mapping[Role, float] = {}


@lru_cache(maxsize=1)
def default_readers() -> Readers:
    """Every reader that this machine has; their weights are opened when first used. Says which are missing.

    Tesseract, trained on print, votes only where one of the two better readers is missing: on handwriting it
    costs more time than it is right.
    """
    missing = []
    crops: list[CropReader] = []
    words: PaddleReader | None = None
    own: OwnReader | None = None
    if (folder := weights_folder()) is None:
        missing.append(
            "PP-OCR is not installed (package rapidocr); words are not read, and fewer numbers are accepted."
        )
    else:
        words = paddle = PaddleReader(folder / RECOGNISER)
        crops.append(paddle)
    if there := [path for path in MEMBERS if path.exists()]:
        own = OwnReader(there)
        crops.append(own)
        if len(there) < len(MEMBERS):
            missing.append(
                "One network of the project's own recogniser has no weights here; it reads with the rest."
            )
    else:
        missing.append("The project's own recogniser has no weights here; numbers are read without it.")
    if RULE.exists() and rule() is None:
        missing.append(STALE)
    if why := tesseract_missing():
        missing.append(why)
    elif len(crops) < 2:
        crops.append(TesseractReader())
    return Readers(tuple(crops), words, tuple(missing), own)


@lru_cache(maxsize=1)
def _sorter() -> Sorter:
    return Sorter()


_FEWEST = 4
"""A room has at least so many walls; of a plan with fewer numbers the negative is looked at as well."""


def read_sketch(rgb: NDArray[np.uint8], readers: Readers | None = None) -> SketchReading:
    """Everything on the sketch in `rgb` (uint8, height x width x 3, after its EXIF orientation). Never raises
    for what the picture shows: that is a finding."""
    readers = readers or default_readers()
    missing = [Finding("reader-missing", as_said(why)) for why in readers.missing]
    if (why := obstacle(rgb)) is not None:
        return _nothing(_size(rgb), [*missing, why])
    reading = _read(rgb, readers)
    if len(reading.numbers) < _FEWEST and not any(
        n.accepted for n in reading.numbers
    ):  # chalk on a board, say
        negative = _read(np.asarray(cv2.bitwise_not(rgb)), readers)
        reading = max(reading, negative, key=lambda each: len(each.numbers))
    return replace(reading, findings=(*missing, *reading.findings))


def _read(rgb: NDArray[np.uint8], readers: Readers) -> SketchReading:
    """What is read of dark ink on light paper."""
    seen = look_at(rgb, readers)
    return _nothing(_size(rgb), [seen]) if isinstance(seen, Finding) else reading_of(seen, readers.slips)


def reading_of(seen: SketchLook, slips: Mapping[str, float] = AS_SHIPPED) -> SketchReading:
    """What a look at a picture comes to once the sums are asked; `slips` are how many times likelier each kind of slip
    is here."""
    unit, numbers = read_numbers(seen.places, seen.walls, slips)
    failed = [Finding("reader-missing", as_said(why)) for why in seen.failed]
    if (why := no_plan(seen.walls, numbers, [w for w, _ in seen.words], seen.written)) is not None:
        return replace(_nothing(seen.size, [*failed, why]), words=seen.words)
    if seen.doubts:
        numbers = tuple(replace(number, accepted=False, eligible=False) for number in numbers)
    outline = SketchOutline(seen.walls, bool(seen.walls), seen.features)
    return SketchReading(*seen.size, unit, numbers, outline, (*failed, *seen.doubts), seen.words)


@dataclass(frozen=True)
class SketchLook:
    """What is seen on one picture before the sums are asked; everything in the picture's pixels. `size` is its width
    and height, `doubts` what speaks against taking its numbers without a person."""

    size: tuple[int, int]
    walls: tuple[OutlineWall, ...]
    features: tuple[Feature, ...]
    places: list[Placed]
    words: tuple[tuple[str, Box], ...]
    doubts: tuple[Finding, ...]
    written: int
    """How many numbers seem to stand on the page, read or not; 0 where there is no reader."""
    failed: tuple[str, ...] = ()
    """A sentence on each reader that failed on this picture."""


def look_at(rgb: NDArray[np.uint8], readers: Readers) -> SketchLook | Finding:
    """Walls, openings, numbers in their places and words of a picture that is fit to read; a finding where its
    writing is too small."""
    page = page_of(rgb)
    ink = _sorter().sort(page.flat)
    if tiny_writing([height(box) for box in ink.lines], page.to_page[0, 0]):
        return TINY
    eyes, texts = _written(page, ink, readers)
    doubts = [TWO_SKETCHES] if has_second_room(ink) else []
    doubts += [SCREEN] if is_screen(rgb) else []
    layout = laid_out(page, ink, texts, readers.roles)
    return SketchLook(
        _size(rgb),
        layout.walls,
        layout.features,
        with_surroundings(layout.places, layout.walls, layout.features, page, ink),
        tuple((t.word.text, page.box_in_picture(t.box)) for t in texts if is_word(t)),
        tuple(doubts),
        len(ink.numbers) if len(readers.crops) > len(eyes.failed) else 0,
        eyes.failed,
    )


def _written(page: Page, ink: Sorted, readers: Readers) -> tuple[CropReaders, list[ReadText]]:
    """Every text on the page, and by whom it was read: once more by those that were taught, where the others do not
    know the hand."""
    eyes = CropReaders(readers.crops, readers.words, readers.own, vote=readers.vote)
    texts = read_writing(page.flat, ink, eyes)
    if readers.taught is None or not is_unknown([doubted(text) for text in texts if is_number(text)]):
        return eyes, texts
    return _written(page, ink, readers.taught)


@dataclass(frozen=True)
class Layout:
    """One outline with its openings and every number in its place; in the picture's pixels."""

    walls: tuple[OutlineWall, ...]
    features: tuple[Feature, ...]
    places: list[Placed]


def laid_out(
    page: Page, ink: Sorted, texts: Sequence[ReadText], odds: Mapping[Role, float] = NO_ODDS
) -> Layout:
    """The outline that strokes and numbers together make likeliest: the one that the strokes make, or with walls taken
    away from it that no number measures, or a part that a line cuts off."""
    written = [text for text in texts if is_number(text)]
    desk = _Desk(page, ink, texts, written, own_lines(ink, [text.box for text in written]), odds)
    drawing = find_drawing(ink)
    corners = find_outline(drawing)
    if corners is None:
        return desk.layout(None)
    best, weight = desk.weighed(corners)
    for _ in range(_MOST_STEPS):
        found = [
            (*desk.weighed(other, _against(corners, other, ink)), other)
            for other in _other_outlines(corners, drawing, ink)
        ]
        layout, likelier, other = max(found, key=lambda f: f[1], default=(best, weight, corners))
        if likelier <= weight:
            break
        best, weight, corners = layout, likelier, other
    return best


_MOST_STEPS, _MOST_OUTLINES = 3, 8
"""So often walls are taken away, and so many of the ways to do it, those with the least bare wall, are looked at."""
_SOLID = 15.0
"""What walls drawn solid all along weigh against taking them away, as a log factor."""
_BARE_SOLID, _SOLID_RANGE = 0.8, 0.15
_BARE_WALLS, _WALLS_RANGE = 0.5, 0.2
"""The share of such a wall that bears any strokes, and that which bears a wall's, from which on it weighs, and over
which it comes to weigh whole (set by hand, no source)."""
_GROWN = 800.0
"""What a squared diagonal of the outside weighs against adding it to the room, as a log factor (set by hand, on the
squares made of two splayed rooms)."""
_BARE_WALL, _BARER = 40.0, 0.3
"""What a diagonal of bare wall weighs against an outline, as a log factor; one that is barer by the second is none."""


def _against(corners: Corners, other: Corners, ink: Sorted) -> float:
    """What the walls taken away weigh against it: a nib drawn solid all round is one, whether measured or not; and what
    is added of the outside."""
    wall, drawn = solid(corners, other, ink)
    shares = ((wall - _BARE_WALLS) / _WALLS_RANGE, (drawn - _BARE_SOLID) / _SOLID_RANGE)
    return _SOLID * float(np.prod(np.clip(shares, 0.0, 1.0))) + _GROWN * grown(corners, other, ink)


def _other_outlines(corners: Corners, drawing: Drawing, ink: Sorted) -> list[Corners]:
    """The other outlines that are worth a look, the best drawn first."""
    most = bare(corners, ink) + _BARER
    unlike = {
        tuple(sorted(map(tuple, c.round()))): c for c in (*simpler(corners), *cut(corners, drawing.lines))
    }
    drawn = sorted(((bare(c, ink), n) for n, c in enumerate(unlike.values())))
    return [list(unlike.values())[n] for share, n in drawn if share < most][:_MOST_OUTLINES]


@dataclass(frozen=True)
class _Desk:
    """What lies on the desk while outlines are tried: the page, its ink and texts, its numbers with their lines."""

    page: Page
    ink: Sorted
    texts: Sequence[ReadText]
    written: Sequence[ReadText]
    lines: Sequence[Ends | None]
    odds: Mapping[Role, float]
    """How many times likelier each role is here."""

    def weighed(self, corners: Corners, against: float = 0.0) -> tuple[Layout, float]:
        layout = self.layout(corners)
        weight = likelihood(layout.places, layout.walls) - _BARE_WALL * bare(corners, self.ink)
        return layout, weight - against

    def layout(self, corners: Corners | None) -> Layout:
        page, ink = self.page, self.ink
        walls = () if corners is None else numbered(_in_picture(page, ink, corners))
        found = _openings(ink, walls, _onto(page, ink, walls)) if walls else {}
        gaps = {wall: [opening.span for opening in each] for wall, each in found.items()}
        places = [
            placed(
                text,
                page.box_in_picture(text.box),
                _meaning(page, ink, text.box, self.odds),
                walls,
                self.texts,
                gaps,
                _seen_at(page, line),
            )
            for text, line in zip(self.written, self.lines, strict=True)
        ]
        heights = {id(place.text) for place in places if place.settled is not None}
        said = [(label, page.box_in_picture(text.box)) for label, text in labels(self.texts, heights)]
        features = with_words(_features(walls, found), walls, said)
        return Layout(walls, features, with_doubts_of_ways(of_the_plan(with_keys(places))))


def _meaning(page: Page, ink: Sorted, box: Box, odds: Mapping[Role, float]) -> SeenMeaning:
    """What the number in a box on the page measures, its stretch in the picture's pixels."""
    meaning = ink.meaning(box)
    start, end = page.in_picture(meaning.stretch)
    roles = weighed(meaning.roles, odds) if odds else meaning.roles
    return replace(meaning, roles=roles, stretch=(start, end))


def _size(rgb: NDArray[np.uint8]) -> tuple[int, int]:
    return rgb.shape[1], rgb.shape[0]


def _seen_at(page: Page, ends: Stretch | None) -> Stretch | None:
    if ends is None:
        return None
    start, end = page.in_picture(ends)
    return start, end


def _nothing(size: tuple[int, int], findings: list[Finding]) -> SketchReading:
    return SketchReading(*size, "cm", (), SketchOutline((), False), tuple(findings))


def _in_picture(page: Page, ink: Sorted, corners: Corners) -> NDArray[np.float64]:
    """Corners in the sorter's pixels as pixels of the picture."""
    points = tuple((float(x), float(y)) for x, y in corners / np.asarray(ink.scale))
    return np.asarray(page.in_picture(points))


def _onto(page: Page, ink: Sorted, walls: tuple[OutlineWall, ...]) -> Corners:
    """The walls' starts in the sorter's pixels."""
    return np.asarray(page.on_page(tuple(wall.start for wall in walls)) * np.asarray(ink.scale))


def _openings(ink: Sorted, walls: tuple[OutlineWall, ...], starts: Corners) -> dict[int, list[Opening]]:
    """The openings of each wall; `starts` in the sorter's pixels."""
    diagonal = float(np.hypot(*(starts.max(axis=0) - starts.min(axis=0))))
    ends = np.roll(starts, -1, axis=0)
    return {w.wall: openings(a, b, ink, diagonal) for w, a, b in zip(walls, starts, ends, strict=True)}


def _features(walls: tuple[OutlineWall, ...], found: dict[int, list[Opening]]) -> tuple[Feature, ...]:
    """The openings as the model has them; their boxes lie flat on their walls."""
    return tuple(_feature(wall, opening) for wall in walls for opening in found.get(wall.wall, []))


def _feature(wall: OutlineWall, opening: Opening) -> Feature:
    look, box = opening.look, _flat(wall, opening.span)
    return Feature(opening.kind, wall.wall, opening.span, box, look.kinds, look.hinge, look.into, look.swing)


def _flat(wall: OutlineWall, span: tuple[float, float]) -> Box:
    a, b = (
        (
            wall.start[0] + (wall.end[0] - wall.start[0]) * t,
            wall.start[1] + (wall.end[1] - wall.start[1]) * t,
        )
        for t in span
    )
    return (a, b, b, a)
