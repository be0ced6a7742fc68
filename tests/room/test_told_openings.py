"""What an opening is, by its width and the heights written at it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.sketch.room_from_reading import room_from_reading
from intake.domain.sketch.told_openings import width_odds, with_numbers
from intake.model.reading import OpeningKind, ReadNumber, Role, SketchOutline, SketchReading
from intake.model.room import Section
from tests.room.test_drawn_openings import opening
from tests.room.test_room_from_reading import WALLS, number

AS_LIKELY = (("doorway", 0.56), ("door", 0.44), ("window", 0.0001))
A_TOSS_UP = (("doorway", 0.44), ("window", 0.36), ("door", 0.2))
LIKE_A_DOORWAY = (("doorway", 0.9), ("window", 0.08), ("door", 0.02))
LEAVES_MM = (610, 626, 686, 726, 735, 762, 826, 838, 860, 926)
"""Widths of door leaves: BS 4787-1 in millimetres and in inches, DIN 18101 (from memory)."""


def section(reading: SketchReading) -> Section:
    (found,) = room_from_reading(reading).walls[0].sections
    return found


def of(width: str, chances: tuple[tuple[str, float], ...], *others: ReadNumber) -> SketchReading:
    """A plan with one opening, in the wall at the top."""
    wide = number(width, (450, 80), Role.OPENING, 0, span=(0.3, 0.55))
    return SketchReading(
        1000, 800, "cm", (wide, *others), SketchOutline(WALLS, True, (opening(0, (0.3, 0.55), chances),))
    )


@pytest.mark.parametrize("leaf", LEAVES_MM)
def test_a_gap_as_wide_as_a_door_leaf_is_a_door_where_the_ink_leaves_it_open(leaf: int) -> None:
    (drawn,) = with_numbers(of(f"{leaf / 10:g}", AS_LIKELY)).outline.features
    assert drawn.kind == "door"


@pytest.mark.parametrize("wide", ["110", "240"])
def test_a_gap_wider_than_any_leaf_stays_what_the_ink_says(wide: str) -> None:
    assert section(of(wide, AS_LIKELY)).kind == "doorway"


def test_what_stays_a_toss_up_is_left_for_a_person_to_tell() -> None:
    plan = of("85", A_TOSS_UP)
    assert section(plan).kind == "opening"
    (drawn,) = plan.outline.features
    said = replace(plan, outline=replace(plan.outline, features=(replace(drawn, kinds=()),)))
    assert section(said).kind == "doorway"


def test_a_length_that_no_opening_has_tells_nothing() -> None:
    odds = width_odds(40_000)
    assert max(odds.values()) < 1.01 * min(odds.values())


def test_a_sill_makes_what_looks_like_a_doorway_a_window_and_is_its_sill() -> None:
    for name, at, wall, kind in (
        ("at it", (440, 150), 0, "window"),
        ("far off", (440, 420), 0, "doorway"),
        ("another wall's", (440, 150), 1, "doorway"),
    ):
        found = section(of("120", LIKE_A_DOORWAY, number("105", at, Role.SILL, wall)))
        assert found.kind == kind, name
        assert (found.sill is not None) == (kind == "window"), name


def test_a_sill_nearer_to_a_sure_door_is_the_windows_of_its_wall() -> None:
    window = opening(0, (0.08, 0.38), (("window", 0.99), ("door", 0.006), ("doorway", 0.004)))
    door = opening(0, (0.5, 0.68), (("door", 0.95), ("window", 0.03), ("doorway", 0.02)))
    numbers = (
        number("120", (260, 80), Role.OPENING, 0, span=(0.08, 0.38)),
        number("95", (560, 80), Role.OPENING, 0, span=(0.5, 0.68)),
        number("105", (440, 140), Role.SILL, 0),
    )
    plan = SketchReading(1000, 800, "cm", numbers, SketchOutline(WALLS, True, (window, door)))
    found = [(s.kind.value, s.sill and s.sill.value_mm) for s in room_from_reading(plan).walls[0].sections]
    assert [each for each in found if each[0] != "wall"] == [("window", 1050), ("door", None)]


def test_a_top_above_the_floor_says_nothing_of_the_kind() -> None:
    assert section(of("120", LIKE_A_DOORWAY, number("205", (440, 150), Role.HEAD, 0))).kind == "doorway"


def test_what_a_person_said_stands() -> None:
    plan = of("76", AS_LIKELY, number("105", (440, 150), Role.SILL, 0))
    (drawn,) = plan.outline.features
    said = replace(drawn, kind=OpeningKind.DOORWAY, kinds=())
    plan = replace(plan, outline=replace(plan.outline, features=(said,)))
    assert with_numbers(plan) == plan
