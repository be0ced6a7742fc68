"""A number's crop cleared of what is not its own: wall lines, arrows, the neighbours' strokes; and drawn in
tight.

A reader of single lines does best with the digits filling the crop, so the box a finder gives is only where
to start.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box
from intake.reading.crops import CROP_HEIGHT, cut, stretched, turned
from intake.reading.readers import Grey

_LINE = 72
"""Pixels the finder's box is made high while it is looked at."""
_AROUND = 0.45
_LONG = 1.2
"""Heights of the finder's box, which is higher than its digits: no stroke of a digit is as long."""
_MARGIN = 0.22


@dataclass(frozen=True)
class Cutting:
    """A tight box (clockwise from the text's own top left, page pixels) with its clean crop, `CROP_HEIGHT`
    high.

    `clean` is the share of the ink in the first box that was kept; `edge` the share of the crop's border
    that ink crosses, which tells of a bad cut. `found` is the box it was made from.
    """

    box: Box
    crop: Grey
    clean: float
    edge: float
    found: Box

    def turned(self, quarters: int) -> Cutting:
        box, found = turned(self.box, quarters), turned(self.found, quarters)
        return Cutting(box, _upright(self.crop, quarters), self.clean, self.edge, found)


def as_found(flat: Grey, box: Box) -> Cutting:
    """The box as the finder gave it, with nothing painted out."""
    return Cutting(box, cut(flat, box, 0.05), 1.0, 0.0, box)


def tidy(flat: Grey, box: Box, sideways: bool = True) -> Cutting:
    """The ink that belongs to the text in `box`, cut tight. `sideways` False keeps the box's two ends as
    they are."""
    view, corners = _view(flat, box, _AROUND if sideways else 0.0)
    ink = _ink(view)
    kept = _with_freed(_own(ink, _AROUND, sideways), _own(_without_lines(ink), _AROUND, sideways))
    if kept.sum() < 12:
        return Cutting(box, _resized(stretched(view)), 0.0, 1.0, box)
    ys, xs = np.flatnonzero(kept.any(axis=1)), np.flatnonzero(kept.any(axis=0))
    tight = (int(xs[0]), int(ys[0]), int(xs[-1]) + 1, int(ys[-1]) + 1)
    crop = _cut(_cleared(view, _large(ink & ~kept), kept), tight)
    inner = _part(corners, view.shape, tight)
    clean = float(kept.sum() / max(1, ink.sum()))
    return Cutting(inner, _resized(stretched(crop)), clean, _edge(kept), box)


def _cut(view: Grey, tight: tuple[int, int, int, int]) -> Grey:
    """The tight rectangle with its margin; what lies beyond the view is paper."""
    left, top, right, bottom = tight
    grow = max(2, round(_MARGIN * (bottom - top)))
    paper = float(np.percentile(view, 80))
    wide = cv2.copyMakeBorder(view, grow, grow, grow, grow, cv2.BORDER_CONSTANT, value=(paper,))
    return np.asarray(wide[top : bottom + 2 * grow, left : right + 2 * grow], np.uint8)


def _view(flat: Grey, box: Box, side: float) -> tuple[Grey, NDArray[np.float64]]:
    """The box with room around it, upright, and the corners of that view on the page."""
    p = np.asarray(box, np.float64)
    along, down = p[1] - p[0], p[3] - p[0]
    high = max(float(np.hypot(*down)), 2.0)
    u, v = along / max(float(np.hypot(*along)), 1e-6), down / high
    a, b = u * side * high, v * _AROUND * high
    corners = np.asarray([p[0] - a - b, p[1] + a - b, p[2] + a + b, p[3] - a + b])
    width = max(8, round(_LINE * float(np.hypot(*(corners[1] - corners[0]))) / high))
    height = round(_LINE * (1 + 2 * _AROUND))
    target = np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float32)
    turn = cv2.getPerspectiveTransform(corners.astype(np.float32), target)
    view = cv2.warpPerspective(flat, turn, (width, height), flags=cv2.INTER_LINEAR, borderValue=255)
    return np.asarray(view, np.uint8), corners


def _ink(view: Grey) -> NDArray[np.bool_]:
    dark = 255 - cv2.GaussianBlur(view, (0, 0), 0.8).astype(np.float32)
    strong = float(np.percentile(dark, 98))
    return np.asarray(dark > max(0.42 * strong, 16))


def _with_freed(kept: NDArray[np.bool_], freed: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The text's own ink with the digits that taking lines away set free: those that stand in its row and are
    as high as its digits. Where there is no text, what is left of lines makes none."""
    rows = np.flatnonzero(kept.any(axis=1))
    if not rows.size:
        return kept
    top, bottom = int(rows[0]), int(rows[-1]) + 1
    count, labels, stats, _ = cv2.connectedComponentsWithStats(
        (freed & ~kept).astype(np.uint8), connectivity=8
    )
    high = bottom - top
    fit = [
        i
        for i in range(1, count)
        if 0.55 * high < stats[i, 3] < 1.35 * high
        and stats[i, 2] > 0.2 * high
        and min(bottom, stats[i, 1] + stats[i, 3]) - max(top, stats[i, 1]) > 0.6 * stats[i, 3]
    ]
    return np.asarray(kept | np.isin(labels, fit))


def _without_lines(ink: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The ink without straight strokes longer than any digit's that run out of the view: walls, dimension
    lines and door leaves, taken off the digits that they touch or cross."""
    found = cv2.HoughLinesP(ink.astype(np.uint8), 1, np.pi / 180, 45, None, _LONG * _LINE, 0.1 * _LINE)
    lines = [] if found is None else [line for line in found.reshape(-1, 4) if _runs_out(line, ink.shape)]
    if not lines:
        return ink
    left, beside = ink.astype(np.uint8), np.zeros(ink.shape, np.uint8)
    for x1, y1, x2, y2 in lines:
        broad = _breadth(ink, (x1, y1, x2, y2))
        cv2.line(left, (int(x1), int(y1)), (int(x2), int(y2)), 0, broad)
        cv2.line(beside, (int(x1), int(y1)), (int(x2), int(y2)), 1, broad + 5)
    # A digit that the line crossed grows together again over the cut, but not beyond the ink there was.
    mended = cv2.morphologyEx(left, cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8)).astype(bool)
    return _without_slivers(mended & ink, beside.astype(bool))


def _without_slivers(ink: NDArray[np.bool_], beside: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The ink without what a wobbly line left standing along its own course."""
    count, labels = cv2.connectedComponents(ink.astype(np.uint8), connectivity=8)
    area = np.bincount(labels.ravel(), minlength=count)
    sliver = np.bincount(labels[beside], minlength=count) > 0.6 * area
    sliver[0] = True
    return np.asarray(~sliver[labels])


def _runs_out(line: NDArray[np.int32], size: tuple[int, ...]) -> bool:
    """Whether an end of the line lies at the view's rim."""
    rim = 0.12 * _LINE
    ends = line.reshape(2, 2)
    return any(x < rim or y < rim or x > size[1] - rim or y > size[0] - rim for x, y in ends)


def _breadth(ink: NDArray[np.bool_], line: tuple[int, int, int, int]) -> int:
    """How broad a line's stroke is: the median run of ink across it at points along it, in whole pixels."""
    x1, y1, x2, y2 = (float(v) for v in line)
    length = max(float(np.hypot(x2 - x1, y2 - y1)), 1.0)
    across = np.array([-(y2 - y1), x2 - x1]) / length
    spots = np.linspace((x1, y1), (x2, y2), 15)
    steps = np.arange(-8, 9)
    points = spots[:, None] + steps[None, :, None] * across
    xs = np.clip(points[..., 0].round().astype(int), 0, ink.shape[1] - 1)
    ys = np.clip(points[..., 1].round().astype(int), 0, ink.shape[0] - 1)
    return int(np.median(ink[ys, xs].sum(axis=1))) + 2


def _own(ink: NDArray[np.bool_], around: float, sideways: bool) -> NDArray[np.bool_]:
    """The components that are the text's own."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    rim = round(around * _LINE)
    height, width = ink.shape
    core = np.zeros_like(ink)
    core[rim : height - rim, (rim if sideways else 0) : (width - rim if sideways else width)] = True
    inside = np.bincount(labels[core], minlength=count)
    keep = [i for i in range(1, count) if _is_own(stats[i], inside[i], (height, width), sideways)]
    return np.isin(labels, keep)


def _large(ink: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The ink without specks: a faint decimal point must not be painted over."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    large = stats[:count, 2:4].max(axis=1) > 0.2 * _LINE
    large[0] = False
    return np.asarray(large[labels])


def _is_own(stat: NDArray[np.int32], inside: int, size: tuple[int, int], sideways: bool) -> bool:
    x, y, w, h, area = (int(v) for v in stat)
    height, width = size
    if area < 5 or inside < 0.55 * area:
        return False
    at_rim = y <= 0 or y + h >= height or (sideways and (x <= 0 or x + w >= width))
    long_line = (h < 0.22 * _LINE and w > 0.55 * _LINE) or h > 1.55 * _LINE
    return not long_line and not (at_rim and inside < 0.8 * area)


def _cleared(view: Grey, strange: NDArray[np.bool_], kept: NDArray[np.bool_]) -> Grey:
    """The view with the strange ink painted over as paper."""
    wide = cv2.dilate(strange.astype(np.uint8), np.ones((5, 5), np.uint8)).astype(bool)
    near = cv2.dilate(kept.astype(np.uint8), np.ones((3, 3), np.uint8)).astype(bool)
    clear = view.copy()
    clear[wide & ~near] = np.uint8(np.percentile(view, 80))
    return clear


def _part(corners: NDArray[np.float64], size: tuple[int, ...], part: tuple[int, int, int, int]) -> Box:
    """The page corners of a pixel rectangle (left, top, right, bottom) of a view."""
    u = (corners[1] - corners[0]) / size[1]
    v = (corners[3] - corners[0]) / size[0]
    x0, y0, x1, y1 = part
    at = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    a, b, c, d = ((float(q[0]), float(q[1])) for q in (corners[0] + x * u + y * v for x, y in at))
    return (a, b, c, d)


def _edge(kept: NDArray[np.bool_]) -> float:
    rim = np.concatenate([kept[0], kept[-1], kept[:, 0], kept[:, -1]])
    return float(rim.mean())


def _resized(crop: Grey) -> Grey:
    height, width = crop.shape
    size = (max(8, round(width * CROP_HEIGHT / height)), CROP_HEIGHT)
    return np.asarray(cv2.resize(crop, size, interpolation=cv2.INTER_AREA), np.uint8)


def _upright(crop: Grey, quarters: int) -> Grey:
    return _resized(np.ascontiguousarray(np.rot90(crop, quarters))) if quarters % 4 else crop
