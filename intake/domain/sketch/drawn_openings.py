"""What the drawn openings are, all together: no door is narrower than somebody can pass, and a room has a way in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from intake.domain.lengths.notation import parse_length
from intake.domain.lengths.plausible import LEAST_OPENING_MM
from intake.model.checklist import RoomKind
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.reading import (
    Box,
    Feature,
    OpeningKind,
    OutlineWall,
    Point,
    ReadNumber,
    Role,
    SketchReading,
)
from intake.model.room import Wall

WAYS_IN = (OpeningKind.DOOR, OpeningKind.DOORWAY)
FORGOTTEN = 0.05
"""The chance that a plan is drawn without its door (common practice, no source)."""
SURE_WAY_IN = 0.5
LIKELY = 0.03
"""What ink says with less than this chance is not counted."""
WAY_IN_TAKEN = "way-in-taken"


def with_way_in(reading: SketchReading, kind: RoomKind) -> tuple[SketchReading, int | None]:
    """The reading without gaps too narrow for a door, and with the likeliest opening as the way in where the drawing
    shows none; and the wall of that one, None where nothing was taken so.

    What a person said of an opening stands, and a room of unknown kind or one that is not closed may lack a door.
    """
    drawn = reading.outline.features
    features = [f for f in drawn if not _too_narrow(f, reading)]
    taken = None
    if kind is not RoomKind.UNKNOWN and reading.outline.closed and not _unknown_opening(reading, features):
        taken = _likeliest_way_in(features)
    if taken is not None:
        features = [_as_way_in(f) if f is taken else f for f in features]
    changed = replace(reading, outline=replace(reading.outline, features=tuple(features)))
    return changed, taken.wall if taken else None


def way_in_taken(wall: Wall) -> list[Finding]:
    """What says that an opening of this wall was taken for the way in; nothing where the wall's lengths left it out."""
    stands = any(section.kind.value in WAYS_IN for section in wall.sections)
    return [Finding(WAY_IN_TAKEN, phrase("way-in-taken", wall=wall.letter))] if stands else []


def _too_narrow(feature: Feature, reading: SketchReading) -> bool:
    """A gap in a wall that its length, whatever it is likely to be, says nobody can pass; a person's own word on it has
    no chances."""
    if feature.kind not in WAYS_IN or not feature.kinds:
        return False
    wall = next((w for w in reading.outline.walls if w.wall == feature.wall), None)
    return wall is not None and any(
        0 < _most(n, reading.unit) < LEAST_OPENING_MM and feature_at(n, along(wall, n), [feature]) is feature
        for n in reading.numbers
        if n.wall == wall.wall
    )


def _most(number: ReadNumber, unit: str) -> int:
    """The longest that a number is likely to say, in mm; 0 where it says no length."""
    others = [a.text for a in number.alternatives if a.confidence >= LIKELY and not number.accepted]
    return max([number.value_mm or 0, *(parse_length(text, unit) or 0 for text in others)])


def _unknown_opening(reading: SketchReading, features: Sequence[Feature]) -> bool:
    """Whether a width is told of an opening that is not drawn: that may be the way in."""
    walls = {w.wall: w for w in reading.outline.walls}
    for number in (n for n in reading.numbers if n.role is Role.OPENING and n.wall in walls):
        mine = [f for f in features if f.wall == number.wall]
        if feature_at(number, along(walls[number.wall or 0], number), mine) is None:
            return True
    return False


def _likeliest_way_in(features: Sequence[Feature]) -> Feature | None:
    """The opening that is a way in, given that one of them is or the door was not drawn; None where one shows already
    or none is likely."""
    if any(f.kind in WAYS_IN for f in features):
        return None
    chances = [(_chance(f), f) for f in features if f.kinds]
    some = 1 - math.prod(1 - chance for chance, _ in chances)
    chance, best = max(chances, key=lambda each: each[0], default=(0.0, None))
    return best if chance >= SURE_WAY_IN * (FORGOTTEN + some) else None


def _chance(feature: Feature) -> float:
    return sum(p for kind, p in feature.kinds if kind in WAYS_IN)


def _as_way_in(feature: Feature) -> Feature:
    return replace(feature, kind=next(kind for kind, _ in feature.kinds if kind in WAYS_IN))


def feature_at(number: ReadNumber, along: float, features: Sequence[Feature]) -> Feature | None:
    """The feature whose stretch of wall a number measures: more than half is shared, or its middle lies in it."""
    for feature in features:
        if not feature.span:
            continue
        low, high = feature.span
        if number.span:
            shared = min(high, number.span[1]) - max(low, number.span[0])
            if shared > 0.5 * max(high - low, number.span[1] - number.span[0]):
                return feature
        elif low <= along <= high:
            return feature
    return None


ROUND_IT = 0.75
"""So much of a drawing is shown above and under an opening's middle, in its lengths..."""
SEEN = 3.5
"""... and so much at least, in heights of its number: a leaf and its arc..."""
WIDER = 1.6
"""... and so many times as much on either side (all by eye)."""


def box_of_opening(reading: SketchReading, number: int) -> Box:
    """What to show of a sketch for somebody to see what the opening is whose width a number is."""
    width = reading.numbers[number]
    wall = next((w for w in reading.outline.walls if w.wall == width.wall), None)
    if wall is None:
        return width.box
    at = along(wall, width)
    low, high = width.span or (at, at)
    (xa, ya), (xb, yb) = wall.start, wall.end
    x, y = (xa + (xb - xa) * (low + high) / 2, ya + (yb - ya) * (low + high) / 2)
    half = max(
        math.dist(wall.start, wall.end) * (high - low) * ROUND_IT,
        SEEN * math.dist(width.box[0], width.box[3]),
    )
    wide = half * WIDER
    return (x - wide, y - half), (x + wide, y - half), (x + wide, y + half), (x - wide, y + half)


def along(outline: OutlineWall, number: ReadNumber) -> float:
    """Where a number stands along its wall, 0 to 1: its span's middle, else its box projected on the wall."""
    return sum(number.span) / 2 if number.span else beside(outline, number)


def beside(outline: OutlineWall, number: ReadNumber) -> float:
    """Where a number's box stands along a wall, 0 to 1."""
    cx, cy = centre(number.box)
    (xa, ya), (xb, yb) = outline.start, outline.end
    dx, dy = xb - xa, yb - ya
    return ((cx - xa) * dx + (cy - ya) * dy) / ((dx * dx + dy * dy) or 1.0)


def centre(box: Box) -> Point:
    """The middle of a box."""
    return sum(x for x, _ in box) / 4, sum(y for _, y in box) / 4
