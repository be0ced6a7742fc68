"""What an opening is and how its door hangs, by the strokes about it.

A linear model over the opening's own picture, laid out so that the wall runs from left to right, the room lies
below and the opening is as wide as every other. fixtures/training/openings.py fits it;
docs/reading.md says how well it does.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Hinge, OpeningKind, Opens
from intake.reading.sorter import Ink, Sorted

WEIGHTS = Path(__file__).parent / "weights" / "openings.npz"
CLASSES = (
    (OpeningKind.WINDOW, Hinge.UNTOLD, Opens.UNTOLD),
    (OpeningKind.DOORWAY, Hinge.UNTOLD, Opens.UNTOLD),
    (OpeningKind.DOOR, Hinge.UNTOLD, Opens.UNTOLD),
    (OpeningKind.DOOR, Hinge.LEFT, Opens.ROOM),
    (OpeningKind.DOOR, Hinge.LEFT, Opens.AWAY),
    (OpeningKind.DOOR, Hinge.RIGHT, Opens.ROOM),
    (OpeningKind.DOOR, Hinge.RIGHT, Opens.AWAY),
)
"""Kind, hinge and way of opening (intake.model.room.Swing); a door without is drawn so that it does not show them."""
SEEN = ((Ink.WALL, Ink.OPENING), (Ink.OPENING,))
"""Two planes: all that is drawn on the wall, and what is drawn for its openings alone."""
ALONG, ACROSS = (-0.35, 1.35, 20), (-1.2, 1.2, 24)
"""What is looked at, in widths of the opening: from, to, cells; across the wall from outside to inside."""
DEEP, DEPTHS = 0.022, 24
"""How far to each side of the wall's line its own strokes are looked at, in diagonals of the room, and in how many
steps: how many lines lie along the opening tells a window from a doorway."""
_FINER = 3
"""Places looked at in a cell, each way; the most ink of them counts."""

OpeningPicture = NDArray[np.float32]


@dataclass(frozen=True)
class OpeningLook:
    """The chances of window, door and doorway, likeliest first, and how a door hangs and swings with the chance of both
    (untold and 0 where the drawing does not show it)."""

    kinds: tuple[tuple[OpeningKind, float], ...]
    hinge: Hinge = Hinge.UNTOLD
    into: Opens = Opens.UNTOLD
    swing: float = 0.0


OpeningPlace = tuple[NDArray[np.float64], NDArray[np.float64], tuple[float, float], float]
"""A wall's start and end in pixels of the sorter's `kinds`, the opening's stretch of it (0 to 1) and the room's
diagonal in pixels."""


def look_of(place: OpeningPlace, ink: Sorted) -> OpeningLook:
    """What the opening at a place is."""
    return told(
        chances(picture(place, ink.kinds).reshape(1, -1), profile(place, ink.kinds).reshape(1, -1))[0]
    )


def told(chance: NDArray[np.float64]) -> OpeningLook:
    """What the chances of CLASSES come to."""
    kinds: dict[OpeningKind, float] = {}
    for (kind, _, _), p in zip(CLASSES, chance, strict=True):
        kinds[kind] = kinds.get(kind, 0.0) + float(p)
    ranked = tuple(sorted(kinds.items(), key=lambda each: -each[1]))
    best = int(np.argmax(chance))
    kind, hinge, into = CLASSES[best]
    return (
        OpeningLook(ranked, hinge, into, float(chance[best]))
        if hinge and kind == ranked[0][0]
        else OpeningLook(ranked)
    )


def picture(place: OpeningPlace, kinds: NDArray[np.uint8]) -> OpeningPicture:
    """The opening's picture (SEEN x ACROSS x ALONG cells, 0 to 1)."""
    start, end, span, _ = place
    run = (end - start) * (span[1] - span[0])
    into = np.array([-run[1], run[0]])
    u, v = (_places(*axis) for axis in (ALONG, ACROSS))
    at = start + (end - start) * span[0] + u[None, :, None] * run + v[:, None, None] * into
    cells = _ink(at, kinds).reshape(len(SEEN), ACROSS[2], _FINER, ALONG[2], _FINER)
    return np.asarray(cells.max(axis=(2, 4)), np.float32)


CLEAR_OF_JAMBS = (0.1, 0.9)
"""The stretch of an opening that is looked at: its jambs bear ink whatever it is (set by hand, no source)."""


def profile(place: OpeningPlace, kinds: NDArray[np.uint8]) -> OpeningPicture:
    """How much ink lies along the opening at each of DEPTHS (SEEN x DEPTHS, 0 to 1), from outside to inside."""
    start, end, span, diagonal = place
    run = (end - start) * (span[1] - span[0])
    into = np.array([-run[1], run[0]]) / max(float(np.hypot(*run)), 1e-6) * DEEP * diagonal
    u, v = np.linspace(*CLEAR_OF_JAMBS, 4 * DEPTHS), np.linspace(-1, 1, DEPTHS)
    at = start + (end - start) * span[0] + u[None, :, None] * run + v[:, None, None] * into
    return np.asarray(_ink(at, kinds).mean(axis=2), np.float32)


def _ink(at: NDArray[np.float64], kinds: NDArray[np.uint8]) -> OpeningPicture:
    """The ink of each of SEEN (0 to 1) at places (rows x columns x 2)."""
    maps = np.asarray(at, np.float32)
    drawn = {
        ink: cv2.remap(kinds[ink], maps[..., 0], maps[..., 1], cv2.INTER_LINEAR)
        for ink in (Ink.WALL, Ink.OPENING)
    }
    planes = [np.max([drawn[ink] for ink in inks], axis=0) for inks in SEEN]
    return np.asarray(planes, np.float32) / np.float32(255)


def _places(low: float, high: float, cells: int) -> NDArray[np.float64]:
    count = cells * _FINER
    return low + (high - low) * (np.arange(count) + 0.5) / count


def chances(pictures: OpeningPicture, profiles: OpeningPicture) -> NDArray[np.float64]:
    """The chance of each of CLASSES for pictures and profiles, one a row."""
    weights, bias = _weights()
    logits = np.hstack([pictures, profiles]).astype(np.float64) @ weights + bias
    odds = np.exp(logits - logits.max(axis=1, keepdims=True))
    return np.asarray(odds / odds.sum(axis=1, keepdims=True))


@lru_cache(maxsize=1)
def _weights() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    with np.load(WEIGHTS) as kept:
        return kept["weights"].astype(np.float64), kept["bias"].astype(np.float64)
