"""Rooms out of square: against SciPy over free corners, the law of cosines, and rooms whose corners are known."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares

from fixtures.benchmark.square import drawn
from intake.domain.room.closing import examine_room
from intake.domain.room.net_building import ANGLE_SD_DEG, SHEAR_SHARE
from intake.model.room import Across, RoomSurvey
from intake.wording import desk
from tests.room.build import RECTANGLE, angle_from_diagonal, l_shape, length, wall


def four_walls(lengths: tuple[int, ...], *diagonals: int) -> RoomSurvey:
    walls = tuple(wall(n, d, (v,)) for n, (d, v) in enumerate(zip(RECTANGLE, lengths, strict=True)))
    across = tuple(
        Across(length(f"diagonal {n}", v, 7.0), corners=(n, n + 2)) for n, v in enumerate(diagonals)
    )
    return RoomSurvey(walls=walls, across=across)


def test_scipy_agrees_over_free_corners_and_bearings() -> None:
    """The same room by SciPy: eight coordinates and the shear, bearings by arctangent where ours are linear."""
    measured = (4003, 3007, 4011, 2994)
    spans = (5030, 4971)
    lean = math.radians(ANGLE_SD_DEG) * math.sqrt((1 - SHEAR_SHARE) / 2)
    racked = math.radians(ANGLE_SD_DEG) * math.sqrt(SHEAR_SHARE)

    def residuals(x: np.ndarray) -> np.ndarray:
        corners, shear = x[:8].reshape(4, 2), x[8]
        run = np.roll(corners, -1, axis=0) - corners
        lengths = np.hypot(*run.T)
        off = (
            np.arctan2(run[:, 1], run[:, 0]) - np.radians([0, 90, 180, 270]) - shear * np.array([0, 1, 0, 1])
        )
        off = (off + np.pi) % (2 * np.pi) - np.pi
        across = np.hypot(*(corners[2:] - corners[:2]).T)
        return np.concatenate(
            [(lengths - measured) / 5, off / lean, (across - spans) / 7, [shear / racked], corners[0] / 1e-3]
        )

    start = np.array([0, 0, 4000, 0, 4000, 3000, 0, 3000, 0], dtype=float)
    oracle = least_squares(residuals, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    corners = oracle.x[:8].reshape(4, 2)
    found = examine_room(four_walls(measured, *spans))
    runs = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    assert [r.adjusted_mm for r in found.readings[:4]] == pytest.approx(runs, abs=0.05)
    placed = found.placed.walls
    for i in range(4):
        for j in range(i):
            want = float(np.hypot(*(corners[i] - corners[j])))
            assert math.dist(placed[i].start, placed[j].start) == pytest.approx(want, abs=1.2)


@pytest.mark.parametrize("angle", [87.0, 88.0, 92.0, 93.0])
def test_a_sheared_room_is_drawn_as_it_stands(angle: float) -> None:
    """4 x 3 m with its first corner at `angle`: diagonals by the law of cosines, corners by trigonometry."""
    cosine = math.cos(math.radians(angle))
    long, short = (math.sqrt(4000**2 + 3000**2 + s * 2 * 4000 * 3000 * cosine) for s in (1, -1))
    placed = examine_room(four_walls((4000, 3000, 4000, 3000), round(long), round(short))).placed
    assert placed.squareness.out
    assert placed.squareness.corners_deg[0] == pytest.approx(angle, abs=0.1)
    want = (3000 * cosine, 3000 * math.sin(math.radians(angle)))
    assert math.dist(placed.walls[3].start, want) < 10


def test_one_diagonal_agrees_with_the_law_of_cosines_and_says_that_it_is_alone() -> None:
    placed = examine_room(four_walls((4000, 3000, 4000, 3000), 5042)).placed
    at_b = angle_from_diagonal(4000, 3000, 5042)
    assert placed.squareness.corners_deg[1] == pytest.approx(at_b, abs=0.1)
    assert "One diagonal alone" in desk.worded(placed.squareness.text)


def test_a_leaning_wall_is_told_and_drawn() -> None:
    """The right-hand wall leans out by 120 mm over 3 m: bottom 4120, wall 3002.4, diagonals by Pythagoras."""
    right, foot = round(math.hypot(120, 3000)), 4120
    one, two = round(math.hypot(4120, 3000)), 5000
    examination = examine_room(four_walls((4000, right, foot, 3000), one, two))
    assert examination.closes is True
    assert [f.code for f in examination.findings] == ["out-of-square"]
    assert math.dist(examination.placed.walls[2].start, (4120, 3000)) < 10
    assert examination.placed.squareness.corners_deg[1] == pytest.approx(92.3, abs=0.1)
    assert examination.placed.squareness.corners_deg[0] == pytest.approx(90.0, abs=0.1)


def test_without_a_diagonal_corners_are_taken_as_square_and_it_is_said() -> None:
    placed = examine_room(l_shape()).placed
    assert desk.worded(placed.squareness.text) == "Corners taken as square; not checked."
    assert placed.squareness.corners_deg == ()


def test_with_two_diagonals_it_is_said_how_square() -> None:
    placed = examine_room(four_walls((4000, 3000, 4000, 3000), 5003, 4999)).placed
    text = desk.worded(placed.squareness.text)
    assert text.startswith("Square to within ")
    assert "by 2 diagonals" in text


def test_the_spread_told_is_what_noise_makes_of_the_corner() -> None:
    """Twice the deviation over 4 m of the angle in 80 measurings of one square room, by simulation (the tape's noise
    drawn by NumPy, five and seven millimetres)."""
    rng = np.random.default_rng(5)
    off = []
    for _ in range(80):
        lengths = tuple(round(v + rng.normal(0, 5)) for v in (4000, 3000, 4000, 3000))
        one, two = (round(5000 + rng.normal(0, 7)) for _ in range(2))
        square = examine_room(four_walls(lengths, one, two)).placed.squareness
        off.append(math.radians((square.corners_deg[0] or 0.0) - 90.0) * 4000)
    told = dict(examine_room(four_walls((4000, 3000, 4000, 3000), 5000, 5000)).placed.squareness.text.gaps)
    assert told["spread"] == pytest.approx(2 * float(np.std(off)), rel=0.2)


def test_a_slip_in_a_room_with_diagonals_is_found_and_the_rest_keeps_its_angles() -> None:
    """96 written 69 in a wall of two sections, in a room two degrees out of square."""
    cosine = math.cos(math.radians(88.0))
    long, short = (math.sqrt(4000**2 + 3000**2 + s * 2 * 4000 * 3000 * cosine) for s in (1, -1))
    room = four_walls((4000, 3000, 4000, 3000), round(long), round(short))
    slipped = wall(0, RECTANGLE[0], (690, 3040), 4000)
    examination = examine_room(replace(room, walls=(slipped, *room.walls[1:])))
    assert examination.closes is False
    assert (examination.slips[0].reading, examination.slips[0].would_be_mm) == ("A1", 960)
    assert examination.placed.left_out == ("A1",)
    assert examination.placed.squareness.corners_deg[0] == pytest.approx(88.0, abs=0.2)


@pytest.mark.parametrize("diagonals", [(5000,), (5000, 5000)])
def test_a_wall_metres_out_is_found_beside_diagonals(diagonals: tuple[int, ...]) -> None:
    """The lesser sides of 4 x 3 m right, 13.5 written 613.5 in the longer: no angle of a room makes 5 m of that."""
    room = four_walls((4000, 3000, 4000, 3000), *diagonals)
    room = replace(room, across=(*room.across, Across(length("across", 3003, 7.0), walls=(0, 2))))
    slipped = (wall(0, RECTANGLE[0], (135, 3865), 4000), wall(2, RECTANGLE[2], (300, 3565, 6135)))
    examination = examine_room(replace(room, walls=(slipped[0], room.walls[1], slipped[1], room.walls[3])))
    assert (examination.slips[0].reading, examination.slips[0].would_be_mm) == ("C3", 135)
    assert examination.placed.squareness.diagonals
    assert [r.id for r in examination.readings if r.id in {a.length.id for a in room.across}] == ["across"]


def test_a_diagonal_that_the_walls_speak_against_is_the_slip() -> None:
    """5.0 written 5.6 from corner to corner of 4 x 3 m: the walls add up, and no corner is off by so many degrees."""
    examination = examine_room(four_walls((4000, 3000, 4000, 3000), 5000, 5600))
    assert examination.closes is False
    assert examination.slips[0].reading == "diagonal 1"


@pytest.mark.parametrize(
    ("kind", "diagonals"), [("sheared", 2), ("leaning", 2), ("leaning", 1), ("square", 2)]
)
def test_simulated_rooms_are_drawn_within_ten_millimetres(kind: str, diagonals: int) -> None:
    found = drawn(kind, 25, 7, diagonals)
    assert found.high_mm < 12
    assert found.median_mm < 7
    assert found.told == (0.0 if kind == "square" else 1.0)
    assert found.open == 0.0
