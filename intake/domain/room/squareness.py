"""What diagonals say of the right angles of a room whose walls were all taken to be square."""

from __future__ import annotations

import math
from collections.abc import Iterator

from intake.domain.room.adjusting import CRITICAL
from intake.domain.room.naming import cm
from intake.domain.room.net import SIGN, usable
from intake.model.finding import Finding
from intake.model.room import Across, PlacedRoom, RoomSurvey

MOST_OUT_DEG = 4.0
"""Further out than this it is not an angle but a slip in the diagonal or in a side."""


def check_squareness(room: RoomSurvey, placed: PlacedRoom) -> tuple[Finding, ...]:
    """Compare each diagonal with the layout's; none where a wall is splayed, as there it took part itself."""
    if any(w.direction not in SIGN for w in room.walls) or placed.gap is not None:
        return ()
    return tuple(f for a in room.across if a.corners and usable(a.length) for f in _diagonal(a, placed))


def angle_from_diagonal(a: float, b: float, diagonal: float) -> float | None:
    """The angle in degrees between sides a and b from the diagonal across it (law of cosines); None if no triangle."""
    cosine = (a * a + b * b - diagonal * diagonal) / (2 * a * b) if a and b else 2.0
    return math.degrees(math.acos(cosine)) if -1.0 <= cosine <= 1.0 else None


def _diagonal(across: Across, placed: PlacedRoom) -> Iterator[Finding]:
    one, other = across.corners or (0, 0)
    starts = [w.start for w in placed.walls]
    a, b = abs(starts[one][0] - starts[other][0]), abs(starts[one][1] - starts[other][1])
    measured, computed = across.length.value_mm or 0, math.hypot(a, b)
    # The computed diagonal is about as uncertain as the measured one.
    limit = CRITICAL * across.length.sigma_mm * math.sqrt(2.0)
    if abs(measured - computed) <= limit:
        return
    numbers = () if across.length.number is None else (across.length.number,)
    angle = angle_from_diagonal(a, b, measured)
    apart = f"{across.length.id} measures {cm(measured)} cm, {cm(computed)} if the corner is square (limit {cm(limit)})"
    if angle is not None and abs(angle - 90.0) <= MOST_OUT_DEG:
        text = f"{apart}: the room is out of square by about {abs(angle - 90.0):.1f} degrees, or a length is wrong."
        yield Finding("out-of-square", text, numbers)
    else:
        yield Finding(
            "diagonal-does-not-fit", f"{apart}: too far for a room out of square; a length is wrong.", numbers
        )
