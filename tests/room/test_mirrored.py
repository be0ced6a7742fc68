"""A splay that lengths alone leave two places for; corners by Pythagoras: 500 down in a wall of 707 is 500 along."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.room.closing import examine_room
from intake.model.examination import Basis, RoomExamination
from intake.model.reading import Direction
from intake.model.room import RoomSurvey
from intake.wording import desk
from tests.room.build import wall


def cut_corner(slant: float | None, foot: int | None = None) -> RoomExamination:
    """4 m x 3 m with a splay of 707 from (4000, 2500) to the bottom wall, which is not measured unless told."""
    walls = (
        wall(0, Direction.EAST, (4000,)),
        wall(1, Direction.SOUTH, (2500,)),
        wall(2, Direction.OTHER, (707,), slant=slant),
        wall(3, Direction.WEST, () if foot is None else (foot,)),
        wall(4, Direction.NORTH, (3000,)),
    )
    return examine_room(RoomSurvey(walls=walls))


@pytest.mark.parametrize(
    ("slant", "foot"), [(135.0, 3500), (120.0, 3500), (150.0, 3500), (45.0, 4500), (60.0, 4500)]
)
def test_the_slant_that_was_told_holds(slant: float, foot: int) -> None:
    placed = cut_corner(slant).placed
    assert placed.walls[2].end == pytest.approx((foot, 3000), abs=1)
    assert placed.walls[3].basis is Basis.DERIVED
    assert placed.other_corners == ()


def test_two_outlines_that_fit_alike_are_both_given_and_nothing_is_derived() -> None:
    examination = cut_corner(None)
    placed = examination.placed
    assert {placed.walls[2].end[0], placed.other_corners[3][0]} == {3500, 4500}
    assert all(w.basis is not Basis.DERIVED for w in placed.walls)
    assert placed.area_mm2 is None
    text = next(desk.worded(f.text) for f in examination.findings if f.code == "two-outlines")
    assert "350" in text and "450" in text


def test_a_length_that_tells_them_apart_leaves_one() -> None:
    placed = cut_corner(None, 3500).placed
    assert placed.other_corners == ()
    assert placed.walls[2].end == (3500, 3000)


def test_a_derived_length_has_its_deviation() -> None:
    """3500 = 4000 - sqrt(707^2 - 500^2): by propagation sd^2 = 5^2 + (707/500 5)^2 + (500/500)^2 (5^2 + 5^2), 11.2."""
    wall_d = cut_corner(135.0).placed.walls[3]
    assert wall_d.sd_mm == pytest.approx(11.2, abs=0.1)
    assert replace(wall_d, sd_mm=None).length_mm == 3500
