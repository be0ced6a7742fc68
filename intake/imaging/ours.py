"""Pictures of our own making, opened outside the cell: what is cut out of them for letters, and small logos."""

from __future__ import annotations

import io
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from intake.model.reading import Box

CROP_HEIGHT = 120
"""Pixels; enough to read a number on a phone without making the letter heavy."""
PIECE_HEIGHT = 260
"""Pixels of a piece of a sketch with an opening in it, on the desk and in letters (by eye)."""
CROP_MARGIN = 0.6
CROP_ENDS = 1.2
"""Paper shown above and beside a number, in heights of its box: a digit is read by its neighbours."""
LOGO = (480, 160)
"""Pixels at most, twice as many as a letter shows it with."""


def rgb_of(jpeg: bytes) -> NDArray[np.uint8]:
    """The pixels (height, width, 3) of a JPEG of our own making."""
    return np.asarray(Image.open(io.BytesIO(jpeg)).convert("RGB"))


@lru_cache(maxsize=1)
def grey_of(jpeg: bytes) -> NDArray[np.uint8]:
    """The grey pixels (height, width) of a JPEG of our own making. The last picture is kept: the numbers of one plan
    are cut out one after another."""
    picture = Image.open(io.BytesIO(jpeg))
    picture.draft("L", picture.size)
    return np.asarray(picture.convert("L"))


def small(jpeg: bytes) -> bytes:
    """A JPEG of our own making, no larger than LOGO."""
    picture, out = Image.open(io.BytesIO(jpeg)).convert("RGB"), io.BytesIO()
    picture.thumbnail(LOGO)
    picture.save(out, "JPEG", quality=88)
    return out.getvalue()


def piece(pixels: NDArray[np.uint8], box: Box) -> bytes:
    """A grey PNG of what of the box lies in the picture (height, width), PIECE_HEIGHT high; at least a pixel's edge."""
    height, width = pixels.shape[:2]
    low = np.clip(np.floor(np.min(box, axis=0)), 0, (width - 1, height - 1)).astype(int)
    high = np.clip(np.ceil(np.max(box, axis=0)), low + 1, (width, height)).astype(int)
    cut = Image.fromarray(pixels[low[1] : high[1], low[0] : high[0]])
    out, wide = io.BytesIO(), max(round(cut.width * PIECE_HEIGHT / max(cut.height, 1)), 1)
    cut.resize((wide, PIECE_HEIGHT), Image.Resampling.LANCZOS).save(out, "PNG")
    return out.getvalue()


def cut_out(pixels: NDArray[np.uint8], box: Box) -> bytes:
    """A grey PNG of the box with a margin, turned so that its text runs to the right.

    `pixels`: (height, width), or (height, width, 3).
    """
    corners = np.array(box, dtype=np.float32)
    across, down = corners[1] - corners[0], corners[3] - corners[0]
    width, height = float(np.hypot(*across)), float(np.hypot(*down))
    margin, ends = CROP_MARGIN * max(height, 1.0), CROP_ENDS * max(height, 1.0)
    scale = CROP_HEIGHT / (height + 2 * margin)
    size = (max(int((width + 2 * ends) * scale), 1), CROP_HEIGHT)
    right, under = across / max(width, 1.0) * ends, down / max(height, 1.0) * margin
    origin = corners[0] - right - under
    source = np.array([origin, corners[1] + right - under, corners[3] - right + under], dtype=np.float32)
    target = np.array([[0, 0], [size[0], 0], [0, size[1]]], dtype=np.float32)
    turned = cv2.warpAffine(
        pixels,
        cv2.getAffineTransform(source, target),
        size,
        flags=cv2.INTER_AREA,
        borderMode=cv2.BORDER_REPLICATE,
    )
    out = io.BytesIO()
    Image.fromarray(turned).convert("L").save(out, "PNG")
    return out.getvalue()
