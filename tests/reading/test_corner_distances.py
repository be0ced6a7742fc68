"""Diagonals, told from other numbers amid the room by Pythagoras. The room is that of test_inference, 400 by 300."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from scipy import stats

from intake.domain.lengths.plausible import USUAL
from intake.domain.sketch import corner_distances as across_corners
from intake.domain.sketch.corner_distances import Diagonal, corner_distances, diagonal_log
from intake.domain.sketch.meaning import Meaning
from intake.domain.sketch.outline_levels import Levels
from intake.domain.sketch.what_numbers_measure import infer
from intake.model.reading import Direction, OutlineWall, Role
from intake.model.room import OVERALL_SIGMA_MM
from tests.reading.test_inference import (
    EAST,
    FIRST,
    OVERALL,
    SECOND,
    SOUTH,
    THIRD,
    WALLS,
    WEST,
    WHOLE,
    room,
    seen,
)

UNSURE = {Role.CEILING: 0.5, Role.UNKNOWN: 0.3, Role.DIAGONAL: 0.05, Role.FIXTURE: 0.1}


@pytest.mark.parametrize(
    ("text", "role"), [("500", Role.DIAGONAL), ("250", Role.CEILING), ("460", Role.UNKNOWN)]
)
def test_pythagoras_tells_a_diagonal(text: str, role: Role) -> None:
    """In a room of 400 by 300 from corner to corner are 500, and nothing else is a diagonal."""
    across = replace(seen(0, (0.0, 1.0), (text, 0.97), roles=UNSURE), at=(500.0, 400.0), amid=True)
    assert room(FIRST, SECOND, THIRD, WHOLE, *SOUTH, across).numbers[-3].meaning.role is role


def test_pythagoras_asks_the_lengths_that_agree_and_only_of_what_stands_amid_the_room() -> None:
    """300 in place of 400 beside sections of 400 makes no other diagonal; 500 beside a wall may be anything."""
    slip = seen(0, (0.0, 1.0), ("300", 0.97), roles=OVERALL)
    number = replace(seen(0, (0.0, 1.0), ("500", 0.97), roles=UNSURE), at=(500.0, 400.0))
    amid, beside = (
        room(FIRST, SECOND, THIRD, slip, *SOUTH, replace(number, amid=a)).numbers[-3] for a in (True, False)
    )
    assert amid.meaning.role is Role.DIAGONAL and amid.sure > 0.95
    assert beside.meaning.role is not Role.DIAGONAL or beside.sure < 0.7


@pytest.mark.parametrize("place", [0, 1, 4, 5])
def test_a_diagonal_is_no_length_across_the_room_that_speaks_against_another(place: int) -> None:
    """The ink says span rather than diagonal, and a sure section beside it would have to say nothing."""
    spanned = {Role.OVERALL: 0.6, Role.DIAGONAL: 0.1, Role.UNKNOWN: 0.1}
    across = replace(
        seen(0, (0.0, 1.0), ("500", 0.97), roles=spanned), at=(500.0, 400.0), amid=True, across=0.6
    )
    others = [FIRST, SECOND, THIRD, EAST, WEST]
    found = infer([*others[:place], across, *others[place:]], WALLS, "cm").numbers
    assert found[place].meaning.role is Role.DIAGONAL
    assert [n.text for n in found if n is not found[place]] == ["95.5", "120", "184.5", "300", "300"]


@pytest.mark.parametrize("place", [0, 1, 2])
def test_two_lengths_tell_a_diagonal_wherever_it_stands_among_them(place: int) -> None:
    """One of each direction, the one along the top read none too surely."""
    spanned = {Role.OVERALL: 0.6, Role.DIAGONAL: 0.05, Role.UNKNOWN: 0.1}
    across = replace(
        seen(0, (0.0, 1.0), ("500", 0.97), roles=spanned), at=(500.0, 400.0), amid=True, across=0.3
    )
    others = [EAST, seen(0, (0.0, 1.0), ("400", 0.6))]
    found = infer([*others[:place], across, *others[place:]], WALLS, "cm").numbers[place]
    assert found.meaning.role is Role.DIAGONAL and found.sure > 0.9


def test_distances_between_corners_are_as_sure_as_the_lengths_they_rest_on() -> None:
    """4 x 3 m by one wall each: 5 m, its deviation by the law of propagation of errors (JCGM 100:2008, 5.1.2)."""
    levels = Levels(WALLS)
    lengths = [Meaning(0, v, Role.SECTION, w, None, None, 0.0) for w, v in ((0, 4000.0), (1, 3000.0))]
    for distance in corner_distances(lengths, levels, 5.0):
        assert distance.length_mm == pytest.approx(5000, abs=1)
        assert distance.sd_mm == pytest.approx(math.hypot(0.8 * 5, 0.6 * 5), abs=0.1)
    unknown = corner_distances(lengths[:1], levels, 5.0)
    assert min(d.sd_mm for d in unknown) > 300
    assert diagonal_log(5000.0, (500.0, 400.0), unknown, levels) < 1.5


L_SHAPE = ((100.0, 100.0), (900.0, 100.0), (900.0, 340.0), (600.0, 340.0), (600.0, 700.0), (100.0, 700.0))


def outline(*corners: tuple[float, float]) -> Levels:
    found = []
    for n, (a, b) in enumerate(zip(corners, (*corners[1:], corners[0]), strict=True)):
        x, y = np.sign(np.subtract(b, a))
        way = Direction.OTHER if x and y else "WE"[int(x > 0)] if x else "NS"[int(y > 0)]
        found.append(OutlineWall(n, a, b, Direction(way)))
    return Levels(found)


def along(wall: int, *sections: float | None) -> list[Meaning]:
    return [Meaning(0, v, Role.SECTION, wall, None, None, 0.0) for v in sections]


def test_distances_in_an_l_rest_on_the_walls_whose_lengths_are_known() -> None:
    """Pythagoras, deviations as above. The north wall in two pieces, the west one by its overall; a piece of the south
    wall is unread, so that the step is as long as it is drawn, about."""
    levels = outline(*L_SHAPE)
    west = Meaning(0, 3000.0, Role.OVERALL, 5, None, levels.of_wall(5), 0.0)
    ceiling = Meaning(0, 2400.0, Role.CEILING, None, None, levels.of_wall(0), 0.0)
    known = [*along(0, 955.0, 3145.0), *along(1, 1100.0), *along(4, 955.0, None), west, ceiling]
    found = {d.corners: d for d in corner_distances(known, levels, 5.0)}
    assert set(found) == {(a, b) for a, b in combinations(range(6), 2) if b - a not in (1, 5)}
    assert found[0, 2].length_mm == pytest.approx(math.hypot(4100, 1100), abs=1)
    assert found[1, 5].length_mm == pytest.approx(math.hypot(4100, 3000), abs=1)
    share = 4100 / found[0, 2].length_mm
    want = math.hypot(share * 5 * math.sqrt(2), math.sqrt(1 - share**2) * 5)
    assert found[0, 2].sd_mm == pytest.approx(want, abs=0.1)
    share = 4100 / found[1, 5].length_mm
    want = math.hypot(share * 5 * math.sqrt(2), math.sqrt(1 - share**2) * OVERALL_SIGMA_MM)
    assert found[1, 5].sd_mm == pytest.approx(want, abs=0.1)
    assert found[0, 3].length_mm == pytest.approx(math.hypot(2500, 1100), abs=80)
    assert found[0, 3].sd_mm > 300


def test_the_diagonals_drawn_are_the_lines_between_corners_that_share_no_wall() -> None:
    """Of 800 by 600 pixels two of 1,000 (Pythagoras). An L has nine, the shortest across its inner corner; a triangle
    none, so that it stands by the size of the whole."""
    assert Levels(WALLS).diagonals() == pytest.approx((1000.0, 1000.0))
    found = outline(*L_SHAPE).diagonals()
    assert len(found) == 9 and min(found) == pytest.approx(math.hypot(300, 240))
    triangle = outline((100, 100), (500, 100), (100, 400))
    assert triangle.diagonals() == (triangle.diagonal,)


def test_a_slanting_wall_says_nothing_of_the_corners() -> None:
    """4 x 3 m with a corner cut off: its length is on neither axis."""
    levels = outline((100, 100), (700, 100), (900, 300), (900, 700), (100, 700))
    known = [*along(0, 3000.0), *along(3, 4000.0), *along(2, 2000.0)]
    assert corner_distances([*known, *along(1, 1400.0)], levels, 5.0) == corner_distances(known, levels, 5.0)


def test_a_diagonal_is_as_likely_as_the_normal_about_its_distance_says() -> None:
    """Against SciPy: as broad as the distance is unsure, the tape reads, and corners are off the square."""
    levels, one = Levels(WALLS), Diagonal((0, 2), 5000.0, 12.0)
    sd = math.hypot(12.0, OVERALL_SIGMA_MM, across_corners._OUT_OF_SQUARE_MM)
    for value in (4980.0, 5000.0, 5040.0, 5300.0):
        usual = USUAL[Role.DIAGONAL].density(value)
        told = stats.norm(5000.0, sd).pdf(value) * value / usual
        want = math.log((1.0 - across_corners._OTHERWISE) * told + across_corners._OTHERWISE)
        assert diagonal_log(value, (500.0, 400.0), [one], levels) == pytest.approx(want)
    assert diagonal_log(5000.0, (500.0, 400.0), [], levels) == 0.0


def test_a_diagonal_is_sooner_the_line_that_it_is_written_on() -> None:
    """5 m falls one way and 4 m the other: by the first it is likeliest, off both and past their ends as anywhere.
    The others stand off a line by twice the spread, .24 of it: exp(-2) of what stands on it."""
    levels = Levels(WALLS)
    two = [Diagonal((0, 2), 5000.0, 5.0), Diagonal((1, 3), 4000.0, 5.0)]
    first, second, far, past = (
        diagonal_log(5000.0, at, two, levels)
        for at in ((300.0, 250.0), (700.0, 250.0), (500.0, 100.0), (20.0, 40.0))
    )
    assert first - far == pytest.approx(math.log(2 / (1 + math.exp(-2))), abs=0.01)
    assert first - second == pytest.approx(2.0, abs=0.05)
    assert past == pytest.approx(far, abs=0.05)
