"""What people said of a reading, laid over what was read. The reading itself is never changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from intake.domain.sketch.room_from_reading import along
from intake.model.picture import Picture, Subject
from intake.model.reading import Box, Feature, ReadNumber, Role, SketchReading
from intake.model.room import Correction

A_LITTLE = 0.02
"""Half the stretch of a wall that an opening without one is given: only its middle counts."""

PEOPLE = ("designer", "customer")
"""Readers that are people: their word stands in place of what was read."""


@dataclass(frozen=True)
class Override:
    """A person's word on number `number` of one picture's reading. None and "" leave what was read.

    `not_a_number`: the ink is something else. `confirmed`: it says what was read. A role or a wall alone tells what
    the number measures and leaves open what it says.
    """

    number: int
    text: str = ""
    value_mm: int | None = None
    role: Role | None = None
    wall: int | None = None
    not_a_number: bool = False
    confirmed: bool = False
    by: str = "designer"


def overridden(reading: SketchReading, overrides: Sequence[Override]) -> SketchReading:
    """The reading with each override laid over its number, which counts as accepted once its text is settled.

    Numbers keep their index, so that findings and boxes still point to them: what is no number keeps its box and
    loses its value, role and wall.
    """
    numbers = list(reading.numbers)
    for override in overrides:
        if 0 <= override.number < len(numbers):
            numbers[override.number] = _laid_over(numbers[override.number], override)
    return replace(reading, numbers=tuple(numbers))


def _laid_over(number: ReadNumber, override: Override) -> ReadNumber:
    if override.not_a_number:
        return replace(number, value_mm=None, role=Role.UNKNOWN, wall=None, accepted=True, reader=override.by)
    wall = number.wall if override.wall is None else override.wall
    # The stretch that its ink spans was measured along the wall it was read on.
    span = number.span if wall == number.wall else None
    placed = replace(number, role=override.role or number.role, wall=wall, span=span)
    if not (override.text or override.confirmed):
        return placed
    return replace(
        placed,
        text=override.text or number.text,
        value_mm=override.value_mm if override.text else number.value_mm,
        confidence=1.0,
        accepted=True,
        reader=override.by,
    )


@dataclass(frozen=True)
class Added:
    """A number that a person saw on the sketch and the reader did not."""

    text: str
    value_mm: int
    box: Box
    role: Role = Role.UNKNOWN
    wall: int | None = None
    by: str = "designer"


def with_added(reading: SketchReading, added: Sequence[Added]) -> SketchReading:
    """The reading with numbers that people saw appended, so that every number read keeps its index."""
    extra = tuple(ReadNumber(a.text, a.value_mm, a.box, 1.0, True, (), a.role, a.wall, a.by) for a in added)
    return replace(reading, numbers=reading.numbers + extra)


def with_openings(reading: SketchReading, kinds: Mapping[int, str]) -> SketchReading:
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
        index: Correction(number.value_mm, number.reader, number.text)
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
