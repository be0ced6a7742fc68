"""The levels of an outline: the lines, across each axis, on which its corners lie.

All corners joined by walls that run E or W share one y, those joined by walls that run N or S one x; a slanting wall
has two ends of its own on an axis of its own. Every length along the walls is a difference of two levels.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from intake.model.reading import Direction, OutlineWall, Point, Span

FACING = ((Direction.NORTH, Direction.SOUTH), (Direction.EAST, Direction.WEST))
"""Of each axis the way of a wall on its lower level and of one on its higher, that face one another."""
SIGN = {Direction.EAST: 1, Direction.SOUTH: 1, Direction.WEST: -1, Direction.NORTH: -1}


class Levels:
    """Levels are numbered through both axes and the slanting walls; `at` is where one lies in the picture (pixels)."""

    def __init__(self, walls: Sequence[OutlineWall]) -> None:
        self.walls = tuple(sorted(walls, key=lambda w: w.wall))
        self.diagonal = _diagonal(self.walls)
        self._axis: list[int] = []
        self._at: list[float] = []
        self._of_wall: dict[int, tuple[int, int]] = {}
        count = len(self.walls)
        self._corners = [self._share(axis, count) for axis in (0, 1)]
        for n, wall in enumerate(self.walls):
            if wall.direction is Direction.OTHER:
                length = float(np.hypot(*np.subtract(wall.end, wall.start)))
                self._of_wall[wall.wall] = (self._new(2, 0.0), self._new(2, length))
            else:
                axis = 0 if wall.direction in (Direction.EAST, Direction.WEST) else 1
                ends = self._corners[axis][n], self._corners[axis][(n + 1) % count]
                self._of_wall[wall.wall] = ends if SIGN[wall.direction] > 0 else ends[::-1]
        self._pairs = tuple(self._every_pair())

    def of_wall(self, wall: int) -> tuple[int, int]:
        """The levels of a wall's ends, the lesser first."""
        return self._of_wall[wall]

    def corner(self, order: int) -> tuple[int, int]:
        """The levels in x and y of the corner at which a wall, by its order, starts."""
        return self._corners[0][order], self._corners[1][order]

    def at(self, level: int) -> float:
        return self._at[level]

    def axis(self, level: int) -> int:
        """0: a level in x, 1: in y, 2: the end of a slanting wall."""
        return self._axis[level]

    def stretch(self, wall: int, span: tuple[float, float]) -> tuple[float, float, int]:
        """Where a stretch of a wall lies along its axis in the picture (least, most), and the axis."""
        low, high = self._of_wall[wall]
        found = next(w for w in self.walls if w.wall == wall)
        start, end = (low, high) if SIGN.get(found.direction, 1) > 0 else (high, low)
        a, b = (self.at(start) + (self.at(end) - self.at(start)) * share for share in span)
        return min(a, b), max(a, b), self.axis(low)

    def span_on(self, wall: int, line: tuple[Point, Point]) -> Span:
        """Where a line lies along a wall, from 0 to 1."""
        return span_on(next(w for w in self.walls if w.wall == wall), line)

    def drawn(self, wall: int) -> float:
        """How long a wall is drawn, in pixels."""
        found = next(w for w in self.walls if w.wall == wall)
        return float(np.hypot(*np.subtract(found.end, found.start)))

    def diagonals(self) -> tuple[float, ...]:
        """How long the lines from corner to corner that are no walls are drawn, in pixels."""
        starts, count = [w.start for w in self.walls], len(self.walls)
        found = [
            float(np.hypot(*np.subtract(starts[a], starts[b])))
            for a, b in combinations(range(count), 2)
            if b - a not in (1, count - 1)
        ]
        return tuple(found) or (self.diagonal,)

    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Every two levels of one axis on which walls face one another, the lesser first."""
        return self._pairs

    def _every_pair(self) -> Iterator[tuple[int, int]]:
        for axis in (0, 1):
            lows, highs = ({p[axis_end] for p in self._facing(axis)} for axis_end in (0, 1))
            yield from ((a, b) for a in sorted(lows) for b in sorted(highs) if self.at(a) < self.at(b))

    def _facing(self, axis: int) -> list[tuple[int, int]]:
        """The levels of the walls of an axis, by the way they look: a room lies to the right of its walls, so one that
        runs N looks along +x and one that runs E along +y."""
        ways = FACING[axis]
        found = [
            [self._corners[axis][n] for n, w in enumerate(self.walls) if w.direction is way] for way in ways
        ]
        return [(a, b) for a in found[0] for b in found[1]]

    def walls_on(self, pair: tuple[int, int]) -> tuple[int, int]:
        """A wall on each of two levels of one axis: such as face one another where there are any, the longest drawn."""
        low, high = (self._walls_on(level) for level in pair)
        facing = (
            (Direction.NORTH, Direction.SOUTH)
            if self._axis[pair[0]] == 0
            else (Direction.EAST, Direction.WEST)
        )
        return self._best(low, facing[0]), self._best(high, facing[1])

    def _best(self, on: list[OutlineWall], way: Direction) -> int:
        return max(on, key=lambda w: (w.direction is way, self.drawn(w.wall))).wall

    def _walls_on(self, level: int) -> list[OutlineWall]:
        axis = self._axis[level]
        across = (Direction.NORTH, Direction.SOUTH) if axis == 0 else (Direction.EAST, Direction.WEST)
        return [
            w
            for n, w in enumerate(self.walls)
            if axis < 2 and w.direction in across and self._corners[axis][n] == level
        ]

    def nets(self) -> list[list[int]]:
        """The levels that hang together: those of x, those of y, and each slanting wall's two."""
        found = [[n for n, a in enumerate(self._axis) if a == axis] for axis in (0, 1)]
        return [net for net in found if net] + [
            list(self._of_wall[w.wall]) for w in self.walls if w.direction is Direction.OTHER
        ]

    def _new(self, axis: int, at: float) -> int:
        self._axis.append(axis)
        self._at.append(at)
        return len(self._at) - 1

    def _share(self, axis: int, count: int) -> list[int]:
        """The level of each corner on an axis."""
        joins = (Direction.NORTH, Direction.SOUTH) if axis == 0 else (Direction.EAST, Direction.WEST)
        group = list(range(count))
        for n, wall in enumerate(self.walls):
            if wall.direction in joins:
                a, b = group[n], group[(n + 1) % count]
                group = [a if g == b else g for g in group]
        made = {
            g: self._new(
                axis, float(np.mean([self.walls[n].start[axis] for n in range(count) if group[n] == g]))
            )
            for g in dict.fromkeys(group)
        }
        return [made[g] for g in group]


def span_on(wall: OutlineWall, line: tuple[Point, Point]) -> Span:
    """Where a line lies along a wall, from 0 to 1."""
    (xa, ya), (xb, yb) = wall.start, wall.end
    dx, dy = xb - xa, yb - ya
    whole = max(dx * dx + dy * dy, 1e-6)
    low, high = sorted(min(max(((x - xa) * dx + (y - ya) * dy) / whole, 0.0), 1.0) for x, y in line)
    return low, high


def _diagonal(walls: Sequence[OutlineWall]) -> float:
    corners = np.array([w.start for w in walls]) if walls else np.zeros((1, 2))
    return max(float(np.hypot(*(corners.max(axis=0) - corners.min(axis=0)))), 1.0)
