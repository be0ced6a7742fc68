"""Details that random faults in the rules showed to be tested by nothing (python -m tests.mutants)."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import lognorm
from shapely.geometry import LineString, Point

from intake.domain.lengths.notation import likelihood_of_form, parse_length
from intake.domain.lengths.plausible import SECTIONS, USUAL, WHOLE_WALL
from intake.domain.room.catalogue import SURPRISE, plausibility
from intake.domain.room.closing import examine_room
from intake.domain.room.room_file import room_from_dict
from intake.domain.said.typed_room import _lengths
from intake.domain.sketch.drawn_openings import along
from intake.domain.sketch.meaning import _ends, scale_of
from intake.domain.sketch.outline_levels import Levels
from intake.model.examination import SlipKind
from intake.model.reading import Direction, OutlineWall, ReadNumber, Role
from intake.model.room import Across, RoomSurvey, Section
from intake.model.room import SectionKind as K
from intake.wording import desk
from tests.reading.test_inference import FIRST, WALLS, WHOLE
from tests.room.build import length, wall

E, S, W, N = Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH


@pytest.mark.parametrize("mm", [1.0, 90.0, 900.0, 4200.0])
def test_a_length_is_as_plausible_as_scipys_log_normal_says(mm: float) -> None:
    """But for the share of lengths that no kind explains, as dense as one over the length; 0 counts as a millimetre."""
    for section, usual in ((None, WHOLE_WALL), (Section(K.DOOR, length("A1", 0)), SECTIONS[K.DOOR])):
        density = lognorm(s=usual.spread, scale=usual.middle_mm).pdf(mm)
        expected = math.sqrt(2 * math.pi) * density + SURPRISE / mm
        assert plausibility(section, mm) == pytest.approx(expected)
        assert plausibility(section, 0.0) == plausibility(section, 1.0)


def u_shape() -> RoomSurvey:
    """400 x 300 cm with a bite of 200 x 100 cm out of the middle of the bottom."""
    runs = ((E, 4000), (S, 3000), (W, 1000), (N, 1000), (W, 2000), (S, 1000), (W, 1000), (N, 3000))
    return RoomSurvey(walls=tuple(wall(n, way, (mm,)) for n, (way, mm) in enumerate(runs)))


@pytest.mark.parametrize(("walls", "mm"), [((3, 1), 1000), ((7, 5), 1000), ((7, 1), 4000), ((0, 4), 2000)])
def test_square_across_is_from_wall_to_wall_wherever_they_stand(walls: tuple[int, int], mm: int) -> None:
    right = replace(u_shape(), across=(Across(length("across", mm, 7.0), walls=walls),))
    wrong = replace(u_shape(), across=(Across(length("across", mm + 300, 7.0), walls=walls),))
    assert examine_room(right).closes is True
    found = examine_room(wrong)
    assert found.closes is False and ("across", mm) in [(s.reading, s.would_be_mm) for s in found.slips]


def test_the_scale_is_what_the_numbers_say_of_their_stretch() -> None:
    """Wall 0 is 800 pixels long and 4 m in the room: 5 mm a pixel; without numbers the diagonal counts as 4 m."""
    assert scale_of([FIRST], Levels(WALLS), "cm") == pytest.approx(955 / (0.24 * 800))
    assert scale_of([WHOLE], Levels(WALLS), "cm") == pytest.approx(5.0)
    assert scale_of([], Levels(WALLS), "cm") == pytest.approx(4000 / 1000)
    silent = (replace(FIRST, texts=()), replace(FIRST, stands=()), replace(FIRST, roles={Role.SILL: 1.0}))
    assert scale_of([WHOLE, *silent], Levels(WALLS), "cm") == pytest.approx(5.0)


def test_twelve_inches_are_a_foot() -> None:
    assert (parse_length("5'11\"", "cm"), parse_length("5'12\"", "cm")) == (1803, None)


def test_inches_are_read_to_the_thousandth_and_no_finer() -> None:
    assert (parse_length("63.125", "in"), parse_length("63.1255", "in")) == (1603, None)


def test_no_form_is_likelier_than_an_ordinary_one() -> None:
    assert (likelihood_of_form("5'3\"", feet=True), likelihood_of_form("5'3\"")) == (1.0, 0.5)
    assert likelihood_of_form("386.5") == 1.0


def test_walls_that_go_round_twice_are_no_room() -> None:
    room = RoomSurvey(walls=tuple(wall(n, way, (1000,)) for n, way in enumerate((E, S, W, N) * 2)))
    found = {f.code: desk.worded(f.text) for f in examine_room(room).findings}
    assert "turns 720 degrees and not 360" in found["turns-do-not-close"]


def kitchen(door: int, south_overall: int | None = None) -> RoomSurvey:
    """400 x 300 cm with a window along the top; along the bottom a door of 82 cm, or an overall and nothing else."""
    window, opening = (K.WALL, K.WINDOW, K.WALL), (K.WALL, K.DOOR, K.WALL)
    bottom = wall(2, W, (1600, door, 1580), None, opening) if door else wall(2, W, (), south_overall)
    top = wall(0, E, (955, 1200, 1845), 4000, window)
    return RoomSurvey(walls=(top, wall(1, S, (3000,), 3000), bottom, wall(3, N, (3000,))))


@pytest.mark.parametrize("read", [750, 890])
def test_a_door_may_be_measured_within_or_over_its_architrave(read: int) -> None:
    slips = examine_room(kitchen(read)).slips
    assert (SlipKind.ARCHITRAVE, "C2", 820) in [(s.kind, s.reading, s.would_be_mm) for s in slips]


def test_a_wall_that_has_only_an_overall_may_be_measured_to_a_boxing() -> None:
    first = examine_room(kitchen(0, 3780)).slips[0]
    assert (first.kind, first.wall, first.would_be_mm) == (SlipKind.BOXING, 2, 220)


def test_a_number_stands_in_the_middle_of_its_stretch() -> None:
    number = ReadNumber("120", 1200, ((0, 0),) * 4, 1.0, True, wall=0, span=(0.2, 0.6))
    assert along(WALLS[0], number) == pytest.approx(0.4)


def test_a_number_without_a_stretch_stands_where_shapely_projects_it() -> None:
    slanted = OutlineWall(4, (100.0, 700.0), (500.0, 400.0), Direction.OTHER)
    for wall_, at in ((WALLS[0], (340.0, 80.0)), (WALLS[1], (930.0, 250.0)), (slanted, (290.0, 610.0))):
        box = tuple((at[0] + dx, at[1] + dy) for dx, dy in ((-20, -8), (20, -8), (20, 8), (-20, 8)))
        number = ReadNumber("120", 1200, box, 1.0, True, wall=wall_.wall)  # type: ignore[arg-type]
        want = LineString([wall_.start, wall_.end]).project(Point(at), normalized=True)
        assert along(wall_, number) == pytest.approx(want)


def test_where_a_wall_has_no_length_a_number_stands_at_its_start() -> None:
    """A sketch may be read so: two corners in one place."""
    dot = OutlineWall(0, (100.0, 100.0), (100.0, 100.0), Direction.EAST)
    number = ReadNumber("120", 1200, ((300, 80), (340, 80), (340, 96), (300, 96)), 1.0, True, wall=0)
    assert along(dot, number) == 0.0


def test_a_dimension_line_speaks_for_the_stretch_between_its_ends() -> None:
    """The first section of wall 0 runs from 100 to 292 pixels."""
    levels, span = Levels(WALLS), (0.0, 0.24)
    there, elsewhere = (
        replace(FIRST, line=((a, 80.0), (b, 80.0))) for a, b in ((100.0, 292.0), (500.0, 692.0))
    )
    assert _ends(there, Role.SECTION, 0, (span, span), levels) == pytest.approx(math.log(2.65))
    assert _ends(elsewhere, Role.SECTION, 0, (span, span), levels) == pytest.approx(math.log(0.15), abs=0.1)


@pytest.mark.parametrize("role", USUAL)
def test_the_usual_lengths_of_a_kind_are_a_distribution(role: Role) -> None:
    """By the trapezium rule over the logarithm of 1 mm to 100 m; what lies outside of the range is cut down."""
    logs = np.linspace(math.log(1.0), math.log(1e5), 20_000)
    density = [USUAL[role].density(math.exp(x)) for x in logs]
    assert min(density) > 0 and 0.85 < np.trapezoid(density, logs) <= 1.001


def test_a_fixed_thing_typed_with_a_length_is_evidence_and_one_without_is_none() -> None:
    fixed = [{"name": "boiler", "wall": "A", "height": 140}, {"name": "radiator", "wall": "A"}]
    room = room_from_dict({"walls": [{"runs": "E", "sections": [400]}], "fixed": fixed})
    assert [e.value_mm for e in dict(_lengths(room))[Role.FIXTURE]] == [1400]
