"""Clear runs, units and clashes, against arithmetic by hand and Shapely."""

from __future__ import annotations

import math
import random
from itertools import product
from typing import Any

import pytest
from shapely.geometry import Polygon

from intake.domain.room.closing import examine_room
from intake.domain.room.fit import fit_units, with_allowances
from intake.domain.room.room_file import room_from_dict
from intake.domain.room.shapes import in_front, meet, quarter
from intake.model.examination import Basis, PlacedWall, RoomFit
from intake.model.room import Allowances
from intake.wording import desk


def kitchen(**more: Any) -> dict[str, Any]:
    """4 x 3 m: a window over the worktop on wall A; a door on wall B, 700 from the corner; boxing at the end of C."""
    return {
        "walls": [
            {"runs": "E", "sections": [100, {"window": 120, "sill": 105}, 180], "overall": 400},
            {
                "runs": "S",
                "sections": [70, {"door": 80, "hinge": "left", "opens": "room"}, 150],
                "overall": 300,
            },
            {"runs": "W", "sections": [360, {"boxing": 40, "depth": 20}], "overall": 400},
            {"runs": "N", "sections": [300]},
        ],
        **more,
    }


def fit(**more: Any) -> RoomFit:
    return examine_room(room_from_dict(kitchen(**more))).fit


def runs(found: RoomFit) -> list[tuple[int, int, int]]:
    return [(r.wall, r.start_mm, r.end_mm) for r in found.runs]


def test_runs_end_at_doors_and_at_what_stands_out_of_this_wall_or_the_next() -> None:
    """Wall D starts at the boxing's side, 200 deep; the sill of 1050 is above the worktop and stops nothing."""
    assert runs(fit()) == [(0, 0, 4000), (1, 0, 700), (1, 1500, 3000), (2, 0, 3600), (3, 200, 3000)]


@pytest.mark.parametrize(
    ("fixed", "on_the_wall"),
    [
        ({"name": "radiator", "height": 10, "depth": 10}, [(200, 1000), (1500, 3000)]),
        ({"name": "boiler", "height": 140, "depth": 30}, [(200, 3000)]),
        ({"name": "switch", "height": 10}, [(200, 3000)]),
    ],
)
def test_of_fixed_things_those_end_a_run_that_stand_out_below_the_worktop(
    fixed: dict[str, Any], on_the_wall: list[tuple[int, int]]
) -> None:
    found = runs(fit(fixed=[fixed | {"wall": "D", "from-left": 100, "width": 50}]))
    assert [(start, end) for wall, start, end in found if wall == 3] == on_the_wall


def test_a_low_window_ends_a_run_and_an_unknown_sill_is_said() -> None:
    room = kitchen()
    room["walls"][0]["sections"][1] = {"window": 120, "sill": 60}
    low = examine_room(room_from_dict(room)).fit
    assert runs(low)[:2] == [(0, 0, 1000), (0, 2200, 4000)]
    room["walls"][0]["sections"][1] = {"window": 120}
    unknown = examine_room(room_from_dict(room)).fit
    assert desk.worded(unknown.runs[0].unsure) == "sill of Window 1 not measured"


def test_units_that_would_stand_across_a_door_leave_its_width() -> None:
    """A door 300 from corner B: units 650 deep along wall A would cover it, so they end 800 before the corner."""
    room = kitchen()
    room["walls"][1]["sections"] = [30, {"door": 80, "hinge": "left", "opens": "room"}, 190]
    assert runs(examine_room(room_from_dict(room)).fit)[0] == (0, 0, 3200)


def test_a_corner_of_less_than_a_right_angle_narrows_the_run_in_front() -> None:
    """4 x 3 m at 88 degrees: 650 tan 2 = 22.7 at each end that is tight, by trigonometry."""
    cosine = math.cos(math.radians(88))
    long, short = (math.sqrt(400**2 + 300**2 + s * 2 * 400 * 300 * cosine) for s in (1, -1))
    across = [
        {"corners": ["A", "C"], "length": round(long, 1)},
        {"corners": ["B", "D"], "length": round(short, 1)},
    ]
    found = examine_room(room_from_dict(kitchen(across=across))).fit
    assert found.runs[0].narrowed_mm == pytest.approx(22.7, abs=1.5)
    assert found.runs[0].least_mm == math.floor(
        found.runs[0].length_mm - found.runs[0].narrowed_mm - 2 * found.runs[0].sd_mm
    )


@pytest.mark.parametrize(
    ("widths", "words"),
    [([60, 60, 80, 80, 80], "fit;"), ([60] * 6 + [38], "do not fit"), ([60] * 6 + [35.5], "bear out")],
)
def test_units_with_what_is_scribed(widths: list[float], words: str) -> None:
    """4000 long, two ends of 20 to scribe: 3600 fit; 3955 leave 5 as measured, less than the deviation; 3980 do not."""
    (found,) = fit(units=[{"wall": "A", "widths": widths}]).fits
    assert words in desk.worded(found.text)


def test_units_along_a_wall_without_a_run() -> None:
    assert fit_units((), 2, (600,), Allowances()).spare_mm is None


def test_allowances_can_be_given() -> None:
    found = fit(allowances={"scribe": 0, "depth": 15})
    assert found.allowances == Allowances(0, 150, 920)
    assert runs(found)[-1] == (3, 200, 3000)  # the boxing is in the corner itself


def test_a_door_into_boxing_is_a_finding_with_its_numbers() -> None:
    room = kitchen(
        fixed=[{"name": "boiler", "wall": "A", "from-right": 0, "width": 40, "depth": 35, "height": 10}]
    )
    room["walls"][1]["sections"] = [10, {"door": 80, "hinge": "right", "opens": "room"}, 210]
    examination = examine_room(room_from_dict(room))
    assert [desk.worded(c.text) for c in examination.fit.clashes] == ["Door 1 opens into Fixed 1 (boiler)"]
    assert "clash" in [f.code for f in examination.findings]


def test_a_boiler_above_the_door_or_beside_it_is_none() -> None:
    high = {"name": "boiler", "wall": "A", "from-right": 0, "width": 40, "depth": 35, "height": 205}
    room = kitchen(fixed=[high])
    room["walls"][1]["sections"] = [10, {"door": 80, "hinge": "right", "opens": "room"}, 210]
    assert examine_room(room_from_dict(room)).fit.clashes == ()


def test_what_hangs_in_front_of_a_window_is_told() -> None:
    found = fit(
        fixed=[{"name": "radiator", "wall": "A", "from-left": 120, "width": 60, "tall": 60, "height": 100}]
    )
    assert [desk.worded(c.text) for c in found.clashes] == ["Fixed 1 (radiator) stands in front of Window 1"]


def test_a_room_that_does_not_come_back_to_its_start_has_no_runs() -> None:
    room = kitchen()
    room["walls"][0]["overall"], room["walls"][2]["overall"] = 463, 511
    examination = examine_room(room_from_dict(room))
    assert examination.placed.gap is not None
    assert examination.fit.runs == ()


def test_shapes_meet_where_shapely_says_so() -> None:
    rng = random.Random(3)
    for _ in range(300):
        one, two = (
            PlacedWall(
                0,
                (rng.randrange(3000), rng.randrange(3000)),
                (rng.randrange(3000), 4000),
                1000,
                Basis.ADJUSTED,
            )
            for _ in range(2)
        )
        a, b = (
            quarter(one, rng.choice((0.0, 800.0)), 400.0),
            in_front(two, 100.0, 700.0, rng.uniform(100, 900)),
        )
        shared = Polygon(a).intersection(Polygon(b)).area
        if shared == 0.0 or shared > 1.0:
            assert meet(a, b) == (shared > 0.0)


@pytest.mark.parametrize("by", [0.0, 5.0, 20.0])
def test_shapes_meet_that_share_more_than_is_let_be(by: float) -> None:
    """Two squares side by side or one above the other, whichever is named first."""
    square = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0))
    for shared, (x, y) in product((by - 1.0, by + 1.0), ((1, 0), (-1, 0), (0, 1), (0, -1))):
        other = tuple((a + x * (100.0 - shared), b + y * (100.0 - shared)) for a, b in square)
        assert meet(square, other, by) is meet(other, square, by) is (shared > by)


@pytest.mark.parametrize("by", [0.0, 5.0, 20.0])
def test_a_corner_meets_a_slanting_side_whichever_way_round_its_corners_are_named(by: float) -> None:
    """No other side of the two is parallel to it."""
    slant = ((0.0, 0.0), (100.0, 0.0), (0.0, 100.0))
    for shared in (by - 1.0, by + 1.0):
        low = 50.0 - shared / math.sqrt(2.0)
        square = ((low, low), (low + 90.0, low), (low + 90.0, low + 90.0), (low, low + 90.0))
        for a, b in product((slant, slant[::-1]), (square, square[::-1])):
            assert meet(a, b, by) is meet(b, a, by) is (shared > by)


def test_the_showrooms_allowances_hold_unless_the_room_has_its_own() -> None:
    theirs = Allowances(10, 700, 900)
    assert with_allowances(examine_room(room_from_dict(kitchen())), theirs).fit.allowances == theirs
    own = examine_room(room_from_dict(kitchen(allowances={"scribe": 5})))
    assert with_allowances(own, theirs).fit.allowances == Allowances(50)
