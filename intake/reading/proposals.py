"""Places that may hold a number although the finder passed them by: loose ink of the writing's size."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from intake.model.reading import Box
from intake.reading.strokes import Segments, lengths

_MOST = 24
_OVERLAP = 0.25


def loose_ink(ink: NDArray[np.bool_], strokes: Segments, texts: Sequence[Box]) -> list[Box]:
    """Boxes round groups of ink that is neither long strokes nor in `texts`; all in the ink's own pixels."""
    if len(texts) < 3:
        return []
    height = float(np.median([min(_sides(box)) for box in texts])) / 1.35
    left = _without(ink, strokes[lengths(strokes) > 1.5 * height], texts, max(2, round(0.12 * height)))
    groups = cv2.dilate(_of_size(left, height), np.ones((round(0.45 * height) | 1,) * 2, np.uint8))
    outlines, _ = cv2.findContours(groups, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    boxes = [_box(outline, 0.2 * height) for outline in outlines]
    fit = [
        box
        for box in boxes
        if 0.6 * height < min(_sides(box)) < 2.2 * height and max(_sides(box)) < 9 * height
    ]
    taken = [Polygon(text) for text in texts]
    free = [box for box in fit if _free(Polygon(box), taken)]
    return sorted(free, key=lambda box: -max(_sides(box)))[:_MOST]


def _without(
    ink: NDArray[np.bool_], strokes: Segments, texts: Sequence[Box], width: int
) -> NDArray[np.uint8]:
    """The ink with long strokes and what lies in the texts painted out."""
    left = ink.astype(np.uint8)
    for x1, y1, x2, y2 in strokes:
        cv2.line(left, (round(x1), round(y1)), (round(x2), round(y2)), 0, 2 * width + 1)
    for box in texts:
        cv2.fillConvexPoly(left, np.asarray(box).round().astype(np.int32), 0)
    return left


def _of_size(ink: NDArray[np.uint8], height: float) -> NDArray[np.uint8]:
    """Only the components that are as large as a digit or a point of this writing."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    larger = stats[:, 2:4].max(axis=1)
    keep = (larger > 0.4 * height) & (larger < 3.5 * height) & (stats[:, 4] > 6)
    keep[0] = False
    return np.asarray(keep[labels], np.uint8)


def _box(outline: NDArray[np.int32], grown: float) -> Box:
    """The smallest box round a group, less what dilating added."""
    (x, y), (w, h), angle = cv2.minAreaRect(outline)
    corners = cv2.boxPoints(((x, y), (max(2.0, w - grown), max(2.0, h - grown)), angle))
    a, b, c, d = ((float(px), float(py)) for px, py in corners)
    return (a, b, c, d)


def _sides(box: Box) -> tuple[float, float]:
    a, b, d = (np.asarray(box[i]) for i in (0, 1, 3))
    return float(np.hypot(*(b - a))), float(np.hypot(*(d - a)))


def _free(shape: Polygon, taken: Sequence[Polygon]) -> bool:
    return all(shape.intersection(other).area < _OVERLAP * shape.area for other in taken)
