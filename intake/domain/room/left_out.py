"""Drawn openings whose number was left out, of a wall that adds up with them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from intake.domain.lengths.plausible import LEAST_OPENING_MM
from intake.domain.room.changes import Suspect
from intake.domain.room.net import usable
from intake.domain.room.slip_chances import LEAST_BESIDE, LEFT_OUT_AT_AN_OPENING
from intake.model.examination import PlacedRoom, SlipKind
from intake.model.room import OPENINGS, RoomSurvey


def left_out(room: RoomSurvey, placed: PlacedRoom) -> Iterator[Suspect]:
    """The one drawn opening of a wall without a number, where the wall's overall and its other pieces leave it the
    length of one: no sum shows it, as the wall adds up with it."""
    for wall, laid in zip(room.walls, placed.walls, strict=True):
        bare = [n for n, s in enumerate(wall.sections) if not usable(s.length)]
        beside = len(wall.sections) - len(bare)
        if len(bare) != 1 or beside < LEAST_BESIDE or not any(map(usable, wall.overalls)):
            continue
        section, part = wall.sections[bare[0]], laid.sections[bare[0]]
        left = part.end_mm - part.start_mm
        drawn_only = section.kind in OPENINGS and section.share is not None and section.length.number is None
        counts_for_nothing = any(a.wall == wall.index for a in room.astray)
        if drawn_only and not counts_for_nothing and left >= LEAST_OPENING_MM:
            slip = Suspect(SlipKind.MISSING, wall.index, "", np.zeros(0), math.log(LEFT_OUT_AT_AN_OPENING))
            yield replace(slip, would_be_mm=left, probability=LEFT_OUT_AT_AN_OPENING)
