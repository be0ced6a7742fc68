"""What the readers say of one place on the page, and telling numbers from words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from intake.domain.lengths.notation import likelihood_of_form
from intake.model.reading import Alternative, Box
from intake.reading.own import NOTHING, CropReading, OwnReader
from intake.reading.phrases import Piece, pieces
from intake.reading.ppocr import PaddleReader
from intake.reading.readers import LABELLED_SIGNS, NUMBER_SIGNS, CropReader
from intake.reading.tidy import Cutting

_SEVERAL = re.compile(r"x|\d\d \d\d")
_WEIGHT = {OwnReader.name: 2.0}
"""How much a reader's vote counts beside another's: the project's own was trained on such crops."""
_ENOUGH = 0.95
"""A reading that the project's own recogniser is so sure of stands without other votes."""
_STRANGE = 0.5
"""A form less likely than this is no one number's (lengths/notation.likelihood_of_form)."""
_UNITED = re.compile(r"\A\D*+\d.*(?:mm|cm|m|ft|'|\")")


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
    """The strength of the best number read off the same ink another way up, or off a shorter piece of it."""
    close: bool = False
    """Whether more signs stand close to it that are not taken for its own."""

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

    def __init__(self, paddle: PaddleReader, voters: Sequence[CropReader], feet: bool = False) -> None:
        self._paddle, self._voters, self.feet = paddle, voters, feet
        self._own = next((reader for reader in voters if isinstance(reader, OwnReader)), None)

    def for_feet(self) -> Eyes:
        """The same readers, told that the page is in feet and inches; PP-OCR hardly knows their signs and has no
        vote."""
        return Eyes(self._paddle, self._voters, True)

    def glance(self, cuttings: Sequence[Cutting]) -> list[CropReading]:
        """What the project's own recogniser alone says of each cutting, which is quickly asked."""
        return self._own.read_crops([c.crop for c in cuttings]) if self._own else [NOTHING] * len(cuttings)

    def look(self, cuttings: Sequence[Cutting], lines: bool = False) -> list[ReadText]:
        """What each cutting says; `lines` are whole lines of writing, which may hold words beside a number."""
        if not cuttings:
            return []
        own = self.glance(cuttings)
        sure = [not lines and _is_sure(each, cutting) for each, cutting in zip(own, cuttings, strict=True)]
        more = iter(
            self._look_hard(
                [c for c, s in zip(cuttings, sure, strict=True) if not s],
                [o for o, s in zip(own, sure, strict=True) if not s],
                lines,
            )
        )
        return [
            _told(c, each, self.feet) if s else next(more)
            for c, each, s in zip(cuttings, own, sure, strict=True)
        ]

    def _look_hard(
        self, cuttings: Sequence[Cutting], own: Sequence[CropReading], lines: bool
    ) -> list[ReadText]:
        """What the readers together say of cuttings that the project's own recogniser is not sure of by itself."""
        crops = [cutting.crop for cutting in cuttings]
        frames = self._paddle.frames(crops)
        others = [r for r in self._voters if r is not self._own and r is not self._paddle]
        lists = list(zip(*(reader.read(crops) for reader in others), strict=True)) or [()] * len(crops)
        read = [self._read(*each, lines) for each in zip(cuttings, frames, own, strict=True)]
        names = [reader.name for reader in others]
        return [
            _joined_by(text, list(zip(names, more, strict=True)), self.feet)
            for text, more in zip(read, lists, strict=True)
        ]

    def _read(self, cutting: Cutting, frames: NDArray[np.float32], own: CropReading, line: bool) -> ReadText:
        parts = tuple(pieces(self._paddle.spell(frames), cutting.crop))
        if not line and _one_by_itself(own, cutting):
            parts = (Piece(own.alternatives[0].text, True, (0.0, 1.0)),)
        spelled = [parts[0].text] if len(parts) == 1 and parts[0].number else []
        spelled += [a.text for a in own.alternatives[:1] if own.not_a_number < 0.5 and not line]
        united = any(_UNITED.search(text) for text in spelled)
        signs = LABELLED_SIGNS if united else NUMBER_SIGNS
        belief = self._paddle.belief(frames, signs)
        votes = (
            [(self._paddle.name, self._paddle.number(frames, signs))]
            if self._paddle in self._voters and not (self.feet and self._own)
            else []
        )
        if self._own:
            chance = 1 - own.not_a_number
            votes.append((self._own.name, _scaled(own.alternatives, 1 / max(chance, 1e-6))))
            belief = (belief + chance) / 2
        numbers = agreed(
            [alternatives for _, alternatives in votes],
            [_WEIGHT.get(name, 1.0) for name, _ in votes],
            self.feet,
        )
        return ReadText(cutting, self._paddle.word(frames), numbers, belief, parts, "", tuple(votes), own)


def _is_sure(own: CropReading, cutting: Cutting) -> bool:
    """Whether the project's own recogniser needs no other's vote: both of its networks see one number here. Of 1,411
    such readings on the validation split nine were wrong, and PP-OCR said the same of all nine."""
    return (
        bool(own.alternatives) and own.alternatives[0].confidence >= _ENOUGH and _one_by_itself(own, cutting)
    )


def _told(cutting: Cutting, own: CropReading, feet: bool) -> ReadText:
    """What the project's own recogniser alone makes of a cutting."""
    chance = 1 - own.not_a_number
    vote = _scaled(own.alternatives, 1 / max(chance, 1e-6))
    best = own.alternatives[0]
    parts = (Piece(best.text, True, (0.0, 1.0)),)
    return ReadText(
        cutting, best, agreed([vote], feet=feet), chance, parts, "", ((OwnReader.name, vote),), own
    )


def _joined_by(text: ReadText, more: Sequence[tuple[str, tuple[Alternative, ...]]], feet: bool) -> ReadText:
    """The text with the votes of further readers counted; one that sees nothing does not vote."""
    votes = (*text.votes, *((name, alternatives) for name, alternatives in more if alternatives))
    if len(votes) == len(text.votes):
        return text
    return replace(text, votes=votes, numbers=agreed([alternatives for _, alternatives in votes], feet=feet))


def _one_by_itself(own: CropReading, cutting: Cutting) -> bool:
    """Whether the whole crop is one number, however the other reader spells it: "H35" for 1435."""
    if own.not_a_number > 0.3 or not own.alternatives:
        return False
    text = own.alternatives[0].text
    if likelihood_of_form(text) < _STRANGE:  # two numbers side by side, likelier than one of such a form
        return False
    wide = cutting.crop.shape[1] / cutting.crop.shape[0] > 0.75 * len(text) + 0.8
    return not _SEVERAL.search(text) and not wide


def _scaled(alternatives: Sequence[Alternative], by: float) -> tuple[Alternative, ...]:
    return tuple(Alternative(a.text, min(1.0, a.confidence * by)) for a in alternatives)


def agreed(
    lists: Sequence[Sequence[Alternative]], weights: Sequence[float] = (), feet: bool = False
) -> tuple[Alternative, ...]:
    """The mean of several n-best lists, a strange form (on a sketch in `feet` or not) losing; a comma and a point say
    the same, and are spelled as the likelier one was."""
    if not lists:
        return ()
    whole = sum(weights) or float(len(lists))
    total: dict[str, float] = {}
    spelled: dict[str, Alternative] = {}
    for alternatives, weight in zip(lists, weights or [1.0] * len(lists), strict=True):
        for a in alternatives:
            key = a.text.replace(",", ".").replace(" ", "")
            total[key] = total.get(key, 0.0) + a.confidence * weight / whole
            if key not in spelled or a.confidence > spelled[key].confidence:
                spelled[key] = a
    believed = {key: p * likelihood_of_form(spelled[key].text, feet) for key, p in total.items()}
    # What a strange form loses goes to the ordinary ones only in part: the rest says "none of these".
    lost = 1 - 0.7 * (sum(total.values()) - sum(believed.values()))
    ranked = sorted(believed.items(), key=lambda kv: -kv[1])
    return tuple(Alternative(spelled[key].text, min(1.0, p / max(lost, 0.3))) for key, p in ranked[:10])
