"""Leaders: strokes that lead from a label to what it is of, where the number had to stand elsewhere.

Rays are cast from each label's middle. A stroke that begins at the label and runs along a ray is followed across walls
and small breaks to the first arrow's head, or to its end. Whether it is a leader or a line that passes by is left open:
what tells the two apart is measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.reading.sorter import Ink, Sorted

_Floats = NDArray[np.float64]
_SHARE = 60
"""Share (of 255) from which on ink counts as a leader's."""
_OWN, _UNDER = 1, 2
"""Bits of what a pixel holds: ink that may be a leader's, and other strokes that it may run over."""
_STEP = 2.0
"""Ink is looked for along a ray at steps of so many pixels."""
_GAP, _BREAK, _SHORTEST, _INKED = 0.9, 0.35, 0.9, 0.85
"""A leader begins within the first of its label, has no wider breaks than the second, and is at least so long as the
third, in heights of the label; so much of its first stretch is inked."""
_FURTHEST = 0.4
"""It is no longer than this, in diagonals of the page."""
_APART = 0.6
"""Two leaders of one label begin so many heights apart."""
_BARBS, _NEAR_TIP, _FAR_TIP = np.radians([22.0, 29.0, 36.0]), 0.175, 0.5
"""The angles of an arrow's barbs to its shaft, and from where to where behind its tip, in heights."""
_AHEAD, _AHEAD_PX, _AHEAD_COUNTS = np.radians(35.0), 4.0, 0.5
"""What is inked so far aside ahead of a tip is no barb but a line that crosses; it counts so much against the head."""
_A_HEAD = 0.75
"""From so much of a head on a leader ends there."""
_BEHIND, _ROUND_PX, _ROUND = np.radians(np.arange(95.0, 266.0, 6.0)), 8.0, 0.6
"""A line that passes by runs on behind the start: it is looked for at these angles, in pixels and in heights off. All
were set by hand on validation sheets."""


class Leader(NamedTuple):
    """Where a leader begins and ends (x, y in the sorter's pixels); how far off its label it begins and how long it is,
    in heights of that; how much of an arrow's head lies at its end; 1 where a line runs on behind its start, else 0."""

    start: _Floats
    end: _Floats
    gap: float
    length: float
    head: float
    passing: float


@dataclass(frozen=True)
class Frame:
    """A label's box as an upright one about its middle: its axes (rows) and half its length and height."""

    middle: _Floats
    axes: _Floats
    half: _Floats

    @property
    def height(self) -> float:
        return float(2 * self.half[1])

    def off(self, points: _Floats) -> _Floats:
        """How far points (n x 2) lie outside the box, in its heights."""
        out = np.maximum(np.abs((points - self.middle) @ self.axes.T) - self.half, 0.0)
        return np.asarray(np.hypot(out[..., 0], out[..., 1]) / self.height)


def frame_of(box: _Floats) -> Frame:
    """The frame of a box (4 corners from the text's own top left)."""
    along, down = box[1] - box[0], box[3] - box[0]
    length, height = max(float(np.hypot(*along)), 1.0), max(float(np.hypot(*down)), 1.0)
    return Frame(box.mean(axis=0), np.array([along / length, down / height]), np.array([length, height]) / 2)


def leader_ink(ink: Sorted) -> NDArray[np.uint8]:
    """What may be leaders (_OWN) and what they may run over (_UNDER), in bits a pixel."""
    own = cv2.max(ink.kinds[Ink.LINE], ink.kinds[Ink.OTHER])
    under = cv2.max(ink.kinds[Ink.WALL], ink.kinds[Ink.OPENING])
    grown = [cv2.dilate((k >= _SHARE).astype(np.uint8), np.ones((3, 3), np.uint8)) for k in (own, under)]
    return np.asarray(grown[0] * _OWN + grown[1] * _UNDER, np.uint8)


_TURNS = np.radians(np.arange(0.0, 360.0, 1.5))
_WAYS = np.stack([np.cos(_TURNS), np.sin(_TURNS)], axis=1)
"""The rays."""


def leaders_of(label: Frame, drawn: NDArray[np.uint8]) -> list[Leader]:
    """The strokes that may be leaders of a label, the longest first; `drawn` as leader_ink has it."""
    found: list[Leader] = []
    for one in sorted(_cast(label, drawn), key=lambda leader: -leader.length):
        if all(np.hypot(*(one.start - other.start)) > _APART * label.height for other in found):
            found.append(one)
    return found


def _cast(label: Frame, drawn: NDArray[np.uint8]) -> list[Leader]:
    """A leader for each ray that a stroke runs along."""
    height = label.height
    edge = (label.half / np.maximum(np.abs(_WAYS @ label.axes.T), 1e-6)).min(axis=1)
    first = np.arange(0.0, (_GAP + _SHORTEST) * height, _STEP)
    near = _inked(drawn, label.middle + (edge[:, None] + first)[..., None] * _WAYS[:, None])
    begins = np.where(near.any(axis=1), near.argmax(axis=1), len(first)) * _STEP
    solid = near.sum(axis=1) * _STEP >= _INKED * (first[-1] - begins)
    found = []
    for n in np.flatnonzero((begins < _GAP * height) & solid):
        start = label.middle + (edge[n] + begins[n]) * _WAYS[n]
        end, head = _end(drawn, start, _WAYS[n], height)
        length = float(np.hypot(*(end - start))) / height
        if length > _SHORTEST:
            passing = _passing(drawn, start, _WAYS[n], height)
            found.append(Leader(start, end, float(begins[n]) / height, length, head, passing))
    return found


def _end(drawn: NDArray[np.uint8], start: _Floats, way: _Floats, height: float) -> tuple[_Floats, float]:
    """Where a stroke ends, and how much of an arrow's head lies there."""
    reach = np.arange(0.0, _FURTHEST * float(np.hypot(*drawn.shape)), _STEP)
    points = start + reach[:, None] * way
    at = np.flatnonzero(_inked(drawn, points, _OWN | _UNDER))
    breaks = np.flatnonzero(np.diff(at) * _STEP > _BREAK * height)
    run = at[: breaks[0] + 1] if len(breaks) else at
    own = run[_inked(drawn, points[run])]
    tips = reach[: own[-1] + 3 if len(own) else 0]
    tips = tips[tips > _SHORTEST * height]
    if not len(tips):
        return start, 0.0
    heads = _heads(drawn, start + tips[:, None] * way, way, height)
    best = int(heads.argmax())
    here = best if heads[best] >= _A_HEAD else len(tips) - 1
    return np.asarray(start + tips[here] * way), float(heads[here])


def _heads(drawn: NDArray[np.uint8], tips: _Floats, way: _Floats, height: float) -> _Floats:
    """How much of the two barbs behind each tip (n x 2) is inked, the lesser, less what is inked ahead of it."""
    back = np.linspace(_NEAR_TIP, _FAR_TIP, 5) * height
    sides = [
        np.max([_along(drawn, tips, back, _turned(way, np.pi + side * angle)) for angle in _BARBS], axis=0)
        for side in (-1, 1)
    ]
    ahead = [_along(drawn, tips, _AHEAD_PX + back, _turned(way, side * _AHEAD)) for side in (-1, 1)]
    return np.asarray(np.minimum(*sides) - _AHEAD_COUNTS * np.maximum(*ahead))


def _along(drawn: NDArray[np.uint8], tips: _Floats, reach: _Floats, way: _Floats) -> _Floats:
    """The share inked of a short line from each tip."""
    return np.asarray(_inked(drawn, tips[:, None] + reach[:, None] * way).mean(axis=1))


def _passing(drawn: NDArray[np.uint8], start: _Floats, way: _Floats, height: float) -> float:
    """1 where a line runs on behind a stroke's start, else 0."""
    ways = np.stack([_turned(way, angle) for angle in _BEHIND])
    return float(any(_inked(drawn, start + r * ways).any() for r in (_ROUND_PX, _ROUND * height)))


def _turned(way: _Floats, angle: float) -> _Floats:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([way[0] * c - way[1] * s, way[0] * s + way[1] * c])


def _inked(drawn: NDArray[np.uint8], points: _Floats, kinds: int = _OWN) -> NDArray[np.bool_]:
    """Whether there is ink of these kinds at points (... x 2)."""
    x, y = np.moveaxis(points.round().astype(int), -1, 0)
    h, w = drawn.shape
    within = (x >= 0) & (y >= 0) & (x < w) & (y < h)
    return np.asarray((drawn[np.clip(y, 0, h - 1), np.clip(x, 0, w - 1)] & kinds > 0) & within)
