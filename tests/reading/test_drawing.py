"""Outlines, openings, ruling and walls on drawings made here with plain lines, so that every corner is
known."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from intake.model.reading import Direction
from intake.reading.openings import openings, piece_at
from intake.reading.outline import find_drawing, find_outline
from intake.reading.ruling import without_ruling
from intake.reading.strokes import find_segments
from intake.reading.walls import numbered, standings

L_ROOM = [(200, 150), (800, 150), (800, 600), (500, 600), (500, 450), (200, 450)]


def _ink(
    corners: list[tuple[int, int]], gaps: list[tuple[tuple[int, int], tuple[int, int]]] | None = None
) -> np.ndarray:
    page = np.zeros((750, 1000), np.uint8)
    cv2.polylines(page, [np.asarray(corners, np.int32)], True, 1, 3)
    for a, b in gaps or []:
        cv2.line(page, a, b, 0, 9)
    return page > 0


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
def test_the_corners_of_a_room_with_openings(gaps: list[tuple[tuple[int, int], tuple[int, int]]]) -> None:
    assert _near(find_outline(find_drawing(_ink(L_ROOM, gaps), []), []), L_ROOM)


def test_a_dimension_line_beside_a_wall_is_no_wall() -> None:
    ink = _ink(L_ROOM, [((400, 150), (500, 150))]).astype(np.uint8)
    cv2.line(ink, (205, 118), (795, 118), 1, 2)
    assert _near(find_outline(find_drawing(ink > 0, []), []), L_ROOM)


def test_lines_that_enclose_nothing_are_no_room() -> None:
    page = np.zeros((750, 1000), np.uint8)
    for y in (200, 400, 600):
        cv2.line(page, (100, y), (600, y), 1, 3)
    assert find_outline(find_drawing(page > 0, []), []) is None
    assert find_outline(find_drawing(np.zeros((750, 1000), bool), []), []) is None


def test_an_opening_is_found_and_named_by_the_number_at_its_middle() -> None:
    strokes = find_segments(_ink(L_ROOM, [((400, 150), (500, 150))]))
    (span,) = openings(np.array([200.0, 150.0]), np.array([800.0, 150.0]), strokes, 750.0)
    assert span == pytest.approx((1 / 3, 1 / 2), abs=0.03)
    assert piece_at(0.42, [span])[1] and not piece_at(0.15, [span])[1]


def test_ruling_goes_and_the_drawing_stays() -> None:
    rng = np.random.default_rng(0)
    dark = rng.normal(0, 1, (750, 1000)).astype(np.float32)
    dark[::17] += 40
    dark[:, ::17] += 40
    walls = _ink(L_ROOM)
    dark[walls] = 120
    clean = without_ruling(np.maximum(dark, 0))
    assert np.mean(clean[walls] > 45) > 0.95
    assert np.mean(clean[~walls] > 25) < 0.01


def test_plain_paper_is_left_as_it_is() -> None:
    dark = np.zeros((750, 1000), np.float32)
    dark[_ink(L_ROOM)] = 120
    assert np.array_equal(without_ruling(dark), dark)


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
