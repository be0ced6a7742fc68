"""A kitchen without a door is an objection (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.room.closing import examine_room
from intake.domain.room.ways_in import check_ways_in
from intake.model.checklist import RoomKind
from intake.model.reading import Direction
from intake.model.room import Measurement, RoomSurvey, Section, SectionKind, Wall
from intake.wording import desk


def room(kind: RoomKind, *kinds: SectionKind) -> RoomSurvey:
    ways = (Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH)
    walls = tuple(
        Wall(n, way, (Section(SectionKind.WALL, Measurement(f"{n}", "300", 3000)),))
        for n, way in enumerate(ways)
    )
    more = tuple(Section(k, Measurement(f"more {n}")) for n, k in enumerate(kinds))
    return RoomSurvey(kind, walls=(replace(walls[0], sections=(*walls[0].sections, *more)), *walls[1:]))


def test_a_kitchen_with_windows_only_has_no_way_in() -> None:
    (finding,) = check_ways_in(room(RoomKind.KITCHEN, SectionKind.WINDOW))
    assert finding.code == "no-way-in" and "kitchen" in desk.worded(finding.text)
    assert "no-way-in" in {note.code for note in examine_room(room(RoomKind.KITCHEN)).notes}


@pytest.mark.parametrize("kind", [SectionKind.DOOR, SectionKind.DOORWAY, SectionKind.OPENING])
def test_a_door_a_doorway_or_an_opening_of_unknown_kind_is_a_way_in(kind: SectionKind) -> None:
    assert not list(check_ways_in(room(RoomKind.KITCHEN, kind)))


def test_a_drawing_of_an_unknown_room_is_not_objected_to() -> None:
    assert not list(check_ways_in(room(RoomKind.UNKNOWN)))
    assert not list(check_ways_in(replace(room(RoomKind.KITCHEN), closed=False)))
