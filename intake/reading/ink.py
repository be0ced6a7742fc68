"""From a photograph to ink on even paper: the light flattened, the faintest strokes kept.

Everything here works on the page: the picture reduced to a long side of at most `PAGE_SIDE`.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from intake.model.reading import Box, Point
from intake.reading.readers import Grey

PAGE_SIDE = 2000
_LIKE_DOTS = 1.6
"""How much darker than most printed dots a dot may be."""
_UPRIGHT, _STRAIGHT = 0.2, 0.95
"""Cosines of directions that count as square to each other, and as straight on."""
_EVENLY, _NEAR_PITCH = 1.18, 0.35
"""How far the distances of a dot's two neighbours, and of dots from that of most, may be out. All five were set by
hand, no source."""


@dataclass(frozen=True)
class Page:
    """The picture as it is read. `flat`: paper near 255, ink dark, in page pixels. `to_page` maps picture
    pixels to page pixels as a 3 x 3 matrix."""

    flat: Grey
    to_page: NDArray[np.float64]

    def box_in_picture(self, box: Box) -> Box:
        a, b, c, d = self.in_picture(box)
        return (a, b, c, d)

    def on_page(self, points: tuple[Point, ...]) -> NDArray[np.float64]:
        return np.asarray(cv2.perspectiveTransform(np.asarray([points], np.float64), self.to_page)[0])

    def in_picture(self, points: tuple[Point, ...]) -> list[Point]:
        back = np.linalg.inv(self.to_page)
        moved = cv2.perspectiveTransform(np.asarray([points], np.float64), back)[0]
        return [(float(x), float(y)) for x, y in moved]


def page_of(rgb: NDArray[np.uint8]) -> Page:
    """The picture (uint8, height x width x 3) at page size with its light flattened."""
    scale = min(1.0, PAGE_SIDE / max(rgb.shape[:2]))
    small = cv2.resize(rgb, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else rgb
    return Page(without_dots(flatten(small)), np.diag([scale, scale, 1.0]))


def flatten(rgb: NDArray[np.uint8]) -> Grey:
    """Grey where the paper is 255 whatever the light, and ink of any colour is dark.

    Each pixel is divided by the paper around it: the local maximum, smoothed, at an eighth of the size.
    """
    grey = _darkness(rgb)
    small = cv2.resize(grey, None, fx=1 / 8, fy=1 / 8, interpolation=cv2.INTER_AREA)
    paper = cv2.medianBlur(cv2.dilate(small, np.ones((5, 5), np.uint8)), 15)
    paper = cv2.resize(paper, (grey.shape[1], grey.shape[0]), interpolation=cv2.INTER_LINEAR)
    even = grey.astype(np.float32) * 255 / np.maximum(paper.astype(np.float32), 20)
    return np.asarray(np.clip(even, 0, 255), np.uint8)


_DOT, _DOT_SHADE = 0.006, 225
"""A printed dot is at most this wide and high, in long sides of the page, and darker than this."""
_FEWEST_DOTS, _ON_GRID = 200, 0.4
"""So many dots, and this share of all small specks with neighbours as a grid has them, make a paper dotted."""


def without_dots(flat: Grey) -> Grey:
    """The page without the dots of dotted paper: small specks that have neighbours as far apart as one another,
    straight on or square to each other. A decimal point stands anywhere, and is larger or darker than the print."""
    _, _, stats, middles = cv2.connectedComponentsWithStats(
        (flat < _DOT_SHADE).astype(np.uint8), connectivity=8
    )
    most = _DOT * max(flat.shape)
    small = np.flatnonzero((stats[:, 2] <= most) & (stats[:, 3] <= most) & (stats[:, 4] >= 3))
    if len(small) < _FEWEST_DOTS:
        return flat
    printed = small[_on_a_grid(middles[small])]
    if len(printed) < max(_FEWEST_DOTS, _ON_GRID * len(small)):
        return flat
    shades = np.array([_darkest(flat, stats[i]) for i in printed])
    usual, area = float(np.median(shades)), float(np.median(stats[printed, 4]))
    clean = flat.copy()
    for i, shade in zip(printed, shades, strict=True):
        if stats[i, 4] <= 2.0 * area and 255 - shade <= _LIKE_DOTS * (255 - usual):
            x, y, w, h = (int(v) for v in stats[i, :4])
            clean[max(y - 2, 0) : y + h + 2, max(x - 2, 0) : x + w + 2] = 255
    return clean


def _darkest(flat: Grey, stats: NDArray[np.int32]) -> int:
    x, y, w, h = (int(v) for v in stats[:4])
    return int(flat[y : y + h, x : x + w].min())


def _on_a_grid(points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which points (n x 2) have two neighbours at one distance, straight on or square to each other, the distance being
    near that of most."""
    apart, near = cKDTree(points).query(points, k=5)
    ways = (points[near[:, 1:]] - points[:, None]) / np.maximum(apart[:, 1:, None], 1e-9)
    turned = np.einsum("ij,ikj->ik", ways[:, 0], ways[:, 1:])
    square = (np.abs(turned) < _UPRIGHT) | (turned < -_STRAIGHT)
    paired = np.asarray((square & (apart[:, 2:] < _EVENLY * apart[:, 1:2])).any(axis=1), np.bool_)
    if not paired.any():
        return paired
    pitch = float(np.median(apart[paired, 1]))
    return np.asarray(paired & (np.abs(apart[:, 1] / max(pitch, 1e-9) - 1.0) < _NEAR_PITCH))


def _darkness(rgb: NDArray[np.uint8]) -> Grey:
    """Half the luminance, half the darkest channel: blue and red ink then count as much as pencil."""
    luminance = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    return np.asarray(cv2.addWeighted(luminance, 0.5, rgb.min(axis=2), 0.5, 0), np.uint8)
