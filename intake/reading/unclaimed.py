"""Writing that lies in no line the sorter found: its strokes are told apart, only where it runs was missed."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box
from intake.reading.sorter import Ink, Sorted

_CLAIMED = 5
"""Writing within so many pixels of a line found is that line's, in pixels of the sorter's page."""
_GAP = 0.45
"""Strokes nearer than this, in heights of the page's numbers, are of one text."""
_LEAST, _MOST = 0.5, 1.7
"""Texts are so many times as high as the page's numbers."""
_LONGEST = 6.0
"""And so many times as long at most (set by hand)."""


def unclaimed(ink: Sorted) -> list[Box]:
    """Boxes of such texts in page pixels, each along its longer side; which way up is for the readers to tell."""
    if not ink.numbers:
        return []
    scale = np.asarray(ink.scale)
    usual = float(np.median([_height(np.asarray(box) * scale) for box in ink.numbers]))
    written = (ink.kinds.argmax(axis=0) == Ink.WRITING).astype(np.uint8)
    for box in (*ink.lines, *ink.numbers):
        corners = np.round(np.asarray(box) * scale).astype(np.int32)
        cv2.fillPoly(written, [corners], 0)
        cv2.polylines(written, [corners], True, 0, 2 * _CLAIMED)
    size = max(3, round(_GAP * usual))
    joined = cv2.morphologyEx(
        written, cv2.MORPH_CLOSE, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    )
    count, labels = cv2.connectedComponents(joined, connectivity=8)
    found = (_box(np.argwhere((labels == i) & (written > 0))[:, ::-1], usual) for i in range(1, count))
    return [_as_box(corners / scale) for corners in found if corners is not None]


def _height(box: NDArray[np.float64]) -> float:
    return min(float(np.hypot(*(box[3] - box[0]))), float(np.hypot(*(box[1] - box[0]))))


def _box(points: NDArray[np.int64], usual: float) -> NDArray[np.float64] | None:
    """The box round points (x, y) of one text's strokes; None where they are no text by their size."""
    if len(points) < 0.5 * usual:
        return None
    (x, y), (a, b), angle = cv2.minAreaRect(points.astype(np.float32))
    high, long = min(a, b), max(a, b)
    if not (_LEAST * usual <= high <= _MOST * usual and long <= _LONGEST * usual):
        return None
    turn = np.radians(angle if a >= b else angle + 90)
    along, down = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    u, v = along * (long / 2 + 1), down * (high / 2 + 1)
    return np.asarray(np.array([x, y]) + np.array([-u - v, u - v, u + v, -u + v]))


def _as_box(corners: NDArray[np.float64]) -> Box:
    a, b, c, d = ((float(x), float(y)) for x, y in corners)
    return (a, b, c, d)
