"""Which piece of its wall each number is of, in order and by kind."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.sketch.room_from_reading import room_from_reading
from intake.model.reading import (
    Feature,
    OpeningKind,
    Role,
)
from intake.model.room import OPENINGS, SectionKind
from tests.room.readings import NUMBERS, WINDOW, box, number, reading


def test_of_two_numbers_at_one_door_each_is_of_the_piece_it_comes_to_in_order() -> None:
    """ "38 | 78.5 door 120" under the bottom wall, which runs to the left: 78.5 and 120 are both said to be the door's,
    and the 38 of the stretch where the 120 stands."""
    door = Feature(OpeningKind.DOOR, 2, (0.45, 0.85), box(380, 700))
    row = (
        ("120", 760, Role.OPENING, (0.45, 0.85)),
        ("78.5", 400, Role.OPENING, (0.45, 0.85)),
        ("38", 150, Role.SECTION, (0.0, 0.45)),
    )
    numbers = tuple(number(text, (x, 720), role, 2, span=span) for text, x, role, span in row)
    room = room_from_reading(reading((*(n for n in NUMBERS if n.wall != 2), *numbers), (WINDOW, door)))
    sections = room.walls[2].sections
    assert [s.length.value_mm for s in sections] == [1200, 785, 380]
    assert [s.kind for s in sections] == [SectionKind.WALL, SectionKind.DOOR, SectionKind.WALL]
    assert [s.share for s in sections] == [(0.0, 0.45), (0.45, 0.85), (0.85, 1.0)]


def test_of_two_numbers_of_one_stretch_the_one_beside_an_opening_is_its() -> None:
    spans = {"95.5": (0.0, 0.3), "120": (0.0, 0.3), "184.5": (0.6, 1.0)}
    numbers = tuple(replace(n, span=spans.get(n.text)) for n in NUMBERS)
    room = room_from_reading(reading(numbers, (Feature(OpeningKind.WINDOW, 0, (0.3, 0.6), box(460, 100)),)))
    top = room.walls[0].sections
    assert [(s.kind, s.length.value_mm) for s in top] == [
        (SectionKind.WALL, 955),
        (SectionKind.WINDOW, 1200),
        (SectionKind.WALL, 1845),
    ]
    assert top[1].share == (0.3, 0.6)


def test_of_two_numbers_of_one_stretch_the_one_beside_a_bare_stretch_is_its_and_both_are_wall() -> None:
    """Written "door 120" in the line below: the word stands between the door's own length and the wall's."""
    door = Feature(OpeningKind.DOOR, 2, (0.45, 0.85), box(380, 700))
    numbers = (
        number("120", (700, 750), Role.OPENING, 2, span=(0.0, 0.45)),
        number("78.5", (330, 750), Role.OPENING, 2, span=(0.45, 0.85)),
        number("38", (80, 690), Role.SECTION, 2, span=(0.0, 0.45)),
        number("236.5", (400, 600), Role.OVERALL, 2),
    )
    sections = room_from_reading(reading(numbers, (door,))).walls[2].sections
    assert [(s.kind, s.length.value_mm) for s in sections] == [
        (SectionKind.WALL, 1200),
        (SectionKind.DOOR, 785),
        (SectionKind.WALL, 380),
    ]


def test_of_two_numbers_at_one_opening_the_one_that_says_so_is_its() -> None:
    """A closed door of 90.3, wall of 16.8 and boxing beyond: the ink parts the wall and the boxing nowhere."""
    door = Feature(OpeningKind.DOOR, 0, (0.2, 0.4), box(300, 100))
    numbers = (
        number("18.2", (150, 80), Role.SECTION, 0, span=(0.0, 0.2)),
        number("90.3", (330, 80), Role.OPENING, 0, span=(0.2, 0.4)),
        number("16.8", (430, 80), Role.SECTION, 0, span=(0.2, 0.4)),
        number("48.6", (700, 80), Role.SECTION, 0, span=(0.4, 1.0)),
        number("41.7", (560, 80), Role.SECTION, 0, span=(0.4, 1.0)),
    )
    sections = room_from_reading(reading(numbers, (door,))).walls[0].sections
    assert [(s.kind, s.length.value_mm) for s in sections] == [
        (SectionKind.WALL, 182),
        (SectionKind.DOOR, 903),
        (SectionKind.WALL, 168),
        (SectionKind.WALL, 417),
        (SectionKind.WALL, 486),
    ]


def test_numbers_of_one_plain_stretch_keep_the_order_in_which_they_stand() -> None:
    """Wall, boxing, wall between two openings: the ink parts no stretch there, the numbers' places do."""
    numbers = tuple(
        number(text, (x, 80), Role.SECTION, 0, span=(0.2, 1.0))
        for text, x in (("54", 800), ("41.5", 600), ("32", 450))
    )
    first = number("42.5", (180, 80), Role.OPENING, 0, span=(0.0, 0.2))
    window = Feature(OpeningKind.WINDOW, 0, (0.0, 0.2), box(180, 100))
    sections = room_from_reading(reading((*numbers, first), (window,))).walls[0].sections
    assert [s.length.value_mm for s in sections] == [425, 320, 415, 540]


def test_a_wall_that_one_number_measures_whole_is_no_opening_because_a_gap_is_drawn_amid_it() -> None:
    whole = number("300", (930, 400), Role.SECTION, 1, span=(0.0, 1.0))
    gap = Feature(OpeningKind.DOORWAY, 1, (0.4, 0.6), box(900, 400))
    others = [n for n in NUMBERS if n.wall != 1]
    room = room_from_reading(reading((*others, whole), (WINDOW, gap)))
    assert [s.length.value_mm for s in room.walls[1].sections if s.kind is SectionKind.WALL] == [3000]
    assert not any(s.length.value_mm == 3000 for s in room.walls[1].sections if s.kind in OPENINGS)


@pytest.mark.parametrize(("overall", "kinds"), [("300", ["door", "wall", "wall"]), ("215", ["door", "wall"])])
def test_a_number_beside_a_door_without_one_is_of_the_wall_where_the_overall_leaves_room(
    overall: str, kinds: list[str]
) -> None:
    """A door's width that nobody wrote, as on a stranger's sheet: the overall says that 85 cm are left for it. Where it
    leaves nothing, the number in the door's stretch is the door's."""
    door = Feature(OpeningKind.DOOR, 1, (0.0, 0.3), box(900, 190))
    numbers = (
        number("35", (930, 330), Role.SECTION, 1, span=(0.0, 0.3)),
        number("180", (930, 550), Role.SECTION, 1, span=(0.3, 1.0)),
        number(overall, (980, 400), Role.OVERALL, 1),
    )
    sections = room_from_reading(reading(numbers, (door,))).walls[1].sections
    assert [s.kind.value for s in sections] == kinds
    assert [s.length.value_mm for s in sections] == [None, 350, 1800][3 - len(kinds) :]
