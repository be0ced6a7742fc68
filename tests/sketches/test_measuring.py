"""Rooms, what was measured in them, planted slips and the written form of a length."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from fixtures.sketches.furnish import random_room
from fixtures.sketches.measuring import OUT_OF_PLACE, SLIPS, Survey, measure, plant
from fixtures.sketches.rooms import Piece, Room, Wall, cut_walls
from fixtures.sketches.shapes import SHAPES, cut_corner, push_wall, random_outline, rectangle
from fixtures.sketches.wording import Wording, value_mm


@pytest.mark.parametrize("shape", sorted(SHAPES))
def test_outlines_of_every_shape_are_simple_and_clockwise(shape: str) -> None:
    rng = np.random.default_rng(11)
    for _ in range(40):
        polygon = Polygon(random_outline(rng, shape))
        # Oracle: shapely (GEOS).
        assert polygon.is_valid and polygon.exterior.is_ccw


def test_an_l_shape_has_the_area_worked_out_by_hand() -> None:
    # 400 x 360 cm less 150 x 110: (0,0) (400,0) (400,250) (250,250) (250,360) (0,360) = 127,500 cm2.
    outline = cut_corner(rectangle(4000, 3600), 2, 1100, 1500)
    assert outline == [(0, 0), (4000, 0), (4000, 2500), (2500, 2500), (2500, 3600), (0, 3600)]
    assert Polygon(outline).area == 12_750_000


def test_a_wall_pushed_in_takes_its_rectangle_out_of_the_floor() -> None:
    outline = push_wall(rectangle(4000, 3000), 1, 500, 1200, 300)
    assert Polygon(outline).area == 4000 * 3000 - 1200 * 300


def test_a_room_whose_pieces_do_not_fill_its_wall_is_refused() -> None:
    walls = [Wall((Piece("solid", mm),)) for mm in (4000, 3000, 4000, 2990)]
    with pytest.raises(ValueError, match="pieces"):
        Room("kitchen", "rectangle", ((0, 0), (4000, 0), (4000, 3000), (0, 3000)), tuple(walls))


def test_a_room_can_be_written_down_wall_by_wall() -> None:
    corners = ((0, 0), (4000, 0), (4000, 2500), (0, 2500))
    walls = cut_walls(
        corners, {0: [(955, Piece("window", 1200))], 2: [(0, Piece("doorway", 800))]}, overalls=[0]
    )
    # The room oracle's north wall: 95.5 + 120 + 184.5 = 400 cm.
    assert [(piece.kind, piece.mm) for piece in walls[0].pieces] == [
        ("solid", 955),
        ("window", 1200),
        ("solid", 1845),
    ]
    assert [piece.kind for piece in walls[2].pieces] == ["doorway", "solid"]
    room = Room("kitchen", "rectangle", corners, walls)
    roles = [str(m.role) for m in measure(room, np.random.default_rng(0)).measures]
    assert roles.count("overall") == 1 and "ceiling-height" not in roles


def test_measuring_noise_has_the_sigma_asked_for() -> None:
    rng = np.random.default_rng(3)
    room = random_room(rng)
    errors = [m.mm - m.true_mm for _ in range(300) for m in measure(room, rng, 4.0).measures]
    # Rounding to 5 mm adds a variance of 25 / 12.
    assert np.std(errors) == pytest.approx(np.sqrt(16 + 25 / 12), rel=0.1)
    assert {(m.mm % 5) for m in measure(room, rng).measures} == {0}


def _with_a_place_for(slip: str) -> Survey:
    rng = np.random.default_rng(21)
    for _ in range(200):
        survey = plant(measure(random_room(rng), rng), rng, slip)
        if survey.slips:
            return survey
    raise AssertionError(f"no room of 200 has a place for {slip}")


@pytest.mark.parametrize("slip", SLIPS)
def test_a_planted_slip_is_recorded_and_changes_what_is_written(slip: str) -> None:
    survey = _with_a_place_for(slip)
    (record,) = survey.slips
    spoiled = [m for m in survey.measures if m.slip]
    assert record["slip"] == slip
    if slip == "section-missing":
        assert not spoiled and survey.left_out == ((record["wall"], record["piece"]),)
        return
    assert [m.slip for m in spoiled] == [slip]
    written = spoiled[0].literal or Wording().write(spoiled[0].mm)
    assert value_mm(written, "cm") != record["meant_mm"]


def test_what_stands_in_the_wrong_place_says_what_is_meant() -> None:
    for slip in OUT_OF_PLACE:
        survey = _with_a_place_for(slip)
        (moved,) = (m for m in survey.measures if m.slip)
        (record,) = survey.slips
        there = [
            m for m in survey.measures if (m.wall, m.piece, m.role) == (moved.wall, moved.piece, moved.role)
        ]
        assert record["written"] == record["meant_mm"] == moved.mm
        assert (len(there), moved.beside) == (
            (2, None) if slip == "written-twice" else (1, (moved.wall or 0) + 1 if moved.beside else 0)
        )


def test_slips_have_the_signatures_of_the_catalogue() -> None:
    ten_times = _with_a_place_for("mm-for-cm")
    (spoiled,) = (m for m in ten_times.measures if m.slip)
    assert value_mm(spoiled.literal, "cm") == 10 * spoiled.mm
    swapped = _with_a_place_for("digits-swapped")
    (spoiled,) = (m for m in swapped.measures if m.slip)
    difference = int(spoiled.literal) - spoiled.mm // 10
    # Casting out nines: exchanging two digits changes a number by a multiple of nine.
    assert difference and difference % 9 == 0


@given(st.integers(1, 1600), st.sampled_from(["cm", "mm", "m"]), st.sampled_from(".,·"), st.booleans())
def test_what_is_written_is_what_is_meant(halves: int, unit: str, mark: str, suffix: bool) -> None:
    wording = Wording(unit=unit, mark=mark, suffix=unit if suffix else "")
    assert value_mm(wording.write(halves * 5), unit) == halves * 5


@given(st.integers(30, 9000), st.sampled_from(["'", "ft"]))
def test_feet_and_inches_are_right_to_half_an_inch(mm: int, sign: str) -> None:
    # The international inch is 25.4 mm exactly (1959 agreement).
    meant = value_mm(Wording(unit="ft", feet_sign=sign).write(mm), "ft")
    assert meant is not None and abs(meant - mm) <= 25.4 / 2 + 0.5


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("386.5", "cm", 3865),
        ("95,5", "cm", 955),
        ("20·5", "cm", 205),
        ("2.40", "m", 2400),
        ("5'3\"", "cm", 1600),
        ("14'6\"", "cm", 4420),
        ("5ft 3", "cm", 1600),
        ("1200 mm", "cm", 1200),
        ("120cm", "mm", 1200),
        ("door", "cm", None),
    ],
)
def test_written_lengths_mean_what_a_reader_takes_them_for(text: str, unit: str, mm: int | None) -> None:
    assert value_mm(text, unit) == mm
