"""Lengths that were not accepted when they were read, and that nothing on the sheet bears out."""

from __future__ import annotations

from intake.domain.room.adjusting import Adjustment
from intake.domain.room.net import Net
from intake.model.room import RoomSurvey

HARDLY = 0.05
"""A length with less redundancy than this is borne out by hardly anything: a slip shows in its residual by less than
this share of it."""


def unproved(room: RoomSurvey, net: Net, adjustment: Adjustment, gapes: bool) -> set[str]:
    """The ids of such lengths: hardly checked by others, in a room that does not close (`gapes`), or perhaps another
    wall's, which no sum tells."""
    unsure = {m.id for m in room.lengths() if not m.accepted}
    return {m.id for m in room.lengths() if not m.settled} | {
        e.reading
        for n, e in enumerate(net.equations)
        if e.reading in unsure and (gapes or adjustment.redundancy[n] < HARDLY)
    }
