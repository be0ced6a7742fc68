"""The truth of rendered sketches: closed, adding up, inside the picture, and really under the ink."""

from __future__ import annotations

import json
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
import pytest
from shapely.geometry import Polygon

from fixtures.hands import hands
from fixtures.sketches import SPLITS, Sketch, render
from fixtures.sketches.style import split_of

CASES = [(seed, split) for seed in range(4) for split in SPLITS]


@lru_cache(maxsize=len(CASES))
def sketch(seed: int, split: str) -> Sketch:
    """Drawn in hands that need no downloaded font or data, so that it also runs on a bare machine."""
    strokes = [hand for hand in hands(split) if hand.kind == "strokes"]
    return render(seed, split, slips=0, long_side=1600, hand=strokes[seed])


@pytest.mark.parametrize(("seed", "split"), CASES)
def test_the_outline_is_a_valid_polygon_numbered_clockwise_from_the_top_left(seed: int, split: str) -> None:
    walls = sketch(seed, split).truth["outline"]["walls"]
    corners = [wall["from"] for wall in walls]
    assert [wall["to"] for wall in walls] == corners[1:] + corners[:1]
    # Polygon validity by OGC simple features, as shapely (GEOS) judges it.
    polygon = Polygon(corners)
    assert polygon.is_valid and not polygon.exterior.is_ccw is True
    nearest = min(range(len(corners)), key=lambda i: float(np.hypot(*corners[i])))
    assert nearest == 0
