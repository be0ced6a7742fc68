"""What the readers say of one place on the page, and telling numbers from words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Alternative, Box
from intake.reading.crops import cut, turned
from intake.reading.ppocr import PaddleReader
from intake.reading.readers import LABELLED_SIGNS, NUMBER_SIGNS, Grey

_LABELLED = re.compile(r"^[^\d]{0,18}\d[\d.,'\" ]*(?:mm|cm|m|ft|in)?[\d\"']*\s*$", re.IGNORECASE)
_BARE = re.compile(r"^[\d.,·\s]+$")


@dataclass(frozen=True)
class ReadText:
    """One box (clockwise from the text's own top left, in page pixels) read in one orientation.

    `word` is the unmasked reading; `numbers` the n-best list under the number mask; `belief` how much of the
    recogniser's probability lay inside that mask, from 0 to 1.
    """

    box: Box
    word: Alternative
    numbers: tuple[Alternative, ...]
    belief: float

    @property
    def strength(self) -> float:
        """How sure the reader is that this is a number standing this way up."""
        return self.belief * self.numbers[0].confidence if self.numbers else 0.0

    @property
    def height(self) -> float:
        return float(np.hypot(self.box[3][0] - self.box[0][0], self.box[3][1] - self.box[0][1]))

    @property
    def centre(self) -> NDArray[np.float64]:
        return np.asarray(np.mean(self.box, axis=0))


def quarters_of(box: Box) -> tuple[int, ...]:
    """The ways up a text of this shape may stand: along its longer side, or all four where it is nearly
    square."""
    across = np.hypot(box[1][0] - box[0][0], box[1][1] - box[0][1])
    down = np.hypot(box[3][0] - box[0][0], box[3][1] - box[0][1])
    if across > 1.3 * down:
        return (0, 2)
    return (1, 3) if down > 1.3 * across else (0, 1, 2, 3)


def read_all_ways(flat: Grey, boxes: Sequence[Box], reader: PaddleReader) -> list[list[ReadText]]:
    """Each box read in each way up that its shape allows."""
    ways = [[turned(box, q) for q in quarters_of(box)] for box in boxes]
    frames = reader.frames([cut(flat, way) for box_ways in ways for way in box_ways])
    answers = iter(zip((way for box_ways in ways for way in box_ways), frames, strict=True))
    return [[read_text(*next(answers), reader) for _ in box_ways] for box_ways in ways]


def read_text(box: Box, frames: NDArray[np.float32], reader: PaddleReader) -> ReadText:
    word = reader.word(frames)
    signs = NUMBER_SIGNS
    if not _BARE.match(word.text) and _LABELLED.match(word.text):
        signs = LABELLED_SIGNS
    return ReadText(box, word, reader.number(frames, signs), reader.belief(frames, signs))
