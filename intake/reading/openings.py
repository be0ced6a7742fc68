"""Where the walls are open: gaps in the line, and windows drawn as boxes over it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from intake.reading.strokes import Segments

Span = tuple[float, float]

_BINS = 160
_ON, _BOX = 0.006, 0.024
"""Strokes nearer the wall's line than the first (in diagonals of the room) are the wall's own; between the
two they may be the long sides of a window's box."""
_SHORTEST, _BREAK = 0.035, 0.02
"""The shortest opening and the longest break in its signs, in diagonals."""
_MOST = 0.85
"""A wall that is open for more than this share is drawn some other way (as two lines, say): it tells
nothing."""


def openings(
    start: NDArray[np.float64], end: NDArray[np.float64], strokes: Segments, diagonal: float
) -> list[Span]:
    """The openings of one wall as (start, end) along it, 0 to 1, in order."""
    length = float(np.hypot(*(end - start)))
    spans, offsets = _alongside(start, end, strokes, _BOX * diagonal)
    near = abs(offsets) < _ON * diagonal
    solid = _marked(spans[near])
    boxed = _marked(spans[~near & (offsets > 0)]) & _marked(spans[~near & (offsets < 0)])
    found: list[Span] = []
    for signs in (~solid, boxed):
        if signs.mean() < _MOST:
            found += _runs(signs, _BREAK * diagonal / length, _SHORTEST * diagonal / length)
    return _merged(found)


def _alongside(
    start: NDArray[np.float64], end: NDArray[np.float64], strokes: Segments, reach: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The strokes that run beside a wall: their spans along it (0 to 1) and their offsets from it in
    pixels."""
    run = end - start
    length = float(np.hypot(*run))
    along = run / max(length, 1e-6)
    normal = np.array([-along[1], along[0]])
    a, b = strokes[:, :2] - start, strokes[:, 2:] - start
    offsets = ((a + b) @ normal) / 2
    alike = abs((b - a) @ normal) < 0.2 * np.hypot(*(b - a).T)
    spans = np.sort(np.stack([a @ along, b @ along], axis=1) / max(length, 1e-6), axis=1)
    beside = alike & (abs(offsets) < reach) & (spans[:, 1] > 0) & (spans[:, 0] < 1)
    return spans[beside], offsets[beside]


def _marked(spans: NDArray[np.float64]) -> NDArray[np.bool_]:
    middles = (np.arange(_BINS) + 0.5) / _BINS
    return np.asarray([bool(np.any((spans[:, 0] <= m) & (spans[:, 1] >= m))) for m in middles])


def _runs(signs: NDArray[np.bool_], broken: float, shortest: float) -> list[Span]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], signs.astype(int), [0]])))
    runs: list[Span] = []
    for low, high in zip(edges[::2] / _BINS, edges[1::2] / _BINS, strict=True):
        if runs and low - runs[-1][1] < broken:
            runs[-1] = (runs[-1][0], float(high))
        else:
            runs.append((float(low), float(high)))
    return [run for run in runs if run[1] - run[0] > shortest]


def _merged(spans: Sequence[Span]) -> list[Span]:
    merged: list[Span] = []
    for low, high in sorted(spans):
        if merged and low < merged[-1][1] - 0.01:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return merged


def piece_at(along: float, open_spans: Sequence[Span]) -> tuple[Span, bool]:
    """The piece of a wall that a number at `along` names, and whether it is an opening: the one whose middle
    is nearest, counted in its own half widths."""
    cuts = [0.0, *(edge for span in open_spans for edge in span), 1.0]
    pieces = [((a, b), i % 2 == 1) for i, (a, b) in enumerate(pairwise(cuts)) if b - a > 0.01]

    def away(piece: tuple[Span, bool]) -> float:
        (low, high), _ = piece
        return abs(along - (low + high) / 2) / ((high - low) / 2 + 0.04)

    return min(pieces, key=away, default=((0.0, 1.0), False))
