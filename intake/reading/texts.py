"""What the readers say of one place on the page, and telling numbers from words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from intake.domain.lengths.notation import likelihood_of_form
from intake.domain.lengths.written import in_feet_or_inches
from intake.model.reading import Alternative, Box
from intake.reading.boxes import height
from intake.reading.kind_letters import lettered, parted
from intake.reading.line_parts import NumberPiece, pieces, with_stroke
from intake.reading.own import NOTHING, CropReading, OwnReader, together
from intake.reading.ppocr import PaddleReader
from intake.reading.readers import (
    FRACTION,
    LABELLED_SIGNS,
    NUMBER_SIGNS,
    VOTE,
    Attendance,
    CropReader,
    FirstReader,
    Grey,
    WordReader,
)
from intake.reading.tidy import Cutting
from intake.reading.votes import agreed, as_number, scaled, stands_alone

_SEVERAL = re.compile(r"x|\d\d \d\d")
_STRANGE = 0.5
"""A form less likely than this is no one number's (lengths/notation.likelihood_of_form)."""
SURE, _DOUBTS = 0.9, 1.5
"""A number read with less than the first is doubted; how much a share of doubted ones weighs beside one of those that
PP-OCR contradicts, which misses many a point in the plainest hand."""
_DOUBTED_BEFORE = 0.2
"""What share of a sheet's other numbers is taken as doubted before any was looked at (set by hand)."""
_NO_NUMBER = 0.3
"""A crop that the project's own recogniser takes for no number with more than this is not its to read alone (set by
hand)."""
_WIDTH_A_SIGN, _WIDTH_BESIDE = 0.75, 0.8
"""A crop wider than this for each sign, and this beside, in heights of it, holds more than the number (set by hand)."""
UNKNOWN_HAND = 0.3
"""The share of doubted numbers from which on the recogniser does not know a sheet's hand (docs/measuring.md)."""
_NUMBER = 0.12
"""What reads as a number less surely is none (numbers.is_number): a word does not tell how a hand's digits are read."""
_UNKNOWN = 0.5
"""The belief that a cutting is a number where no reader says whether it is one."""
_HALVED, _FRACTION = re.compile(r"[.,]5(?:mm|cm|m)?\Z"), re.compile(r"(?:1?/|[½%])2?")
"""A half as the project's own recogniser spells it, and what a fraction behind a number is to PP-OCR."""
_RAISED = ("5", "2", "12", "42")
"""What a small raised 5 or a fraction is to PP-OCR, which knows neither (seen by hand)."""
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
    parts: tuple[NumberPiece, ...] = ()
    label: str = ""
    votes: tuple[tuple[str, tuple[Alternative, ...]], ...] = ()
    own: CropReading = NOTHING
    rival: float = 0.0
    """The strength of the best number read off the same ink that no sums refute: another way up, or as long."""
    shorter: float = 0.0
    """The strength of the best number of fewer digits read off a piece of its ink, which fits no sums as well."""
    more_in_line: bool = False
    """Whether it is read with more digits within its line: 228.5 where 28.5 was cut out."""
    close: bool = False
    """Whether more signs stand close to it that are not taken for its own."""
    witness: tuple[Alternative, ...] = ()
    """What PP-OCR makes of it, whose word was not needed to read it; nothing where there is no PP-OCR."""
    strange: float = 0.1
    """How strange the hand is to the project's own recogniser: the share of the sheet's other numbers of which PP-OCR
    says otherwise, or 1.5 times the share of those that the recogniser itself doubts, whichever is less."""

    @property
    def box(self) -> Box:
        return self.cutting.box

    @property
    def letters(self) -> tuple[Alternative, ...]:
        """The letters that stand beside the number on its line, "S" of "S 98", with their chances."""
        return self.own.letters

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


class CropReaders:
    """The readers of crops at work together, any of which may be missing: the project's own is asked first, PP-OCR
    tells words from numbers and is a witness to every number, and all those in `voters` vote."""

    def __init__(
        self,
        voters: Sequence[CropReader],
        paddle: WordReader | None = None,
        own: FirstReader | None = None,
        feet: bool = False,
        attendance: Attendance | None = None,
        vote: float = VOTE,
    ) -> None:
        self._voters, self._paddle, self._own, self.feet = tuple(voters), paddle, own, feet
        self._vote_of_own = vote
        self._attendance = attendance or Attendance()

    @property
    def failed(self) -> tuple[str, ...]:
        """A sentence on each reader that failed."""
        return tuple(self._attendance.failed.values())

    def for_feet(self) -> CropReaders:
        """The same readers, told that the page is in feet and inches; PP-OCR hardly knows their signs and has no
        vote."""
        return CropReaders(self._voters, self._paddle, self._own, True, self._attendance, self._vote_of_own)

    def glance(self, cuttings: Sequence[Cutting]) -> list[CropReading]:
        """What the project's own recogniser alone says of each cutting, which is quickly asked."""
        crops = [cutting.crop for cutting in cuttings]
        if self._own is None:
            return [NOTHING] * len(crops)
        return self._attendance.ask(self._own.name, self._own.read_crops, crops, NOTHING)

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
            _read_alone(c, each, self.feet) if s else next(more)
            for c, each, s in zip(cuttings, own, sure, strict=True)
        ]

    def witnessed(self, texts: Sequence[ReadText]) -> list[ReadText]:
        """The texts, each with what PP-OCR makes of it, and with how strange the hand of the sheet's other numbers is
        to the project's own recogniser."""
        asked = [i for i, text in enumerate(texts) if text.numbers]
        unheard = [i for i in asked if self._vote(texts[i]) is None]
        heard = {i: self._vote(texts[i]) or () for i in asked}
        for i, frames in zip(unheard, self._frames([texts[i].cutting.crop for i in unheard]), strict=True):
            if self._paddle is not None and frames is not None:
                signs = LABELLED_SIGNS if _is_labelled(texts[i]) else NUMBER_SIGNS
                heard[i] = bodies(self._of_paddle(frames, signs, texts[i].own))
        return with_strangeness([replace(t, witness=heard.get(i, ())) for i, t in enumerate(texts)])

    def _of_paddle(
        self, frames: NDArray[np.float32], signs: str, own: CropReading
    ) -> tuple[Alternative, ...]:
        """PP-OCR's list of a number; where the project's own recogniser sees a half, which it spells as .5 however it
        is written, a fraction's sign is that to PP-OCR too."""
        assert self._paddle is not None
        if not own.alternatives or not is_half(own.alternatives[0].text):
            return self._paddle.number(frames, signs)
        fraction = "".join(sign for sign in FRACTION if sign not in signs)
        said = self._paddle.number(frames, signs + fraction)
        return tuple(replace(a, text=_FRACTION.sub(".5", a.text)) for a in said)

    def _vote(self, text: ReadText) -> tuple[Alternative, ...] | None:
        return next((said for name, said in text.votes if name == PaddleReader.name), None)

    def _frames(self, crops: Sequence[Grey]) -> list[NDArray[np.float32] | None]:
        if self._paddle is None or not crops:
            return [None] * len(crops)
        return self._attendance.ask(self._paddle.name, lambda c: list(self._paddle_frames(c)), crops, None)

    def _paddle_frames(self, crops: Sequence[Grey]) -> Sequence[NDArray[np.float32] | None]:
        assert self._paddle is not None
        return self._paddle.frames(crops)

    def _look_hard(
        self, cuttings: Sequence[Cutting], own: Sequence[CropReading], lines: bool
    ) -> list[ReadText]:
        """What the readers together say of cuttings that the project's own recogniser is not sure of by itself."""
        crops = [cutting.crop for cutting in cuttings]
        frames = self._frames(crops)
        others = [r for r in self._voters if r is not self._own and r is not self._paddle]
        nobody = tuple[Alternative, ...]()
        said = [self._attendance.ask(reader.name, reader.read, crops, nobody) for reader in others]
        lists = list(zip(*said, strict=True)) or [()] * len(crops)
        names = [reader.name for reader in others]
        return [
            self._read(cutting, seen, mine, list(zip(names, more, strict=True)), lines)
            for cutting, seen, mine, more in zip(cuttings, frames, own, lists, strict=True)
        ]

    def _read(
        self,
        cutting: Cutting,
        frames: NDArray[np.float32] | None,
        own: CropReading,
        more: Sequence[tuple[str, tuple[Alternative, ...]]],
        line: bool,
    ) -> ReadText:
        parts = self._parts(cutting, frames, own, more, line)
        votes: list[tuple[str, tuple[Alternative, ...]]] = []
        beliefs: list[float] = []
        word = Alternative("", 0.0)
        if self._paddle is not None and frames is not None:
            word, signs = self._paddle.word(frames), _signs(parts, own, line)
            beliefs.append(self._paddle.belief(frames, signs))
            if self._paddle in self._voters and not (self.feet and self._own):
                said = bodies(self._of_paddle(frames, signs, own))
                votes.append((self._paddle.name, lettered(said, word)))
        if self._own is not None and self._own.name not in self._attendance.failed:
            votes.append((self._own.name, as_number(own)))
            beliefs.append(1 - own.not_a_number)
        votes += [(name, said) for name, said in more if said]  # one that sees nothing does not vote
        own_counts = {OwnReader.name: self._vote_of_own}
        weights = [] if any(said for _, said in more) else [own_counts.get(name, 1.0) for name, _ in votes]
        numbers = agreed([said for _, said in votes], weights, self.feet)
        belief = float(np.mean(beliefs)) if beliefs else _UNKNOWN * bool(votes)
        return ReadText(cutting, word, numbers, belief, parts, "", tuple(votes), own)

    def _parts(
        self,
        cutting: Cutting,
        frames: NDArray[np.float32] | None,
        own: CropReading,
        more: Sequence[tuple[str, tuple[Alternative, ...]]],
        line: bool,
    ) -> tuple[NumberPiece, ...]:
        """The numbers and words of a cutting in order; without PP-OCR the whole of it is a number or nothing."""
        if not line and _one_by_itself(own, cutting):
            return (NumberPiece(own.alternatives[0].text, True, (0.0, 1.0)),)
        if self._paddle is not None and frames is not None:
            spelt = own.alternatives[0].text if own.not_a_number < _NO_NUMBER and own.alternatives else ""
            return tuple(pieces(with_stroke(self._paddle.spell(frames), spelt), cutting.crop))
        best = next((said[0].text for _, said in more if said), "")
        return (NumberPiece(best, True, (0.0, 1.0)),) if best and not line else ()


def signs_of(spelled: Sequence[str]) -> str:
    """The signs that a crop may hold, by how it was spelled: with units and labels or bare."""
    return LABELLED_SIGNS if any(_UNITED.search(text) for text in spelled) else NUMBER_SIGNS


def _signs(parts: Sequence[NumberPiece], own: CropReading, line: bool) -> str:
    spelled = [parts[0].text] if len(parts) == 1 and parts[0].number else []
    spelled += [a.text for a in own.alternatives[:1] if own.not_a_number < 0.5 and not line]
    return signs_of(spelled)


def _is_labelled(text: ReadText) -> bool:
    return bool(_UNITED.search(text.numbers[0].text)) or bool(text.own.letters)


def bodies(alternatives: Sequence[Alternative]) -> tuple[Alternative, ...]:
    """The numbers of an n-best list without the letters beside them, like ones added up."""
    total: dict[str, float] = {}
    for a in alternatives:
        body = parted(a.text)[1]
        total[body] = total.get(body, 0.0) + a.confidence
    return tuple(Alternative(text, min(1.0, p)) for text, p in sorted(total.items(), key=lambda kv: -kv[1]))


def same_number(one: str, other: str) -> bool:
    """Whether two texts have the same digits and, where both show it, the same point; feet and inches by their digits
    alone."""
    a, b = (re.sub(r"[^\d.]", "", text.replace(",", ".")) for text in (one, other))
    if in_feet_or_inches(one) or in_feet_or_inches(other):
        a, b = a.replace(".", ""), b.replace(".", "")
    return a.strip(".") == b.strip(".")


def is_half(text: str) -> bool:
    """Whether a number ends in a half, however it is written."""
    return bool(_HALVED.search(text))


def bears_out(witness: str, text: str) -> bool:
    """Whether a witness's text says a number. PP-OCR knows a half by its point alone, and takes a small raised 5 or a
    fraction for digits: 915, 912, 9112 and 9142 say 91.5, and no other digits behind the whole part, nor a point."""
    if same_number(witness, text):
        return True
    said, whole = re.sub(r"[^\d.,]", "", witness), re.sub(r"\D", "", _HALVED.sub("", text))
    return is_half(text) and len(whole) > 1 and said.strip(".,") in {whole + raised for raised in _RAISED}


def with_strangeness(texts: Sequence[ReadText]) -> list[ReadText]:
    """The texts, each with how strange the hand of the sheet's others is, as far as these are numbers."""
    numbers = [text for text in texts if text.numbers]
    against = [_contradicted(text) if text.strength > _NUMBER else None for text in numbers]
    unsure = [doubted(text) if text.strength > _NUMBER else None for text in numbers]
    shares = {
        id(text): min(_share_of_others(against, i), _DOUBTS * _share_of_others(unsure, i))
        for i, text in enumerate(numbers)
    }
    return [replace(text, strange=shares.get(id(text), text.strange)) for text in texts]


def _contradicted(text: ReadText) -> bool | None:
    """Whether the witness says otherwise; None where there is none."""
    return not bears_out(text.witness[0].text, text.numbers[0].text) if text.witness else None


def doubted(text: ReadText) -> bool | None:
    """Whether the project's own recogniser is not sure, or would not be by itself: that it was taught a hand makes this
    no less strange. None where it was not asked."""
    own = next((said for name, said in text.votes if name == OwnReader.name), None)
    return None if own is None else min(max((a.confidence for a in own), default=0.0), text.own.alone) < SURE


def is_unknown(doubts: Sequence[bool | None], more: int = 0) -> bool:
    """Whether the recogniser does not know a sheet's hand: it doubts so many of its numbers, beside `more` that it does
    not doubt."""
    said = [bool(each) for each in doubts if each is not None]
    return sum(said) >= UNKNOWN_HAND * max(len(said) + more, 1)


def _share_of_others(said: Sequence[bool | None], mine: int) -> float:
    """How many of the others are so, as if of one more a fifth were."""
    others = [s for i, s in enumerate(said) if i != mine and s is not None]
    return (sum(others) + _DOUBTED_BEFORE) / (len(others) + 2 - (said[mine] is not None))


def _is_sure(own: CropReading, cutting: Cutting) -> bool:
    """Whether the project's own recogniser needs no other's vote: both of its networks see one number here. Of 1,411
    such readings on the validation split nine were wrong, and PP-OCR said the same of all nine."""
    return stands_alone(own) and _one_by_itself(own, cutting)


def _read_alone(cutting: Cutting, own: CropReading, feet: bool) -> ReadText:
    """What the project's own recogniser alone makes of a cutting."""
    chance, vote = 1 - own.not_a_number, as_number(own)
    best = own.alternatives[0]
    parts = (NumberPiece(best.text, True, (0.0, 1.0)),)
    return ReadText(
        cutting, best, agreed([vote], feet=feet), chance, parts, "", ((OwnReader.name, vote),), own
    )


def _one_by_itself(own: CropReading, cutting: Cutting) -> bool:
    """Whether the whole crop is one number, however the other reader spells it: "H35" for 1435."""
    if own.not_a_number > _NO_NUMBER or not own.alternatives:
        return False
    text = own.alternatives[0].text
    if likelihood_of_form(text) < _STRANGE:  # two numbers side by side, likelier than one of such a form
        return False
    wide = cutting.crop.shape[1] / cutting.crop.shape[0] > _WIDTH_A_SIGN * len(text) + _WIDTH_BESIDE
    return not _SEVERAL.search(text) and not wide


def seen_twice(one: ReadText, other: ReadText) -> ReadText:
    """One text cut out in two ways: what is said of the stronger cut, by the mean of what the readers say of both."""
    base = max(one, other, key=lambda text: text.strength)
    belief = (one.belief + other.belief) / 2
    names = dict.fromkeys(name for text in (one, other) for name, _ in text.votes)
    votes = [[said for text in (one, other) for n, said in text.votes if n == name] for name in names]
    return replace(
        base,
        numbers=agreed([scaled(t.numbers, t.belief / max(belief, 1e-6)) for t in (one, other)]),
        belief=belief,
        votes=tuple((name, agreed(said)) for name, said in zip(names, votes, strict=True)),
        own=together((one.own, other.own), (0.5, 0.5)),
    )
