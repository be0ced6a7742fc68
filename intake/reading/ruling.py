"""Taking the paper's ruling out of a drawing: lined, squared and graph paper.

Ruling repeats at one strength all over the sheet, and a narrow strip across it is mostly ruling wherever a
line runs. So the strip's middle darkness, row by row, is the ruling's; where a wall runs along the strip it
is the wall's too, and no more is taken from that than the ruling's own strength.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Darkness = NDArray[np.float32]
"""Height x width, 0 on bare paper; the sheet's lines run along the axes to within a few degrees."""

_STRIP = 36
_LINES = 7
"""Fewer evenly strong lines than this in a strip are a drawing, not ruling."""


def without_ruling(dark: Darkness) -> Darkness:
    """The darkness with ruling along both axes taken off; where lines cross, one is taken, since ink is no
    darker there."""
    across = _ruling(dark)
    down = np.ascontiguousarray(_ruling(np.ascontiguousarray(dark.T)).T)
    return np.asarray(np.maximum(dark - np.maximum(across, down), 0), np.float32)


def _ruling(dark: Darkness) -> Darkness:
    """The darkness of ruling that runs along x."""
    strips = [dark[:, x : x + _STRIP] for x in range(0, dark.shape[1], _STRIP)]
    profiles = [_profile(strip) for strip in strips]
    strength = _strength(profiles)
    if strength <= 0:
        return np.zeros_like(dark)
    capped = [np.minimum(profile, 1.3 * strength)[:, None] for profile in profiles]
    return np.hstack([np.repeat(c, strip.shape[1], axis=1) for c, strip in zip(capped, strips, strict=True)])


def _profile(strip: Darkness) -> Darkness:
    """The darkness that more than half of each row shares, spread over the neighbouring rows a slant line
    touches."""
    middle = np.percentile(strip, 45, axis=1).astype(np.float32)
    return np.asarray(cv2.dilate(middle[:, None], np.ones((3, 1), np.uint8))[:, 0])


def _strength(profiles: list[Darkness]) -> float:
    """The darkness of the ruling; 0 where too few strips show even lines at even distances."""
    ruled = [profile[at] for profile in profiles if _is_ruled(at := _tops(profile))]
    if len(ruled) < 0.35 * len(profiles):
        return 0.0
    return float(np.median(np.concatenate(ruled)))


def _tops(profile: Darkness) -> NDArray[np.int64]:
    """Where the profile's separate peaks are; the middle of a flat top."""
    high = (profile > max(5.0, 0.3 * float(profile.max()))).astype(int)
    runs = np.flatnonzero(np.diff(np.concatenate([[0], high, [0]])))
    return np.asarray((runs[::2] + runs[1::2] - 1) // 2)


def _is_ruled(tops: NDArray[np.int64]) -> bool:
    """Whether most of the peaks follow one another at one distance or a small multiple of it."""
    if len(tops) < _LINES:
        return False
    apart = np.diff(tops)
    step = float(np.median(apart))
    times = np.maximum(np.round(apart / step), 1)
    return bool(step >= 4 and np.mean(abs(apart - times * step) <= np.maximum(1.5, 0.15 * step)) > 0.7)
