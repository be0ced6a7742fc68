"""From a sketch reading to a room."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.lengths.plausible import LEAST_OPENING_MM
from intake.domain.room.closing import examine_room
from intake.domain.sketch.diagonals import corners_spanned
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.model.examination import Basis, SlipKind
from intake.model.reading import (
    Alternative,
    Direction,
    Feature,
    GivenBy,
    Measures,
    OpeningKind,
    Point,
    ReadNumber,
    Role,
    Sighting,
    SketchOutline,
    SketchReading,
    Stand,
)
from intake.model.room import Correction, SectionKind
from intake.wording import desk
from tests.room.build import worded
from tests.room.readings import DOOR, NUMBERS, WALLS, WINDOW, box, number, reading


def test_a_height_beside_no_wall_is_of_the_opening_it_stands_nearest_to() -> None:
    """Two windows, 264 and 278 pixels away: one in the north wall at (450, 100), one in the east wall at (900, 400)."""
    east = Feature(OpeningKind.WINDOW, 1, (0.4, 0.6), box(900, 400))
    openings = (number("120", (450, 80), Role.OPENING, 0), number("110", (930, 400), Role.OPENING, 1))
    for at, heights in (((680, 230), (1050, None)), ((700, 260), (None, 1050))):
        found = room_from_reading(reading((*openings, number("105", at, Role.SILL)), (WINDOW, east)))
        sills = [s.sill for w in (0, 1) for s in found.walls[w].sections if s.kind is SectionKind.WINDOW]
        assert [sill and sill.value_mm for sill in sills] == [*heights]


def test_a_top_goes_to_a_door_and_a_sill_never_does() -> None:
    """Both stand beside the door. A top that nobody could read is from the floor as others are."""
    leaf = number("80", (70, 600), Role.OPENING, 3)
    sill, top = number("105", (140, 600), Role.SILL), number("205", (140, 590), Role.HEAD)
    for head, value in ((top, 2050), (replace(top, text="2?5", value_mm=None), None)):
        room = room_from_reading(reading((*NUMBERS[:3], leaf, sill, head), (WINDOW, DOOR)))
        (door,) = (s for s in room.walls[3].sections if s.kind is SectionKind.DOOR)
        (window,) = (s for s in room.walls[0].sections if s.kind is SectionKind.WINDOW)
        assert door.top_above_floor is not None and door.top_above_floor.value_mm == value
        assert window.sill is not None and window.sill.value_mm == 1050
        assert door.sill is door.top_above_sill is None


def test_sections_are_in_order_along_their_wall() -> None:
    walls = room_from_reading(reading()).walls
    assert [s.length.value_mm for s in walls[0].sections] == [955, 1200, 1845]
    # The bottom wall runs to the left: its first section is the right-hand one on the page.
    assert [s.length.value_mm for s in walls[2].sections] == [2500, 1505]
    assert [o.value_mm for o in walls[0].overalls] == [4000]


def test_a_wall_is_drawn_as_long_as_its_line_and_slants_as_it_does() -> None:
    """Sides of 3, 4 and 5: the slanting one falls by 3 in 4, and runs up where it is told from its other end."""
    read = reading()
    for start, end, drawn, slant in (
        ((500, 400), (900, 700), 500.0, 36.87),
        ((900, 700), (500, 400), 500.0, -143.13),
        ((900, 400), (500, 700), 500.0, 143.13),
        ((100, 250), (100, 700), 450.0, 90.0),
    ):
        walls = (replace(read.outline.walls[0], start=start, end=end, direction=Direction.OTHER),)
        (found, *_) = room_from_reading(replace(read, outline=replace(read.outline, walls=walls))).walls
        assert found.drawn == pytest.approx(drawn)
        assert found.slant_deg == pytest.approx(slant, abs=0.01)
    assert [w.slant_deg for w in room_from_reading(read).walls] == [None] * 4, "a straight one has none"


def test_every_number_is_kept_once_with_its_index() -> None:
    room = room_from_reading(reading())
    window = room.walls[0].sections[1]
    heights = [m for m in (window.sill, window.top_above_floor) if m]
    kept = [*room.lengths(), *room.ceilings, *room.unplaced, *heights]
    assert sorted(m.number for m in kept if m.number is not None) == list(range(len(NUMBERS)))
    assert [m.text for m in room.unplaced] == ["77", "512"]
    assert room.fixed[0].name == "boiler (77)"
    assert [m.id for m in room.ceilings] == ["ceiling-height 1"]


def test_an_opening_with_a_sill_is_a_window() -> None:
    section = room_from_reading(reading(features=())).walls[0].sections[1]
    assert section.kind is SectionKind.WINDOW
    assert section.sill is not None
    assert section.sill.value_mm == 1050
    assert section.top_above_floor is not None
    assert section.top_above_floor.value_mm == 2100


def test_heights_go_to_the_nearest_opening_of_their_wall_and_else_to_the_nearest_of_all() -> None:
    """A second window in the east wall, two sections down, with a sill of its own written beside it."""
    east = (
        number("60", (930, 160), Role.SECTION, 1),
        number("90", (930, 340), Role.OPENING, 1),
        number("150", (930, 580), Role.SECTION, 1),
    )
    second = Feature(OpeningKind.WINDOW, 1, (0.2, 0.5), box(900, 310))
    sills = (number("95", (860, 310), Role.SILL), number("98.5", (520, 650), Role.SILL, 0))
    kept = tuple(n for n in NUMBERS if n.wall != 1 and n.role not in (Role.SILL, Role.HEAD))
    walls = room_from_reading(reading((*kept, *east, *sills), (WINDOW, second))).walls
    found = [[s.sill.value_mm for s in w.sections if s.sill] for w in walls]
    assert found == [[985], [950], [], []]
    assert [bool(s.sill) for s in walls[0].sections] == [False, True, False]


def test_a_low_head_counts_from_the_sill() -> None:
    numbers = tuple(number("105", (440, 160), Role.HEAD) if n.role is Role.HEAD else n for n in NUMBERS)
    section = room_from_reading(reading(numbers)).walls[0].sections[1]
    assert section.top_above_floor is None
    assert section.top_above_sill is not None


def test_an_opening_that_no_number_covers_is_not_measured() -> None:
    room = room_from_reading(reading(features=(WINDOW, DOOR)))
    section = room.walls[3].sections[0]
    assert (section.kind, section.length.value_mm, section.share) == (SectionKind.DOOR, None, (0.1, 0.3))
    assert "not-measured" in [f.code for f in examine_room(room).findings]


def test_a_drawn_opening_takes_the_number_beside_it_rather_than_hide_a_slip() -> None:
    """The window is drawn a little left of its number; a section without a length would leave wall A unchecked."""
    beside = Feature(OpeningKind.WINDOW, 0, (0.36, 0.40), box(400, 100))
    room = room_from_reading(reading(features=(beside,)))
    assert [s.kind for s in room.walls[0].sections] == [
        SectionKind.WALL,
        SectionKind.WINDOW,
        SectionKind.WALL,
    ]
    assert [c.kind for c in examine_room(room).closures].count("wall") == 1


def test_a_drawn_opening_that_the_overall_has_no_room_for_gets_no_section() -> None:
    far_off = Feature(OpeningKind.DOOR, 0, (0.62, 0.68), box(620, 100))
    sections = room_from_reading(reading(features=(WINDOW, far_off))).walls[0].sections
    assert [s.length.value_mm for s in sections] == [955, 1200, 1845]


def test_numbers_on_no_wall_are_told() -> None:
    notes = {n.code: n for n in examine_room(room_from_reading(reading())).notes}
    assert notes["unplaced"].numbers == (10, 11)


def test_a_correction_stands_beside_what_was_read() -> None:
    room = room_from_reading(reading(), {0: Correction(1485, GivenBy.CUSTOMER)})
    measurement = room.walls[0].sections[2].length
    assert (measurement.text, measurement.value_mm, measurement.taken_from) == ("184.5", 1485, "customer")


def test_the_readers_alternatives_become_priors() -> None:
    slipped = ReadNumber(
        "154.5",
        1545,
        box(780, 80),
        0.7,
        False,
        (Alternative("184.5", 0.25), Alternative("one", 0.05)),
        Role.SECTION,
        0,
    )
    room = room_from_reading(reading((slipped, *NUMBERS[1:])))
    measurement = room.walls[0].sections[2].length
    assert measurement.alternatives == ((1845, 0.25),)
    assert measurement.accepted is False
    first = examine_room(room).slips[0]
    assert (first.number, first.would_be_mm) == (0, 1845)
    assert first.probability > 0.9


def test_a_length_between_two_walls_lies_across_the_room() -> None:
    told = Measures(Role.OVERALL, (3, 1), None, 0.9)
    across = number("401", (500, 400), Role.OVERALL, measures=told)
    room = room_from_reading(reading((*NUMBERS[:7], across)))
    assert [(a.length.id, a.length.value_mm, a.walls) for a in room.across] == [("D-B across", 4010, (3, 1))]
    assert not room.unplaced
    assert examine_room(room).closes is True


def test_ink_that_says_none_of_its_readings_gives_no_length() -> None:
    """The wall's overall and its other sections leave 184.5 cm for it; what is read of it is kept beside."""
    unclear = replace(NUMBERS[0], text="1494", value_mm=14940, legible=False, accepted=False)
    room = room_from_reading(reading((unclear, *NUMBERS[1:])))
    third = room.walls[0].sections[2]
    assert (third.length.text, third.length.value_mm, third.length.number) == ("1494", None, 0)
    examined = examine_room(room)
    assert examined.closes is True and not examined.slips
    assert not any("A3" in desk.worded(f.text) for f in examined.findings if f.code == "not-measured")
    part = examined.placed.walls[0].sections[2]
    assert abs(part.end_mm - part.start_mm - 1845) <= 5 and part.basis is Basis.DERIVED
    window = replace(NUMBERS[2], text="1494", value_mm=14940, legible=False, accepted=False)
    examined = examine_room(room_from_reading(reading((NUMBERS[0], NUMBERS[1], window, *NUMBERS[3:]))))
    assert examined.survey.walls[0].sections[1].length.value_mm is None
    assert "not-measured" not in {f.code for f in examined.findings}, "its number stands on the plan"


def test_a_reading_without_an_outline_keeps_its_numbers() -> None:
    empty = SketchReading(1000, 800, "cm", NUMBERS, SketchOutline((), False))
    room = room_from_reading(empty)
    assert len(room.unplaced) == len(NUMBERS) - 1  # the ceiling needs no wall
    assert [f.code for f in examine_room(room).findings] == ["no-walls"]


def test_feet_and_inches_are_coarser_and_answered_in_kind() -> None:
    """To the inch: 25.4 mm / sqrt 12 = 7.3 mm beside the 5 mm of measuring."""
    numbers = tuple(
        ReadNumber(text, value, box(x, y), 0.98, True, role=role, wall=wall)
        for text, value, x, y, role, wall in (
            ("3' 2\"", 965, 200, 80, Role.SECTION, 0),
            ("4ft", 1219, 450, 80, Role.SECTION, 0),
            ("6ft 1", 1854, 780, 80, Role.SECTION, 0),
            ("12ft 3", 3734, 500, 50, Role.OVERALL, 0),
        )
    )
    room = room_from_reading(reading(numbers, ()))
    assert round(room.walls[0].sections[0].length.sigma_mm, 1) == 8.9
    examination = examine_room(room)
    assert examination.closes is False  # a foot too many: 13 ft 3 in against 12 ft 3
    asked = " ".join(worded(s.question) for s in examination.slips)
    assert "13ft 3 would make the wall add up" in asked


def test_a_sketch_in_millimetres_is_answered_in_millimetres() -> None:
    numbers = tuple(
        ReadNumber(text, int(text), box(x, y), 0.98, True, role=role, wall=0)
        for text, x, y, role in (
            ("955", 200, 80, Role.SECTION),
            ("1200", 450, 80, Role.SECTION),
            ("1485", 780, 80, Role.SECTION),
            ("4000", 500, 50, Role.OVERALL),
        )
    )
    outline = SketchOutline(WALLS, True, ())
    slips = examine_room(room_from_reading(SketchReading(1000, 800, "mm", numbers, outline))).slips
    assert any("we read 1485, and 1845 would make the wall add up" in worded(s.question) for s in slips)


def slanted(text: str, at: tuple[float, float], down: bool) -> ReadNumber:
    """Lettering along a diagonal of the 800 x 600 outline."""
    (ux, uy) = (0.8, 0.6) if down else (0.8, -0.6)
    corners = tuple(
        (at[0] + 20 * i * ux - 8 * j * uy, at[1] + 20 * i * uy + 8 * j * ux)
        for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    )
    return replace(number(text, at, Role.DIAGONAL), box=corners)


def test_a_number_from_corner_to_corner_is_a_diagonal() -> None:
    level = number("500", (300, 245), Role.DIAGONAL)
    room = room_from_reading(reading((*NUMBERS, level, slanted("501", (500, 400), False))))
    assert [a.corners for a in room.across] == [(0, 2), (1, 3)]
    assert [a.length.value_mm for a in room.across] == [5000, 5010]
    assert examine_room(room).placed.squareness.diagonals == ("corner A to C", "corner B to D 2")


def test_a_diagonal_that_may_be_either_stays_unplaced() -> None:
    room = room_from_reading(reading((*NUMBERS, number("500", (500, 400), Role.DIAGONAL))))
    assert room.across == ()
    assert "500" in [m.text for m in room.unplaced]


def test_a_gap_that_the_numbers_leave_no_room_for_is_no_section() -> None:
    """The pencil skipped in the bottom wall, whose sections are as long as the top wall is."""
    gap = Feature(OpeningKind.DOORWAY, 2, (0.1, 0.25), box(800, 700))
    room = room_from_reading(reading(features=(WINDOW, gap)))
    assert [s.length.value_mm for s in room.walls[2].sections] == [2500, 1505]
    assert [f.code for f in room.findings] == ["opening-has-no-room"]
    assert examine_room(room).closes


def test_a_gap_narrower_than_any_opening_does_not_hide_a_slip() -> None:
    """The tape a metre out in the bottom wall leaves room for a doorway of 1 m; the pencil skipped for 16 cm of it."""
    slipped = tuple(replace(n, text="50.5", value_mm=505) if n.text == "150.5" else n for n in NUMBERS)
    gap = Feature(OpeningKind.DOORWAY, 2, (0.96, 1.0), box(150, 700))
    room = room_from_reading(reading(slipped, (WINDOW, gap)))
    assert [s.length.value_mm for s in room.walls[2].sections] == [2500, 505]
    assert [f.code for f in room.findings] == ["opening-has-no-room"]
    assert ("C2", 1505) in [(s.reading, s.would_be_mm) for s in examine_room(room).slips]


def test_a_door_that_there_is_room_for_stays_to_be_measured() -> None:
    shorter = tuple(n for n in NUMBERS if n.text != "150.5")
    door = Feature(OpeningKind.DOOR, 2, (0.65, 0.9), box(250, 700))
    room = room_from_reading(reading(shorter, (WINDOW, door)))
    assert [s.length.value_mm for s in room.walls[2].sections] == [2500, None]
    assert not room.findings


WEST_WALL = number("300", (70, 400), Role.SECTION, 3)
FACING = (
    Feature(OpeningKind.WINDOW, 1, (0.1, 0.4), box(900, 250)),
    Feature(OpeningKind.WINDOW, 3, (0.6, 0.9), box(100, 250)),
)
"""Windows without numbers in the two walls that have one number each and nothing else that says how long they are."""


def test_where_the_numbers_close_as_whole_walls_the_windows_drawn_in_them_are_part_of_them() -> None:
    room = room_from_reading(reading((*NUMBERS, WEST_WALL), (WINDOW, *FACING)))
    assert [[s.length.value_mm for s in room.walls[n].sections] for n in (1, 3)] == [[3000], [3000]]
    assert [f.code for f in room.findings] == ["opening-has-no-room"] * 2
    assert examine_room(room).closes


def test_where_they_do_not_close_a_window_stays_to_be_measured() -> None:
    """The drawing gives both walls 3 m: no room for another window in the one, room for one in the other."""
    shorter = replace(WEST_WALL, text="150", value_mm=1500)
    room = room_from_reading(reading((*NUMBERS, shorter), (WINDOW, *FACING)))
    assert [[s.length.value_mm for s in room.walls[n].sections] for n in (1, 3)] == [[3000], [1500, None]]
    assert [f.code for f in room.findings] == ["opening-has-no-room"]


def test_piers_as_long_as_one_another_are_not_taken_for_whole_walls() -> None:
    """The room would close with them, 205 cm where the drawing has 300: it suits them better beside their windows."""
    piers = [number("205", at, Role.SECTION, wall) for at, wall in (((930, 400), 1), ((70, 400), 3))]
    room = room_from_reading(reading((*(n for n in NUMBERS if n.wall != 1), *piers), (WINDOW, *FACING)))
    assert [[s.length.value_mm for s in room.walls[n].sections] for n in (1, 3)] == [
        [None, 2050],
        [2050, None],
    ]
    assert not room.findings


@pytest.mark.parametrize(("written", "sections"), [("400", [4000]), ("240", [None, 2400])])
def test_a_window_stays_where_the_drawing_leaves_it_room(written: str, sections: list[int | None]) -> None:
    """The facing wall has no number, so that the wall's length is a guess from the drawing: 300 cm."""
    east = number(written, (930, 400), Role.SECTION, 1)
    room = room_from_reading(reading((*(n for n in NUMBERS if n.wall != 1), east), (WINDOW, FACING[0])))
    assert [s.length.value_mm for s in room.walls[1].sections] == sections
    laid = examine_room(room).placed.walls[1].sections
    assert all(s.end_mm - s.start_mm >= LEAST_OPENING_MM for s in laid)


@pytest.mark.parametrize(
    ("at", "lettered_to", "corners"),
    [
        ((300, 250), (340, 250), (0, 2)),
        ((700, 250), (740, 250), (1, 3)),
        ((500, 400), (540, 400), None),
        ((500, 400), (540, 430), (0, 2)),
        ((462, 372), (502, 372), (0, 2)),
        ((500, 160), (540, 160), None),
        ((140, 130), (180, 130), None),
        ((860, 670), (900, 670), None),
    ],
)
def test_a_length_across_is_of_the_corners_on_whose_line_it_stands(
    at: Point, lettered_to: Point, corners: tuple[int, int] | None
) -> None:
    """Where two lines cross it may be of either, unless it is lettered along one or stands nearer to it."""
    (x, y), (dx, dy) = at, (lettered_to[0] - at[0], lettered_to[1] - at[1])
    low, high = (x - dx / 2, y - dy / 2), (x + dx / 2, y + dy / 2)
    assert corners_spanned(WALLS, ReadNumber("500", 5000, (low, high, high, low), 0.98, True)) == corners


def test_what_may_be_a_diagonal_takes_no_part_in_the_sums() -> None:
    """5 m from corner to corner of a room of 4 by 3, once surely and once not."""
    across = number("500", (300, 250), Role.DIAGONAL)
    for chance, count in ((0.95, 1), (0.6, 0)):
        told = replace(across, measures=Measures(Role.DIAGONAL, (), None, chance))
        room = room_from_reading(reading((*NUMBERS[:7], told)))
        assert len(room.across) == count
        assert len(room.unplaced) == 1 - count


def seen_at(wall: int, looks: float) -> Sighting:
    roles = {Role.SECTION: looks, Role.FIXTURE: 1.0 - looks}
    return Sighting((Alternative("1", 1.0),), roles, {}, (Stand(wall, 1.0, (0.0, 1.0)),))


def test_a_section_that_stands_beside_another_wall_is_found_where_one_is_lacking() -> None:
    """The bottom wall's 150.5 stands at the right one, which is 300 by itself."""
    for looks, first in ((0.95, SlipKind.ANOTHER_WALL), (0.1, SlipKind.MISSING)):
        moved = number("150.5", (880, 300), Role.FIXTURE, 1, sighting=seen_at(1, looks))
        rest = tuple(n for n in NUMBERS if n.text != "150.5")
        room = room_from_reading(reading((*rest, moved)))
        slip = examine_room(room).slips[0]
        assert slip.kind is first
        if slip.kind is SlipKind.ANOTHER_WALL:
            assert (slip.number, slip.wall, slip.read_mm) == (len(rest), 1, 1505)
            assert slip.explanation.gap("wall") == "C"


def test_of_two_such_numbers_each_is_half_as_likely_the_one_that_is_lacking() -> None:
    rest = tuple(n for n in NUMBERS if n.text != "150.5")
    there = [number("150.5", (880, y), Role.FIXTURE, 1, sighting=seen_at(1, 0.3)) for y in (300, 450)]
    one, two = (examine_room(room_from_reading(reading((*rest, *some)))).slips for some in (there[:1], there))
    assert {s.number for s in two[:2]} == {len(rest), len(rest) + 1}
    assert [s.probability for s in two[:2]] == pytest.approx([one[0].probability / 2] * 2)


def test_a_number_written_twice_is_told_of_though_the_sums_come_out() -> None:
    for looks, told in ((0.95, [SlipKind.REPEATED]), (0.5, [])):
        again = number("95.5", (200, 140), Role.FIXTURE, 0, sighting=seen_at(0, looks))
        found = examine_room(room_from_reading(reading((*NUMBERS, again))))
        assert found.closes
        assert [s.kind for s in found.slips] == told
        assert all(s.number == len(NUMBERS) for s in found.slips)


def test_a_section_counted_to_a_wall_beside_which_it_does_not_stand_is_told_of() -> None:
    fetched = tuple(replace(n, sighting=seen_at(1, 0.9)) if n.text == "150.5" else n for n in NUMBERS)
    room = room_from_reading(reading(fetched))
    assert [(f.code, f.numbers) for f in room.findings] == [("stands-at-another-wall", (5,))]
