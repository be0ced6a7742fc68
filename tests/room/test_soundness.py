"""What no room can be, told before any arithmetic. No outside source: plain geometry of invented rooms."""

from __future__ import annotations

from typing import Any

import pytest

from intake.domain.room.closing import examine_room
from intake.domain.room.room_file import room_from_dict
from intake.domain.room.soundness import MOST_SECTIONS, MOST_WALLS, OPENED, check_sound
from intake.wording.desk import worded


def findings(depth: float, beside: list[Any]) -> set[str]:
    """Of a room with a chimney breast that deep on its first wall; `beside` are the sections of the walls that say how
    far the room goes there."""
    walls = [
        {"runs": "E", "sections": [100, {"chimney-breast": 120, "depth": depth}, 180]},
        {"runs": "S", "sections": beside},
        {"runs": "W", "sections": [400]},
        {"runs": "N", "sections": beside},
    ]
    room = room_from_dict({"room": "kitchen", "unit": "cm", "walls": walls})
    assert not room.findings
    return {f.code for f in examine_room(room).findings}


@pytest.mark.parametrize("depth", [30, 299, 300, 310])
def test_nothing_stands_out_as_far_as_the_room_goes(depth: float) -> None:
    assert ("deeper-than-room" in findings(depth, [200, 100])) == (depth >= 300)


def test_how_far_a_room_goes_is_not_known_from_a_part_of_it() -> None:
    assert "deeper-than-room" not in findings(210, [200, "?"])


def said(*walls: tuple[Any, ...], **more: Any) -> list[str]:
    """What is told of a room of walls (which way, the sections, and the overalls where there are any)."""
    given = [dict(zip(("runs", "sections", "overall"), w, strict=False)) for w in walls]
    room = room_from_dict({"room": "kitchen", "unit": "cm", "walls": given, **more})
    assert not room.findings
    sound, found = check_sound(room)
    assert sound.closed == (more.get("closed", True) and not any(f.code in OPENED for f in found))
    return [worded(f.text) for f in found]


SOUTH, WEST, NORTH = ("S", [300]), ("W", [400]), ("N", [300])


@pytest.mark.parametrize(
    ("walls", "told"),
    [
        ([("E", [400]), SOUTH, WEST, NORTH], []),
        # A length that no room has, and one that is just possible.
        ([("E", [3, 397]), SOUTH, WEST, NORTH], []),
        (
            [("E", [2.9, 397]), SOUTH, WEST, NORTH],
            ["Unlikely for a room, so probably another unit or a slip: section A1 2.9 cm."],
        ),
        ([("E", [800]), SOUTH, WEST, NORTH], []),
        (
            [("E", [801]), SOUTH, WEST, NORTH],
            ["Unlikely for a room, so probably another unit or a slip: section A1 801 cm."],
        ),
        (
            [("E", [400], 79), SOUTH, WEST, NORTH],
            ["Unlikely for a room, so probably another unit or a slip: A overall 79 cm."],
        ),
        ([("E", [400], 80), SOUTH, WEST, NORTH], []),
        # Two overalls of one wall, and two of which one is of no use.
        ([("E", [400], [400, 402]), SOUTH, WEST, NORTH], []),
        (
            [("E", [400], [400, 412]), SOUTH, WEST, NORTH],
            ["Wall A has two overalls that contradict each other: A overall 400 cm, A overall 2 412 cm."],
        ),
        ([("E", [400], [400, "?"]), SOUTH, WEST, NORTH], []),
        # Walls that cannot come round.
        (
            [("E", [400])],
            ["Only one wall was drawn, so the room cannot be closed and nothing across it is checked."],
        ),
        (
            [("E", [400]), SOUTH],
            ["Only two walls were drawn, so the room cannot be closed and nothing across it is checked."],
        ),
        (
            [("E", [400]), SOUTH, WEST],
            [
                "The walls cannot come round to a room: no wall runs up the page, though one runs down the page."
            ],
        ),
        (
            [("E", [400]), ("S", [300]), ("E", [40]), NORTH],
            [
                "The walls cannot come round to a room: no wall runs to the left, though one runs to the right."
            ],
        ),
        (
            [("E", [400]), WEST, SOUTH, NORTH],
            ["Wall B turns straight back on the one before it: a return between them is missing."],
        ),
        (
            [("E", [400]), NORTH, WEST, SOUTH],
            ["The walls run anticlockwise; they must run clockwise round the room."],
        ),
        (
            [("E", [400]), ("N", [50]), ("E", [40]), SOUTH, WEST, ("S", [50]), WEST, NORTH],
            [],
        ),
        ([("E", [400]), SOUTH, ("other", [100]), NORTH], []),
        (
            [("E", [400]), SOUTH, WEST, NORTH] * 2,
            ["Going round the walls turns 720 degrees and not 360: a wall or a return is missing."],
        ),
    ],
)
def test_what_is_told_of_walls(walls: list[tuple[Any, ...]], told: list[str]) -> None:
    assert said(*walls) == told


ROUND = (("E", [400]), SOUTH, WEST, NORTH)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"closed": False}, ["The walls as drawn do not come back to where they start."]),
        ({"fixed": [{"name": "boiler", "wall": "A", "from-left": 350, "width": 50}]}, []),
        (
            {"fixed": [{"name": "boiler", "wall": "A", "from-left": 350, "width": 60}]},
            ["boiler would reach 410 cm along wall A, which is 400 cm long."],
        ),
        (
            {"fixed": [{"name": "boiler", "wall": "B", "from-left": 100, "width": 110, "from-right": 100}]},
            ["boiler would reach 310 cm along wall B, which is 300 cm long."],
        ),
        ({"fixed": [{"name": "boiler", "wall": "A", "width": 60}, {"name": "water main"}]}, []),
        ({"across": [{"walls": ["A", "C"], "length": 300}]}, []),
        ({"across": [{"corners": ["A", "C"], "length": 500}]}, []),
        (
            {"across": [{"walls": ["A", "B"], "length": 300}]},
            ["across 1, wall A to B: walls A and B do not face each other, so it is not used."],
        ),
    ],
)
def test_what_is_told_of_things_and_of_lengths_across(more: dict[str, Any], told: list[str]) -> None:
    assert said(*ROUND, **more) == told


def test_more_than_can_be_weighed_is_not_begun_with() -> None:
    """A room of as many is."""
    many = [("E", [100] * MOST_SECTIONS), SOUTH, WEST, NORTH]
    assert said(*many) == []
    many[0] = ("E", [100] * (MOST_SECTIONS + 1))
    assert said(*many) == [f"Wall A has {MOST_SECTIONS + 1} sections; a wall has {MOST_SECTIONS} at most."]
    zigzag = [("E", [50]), ("S", [50])] * MOST_WALLS
    assert said(*zigzag)[0].startswith(f"This plan has {2 * MOST_WALLS} walls")
