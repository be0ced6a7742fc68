"""The fourth drawer's plans: the same from the same seed, their labels where the ink is, their sums whole."""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np
import pytest
from shapely.geometry import Polygon

from fixtures.benchmark.paper import paper_room
from fixtures.hands import SPLITS
from fixtures.other_plans.fourth import fourth_plan
from fixtures.other_plans.fourth.hand import WRITERS
from fixtures.other_plans.fourth.room import SHAPES, random_room
from fixtures.other_plans.fourth.survey import random_survey
from fixtures.sketches import Sketch
from fixtures.training.sorter_pages import sorted_page
from intake.domain.room.closing import examine_room
from intake.reading.sorter import Ink

SEEDS = range(5)
OFF_PX = 15
"""How far (pixels) a bowed paper may move the middle of a straight wall off the line between its ends."""


@lru_cache(maxsize=8)
def plan(seed: int) -> Sketch:
    return fourth_plan(seed, "validation")


def test_the_same_seed_gives_the_same_pixels() -> None:
    again = fourth_plan(0, "validation")
    assert again.jpeg == plan(0).jpeg and np.array_equal(again.kinds, plan(0).kinds)
    assert again.truth == plan(0).truth
    assert fourth_plan(0, "test").jpeg != again.jpeg


def test_no_writer_of_this_alphabet_is_in_two_splits() -> None:
    ranges = [set(range(*WRITERS[split])) for split in SPLITS]
    assert not (ranges[0] & ranges[1] or ranges[0] & ranges[2] or ranges[1] & ranges[2])


@pytest.mark.parametrize("seed", SEEDS)
def test_every_number_has_ink_in_its_box_and_none_lies_elsewhere(seed: int) -> None:
    sketch = plan(seed)
    assert sketch.kinds is not None and sketch.kinds.shape == sketch.image.shape[:2]
    left = (sketch.kinds == Ink.WRITING).astype(np.uint8)
    written = int(left.sum())
    boxes = [n["box"] for n in sketch.truth["numbers"]]
    for box in boxes:
        mask = np.zeros_like(left)
        cv2.fillPoly(mask, [np.array(box).astype(np.int32)], 1)
        assert left[mask > 0].mean() > 0.05
    for box in boxes + [w["box"] for w in sketch.truth["words"]]:
        grown = np.array(box).mean(0) + (np.array(box) - np.array(box).mean(0)) * 1.3
        cv2.fillPoly(left, [grown.astype(np.int32)], 0)
    for number in sketch.truth["numbers"]:
        cv2.fillPoly(left, [np.array(number["phrase_box"]).astype(np.int32)], 0)
    assert left.sum() < 0.03 * written


@pytest.mark.parametrize("seed", SEEDS)
def test_every_stretch_lies_on_its_wall_and_runs_the_walls_way(seed: int) -> None:
    truth = plan(seed).truth
    walls = {w["wall"]: (np.array(w["from"]), np.array(w["to"])) for w in truth["outline"]["walls"]}
    assert Polygon([start for start, _ in walls.values()]).exterior.is_ccw  # clockwise with y down; shapely
    for number in truth["numbers"]:
        if number["wall"] is None or number["part"] == "several":
            assert number["stretch"] is None or len(number["between"]) > 1
            continue
        start, end = walls[number["wall"]]
        length = np.hypot(*(end - start))
        along = (end - start) / length
        ends = np.array(number["stretch"]) - start
        assert np.abs(ends @ np.array([-along[1], along[0]])).max() < OFF_PX
        low, high = ends @ along
        assert -OFF_PX < low < high < length + OFF_PX


@pytest.mark.parametrize("seed", SEEDS)
def test_sums_hold_and_the_sorter_can_learn_from_it(seed: int) -> None:
    sketch = plan(seed)
    assert examine_room(paper_room(sketch.truth)).closes is not False
    page = sorted_page(sketch)
    figures = [w for w in sketch.truth["words"] if not w["struck"] and any(c.isdigit() for c in w["text"])]
    assert len(page.facts) == len(sketch.truth["numbers"]) + len(figures)
    assert all(n["value_mm"] == n["meant_mm"] for n in sketch.truth["numbers"])


def test_rooms_are_simple_and_their_sections_fill_their_walls() -> None:
    rng = np.random.default_rng(3)
    shapes = set()
    for number in range(150):
        room = random_room(rng, ("cm", "mm")[number % 2])
        shapes |= set(room.shape.split("+"))
        polygon = Polygon(room.corners)
        # Oracle: shapely (GEOS).
        assert polygon.is_valid and polygon.exterior.is_ccw
        assert all(abs(sum(s.mm for s in wall.sections) - wall.mm) <= 1 for wall in room.walls)
    assert shapes == set(SHAPES)


def test_a_survey_that_a_slip_spoils_no_longer_holds() -> None:
    survey = random_survey(np.random.default_rng(8))
    assert survey.holds()
    wall = next(iter(survey.overalls))
    survey.overalls[wall] += 100
    assert not survey.holds()
