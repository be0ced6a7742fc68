"""What diagonals say of a room's right angles, in numbers and in words for the drawing."""

from __future__ import annotations

import math
from collections.abc import Iterator

from intake.domain.room.adjusting import CRITICAL, Adjustment, Array
from intake.domain.room.net import BEARING, SIGN, Net, bearing_gradient, corner_positions, ends_of
from intake.model.examination import PlacedRoom, Squareness
from intake.model.finding import Finding
from intake.model.phrase import Phrase, phrase
from intake.model.room import RoomSurvey, Wall

MOST_OUT_DEG = 4.0
"""Further out than this it is not an angle but a slip in a diagonal or in a wall (common practice, no source)."""
LEAST_OUT_DEG = 0.4
"""A corner closer to square than this is square (judgement: 7 mm over a metre)."""
NO_ANGLES = phrase("no-angles")
NO_RIGHT_CORNER = Squareness(phrase("no-right-corner"))


def squareness_of(room: RoomSurvey, net: Net, adjustment: Adjustment) -> Squareness:
    """The angles of the right corners as adjusted, and whether they are right ones beyond chance."""
    corners = list(_right_corners(room))
    if not corners:
        return NO_RIGHT_CORNER
    if not net.angle_sd:
        return Squareness()
    diagonals = tuple(a.length.id for a in room.across if a.corners and a.length.value_mm)
    off = {c: _off_square(net, adjustment, before, wall) for c, before, wall in corners}
    places = corner_positions(net, adjustment)
    worst = max(corners, key=lambda c: abs(off[c[0]][0]) * _longer(room, places, c[1], c[2]))
    reach = _longer(room, places, worst[1], worst[2])
    within, spread = abs(off[worst[0]][0]) * reach, off[worst[0]][1] * reach
    out = [c for c, _, _ in corners if _is_out(*off[c])]
    angles = {c: _inside(before, wall, off[c][0]) for c, before, wall in corners}
    degrees = tuple(angles.get(n) for n in range(len(room.walls)))
    if any(abs(off[c][0]) > math.radians(MOST_OUT_DEG) for c in out):
        return Squareness(NO_ANGLES, diagonals, None, False, degrees)
    count = len(diagonals)
    text = _out_text(_named(room, angles, out), count) if out else _square_text(within, spread, count)
    return Squareness(text, diagonals, math.ceil(within), bool(out), degrees)


def check_squareness(room: RoomSurvey, placed: PlacedRoom) -> tuple[Finding, ...]:
    """That the room is out of square, where diagonals say so: not a fault of the measurements."""
    if not placed.squareness.out:
        return ()
    ids = set(placed.squareness.diagonals)
    numbers = tuple(
        a.length.number for a in room.across if a.length.id in ids and a.length.number is not None
    )
    return (Finding("out-of-square", placed.squareness.text, numbers),)


def _right_corners(room: RoomSurvey) -> Iterator[tuple[int, Wall, Wall]]:
    """Each corner that is drawn as a right one, with the wall before it and the one that starts there."""
    for before, wall in zip(room.walls[-1:] + room.walls[:-1], room.walls, strict=True):
        meet = wall.index > 0 or (room.closed and len(room.walls) > 1)
        straight = before.direction in SIGN and wall.direction in SIGN
        if meet and straight and (BEARING[wall.direction] - BEARING[before.direction]) % 180.0:
            yield wall.index, before, wall


def _off_square(net: Net, adjustment: Adjustment, before: Wall, wall: Wall) -> tuple[float, float]:
    """By how much the turn from one wall to the next differs from a quarter, and its deviation, radians."""
    (one, g), (two, h) = (bearing_gradient(net, adjustment, w.index) for w in (before, wall))
    turn = two - one - math.radians(BEARING[wall.direction] - BEARING[before.direction])
    gradient: Array = h - g
    spread = math.sqrt(max(float(gradient @ adjustment.cofactor @ gradient), 0.0))
    return (turn + math.pi) % (2 * math.pi) - math.pi, spread


def _is_out(off: float, spread: float) -> bool:
    return abs(off) > math.radians(LEAST_OUT_DEG) and abs(off) > CRITICAL * spread


def _longer(room: RoomSurvey, places: list[tuple[float, float]], one: Wall, two: Wall) -> float:
    lengths = (math.dist(*(places[c] for c in ends_of(room, w.index))) for w in (one, two))
    return max(lengths)


def _inside(before: Wall, wall: Wall, off: float) -> float:
    """The angle inside the room: walls run clockwise, so a turn to the right of 90 leaves 90."""
    turn = (BEARING[wall.direction] - BEARING[before.direction] + 180.0) % 360.0 - 180.0
    return 180.0 - turn - math.degrees(off)


def _by(count: int) -> Phrase:
    return phrase("by-one-diagonal") if count == 1 else phrase("by-diagonals", count=count)


def _square_text(within: float, spread: float, count: int) -> Phrase:
    """Twice the deviation is what chance keeps 95 times in 100."""
    return phrase("square-within", within=round(within), by=_by(count), spread=round(2 * spread))


def _named(room: RoomSurvey, angles: dict[int, float], corners: list[int]) -> str:
    return ", ".join(f"{room.walls[c].letter} {angles[c]:.1f}" for c in corners[:6])


def _out_text(named: str, count: int) -> Phrase:
    alone = phrase("one-diagonal-alone") if count == 1 else ""
    return phrase("out-of-square", by=_by(count), corners=named, alone=alone)
