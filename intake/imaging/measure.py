"""What can be measured of one decoded picture. Numbers only: what they mean is for the rules to say."""

from __future__ import annotations

import math
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from intake.imaging import exif
from intake.imaging.ink import measure_ink
from intake.imaging.jpegtables import estimated_quality
from intake.imaging.pages import OpenedPage

_Grey = npt.NDArray[np.uint8]
Rgb = npt.NDArray[np.uint8]

LEAST_SIDE = 16
WORK_WIDTH = 1000
"""The width at which blur and ink are measured, so that the same picture sent in two sizes measures alike."""
COLOUR_WIDTH = 250
"""The width at which colours and the perceptual hash are measured: neither looks at anything finer."""


def facts_of(page: OpenedPage, image: Image.Image, shown: Rgb, size_in_bytes: int) -> dict[str, Any]:
    """The fields of `PictureFacts` as JSON values. `image` is the page upright, `shown` its sRGB display copy."""
    turned = exif.orientation(page.image) >= 5
    width, height = page.size[::-1] if turned else page.size
    grey, small = at_width(WORK_WIDTH, cv2.cvtColor(shown, cv2.COLOR_RGB2GRAY)), at_width(COLOUR_WIDTH, shown)
    brightness, contrast = mean_and_spread(grey)
    facts: dict[str, Any] = {"width": width, "height": height, "format": page.format}
    facts |= exif.facts_of(page.image, turned)
    facts |= {
        "sharpness": sharpness(grey),
        "brightness": brightness,
        "contrast": contrast,
        "colourfulness": colourfulness(small),
        "quality": estimated_quality(getattr(page.image, "quantization", None)),
        "perceptual_hash": perceptual_hash(Image.fromarray(small)),
    }
    ink = measure_ink(small, grey)
    facts |= {"paper": ink.pop("paper"), "ink": ink.pop("ink")}
    extra = {
        "bytes": float(size_in_bytes),
        "text_characters": float(page.text_characters),
        "scale": width / grey.shape[1],
    }
    facts["extra"] = facts.pop("extra") | extra | {"repeats": repeats(image)} | ink
    return facts


def at_width(most: int, pixels: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    """Grey or RGB at most `most` wide. A smaller picture is not enlarged, for that would invent sharpness; a tracking
    pixel is padded with its own edge, so that it can be measured like the rest."""
    missing = [(0, max(0, LEAST_SIDE - side)) for side in pixels.shape[:2]]
    if any(after for _, after in missing):
        pixels = np.pad(pixels, [*missing, (0, 0)][: pixels.ndim], mode="edge")
    while pixels.shape[1] >= 2 * most:  # by whole halves first, which OpenCV does several times faster
        pixels = cv2.resize(pixels, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    if pixels.shape[1] <= most:
        return pixels
    height = max(1, round(pixels.shape[0] * most / pixels.shape[1]))
    return np.asarray(cv2.resize(pixels, (most, height), interpolation=cv2.INTER_AREA), np.uint8)


def repeats(image: Image.Image) -> float:
    """Share of pixels that equal their left neighbour exactly: high on screens and drawings by computer. Every 32nd
    row tells; only those are copied out of the picture."""
    width, height = image.size
    if width < 2:
        return 0.0
    rows = np.concatenate([np.asarray(image.crop((0, y, width, y + 1))) for y in range(0, height, 32)])
    channels = [rows] if rows.ndim == 2 else cv2.split(rows)
    same = [channel[:, 1:] == channel[:, :-1] for channel in channels]
    return float(np.logical_and.reduce(same).mean())


def mean_and_spread(values: npt.NDArray[Any]) -> tuple[float, float]:
    """Mean and standard deviation of one channel, summed in doubles without a copy in doubles."""
    mean, spread = cv2.meanStdDev(values)
    return float(mean[0, 0]), float(spread[0, 0])


def sharpness(grey: _Grey) -> float:
    """Variance of the Laplacian (Pech-Pacheco et al., "Diatom autofocusing in brightfield microscopy", ICPR 2000)."""
    return mean_and_spread(cv2.Laplacian(grey, cv2.CV_16S))[1] ** 2


_OF_THE_MEAN = 0.3
"""From the paper that `colourfulness` names."""


def colourfulness(rgb: Rgb) -> float:
    """Hasler and Suesstrunk, "Measuring colourfulness in natural images", 2003: sigma_rgyb + 0.3 mu_rgyb."""
    red, green, blue = cv2.split(rgb)
    rg = mean_and_spread(cv2.subtract(red, green, dtype=cv2.CV_16S))
    both = cv2.add(red, green, dtype=cv2.CV_16S)
    yb = mean_and_spread(cv2.scaleAdd(blue.astype(np.int16), -2, both))  # twice the paper's, to stay whole
    return math.hypot(rg[1], yb[1] / 2) + _OF_THE_MEAN * math.hypot(rg[0], yb[0] / 2)


_COSINES = np.cos(
    np.pi / 64 * np.outer(np.arange(8), 2 * np.arange(32) + 1)
)  # DCT-II, the eight lowest of 32


def perceptual_hash(image: Image.Image) -> str:
    """64 bits: the eight by eight lowest cosine terms of a 32 x 32 grey copy, each above their median or not."""
    small = np.asarray(image.convert("L").resize((32, 32), Image.Resampling.LANCZOS), np.float64)
    low = _COSINES @ small @ _COSINES.T
    bits = (low > np.median(low)).flatten()
    return f"{int(''.join('1' if b else '0' for b in bits), 2):016x}"
