"""What the readers say of one place on the page, and telling numbers from words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Alternative, Box
from intake.reading.crops import turned
from intake.reading.phrases import Piece, pieces, sub_box
from intake.reading.ppocr import PaddleReader
from intake.reading.readers import LABELLED_SIGNS, NUMBER_SIGNS, Grey
from intake.reading.tidy import Cutting, tidy

MARGIN = 0.12
_UNITED = re.compile(r"\d.*(?:mm|cm|m|ft|'|\")")


@dataclass(frozen=True)
class ReadText:
    """One box (clockwise from the text's own top left, in page pixels) read in one orientation.

    `word` is the unmasked reading; `numbers` the n-best list under the number mask; `belief` how much of
    the recogniser's probability lay inside that mask, from 0 to 1. `label` is what is written beside a
    number on its own line.
    """

    cutting: Cutting
    word: Alternative
    numbers: tuple[Alternative, ...]
    belief: float
    parts: tuple[Piece, ...] = ()
    label: str = ""

    @property
    def box(self) -> Box:
        return self.cutting.box

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

    @property
    def plain_number(self) -> bool:
        return len(self.parts) == 1 and self.parts[0].number


def quarters_of(box: Box) -> tuple[int, ...]:
    """The ways up a text of this shape may stand: along its longer side, or all four where it is nearly
    square."""
    across = np.hypot(box[1][0] - box[0][0], box[1][1] - box[0][1])
    down = np.hypot(box[3][0] - box[0][0], box[3][1] - box[0][1])
    if across > 1.35 * down:
        return (0, 2)
    return (1, 3) if down > 1.35 * across else (0, 1, 2, 3)


def read_all_ways(flat: Grey, boxes: Sequence[Box], reader: PaddleReader) -> list[list[ReadText]]:
    """Each box drawn in tight and read in each way up that its shape allows."""
    cuttings = [tidy(flat, _lying(box)) for box in boxes]
    ways = [[cutting.turned(q) for q in quarters_of(cutting.box)] for cutting in cuttings]
    answers = iter(read_cuttings([way for each in ways for way in each], reader))
    return [[next(answers) for _ in each] for each in ways]


def _lying(box: Box) -> Box:
    """The box with its longer side taken as the line of writing."""
    across = np.hypot(box[1][0] - box[0][0], box[1][1] - box[0][1])
    down = np.hypot(box[3][0] - box[0][0], box[3][1] - box[0][1])
    return turned(box, 3) if down > across else box


def read_cuttings(cuttings: Sequence[Cutting], reader: PaddleReader) -> list[ReadText]:
    frames = reader.frames([cutting.crop for cutting in cuttings])
    return [_read(*each, reader) for each in zip(cuttings, frames, strict=True)]


def _read(cutting: Cutting, frames: NDArray[np.float32], reader: PaddleReader) -> ReadText:
    parts = tuple(pieces(reader.spell(frames), cutting.crop))
    united = len(parts) == 1 and parts[0].number and _UNITED.search(parts[0].text)
    signs = LABELLED_SIGNS if united else NUMBER_SIGNS
    return ReadText(
        cutting, reader.word(frames), reader.number(frames, signs), reader.belief(frames, signs), parts
    )


def taken_apart(flat: Grey, texts: Sequence[ReadText], reader: PaddleReader) -> list[ReadText]:
    """The same texts with each line of several parts cut into its numbers, read again by themselves, and
    its words."""
    whole = [text for text in texts if len(text.parts) < 2 or not any(p.number for p in text.parts)]
    cuts = [
        (text, i) for text in texts if text not in whole for i, part in enumerate(text.parts) if part.number
    ]
    cuttings = [tidy(flat, sub_box(t.box, t.parts[i].span, MARGIN), sideways=False) for t, i in cuts]
    numbers = [
        replace(number, label=_label(text, i))
        for number, (text, i) in zip(read_cuttings(cuttings, reader), cuts, strict=True)
    ]
    return [*whole, *numbers]


def _label(text: ReadText, at: int) -> str:
    """The words before the number on its line, else those after it."""
    before = [p.text for p in text.parts[:at] if not p.number]
    after = [p.text for p in text.parts[at + 1 :] if not p.number]
    return (before[-1:] + after[:1] + [""])[0]
