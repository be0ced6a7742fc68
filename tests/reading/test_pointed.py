"""A length that stands away from its wall, with a leader to its piece. That a leader with an arrow's head ends on the
outline of what it refers to is from ISO 129-1:2018 (from memory)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from intake.model.reading import Alternative, Box, Direction, OutlineWall, Role, Stand
from intake.reading.leaders import Leader
from intake.reading.numbers import Placed
from intake.reading.pointed import led_to_its_piece
from intake.reading.sorter import SeenMeaning
from intake.reading.texts import ReadText
from intake.reading.tidy import Cutting
from intake.reading.walls import Stretch, is_off, standings

CORNERS = [(100.0, 100.0), (900.0, 100.0), (900.0, 700.0), (100.0, 700.0)]
WALLS = tuple(
    OutlineWall(n, start, CORNERS[(n + 1) % 4], way)
    for n, (start, way) in enumerate(
        zip(CORNERS, (Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH), strict=True)
    )
)
DOOR = {0: [(0.25, 0.5)]}
"""The upper wall's opening, from 300 to 500."""
BESIDE: Stretch = ((900.0, 250.0), (900.0, 350.0))
"""Where the sorter has the number reach: a piece of the wall that it stands by."""


def number(sections: float = 0.9) -> Placed:
    box: Box = ((740.0, 280.0), (840.0, 280.0), (840.0, 320.0), (740.0, 320.0))
    said = (Alternative("158.5", 0.99),)
    read = ReadText(Cutting(box, np.zeros((64, 200), np.uint8), box), said[0], said, 0.99)
    roles = {**dict.fromkeys(Role, 0.0), Role.SECTION: sections, Role.FIXTURE: 1 - sections}
    told = SeenMeaning(roles, 1.0, BESIDE)
    by = standings(box, WALLS, BESIDE)
    stands = tuple(Stand(s.wall, s.weight, (0.0, 1.0)) for s in by)
    return Placed(read, box, told, by, None, roles, stands)


def leader(tip: tuple[float, float], head: float = 1.0, passing: float = 0.0) -> Leader:
    return Leader(np.array([745.0, 270.0]), np.array(tip), 0.1, 4.0, head, passing)


def led_to(place: Placed, *leaders: Leader) -> Stretch:
    return led_to_its_piece(place, leaders, WALLS, DOOR).told.stretch


@pytest.mark.parametrize(
    ("tip", "piece"),
    [((700.0, 104.0), ((500.0, 100.0), (900.0, 100.0))), ((480.0, 97.0), ((300.0, 100.0), (500.0, 100.0)))],
)
def test_a_length_is_of_the_piece_at_which_its_leader_ends(tip: tuple[float, float], piece: Stretch) -> None:
    assert led_to(number(), leader(tip)) == piece
    found = led_to_its_piece(number(), [leader(tip)], WALLS, DOOR)
    best = max(found.stands, key=lambda stand: stand.weight)
    assert best.wall == 0 and best.span == pytest.approx(
        ((piece[0][0] - 100) / 800, (piece[1][0] - 100) / 800)
    )
    assert best.at_opening == (piece[0][0] == 300)


def test_lines_that_lead_elsewhere_or_are_no_leaders_leave_it_where_it_stands() -> None:
    tip = (700.0, 104.0)
    assert led_to(number(), leader((700.0, 160.0))) == BESIDE, "it ends in the room"
    assert led_to(number(), leader(tip, passing=1.0)) == BESIDE
    assert led_to(number(), leader(tip, head=0.0)) == BESIDE
    back = Leader(np.array([790.0, 330.0]), np.array([835.0, 496.0]), 0.1, 4.0, 0.0, 0.0)
    assert led_to(number(), leader(tip), back) == BESIDE, "one line runs through the number"
    along = Leader(np.array([745.0, 104.0]), np.array([600.0, 103.0]), 0.1, 4.0, 1.0, 0.0)
    assert led_to(number(), along) == BESIDE, "it runs along the wall"


def test_a_number_with_a_dimension_line_or_of_a_thing_is_not_led_away() -> None:
    place = number()
    assert led_to(replace(place, line=BESIDE), leader((700.0, 104.0))) == BESIDE
    assert led_to(number(sections=0.0), leader((700.0, 104.0))) == BESIDE


@pytest.mark.parametrize(
    ("above", "of_wall", "off"), [(200, 0.0, False), (300, 0.0, True), (300, 0.8, False), (500, 0.8, True)]
)
def test_what_stands_far_off_the_room_is_of_it_where_the_drawing_says_so(
    above: int, of_wall: float, off: bool
) -> None:
    """The room's diagonal is 1000."""
    top = 100.0 - above
    box: Box = ((740.0, top - 40), (840.0, top - 40), (840.0, top), (740.0, top))
    assert is_off(standings(box, WALLS), of_wall) is off
