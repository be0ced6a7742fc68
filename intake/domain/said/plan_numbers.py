"""What people said of the numbers of a sketch, laid over what was read. The reading itself is never changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace

from intake.domain.sketch.again import SettledNumber, inferred_again
from intake.domain.sketch.drawn_openings import along, feature_at
from intake.domain.sketch.told_openings import kind_of, with_numbers
from intake.model.phrase import phrase
from intake.model.picture import Picture, Subject
from intake.model.reading import (
    PEOPLE,
    Alternative,
    Feature,
    GivenBy,
    Measures,
    OpeningKind,
    ReadNumber,
    Role,
    SketchReading,
)
from intake.model.room import Correction, SectionKind
from intake.model.word import AddedNumber, NumberWord, PlanNumber, Way, Word

A_LITTLE = 0.02
"""Half the stretch of a wall that an opening without one is given: only its middle counts."""

OPENING_KINDS = tuple(OpeningKind)


@dataclass(frozen=True)
class Numbering:
    """Where the numbers of one sketch stand in its reading once numbers were added: `read` is how many were read,
    `added` are the ids of the words that added one, in order."""

    picture: str
    read: int
    added: tuple[int, ...] = ()

    def name(self, index: int) -> PlanNumber:
        """What words call the number at `index` of the reading as it stands."""
        if index < self.read:
            return PlanNumber(self.picture, read=index)
        return PlanNumber(self.picture, added=self.added[index - self.read])

    def index(self, number: PlanNumber) -> int | None:
        """Where the number stands now; None where it is not on this sketch or no longer added."""
        if number.picture != self.picture:
            return None
        if number.added is None:
            return number.read
        return self.read + self.added.index(number.added) if number.added in self.added else None

    @property
    def count(self) -> int:
        return self.read + len(self.added)


def numbering_of(picture: str, reading: SketchReading, words: Iterable[Word]) -> Numbering:
    """`words` are those of the job that stand, in order."""
    return Numbering(picture, len(reading.numbers), tuple(a.id for a in _added_on(picture, words)))


def with_missed(picture: str, reading: SketchReading, words: Iterable[Word]) -> SketchReading:
    """The reading with the numbers that people added appended, so that every number read keeps its index."""
    extra = tuple(
        ReadNumber(a.text, a.value_mm, a.box, 1.0, True, (), a.role or Role.UNKNOWN, a.wall, a.speaker)
        for a in _added_on(picture, words)
    )
    return replace(reading, numbers=reading.numbers + extra)


def _added_on(picture: str, words: Iterable[Word]) -> list[AddedNumber]:
    return [w for w in words if isinstance(w, AddedNumber) and w.sketch == picture]


def laid_over(readings: Mapping[str, SketchReading], words: Sequence[Word]) -> dict[str, SketchReading]:
    """The readings, by picture id, with what the customer answered and then what was said at the desk laid over them,
    and the rest of each plan inferred anew from what the desk settled."""
    by_mail = [w for w in words if w.way is Way.MAIL]
    at_desk = [w for w in words if w.way is Way.DESK]
    said = {p: _of_the_desk(p, r, at_desk, by_mail) for p, r in overridden_all(readings, by_mail).items()}
    return {
        p: with_plain_wall(
            with_openings(r, opening_kinds(numbering_of(p, readings[p], words), [*by_mail, *at_desk])),
            pieces_of_wall(numbering_of(p, readings[p], words), [*by_mail, *at_desk]),
        )
        for p, r in said.items()
    }


def overridden_all(readings: Mapping[str, SketchReading], words: Sequence[Word]) -> dict[str, SketchReading]:
    """The readings with every word on a number laid over it, and no more."""
    return {p: overridden(r, numbering_of(p, r, words), words) for p, r in readings.items()}


def overridden(reading: SketchReading, numbering: Numbering, words: Iterable[Word]) -> SketchReading:
    """The reading with each word laid over its number, which counts as accepted once its text is settled.

    Numbers keep their index, so that findings and boxes still point to them: what is no number keeps its box and
    loses its value, role and wall.
    """
    numbers = list(reading.numbers)
    for word in (w for w in words if isinstance(w, NumberWord)):
        at = numbering.index(word.number)
        if at is not None and 0 <= at < len(numbers):
            answered = word.way is Way.MAIL and word.says
            numbers[at] = (_answered if answered else _decided)(numbers[at], word)
    return replace(reading, numbers=tuple(numbers))


def _answered(number: ReadNumber, word: NumberWord) -> ReadNumber:
    """What was read stays among the alternatives."""
    others = tuple(a for a in number.alternatives if a.text != number.text)
    return replace(
        number,
        text=word.text,
        value_mm=word.value_mm,
        accepted=True,
        confidence=1.0,
        reader=word.speaker,
        alternatives=(Alternative(number.text, number.confidence), *others),
        arithmetic=phrase("answered", words=word.quote, text=number.text),
    )


def _decided(number: ReadNumber, word: NumberWord) -> ReadNumber:
    if word.not_a_number:
        dropped = replace(number, value_mm=None, role=Role.UNKNOWN, wall=None, measures=None, may_measure=())
        return replace(dropped, accepted=True, reader=word.speaker)
    wall = number.wall if word.wall is None else word.wall
    # The stretch that its ink spans was measured along the wall it was read on.
    span = number.span if wall == number.wall else None
    placed = replace(number, role=word.role or number.role, wall=wall, span=span)
    if word.role or word.wall is not None:
        told = Measures(placed.role, () if wall is None else (wall,), span, 1.0)
        placed = replace(placed, measures=told, may_measure=())
    if not word.says:
        return placed
    return replace(
        placed,
        text=word.text or number.text,
        value_mm=word.value_mm if word.text else number.value_mm,
        confidence=1.0,
        accepted=True,
        reader=word.speaker,
    )


def _of_the_desk(
    picture: str, reading: SketchReading, words: Sequence[Word], by_mail: Sequence[Word]
) -> SketchReading:
    numbering = numbering_of(picture, reading, words)
    said = _still_said([w for w in words if isinstance(w, NumberWord) and w.picture == picture])
    laid = overridden(with_missed(picture, reading, words), numbering, said)
    told = [w for w in by_mail if isinstance(w, NumberWord) and w.picture == picture and w.role]
    settled = {
        at: SettledNumber(w.role, w.wall, w.says, w.not_a_number)
        for w in (*told, *said)
        if (at := numbering.index(w.number)) is not None
    }
    if said or len(laid.numbers) > len(reading.numbers):
        laid = inferred_again(laid, settled)
    return laid


def _still_said(words: Sequence[NumberWord]) -> list[NumberWord]:
    """Without those that something is no length where somebody said afterwards what it says: what it measures is then
    as read."""
    return [
        word
        for n, word in enumerate(words)
        if not (word.not_a_number and any(w.number == word.number and w.says for w in words[n + 1 :]))
    ]


def joined_over(earlier: NumberWord, later: NumberWord) -> NumberWord:
    """Two words on one number as one: the later stands where it says something, the earlier where it does not."""
    if later.not_a_number:
        return later
    said = later if later.says else earlier
    return replace(
        later,
        text=said.text,
        value_mm=said.value_mm,
        confirmed=said.confirmed,
        not_a_number=earlier.not_a_number and not later.says,
        role=later.role or earlier.role,
        opening=later.opening if later.role else earlier.opening,
        wall=earlier.wall if later.wall is None else later.wall,
    )


def opening_kinds(numbering: Numbering, words: Iterable[Word]) -> dict[int, OpeningKind]:
    """What people said that openings are, by the index of the number that is the width."""
    kinds: dict[int, OpeningKind | None] = {}
    for word in words:
        if isinstance(word, NumberWord | AddedNumber) and word.role is not None:
            index = numbering.index(word.number)
            if index is not None:
                kinds[index] = word.opening
    return {index: kind for index, kind in kinds.items() if kind}


def with_plain_wall(reading: SketchReading, pieces: Set[int]) -> SketchReading:
    """The reading without the drawn openings of which nobody knows what they are, where a person said of the number on
    that very stretch (`pieces`: their indices) that it is a piece of wall."""
    left, weighed = list(reading.outline.features), with_numbers(reading).outline.features
    walls = {w.wall: w for w in reading.outline.walls}
    for number in (reading.numbers[i] for i in pieces if i < len(reading.numbers)):
        mine = [f for f in weighed if f.wall == number.wall and kind_of(f) is SectionKind.OPENING]
        if number.wall not in walls or number.role is not Role.SECTION:
            continue
        if (drawn := feature_at(number, along(walls[number.wall], number), mine)) is not None:
            left = [f for f in left if (f.wall, f.span) != (drawn.wall, drawn.span)]
    return replace(reading, outline=replace(reading.outline, features=tuple(left)))


def pieces_of_wall(numbering: Numbering, words: Iterable[Word]) -> set[int]:
    """The numbers of which a person said last that they are a piece of a wall, by index."""
    told: dict[int | None, Role] = {}
    for word in words:
        if isinstance(word, NumberWord | AddedNumber) and word.role is not None:
            told[numbering.index(word.number)] = word.role
    return {index for index, role in told.items() if index is not None and role is Role.SECTION}


def with_openings(reading: SketchReading, kinds: Mapping[int, OpeningKind]) -> SketchReading:
    """The reading with what people said that openings are: door, window or doorway, by the index of the number that is
    the width. What was taken for an opening on the same stretch of wall gives way."""
    drawn = list(reading.outline.features)
    for index, kind in kinds.items():
        number = reading.numbers[index] if index < len(reading.numbers) else None
        wall = next((w for w in reading.outline.walls if number and w.wall == number.wall), None)
        if number is None or wall is None or number.role is not Role.OPENING:
            continue
        at = along(wall, number)
        low, high = number.span or (max(at - A_LITTLE, 0.0), min(at + A_LITTLE, 1.0))
        drawn = [
            f for f in drawn if f.wall != wall.wall or not f.span or f.span[1] <= low or f.span[0] >= high
        ]
        drawn.insert(0, Feature(kind, wall.wall, (low, high), number.box))
    return replace(reading, outline=replace(reading.outline, features=tuple(drawn)))


def by_people(reading: SketchReading) -> dict[int, Correction]:
    """The numbers of a reading that a person gave, by index, for the trail of the room's measurements."""
    return {
        index: Correction(number.value_mm, GivenBy(number.reader), number.text)
        for index, number in enumerate(reading.numbers)
        if number.reader in PEOPLE
    }


def main_sketch(readings: Mapping[str, SketchReading], pictures: Sequence[Picture]) -> str:
    """The id of the sketch to draw the room from: the one with most numbers sure, then the latest; "" for none."""
    best, most = "", -1
    for picture in pictures:
        reading = readings.get(picture.id)
        if picture.subject is Subject.SKETCH and reading is not None and not picture.same_as:
            sure = sum(n.accepted and n.value_mm is not None for n in reading.numbers)
            if sure >= most:
                best, most = picture.id, sure
    return best
