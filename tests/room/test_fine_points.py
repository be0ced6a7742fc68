"""What random faults in the room's rules showed to be held by nothing (python -m tests.mutants)."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from intake.domain.room.changes import ANYTHING, changes_on
from intake.domain.room.closing import examine_room
from intake.domain.room.net import NetAxis, solve
from intake.domain.room.net_building import build_net
from intake.domain.room.posterior import _three
from intake.domain.room.room_file import room_from_dict
from intake.domain.room.slip_chances import UNKNOWN_SLIP
from intake.model.examination import SlipKind as K
from intake.model.room import RoomSurvey
from intake.wording import desk
from tests.room.build import RECTANGLE, l_shape, oracle_room, wall

TWO_AGAINST_ONE_ANOTHER = RoomSurvey(
    walls=(
        wall(0, RECTANGLE[0], (4000,)),
        wall(1, RECTANGLE[1], (3000,)),
        wall(2, RECTANGLE[2], (4300,)),
        wall(3, RECTANGLE[3], (3000,)),
    )
)
OF_ANOTHER_WALL = RoomSurvey(
    walls=(
        wall(0, RECTANGLE[0], (1000, 2000, 640), 3000),
        wall(1, RECTANGLE[1], (1640, 1000)),
        wall(2, RECTANGLE[2], (1400, 1600)),
        wall(3, RECTANGLE[3], (2000,), 2620),
    )
)


@pytest.mark.parametrize(
    ("room", "doubtful"),
    [
        (oracle_room(north=(955, 1200, 1485)), {"A3"}),
        (oracle_room(north=(955, 12000, 1845)), {"A2"}),
        (oracle_room(north_overall=4377), {"A overall"}),
        (TWO_AGAINST_ONE_ANOTHER, {"A1", "C1"}),
        (OF_ANOTHER_WALL, {"A3"}),
    ],
)
def test_the_lengths_that_may_be_the_slip_are_in_doubt(room: RoomSurvey, doubtful: set[str]) -> None:
    """The room worked by hand in tests/room/build.py, with one slip; two walls that contradict one another, of which
    nobody can tell which is wrong; and the left wall's 64 written along the top."""
    assert {r.id for r in examine_room(room).readings if r.doubtful} == doubtful


def test_a_length_that_has_its_wall_alone_is_a_section_of_it() -> None:
    """One of several may be written there twice, or be of something else."""
    room = l_shape()
    net = build_net(room)
    made = [c for axis in (NetAxis.X, NetAxis.Y) for c in changes_on(room, net, solve(net), axis)]
    assert {c.reading for c in made} >= {s.length.id for w in room.walls for s in w.sections}
    assert not {K.REPEATED, K.NO_SECTION}.intersection(c.kind for c in made)
    chain = oracle_room()
    net = build_net(chain)
    made = changes_on(chain, net, solve(net), NetAxis.X)
    assert {"A1", "A2", "A3", "C1", "C2"} == {c.reading for c in made if c.kind in (K.REPEATED, K.NO_SECTION)}


WALLS = [{"runs": way, "sections": [300]} for way in "ESWN"]


@pytest.mark.parametrize(
    ("data", "name"),
    [
        ({"units": [{"wall": "A", "widths": [60, "wide"]}]}, "unit 1.2"),
        ({"units": [{"wall": "A", "widths": [60]}, {"wall": "B", "widths": ["wide", 60]}]}, "unit 2.1"),
        ({"ceilings": [240, "high"]}, "ceiling 2"),
        ({"fixed": [{"name": "boiler"}, {"name": "meter", "height": "high"}]}, "F2 height"),
    ],
)
def test_what_is_no_length_is_named_by_its_place(data: dict[str, Any], name: str) -> None:
    """Counted from 1, as people count."""
    first = room_from_dict({"walls": WALLS} | data).findings[0]
    assert f"{name}: " in desk.worded(first.text)


def test_three_lengths_wrong_by_anything_weigh_what_their_integral_says() -> None:
    """Each of any size, as likely, by the trapezium rule over 8 m; with two to spare nothing shows them."""
    sizes = np.linspace(-4000.0, 4000.0, 8001)
    one = UNKNOWN_SLIP * math.exp(ANYTHING) * np.trapezoid(np.exp(-0.04 * sizes**2 / 2.0), sizes)
    found = _three(30.0, 2.6, np.array([0.01, 0.04, 0.09]))
    assert found == pytest.approx(3.0 * math.log(one) + 15.0)
    assert _three(30.0, 2.4, np.array([0.04])) == -math.inf
