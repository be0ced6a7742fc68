"""The outline from strokes and from what is held for the room, on drawings made here."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.reading.other_outlines import cut, grown, solid
from intake.reading.outline import Corners, drawing_of, find_outline
from intake.reading.sorter import Ink, Sorted
from intake.reading.strokes import gather

SIZE = (700, 900)
Points = Sequence[tuple[int, int]]
ALCOVE: Points = ((100, 220), (400, 220), (400, 100), (800, 100), (800, 600), (100, 600))
"""A room whose left part is less deep; its left wall may be missing."""
NIB: Points = ((100, 100), (800, 100), (800, 600), (420, 600), (420, 430), (400, 430), (400, 600), (100, 600))


def _inside(room: Points) -> NDArray[np.float32]:
    held = np.zeros(SIZE, np.uint8)
    cv2.fillPoly(held, [np.asarray(room, np.int32)], (1,))
    return held.astype(np.float32)


def _outline(room: Points, gaps: Sequence[int], inside: NDArray[np.float32]) -> Corners | None:
    """What is found of a room whose walls are drawn but those in `gaps`."""
    walls = zip(room, [*room[1:], room[0]], strict=True)
    strokes = [(*a, *b) for n, (a, b) in enumerate(walls) if n not in gaps]
    return find_outline(drawing_of(np.asarray(strokes, np.float64), inside))


def _off(found: Corners | None, room: Points) -> float:
    """How far the corners found lie off the true ones at most, pixels."""
    assert found is not None and len(found) == len(room)
    apart = np.hypot(*(found[:, None] - np.asarray(room)[None]).transpose(2, 0, 1))
    return float(apart.min(axis=0).max())


def test_a_room_with_an_open_side_ends_where_its_walls_end() -> None:
    frayed = _inside(ALCOVE)
    for y in range(220, 600, 40):
        frayed[y : y + 20, 100 : 100 + (y * 7) % 70] = 0.0
    assert _off(_outline(ALCOVE, [5], frayed), ALCOVE) < 12


def test_a_wall_that_ends_free_within_the_room_closes_nothing() -> None:
    room: Points = ((100, 100), (800, 100), (800, 600), (100, 600))
    walls = [(*a, *b) for a, b in zip(room, [*room[1:], room[0]], strict=True)]
    stubs = [(100, 250, 350, 250), (100, 480, 350, 480)]
    drawing = drawing_of(np.asarray([*walls, *stubs], np.float64), _inside(room))
    assert _off(find_outline(drawing), room) < 5


def test_a_wall_that_lies_otherwise_than_the_rest_is_found_where_it_is_drawn() -> None:
    room: Points = ((100, 150), (800, 100), (800, 600), (100, 600))
    level = [(150, 200 + 30 * n, 700, 200 + 30 * n) for n in range(4)]
    walls = [(*a, *b) for a, b in zip(room, [*room[1:], room[0]], strict=True)]
    lines = gather(np.asarray([*walls, *level], np.float64), apart=8)
    slant = min(lines, key=lambda line: abs(line.at(0.0)[1] - 125))
    assert {round(float(y)) for _, y in (slant.at(end) for end in slant.reach)} == {100, 150}


def test_a_nib_as_thin_as_a_partition_is_kept() -> None:
    assert _off(_outline(NIB, [], _inside(NIB)), NIB) < 5


def _sorted(
    kinds: dict[Ink, Sequence[tuple[tuple[int, int], tuple[int, int]]]], room: Points = NIB
) -> Sorted:
    planes = np.zeros((len(Ink), *SIZE), np.uint8)
    for kind, strokes in kinds.items():
        for a, b in strokes:
            cv2.line(planes[kind], a, b, (255,), 3)
    nothing = np.zeros((17, SIZE[0] // 8, SIZE[1] // 8), np.float32)
    return Sorted(planes, _inside(room), (), (), (1.0, 1.0), nothing)


def test_a_nib_under_a_dimension_line_is_drawn_all_along() -> None:
    corners, bare_room = np.asarray(NIB, np.float64), np.asarray([NIB[n] for n in (0, 1, 2, 7)], np.float64)
    sides = [((400, 600), (400, 430)), ((400, 430), (420, 430))]
    hidden = ((420, 430), (420, 600))
    alone = solid(corners, bare_room, _sorted({Ink.WALL: sides}))
    dimensioned = solid(corners, bare_room, _sorted({Ink.WALL: sides, Ink.LINE: [hidden]}))
    assert 0.4 < alone[0] == alone[1] < 0.7
    assert dimensioned[0] == alone[0] and dimensioned[1] > 0.9


SPLAYED: Points = ((100, 100), (800, 100), (800, 380), (620, 600), (100, 600))
SQUARE: Points = ((100, 100), (800, 100), (800, 600), (100, 600))


def test_a_square_is_also_tried_without_the_corner_that_a_drawn_line_cuts_off() -> None:
    strokes = [(*a, *b) for a, b in zip(SQUARE, [*SQUARE[1:], SQUARE[0]], strict=True)]
    drawing = drawing_of(np.asarray([*strokes, (800, 380, 620, 600)], np.float64), _inside(SQUARE))
    tried = list(cut(np.asarray(SQUARE, np.float64), drawing.lines))
    assert min(_off(found, SPLAYED) for found in tried if len(found) == 5) < 5


def test_a_line_along_a_wall_cuts_nothing_off() -> None:
    strokes = [(*a, *b) for a, b in zip(SQUARE, [*SQUARE[1:], SQUARE[0]], strict=True)]
    drawing = drawing_of(np.asarray(strokes, np.float64), _inside(SQUARE))
    assert list(cut(np.asarray(SQUARE, np.float64), drawing.lines)) == []


def test_squaring_a_splayed_corner_adds_what_is_outside() -> None:
    splayed, square = (np.asarray(room, np.float64) for room in (SPLAYED, SQUARE))
    ink = _sorted({}, SPLAYED)
    triangle = 180 * 220 / 2
    assert abs(grown(splayed, square, ink) * (700**2 + 500**2) - triangle) < 0.02 * triangle
    assert grown(square, splayed, ink) == 0.0
