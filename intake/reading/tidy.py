"""One line of writing cut out of the page: cleared of all ink that is not writing and of its neighbours', and drawn
in tight.

A reader of single lines does best with the digits filling the crop, so a found box is only where to start.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box
from intake.reading.crops import CROP_HEIGHT, stretched, turned
from intake.reading.line_parts import sub_box
from intake.reading.readers import Grey
from intake.reading.sorter import Ink, Sorted

_LINE = 72
"""Pixels a found box is made high while it is looked at."""
_AROUND = 0.35
_BEYOND, _CLOSE, _MOST = 2.5, 0.22, 3
"""How far beyond a box's ends more signs are looked for, how close they stand to be its own (both in heights), and how
many."""
_MARGIN = 0.22
_WRITTEN = 50
"""Share (of 255) from which on ink counts as writing."""
_LEAST_INK = 12
"""Pixels of ink of which something can be read."""
_ABOVE, _BELOW = 0.1, 1.3
"""How far over and under a line, in its heights, the middle of a sign of it may lie."""
_A_SIGN, _SPECK, _SPARE = 0.4, 0.2, 0.05
"""Heights from which on a mark is a sign and no point, and no speck, and the room left behind a sign."""
_SHARE_KEPT = 1.5
"""How many times the sorter's share of writing is kept of the ink, up to all of it."""
_LINES_WITHIN, _LINES_AT, _LONG_LINE, _DIRECTIONS = 2.0, 24, 1.8, 24
"""How far round a number lines are followed, in its heights; how high it is made for that, in pixels; how long they are
at least, in its heights; and in how many directions they are sought."""
_SOFT_PX, _DARK = 0.8, 0.42
"""The blur before ink is told from paper, and the share of the darkest from which on it is ink. All were set by
hand, no source."""


@dataclass(frozen=True)
class Cutting:
    """A tight box (clockwise from the text's own top left, page pixels) with its clean crop, `CROP_HEIGHT`
    high.

    `found` is the box it was made from.
    """

    box: Box
    crop: Grey
    found: Box

    def between(self, low: float, high: float) -> Cutting:
        """What lies between two shares of its width, cut no tighter."""
        width = self.crop.shape[1]
        first, last = round(low * width), round(high * width)
        box = sub_box(self.box, (low, high), 0.0)
        return Cutting(box, np.ascontiguousarray(self.crop[:, first : max(last, first + 1)]), box)

    def turned(self, quarters: int) -> Cutting:
        box, found = turned(self.box, quarters), turned(self.found, quarters)
        return Cutting(box, _upright(self.crop, quarters), found)


def writing_alone(flat: Grey, ink: Sorted) -> Grey:
    """The page with everything but writing painted over as paper: walls, dimension lines, furniture, ruling, desk."""
    written = cv2.dilate((ink.kinds[Ink.WRITING] > _WRITTEN).astype(np.uint8), np.ones((3, 3), np.uint8))
    kept = cv2.resize(written, (flat.shape[1], flat.shape[0]), interpolation=cv2.INTER_LINEAR)
    return np.where(kept > 0, flat, np.uint8(255))


def cleared(flat: Grey, ink: Sorted, boxes: Sequence[Box]) -> Grey:
    """The page with its writing alone as faint as the sorter is unsure of it, and round each of the boxes without what
    is darkest along a straight line longer than a digit: ruling, dimension lines and arrows through a number."""
    share = cv2.resize(ink.kinds[Ink.WRITING], flat.shape[::-1], interpolation=cv2.INTER_LINEAR)
    dark = cv2.multiply(255 - flat, share, scale=_SHARE_KEPT / 255)
    for box in boxes:
        part = _round(box, flat.shape)
        dark[part] = cv2.subtract(dark[part], _long_lines(255 - flat[part], box))
    return np.asarray(255 - dark, np.uint8)


def _round(box: Box, shape: tuple[int, ...]) -> tuple[slice, slice]:
    """The part of a page that lies within two of a box's heights of it."""
    corners = np.asarray(box)
    room = _LINES_WITHIN * float(np.hypot(*(corners[3] - corners[0])))
    left, top = np.maximum(corners.min(axis=0) - room, 0).astype(int)
    right, bottom = np.minimum(corners.max(axis=0) + room + 1, shape[1::-1]).astype(int)
    return slice(top, bottom), slice(left, right)


def _long_lines(dark: Grey, box: Box) -> Grey:
    """How dark each pixel is along the darkest straight line through it that is longer than the box is high: a grey
    opening by lines of every direction."""
    high = float(np.hypot(*np.subtract(box[3], box[0])))
    scale = min(1.0, _LINES_AT / max(high, 1.0))
    small = cv2.resize(
        cv2.GaussianBlur(dark, (3, 3), 0), None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA
    )
    found = np.zeros_like(small)
    for line in _straight(round(_LONG_LINE * high * scale)):
        found = np.maximum(found, cv2.morphologyEx(small, cv2.MORPH_OPEN, line))
    return np.asarray(cv2.resize(found, dark.shape[::-1], interpolation=cv2.INTER_LINEAR), np.uint8)


@lru_cache(maxsize=64)
def _straight(length: int) -> tuple[Grey, ...]:
    """Straight lines of a length in pixels, in every direction."""
    half = (length + 1) // 2
    lines = []
    for turn in np.arange(_DIRECTIONS) * np.pi / _DIRECTIONS:
        x, y = round(half * np.cos(turn)), round(half * np.sin(turn))
        line = np.zeros((2 * half + 1, 2 * half + 1), np.uint8)
        lines.append(cv2.line(line, (half - x, half - y), (half + x, half + y), (1,)))
    return tuple(lines)


def tidy(page: Grey, box: Box) -> Cutting:
    """The ink in `box` of a page that bears writing alone, cut tight, its neighbours' painted out."""
    view, corners = _view(page, box)
    ink = _ink(view)
    kept = _own(ink)
    if kept.sum() < _LEAST_INK:
        return Cutting(box, _resized(stretched(view)), box)
    return _tight(view, corners, ink, kept, box)


def with_touching(page: Grey, box: Box) -> Cutting | None:
    """As `tidy`, but with what lies in the box of signs that reach far out of it, cut off at its edge: a digit that
    touches the writing beside it. None where there is none as high as a sign."""
    view, corners = _view(page, box)
    ink = _ink(view)
    kept, rim = _own(ink), round(_AROUND * _LINE)
    inside = np.zeros_like(ink)
    inside[rim:-rim, rim:-rim] = (ink & ~kept)[rim:-rim, rim:-rim]
    count, labels, stats, _ = cv2.connectedComponentsWithStats(inside.astype(np.uint8), connectivity=8)
    signs = stats[:count, cv2.CC_STAT_HEIGHT] > _A_SIGN * _LINE
    signs[0] = False
    touching = signs[labels]
    return _tight(view, corners, ink, kept | touching, box) if touching.any() else None


def _tight(
    view: Grey, corners: NDArray[np.float64], ink: NDArray[np.bool_], kept: NDArray[np.bool_], box: Box
) -> Cutting:
    """The ink of a view that is `kept`, cut tight, the rest of it painted out."""
    ys, xs = np.flatnonzero(kept.any(axis=1)), np.flatnonzero(kept.any(axis=0))
    tight = (int(xs[0]), int(ys[0]), int(xs[-1]) + 1, int(ys[-1]) + 1)
    crop = _cut(_cleared(view, _large(ink & ~kept), kept), tight)
    return Cutting(_part(corners, view.shape, tight), _resized(stretched(crop)), box)


def _cut(view: Grey, tight: tuple[int, int, int, int]) -> Grey:
    """The tight rectangle with its margin; what lies beyond the view is paper."""
    left, top, right, bottom = tight
    grow = max(2, round(_MARGIN * (bottom - top)))
    paper = float(np.percentile(view, 80))
    wide = cv2.copyMakeBorder(view, grow, grow, grow, grow, cv2.BORDER_CONSTANT, value=(paper,))
    return np.asarray(wide[top : bottom + 2 * grow, left : right + 2 * grow], np.uint8)


def reaches(page: Grey, box: Box) -> tuple[list[float], list[float]]:
    """How far the box would have to reach out before its start and after its end, in its heights, to take in one, two,
    three more signs that stand close to what it holds; empty where nothing stands close."""
    view, _ = _view(page, box, _BEYOND)
    left, right, high = _on_line(view).T
    start = round(_BEYOND * _LINE)
    end = view.shape[1] - start
    before = np.stack([start - right, start - left, high], axis=1)
    after = np.stack([left - end, right - end, high], axis=1)
    return _chain(before), _chain(after)


_APART, _TOGETHER = 1.0, 0.35
"""How far behind a number a mark stands that may be of it, and how near the signs of such a mark stand, in heights."""
_NARROWEST, _WIDEST, _HIGH = 0.25, 1.7, 0.5
"""How wide such a mark is, and how high at least, in heights."""
_GAP, _EDGE = 0.15, 0.2
"""The gap left before it, and the paper left at the ends. All were set by hand on eleven sheets, no source."""


def with_gap_closed(page: Grey, box: Box) -> Cutting | None:
    """The box with the mark that stands apart behind it on its line moved up to it; None where no such mark stands."""
    view, corners = _view(page, box, _BEYOND)
    end = view.shape[1] - round(_BEYOND * _LINE)
    mark = _mark_behind(_on_line(view), end)
    if mark is None:
        return None
    edge = round(_EDGE * _LINE)
    before = view[:, round(_BEYOND * _LINE) - edge : end]
    gap = np.full((view.shape[0], round(_GAP * _LINE)), 255, np.uint8)
    crop = np.hstack([before, gap, view[:, mark[0] : mark[1] + edge]])
    rim = round(_AROUND * _LINE)
    whole = _part(corners, view.shape, (round(_BEYOND * _LINE), rim, mark[1], view.shape[0] - rim))
    return Cutting(whole, _resized(stretched(crop)), whole)


def _mark_behind(signs: NDArray[np.int32], end: int) -> tuple[int, int] | None:
    """Where the first group of signs behind an end begins and stops; `signs` are rows of left, right, height."""
    behind = sorted((int(a), int(b), int(h)) for a, b, h in signs if a >= end - _SPARE * _LINE)
    if not behind or behind[0][0] - end > _APART * _LINE:
        return None
    first, last, high = behind[0]
    for left, right, tall in behind[1:]:
        if left - last > _TOGETHER * _LINE:
            break
        last, high = max(last, right), max(high, tall)
    fits = _NARROWEST * _LINE < last - first < _WIDEST * _LINE and high > _HIGH * _LINE
    return (first, last) if fits else None


def _on_line(view: Grey) -> NDArray[np.int32]:
    """The signs of a view that stand on the line of its box: left, right, height."""
    count, _, stats, _ = cv2.connectedComponentsWithStats(_ink(view).astype(np.uint8), connectivity=8)
    left, top, wide, high, area = stats[1:count].T
    middle = top + high / 2
    rim = round(_AROUND * _LINE)
    on = (area >= 5) & (middle > rim - _ABOVE * _LINE) & (middle < rim + _BELOW * _LINE)
    return np.asarray(np.stack([left, left + wide, high], axis=1)[on])


def _chain(signs: NDArray[np.int32]) -> list[float]:
    """How far signs (rows of near, far and height, in pixels beyond an end) reach, one by one, while each stands close
    to the one before. A point or comma is a link, but no sign by itself."""
    found: list[float] = []
    end = 0
    for near, far, tall in sorted((int(n), int(f), int(h)) for n, f, h in signs):
        if near + far <= 0 or far <= end:
            continue
        if near - end > _CLOSE * _LINE or len(found) == _MOST:
            break
        end = far
        if tall > _A_SIGN * _LINE:
            found.append(far / _LINE + _SPARE)
    return found


def _view(page: Grey, box: Box, beyond: float = _AROUND) -> tuple[Grey, NDArray[np.float64]]:
    """The box with room around it (`beyond` its ends), upright, and the corners of that view on the page."""
    p = np.asarray(box, np.float64)
    along, down = p[1] - p[0], p[3] - p[0]
    high = max(float(np.hypot(*down)), 2.0)
    u, v = along / max(float(np.hypot(*along)), 1e-6), down / high
    a, b = u * beyond * high, v * _AROUND * high
    corners = np.asarray([p[0] - a - b, p[1] + a - b, p[2] + a + b, p[3] - a + b])
    width = max(8, round(_LINE * float(np.hypot(*(corners[1] - corners[0]))) / high))
    height = round(_LINE * (1 + 2 * _AROUND))
    target = np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float32)
    turn = cv2.getPerspectiveTransform(corners.astype(np.float32), target)
    view = cv2.warpPerspective(page, turn, (width, height), flags=cv2.INTER_LINEAR, borderValue=255)
    return np.asarray(view, np.uint8), corners


def _ink(view: Grey) -> NDArray[np.bool_]:
    dark = 255 - cv2.GaussianBlur(view, (0, 0), _SOFT_PX).astype(np.float32)
    strong = float(np.percentile(dark, 98))
    return np.asarray(dark > max(_DARK * strong, 16))


def _own(ink: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The components that lie mostly in the box itself."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    rim = round(_AROUND * _LINE)
    core = np.zeros_like(ink)
    core[rim:-rim, rim:-rim] = True
    inside = np.bincount(labels[core], minlength=count)
    keep = (stats[:, cv2.CC_STAT_AREA] >= 5) & (inside >= 0.5 * stats[:, cv2.CC_STAT_AREA])
    keep[0] = False
    return np.asarray(keep[labels])


def _large(ink: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The ink without specks: a faint decimal point must not be painted over."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    large = stats[:count, 2:4].max(axis=1) > _SPECK * _LINE
    large[0] = False
    return np.asarray(large[labels])


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


def _resized(crop: Grey) -> Grey:
    height, width = crop.shape
    size = (max(8, round(width * CROP_HEIGHT / height)), CROP_HEIGHT)
    return np.asarray(cv2.resize(crop, size, interpolation=cv2.INTER_AREA), np.uint8)


def _upright(crop: Grey, quarters: int) -> Grey:
    return _resized(np.ascontiguousarray(np.rot90(crop, quarters))) if quarters % 4 else crop
