"""What a sketch is drawn on: plain, lined or squared paper, told by the spectrum of the paper round its writing.

Ruling repeats evenly, in one way or in two that cross. What is drawn does not: walls are parallel, but not at one
distance all over the sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box, Paper

_LONG_SIDE, _PATCH, _ACROSS = 1600, 256, 4
"""Pixels of the long side of the picture that is looked at, and of a patch's; at most so many patches each way."""
_SLOWEST, _FASTEST = 1 / 70, 1 / 5
"""Cycles a pixel: lines 2 to 10 mm apart on a sheet that fills from a third of the picture to all of it."""
_STRONGEST = (-0.15, 0.05)
"""Ruling is at most so much darker than the paper; what is darker is ink, and counts no more than that."""
_STANDS_OUT, _CROSSES, _AS_CLEAR = 11.0, 5.0, 0.3
"""How many times stronger the strongest wave of a patch is than the mean wave as fast where there is ruling; the
strongest square to it where there are squares, and how much of the other's strength it has."""
_SQUARE_TO, _ALONG = 0.15, 0.15
"""Radians within which lines are square to others, or go the same way, in perspective."""
_AS_FAST = (0.8, 1.25)
"""Squares are as wide as high within this, in perspective."""
_SQUARES, _LINES, _BARE = 0.55, 0.5, 0.4
"""The share of patches with squares from which on paper is squared; of those with lines all going one way, from which
on it is lined, and up to which it is plain. All fitted by `python -m fixtures.benchmark.papers --split validation`."""
_DARKEST = 20.0
"""A level of paper (of 255) under which nothing is told; a guard."""

_Floats = NDArray[np.float32]


def paper_of(rgb: NDArray[np.uint8], written: Sequence[Box]) -> Paper:
    """Plain, lined or squared, by the part of the picture that is `written` on; OWN where that is not clear."""
    waves = np.array([_waves(patch) for patch in _patches(rgb, written)])
    if not len(waves):
        return Paper.OWN
    strength, way, crossing = waves.T
    if np.mean((crossing > _CROSSES) & (crossing > _AS_CLEAR * strength)) >= _SQUARES:
        return Paper.SQUARED
    strong = strength > _STANDS_OUT
    turned = np.abs((way[:, None] - way[None, strong] + np.pi / 2) % np.pi - np.pi / 2)
    lines = max((strong[:, None] & (turned < _ALONG)).mean(axis=0), default=0.0)
    return Paper.LINED if lines >= _LINES else Paper.PLAIN if lines <= _BARE else Paper.OWN


def _patches(rgb: NDArray[np.uint8], written: Sequence[Box]) -> list[_Floats]:
    """Square pieces of what is written on, each pixel by how much it is lighter (+) or darker than the paper."""
    if not written:
        return []
    size = _LONG_SIDE / max(rgb.shape[:2])
    small = cv2.resize(rgb, None, fx=size, fy=size, interpolation=cv2.INTER_AREA)
    corners = np.array(written).reshape(-1, 2) * size
    low = np.clip(corners.min(axis=0), 0, None).astype(int)
    high = np.minimum(np.ceil(corners.max(axis=0)).astype(int), small.shape[1::-1])
    light = _lightness(small)
    places = [(y, x) for y in _starts(low[1], high[1]) for x in _starts(low[0], high[0])]
    cut = [light[y : y + _PATCH, x : x + _PATCH] for y, x in places]
    return [patch for patch in cut if patch.shape == (_PATCH, _PATCH)]


def _lightness(rgb: NDArray[np.uint8]) -> _Floats:
    grey = cv2.addWeighted(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), 0.5, rgb.min(axis=2), 0.5, 0)
    small = cv2.resize(
        cv2.dilate(grey, np.ones((5, 5), np.uint8)), None, fx=1 / 8, fy=1 / 8, interpolation=cv2.INTER_AREA
    )
    level = cv2.resize(cv2.medianBlur(small, 5), grey.shape[::-1], interpolation=cv2.INTER_LINEAR)
    return np.asarray(np.clip(grey / np.maximum(level, _DARKEST) - 1, *_STRONGEST), np.float32)


def _starts(low: int, high: int) -> NDArray[np.intp]:
    """Where patches begin that lie evenly from `low` to `high`."""
    count = min(max(int(np.ceil((high - low) / _PATCH)), 1), _ACROSS)
    return np.linspace(low, max(low, high - _PATCH), count).astype(int)


@lru_cache(maxsize=1)
def _plane() -> tuple[_Floats, _Floats, _Floats, NDArray[np.intp]]:
    """Of each wave in half the spectrum: a patch's window, cycles a pixel, the way it goes in radians, and its band."""
    down, across = np.meshgrid(np.fft.fftfreq(_PATCH), np.fft.rfftfreq(_PATCH), indexing="ij")
    pace = np.hypot(down, across)
    window = np.outer(np.hanning(_PATCH), np.hanning(_PATCH))
    bands = (pace * _PATCH / 2).astype(np.intp)
    return (
        window.astype(np.float32),
        pace.astype(np.float32),
        np.arctan2(down, across).astype(np.float32),
        bands,
    )


def _waves(patch: _Floats) -> tuple[float, float, float]:
    """How far the strongest wave of a patch stands out of those as fast, the way that it goes, and how far the
    strongest does that goes square to it and is about as fast."""
    window, pace, way, bands = _plane()
    height = np.abs(np.fft.rfft2((patch - patch.mean()) * window))
    usual = np.bincount(bands.ravel(), height.ravel()) / np.maximum(np.bincount(bands.ravel()), 1)
    out = np.where((pace > _SLOWEST) & (pace < _FASTEST), height / np.maximum(usual[bands], 1e-6), 0.0)
    best = np.unravel_index(int(out.argmax()), out.shape)
    square = np.abs((way - way[best]) % np.pi - np.pi / 2) < _SQUARE_TO
    fast = (pace > _AS_FAST[0] * pace[best]) & (pace < _AS_FAST[1] * pace[best])
    return float(out[best]), float(way[best]), float(np.where(square & fast, out, 0.0).max())
