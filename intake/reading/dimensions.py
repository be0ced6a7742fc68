"""Dimension lines: from where to where each number's own line runs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box
from intake.reading.sorter import Ink, Sorted
from intake.reading.strokes import Line, find_segments, gather

_SHARE = 90
"""Share (of 255) from which on ink counts as a dimension line's."""
_APART = 0.006
"""Strokes this near to one straight line are of it, in long sides of the page."""
_BESIDE, _PAST = 1.1, 0.6
"""A number stands within the first of its line, in heights from its middle, and its middle within the second of its
ends."""
_SHORTEST = 1.2
"""A line is at least so many widths of its number long; shorter ones are arrows to something else."""
_COVERED = 0.55
"""Strokes cover this share of a line from end to end, its number's own gap left out."""

Ends = tuple[tuple[float, float], tuple[float, float]]


def own_lines(ink: Sorted, boxes: Sequence[Box]) -> list[Ends | None]:
    """For each box (page pixels) the ends of its dimension line, in page pixels; None where no line is its own, as
    where one line carries several numbers."""
    lines = _lines(ink)
    scale = np.asarray(ink.scale)
    placed = [np.asarray(box) * scale for box in boxes]
    by = [_nearest(box, lines) for box in placed]
    counts = {n: by.count(n) for n in set(by)}
    return [None if n is None or counts[n] > 1 else _ends(lines[n], scale) for n in by]


def _lines(ink: Sorted) -> list[Line]:
    mask = ink.kinds[Ink.LINE] >= _SHARE
    return gather(find_segments(np.asarray(mask)), _APART * max(mask.shape))


def _nearest(box: NDArray[np.float64], lines: Sequence[Line]) -> int | None:
    """The line that a number stands on or beside, its middle between the line's ends."""
    middle = box.mean(axis=0)
    width, height = np.hypot(*(box[1] - box[0])), np.hypot(*(box[3] - box[0]))
    best: tuple[float, int] | None = None
    for n, line in enumerate(lines):
        off = middle - line.point
        along, across = float(off @ line.along), abs(float(off[0] * line.along[1] - off[1] * line.along[0]))
        low, high = line.reach
        if across > _BESIDE * height or not low - _PAST * height < along < high + _PAST * height:
            continue
        covered = line.length / max(high - low - width, 1.0)
        if high - low < _SHORTEST * width or covered < _COVERED:
            continue
        if best is None or across < best[0]:
            best = (across, n)
    return None if best is None else best[1]


def _ends(line: Line, scale: NDArray[np.float64]) -> Ends:
    (xa, ya), (xb, yb) = (line.at(t) / scale for t in line.reach)
    return (float(xa), float(ya)), (float(xb), float(yb))
