"""Cutting one number out of the page, upright."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.reading import Box
from intake.reading.readers import Grey

CROP_HEIGHT = 64
"""Pixels high (set by hand)."""


def cut(flat: Grey, box: Box, margin: float = 0.12, stretch: bool = True) -> Grey:
    """The box (clockwise from the text's own top left) as an upright crop `CROP_HEIGHT` high.

    `margin` is added all round, in heights of the box. What lies outside the page is paper.
    """
    corners = np.asarray(widened(box, margin), np.float32)
    across = float(np.linalg.norm(corners[1] - corners[0]))
    down = float(np.linalg.norm(corners[3] - corners[0]))
    width = max(8, round(CROP_HEIGHT * across / max(down, 1.0)))
    target = np.array([(0, 0), (width, 0), (width, CROP_HEIGHT), (0, CROP_HEIGHT)], np.float32)
    turn = cv2.getPerspectiveTransform(corners, target)
    crop = cv2.warpPerspective(flat, turn, (width, CROP_HEIGHT), flags=cv2.INTER_AREA, borderValue=255)
    return stretched(crop) if stretch else crop


_INK_PERCENT, _LEAST_CONTRAST = 1.5, 12
"""The percentile of a crop that is its ink, and grey levels between ink and paper below which there is none (set by
hand, no source)."""


def stretched(crop: Grey) -> Grey:
    """The crop with its darkest ink at black and its paper at white, so that faint pencil reads like felt
    tip."""
    dark, paper = np.percentile(crop, (_INK_PERCENT, 80))
    if paper - dark < _LEAST_CONTRAST:
        return crop
    even = (crop.astype(np.float32) - dark) * 255 / (paper - dark)
    return np.asarray(np.clip(even, 0, 255), np.uint8)


def widened(box: Box, margin: float) -> list[tuple[float, float]]:
    """The box with `margin` heights of it added on all four sides."""
    p = np.asarray(box, np.float64)
    along, down = _unit(p[1] - p[0]), _unit(p[3] - p[0])
    grow = margin * float(np.linalg.norm(p[3] - p[0]))
    moves = (-along - down, along - down, along + down, -along + down)
    return [(float(x), float(y)) for x, y in (q + grow * m for q, m in zip(p, moves, strict=True))]


def turned(box: Box, quarters: int) -> Box:
    """The same rectangle with its text taken to start `quarters` corners further clockwise."""
    q = quarters % 4
    a, b, c, d = box[q:] + box[:q]
    return (a, b, c, d)


def _unit(v: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(v / max(float(np.linalg.norm(v)), 1e-6))
