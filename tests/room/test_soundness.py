"""What no room can be, told before any arithmetic. No outside source: plain geometry of invented rooms."""

from __future__ import annotations

from typing import Any

import pytest

from intake.domain.room.closing import examine_room
from intake.domain.room.room_file import room_from_dict


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
