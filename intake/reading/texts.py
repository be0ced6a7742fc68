"""What the readers say of one place on the page, and telling numbers from words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Alternative, Box
from intake.reading.crops import turned
from intake.reading.own import NOTHING, CropReading, OwnReader
from intake.reading.phrases import Piece, pieces, sub_box
from intake.reading.ppocr import PaddleReader
from intake.reading.readers import LABELLED_SIGNS, NUMBER_SIGNS, CropReader, Grey
from intake.reading.tidy import Cutting, tidy
from intake.rules.notation import likelihood_of_form

MARGIN = 0.22
_UNITED = re.compile(r"\d.*(?:mm|cm|m|ft|'|\")")


@dataclass(frozen=True)
class ReadText:
    """One cutting read in one orientation.

    `word` is the unmasked reading; `numbers` the n-best list that the readers agree on, adding up to at most
    1; `belief` the readers' mean chance that it is a number the right way up; `votes` each reader's own list.
    `label` is what is written beside a number on its own line.
    """

    cutting: Cutting
    word: Alternative
    numbers: tuple[Alternative, ...]
    belief: float
    parts: tuple[Piece, ...] = ()
    label: str = ""
    votes: tuple[tuple[str, tuple[Alternative, ...]], ...] = ()
    own: CropReading = NOTHING
    rival: float = 0.0
    """The strength of the best number read off the same ink another way up."""
    line: Box | None = None
    """The line that a number was cut out of where it stands behind words."""

    @property
    def box(self) -> Box:
        return self.cutting.box

    @property
    def strength(self) -> float:
        """How sure the readers are that this is a number standing this way up."""
        return self.belief * self.numbers[0].confidence if self.numbers else 0.0

    @property
    def height(self) -> float:
        return height(self.box)

    @property
    def centre(self) -> NDArray[np.float64]:
        return np.asarray(np.mean(self.box, axis=0))

    @property
    def plain_number(self) -> bool:
        return len(self.parts) == 1 and self.parts[0].number


def height(box: Box) -> float:
    """The side that crosses the line of writing, in the box's pixels."""
    return min(float(np.hypot(*np.subtract(box[3], box[0]))), float(np.hypot(*np.subtract(box[1], box[0]))))


class Eyes:
    """The readers of crops at work together: PP-OCR tells words from numbers, and all those in `voters`
    vote."""

    def __init__(self, paddle: PaddleReader, voters: Sequence[CropReader]) -> None:
        self._paddle, self._voters = paddle, voters
        self._own = next((reader for reader in voters if isinstance(reader, OwnReader)), None)

    def look(self, cuttings: Sequence[Cutting]) -> list[ReadText]:
        if not cuttings:
            return []
        crops = [cutting.crop for cutting in cuttings]
        frames = self._paddle.frames(crops)
        own = self._own.read_crops(crops) if self._own else [NOTHING] * len(crops)
        others = [r for r in self._voters if r is not self._own and r is not self._paddle]
        lists = list(zip(*(reader.read(crops) for reader in others), strict=True)) or [()] * len(crops)
        read = [self._read(*each) for each in zip(cuttings, frames, own, strict=True)]
        names = [reader.name for reader in others]
        return [
            _joined_by(text, list(zip(names, more, strict=True)))
            for text, more in zip(read, lists, strict=True)
        ]

    def _read(self, cutting: Cutting, frames: NDArray[np.float32], own: CropReading) -> ReadText:
        parts = tuple(pieces(self._paddle.spell(frames), cutting.crop))
        if _one_by_itself(own, parts, cutting):
            parts = (Piece(own.alternatives[0].text, True, (0.0, 1.0)),)
        united = len(parts) == 1 and parts[0].number and _UNITED.search(parts[0].text)
        signs = LABELLED_SIGNS if united else NUMBER_SIGNS
        belief = self._paddle.belief(frames, signs)
        votes = (
            [(self._paddle.name, self._paddle.number(frames, signs))] if self._paddle in self._voters else []
        )
        if self._own:
            chance = 1 - own.not_a_number
            votes.append((self._own.name, _scaled(own.alternatives, 1 / max(chance, 1e-6))))
            belief = (belief + chance) / 2
        numbers = agreed([alternatives for _, alternatives in votes])
        return ReadText(cutting, self._paddle.word(frames), numbers, belief, parts, "", tuple(votes), own)


def _joined_by(text: ReadText, more: Sequence[tuple[str, tuple[Alternative, ...]]]) -> ReadText:
    """The text with the votes of further readers counted; one that sees nothing does not vote."""
    votes = (*text.votes, *((name, alternatives) for name, alternatives in more if alternatives))
    if len(votes) == len(text.votes):
        return text
    return replace(text, votes=votes, numbers=agreed([alternatives for _, alternatives in votes]))


def _one_by_itself(own: CropReading, parts: Sequence[Piece], cutting: Cutting) -> bool:
    """Whether the whole crop is one number although it was spelled with letters: "H35" for 1435."""
    if own.not_a_number > 0.3 or not own.alternatives or (len(parts) == 1 and parts[0].number):
        return False
    text = own.alternatives[0].text
    letters = sum(c.isalpha() for p in parts for c in p.text)
    wide = cutting.crop.shape[1] / cutting.crop.shape[0] > 0.75 * len(text) + 0.8
    return len(text) > 1 and letters <= 2 and sum(p.number for p in parts) < 2 and not wide


def _scaled(alternatives: Sequence[Alternative], by: float) -> tuple[Alternative, ...]:
    return tuple(Alternative(a.text, min(1.0, a.confidence * by)) for a in alternatives)


def agreed(lists: Sequence[Sequence[Alternative]]) -> tuple[Alternative, ...]:
    """The mean of several n-best lists; a comma and a point say the same, and are spelled as the likelier one
    was."""
    if not lists:
        return ()
    total: dict[str, float] = {}
    spelled: dict[str, Alternative] = {}
    for alternatives in lists:
        for a in alternatives:
            key = a.text.replace(",", ".").replace(" ", "")
            total[key] = total.get(key, 0.0) + a.confidence / len(lists)
            if key not in spelled or a.confidence > spelled[key].confidence:
                spelled[key] = a
    believed = {key: p * likelihood_of_form(spelled[key].text) for key, p in total.items()}
    # What a strange form loses goes to the ordinary ones only in part: the rest says "none of these".
    lost = 1 - 0.7 * (sum(total.values()) - sum(believed.values()))
    ranked = sorted(believed.items(), key=lambda kv: -kv[1])
    return tuple(Alternative(spelled[key].text, min(1.0, p / max(lost, 0.3))) for key, p in ranked[:10])


def quarters_of(box: Box) -> tuple[int, ...]:
    """The ways up a text of this shape may stand: along its longer side, or all four where it is nearly
    square."""
    across = np.hypot(box[1][0] - box[0][0], box[1][1] - box[0][1])
    down = np.hypot(box[3][0] - box[0][0], box[3][1] - box[0][1])
    if across > 1.35 * down:
        return (0, 2)
    return (1, 3) if down > 1.35 * across else (0, 1, 2, 3)


def read_all_ways(flat: Grey, boxes: Sequence[Box], eyes: Eyes) -> list[list[ReadText]]:
    """Each box drawn in tight and read in each way up that its shape allows, and in any other that the reader
    asks for on seeing it."""
    cuttings = [tidy(flat, _lying(box)) for box in boxes]
    ways = [quarters_of(cutting.box) for cutting in cuttings]
    texts = _read_ways(cuttings, ways, eyes)
    asked = [_asked_for(read, tried) for read, tried in zip(texts, ways, strict=True)]
    more = _read_ways(cuttings, asked, eyes)
    return [first + second for first, second in zip(texts, more, strict=True)]


def _read_ways(
    cuttings: Sequence[Cutting], ways: Sequence[Sequence[int]], eyes: Eyes
) -> list[list[ReadText]]:
    turned_ = [cutting.turned(q) for cutting, quarters in zip(cuttings, ways, strict=True) for q in quarters]
    answers = iter(eyes.look(turned_))
    return [[next(answers) for _ in quarters] for quarters in ways]


def _asked_for(read: Sequence[ReadText], tried: Sequence[int]) -> list[int]:
    """Ways up not yet tried that the recogniser is fairly sure of."""
    asked = {
        (q + int(np.argmax(text.own.turns))) % 4
        for text, q in zip(read, tried, strict=True)
        if max(text.own.turns) > 0.7 and text.own.not_a_number > 0.5
    }
    return sorted(asked - set(tried))


def _lying(box: Box) -> Box:
    """The box with its longer side taken as the line of writing."""
    across = np.hypot(box[1][0] - box[0][0], box[1][1] - box[0][1])
    down = np.hypot(box[3][0] - box[0][0], box[3][1] - box[0][1])
    return turned(box, 3) if down > across else box


def taken_apart(flat: Grey, texts: Sequence[ReadText], eyes: Eyes) -> list[ReadText]:
    """The same texts with each line of several parts cut into its numbers, read again by themselves, and
    its words."""
    whole = [text for text in texts if len(text.parts) < 2 or not any(p.number for p in text.parts)]
    cuts = [
        (text, i) for text in texts if text not in whole for i, part in enumerate(text.parts) if part.number
    ]
    cuttings = [tidy(flat, sub_box(t.box, t.parts[i].span, MARGIN), sideways=False) for t, i in cuts]
    numbers = [
        replace(number, label=_label(text, i), line=text.box if _after_words(text, i) else None)
        for number, (text, i) in zip(eyes.look(cuttings), cuts, strict=True)
    ]
    return [*whole, *numbers]


def _after_words(text: ReadText, at: int) -> bool:
    return at > 0 and not text.parts[at - 1].number


def uncut(flat: Grey, texts: Sequence[ReadText], eyes: Eyes) -> list[ReadText]:
    """The same texts, those that the recogniser holds to be cut off by their box read again in a wider
    one."""
    short = [text for text in texts if text.own.cut > 0.2]
    wider = [_longer(text.box, 0.7) for text in short]
    again = dict(
        zip((id(t) for t in short), eyes.look([tidy(flat, box, False) for box in wider]), strict=True)
    )
    return [_better(text, again.get(id(text))) for text in texts]


def _better(text: ReadText, again: ReadText | None) -> ReadText:
    if again is None or again.strength <= text.strength or not again.plain_number:
        return text
    return replace(again, label=text.label)


def _longer(box: Box, heights: float) -> Box:
    """The box drawn out at both ends."""
    p = np.asarray(box, np.float64)
    along = p[1] - p[0]
    more = along / max(float(np.hypot(*along)), 1e-6) * heights * float(np.hypot(*(p[3] - p[0])))
    a, b, c, d = ((float(x), float(y)) for x, y in (p[0] - more, p[1] + more, p[2] + more, p[3] - more))
    return (a, b, c, d)


def _label(text: ReadText, at: int) -> str:
    """The words before the number on its line, else those after it."""
    before = [p.text for p in text.parts[:at] if not p.number]
    after = [p.text for p in text.parts[at + 1 :] if not p.number]
    return (before[-1:] + after[:1] + [""])[0]
