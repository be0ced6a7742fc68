"""The marks that writing is made of: its connected pieces of ink."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from intake.reading.readers import Grey

_SPECK = 0.006
"""The ink of a sign, in squares of the crop's height."""
_SOFT_PX, _DARK, _DARKEST = 0.8, 0.42, 99
"""The blur before ink is told from paper, and the share of the darkest (that percentile) from which on it is ink. All
were set by hand, no source."""


@dataclass(frozen=True)
class InkMark:
    """A connected piece of ink: its left, right, top and bottom in pixels of the crop."""

    left: float
    right: float
    top: float
    bottom: float

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2

    def share(self, y: float) -> float:
        """How far down it a height lies, 0 at its top and 1 at its bottom."""
        return (y - self.top) / max(self.height, 1.0)


def marks(crop: Grey) -> list[InkMark]:
    """The pieces of ink but for specks, from left to right."""
    dark = 255 - cv2.GaussianBlur(crop, (0, 0), _SOFT_PX).astype(np.float32)
    ink = (dark > _DARK * np.percentile(dark, _DARKEST)).astype(np.uint8)
    _, _, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    sizes = (map(float, row[:4]) for row in stats[1:] if row[4] >= _SPECK * crop.shape[0] ** 2)
    return sorted((InkMark(x, x + w, y, y + h) for x, y, w, h in sizes), key=lambda mark: mark.middle)
