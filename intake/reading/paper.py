"""Where the sheet lies in the picture, so that wood grain beside it is not read.

No page corners are looked for: a sheet may be torn, folded, cut off by the frame or lie on a white table.
The sheet is the smooth region that holds most of the writing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box
from intake.reading.readers import Grey
from intake.reading.ruling import without_ruling
from intake.reading.strokes import find_segments, main_angle

_SIDE = 320
_INK_SIDE = 1000
_STEPS = (3, 4, 5, 7, 10)
"""How much the lightness or colour may change from pixel to pixel of the small picture within one sheet;
the smallest step at which nearly all the writing lies on large smooth regions is taken."""
_SMALLEST = 0.02
"""Share of the picture below which a smooth region is no part of the sheet."""


def sheet(rgb: NDArray[np.uint8], size: tuple[int, int], texts: Sequence[Box]) -> NDArray[np.bool_]:
    """A mask of `size` (height, width): True on the sheet. `texts` are boxes in the mask's pixels.

    All True where no smooth regions hold the writing: then there is nothing to tell the sheet by.
    """
    scale = _SIDE / max(rgb.shape[:2])
    small = cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    change = _change(small)
    at = [np.mean(text, axis=0) * (small.shape[1] / size[1], small.shape[0] / size[0]) for text in texts]
    for step in _STEPS:
        labels = cv2.connectedComponents((change <= step).astype(np.uint8), connectivity=4)[1]
        regions = [_region_at(labels, point) for point in at]
        large = {r for r in set(regions) if r and (labels == r).mean() > _SMALLEST}
        if at and sum(r in large for r in regions) >= 0.9 * len(at):
            solid = _hull(np.isin(labels, list(large)))
            return np.asarray(cv2.resize(solid.astype(np.uint8), (size[1], size[0])) > 0)
    return np.ones(size, bool)


def _change(small: NDArray[np.uint8]) -> NDArray[np.int64]:
    """The largest change of lightness or colour round each pixel, thin dark strokes left out."""
    bare = cv2.morphologyEx(small, cv2.MORPH_CLOSE, np.ones((9, 9), np.uint8))
    colour = cv2.cvtColor(cv2.medianBlur(bare, 5), cv2.COLOR_RGB2LAB)
    kernel = np.ones((3, 3), np.uint8)
    return np.asarray((cv2.dilate(colour, kernel).astype(int) - cv2.erode(colour, kernel)).max(axis=2))


def _region_at(labels: NDArray[np.int32], point: NDArray[np.float64]) -> int:
    """The region most common within a few pixels of a point; 0 where there is none."""
    x, y = int(point[0]), int(point[1])
    patch = labels[max(0, y - 3) : y + 4, max(0, x - 3) : x + 4]
    found = patch[patch > 0]
    return int(np.bincount(found).argmax()) if found.size else 0


def _hull(region: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The convex hull of a region, drawn in a little from its rim, where the sheet's own shadow lies."""
    whole = cv2.morphologyEx(region.astype(np.uint8), cv2.MORPH_OPEN, np.ones((5, 5), np.uint8))
    points = cv2.findNonZero(whole)
    solid = np.zeros(region.shape, np.uint8)
    if points is not None:
        cv2.fillConvexPoly(solid, cv2.convexHull(points), 1)
    return np.asarray(cv2.erode(solid, np.ones((5, 5), np.uint8), borderValue=1) > 0)


@dataclass(frozen=True)
class InkSheet:
    """The drawing straightened and cleaned: `ink` (bool) in its own frame, about 1000 pixels long; `to_sheet`
    maps page pixels to that frame as a 3 x 3 matrix; `paper` is where the sheet lies in page pixels."""

    ink: NDArray[np.bool_]
    to_sheet: NDArray[np.float64]
    paper: NDArray[np.bool_]

    def holds(self, point: NDArray[np.float64]) -> bool:
        """Whether a point of the page lies on the sheet of paper."""
        rows, columns = self.paper.shape
        x, y = int(np.clip(point[0], 0, columns - 1)), int(np.clip(point[1], 0, rows - 1))
        return bool(self.paper[y, x])

    def onto(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(
            cv2.perspectiveTransform(points.reshape(1, -1, 2).astype(np.float64), self.to_sheet)[0]
        )

    def box_onto(self, box: Box) -> Box:
        a, b, c, d = ((float(x), float(y)) for x, y in self.onto(np.asarray(box)))
        return (a, b, c, d)

    def box_off(self, box: Box) -> Box:
        a, b, c, d = ((float(x), float(y)) for x, y in self.off(np.asarray(box)))
        return (a, b, c, d)

    def off(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        back = np.linalg.inv(self.to_sheet)
        return np.asarray(cv2.perspectiveTransform(points.reshape(1, -1, 2).astype(np.float64), back)[0])


def ink_sheet(flat: Grey, paper: NDArray[np.bool_], texts: Sequence[Box]) -> InkSheet:
    """The ink on the sheet without its ruling, turned by less than an eighth so that most strokes run along
    the axes."""
    scale = _INK_SIDE / max(flat.shape)
    dark = 255 - cv2.resize(flat, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA).astype(np.float32)
    on = cv2.resize(paper.astype(np.uint8), (dark.shape[1], dark.shape[0])) > 0
    dark[~on] = 0
    small = [np.asarray(box) * scale for box in texts]
    strong = _strength(dark, small)
    turn = _turn(main_angle(find_segments(dark > 0.4 * strong)), dark.shape)
    straight = without_ruling(cv2.warpPerspective(dark, turn, (dark.shape[1], dark.shape[0])))
    ink = _strokes(straight > max(0.4 * strong, 14.0))
    return InkSheet(ink, turn @ np.diag([scale, scale, 1.0]), paper)


def _strength(dark: NDArray[np.float32], texts: Sequence[NDArray[np.float64]]) -> float:
    """How dark the writing's strokes are, or the darkest hundredth of the sheet where there is none."""
    strengths = []
    for box in texts:
        (x0, y0), (x1, y1) = box.min(axis=0).astype(int).clip(0), box.max(axis=0).astype(int).clip(0) + 1
        if dark[y0:y1, x0:x1].size:
            strengths.append(float(np.percentile(dark[y0:y1, x0:x1], 95)))
    return float(np.median(strengths)) if strengths else float(np.percentile(dark, 99))


def _turn(angle: float, size: tuple[int, ...]) -> NDArray[np.float64]:
    centre = (size[1] / 2, size[0] / 2)
    return np.vstack([cv2.getRotationMatrix2D(centre, float(np.degrees(angle)), 1.0), (0, 0, 1)])


def _strokes(ink: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The ink without blots: the rims of hard shadows come out as broad dark patches."""
    patch = cv2.morphologyEx(ink.astype(np.uint8), cv2.MORPH_OPEN, np.ones((9, 9), np.uint8))
    return np.asarray(ink & ~(cv2.dilate(patch, np.ones((9, 9), np.uint8)) > 0))
