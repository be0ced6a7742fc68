"""The seventh drawer's plans: repeatable, labelled as drawn, and their sums hold."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from typing import Any

import cv2
import numpy as np
import pytest

from fixtures.other_plans.seventh import seventh_plan
from fixtures.sketches import Sketch
from fixtures.training.sorter_pages import sorted_page
from intake.model.reading import Role
from intake.reading.sorter import Ink

SEEDS = (0, 1, 2, 5, 8, 16)


@cache
def plan(seed: int) -> Sketch:
    return seventh_plan(seed, "validation")


def labels(truth: dict[str, Any]) -> list[Any]:
    """Every line of writing's box, once."""
    phrases = {str(n["phrase_box"]): n["phrase_box"] for n in truth["numbers"]}
    return [np.array(box) for box in [*phrases.values(), *(w["box"] for w in truth["words"])]]


def test_the_same_seed_gives_the_same_sheet_and_another_split_another() -> None:
    again = seventh_plan(2, "validation")
    assert np.array_equal(plan(2).image, again.image) and plan(2).jpeg == again.jpeg
    assert plan(2).truth == again.truth and plan(2).style == again.style
    assert not np.array_equal(plan(2).image, seventh_plan(2, "training").image)


def test_an_unknown_split_is_refused() -> None:
    with pytest.raises(ValueError):
        seventh_plan(0, "held")


@pytest.mark.parametrize("seed", SEEDS)
def test_walls_run_clockwise_from_the_top_left_and_stretches_lie_on_their_walls(seed: int) -> None:
    truth = plan(seed).truth
    walls = truth["outline"]["walls"]
    corners = np.array([w["from"] for w in walls])
    assert cv2.contourArea(corners.astype(np.float32), True) > 0
    assert np.argmin(np.hypot(*corners.T)) == 0
    near = 0.012 * np.hypot(truth["image"]["width"], truth["image"]["height"])
    for number in truth["numbers"]:
        if number["wall"] is None:
            continue
        start, end = (np.array(walls[number["wall"]][k]) for k in ("from", "to"))
        along = (end - start) / np.hypot(*(end - start))
        stretch = np.array(number["stretch"])
        assert (stretch[1] - stretch[0]) @ along > 0, number["text"]
        assert np.abs((stretch - start) @ np.array([-along[1], along[0]])).max() < near, number["text"]


@pytest.mark.parametrize("seed", SEEDS)
def test_no_writing_overlaps_and_all_of_it_lies_in_its_boxes(seed: int) -> None:
    sketch = plan(seed)
    boxes = labels(sketch.truth)
    for one, other in combinations(boxes, 2):
        shared, _ = cv2.intersectConvexConvex(one.astype(np.float32), other.astype(np.float32))
        assert shared < 30
    assert sketch.kinds is not None
    written = sketch.kinds == Ink.WRITING
    inside = np.zeros(written.shape, np.uint8)
    for box in boxes:
        cv2.fillPoly(inside, [np.round(box).astype(np.int32)], (1,))
    near = cv2.dilate(inside, np.ones((25, 25), np.uint8)) > 0
    assert (written & ~near).sum() < 0.01 * written.sum()
    assert set(np.unique(sketch.kinds)) >= {Ink.NONE, Ink.WALL, Ink.OPENING, Ink.WRITING}


@pytest.mark.parametrize("seed", SEEDS)
def test_a_clean_sheets_sums_hold(seed: int) -> None:
    """A tape read to 5 mm with noise of at most 4 mm errs by less than 7 mm; a wall's pieces add up to within 15 mm."""
    truth = plan(seed).truth
    told: dict[int, dict[Any, int]] = {}
    for number in truth["numbers"]:
        if number["wall"] is not None and number["role"] in (Role.SECTION, Role.OPENING, Role.OVERALL):
            told.setdefault(number["wall"], {})[number["piece"]] = number["meant_mm"]
        assert abs(number["meant_mm"] - number["true_mm"]) < 7
    for wall in truth["outline"]["walls"]:
        lengths = told[wall["wall"]]
        overall = lengths.pop(None, None)
        assert len(lengths) == len(wall["pieces"])
        assert overall is None or abs(sum(lengths.values()) - overall) <= 15


@pytest.mark.parametrize("seed", SEEDS)
def test_the_rooms_close(seed: int) -> None:
    """Walls along the sheet add up to nothing both ways."""
    walls = plan(seed).truth["outline"]["walls"]
    sums = dict.fromkeys("ENWS", 0)
    if any(w["direction"] == "other" for w in walls):
        return
    for wall in walls:
        sums[wall["direction"]] += sum(mm for _, mm in wall["pieces"])
    assert sums["E"] == sums["W"] and sums["N"] == sums["S"]


def test_the_sorters_training_takes_them() -> None:
    for seed in SEEDS[:3]:
        sketch = plan(seed)
        page = sorted_page(sketch)
        figures = [
            w for w in sketch.truth["words"] if not w["struck"] and any(c.isdigit() for c in w["text"])
        ]
        assert len(page.facts) == len(sketch.truth["numbers"]) + len(figures)
        assert page.which.max() == len(page.facts) and set(np.unique(page.kinds)) <= set(Ink)
