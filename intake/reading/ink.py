"""From a photograph to ink on even paper: the light flattened, the faintest strokes kept.

Everything here works on the page: the picture reduced to a long side of at most `PAGE_SIDE`.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box, Point
from intake.reading.readers import Grey

PAGE_SIDE = 2000
Mask = NDArray[np.bool_]


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
    return Page(flatten(small), np.diag([scale, scale, 1.0]))


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


def _darkness(rgb: NDArray[np.uint8]) -> Grey:
    """Half the luminance, half the darkest channel: blue and red ink then count as much as pencil."""
    luminance = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    return np.asarray(cv2.addWeighted(luminance, 0.5, rgb.min(axis=2), 0.5, 0), np.uint8)
