"""A length that may as well be another wall's is marked, though every sum comes out. The rooms are invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from intake.domain.room.closing import examine_room
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.domain.sketch.settled import (
    LACKING,
    SETTLED,
    is_open_what_it_measures,
    is_settled,
    may_lack_a_length,
)
from intake.model.reading import GivenBy, Measures, ReadNumber, Role, SketchReading
from tests.room.readings import number, reading

ROOM = reading(
    (
        number("400", (500, 80), Role.SECTION, 0),
        number("300", (930, 400), Role.SECTION, 1),
        number("400", (500, 720), Role.SECTION, 2),
        number("300", (70, 400), Role.SECTION, 3),
        number("24", (820, 640), Role.FIXTURE, 1),
    ),
    (),
)


def _measuring(number: ReadNumber, chance: float, *others: tuple[Role, int, float]) -> ReadNumber:
    """The number, of its wall with this chance and of others with theirs."""
    assert number.wall is not None
    return replace(
        number,
        measures=Measures(number.role, (number.wall,), (0.0, 1.0), chance),
        may_measure=tuple(Measures(role, (wall,), (0.0, 1.0), share) for role, wall, share in others),
    )


def _doubtful(reading: SketchReading) -> set[str]:
    found = examine_room(room_from_reading(reading))
    assert found.closes
    return {r.id for r in found.readings if r.doubtful}


def _with(reading: SketchReading, at: int, number: ReadNumber) -> SketchReading:
    return replace(reading, numbers=(*reading.numbers[:at], number, *reading.numbers[at + 1 :]))


def test_a_length_that_may_be_another_walls_is_marked_in_a_room_that_closes() -> None:
    first = ROOM.numbers[0]
    unsure = _measuring(first, SETTLED - 0.01, (Role.SECTION, 2, 1.0 - SETTLED))
    assert _doubtful(ROOM) == set()
    assert "A1" in _doubtful(_with(ROOM, 0, unsure))
    assert _doubtful(_with(ROOM, 0, _measuring(first, SETTLED))) == set()


@pytest.mark.parametrize(("role", "wall", "known"), [(Role.OVERALL, 0, True), (Role.SECTION, 1, False)])
def test_a_part_or_the_whole_of_one_wall_is_one_place(role: Role, wall: int, known: bool) -> None:
    number = ROOM.numbers[0]
    assert is_settled(_measuring(number, 0.5, (role, wall, 0.45))) is known


def test_what_is_no_length_of_a_wall_leaves_none_in_doubt() -> None:
    number = replace(ROOM.numbers[0], role=Role.CEILING)
    assert is_settled(_measuring(number, 0.4)) and is_settled(replace(number, measures=None))


def test_a_wall_whose_piece_may_be_told_as_something_else_is_marked() -> None:
    for chance, walls in ((LACKING, {3}), (LACKING - 0.01, set())):
        told = _with(ROOM, 4, _measuring(ROOM.numbers[4], 1.0 - chance, (Role.SECTION, 3, chance)))
        assert may_lack_a_length(told) == walls
        assert _doubtful(told) == ({"D1"} if walls else set())


@pytest.mark.parametrize(
    ("given", "open_"),
    [
        ({"accepted": False}, True),
        ({"accepted": True, "reader": GivenBy.CUSTOMER}, True),
        ({"accepted": True, "reader": GivenBy.DESIGNER}, False),
        ({"accepted": True}, False),
        ({"accepted": False, "may_measure": ()}, True),
        ({"accepted": False, "measures": Measures(Role.SECTION, (0,), None, 0.97)}, False),
    ],
    ids=["as read", "the customer's", "a designer's", "sure", "or nothing", "its own wall's"],
)
def test_whose_wall_a_length_is_stays_open_until_a_designer_says_so(
    given: dict[str, Any], open_: bool
) -> None:
    """What a customer confirms is what it says."""
    read = replace(
        number("120", (500, 80), Role.SECTION, 0),
        measures=Measures(Role.SECTION, (0,), None, 0.6),
        may_measure=(Measures(Role.SECTION, (1,), None, 0.4),),
    )
    assert is_open_what_it_measures(replace(read, **given)) is open_
