"""The fifth drawer's plans: repeatable, labelled as drawn, and their sums hold."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from typing import Any

import cv2
import numpy as np
import pytest

from fixtures.hands.quick import QuickHand
from fixtures.other_plans.fifth import fifth_plan
from fixtures.other_plans.fifth.habits import LEGIBLE
from fixtures.other_plans.fifth.picture import _hand
from fixtures.sketches import Sketch
from fixtures.training.sorter_pages import sorted_page
from intake.model.reading import Role
from intake.reading.sorter import Ink

SEEDS = (0, 1, 4, 5, 7, 16, 19, 24)
"""Alcove, chimney breasts, bay, U, splay, slant and T; positions from a corner, spans, boxed pipes, things at walls."""


@cache
def plan(seed: int) -> Sketch:
    return fifth_plan(seed, "validation")


def labels(truth: dict[str, Any]) -> list[Any]:
    """Every line of writing's box, once."""
    phrases = {str(n["phrase_box"]): n["phrase_box"] for n in truth["numbers"]}
    return [np.array(box) for box in [*phrases.values(), *(w["box"] for w in truth["words"])]]


def test_the_same_seed_gives_the_same_sheet_and_another_split_another() -> None:
    again = fifth_plan(4, "validation")
    assert np.array_equal(plan(4).image, again.image) and plan(4).jpeg == again.jpeg
    assert plan(4).truth == again.truth and plan(4).style == again.style
    assert not np.array_equal(plan(4).image, fifth_plan(4, "training").image)


def test_an_unknown_split_is_refused() -> None:
    with pytest.raises(ValueError):
        fifth_plan(0, "held")


@pytest.mark.parametrize("seed", SEEDS)
def test_numbers_are_high_enough_on_the_picture_to_be_read(seed: int) -> None:
    boxes = np.array([number["box"] for number in plan(seed).truth["numbers"]])
    assert np.median(np.hypot(*(boxes[:, 3] - boxes[:, 0]).T)) >= LEGIBLE


def test_no_quick_hand_writes_digits_into_one_another() -> None:
    """Of the closest hand that is left out two fifths of a digit lie in the next one."""
    rng = np.random.default_rng(0)
    quick = {hand.name: hand for _ in range(300) if isinstance(hand := _hand(rng, "validation"), QuickHand)}
    assert len(quick) > 30
    for hand in quick.values():
        left, _, right, _ = np.array(
            [hand.write("1845", np.random.default_rng(n), 30.0).boxes for n in range(9)]
        ).T
        shared = np.maximum(right[:-1] - left[1:], 0) / np.minimum(
            right[:-1] - left[:-1], right[1:] - left[1:]
        )
        assert shared.mean() < 0.25, hand.name
    knot = QuickHand("", 40_017)
    assert knot.habits.spacing < -0.15 and "quick-40017" not in quick


@pytest.mark.parametrize("seed", SEEDS)
def test_walls_run_clockwise_from_the_top_left_and_stretches_lie_on_their_walls(seed: int) -> None:
    truth = plan(seed).truth
    walls = truth["outline"]["walls"]
    corners = np.array([w["from"] for w in walls])
    assert cv2.contourArea(corners.astype(np.float32), True) > 0
    assert np.argmin(np.hypot(*corners.T)) == 0
    near = 0.012 * np.hypot(truth["image"]["width"], truth["image"]["height"])
    for number in truth["numbers"]:
        if number["wall"] is None or number["stretch"] is None or number["part"] == "several":
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
    """A tape read to 5 or 10 mm with noise of at most 4 mm errs by less than 10 mm each time."""
    truth = plan(seed).truth
    assert truth["slips"] == []
    told: dict[int, dict[Any, int]] = {}
    for number in truth["numbers"]:
        of_wall = number["wall"] is not None and number["part"] == ""
        if of_wall and number["role"] in (Role.SECTION, Role.OPENING, Role.OVERALL):
            told.setdefault(number["wall"], {})[number["piece"]] = number["meant_mm"]
        assert abs(number["meant_mm"] - number["true_mm"]) < 10
    for wall in truth["outline"]["walls"]:
        lengths = told.get(wall["wall"], {})
        overall = lengths.pop(None, None)
        if overall is not None and len(lengths) == len(wall["pieces"]):
            assert abs(sum(lengths.values()) - overall) < 10 * (len(lengths) + 1)


def test_the_rooms_close() -> None:
    """Walls along the sheet add up to nothing both ways."""
    for seed in SEEDS:
        walls = plan(seed).truth["outline"]["walls"]
        if any(w["direction"] == "other" for w in walls):
            continue
        sums = dict.fromkeys("ENWS", 0)
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
