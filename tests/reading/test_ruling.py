"""The kind of paper, on sheets drawn here by lines alone: A4 (ISO 216), ruled as DIN 16552 has it (lines 8 or 10 mm
apart, squares of 5 mm; from memory), turned and seen aslant."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from intake.model.reading import Box, Paper
from intake.reading.ruling import paper_of

PPM = 6
"""Pixels a millimetre."""
ACROSS, DOWN = 210 * PPM, 297 * PPM
WRITTEN: Box = (
    (150.0, 200.0),
    (ACROSS - 150.0, 200.0),
    (ACROSS - 150.0, DOWN - 200.0),
    (150.0, DOWN - 200.0),
)


def sheet(down_mm: float, across_mm: float, degrees: float, seed: int) -> NDArray[np.uint8]:
    """Paper with lines so far apart (0: none), a room's double walls and forty strokes of ink on it, photographed."""
    rng = np.random.default_rng(seed)
    page = np.full((DOWN, ACROSS), 240, np.uint8)
    for step, way in ((down_mm, 0), (across_mm, 1)):
        for at in np.arange(12 * PPM, (DOWN, ACROSS)[way], step * PPM) if step else ():
            page[(slice(int(at), int(at) + 2), slice(None))[:: 1 - 2 * way]] = 200
    for inset in (260, 280):
        cv2.rectangle(page, (inset, inset), (ACROSS - inset, DOWN - inset), 60, 4)
    for _ in range(40):
        x, y = rng.integers(200, ACROSS - 300), rng.integers(220, DOWN - 300)
        cv2.ellipse(page, (int(x), int(y)), (14, 22), int(rng.integers(180)), 0, 300, 50, 4)
    turn = cv2.getRotationMatrix2D((ACROSS / 2, DOWN / 2), degrees, 1.0)
    aslant = np.vstack([turn, [2e-5, 3e-5, 1]])
    seen = cv2.warpPerspective(page, aslant, (ACROSS, DOWN), borderMode=cv2.BORDER_REFLECT)
    noisy = cv2.GaussianBlur(seen, (0, 0), 1.0) * np.linspace(0.75, 1.0, ACROSS) + rng.normal(
        0, 2, seen.shape
    )
    return np.asarray(cv2.cvtColor(np.clip(noisy, 0, 255).astype(np.uint8), cv2.COLOR_GRAY2RGB), np.uint8)


@pytest.mark.parametrize("degrees", [0.0, 4.0, 91.0])
@pytest.mark.parametrize(
    ("down_mm", "across_mm", "paper"),
    [(0, 0, Paper.PLAIN), (8, 0, Paper.LINED), (10, 0, Paper.LINED), (5, 5, Paper.SQUARED)],
)
def test_rulings_are_told(down_mm: float, across_mm: float, paper: Paper, degrees: float) -> None:
    assert paper_of(sheet(down_mm, across_mm, degrees, 7), [WRITTEN]) is paper


def test_nothing_is_told_where_nothing_is_written() -> None:
    assert paper_of(sheet(5, 5, 0.0, 8), []) is Paper.OWN
