"""Sets up the net of a room: its corners, the marks along its walls, and an equation for each length."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from intake.domain.room.adjusting import Adjustment, Array
from intake.domain.room.net import (
    ALONG_X,
    ALONG_Y,
    FIXED,
    SIGN,
    WEAK_SIGMA_MM,
    Equation,
    Net,
    NetAxis,
    Terms,
    corner_positions,
    end_corner,
    ends_of,
    has_diagonal,
    inner_marks,
    slant_of,
    solve,
    usable,
    wall_length,
)
from intake.model.reading import Direction
from intake.model.room import RoomSurvey, Section, SectionKind, Wall

ANGLE_SD_DEG = 0.7
"""Standard deviation of a corner's angle in an ordinary house about its right one (judgement, no source)."""
SHEAR_SHARE = 0.5
"""Share of its variance that all corners of a room have in common: walls that face each other lean alike
(judgement)."""
OUT_OF_SQUARE_SD_DEG = 1.5
"""The same of a house out of square, taken where the ordinary one does not explain the lengths (judgement)."""
LEANS = 9.0
"""By how much the weighted sum of squares must fall before a house is taken to be out of square: odds of 20 to 1
beforehand, and what a wider spread costs by itself."""
SLANT_SIGMA_MM = 300.0
"""How far a slanted wall's end may lie from where it is drawn, before anything measures it (set by hand)."""

TYPICAL_MM = {
    SectionKind.DOOR: 760,
    SectionKind.WINDOW: 1200,
    SectionKind.DOORWAY: 800,
    SectionKind.BOXING: 200,
}
"""Guesses for what was not measured, for the drawing only (common practice, no source)."""
TYPICAL_WALL_MM = 1000
LEAST_GUESS_MM = 50.0
"""No section of a wall is taken for shorter than this from how it is drawn."""


def build_net(room: RoomSurvey, angle_sd_deg: float = ANGLE_SD_DEG) -> Net:
    """The net of a room of one wall or more; with free corners where a diagonal was measured."""
    square = _square_net(room)
    return _free_net(room, square, angle_sd_deg) if has_diagonal(room) else square


def fitted(room: RoomSurvey) -> tuple[Net, Adjustment]:
    """A room's net and its adjustment: as an ordinary house, or as one out of square where that fits far better."""
    net = build_net(room)
    adjustment = solve(net)
    if not net.angle_sd or adjustment.sum_of_squares <= LEANS:
        return net, adjustment
    leaning = build_net(room, OUT_OF_SQUARE_SD_DEG)
    loose = solve(leaning)
    better = adjustment.sum_of_squares - loose.sum_of_squares > LEANS
    return (leaning, loose) if better else (net, adjustment)


def _square_net(room: RoomSurvey) -> Net:
    net = Net()
    _number_corners(net, room)
    scale = _drawing_scale(room)
    for wall in room.walls:
        if wall.direction in SIGN:
            _straight_wall(net, wall, scale)
        else:
            _distance_wall(net, room, wall, scale)
    _across(net, room)
    if any(w.direction not in SIGN for w in room.walls):
        net.equations = [replace(e, axis=NetAxis.BOTH) for e in net.equations]
    return net


def _free_net(room: RoomSurvey, square: Net, angle_sd_deg: float) -> Net:
    """Corners free in the plane; the first stays at (0, 0), and the walls' own runs turn the whole."""
    net, scale = Net(angle_sd=math.radians(angle_sd_deg)), _drawing_scale(room)
    net.corners = [(FIXED, FIXED)] + [(net.unknown(), net.unknown()) for _ in square.corners[1:]]
    shear = net.unknown()
    net.equations.append(
        Equation("", None, NetAxis.BOTH, 0.0, net.angle_sd * math.sqrt(SHEAR_SHARE), ((shear, 1.0),))
    )
    for wall in room.walls:
        _distance_wall(net, room, wall, scale)
        if wall.direction in SIGN:
            _run(net, wall, _wall_guess(wall, scale), shear)
    _across(net, room)
    net.equations = [replace(e, axis=NetAxis.BOTH) for e in net.equations]
    net.start = _start(room, net, square)
    return net


def _run(net: Net, wall: Wall, length: float, shear: int) -> None:
    """A wall along x ends level with its start; one along y is off by its length times the room's shear; each give or
    take what it leans by itself (a corner joins two walls, so its variance is shared by two)."""
    a, b = net.corners[wall.index], net.corners[(wall.index + 1) % len(net.corners)]
    length = max(length, LEAST_RUN_MM)
    sigma = length * net.angle_sd * math.sqrt((1.0 - SHEAR_SHARE) / 2.0)
    k = 1 if wall.direction in ALONG_X else 0
    terms: Terms = ((b[k], 1.0), (a[k], -1.0))
    if wall.direction in ALONG_Y:
        terms += ((shear, SIGN[wall.direction] * length),)
    net.equations.append(Equation("", wall.index, NetAxis.BOTH, 0.0, sigma, terms))


LEAST_RUN_MM = 300.0
"""A shorter wall's run says no more about its bearing than plaster does."""


def _start(room: RoomSurvey, net: Net, square: Net) -> Array:
    """The right-angled room, the diagonals left out unless a wall is splayed, as values of the free unknowns."""
    known, start = solve(square), np.zeros(net.size)
    for corner, place in zip(net.corners, corner_positions(square, known), strict=True):
        for unknown, value in zip(corner, place, strict=True):
            if unknown != FIXED:
                start[unknown] = value
    for wall in room.walls:
        start[net.marks[wall.index]] = inner_marks(wall, square, known)
    return start


def _number_corners(net: Net, room: RoomSurvey) -> None:
    count = len(room.walls) + (0 if room.closed else 1)
    x_of = _levels(
        count, [(w.index, end_corner(room, w.index)) for w in room.walls if w.direction in ALONG_Y]
    )
    y_of = _levels(
        count, [(w.index, end_corner(room, w.index)) for w in room.walls if w.direction in ALONG_X]
    )
    numbers: dict[tuple[NetAxis, int], int] = {(NetAxis.X, x_of[0]): FIXED, (NetAxis.Y, y_of[0]): FIXED}
    for corner in range(count):
        for key in ((NetAxis.X, x_of[corner]), (NetAxis.Y, y_of[corner])):
            if key not in numbers:
                numbers[key] = net.unknown()
        net.corners.append((numbers[NetAxis.X, x_of[corner]], numbers[NetAxis.Y, y_of[corner]]))


def _levels(count: int, joined: list[tuple[int, int]]) -> list[int]:
    """The lowest corner that each corner shares its level with (union-find)."""
    parent = list(range(count))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for a, b in joined:
        low, high = sorted((root(a), root(b)))
        parent[high] = low
    return [root(i) for i in range(count)]


def _drawing_scale(room: RoomSurvey) -> float | None:
    """Millimetres a unit of the drawing: the median over walls whose length is known; None where none is."""
    ratios = [known / w.drawn for w in room.walls if w.drawn > 0 and (known := wall_length(w))]
    return float(np.median(ratios)) if ratios else None


def _guess(wall: Wall, section: Section, scale: float | None) -> float:
    if section.share and (
        length := wall_length(wall) or (wall.drawn * scale if scale and wall.drawn else None)
    ):
        return max((section.share[1] - section.share[0]) * length, LEAST_GUESS_MM)
    return float(TYPICAL_MM.get(section.kind, TYPICAL_WALL_MM))


def _wall_guess(wall: Wall, scale: float | None) -> float:
    return wall_length(wall) or (wall.drawn * scale if scale and wall.drawn else 0.0) or 2.0 * TYPICAL_WALL_MM


def _straight_wall(net: Net, wall: Wall, scale: float | None) -> None:
    axis, k = (NetAxis.X, 0) if wall.direction in ALONG_X else (NetAxis.Y, 1)
    sign = float(SIGN[wall.direction])
    start, end = net.corners[wall.index][k], net.corners[(wall.index + 1) % len(net.corners)][k]
    inner = [net.unknown() for _ in wall.sections[1:]]
    marks = net.marks[wall.index] = [start, *inner, end]

    def run(a: int, b: int, reading: str, observed: float, sigma: float, stands_for: str = "") -> None:
        terms = ((b, sign), (a, -sign))
        net.equations.append(Equation(reading, wall.index, axis, observed, sigma, terms, None, stands_for))

    for section, a, b in zip(wall.sections, marks, marks[1:], strict=False):
        if usable(section.length):
            run(a, b, section.length.id, float(section.length.value_mm or 0), section.length.sigma_mm)
        else:
            run(a, b, "", _guess(wall, section, scale), WEAK_SIGMA_MM, section.length.id)
    for overall in filter(usable, wall.overalls):
        run(start, end, overall.id, float(overall.value_mm or 0), overall.sigma_mm)
    if not wall.sections and not any(map(usable, wall.overalls)):
        run(start, end, "", _wall_guess(wall, scale), WEAK_SIGMA_MM)


def _distance_wall(net: Net, room: RoomSurvey, wall: Wall, scale: float | None) -> None:
    """Its marks are distances from its start; its last section and its overalls reach its end, a distance away."""
    a, b = net.corners[wall.index], net.corners[(wall.index + 1) % len(net.corners)]
    marks = net.marks[wall.index] = [net.unknown() for _ in wall.sections[1:]]
    for n, section in enumerate(wall.sections):
        last = n == len(wall.sections) - 1
        terms: Terms = () if last else ((marks[n], 1.0),)
        terms += ((marks[n - 1], -1.0),) if n else ()
        span = (*a, *b) if last else None
        length = section.length
        if usable(length):
            equation = Equation(
                length.id, wall.index, NetAxis.BOTH, float(length.value_mm or 0), length.sigma_mm, terms, span
            )
        else:
            guess = _guess(wall, section, scale)
            equation = Equation("", wall.index, NetAxis.BOTH, guess, WEAK_SIGMA_MM, terms, span, length.id)
        net.equations.append(equation)
    for o in filter(usable, wall.overalls):
        net.equations.append(
            Equation(o.id, wall.index, NetAxis.BOTH, float(o.value_mm or 0), o.sigma_mm, (), (*a, *b))
        )
    length_mm, angle = _wall_guess(wall, scale), np.radians(slant_of(room, wall))
    for k, part in ((0, np.cos(angle)), (1, np.sin(angle))):
        along: Terms = ((b[k], 1.0), (a[k], -1.0))
        net.equations.append(
            Equation(
                "",
                wall.index,
                NetAxis.BOTH,
                float(length_mm * part),
                WEAK_SIGMA_MM,
                along,
                start_sigma=SLANT_SIGMA_MM,
            )
        )


def _across(net: Net, room: RoomSurvey) -> None:
    """Square measurements between two walls and, in a net that can take them, from corner to corner: a room that is
    right-angled by construction has no place for a diagonal."""
    spanned = bool(net.angle_sd) or any(w.direction not in SIGN for w in room.walls)
    for across in filter(lambda a: usable(a.length), room.across):
        length, observed = across.length, float(across.length.value_mm or 0)
        if across.walls and (terms := _square_terms(net, room, across.walls)):
            axis = NetAxis.X if room.walls[across.walls[0]].direction in ALONG_Y else NetAxis.Y
            net.equations.append(Equation(length.id, None, axis, observed, length.sigma_mm, terms))
        elif across.corners and spanned:
            a, b = (net.corners[c] for c in across.corners)
            net.equations.append(
                Equation(length.id, None, NetAxis.BOTH, observed, length.sigma_mm, (), (*a, *b))
            )


def _square_terms(net: Net, room: RoomSurvey, pair: tuple[int, int]) -> Terms:
    """Between the middles of facing walls: the room lies to the right of each, so N faces S across +x and E faces W
    across +y."""
    by_direction = {room.walls[w].direction: w for w in pair}
    for low, high, k in ((Direction.NORTH, Direction.SOUTH, 0), (Direction.EAST, Direction.WEST, 1)):
        if low in by_direction and high in by_direction:
            near, far = ends_of(room, by_direction[low]), ends_of(room, by_direction[high])
            middle = [(net.corners[c][k], 0.5) for c in far] + [(net.corners[c][k], -0.5) for c in near]
            return tuple(middle)
    return ()
