"""Sorts a page's ink: which of it is wall, opening, dimension line, other drawing or writing; where each line of
writing stands and which way it runs; and what lies inside the room.

One small network over the whole page (fixtures/training/sorter_network.py; docs/sorter.md is its card). Its answers
are in the page's own pixels.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box, Role
from intake.reading.readers import Grey
from intake.reading.session import opened

WEIGHTS = Path(__file__).parent / "weights" / "sorter.onnx"
SIDE = 1408
"""The page's long side, in pixels, as the network sees it."""
INSET = 0.3
"""How far a line of writing's core lies inside its box, in heights of the box; the training material uses it too."""
_CORE, _SURE = 0.5, 0.6
"""A pixel is of a core from the first on; a core must reach the second somewhere."""
ROLES = (
    Role.SECTION,
    Role.OVERALL,
    Role.OPENING,
    Role.CEILING,
    Role.SILL,
    Role.HEAD,
    Role.REVEAL,
    Role.FIXTURE,
    Role.UNKNOWN,
)
"""The order in which the network tells roles."""
ACROSS, SEVERAL, NOTHING = range(3)
"""What else a number may measure, in the order in which the network tells it, behind everything else: the room from
wall to wall, several walls in a row, nothing of the room (a telephone number, a date, a detail drawn aside)."""
_WAYS = slice(len(ROLES) + 1, len(ROLES) + 5)
_MORE = slice(len(ROLES) + 5, len(ROLES) + 8)
STEP = 8
"""What numbers measure is told once for so many pixels each way."""
_CLEAR, _DOWN = (0.1, 0.9), (0.3, 0.5, 0.7)
"""Where along and down a box of writing its meaning is looked up, clear of its edges."""
_NO_WAY = 0.2
"""Writing whose pixels point so little one way runs nowhere. All were set by hand, no source."""


class Ink(IntEnum):
    """What a pixel's ink stands for. OTHER: furniture, boxing, fixed things, the outer face of a double wall."""

    NONE = 0
    WALL = 1
    OPENING = 2
    LINE = 3
    OTHER = 4
    WRITING = 5


@dataclass(frozen=True)
class SeenMeaning:
    """What a number measures, by where it stands and what is drawn round it: the chance of each role (adding up to 1),
    the chance to be of a wall, and the ends of the stretch of wall that it is of, clockwise round the room.

    `across` is the chance to be a span between two facing walls, `nothing` to be of nothing in the room: both are part
    of the role UNKNOWN, and what is left of that are diagonals. `several`, a part of OVERALL, is the chance to be the
    overall of several walls in a row; `stretch` then runs from the first one's start to the last one's end. Of a span
    or a diagonal it runs from wall to wall, in the way of the writing.
    """

    roles: Mapping[Role, float]
    of_wall: float
    stretch: tuple[tuple[float, float], tuple[float, float]]
    across: float = 0.0
    several: float = 0.0
    nothing: float = 0.0


@dataclass(frozen=True)
class Sorted:
    """A page's ink, sorted. `kinds` is the share of each `Ink` at each pixel (uint8, 6 x h x w) and `inside` the
    chance to lie inside the room (float32, h x w), both at the network's size; `scale` takes page pixels (x, y) to
    pixels of `kinds`. `lines` are the boxes of lines of writing, `numbers` those of numbers, each starting at the
    writing's own top left. `meanings` (float32, 17 x h/STEP x w/STEP) tells what a number standing there would
    measure: the chance of each of ROLES, the chance to be of a wall, the way from there to the stretch's two ends (x,
    y, x, y in pixels of `kinds`), and the chances of ACROSS, SEVERAL and NOTHING, which with those of the roles add
    up to 1."""

    kinds: NDArray[np.uint8]
    inside: NDArray[np.float32]
    lines: tuple[Box, ...]
    numbers: tuple[Box, ...]
    scale: tuple[float, float]
    meanings: NDArray[np.float32]

    def meaning(self, box: Box) -> SeenMeaning:
        """What the number in `box` measures; the box and the stretch in page pixels."""
        points = _within(np.asarray(box)) * np.asarray(self.scale)
        at = (points / STEP - 0.5).astype(np.float32)
        told = np.array(
            [cv2.remap(plane, at[:, 0], at[:, 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)[:, 0]
             for plane in self.meanings]
        )  # fmt: skip
        ways = told[_WAYS].T
        ends = [np.median(points + ways[:, i : i + 2], axis=0) / self.scale for i in (0, 2)]
        start, end = ((float(x), float(y)) for x, y in ends)
        chances = np.concatenate([told[: len(ROLES)], told[_MORE]]).mean(axis=1)
        roles, more = np.split(chances / chances.sum(), [len(ROLES)])
        by_role = {role: float(p) for role, p in zip(ROLES, roles, strict=True)}
        by_role[Role.UNKNOWN] += float(more[ACROSS] + more[NOTHING])
        by_role[Role.OVERALL] += float(more[SEVERAL])
        across, several, nothing = (float(more[i]) for i in (ACROSS, SEVERAL, NOTHING))
        return SeenMeaning(by_role, float(told[len(ROLES)].mean()), (start, end), across, several, nothing)


class Sorter:
    """Opens its weights on first use."""

    def __init__(self, weights: Path = WEIGHTS) -> None:
        self._weights = weights

    @cached_property
    def _session(self) -> Any:
        return opened(self._weights)

    def sort(self, page: Grey) -> Sorted:
        """Sorts a page (uint8, flattened light: paper near 255)."""
        small = fitted(page)
        kinds, marks, meanings = self._session.run(None, {"page": small[None, None].astype(np.float32) / 255})
        scale = (small.shape[1] / page.shape[1], small.shape[0] / page.shape[0])
        half = (scale[0] / 2, scale[1] / 2)
        lines = lines_of(marks[0, 0], marks[0, 3:5], half)
        numbers = lines_of(marks[0, 1], marks[0, 3:5], half)
        inside = cv2.resize(marks[0, 2], small.shape[::-1])
        return Sorted(kinds[0], np.asarray(inside, np.float32), lines, numbers, scale, meanings[0])


def _within(box: NDArray[np.float64]) -> NDArray[np.float64]:
    """A grid of points in a box (4 corners), clear of its edges."""
    across, down = np.meshgrid(np.linspace(*_CLEAR, 9), _DOWN)
    u, v = across.ravel()[:, None], down.ravel()[:, None]
    return np.asarray(box[0] + u * (box[1] - box[0]) + v * (box[3] - box[0]))


def fitted(page: Grey) -> Grey:
    """The page at the network's size: its long side SIDE, both sides whole multiples of 32."""
    height, width = page.shape
    scale = SIDE / max(height, width)
    size = (max(32, round(width * scale / 32) * 32), max(32, round(height * scale / 32) * 32))
    return np.asarray(cv2.resize(page, size, interpolation=cv2.INTER_AREA), np.uint8)


def lines_of(
    core: NDArray[np.float32], way: NDArray[np.float32], scale: tuple[float, float]
) -> tuple[Box, ...]:
    """The lines of writing whose cores these are (chances, h x w), running along the unit vectors `way` (2 x h x w:
    x, y); boxes are divided by `scale`."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(
        (core > _CORE).astype(np.uint8), connectivity=4
    )
    found = []
    for i in range(1, count):
        x, y, w, h, area = (int(v) for v in stats[i])
        if area < 4:
            continue
        part = labels[y : y + h, x : x + w] == i
        chances = core[y : y + h, x : x + w][part]
        if chances.max() < _SURE:
            continue
        mean = way[:, y : y + h, x : x + w][:, part].mean(axis=1)
        if float(np.hypot(*mean)) < _NO_WAY:
            continue
        ys, xs = np.nonzero(part)
        corners = _grown(np.stack([xs + x, ys + y], axis=1).astype(np.float64), mean / np.hypot(*mean))
        a, b, c, d = ((float(p[0] / scale[0]), float(p[1] / scale[1])) for p in corners)
        found.append((a, b, c, d))
    return tuple(found)


def _grown(points: NDArray[np.float64], along: NDArray[np.float64]) -> NDArray[np.float64]:
    """The corners of the box whose core holds these pixels (n x 2), from its top left on."""
    down = np.array([-along[1], along[0]])
    across, depth = points @ along, points @ down
    # A pixel covers half a pixel on each side of its place.
    low, high = across.min() - 0.5, across.max() + 0.5
    top, bottom = np.percentile(depth, 3) - 0.5, np.percentile(depth, 97) + 0.5
    grow = (bottom - top) * INSET / (1 - 2 * INSET)
    low, high, top, bottom = low - grow, high + grow, top - grow, bottom + grow
    return (
        np.array([u * along + v * down for u, v in ((low, top), (high, top), (high, bottom), (low, bottom))])
        + 0.5
    )
