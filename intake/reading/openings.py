"""Where the walls are open: gaps in the line, windows and doors drawn over it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from intake.model.reading import OpeningKind
from intake.reading.opening_kinds import OpeningLook, look_of
from intake.reading.sorter import Ink, Sorted

_Span = tuple[float, float]

_BINS = 240
_ON = 0.014
"""How far to each side of a wall's line its own strokes lie, in diagonals of the room."""
_SHORTEST, _BREAK = 0.03, 0.025
"""The shortest opening and the longest break in its signs, in diagonals."""
_MOST = 0.97
"""A wall that is open for more than this share was not drawn where it was looked for: it tells nothing."""
_SHARE = 90
"""Share (of 255) from which on ink counts."""
_INK = [Ink.WALL, Ink.OPENING, Ink.LINE, Ink.OTHER]
_THROUGH, _SIGNS = 0.93, 0.5
"""Where ink of any kind runs through more than the first share of a stretch and an opening's through less than the
second, the wall is drawn there, whatever else its ink was taken for. On 27 sheets of a fourth drawer that was so of 12
of 23 openings that were none, and of none of 67 that were."""
NONE = 0.5
"""What looks like no opening with this chance is none."""


@dataclass(frozen=True)
class Opening:
    """An opening from `span[0]` to `span[1]` along its wall (0 to 1), and what it looks like."""

    span: _Span
    look: OpeningLook

    @property
    def kind(self) -> OpeningKind:
        """window, door or doorway, whichever is likeliest."""
        return self.look.kinds[0][0]


def openings(
    start: NDArray[np.float64], end: NDArray[np.float64], ink: Sorted, diagonal: float
) -> list[Opening]:
    """The openings of one wall, in order; start, end and diagonal in pixels of `ink.kinds`."""
    spans = spans_of(start, end, ink.kinds, diagonal)
    found = [Opening(span, look_of((start, end, span, diagonal), ink)) for span in spans]
    return [opening for opening in found if opening.look.none < NONE]


def spans_of(
    start: NDArray[np.float64], end: NDArray[np.float64], kinds: NDArray[np.uint8], diagonal: float
) -> list[_Span]:
    """The stretches of one wall that look open, in order; as `openings`, `kinds` as `Sorted.kinds`."""
    length = max(float(np.hypot(*(end - start))), 1e-6)
    wall = _beside(start, end, kinds[Ink.WALL], _ON * diagonal)
    drawn = _beside(start, end, kinds[Ink.OPENING], _ON * diagonal)
    inked = _beside(start, end, kinds[_INK].max(axis=0), _ON / 2 * diagonal)
    is_open = ((drawn >= _SHARE) & (drawn >= wall)) | (wall < _SHARE)
    if is_open.mean() > _MOST:
        return []
    return [
        span
        for span in _runs(is_open, _BREAK * diagonal / length, _SHORTEST * diagonal / length)
        if _covers(inked, span) <= _THROUGH or _covers(drawn, span) >= _SIGNS
    ]


def _covers(ink: NDArray[np.uint8], span: _Span) -> float:
    """How much of a stretch of the wall bears the ink."""
    low, high = (round(edge * _BINS) for edge in span)
    return float((ink[low:high] >= _SHARE).mean())


def _beside(
    start: NDArray[np.float64], end: NDArray[np.float64], share: NDArray[np.uint8], to: float
) -> NDArray[np.uint8]:
    """The most of one kind of ink across the wall's line at each of `_BINS` places along it, up to `to` pixels off on
    either side."""
    run = end - start
    normal = np.array([-run[1], run[0]]) / max(float(np.hypot(*run)), 1e-6)
    places = start + run * ((np.arange(_BINS) + 0.5) / _BINS)[:, None]
    off = np.arange(0.0, to + 1)
    points = places[:, None] + np.concatenate([-off, off])[None, :, None] * normal
    xs = np.clip(points[..., 0].round().astype(int), 0, share.shape[1] - 1)
    ys = np.clip(points[..., 1].round().astype(int), 0, share.shape[0] - 1)
    return np.asarray(share[ys, xs].max(axis=1))


def _runs(signs: NDArray[np.bool_], broken: float, shortest: float) -> list[_Span]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], signs.astype(int), [0]])))
    runs: list[_Span] = []
    for low, high in zip(edges[::2] / _BINS, edges[1::2] / _BINS, strict=True):
        if runs and low - runs[-1][1] < broken:
            runs[-1] = (runs[-1][0], float(high))
        else:
            runs.append((float(low), float(high)))
    return [run for run in runs if run[1] - run[0] > shortest]


LEAST_PIECE = 0.01
"""Shorter pieces of a wall, in shares of it, are none (set by hand, no source)."""


_Piece = tuple[_Span, bool]
"""A piece of a wall, and whether it is an opening."""


def pieces(open_spans: Sequence[_Span]) -> list[_Piece]:
    """The pieces that its openings part a wall into, in order."""
    cuts = [0.0, *(edge for each in open_spans for edge in each), 1.0]
    return [((a, b), i % 2 == 1) for i, (a, b) in enumerate(pairwise(cuts)) if b - a > LEAST_PIECE]


def piece_of(span: _Span, open_spans: Sequence[_Span]) -> _Piece:
    """The piece of a wall that `span` names: the one that has most in common with it."""

    def apart(piece: _Piece) -> float:
        (low, high), _ = piece
        return abs(low - span[0]) + abs(high - span[1])

    return min(pieces(open_spans), key=apart, default=((0.0, 1.0), False))


def piece_at(place: float, open_spans: Sequence[_Span]) -> _Piece:
    """The piece of a wall that holds a place along it."""

    def off(piece: _Piece) -> float:
        (low, high), _ = piece
        return max(low - place, place - high, 0.0)

    return min(pieces(open_spans), key=off, default=((0.0, 1.0), False))
