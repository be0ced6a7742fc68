"""Plain plans: they add up, nobody writes over anything, the boxes lie on the ink, and a fresh clone can draw them."""

from __future__ import annotations

import ast
from functools import lru_cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

import fixtures.plain_plans
from fixtures.hands import SPLITS, Written, hands
from fixtures.plain_plans import plain_plan
from fixtures.plain_plans.layout import choose_habits, lay_out
from fixtures.plain_plans.lettering import Measure, letter
from fixtures.plain_plans.photo import Photograph
from fixtures.plain_plans.room import random_room
from fixtures.plain_plans.truth import truth_of
from fixtures.sketches import Sketch

Truth = dict[str, Any]
PAPER_SHARE = 0.75
"""Ink is darker than this share of the paper's grey; the squares are not."""
many = pytest.mark.parametrize("count", [16, pytest.param(80, marks=pytest.mark.long)])
plans = pytest.mark.parametrize(("seed", "split"), [(0, "test"), (1, "validation"), (2, "training")])


class Blot:
    """Writes one dark pixel at the top left of the line."""

    name = kind = "blot"

    def write(self, text: str, rng: np.random.Generator, height_px: float) -> Written:
        ink = np.zeros((20, 30), np.float32)
        ink[0, 0] = 1
        return Written(ink, tuple((0, 0, 30, 20) for _ in text))


@lru_cache(maxsize=4)
def plan(seed: int, split: str) -> Sketch:
    return plain_plan(seed, split)


@lru_cache(maxsize=1)
def flat_truths(count: int) -> list[Truth]:
    """Plans as laid out, without the time that ink and photograph take; boxes in page pixels."""
    flat = Photograph(np.zeros((1, 1, 3), np.uint8), b"", np.eye(3))
    writers = [hand for hand in hands("test") if hand.kind == "strokes"]
    truths = []
    for seed in range(count):
        rng = np.random.default_rng(seed)
        layout = lay_out(random_room(rng), choose_habits(rng), writers[seed % len(writers)], rng)
        truths.append(truth_of(layout, flat))
    return truths


@many
def test_every_piece_has_its_number_and_they_add_up_round_the_room(count: int) -> None:
    for truth in flat_truths(count):
        length = dict.fromkeys("ESWN", 0)
        for wall in truth["outline"]["walls"]:
            numbers = [n for n in truth["numbers"] if n["wall"] == wall["wall"]]
            pieces = [n["value_mm"] for n in numbers if n["role"] in ("wall-section", "opening")]
            assert pieces == [mm for _, mm in wall["pieces"]]
            for overall in (n["value_mm"] for n in numbers if n["role"] == "overall"):
                assert abs(overall - sum(pieces)) in (0, 5)
            length[wall["direction"]] += sum(pieces)
        assert (length["E"], length["S"]) == (length["W"], length["N"])


@many
def test_what_is_written_says_the_value(count: int) -> None:
    for number in (n for truth in flat_truths(count) for n in truth["numbers"]):
        assert float(number["text"]) * 10 == number["value_mm"]
        assert number["phrase"].endswith(number["text"])


@many
def test_no_writing_overlaps_other_writing_or_crosses_a_wall(count: int) -> None:
    # Oracle: shapely's (GEOS) intersection of polygons.
    for truth in flat_truths(count):
        boxes = [Polygon(n["phrase_box"]) for n in truth["numbers"]]
        walls = [LineString([w["from"], w["to"]]) for w in truth["outline"]["walls"]]
        for i, box in enumerate(boxes):
            assert not any(box.intersects(thing) for thing in [*boxes[:i], *walls])


@many
def test_the_plans_vary(count: int) -> None:
    truths = flat_truths(count)
    assert {len(truth["outline"]["walls"]) for truth in truths} == {4, 6}
    kinds = {kind for truth in truths for wall in truth["outline"]["walls"] for kind, _ in wall["pieces"]}
    assert kinds == {"wall", "window", "door", "doorway"}
    roles = {number["role"] for truth in truths for number in truth["numbers"]}
    assert roles == {"wall-section", "opening", "overall", "ceiling-height", "sill-height"}


@plans
def test_the_dark_pixels_about_a_number_lie_in_its_box(seed: int, split: str) -> None:
    sketch = plan(seed, split)
    grey = cv2.cvtColor(sketch.image, cv2.COLOR_RGB2GRAY)
    for number in sketch.truth["numbers"]:
        inside, _ = _dark(grey, number["box"])
        assert inside > 0.05 * Polygon(number["box"]).area
        inside, near = _dark(grey, number["phrase_box"])
        assert inside > 0.93 * near


@plans
def test_a_box_is_no_larger_than_its_number(seed: int, split: str) -> None:
    sketch = plan(seed, split)
    grey = cv2.cvtColor(sketch.image, cv2.COLOR_RGB2GRAY)
    for number in sketch.truth["numbers"]:
        box = np.array(number["box"], np.float32)
        wide, high = (int(side) for side in np.hypot(*(box[1:3] - box[:2]).T))
        upright = np.array([(0, 0), (wide, 0), (wide, high), (0, high)], np.float32)
        cut = cv2.warpPerspective(grey, cv2.getPerspectiveTransform(box, upright), (wide, high))
        rows, columns = np.nonzero(cut < PAPER_SHARE * _paper(grey, Polygon(box)))
        slack = 0.12 * high + 3
        assert max(rows.min(), columns.min(), high - 1 - rows.max(), wide - 1 - columns.max()) < slack


@pytest.mark.parametrize("quarters", [0, 1, 3])
def test_a_box_starts_at_the_writing_s_own_top_left(quarters: int) -> None:
    lettered = letter(Measure(1230, "overall", 0), Blot(), quarters, 20.0, np.random.default_rng(1))
    row, column = np.argwhere(lettered.ink)[0]
    assert np.abs(lettered.box[0] - (column + 0.5, row + 0.5)).max() == 0.5
    across, down = np.diff(lettered.box, axis=0)[:2]
    assert np.hypot(*across) == 30
    assert across[0] * down[1] - across[1] * down[0] == 30 * 20, "clockwise to the eye"


@plans
def test_walls_count_clockwise_from_the_top_left_of_the_picture(seed: int, split: str) -> None:
    walls = plan(seed, split).truth["outline"]["walls"]
    corners = [wall["from"] for wall in walls]
    assert [wall["to"] for wall in walls] == corners[1:] + corners[:1]
    assert Polygon(corners).is_valid
    assert Polygon(corners).exterior.is_ccw, "y runs down, so clockwise to the eye"
    assert int(np.argmin(np.hypot(*np.array(corners).T))) == 0


def test_the_same_seed_and_split_give_the_same_picture() -> None:
    again = plain_plan(0, "test")
    assert np.array_equal(again.image, plan(0, "test").image)
    assert again.truth == plan(0, "test").truth
    assert again.jpeg != plan(1, "validation").jpeg


def test_a_fresh_clone_draws_in_stroke_hands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("INTAKE_HANDS", str(tmp_path))
    monkeypatch.delenv("INTAKE_MNIST", raising=False)
    sketch = plain_plan(3, "validation")
    assert (sketch.style["hand_kind"], sketch.style["split"]) == ("strokes", "validation")
    assert sketch.style["hand"] in {hand.name for hand in hands("validation")}
    assert sketch.image.shape == (2200, 2900, 3)
    assert len(sketch.truth["numbers"]) > 4


def test_a_split_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="no split 'exam'"):
        plain_plan(0, "exam")
    assert "exam" not in SPLITS


def test_nothing_but_the_sketch_and_the_plane_of_its_ink_come_from_the_other_renderer() -> None:
    taken = set()
    for file in Path(fixtures.plain_plans.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("fixtures.sketches"):
                taken |= {(node.module, name.name) for name in node.names}
            elif isinstance(node, ast.Import):
                assert not any(name.name.startswith("fixtures") for name in node.names)
    assert taken == {("fixtures.sketches.render", name) for name in ("Sketch", "strongest")}


def _dark(grey: np.ndarray[Any, Any], box: list[list[float]]) -> tuple[int, int]:
    """Pixels much darker than the paper: in the box, and in the box grown by 5 pixels on all sides."""
    near = Polygon(box).buffer(5, join_style="mitre")
    left, top, right, bottom = (int(v) for v in near.bounds)
    dark = grey[top : bottom + 2, left : right + 2] < PAPER_SHARE * _paper(grey, near)
    counts = []
    for outline in (Polygon(box), near):
        corners = np.round(outline.exterior.coords).astype(np.int32) - (left, top)
        counts.append(int(dark[cv2.fillPoly(np.zeros(dark.shape, np.uint8), [corners], 1) > 0].sum()))
    return counts[0], counts[1]


def _paper(grey: np.ndarray[Any, Any], near: Polygon) -> float:
    left, top, right, bottom = (int(v) for v in near.bounds)
    return float(np.percentile(grey[top:bottom, left:right], 80))
