"""What an opening is and how its door hangs, by the strokes about it.

A small network over the opening's own views, laid out so that the wall runs from left to right, the room lies below and
the opening is as wide as every other. fixtures/training/openings.py trains it; docs/reading.md says how well it does.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Hinge, OpeningKind, Opens
from intake.reading.session import opened
from intake.reading.sorter import Ink, Sorted

WEIGHTS = Path(__file__).parent / "weights" / "openings.onnx"
CLASSES = (
    (OpeningKind.WINDOW, Hinge.UNTOLD, Opens.UNTOLD),
    (OpeningKind.DOORWAY, Hinge.UNTOLD, Opens.UNTOLD),
    (OpeningKind.DOOR, Hinge.UNTOLD, Opens.UNTOLD),
    (OpeningKind.DOOR, Hinge.LEFT, Opens.ROOM),
    (OpeningKind.DOOR, Hinge.LEFT, Opens.AWAY),
    (OpeningKind.DOOR, Hinge.RIGHT, Opens.ROOM),
    (OpeningKind.DOOR, Hinge.RIGHT, Opens.AWAY),
)
"""Kind, hinge and way of opening (intake.model.room.Swing); a door without is drawn so that it does not show them. The
network tells their chances and, behind them, that of no opening at all."""
SEEN = (Ink.WALL, Ink.OPENING, Ink.LINE, Ink.OTHER, Ink.WRITING)
"""The planes of ink looked at."""
ALONG = (-0.6, 1.6, 44)
"""What is looked at along the wall, in widths of the opening: from, to, cells."""
WIDE, CLOSE, DEPTHS = 1.2, 0.03, 32
"""How far to each side of the wall is looked, in widths of the opening, for a door's leaf and arc, and once more close
by, in diagonals of the room, for the lines along a window; and in how many cells."""
_FINER = 3
"""Places looked at in a cell, each way; the most ink of them counts."""

Views = NDArray[np.uint8]
"""Both views of an opening, wide and close (2 x SEEN x DEPTHS x ALONG cells), the room below."""
OpeningPlace = tuple[NDArray[np.float64], NDArray[np.float64], tuple[float, float], float]
"""A wall's start and end in pixels of the sorter's `kinds`, the opening's stretch of it (0 to 1) and the room's
diagonal in pixels."""


@dataclass(frozen=True)
class OpeningLook:
    """The chances of window, door and doorway, likeliest first, if it is an opening; the chance `none` that it is not;
    and how a door hangs and swings with the chance of both (untold and 0 where the drawing does not show it)."""

    kinds: tuple[tuple[OpeningKind, float], ...]
    none: float = 0.0
    hinge: Hinge = Hinge.UNTOLD
    into: Opens = Opens.UNTOLD
    swing: float = 0.0


def look_of(place: OpeningPlace, ink: Sorted) -> OpeningLook:
    """What the opening at a place is."""
    return told(chances(views(place, ink.kinds)[None])[0])


def told(chance: NDArray[np.float64]) -> OpeningLook:
    """What the chances of CLASSES, and of no opening behind them, come to."""
    none, chance = float(chance[-1]), chance[:-1] / max(1 - float(chance[-1]), 1e-6)
    kinds: dict[OpeningKind, float] = {}
    for (kind, _, _), p in zip(CLASSES, chance, strict=True):
        kinds[kind] = kinds.get(kind, 0.0) + float(p)
    ranked = tuple(sorted(kinds.items(), key=lambda each: -each[1]))
    best = int(np.argmax(chance))
    kind, hinge, into = CLASSES[best]
    if hinge and kind == ranked[0][0]:
        return OpeningLook(ranked, none, hinge, into, float(chance[best]))
    return OpeningLook(ranked, none)


def views(place: OpeningPlace, kinds: NDArray[np.uint8]) -> Views:
    """An opening's views."""
    start, end, span, diagonal = place
    run = (end - start) * (span[1] - span[0])
    into = np.array([-run[1], run[0]])
    u = _places(*ALONG)[None, :, None] * run
    at = start + (end - start) * span[0] + u
    unit = into / max(float(np.hypot(*into)), 1e-6)
    both = (_places(-reach, reach, DEPTHS)[:, None, None] * way
            for reach, way in ((WIDE, into), (CLOSE, unit * diagonal)))  # fmt: skip
    return np.stack([_ink(at + v, kinds) for v in both])


def _ink(at: NDArray[np.float64], kinds: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The most ink of each of SEEN in the cells whose places these are (rows x columns x 2)."""
    maps = np.asarray(at, np.float32)
    planes = np.stack([cv2.remap(kinds[ink], maps[..., 0], maps[..., 1], cv2.INTER_LINEAR) for ink in SEEN])
    cells = planes.reshape(len(SEEN), DEPTHS, _FINER, ALONG[2], _FINER)
    return np.asarray(cells.max(axis=(2, 4)), np.uint8)


def _places(low: float, high: float, cells: int) -> NDArray[np.float64]:
    count = cells * _FINER
    return low + (high - low) * (np.arange(count) + 0.5) / count


def chances(seen: NDArray[np.uint8]) -> NDArray[np.float64]:
    """The chance of each of CLASSES and of no opening, for many Views, one a row."""
    (told,) = _session().run(None, {"views": np.asarray(seen, np.float32) / np.float32(255)})
    return np.asarray(told, np.float64)


@lru_cache(maxsize=1)
def _session() -> Any:
    return opened(WEIGHTS)
