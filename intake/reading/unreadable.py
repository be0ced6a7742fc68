"""Pictures that cannot be read, or not to the end: one plain finding each, and no numbers invented."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.reading import OutlineWall, ReadNumber
from intake.reading.readers import Grey

_SMALLEST_SIDE = 800
"""A sheet of A4 that fills a frame this long has digits about 13 pixels high: too few for any reader."""
_LOWEST_DIGITS = 10.0
_PLAN = 5
"""A drawn room with so many numbers is a plan, whether they can be read or not."""
_EVEN = 5.0
_FINE = 0.3
"""Cycles a pixel: a screen's own pixels repeat faster than the harmonics of any ruling in a readable
picture."""
_PEAK, _STRONG = 60.0, 20_000.0
"""How far a screen's frequency stands out of the rest, and its least strength in a patch of 256 by 256
pixels. The squares of graph paper reach 11,000, plain screens 40,000; a screen out of focus is not told."""

_WHITE = 250
_BANDS_AT, _BAND_PATCH = 1600, 160
"""Bands are looked for in patches of the second size of a picture of the first, pixels of its long side."""
_SLOWEST, _FASTEST = 1 / 70, 1 / 9
"""Cycles a pixel of such bands."""
_ALONE, _DEEP = 0.6, 0.005
"""The least share of a patch's unevenness that one wave makes, and its least height, the paper's light being 1."""
_ONE_SIDED, _BARE = -0.2, 75
"""Bands lighten as much as they darken, print that shows through only darkens: the skewness of the patches, at the
percentile that no drawing makes darker, is -.4 and less on four strangers' sheets, 0 and more on 40 drawn screens."""
_DARK, _UNEVEN = 70, 0.08
"""What is darker (of 255) or less even is no paper."""
_BANDED, _FEW = 0.55, 6
"""The least share of patches with bands, and of how many."""

TOO_SMALL = Finding("too-small-to-read", phrase("plan-too-small"))
TINY = Finding("too-small-to-read", phrase("writing-tiny"))
BLANK = Finding("blank-picture", phrase("blank-picture"))
NO_SKETCH = Finding("no-sketch", phrase("no-sketch"))
PAGE_OF_TEXT = Finding("page-of-text", phrase("page-of-text"))
TWO_SKETCHES = Finding("two-sketches", phrase("two-sketches"))
SCREEN = Finding("photo-of-a-screen", phrase("photo-of-a-screen"))
_NARROWEST = 32
"""Pixels of the short side of a picture that may show a plan."""
_MANY_WORDS = 12
"""Words that make a page of text, where there are no walls."""
_SCANNED = 0.4
"""The share of white from which on a page came from a scanning program."""
_PATCHES = 0.2
"""The share of patches with a fine grid that makes a screen."""
_BINS_BESIDE, _NO_POWER = 2.5, 1e-3
"""How many bins of the spectrum beside JPEG's own are passed over, and a guard for an empty one. All were set by
hand, no source."""


def obstacle(rgb: NDArray[np.uint8]) -> Finding | None:
    """What makes reading pointless from the start."""
    if min(rgb.shape[:2]) < _NARROWEST or max(rgb.shape[:2]) < _SMALLEST_SIDE:
        return TOO_SMALL
    small = cv2.resize(rgb, (128, 128), interpolation=cv2.INTER_AREA)
    if float(small.astype(np.float32).std()) < _EVEN:
        return BLANK
    return None


def no_plan(
    walls: Sequence[OutlineWall], numbers: Sequence[ReadNumber], words: Sequence[str], places: int
) -> Finding | None:
    """What the page is where it is no plan that can be read; `places` is how many numbers seem to stand on it."""
    if len(words) >= _MANY_WORDS and len(words) > 2 * len(numbers) and not walls:
        return PAGE_OF_TEXT
    sure = [number for number in numbers if number.confidence > 0.5]
    if len(sure) < 2 or (not walls and len(sure) < 4):
        return TINY if walls and places >= _PLAN else NO_SKETCH
    return None


def tiny_writing(heights: Sequence[float], scale: float) -> bool:
    """Whether the writing is too low to read; heights in page pixels, `scale` page pixels a picture pixel."""
    return len(heights) > 3 and float(np.median(heights)) / min(scale, 1.0) < _LOWEST_DIGITS


def is_screen(rgb: NDArray[np.uint8]) -> bool:
    """Whether several parts of the picture carry a fine regular grid, or most of it the bands that two grids make where
    they beat. How often either is right is in docs/reading.md."""
    grey: Grey = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), np.uint8)
    return (_has_fine_grid(grey) and not _scanned(grey)) or _has_bands(grey)


def _scanned(grey: Grey) -> bool:
    """Whether a scanning program has turned most of the paper white; its dots are as fine as a screen's grid."""
    return float((grey > _WHITE).mean()) > _SCANNED


def _has_fine_grid(grey: Grey) -> bool:
    side = 256
    rows, columns = (np.linspace(0, n - side, 4).astype(int) for n in grey.shape)
    if grey.shape[0] < side or grey.shape[1] < side:
        return False
    patches = [grey[y : y + side, x : x + side] for y in rows for x in columns]
    return bool(np.mean([_fine_grid(patch) for patch in patches]) > _PATCHES)


def _has_bands(grey: Grey) -> bool:
    """Whether most of the paper, its thin strokes and rulings closed up, lightens and darkens evenly, the
    one as much as the other: print that shows through only darkens."""
    size = _BANDS_AT / max(grey.shape)
    small = cv2.resize(grey, None, fx=size, fy=size, interpolation=cv2.INTER_AREA)
    bare = cv2.GaussianBlur(cv2.morphologyEx(small, cv2.MORPH_CLOSE, np.ones((9, 9), np.uint8)), (0, 0), 2)
    level = np.maximum(cv2.GaussianBlur(bare, (0, 0), 25).astype(np.float32), 1)
    light = bare.astype(np.float32) / level - 1
    side = _BAND_PATCH
    corners = [(y, x) for n in (0, side // 2) for y in range(n, bare.shape[0] - side + 1, side)
               for x in range(n, bare.shape[1] - side + 1, side)]  # fmt: skip
    paper = [
        light[y : y + side, x : x + side]
        for y, x in corners
        if level[y : y + side, x : x + side].mean() > _DARK
    ]
    even = [patch for patch in paper if patch.std() < _UNEVEN]
    told = [patch for patch in even if _banded(patch)]
    if len(even) < _FEW or len(told) <= _BANDED * len(even):
        return False
    return float(np.percentile([_skewness(patch) for patch in told], _BARE)) > _ONE_SIDED


def _banded(light: NDArray[np.float32]) -> bool:
    """Whether one slow wave makes most of a patch's unevenness."""
    side = len(light)
    window = np.outer(np.hanning(side), np.hanning(side))
    along = np.fft.fftfreq(side)
    pace = np.hypot(along[:, None], along[None, :])
    power = np.abs(np.fft.fft2((light - light.mean()) * window)) ** 2
    power[(pace < _SLOWEST) | (pace > _FASTEST)] = 0
    y, x = np.unravel_index(int(power.argmax()), power.shape)
    about = np.arange(-2, 3)
    wave = 2 * float(power[np.ix_((y + about) % side, (x + about) % side)].sum())
    deep = 2 * float(np.sqrt(power.max())) / window.sum()
    return wave > _ALONE * float(power.sum()) and deep > _DEEP


def _skewness(light: NDArray[np.float32]) -> float:
    """The skewness of a patch's light: below nothing where it darkens more than it lightens."""
    return float(((light - light.mean()) ** 3).mean()) / max(float(light.std()) ** 3, 1e-12)


def _of_blocks(along: NDArray[np.float64]) -> NDArray[np.bool_]:
    """The frequencies of JPEG's own blocks of 8 by 8 pixels, and their neighbours in the spectrum."""
    eighth = np.abs(along * 8 - np.round(along * 8)) < 8 * _BINS_BESIDE / len(along)
    return np.asarray(eighth[:, None] & eighth[None, :])


def _fine_grid(patch: Grey) -> bool:
    """Whether one fast frequency stands far out of the rest of the spectrum."""
    window = np.hanning(len(patch))
    flat = (patch.astype(np.float32) - patch.mean()) * window[:, None] * window[None, :]
    power = np.abs(np.fft.fft2(flat))
    along = np.fft.fftfreq(len(patch)).astype(np.float64)
    fast = power[(np.hypot(along[:, None], along[None, :]) > _FINE) & ~_of_blocks(along)]
    return bool(fast.max() > _PEAK * max(float(np.median(fast)), _NO_POWER) and fast.max() > _STRONG)
