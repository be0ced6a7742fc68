"""Laying a room out in the plane, and saying for every length what it rests on."""

from __future__ import annotations

from intake.model.room import Basis, PlacedRoom, PlacedSection, PlacedWall, RoomSurvey, Wall
from intake.rules.adjusting import UNCHECKED, Adjustment
from intake.rules.room_net import FIXED, SIGN, Net, corner_positions, end_corner, usable

Corner = tuple[float, float]

UNFIXED_SD_MM = 300.0
"""An adjusted length less certain than this rests on a guess."""


def place_adjusted(
    room: RoomSurvey, net: Net, adjustment: Adjustment, left_out: frozenset[str]
) -> PlacedRoom:
    """The room as the adjustment has it."""
    corners = corner_positions(net, adjustment)
    rows = {e.reading: n for n, e in enumerate(net.equations) if e.reading}
    walls = tuple(_placed_wall(room, wall, net, adjustment, corners, rows, left_out) for wall in room.walls)
    guessed = any(w.basis is Basis.ASSUMED for w in walls)
    area = None if guessed or not room.closed else area_mm2([w.start for w in walls])
    return PlacedRoom(walls, None, area, tuple(sorted(left_out)))


def _placed_wall(
    room: RoomSurvey,
    wall: Wall,
    net: Net,
    adjustment: Adjustment,
    corners: list[Corner],
    rows: dict[str, int],
    left_out: frozenset[str],
) -> PlacedWall:
    start, end = corners[wall.index], corners[end_corner(room, wall.index)]
    length = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
    marks = [0.0, *_inner_marks(wall, net, adjustment), length]
    sections = []
    for n, section in enumerate(wall.sections):
        basis = _basis(section.length.id, usable(section.length), adjustment, rows, left_out, net, wall, n)
        sections.append(PlacedSection(n, round(marks[n]), round(marks[n + 1]), basis))
    bases = [s.basis for s in sections]
    whole = Basis.ASSUMED if _length_sd(net, adjustment, wall) > UNFIXED_SD_MM else Basis.ADJUSTED
    if whole is Basis.ADJUSTED and not any(usable(o) for o in wall.overalls) and Basis.DERIVED in bases:
        whole = Basis.DERIVED
    return PlacedWall(wall.index, _whole(start), _whole(end), round(length), whole, tuple(sections))


def _inner_marks(wall: Wall, net: Net, adjustment: Adjustment) -> list[float]:
    x, marks = adjustment.unknowns, net.marks[wall.index]
    if wall.direction not in SIGN:
        return [float(x[m]) for m in marks]
    origin = 0.0 if marks[0] == FIXED else float(x[marks[0]])
    return [SIGN[wall.direction] * (float(x[m]) - origin) for m in marks[1:-1]]


def _basis(
    reading: str,
    measured: bool,
    adjustment: Adjustment,
    rows: dict[str, int],
    left_out: frozenset[str],
    net: Net,
    wall: Wall,
    n: int,
) -> Basis:
    if reading in left_out:
        return Basis.LEFT_OUT
    if measured:
        return Basis.ADJUSTED if adjustment.redundancy[rows[reading]] > UNCHECKED else Basis.UNCHECKED
    guesses = [
        row for row, e in enumerate(net.equations) if e.wall == wall.index and e.observed and not e.reading
    ]
    unmeasured = [i for i, s in enumerate(wall.sections) if not usable(s.length)]
    sd = float(adjustment.adjusted_sd[guesses[unmeasured.index(n)]])
    return Basis.ASSUMED if sd > UNFIXED_SD_MM else Basis.DERIVED


def _length_sd(net: Net, adjustment: Adjustment, wall: Wall) -> float:
    """Standard deviation of a wall's adjusted length, from the covariance of its corners."""
    gradient = _length_gradient(net, adjustment, wall)
    return float(max(gradient @ adjustment.cofactor @ gradient, 0.0) ** 0.5)


def _length_gradient(net: Net, adjustment: Adjustment, wall: Wall):  # type: ignore[no-untyped-def]
    import numpy as np

    gradient = np.zeros(net.size)
    a, b = net.corners[wall.index], net.corners[(wall.index + 1) % len(net.corners)]
    x = adjustment.unknowns
    run = [(0.0 if q == FIXED else x[q]) - (0.0 if p == FIXED else x[p]) for p, q in zip(a, b, strict=True)]
    length = max(float(np.hypot(*run)), 1e-6)
    for k in (0, 1):
        for unknown, sign in ((a[k], -1.0), (b[k], 1.0)):
            if unknown != FIXED:
                gradient[unknown] += sign * run[k] / length
    return gradient


def _whole(corner: Corner) -> tuple[int, int]:
    return round(corner[0]), round(corner[1])


def place_measured(room: RoomSurvey, lengths: list[float], slants: list[float]) -> PlacedRoom:
    raise NotImplementedError


def area_mm2(corners: list[tuple[int, int]]) -> int | None:
    """The area a closed polygon encloses by the coordinate method (shoelace), mm2; None for fewer than 3 corners."""
    if len(corners) < 3:
        return None
    pairs = zip(corners, corners[1:] + corners[:1], strict=True)
    return round(abs(sum(xa * yb - xb * ya for (xa, ya), (xb, yb) in pairs)) / 2)
