"""The room worked by hand, closures, areas, squareness, and rooms that are none."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares
from shapely.geometry import LinearRing, Polygon

from intake.domain.room.closing import examine_room
from intake.domain.room.net import slant_of
from intake.domain.room.placing import area_mm2, place_measured, walk
from intake.domain.room.soundness import MOST_WALLS, walls_cross
from intake.model.examination import Basis, ClosureKind, RoomExamination
from intake.model.reading import Direction
from intake.model.room import Across, Measurement, RoomSurvey, SectionKind
from intake.wording import desk
from tests.room.build import RECTANGLE, angle_from_diagonal, l_shape, length, oracle_room, wall
from tests.room.published import AREAS, PURDUE_ASM215

NORTH = ("A1", "A2", "A3")


def codes(examination: RoomExamination) -> list[str]:
    return [f.code for f in examination.findings]


# -- the room oracle: recomputed by hand with NumPy from the conditions of the net; centimetres there, mm here -------


def test_oracle_redundancy_and_detectable_slips() -> None:
    found = {r.id: r for r in examine_room(oracle_room()).readings}
    names = (*NORTH, "A overall", "C1", "C2", "C overall")
    assert [round(found[n].redundancy, 3) for n in names] == [0.273, 0.273, 0.273, 0.725, 0.365, 0.365, 0.725]
    detectable = [found[n].detectable_mm for n in names]
    assert detectable == pytest.approx([39.5, 39.5, 39.5, 34.0, 34.2, 34.2, 34.0], abs=0.06)
    assert max(abs(found[n].standardised or 0.0) for n in names) == pytest.approx(0.46, abs=0.005)


def test_oracle_swapped_digits_detect_but_do_not_locate() -> None:
    examination = examine_room(oracle_room(north=(955, 1200, 1485)))
    found = {r.id: r for r in examination.readings}
    assert [round(abs(found[n].standardised or 0.0), 1) for n in NORTH] == [38.0, 38.0, 38.0]
    for name in NORTH:
        estimated_slip = -found[name].residual_mm / found[name].redundancy
        assert estimated_slip == pytest.approx(-363, abs=0.5)
    assert examination.slips[0].kind == "swapped-digits"
    assert (examination.slips[0].reading, examination.slips[0].would_be_mm) == ("A3", 1845)


def test_oracle_ten_times() -> None:
    examination = examine_room(oracle_room(north=(955, 12000, 1845)))
    reading = examination.reading("A2")
    assert reading is not None
    estimate = -reading.residual_mm / reading.redundancy
    assert estimate == pytest.approx(10797, abs=0.5)
    assert estimate / 0.9 == pytest.approx(11996, abs=1.0)
    assert (examination.slips[0].kind, examination.slips[0].would_be_mm) == ("ten-times", 1200)


def test_oracle_wrong_overall_stands_alone() -> None:
    examination = examine_room(oracle_room(north_overall=4040))
    found = {r.id: r for r in examination.readings}
    assert abs(found["A overall"].standardised or 0.0) == pytest.approx(4.41, abs=0.005)
    others = [abs(r.standardised or 0.0) for r in examination.readings if r.id != "A overall"]
    assert max(others) < 3.29


# -- closures ----------------------------------------------------------------------------------------------------------


def test_closures_name_wall_and_opposite_with_both_limits() -> None:
    rows = {desk.worded(c.title): c for c in examine_room(oracle_room(north=(955, 1200, 1485))).closures}
    on_wall = rows["Wall A: sections against overall"]
    assert (on_wall.misclosure_mm, on_wall.beyond, on_wall.trade_mm) == (-360, True, (30, 40))
    assert on_wall.limit_mm == round(3.29 * math.sqrt(3 * 25 + 49))
    opposite = rows["Wall A against Wall C: by overalls"]
    assert (opposite.misclosure_mm, opposite.beyond) == (-5, False)


def test_sections_with_one_sigma_have_the_limit_by_sqrt_n() -> None:
    walls = (wall(0, Direction.EAST, (1000, 2000)), wall(1, Direction.SOUTH, (2500,)))
    walls += (wall(2, Direction.WEST, (3000,)), wall(3, Direction.NORTH, (2500,)))
    rows = examine_room(RoomSurvey(walls=walls)).closures
    assert [c.limit_mm for c in rows] == [round(16.45 * math.sqrt(3)), round(16.45 * math.sqrt(2))]


def test_nothing_to_check_is_not_called_closed() -> None:
    lengths = ((4000,), (3000,), (), ())
    walls = tuple(wall(n, d, v) for n, (d, v) in enumerate(zip(RECTANGLE, lengths, strict=True)))
    examination = examine_room(RoomSurvey(walls=walls))
    assert examination.closes is None
    assert "unchecked" in [n.code for n in examination.notes]
    assert [w.length_mm for w in examination.placed.walls] == [4000, 3000, 4000, 3000]


def test_measured_values_are_never_changed() -> None:
    room = oracle_room(north=(955, 1200, 1485))
    examination = examine_room(room)
    assert examination.survey == room
    assert {r.id: r.measured_mm for r in examination.readings}["A3"] == 1485


# -- areas -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("corners", "area"), AREAS)
def test_published_areas_by_coordinates(corners: list[tuple[float, float]], area: float) -> None:
    in_thousandths = [(round(x * 1000), round(y * 1000)) for x, y in corners]
    found = (area_mm2(in_thousandths) or 0) / 1e6
    assert found == pytest.approx(area, abs=0.06)
    assert found == pytest.approx(Polygon(corners).area, abs=1e-3)


def test_l_shape_closes_and_has_its_area() -> None:
    """(0,0) (400,0) (400,250) (250,250) (250,360) (0,360) encloses 127,500 cm2 (recomputed)."""
    placed = examine_room(l_shape()).placed
    assert placed.area_mm2 == 12_750_000
    polygon = Polygon([w.start for w in placed.walls])
    assert polygon.is_valid
    assert polygon.area == placed.area_mm2


def test_purdue_traverse_misses_by_what_was_published() -> None:
    """In our frame x is the departure and y minus the latitude, so a bearing is the azimuth less 90 degrees."""
    traverse = PURDUE_ASM215
    bearings = [math.radians(a - 90.0) for a in traverse["azimuth_deg"]]
    x, y = walk(traverse["length"], bearings)[-1]
    assert (-y, x) == pytest.approx(traverse["misclosure"], abs=traverse["tolerance"])
    assert math.hypot(x, y) == pytest.approx(traverse["linear"], abs=0.01)
    assert sum(traverse["length"]) / math.hypot(x, y) == pytest.approx(traverse["precision"], rel=0.01)


# -- splayed walls, the general case ----------------------------------------------------------------------------------


def splayed(splay: int = 707) -> RoomSurvey:
    """4 m x 3 m with a corner of 500 x 500 cut off: the splayed wall is 707.1."""
    walls = (
        wall(0, Direction.EAST, (4000,)),
        wall(1, Direction.SOUTH, (2500,)),
        wall(2, Direction.OTHER, (splay,)),
        wall(3, Direction.WEST, (3500,)),
        wall(4, Direction.NORTH, (3000,)),
    )
    return RoomSurvey(walls=walls)


@pytest.mark.parametrize(
    ("before", "after", "degrees"),
    [("E", "S", 45), ("S", "W", 135), ("W", "N", 225), ("N", "E", 315), ("E", "N", 315), ("W", "S", 135)],
)
def test_a_splayed_wall_runs_half_way_between_its_neighbours(before: str, after: str, degrees: int) -> None:
    """Degrees clockwise from E, as the page is looked at."""
    ways = (Direction(before), Direction.OTHER, Direction(after))
    room = RoomSurvey(walls=tuple(wall(n, way) for n, way in enumerate(ways)))
    assert slant_of(room, room.walls[1]) % 360 == degrees


def test_a_splayed_wall_is_placed_and_checked_by_the_rest() -> None:
    examination = examine_room(splayed())
    assert examination.closes is True
    assert examination.placed.walls[2].start == (4000, 2500)
    assert examination.placed.walls[2].end == (3500, 3000)
    assert examination.placed.area_mm2 == pytest.approx(4000 * 3000 - 500 * 500 / 2, rel=1e-4)


def test_a_room_that_comes_out_is_placed_the_same_wall_after_wall() -> None:
    """As a room is placed that no single slip explains: each wall as long as measured, the way it runs."""
    room = splayed()
    placed = examine_room(room).placed
    measured = place_measured(room, placed)
    for one, other in zip(measured.walls, placed.walls, strict=True):
        assert (*one.start, *one.end) == pytest.approx((*other.start, *other.end), abs=1)
    assert measured.gap is None


def test_a_splayed_wall_is_held_against_the_rest_by_its_overall_where_it_has_one() -> None:
    """Two centimetres too long; with both measured, its section takes part in what the rest makes of the overall."""
    room = splayed(splay=727)
    whole = replace(room, walls=(*room.walls[:2], wall(2, Direction.OTHER, (), 727), *room.walls[3:]))
    both = replace(room, walls=(*room.walls[:2], wall(2, Direction.OTHER, (727,), 747), *room.walls[3:]))
    for one, by, off in ((room, "C1", 20), (whole, "C overall", 20), (both, "C overall", 27)):
        (splay,) = (c for c in examine_room(one).closures if c.kind is ClosureKind.SPLAY)
        assert splay.readings == (by,) and abs(splay.misclosure_mm) == pytest.approx(off, abs=1)


def test_a_splayed_wall_that_does_not_fit_is_found() -> None:
    examination = examine_room(splayed(splay=770))
    assert examination.closes is False
    assert [c.beyond for c in examination.closures if c.kind == "splay"] == [True]
    assert examination.slips[0].reading == "C1"
    assert abs((examination.slips[0].would_be_mm or 0) - 707) <= 10


def test_scipy_agrees_on_a_whole_splayed_room() -> None:
    """The same room by SciPy over its own five unknowns: width, two depths and where the splay ends."""
    measured = np.array([4007.0, 2492.0, 715.0, 3509.0, 2994.0])

    def residuals(x: np.ndarray) -> np.ndarray:
        width, right, foot, depth = x
        splay = np.hypot(width - foot, depth - right)
        return (np.array([width, right, splay, foot, depth]) - measured) / 5.0

    oracle = least_squares(residuals, [4000.0, 2500.0, 3500.0, 3000.0], xtol=1e-12, ftol=1e-12)
    room = splayed(splay=715)
    lengths = (4007, 2492, 715, 3509, 2994)
    walls = tuple(wall(w.index, w.direction, (v,)) for w, v in zip(room.walls, lengths, strict=True))
    examination = examine_room(RoomSurvey(walls=walls))
    width, right, foot, depth = oracle.x
    corners = [w.start for w in examination.placed.walls]
    want = [(0, 0), (width, 0), (width, right), (foot, depth), (0, depth)]
    assert np.array(corners) == pytest.approx(np.array(want), abs=0.6)
    sum_of_squares = sum((r.residual_mm / 5.0) ** 2 for r in examination.readings)
    assert sum_of_squares == pytest.approx(2 * oracle.cost, rel=1e-3)


def test_a_diagonal_fixes_a_splayed_wall_that_nothing_else_does() -> None:
    """Without wall D the splay has two places; the diagonal from corner A to D (4610 by Pythagoras, or 5408) tells."""
    room = splayed()
    walls = (*room.walls[:3], wall(3, Direction.WEST), room.walls[4])
    across = (Across(length("diagonal", round(math.hypot(3500, 3000)), 7.0), corners=(0, 3)),)
    examination = examine_room(replace(room, walls=walls, across=across))
    assert examination.placed.walls[3].length_mm == pytest.approx(3500, abs=3)
    assert examination.placed.walls[3].basis is Basis.DERIVED


# -- squareness --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("diagonal", "angle"), [(5000, 90.0), (4958, 89.0), (5042, 91.0)])
def test_diagonal_of_four_by_three_metres(diagonal: int, angle: float) -> None:
    """400 x 300 has a diagonal of 500.0; one degree out of square 495.8 or 504.2 (recomputed)."""
    assert angle_from_diagonal(4000, 3000, diagonal) == pytest.approx(angle, abs=0.02)


def rectangle(diagonal: int) -> RoomSurvey:
    walls = tuple(wall(n, d, (v,)) for n, (d, v) in enumerate(zip(RECTANGLE, (4000, 3000) * 2, strict=True)))
    return RoomSurvey(walls=walls, across=(Across(length("diagonal", diagonal, 7.0), corners=(0, 2)),))


@pytest.mark.parametrize(
    ("diagonal", "want"),
    [(5000, []), (5020, []), (5042, ["out-of-square"]), (5500, ["does-not-close"])],
)
def test_diagonals_test_the_right_angles(diagonal: int, want: list[str]) -> None:
    assert codes(examine_room(rectangle(diagonal))) == want


# -- rooms that are none: one clear finding each, and no exception ---------------------------------------------------


def test_no_walls() -> None:
    assert codes(examine_room(RoomSurvey())) == ["no-walls"]


def test_one_wall() -> None:
    examination = examine_room(RoomSurvey(walls=(wall(0, Direction.EAST, (1000, 1200, 1800), 4000),)))
    assert codes(examination) == ["too-few-walls"]
    assert examination.closes is None
    assert examination.placed.walls[0].length_mm == 4000


def test_a_room_that_does_not_chain() -> None:
    directions = (Direction.EAST, Direction.SOUTH, Direction.EAST, Direction.NORTH)
    walls = tuple(wall(n, d, (3000,)) for n, d in enumerate(directions))
    examination = examine_room(RoomSurvey(walls=walls))
    assert codes(examination) == ["does-not-chain"]
    assert "no wall runs to the left" in desk.worded(examination.findings[0].text)


def closed_by(steps: str, long: int = 2000) -> list[str]:
    walls = tuple(wall(n, Direction(d), (long,)) for n, d in enumerate(steps))
    return codes(examine_room(RoomSurvey(walls=walls)))


def test_walls_listed_anticlockwise() -> None:
    assert closed_by("NESW") == []
    assert closed_by("SENW") == ["turns-do-not-close"]


def test_a_wall_that_folds_back_misses_its_return() -> None:
    assert closed_by("ESWEWN") == ["return-missing"]


def test_turns_of_a_figure_of_eight() -> None:
    assert closed_by("ESENWSWN")[0] in ("turns-do-not-close", "return-missing")


@pytest.mark.parametrize("bad", [0, -955])
def test_lengths_that_are_none(bad: int) -> None:
    examination = examine_room(oracle_room(north=(bad, 1200, 1845)))
    assert codes(examination) == ["length-not-positive"], "the rest of the room fixes it"
    assert examination.placed.walls[0].sections[0].basis is Basis.DERIVED
    assert examination.placed.walls[0].sections[0].end_mm == pytest.approx(957, abs=3)


def test_contradictory_overalls() -> None:
    room = oracle_room()
    contradictory = wall(0, Direction.EAST, (955, 1200, 1845), (4000, 4400))
    examination = examine_room(replace(room, walls=(contradictory, *room.walls[1:])))
    assert codes(examination).count("overalls-contradict") == 1
    assert examination.closes is False


def test_five_hundred_walls() -> None:
    walls = tuple(wall(n, RECTANGLE[n % 4], (1000,)) for n in range(500))
    examination = examine_room(RoomSurvey(walls=walls))
    assert codes(examination) == ["too-many-walls"]
    assert str(MOST_WALLS) in desk.worded(examination.findings[0].text)


def test_outlines_cross_themselves_where_shapely_says_so() -> None:
    """Corners anywhere, and on a grid, where walls stand in one line with others."""
    rng, told = random.Random(3), {True: 0, False: 0}
    for n in range(1500):
        step = (1, 1000)[n % 2]
        at = [
            (step * rng.randrange(-4000 // step, 5), step * rng.randrange(5))
            for _ in range(rng.randint(4, 6))
        ]
        sides = [
            Polygon((one, two, three))
            for one, two, three in zip(at, at[1:] + at[:1], at[2:] + at[:2], strict=True)
        ]
        if all(s.area for s in sides):  # a corner turns
            assert walls_cross(at) is not LinearRing(at).is_simple, at
            told[walls_cross(at)] += 1
    assert min(told.values()) > 100


def test_walls_that_run_through_one_another() -> None:
    """A room drawn as an eight: right turns and left turns cancel, yet each axis sums to zero."""
    steps = [
        (Direction.EAST, 3000),
        (Direction.SOUTH, 3000),
        (Direction.WEST, 1000),
        (Direction.NORTH, 4000),
        (Direction.WEST, 1000),
        (Direction.SOUTH, 3000),
        (Direction.WEST, 1000),
        (Direction.NORTH, 2000),
    ]
    walls = tuple(wall(n, d, (v,)) for n, (d, v) in enumerate(steps))
    found = codes(examine_room(RoomSurvey(walls=walls)))
    assert "walls-cross" in found or "turns-do-not-close" in found


def test_a_wall_that_nothing_is_left_for() -> None:
    """An L whose walls down the page, 200 of 200 cm, leave nothing for its inner one."""
    ways = (Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.SOUTH, Direction.WEST, Direction.NORTH)
    lengths = (3000, 2000, 1000, None, 2000, 2005)
    walls = [wall(n, way, (mm,) if mm else ()) for n, (way, mm) in enumerate(zip(ways, lengths, strict=True))]
    assert "no-room-left" in codes(examine_room(RoomSurvey(walls=tuple(walls))))
    walls[5] = wall(5, Direction.NORTH, (2500,))
    assert "no-room-left" not in codes(examine_room(RoomSurvey(walls=tuple(walls))))


def test_a_piece_that_nothing_is_left_for() -> None:
    examination = examine_room(oracle_room(north=(955, 1200, None, 1845)))
    assert codes(examination) == ["no-room-left"]
    assert examination.closes is True


def test_a_wall_that_would_have_to_run_backwards() -> None:
    walls = (
        wall(0, Direction.EAST, (2000,)),
        wall(1, Direction.SOUTH, (1000,)),
        wall(2, Direction.WEST, (2500,)),
        wall(3, Direction.SOUTH, (1000,)),
        wall(4, Direction.WEST),
        wall(5, Direction.NORTH, (2000,)),
    )
    examination = examine_room(RoomSurvey(walls=walls))
    assert "wall-backwards" in codes(examination)


def test_two_slips_are_not_forced_on_one_reading() -> None:
    examination = examine_room(oracle_room(north=(955, 1200, 1485), south=(2500, 1005)))
    assert "no-single-change" in codes(examination)
    named = [(s.reading, s.would_be_mm) for s in examination.slips]
    assert named[0] == ("A3", 1845) and ("C2", 1505) in named[:3]
    assert sum(s.probability for s in examination.slips) <= 1.0
    assert examination.none_probability < 0.5
    assert examination.placed.left_out == (), "two at once are asked about, never left out"


def test_a_suspect_is_left_out_of_the_drawing_and_said_so() -> None:
    placed = examine_room(oracle_room(north=(955, 1200, 1485))).placed
    assert placed.left_out == ("A3",)
    section = placed.walls[0].sections[2]
    assert section.basis is Basis.LEFT_OUT
    assert section.end_mm - section.start_mm == pytest.approx(1847, abs=3)


def test_a_reading_that_stands_alone_is_left_out_though_no_usual_slip_fits() -> None:
    examination = examine_room(oracle_room(north_overall=4630))
    assert examination.slips[0].kind == "other"
    assert examination.slips[0].reading == "A overall"
    assert abs((examination.slips[0].would_be_mm or 0) - 4002) <= 5
    assert examination.none_probability > 0.5
    assert "no-usual-slip" in codes(examination)
    assert examination.placed.left_out == ("A overall",)


def test_an_unexplained_room_is_drawn_as_measured_with_its_gap() -> None:
    placed = examine_room(oracle_room(north=(955, 1200, 1485), north_overall=4630, south=(2500, 1005))).placed
    assert placed.gap is not None
    assert abs(placed.gap[0]) == 4630 - 4005
    assert placed.area_mm2 is None


def test_furniture_in_the_way_is_an_estimate_and_weighs_less() -> None:
    kinds = (SectionKind.WALL, SectionKind.FURNITURE)
    room = oracle_room()
    walls = list(room.walls)
    plain = wall(2, Direction.WEST, (2500, 1505), None, kinds)
    worked_out = replace(plain.sections[1].length, sigma_mm=20.0, estimated=True)
    walls[2] = replace(plain, sections=(plain.sections[0], replace(plain.sections[1], length=worked_out)))
    found = {r.id: r for r in examine_room(replace(room, walls=tuple(walls))).readings}
    assert found["C2"].redundancy > 0.8 > found["C1"].redundancy


# -- a length that was not accepted, and that nothing on the sheet bears out ------------------------------------------


def _unsure(room: RoomSurvey, name: str) -> set[str]:
    """What is in doubt where one length was not accepted."""

    def marked(m: Measurement) -> Measurement:
        return replace(m, accepted=m.id != name)

    walls = tuple(
        replace(
            w,
            sections=tuple(replace(s, length=marked(s.length)) for s in w.sections),
            overalls=tuple(marked(o) for o in w.overalls),
        )
        for w in room.walls
    )
    return {r.id for r in examine_room(replace(room, walls=walls)).readings if r.doubtful}


def test_what_was_not_accepted_and_nothing_checks_is_in_doubt() -> None:
    unchecked = RoomSurvey(
        walls=(
            wall(0, RECTANGLE[0], (4000,)),
            wall(1, RECTANGLE[1], (3000,)),
            wall(2, RECTANGLE[2], (4000,)),
            wall(3, RECTANGLE[3]),
        )
    )
    assert _unsure(unchecked, "B1") == {"B1"}
    assert _unsure(unchecked, "A1") == set(), "the wall opposite says the same"


def test_in_a_room_that_does_not_close_whatever_was_not_accepted_is_in_doubt() -> None:
    gaping = oracle_room(north=(955, 1200, 1485))
    assert "C1" not in {r.id for r in examine_room(gaping).readings if r.doubtful}
    assert "C1" in _unsure(gaping, "C1")
