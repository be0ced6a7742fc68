"""A length that may as well be another wall's is marked, though every sum comes out. The rooms are invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from intake.domain.room.closing import examine_room
from intake.domain.said.plan_numbers import by_people, laid_over
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.domain.sketch.settled import (
    LACKING,
    SETTLED,
    is_open_what_it_measures,
    is_settled,
    may_lack_a_length,
)
from intake.model.reading import GivenBy, Measures, ReadNumber, Role, SketchReading
from intake.model.word import NumberWord, PlanNumber, Way
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


WORDS = {
    "by mail": (
        NumberWord(PlanNumber("plan", read=0), way=Way.MAIL, by="", text="400", value_mm=4000),
        {"A1", "C1"},
    ),
    "looked at": (NumberWord(PlanNumber("plan", read=0), way=Way.DESK, by="anna", confirmed=True), set()),
    "placed": (
        NumberWord(PlanNumber("plan", read=0), way=Way.DESK, by="anna", role=Role.SECTION, wall=0),
        set(),
    ),
    "no number": (
        NumberWord(PlanNumber("plan", read=4), way=Way.DESK, by="anna", not_a_number=True),
        {"A1", "C1"},
    ),
}


@pytest.mark.parametrize("words", WORDS)
def test_a_designers_word_settles_of_which_wall_a_length_is_and_a_customers_yes_does_not(words: str) -> None:
    """A yes by mail is to the digits; the wall opposite may lack the length as much as its own has it too much."""
    word, doubtful = WORDS[words]
    unsure = replace(_measuring(ROOM.numbers[0], 0.6, (Role.SECTION, 2, 0.4)), accepted=False)
    told = laid_over({"plan": _with(ROOM, 0, unsure)}, (word,))["plan"]
    found = examine_room(room_from_reading(told, by_people(told)))
    assert {r.id for r in found.readings if r.doubtful} == doubtful


def test_a_thing_that_a_designer_has_named_leaves_no_wall_short() -> None:
    perhaps = _measuring(replace(ROOM.numbers[4], accepted=False), 0.7, (Role.SECTION, 3, 0.3))
    read = _with(ROOM, 4, perhaps)
    for more in ({"not_a_number": True}, {"role": Role.FIXTURE}, {"confirmed": True}):
        word = NumberWord(PlanNumber("plan", read=4), way=Way.DESK, by="anna", **more)  # type: ignore[arg-type]
        assert may_lack_a_length(read) == {3} and not may_lack_a_length(
            laid_over({"plan": read}, (word,))["plan"]
        )
