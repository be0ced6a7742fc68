"""What a letter says that a number stands beside is what the room shows there. Cases of our own; left and right are
those of somebody who faces the wall from inside."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from intake.domain.room.beside import stands_beside
from intake.domain.said.heights import with_heights
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.model.checklist import RoomKind
from intake.model.reading import Feature, OpeningKind, ReadNumber, Role, SketchOutline, SketchReading, Span
from intake.model.word import HeightWord, Way
from tests.room.readings import WALLS, box, number

Chances = Mapping[OpeningKind, float]
WINDOW, DOOR, DOORWAY = OpeningKind.WINDOW, OpeningKind.DOOR, OpeningKind.DOORWAY
LIKE_A_WINDOW = {WINDOW: 0.75, DOOR: 0.14, DOORWAY: 0.11}
A_TOSS_UP = {DOORWAY: 0.44, WINDOW: 0.36, DOOR: 0.2}
SURE = {WINDOW: 0.99, DOOR: 0.006, DOORWAY: 0.004}


def drawn(wall: int, span: Span, chances: Chances) -> Feature:
    kinds = tuple(chances.items())
    return Feature(kinds[0][0], wall, span, box(0, 0), kinds)


def on_wall(wall: int, width: str = "120") -> tuple[ReadNumber, ...]:
    """A wall of 95.5, an opening and 184.5, with its overall."""
    x, y = ((0, 80), (930, 0), (0, 720), (70, 0))[wall]
    at = [(x or 100 + 800 * t, y or 100 + 600 * t) for t in (0.15, 0.42, 0.8)]
    spans = ((0.0, 0.3), (0.3, 0.55), (0.55, 1.0))
    roles = (Role.SECTION, Role.OPENING, Role.SECTION)
    pieces = zip(("95.5", width, "184.5"), at, roles, spans, strict=True)
    return tuple(number(text, xy, role, wall, span=span) for text, xy, role, span in pieces)


def plan(
    *numbers: ReadNumber, features: tuple[Feature, ...] = (), words: tuple[str, ...] = ()
) -> SketchReading:
    said = tuple((word, box(420, 120)) for word in words)
    return SketchReading(1000, 800, "cm", numbers, SketchOutline(WALLS, True, features), words=said)


def beside(reading: SketchReading, kind: RoomKind = RoomKind.KITCHEN) -> list[tuple[str, ...]]:
    """What the first and the third number stand beside."""
    room = room_from_reading(reading, kind=kind)
    return [stands_beside(room, n) for n in (0, 2)]


def test_an_opening_that_is_taken_for_the_way_in_is_a_door() -> None:
    reading = plan(*on_wall(0, "86"), features=(drawn(0, (0.3, 0.55), LIKE_A_WINDOW),))
    assert beside(reading) == [("left of door", "top wall"), ("right of door", "top wall")]
    assert beside(reading, RoomKind.UNKNOWN)[0] == ("left of window", "top wall")


def test_a_gap_that_is_called_boxing_is_boxing() -> None:
    gap = drawn(0, (0.3, 0.55), {DOORWAY: 0.8, DOOR: 0.15, WINDOW: 0.05})
    reading = plan(*on_wall(0, "46"), features=(gap,), words=("boxing",))
    assert beside(reading)[0] == ("left of boxing", "top wall")


def test_a_toss_up_is_an_opening() -> None:
    reading = plan(*on_wall(0, "85"), features=(drawn(0, (0.3, 0.55), A_TOSS_UP),))
    assert beside(reading)[0] == ("left of opening", "top wall")


def test_an_opening_that_is_left_out_of_the_plan_stands_beside_nothing() -> None:
    """The numbers of the wall leave nothing for the gap that is drawn at its end."""
    gap = drawn(0, (0.93, 0.99), {DOORWAY: 0.8, DOOR: 0.15, WINDOW: 0.05})
    window = drawn(0, (0.3, 0.55), SURE)
    whole = number("400", (500, 50), Role.OVERALL, 0)
    reading = plan(*on_wall(0), whole, features=(window, gap))
    assert beside(reading)[1] == ("right of window", "top wall")
    assert stands_beside(room_from_reading(reading), 3) == ("window", "top wall")


def test_an_opening_whose_sill_is_told_in_words_is_a_window() -> None:
    room = room_from_reading(plan(*on_wall(0, "85"), features=(drawn(0, (0.3, 0.55), A_TOSS_UP),)))
    told = with_heights(room, (HeightWord(Role.SILL, "The sill is 104", 1040, way=Way.MAIL),))
    assert stands_beside(told, 0) == ("left of window", "top wall")


@pytest.mark.parametrize(
    ("wall", "says"),
    [
        (0, ("left of window", "top wall")),
        (1, ("left of window", "right wall")),
        (2, ("window", "bottom wall")),
        (3, ("left of window", "left wall")),
    ],
)
def test_the_side_is_told_but_where_the_paper_has_it_the_other_way(wall: int, says: tuple[str, ...]) -> None:
    assert beside(plan(*on_wall(wall), features=(drawn(wall, (0.3, 0.55), SURE),)))[0] == says


def test_a_sill_is_beside_its_own_window_and_a_number_of_no_wall_beside_nothing() -> None:
    sill, ceiling = number("105", (436, 140), Role.SILL, 0), number("240", (500, 400), Role.CEILING)
    room = room_from_reading(plan(*on_wall(0), sill, ceiling, features=(drawn(0, (0.3, 0.55), SURE),)))
    assert stands_beside(room, 3) == ("window", "top wall")
    assert stands_beside(room, 4) == ()
