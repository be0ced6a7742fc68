"""Numbers that stand at one wall and were found to be of another, or of none, and clear ones whose ink was found to say
something else: the customer may have written them there, or so, by a slip (domain/room/elsewhere and left_over weigh
what that would mend)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from intake.domain.sketch.meaning import CLEAR
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.reading import Role, SketchReading
from intake.model.room import Astray, Measurement, Wall

LOOKS_ASTRAY = 0.2
"""A number that looks less like a section than this is what it was found to be (on 220 clean sheets five numbers have
the length of a section beside them by chance, all of which look so by less than .14)."""
FETCHED = 0.03
"""A section of a chain that is of its wall with less than this by where it stands is told of (of some 5,000 such
numbers of validation sheets five, two of them slips). A short wall by itself has no room for its number."""
_ALONG = (Role.SECTION, Role.OPENING, Role.OVERALL)


def astray(reading: SketchReading) -> Iterator[tuple[int, int, float]]:
    """Numbers that look like a section of the wall that they stand at, and were found to be no length of a wall: the
    index of each, the place of that wall in the outline, and how likely it is a section there by the drawing alone."""
    places = {w.wall: n for n, w in enumerate(sorted(reading.outline.walls, key=lambda w: w.wall))}
    for i, number in enumerate(reading.numbers):
        seen = number.sighting
        if seen is None or number.role in _ALONG or not number.legible or number.value_mm is None:
            continue
        looks = seen.roles.get(Role.SECTION, 0.0) + seen.roles.get(Role.OPENING, 0.0)
        at = max(seen.stands, key=lambda stand: stand.weight, default=None)
        if at is not None and at.wall in places and looks > LOOKS_ASTRAY:
            yield i, places[at.wall], looks


def stand_elsewhere(reading: SketchReading, walls: Sequence[Wall]) -> Iterator[tuple[Astray, Finding]]:
    """Each section of a chain that stands at another wall, with a finding that says so."""
    outline = sorted(reading.outline.walls, key=lambda w: w.wall)
    places = {o.wall: w for o, w in zip(outline, walls, strict=True)}
    for i, number in enumerate(reading.numbers):
        wall = places.get(number.wall) if number.wall is not None else None
        mine = [s.length for s in wall.sections if s.length.number == i] if wall else []
        shares = {stand.wall: stand.weight for stand in number.sighting.stands} if number.sighting else {}
        if wall is None or len(wall.sections) < 2 or not mine or not shares:
            continue
        if shares.get(number.wall or 0, 0.0) < FETCHED:
            there = places[max(shares, key=lambda w: shares[w])]
            said = phrase("stands-at-another-wall", read=number.text, there=there.letter, wall=wall.letter)
            at = Astray(mine[0], there.index, max(shares.values()))
            yield at, Finding("stands-at-another-wall", said, (i,))


_FEWEST_DIGITS = 2
"""A single digit may be the rest of a longer number, however clear it is."""


def spoken_against(reading: SketchReading, walls: Sequence[Wall]) -> Iterator[Measurement]:
    """Lengths of the walls whose ink is clear and from which none was taken, with what it says."""
    for wall in walls:
        for length in (*(s.length for s in wall.sections), *wall.overalls):
            number = None if length.number is None else reading.numbers[length.number]
            if number is None or number.legible or number.sighting is None or length.value_mm is not None:
                continue
            first = number.sighting.texts[0]
            clear = first.confidence >= CLEAR and sum(c.isdigit() for c in first.text) >= _FEWEST_DIGITS
            if clear and first.text == number.text:
                yield replace(length, value_mm=number.value_mm)
