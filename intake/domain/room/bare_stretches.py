"""Walls that are drawn longer than the stretches that their numbers are of: a piece may have no number."""

from __future__ import annotations

from collections.abc import Iterator

from intake.domain.room.adjusting import UNCHECKED, Adjustment
from intake.domain.room.net import Net
from intake.domain.room.slip_chances import GAP, widest_gap
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.room import RoomSurvey, Wall


def gap_shows(wall: Wall) -> bool | None:
    """Whether some of a wall is drawn that no section of it is of; None where it is not known where all are drawn."""
    spans = sorted(s.share for s in wall.sections if s.share is not None)
    if not spans or len(spans) < len(wall.sections):
        return None
    return widest_gap(spans) > GAP


def bare_stretches(room: RoomSurvey, net: Net, adjustment: Adjustment) -> Iterator[Finding]:
    """Walls that nothing checks and that are drawn longer than their numbers reach: half of such lack a number."""
    unchecked = unchecked_with_gap(room, net, adjustment)
    for wall in room.walls:
        lengths = [s.length for s in wall.sections]
        if mine := unchecked & {m.id for m in lengths}:
            text = phrase("stretch-without-number", wall=wall.letter)
            numbers = tuple(m.number for m in lengths if m.id in mine and m.number is not None)
            yield Finding("stretch-without-number", text, numbers)


def unchecked_with_gap(room: RoomSurvey, net: Net, adjustment: Adjustment) -> set[str]:
    """The sections of such walls."""
    rows = {e.reading: n for n, e in enumerate(net.equations) if e.reading}
    found: set[str] = set()
    for wall in room.walls:
        mine = {s.length.id for s in wall.sections if s.length.id in rows}
        if mine and gap_shows(wall) and all(adjustment.redundancy[rows[i]] <= UNCHECKED for i in mine):
            found |= mine
    return found
