"""Whether it is settled of which wall a number is a length: the sums of a room bear out how long its walls are
together, and say nothing of two lengths that have changed places."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from intake.domain.sketch.meaning import ALONG
from intake.model.reading import GivenBy, ReadNumber, Role, SketchReading

SETTLED = 0.85
"""A length is of its wall, be it a part or the whole, at least this likely. Of 6,049 accepted lengths on 450 validation
sheets of nine drawers (`fixtures.benchmark.whole`, seeds from 930000 on) 104 are less, 26 of which are of another wall
or measure something else; of the 5,945 others 57."""
_LENGTHS = (*ALONG, Role.OPENING)


def settled(wall: object, sure: float, others: Iterable[tuple[Role, object, float]]) -> bool:
    """Of a length along `wall` (a wall, or the walls or levels that it joins) with the chance `sure`; `others` are the
    roles, places and chances of its other meanings."""
    return sure + sum(chance for role, at, chance in others if role in _LENGTHS and at == wall) >= SETTLED


def is_settled(number: ReadNumber) -> bool:
    """The same of a number that was read; what is no length along a wall leaves none in doubt."""
    told = number.measures
    if told is None or told.role not in _LENGTHS:
        return True
    return settled(told.walls, told.chance, ((m.role, m.walls, m.chance) for m in number.may_measure))


MAYBE_OF_A_WALL = 0.1
"""The chance from which on a number that is taken for a height, a reveal or a thing may be a piece of a wall after all:
of 47 such on 500 sheets of strangers 40 were taken wrongly (counted by a program outside the project)."""


def is_open_what_it_measures(number: ReadNumber) -> bool:
    """Whether a number that no designer has settled may be a piece of a wall though it is taken for something else, or
    another wall's: then the question is not what it says, which a customer may confirm, but what it measures."""
    sure = number.accepted and number.reader != GivenBy.CUSTOMER
    if sure or number.reader == GivenBy.DESIGNER:
        return False
    if number.role in _LENGTHS:
        return not is_settled(number)
    return any(m.role is Role.SECTION and m.chance >= MAYBE_OF_A_WALL for m in number.may_measure)


LACKING = 0.15
"""A wall lacks a length where a number that was found to measure something else is one of it at least this likely: of
24 such walls without a mark on the same sheets six were wrong."""


def may_lack_a_length(reading: SketchReading) -> frozenset[int]:
    """The walls that are too short, or whose sums come out by chance, if a number that no designer has looked at is
    theirs after all."""
    open_ = [n for n in reading.numbers if n.measures is not None and n.reader != GivenBy.DESIGNER]
    return frozenset(wall for number in open_ for wall in _perhaps_of(number))


def _perhaps_of(number: ReadNumber) -> Iterator[int]:
    """The walls that a number may be a length of beside the one that it was found to be of."""
    told = number.measures
    for (wall,) in {m.walls for m in number.may_measure if len(m.walls) == 1}:
        along = sum(m.chance for m in number.may_measure if m.role in _LENGTHS and m.walls == (wall,))
        is_its_own = told is not None and told.role in _LENGTHS and told.walls == (wall,)
        if along >= LACKING and not is_its_own:
            yield wall
