"""The page as it is read: what is printed on the paper is not ink."""

from __future__ import annotations

import cv2
import numpy as np

from intake.reading.ink import without_dots


def _dotted() -> np.ndarray:
    """White paper with a grey dot every 30 pixels, a little askew as a photograph has it."""
    page = np.full((1200, 1600), 255, np.uint8)
    for row in range(40):
        for column in range(53):
            x, y = 12 + 30 * column + 0.2 * row, 10 + 30 * row - 0.15 * column
            cv2.circle(page, (round(x), round(y)), 1, 205, -1)
    return page


def _written(page: np.ndarray) -> np.ndarray:
    """A wall and "95.5" on it, the point between four dots of the print."""
    cv2.line(page, (200, 200), (1300, 210), 40, 4)
    cv2.putText(page, "95", (400, 180), cv2.FONT_HERSHEY_SIMPLEX, 1.4, 40, 3)
    cv2.circle(page, (477, 176), 3, 40, -1)
    cv2.putText(page, "5", (490, 180), cv2.FONT_HERSHEY_SIMPLEX, 1.4, 40, 3)
    return page


def test_the_dots_of_dotted_paper_go_and_what_is_written_stays() -> None:
    clean = without_dots(_written(_dotted()))
    ink = _written(np.full((1200, 1600), 255, np.uint8)) < 128
    assert (clean[ink] < 128).mean() > 0.97
    assert (clean[174:179, 475:480] < 128).all(), "the decimal point"
    assert ((clean < 225) & (clean > 128)).sum() < 0.02 * (_dotted() < 225).sum()


def test_paper_without_dots_is_left_as_it_is() -> None:
    rng = np.random.default_rng(1)
    page = _written(np.full((1200, 1600), 255, np.uint8))
    for x, y in rng.integers(5, 1190, (400, 2)):
        cv2.circle(page, (int(x), int(y)), 1, 205, -1)
    assert without_dots(page) is page
