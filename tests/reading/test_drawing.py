"""Outlines, openings and walls on drawings made and sorted here, so that every corner is known."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from intake.domain.sketch.outline_levels import span_on
from intake.model.reading import Direction, Role
from intake.reading.openings import openings, piece_of, spans_of
from intake.reading.outline import find_drawing, find_outline, has_second_room
from intake.reading.sorter import ACROSS, NOTHING, ROLES, SEVERAL, Ink, Sorted
from intake.reading.walls import numbered, standings

MEANT = np.zeros((len(ROLES) + 8, 94, 125), np.float32)
"""What no number means, at an eighth of the pages drawn here."""
L_ROOM = [(200, 150), (800, 150), (800, 600), (500, 600), (500, 450), (200, 450)]


Gap = tuple[tuple[int, int], tuple[int, int]]


def _ink(corners: list[tuple[int, int]], gaps: list[Gap] | None = None, inside: float = 0.9) -> Sorted:
    """A room as the sorter would see it: its walls but for the gaps, and what lies within, `inside` sure."""
    page = np.zeros((750, 1000), np.uint8)
    cv2.polylines(page, [np.asarray(corners, np.int32)], True, 255, 3)
    for a, b in gaps or []:
        cv2.line(page, a, b, 0, 9)
    kinds = np.zeros((len(Ink), 750, 1000), np.uint8)
    kinds[Ink.WALL] = page
    room = np.full((750, 1000), 1 - inside, np.float32)
    cv2.fillPoly(room, [np.asarray(corners, np.int32)], inside)
    return Sorted(kinds, room, (), (), (1.0, 1.0), MEANT)


def _near(found: np.ndarray | None, corners: list[tuple[int, int]]) -> bool:
    if found is None or len(found) != len(corners):
        return False
    apart = np.hypot(*(found[:, None] - np.asarray(corners)[None]).transpose(2, 0, 1))
    return bool(apart.min(axis=0).max() < 12)


@pytest.mark.parametrize(
    "gaps",
    [
        [],
        [((400, 150), (500, 150))],
        [((200, 370), (200, 450))],
        [((600, 600), (690, 600)), ((800, 300), (800, 380))],
    ],
    ids=["closed", "gap", "gap up to a corner", "two gaps"],
)
def test_the_corners_of_a_room_with_openings(gaps: list[Gap]) -> None:
    assert _near(find_outline(find_drawing(_ink(L_ROOM, gaps))), L_ROOM)


def test_walls_lie_where_they_are_drawn_although_the_inside_is_told_only_roughly() -> None:
    ink = _ink(L_ROOM)
    rough = cv2.GaussianBlur(np.roll(ink.inside, (14, -12), (0, 1)), (0, 0), 12)
    assert _near(find_outline(find_drawing(replace(ink, inside=rough))), L_ROOM)


def test_a_step_of_the_walls_is_kept_where_the_sorter_is_unsure_of_it() -> None:
    nib = [(200, 150), (800, 150), (800, 600), (420, 600), (420, 560), (360, 560), (360, 600), (200, 600)]
    assert _near(find_outline(find_drawing(_ink(nib, inside=0.75))), nib)


@pytest.mark.parametrize(("gaps", "walls"), [([], 6), ([((500, 146), (500, 176))], 4)], ids=["drawn", "bare"])
def test_a_small_step_is_a_wall_only_where_a_stroke_runs_along_it(gaps: list[Gap], walls: int) -> None:
    """As at the two sides of a window's box, which are drawn on the wall's line and beside it."""
    step = [(200, 150), (500, 150), (500, 172), (800, 172), (800, 600), (200, 600)]
    found = find_outline(find_drawing(_ink(step, gaps)))
    assert found is not None and len(found) == walls


def test_a_boxed_corner_whose_edge_no_stroke_of_a_wall_shows_is_left_out_of_the_room() -> None:
    """The box's own edges are hidden by its hatching; the walls behind it are drawn."""
    boxed = [(300, 150), (800, 150), (800, 600), (200, 600), (200, 240), (300, 240)]
    ink = _ink([(200, 150), (800, 150), (800, 600), (200, 600)])
    ink.inside[150:240, 200:300] = 0.1
    assert _near(find_outline(find_drawing(ink)), boxed)


def test_lines_that_enclose_nothing_are_no_room() -> None:
    kinds = np.zeros((len(Ink), 750, 1000), np.uint8)
    outside = np.full((750, 1000), 0.02, np.float32)
    assert find_outline(find_drawing(Sorted(kinds, outside, (), (), (1.0, 1.0), MEANT))) is None
    for y in (200, 400, 600):
        cv2.line(kinds[Ink.WALL], (100, y), (600, y), 255, 3)
    assert find_outline(find_drawing(Sorted(kinds, outside, (), (), (1.0, 1.0), MEANT))) is None


def test_a_second_room_beside_the_first_is_told() -> None:
    one = _ink(L_ROOM)
    beside = one.inside.copy()
    beside[150:700, 850:990] = 0.9
    assert not has_second_room(one)
    assert has_second_room(replace(one, inside=beside))


def test_an_opening_is_found_and_named_by_the_number_of_its_stretch() -> None:
    ink = _ink(L_ROOM, [((400, 150), (500, 150))])
    (gap,) = openings(np.array([200.0, 150.0]), np.array([800.0, 150.0]), ink, 750.0)
    assert gap.span == pytest.approx((1 / 3, 1 / 2), abs=0.03) and gap.kind == "doorway"
    assert piece_of((0.36, 0.47), [gap.span])[1] and not piece_of((0.02, 0.3), [gap.span])[1]


def test_a_wall_drawn_through_is_not_open_whatever_its_ink_was_taken_for() -> None:
    start, end = np.array([200.0, 150.0]), np.array([800.0, 150.0])
    ink = _ink(L_ROOM, [((400, 150), (500, 150))])
    cv2.line(ink.kinds[Ink.LINE], (390, 150), (510, 150), 255, 3)
    assert spans_of(start, end, ink.kinds, 750.0) == []
    broken = _ink(L_ROOM, [((400, 150), (500, 150))])
    for x in range(395, 510, 20):
        cv2.line(broken.kinds[Ink.LINE], (x, 150), (x + 8, 150), 255, 3)
    assert len(spans_of(start, end, broken.kinds, 750.0)) == 1
    beside = _ink(L_ROOM, [((400, 150), (500, 150))])
    cv2.line(beside.kinds[Ink.LINE], (390, 130), (510, 130), 255, 3)
    assert len(openings(start, end, beside, 750.0)) == 1


def test_a_window_is_a_box_over_the_wall_and_a_door_swings() -> None:
    ink = _ink(L_ROOM)
    cv2.rectangle(ink.kinds[Ink.OPENING], (260, 143), (380, 157), 255, 2)
    cv2.line(ink.kinds[Ink.WALL], (560, 150), (660, 150), 0, 9)
    cv2.line(ink.kinds[Ink.OPENING], (560, 150), (560, 250), 255, 2)
    cv2.ellipse(ink.kinds[Ink.OPENING], (560, 150), (100, 100), 0, 0, 90, 255, 2)
    window, door = openings(np.array([200.0, 150.0]), np.array([800.0, 150.0]), ink, 750.0)
    assert (window.kind, door.kind) == ("window", "door")
    assert window.span == pytest.approx((0.1, 0.3), abs=0.03) and door.span == pytest.approx(
        (0.6, 0.767), abs=0.03
    )


def test_walls_are_numbered_clockwise_from_the_top_left() -> None:
    walls = numbered(np.roll(np.asarray(L_ROOM, float), 2, axis=0))
    assert [w.direction for w in walls] == [
        Direction.EAST,
        Direction.SOUTH,
        Direction.WEST,
        Direction.NORTH,
        Direction.WEST,
        Direction.NORTH,
    ]
    assert walls[0].start == (200.0, 150.0)


def test_a_number_belongs_to_the_wall_it_stands_by() -> None:
    walls = numbered(np.asarray(L_ROOM, float))
    by = standings(((450, 165), (520, 165), (520, 195), (450, 195)), walls)
    assert by[0].wall == 0 and by[0].inside and by[0].along == pytest.approx(0.475)
    assert standings(((0, 0), (1, 0), (1, 1), (0, 1)), ()) == ()


def test_a_number_further_off_belongs_to_the_wall_of_its_stretch() -> None:
    """A small number in a corner of the room, nearer to the wall that it does not measure."""
    walls = numbered(np.asarray(L_ROOM, float))
    box = ((215, 200), (250, 200), (250, 220), (215, 220))
    assert standings(box, walls)[0].wall == 5
    by = standings(box, walls, ((200.0, 152.0), (260.0, 149.0)))
    assert by[0].wall == 0 and by[0].weight > 0.8
    assert span_on(walls[0], ((260.0, 149.0), (150.0, 152.0))) == pytest.approx((0.0, 0.1))


def test_what_a_number_measures_is_told_where_it_stands() -> None:
    meant = MEANT.copy()
    meant[ROLES.index(Role.SECTION)] = 0.1
    meant[ROLES.index(Role.OVERALL), 20:30, 40:60] = 0.9
    meant[len(ROLES)] = 0.8
    meant[len(ROLES) + 1 : len(ROLES) + 5] = np.array([-80, -40, 160, -40], np.float32)[:, None, None]
    page = replace(_ink(L_ROOM), meanings=meant, scale=(2.0, 2.0))
    meaning = page.meaning(((170, 90), (230, 90), (230, 110), (170, 110)))
    assert meaning.roles[Role.OVERALL] == pytest.approx(0.9) and sum(meaning.roles.values()) == pytest.approx(
        1
    )
    assert meaning.of_wall == pytest.approx(0.8) and meaning.across == meaning.nothing == 0
    assert np.asarray(meaning.stretch) == pytest.approx(np.array([[160, 80], [280, 80]]), abs=1)


def test_what_is_across_the_room_or_of_nothing_is_of_no_known_role_and_several_walls_have_an_overall() -> (
    None
):
    meant = MEANT.copy()
    meant[ROLES.index(Role.UNKNOWN)], meant[ROLES.index(Role.OVERALL)] = 0.1, 0.2
    meant[len(ROLES) + 5 + ACROSS], meant[len(ROLES) + 5 + SEVERAL], meant[len(ROLES) + 5 + NOTHING] = (
        0.4,
        0.25,
        0.05,
    )
    meaning = replace(_ink(L_ROOM), meanings=meant).meaning(((170, 90), (230, 90), (230, 110), (170, 110)))
    told = (meaning.across, meaning.several, meaning.nothing)
    assert told == pytest.approx((0.4, 0.25, 0.05))
    assert meaning.roles[Role.UNKNOWN] == pytest.approx(0.55) and meaning.roles[
        Role.OVERALL
    ] == pytest.approx(0.45)


def test_of_two_faces_of_a_partition_a_number_belongs_to_the_one_its_stretch_runs_along() -> None:
    corners = [(200, 150), (800, 150), (800, 600), (510, 600), (510, 300), (490, 300), (490, 600), (200, 600)]
    walls = numbered(np.asarray(corners, float))
    box = ((485, 440), (515, 440), (515, 460), (485, 460))
    up, down = ((500.0, 500.0), (500.0, 400.0)), ((500.0, 400.0), (500.0, 500.0))
    assert [standings(box, walls, way)[0].wall for way in (up, down)] == [3, 5]


def test_the_walls_of_a_shallow_bay_slant_and_a_short_nib_that_wobbles_does_not() -> None:
    """A bay drawn 18 degrees off the wall it stands in; and a nib as much off, which is shorter than a tenth."""
    bay = np.array(
        [(0, 0), (300, 0), (500, -65), (800, -65), (1000, 0), (1300, 0), (1300, 900), (0, 900)], float
    )
    assert "".join(w.direction.value[0] for w in numbered(bay)) == "EoEoESWN"
    nib = np.array([(0, 0), (1000, 0), (1000, 400), (935, 420), (935, 900), (0, 900)], float)
    assert "".join(w.direction.value[0] for w in numbered(nib)) == "ESWSWN"


def test_a_room_that_lies_askew_on_its_sheet_has_square_walls() -> None:
    turn = np.deg2rad(11.0)
    square = np.array([(0, 0), (800, 0), (800, 500), (0, 500)], float) + 400
    askew = square @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    assert {w.direction.value for w in numbered(askew)} == {"E", "S", "W", "N"}
