"""Whether there is a way into the room: one that has none was drawn without its door, or it was not seen there."""

from __future__ import annotations

from collections.abc import Iterator

from intake.model.checklist import RoomKind
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.room import RoomSurvey, SectionKind

WAYS_IN = frozenset({SectionKind.DOOR, SectionKind.DOORWAY, SectionKind.OPENING})

NO_WAY_IN = "no-way-in"


def check_ways_in(room: RoomSurvey) -> Iterator[Finding]:
    """Nothing for a room of unknown kind, whose drawing may be of anything, or that does not close on itself."""
    if room.kind is RoomKind.UNKNOWN or not room.closed or not room.walls:
        return
    if not any(s.kind in WAYS_IN for wall in room.walls for s in wall.sections):
        yield Finding(NO_WAY_IN, phrase("no-way-in", room=room.kind.value))
