"""Where a thing is, is not which room the survey is of. The sentences are invented."""

from __future__ import annotations

import pytest

from intake.domain.mail.which_room import room_named
from intake.model.checklist import RoomKind


@pytest.mark.parametrize(
    ("words", "room"),
    [
        ("In the kitchen hangs the boiler.", RoomKind.UNKNOWN),
        ("The boiler is in our old kitchen.", RoomKind.UNKNOWN),
        ("Kitchen plan attached", RoomKind.KITCHEN),
        ("Kitchen sink under the window", RoomKind.UNKNOWN),
        ("Our bathroom, next to the bedroom", RoomKind.BATHROOM),
        ("The kitchen and the bathroom", RoomKind.UNKNOWN),
    ],
)
def test_a_room_that_only_says_where_is_not_the_one(words: str, room: RoomKind) -> None:
    assert room_named(words) is room
