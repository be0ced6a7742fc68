"""The third drawer's plans: what is written adds up, and labels lie on the ink that they are of."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import cv2
import numpy as np
import pytest

from fixtures.hands import SPLITS, hands
from fixtures.other_plans.third import third_plan
from fixtures.other_plans.third.draw import drawn
from fixtures.other_plans.third.truth import Truth
from fixtures.sketches import Sketch
from fixtures.training.sorter_pages import sorted_page
from intake.reading.sorter import Ink

TAPE_MM, CLOSES_MM = 11, 22
"""How far sums may be apart where nothing is wrong: two half centimetres a wall, as much again for the room."""
plans = pytest.mark.parametrize(("seed", "split"), [(0, "test"), (1, "validation"), (2, "training")])
many = pytest.mark.parametrize("count", [16, pytest.param(80, marks=pytest.mark.long)])
plan = lru_cache(maxsize=3)(third_plan)


@lru_cache(maxsize=1)
def flat_truths(count: int) -> list[dict[str, Any]]:
    """Plans as drawn, in sheet units, without the time that ink and photograph take."""
    writers = [hand for hand in hands("test") if hand.kind == "strokes"]
    found = []
    for seed in range(count):
        sheet = drawn(2000, writers[seed % len(writers)], np.random.default_rng(seed))
        found.append(Truth(sheet, np.eye(3)).document((sheet.layout.size[1], sheet.layout.size[0])))
    return found


def along_walls(truth: dict[str, Any], wall: int) -> tuple[dict[int, int], int | None]:
    """A wall's lengths as written: by piece, and its overall."""
    mine = [n for n in truth["numbers"] if n["wall"] == wall and n["part"] == ""]
    pieces = {n["piece"]: n["value_mm"] for n in mine if n["role"] in ("wall-section", "opening")}
    return pieces, next((n["value_mm"] for n in mine if n["role"] == "overall"), None)


@plans
def test_the_same_seed_gives_the_same_picture(seed: int, split: str) -> None:
    again = third_plan(seed, split)
    assert again.jpeg == plan(seed, split).jpeg and again.truth == plan(seed, split).truth
    assert again.style["hand"] in {hand.name for hand in hands(split)} and split in SPLITS


@many
def test_sums_hold_where_nothing_is_wrong(count: int) -> None:
    checked = closed = 0
    for truth in (t for t in flat_truths(count) if not t["slips"]):
        walls, moved = truth["outline"]["walls"], np.zeros(2)
        ways = {"E": (1, 0), "S": (0, 1), "W": (-1, 0), "N": (0, -1)}
        for wall in walls:
            pieces, overall = along_walls(truth, wall["wall"])
            full = len(pieces) == len(wall["pieces"])
            if full and overall:
                assert abs(sum(pieces.values()) - overall) <= TAPE_MM
                checked += 1
            mm = overall or (sum(pieces.values()) if full else np.nan)
            moved += mm * np.array(ways.get(wall["direction"], (np.nan, np.nan)))
        if np.isfinite(moved).all():
            assert abs(moved).max() <= CLOSES_MM
            closed += 1
    assert checked > count and closed > count / 4


@many
def test_stretches_are_the_drawn_pieces_clockwise(count: int) -> None:
    for truth in flat_truths(count):
        for number in truth["numbers"]:
            if number["stretch"] is None or number["wall"] is None or number["part"] == "several":
                continue
            wall = truth["outline"]["walls"][number["wall"]]
            start, end = np.array(wall["from"]), np.array(wall["to"])
            way = (end - start) / np.hypot(*(end - start))
            for point in np.array(number["stretch"]) - start:
                assert (
                    abs(point @ (-way[1], way[0])) < 0.5
                    and -0.5 < point @ way < np.hypot(*(end - start)) + 0.5
                )
            assert (np.array(number["stretch"][1]) - number["stretch"][0]) @ way > 0


@many
def test_what_is_written_is_what_is_true_but_for_tape_and_slips(count: int) -> None:
    for truth in flat_truths(count):
        for number in truth["numbers"]:
            assert abs(number["meant_mm"] - number["true_mm"]) <= TAPE_MM
            if not number["slip"]:
                assert number["value_mm"] == number["meant_mm"]


@plans
def test_boxes_lie_on_writing_and_walls_on_their_ink(seed: int, split: str) -> None:
    sketch = plan(seed, split)
    assert sketch.kinds is not None and sketch.kinds.shape == sketch.image.shape[:2]
    for label in [*sketch.truth["numbers"], *sketch.truth["words"]]:
        box = np.array(label["box"])
        assert cv2.contourArea(box.astype(np.float32), oriented=True) > 0, "clockwise on the page"
        assert share_of(sketch, box, Ink.WRITING) > 0.04
    for wall in sketch.truth["outline"]["walls"]:
        start, end = np.array(wall["from"]), np.array(wall["to"])
        line = start + (end - start) * np.linspace(0.02, 0.98, 200)[:, None]
        near = cv2.dilate((sketch.kinds == Ink.WALL).astype(np.uint8), np.ones((15, 15), np.uint8))
        solid = sum(mm for kind, mm in wall["pieces"] if kind == "solid") / sum(
            mm for _, mm in wall["pieces"]
        )
        x, y = np.clip(line, 0, np.array(near.shape[::-1]) - 1).astype(int).T
        assert near[y, x].mean() > 0.3 * solid


def share_of(sketch: Sketch, box: np.ndarray, ink: Ink) -> float:
    mask = np.zeros(sketch.image.shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.round(box).astype(np.int32)], 1)
    assert sketch.kinds is not None
    return float((sketch.kinds[mask > 0] == ink).mean())


@plans
def test_the_sorter_can_be_trained_on_it(seed: int, split: str) -> None:
    page = sorted_page(plan(seed, split))
    assert len(page.facts) >= len(plan(seed, split).truth["numbers"])
    assert {int(kind) for kind in np.unique(page.kinds)} >= {Ink.NONE, Ink.WALL, Ink.WRITING}
