"""The sixth drawer's plans: the same from the same seed, labelled where the ink is, their sums whole."""

from __future__ import annotations

import math
from functools import cache

import cv2
import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon

from fixtures.benchmark.paper import paper_room
from fixtures.hands import SPLITS
from fixtures.other_plans.fourth.survey import GivenUp
from fixtures.other_plans.sixth import sixth_plan
from fixtures.other_plans.sixth.rooms import SHAPES, random_survey
from fixtures.other_plans.sixth.writer import WRITERS
from fixtures.sketches import Sketch
from fixtures.training.sorter_pages import sorted_page
from intake.domain.room.closing import examine_room
from intake.model.reading import Role
from intake.reading.sorter import Ink

SEEDS = range(40, 46)
OFF_PX = 15
"""How far (pixels) a bowed paper may move the middle of a straight wall off the line between its ends."""
OPENINGS = ("window", "door", "doorway")


@cache
def plan(seed: int) -> Sketch:
    return sixth_plan(seed, "validation")


def test_the_same_seed_gives_the_same_pixels_and_no_split_has_anothers_writers() -> None:
    again = sixth_plan(40, "validation")
    assert again.jpeg == plan(40).jpeg and np.array_equal(again.kinds, plan(40).kinds)
    assert again.truth == plan(40).truth
    assert sixth_plan(40, "test").jpeg != again.jpeg
    numbers = [number for split in SPLITS for number in range(*WRITERS[split])]
    assert len(numbers) == len(set(numbers))


@pytest.mark.parametrize("seed", SEEDS)
def test_writing_lies_in_its_boxes_and_walls_on_the_outline(seed: int) -> None:
    sketch = plan(seed)
    assert sketch.kinds is not None and sketch.kinds.shape == sketch.image.shape[:2]
    left = (sketch.kinds == Ink.WRITING).astype(np.uint8)
    written = int(left.sum())
    boxes = [n["box"] for n in sketch.truth["numbers"]]
    for box in boxes:
        mask = cv2.fillPoly(np.zeros_like(left), [np.array(box).astype(np.int32)], 1)
        assert left[mask > 0].mean() > 0.05
    words = [w["box"] for w in sketch.truth["words"]]
    for box in [*boxes, *words, *(n["phrase_box"] for n in sketch.truth["numbers"])]:
        middle = np.array(box).mean(0)
        cv2.fillPoly(left, [(middle + (np.array(box) - middle) * 1.3).astype(np.int32)], 0)
    assert left.sum() < 0.03 * written
    near = np.zeros_like(left)
    corners = np.array([w["from"] for w in sketch.truth["outline"]["walls"]]).astype(np.int32)
    cv2.polylines(near, [corners], True, 1, 2 * OFF_PX)
    assert near[sketch.kinds == Ink.WALL].mean() > 0.97


@pytest.mark.parametrize("seed", SEEDS)
def test_a_number_is_of_the_stretch_that_its_role_names(seed: int) -> None:
    truth = plan(seed).truth
    walls = {w["wall"]: w for w in truth["outline"]["walls"]}
    # Oracle: shapely (GEOS); clockwise where y runs down.
    assert Polygon([w["from"] for w in walls.values()]).exterior.is_ccw
    for number in truth["numbers"]:
        if number["wall"] is None:
            continue
        wall, stretch = walls[number["wall"]], number["stretch"]
        line = LineString([wall["from"], wall["to"]])
        assert all(Point(end).distance(line) < OFF_PX for end in stretch)
        along = np.subtract(wall["to"], wall["from"]) @ np.subtract(stretch[1], stretch[0])
        assert along > 0
        if number["role"] in (Role.SECTION, Role.OPENING):
            # A boxed pipe's piece is a section of its wall, not an opening and not a thing.
            kind, mm = wall["pieces"][number["piece"]]
            assert (number["role"] == Role.OPENING) == (kind in OPENINGS)
            assert abs(mm - number["meant_mm"]) <= 10
        elif number["part"] == "side":
            ends = zip(stretch, (wall["from"], wall["to"]), strict=True)
            assert number["role"] == Role.FIXTURE and min(math.dist(*pair) for pair in ends) < 1


@pytest.mark.parametrize("seed", SEEDS)
def test_sums_hold_and_the_sorter_can_learn_from_it(seed: int) -> None:
    sketch = plan(seed)
    assert examine_room(paper_room(sketch.truth)).closes is not False
    page = sorted_page(sketch)
    figures = [w for w in sketch.truth["words"] if not w["struck"] and any(c.isdigit() for c in w["text"])]
    assert len(page.facts) == len(sketch.truth["numbers"]) + len(figures)
    assert all(n["value_mm"] == n["meant_mm"] for n in sketch.truth["numbers"])


def test_every_shape_is_a_simple_room_whose_pieces_come_to_its_walls() -> None:
    rng = np.random.default_rng(3)
    for shape in SHAPES:
        for _ in range(50):
            try:
                survey = random_survey(rng, "cm", shape)
                break
            except GivenUp:
                continue
        else:
            pytest.fail(f"no {shape} in 50 tries")
        polygon = Polygon(survey.room.corners)
        assert polygon.is_valid and polygon.exterior.is_ccw
        for i, wall in enumerate(survey.room.walls):
            assert sum(s.mm for s in wall.sections) == pytest.approx(wall.mm)
            pieces = [survey.sections[i, j] for j in range(len(wall.sections))]
            # Half centimetres, and a tape off by up to 7 mm each time it is laid (common practice, no source).
            assert abs(sum(pieces) - survey.overalls.get(i, sum(pieces))) <= 4 + 3 * math.sqrt(
                len(pieces) + 1
            )
