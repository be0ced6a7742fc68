"""A room as a net of observation equations.

Unknowns are levels: all corners joined by walls that run E or W share one y, those joined by walls that run N or S one
x, so that right angles hold by construction and the two axes fall apart into two levelling nets. A splayed wall joins
two corners by a distance (the general two-dimensional case). Marks between sections are unknowns of their own.
Whatever was not measured gets a guess of WEAK_SIGMA_MM, too weak to move anything measured, so the net is solvable.

Where a diagonal was measured the right angles are no longer taken for granted: every corner has an x and a y of its
own, every wall is a distance, and a corner's angle has a prior. It is made of two: the room as a whole is sheared by
SHEAR_SHARE of its variance, and each wall leans by itself by the rest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from intake.domain.room.adjusting import Adjustment, Array, adjust_curved, joined
from intake.model.reading import Direction
from intake.model.room import Measurement, RoomSurvey, Wall

WEAK_SIGMA_MM = 1e4
FIXED = -1
"""Index of the datum: the first corner is (0, 0)."""

SIGN = {Direction.EAST: 1, Direction.SOUTH: 1, Direction.WEST: -1, Direction.NORTH: -1}
ALONG_X = frozenset({Direction.EAST, Direction.WEST})
ALONG_Y = frozenset({Direction.NORTH, Direction.SOUTH})


Terms = tuple[tuple[int, float], ...]
"""(unknown, coefficient) pairs."""


class NetAxis(StrEnum):
    """The part of a net that an observation takes part in."""

    X = "x"
    Y = "y"
    BOTH = "xy"
    """Both at once, where a wall is splayed."""


@dataclass(frozen=True)
class Equation:
    """One observation: sum of coefficient x unknown, plus the distance between two corners where `span` is set.

    `reading` is the measurement's id, "" for a weak guess; `stands_for` the id of a section that a guess stands for;
    `start_sigma` its deviation where first values are sought, if another: how a splayed wall is drawn decides on which
    side of its neighbours it lies, and nothing else. `wall` the wall it belongs to.
    """

    reading: str
    wall: int | None
    axis: NetAxis
    observed: float
    sigma: float
    terms: Terms = ()
    span: tuple[int, int, int, int] | None = None
    stands_for: str = ""
    start_sigma: float = 0.0


@dataclass
class Net:
    """The equations of one room. `corners` are (x, y) unknowns; `marks` per wall the unknowns along it, ends included
    (for a wall that is a distance: only those from its start between its ends).

    `angle_sd` is 0 where right angles hold by construction, else the standard deviation in radians of a corner's angle;
    `start` then holds the right-angled room as first values of the unknowns."""

    size: int = 0
    corners: list[tuple[int, int]] = field(default_factory=list)
    marks: dict[int, list[int]] = field(default_factory=dict)
    equations: list[Equation] = field(default_factory=list)
    angle_sd: float = 0.0
    start: Array | None = None

    def unknown(self) -> int:
        self.size += 1
        return self.size - 1


def usable(measurement: Measurement) -> bool:
    """Whether a length was measured and can be one."""
    return measurement.value_mm is not None and measurement.value_mm > 0


def has_diagonal(room: RoomSurvey) -> bool:
    """Whether anything measured tests the right angles."""
    return any(a.corners and usable(a.length) for a in room.across)


def inner_marks(wall: Wall, net: Net, adjustment: Adjustment) -> list[float]:
    """Where the sections of a wall meet, mm from its start."""
    x, marks = adjustment.unknowns, net.marks[wall.index]
    if wall.direction not in SIGN or net.angle_sd:
        return [float(x[m]) for m in marks]
    origin = 0.0 if marks[0] == FIXED else float(x[marks[0]])
    return [SIGN[wall.direction] * (float(x[m]) - origin) for m in marks[1:-1]]


def end_corner(room: RoomSurvey, wall: int) -> int:
    """The corner where a wall ends; that of the last wall of an open drawing is one of its own."""
    return (wall + 1) % len(room.walls) if room.closed else wall + 1


def ends_of(room: RoomSurvey, wall: int) -> tuple[int, int]:
    """The corners where a wall starts and ends."""
    return wall, end_corner(room, wall)


def wall_length(wall: Wall) -> int | None:
    """What the readings alone say a wall measures: its overall, else its sections' sum, else None."""
    for overall in wall.overalls:
        if usable(overall):
            return overall.value_mm
    return chain_length(wall)


def chain_length(wall: Wall) -> int | None:
    """The sum of a wall's sections; None where there are none or one was not measured."""
    values = [s.length.value_mm for s in wall.sections if usable(s.length)]
    return sum(v for v in values if v) if values and len(values) == len(wall.sections) else None


BEARING = {Direction.EAST: 0.0, Direction.SOUTH: 90.0, Direction.WEST: 180.0, Direction.NORTH: 270.0}


def slant_of(room: RoomSurvey, wall: Wall) -> float:
    """The way a wall runs: as told or drawn, or half-way between its neighbours, degrees clockwise from E."""
    if wall.direction in BEARING:
        return BEARING[wall.direction]
    if wall.slant_deg is not None:
        return wall.slant_deg
    before = room.walls[wall.index - 1].direction
    after = room.walls[(wall.index + 1) % len(room.walls)].direction
    if before not in BEARING or after not in BEARING:
        return 45.0
    turn = (BEARING[after] - BEARING[before] + 180.0) % 360.0 - 180.0
    return BEARING[before] + turn / 2.0


def solve(net: Net) -> Adjustment:
    """Adjust the net: each axis by itself where the walls stand at right angles, all at once where one is splayed."""
    observed = np.array([e.observed for e in net.equations])
    sigma = np.array([e.sigma for e in net.equations])
    linear = _linear_design(net)
    if not any(e.axis is NetAxis.BOTH for e in net.equations):
        axis = np.array([e.axis is NetAxis.X for e in net.equations])
        return joined(linear, observed, sigma, [axis, ~axis])
    flat = np.array([e.span is None for e in net.equations])
    if net.start is not None:
        return adjust_curved(lambda x: _model(net, linear, x), net.start, observed, sigma)
    first = np.array([e.start_sigma or e.sigma for e in net.equations])[flat]
    start = np.linalg.lstsq(linear[flat] / first[:, None], observed[flat] / first, rcond=None)[0]
    return adjust_curved(lambda x: _model(net, linear, x), start, observed, sigma)


def _linear_design(net: Net) -> Array:
    design = np.zeros((len(net.equations), net.size))
    for row, equation in enumerate(net.equations):
        for unknown, coefficient in equation.terms:
            if unknown != FIXED:
                design[row, unknown] += coefficient
    return design


def _model(net: Net, linear: Array, x: Array) -> tuple[Array, Array]:
    """Computed observations and their design matrix at x; a distance's derivative is the unit vector along it."""
    computed, design = linear @ x, linear.copy()

    def at(unknown: int) -> float:
        return 0.0 if unknown == FIXED else float(x[unknown])

    for row, equation in enumerate(net.equations):
        if equation.span:
            xa, ya, xb, yb = equation.span
            dx, dy = at(xb) - at(xa), at(yb) - at(ya)
            distance = max(float(np.hypot(dx, dy)), 1e-6)
            computed[row] += distance
            for unknown, slope in ((xa, -dx), (ya, -dy), (xb, dx), (yb, dy)):
                if unknown != FIXED:
                    design[row, unknown] += slope / distance
    return computed, design


def corner_positions(net: Net, adjustment: Adjustment) -> list[tuple[float, float]]:
    """Where each corner lies, mm."""
    return [_corner(net, adjustment, n) for n in range(len(net.corners))]


def _corner(net: Net, adjustment: Adjustment, corner: int) -> tuple[float, float]:
    x, y = (0.0 if u == FIXED else float(adjustment.unknowns[u]) for u in net.corners[corner])
    return x, y


def length_gradient(net: Net, adjustment: Adjustment, wall: int) -> Array:
    """How a wall's length depends on the unknowns: the unit vector along it at its end, against it at its start."""
    a, b = wall, (wall + 1) % len(net.corners)
    (xa, ya), (xb, yb) = _corner(net, adjustment, a), _corner(net, adjustment, b)
    run = (xb - xa, yb - ya)
    length = max(float(np.hypot(run[0], run[1])), 1e-6)
    gradient = np.zeros(net.size)
    for k in (0, 1):
        for unknown, sign in ((net.corners[a][k], -1.0), (net.corners[b][k], 1.0)):
            if unknown != FIXED:
                gradient[unknown] += sign * run[k] / length
    return gradient


def bearing_gradient(net: Net, adjustment: Adjustment, wall: int) -> tuple[float, Array]:
    """The way a wall runs, radians clockwise from E, and how it depends on the unknowns."""
    a, b = wall, (wall + 1) % len(net.corners)
    (xa, ya), (xb, yb) = _corner(net, adjustment, a), _corner(net, adjustment, b)
    run = (xb - xa, yb - ya)
    square = max(run[0] ** 2 + run[1] ** 2, 1e-6)
    gradient = np.zeros(net.size)
    for k, part in ((0, -run[1] / square), (1, run[0] / square)):
        for unknown, sign in ((net.corners[a][k], -1.0), (net.corners[b][k], 1.0)):
            if unknown != FIXED:
                gradient[unknown] += sign * part
    return math.atan2(run[1], run[0]), gradient
