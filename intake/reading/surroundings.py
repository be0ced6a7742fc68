"""What is drawn round a number: where its leader ends; and of one that may be of a fixed thing or an opening's height,
how each wall lies to it, to the thing drawn nearest and to its leaders' ends."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Feature, OutlineWall, Span
from intake.reading.at_walls import Led, Surroundings
from intake.reading.ink import Page
from intake.reading.leaders import Frame, Leader, frame_of, leader_ink, leaders_of
from intake.reading.numbers import AT_A_WALL, Placed
from intake.reading.pointed import led_to_its_piece
from intake.reading.sorter import Ink, Sorted

_Floats = NDArray[np.float64]
_THOUGHT_OF = 0.01
"""From this chance on to be of a thing or an opening's height what is drawn round a number is looked at."""
_SHARE, _CELL, _LEAST_CELLS = 90, 4, 4
"""Share (of 255) from which on ink counts as a thing's; pieces of it are looked at in cells of so many pixels, those
next to each other being one, and one of fewer cells is a speck."""
_NEAR = 3.0
"""A thing further off than so many heights of the label is not its."""
_INSIDE = 0.5
"""How much nearer a thing counts that the label stands in, in heights."""
_SAME_WAY = 0.9
"""The cosine from which on a dimension line runs along a wall."""
_FEW, _BY_PASSING, _BY_LENGTH = 3, 2.0, 0.1
"""So many leaders a label are kept, the likeliest by what an arrow's whole head, a line that passes by and a height of
length count. All were set by hand on validation sheets."""


def with_surroundings(
    places: Sequence[Placed],
    walls: Sequence[OutlineWall],
    features: Sequence[Feature],
    page: Page,
    ink: Sorted,
) -> list[Placed]:
    """The numbers, those that may be of things or heights with what is drawn round them, and those that a leader leads
    away from to a piece of a wall with that for their stretch."""
    if not walls:
        return list(places)
    desk, gaps = _Desk(walls, page, ink), defaultdict[int, list[Span]](list)
    for feature in features:
        if feature.wall is not None and feature.span is not None:
            gaps[feature.wall].append(feature.span)
    led = [led_to_its_piece(place, desk.leaders(place), walls, gaps) for place in places]
    return [
        replace(after, around=desk.round(before)) if _may_be_at_a_wall(before) else after
        for before, after in zip(places, led, strict=True)
    ]


def _may_be_at_a_wall(place: Placed) -> bool:
    return sum(place.roles.get(role, 0.0) for role in AT_A_WALL) > _THOUGHT_OF


class _Desk:
    """The walls, things and lines of writing of one page, in the sorter's pixels."""

    def __init__(self, walls: Sequence[OutlineWall], page: Page, ink: Sorted) -> None:
        self._page, self._scale = page, np.asarray(ink.scale)
        self._walls = tuple(wall.wall for wall in walls)
        self._starts = self._shrunk([wall.start for wall in walls])
        self._runs = self._shrunk([wall.end for wall in walls]) - self._starts
        self._diagonal = max(float(np.hypot(*np.ptp(self._starts, axis=0))), 1.0)
        self._lines = [np.asarray(line) * self._scale for line in ink.lines]
        self._frames = [frame_of(line) for line in self._lines]
        self._things = things(ink)
        self._drawn = leader_ink(ink)
        self._led: dict[int, list[Leader]] = {}
        self._alone: dict[int, int] = {}

    def leaders(self, place: Placed) -> list[Leader]:
        """The strokes that may be leaders of a number's label, in the picture's pixels."""
        key, label = self._label(place)
        return [
            leader._replace(start=start, end=end)
            for leader in self._led_from(key, label)
            for start, end in [self._seen([leader.start, leader.end])]
        ]

    def round(self, place: Placed) -> Surroundings:
        key, label = self._label(place)
        apart = self._apart(self._middle(place)[None])[0]
        by = {standing.wall: standing for standing in place.by}
        inside = bool(place.by) and place.by[0].inside
        thing, free = self._nearest_thing(label)
        return Surroundings(
            key,
            np.array([by[wall].weight for wall in self._walls]),
            place.told.of_wall,
            float(apart.min()) if inside else 0.0,
            apart,
            thing,
            free,
            self._along(place),
            self._likeliest(self._led_from(key, label)),
        )

    def _label(self, place: Placed) -> tuple[int, Frame]:
        """The line of writing that a number is part of, or itself: what tells it from others, and its box."""
        line = self._line_of(self._middle(place))
        if line is None:
            alone = self._alone.setdefault(id(place.text), -1 - len(self._alone))
            return alone, frame_of(np.asarray(place.text.box) * self._scale)
        return line, self._frames[line]

    def _middle(self, place: Placed) -> _Floats:
        return np.asarray(np.mean(place.text.box, axis=0) * self._scale)

    def _led_from(self, key: int, label: Frame) -> list[Leader]:
        if key not in self._led:
            self._led[key] = leaders_of(label, self._drawn)
        return self._led[key]

    def _seen(self, points: Sequence[_Floats]) -> _Floats:
        """Points in the picture's pixels."""
        return np.asarray(self._page.in_picture(tuple((float(x), float(y)) for x, y in points / self._scale)))

    def _shrunk(self, points: Sequence[tuple[float, float]]) -> _Floats:
        return np.asarray(self._page.on_page(tuple(points)) * self._scale)

    def _apart(self, points: _Floats) -> _Floats:
        """How far each wall is from each point (n x walls)."""
        off = points[:, None] - self._starts
        along = (off * self._runs).sum(axis=2) / np.maximum((self._runs**2).sum(axis=1), 1e-6)
        gap = off - np.clip(along, 0.0, 1.0)[..., None] * self._runs
        return np.asarray(np.hypot(gap[..., 0], gap[..., 1]) / self._diagonal)

    def _line_of(self, middle: _Floats) -> int | None:
        """The longest line of writing that a number is part of."""
        holding = [n for n, frame in enumerate(self._frames) if frame.off(middle) == 0.0]
        return max(holding, key=lambda n: float(self._frames[n].half.prod()), default=None)

    def _likeliest(self, leaders: Sequence[Leader]) -> tuple[Led, ...]:
        found = [(leader, self._apart(leader.end[None])[0]) for leader in leaders]
        found.sort(key=lambda f: _BY_PASSING * f[0].passing - f[0].head - _BY_LENGTH * f[0].length)
        return tuple(
            Led((one.gap, float(np.log(one.length)), one.head, one.passing), apart)
            for one, apart in found[:_FEW]
        )

    def _nearest_thing(self, label: Frame) -> tuple[_Floats | None, float]:
        """How far the walls lie from the thing nearest to a label, and how far it stands off them round the label."""
        best: tuple[float, bool, _Floats] | None = None
        for points in self._things:
            inside = bool(((label.middle > points.min(axis=0)) & (label.middle < points.max(axis=0))).all())
            off = float(label.off(points).min())
            if (off < _NEAR or inside) and (best is None or off - _INSIDE * inside < best[0]):
                best = off - _INSIDE * inside, inside, points
        if best is None:
            return None, 0.0
        apart = self._apart(best[2])
        return apart.mean(axis=0), float(apart.min()) if best[1] else 0.0

    def _along(self, place: Placed) -> _Floats:
        """How far a number's dimension line lies from the walls that it runs along."""
        if place.line is None:
            return np.full(len(self._walls), np.inf)
        a, b = self._shrunk(place.line)
        way = (b - a) / max(float(np.hypot(*(b - a))), 1e-6)
        lengths = np.maximum(np.hypot(*self._runs.T), 1e-6)
        same = np.abs(self._runs @ way) / lengths > _SAME_WAY
        return np.where(same, self._apart((a + b)[None] / 2)[0], np.inf)


def things(ink: Sorted) -> list[_Floats]:
    """The pieces of ink that are drawn as things, each as points (n x 2, the sorter's pixels)."""
    height, width = (side // _CELL for side in ink.kinds[0].shape)
    mask = ink.kinds[Ink.OTHER][: height * _CELL, : width * _CELL] >= _SHARE
    cells = mask.reshape(height, _CELL, width, _CELL).any(axis=(1, 3))
    joined = cv2.dilate(cells.astype(np.uint8), np.ones((3, 3), np.uint8))
    count, pieces = cv2.connectedComponents(joined, connectivity=8)
    ys, xs = np.nonzero(cells)
    of = pieces[ys, xs]
    points = (np.stack([xs, ys], axis=1) + 0.5) * _CELL
    each = [points[of == n] for n in range(1, count)]
    return [piece for piece in each if len(piece) >= _LEAST_CELLS]
