"""The truth of rendered sketches: closed, adding up, inside the picture, and really where the ink is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from io import BytesIO
from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps
from shapely.geometry import Polygon

from fixtures.hands import Hand, Written
from fixtures.sketches import choose_style, draw_room
from fixtures.sketches.furnish import random_room
from fixtures.sketches.geometry import mapped
from fixtures.sketches.rooms import Block, Room, cut_walls
from tests.sketches.scenes import sketch, stroke_hands

CASES = [(seed, split) for seed in range(3) for split in ("training", "validation", "test")]
cases = pytest.mark.parametrize(("seed", "split"), CASES)


@cases
def test_walls_form_a_valid_polygon_numbered_clockwise_from_the_top_left(seed: int, split: str) -> None:
    walls = sketch(seed, split).truth["outline"]["walls"]
    corners = [wall["from"] for wall in walls]
    assert [wall["to"] for wall in walls] == corners[1:] + corners[:1]
    assert [wall["wall"] for wall in walls] == list(range(len(walls)))
    polygon = Polygon(corners)
    # Oracle: shapely's (GEOS) validity; with y down, clockwise to the eye is counter-clockwise to GEOS.
    assert polygon.is_valid
    assert polygon.exterior.is_ccw
    assert int(np.argmin([np.hypot(*corner) for corner in corners])) == 0


def test_walls_named_by_direction_add_up_to_nothing_round_the_room() -> None:
    checked = 0
    for seed, split in CASES:
        walls = sketch(seed, split).truth["outline"]["walls"]
        length = dict.fromkeys(("E", "S", "W", "N", "other"), 0)
        for wall in walls:
            length[wall["direction"]] += sum(mm for _, mm in wall["pieces"])
        if not length["other"]:
            checked += 1
            assert (length["E"], length["S"]) == (length["W"], length["N"])
    assert checked >= 5


@cases
def test_directions_are_those_of_the_picture(seed: int, split: str) -> None:
    ways = {"E": (1, 0), "S": (0, 1), "W": (-1, 0), "N": (0, -1)}
    for wall in sketch(seed, split).truth["outline"]["walls"]:
        if wall["direction"] == "other":
            continue
        along = np.subtract(wall["to"], wall["from"])
        assert along @ np.array(ways[wall["direction"]]) > 0.7 * np.hypot(*along)


@cases
def test_sections_and_openings_as_measured_add_up_to_the_overall(seed: int, split: str) -> None:
    numbers = sketch(seed, split).truth["numbers"]
    for overall in (n for n in numbers if n["role"] == "overall"):
        along = [
            n for n in numbers if n["wall"] == overall["wall"] and n["role"] in ("wall-section", "opening")
        ]
        assert len({n["piece"] for n in along}) == len(along)
        assert sum(n["true_mm"] for n in along) == overall["true_mm"]
        # Three and a half sigma (5 mm a section, 6 mm the overall) and half a step of rounding each.
        allowed = 3.5 * np.sqrt(25 * len(along) + 36) + 2.5 * (len(along) + 1)
        assert abs(sum(n["meant_mm"] for n in along) - overall["meant_mm"]) <= allowed


@cases
def test_every_box_lies_in_the_picture_and_turns_clockwise(seed: int, split: str) -> None:
    truth = sketch(seed, split).truth
    size = np.array([truth["image"]["width"], truth["image"]["height"]])
    assert truth["numbers"]
    for number in truth["numbers"]:
        box = np.array(number["box"])
        assert box.min() >= 0 and np.all(box <= size)
        assert Polygon(box).exterior.is_ccw, "clockwise to the eye"


@cases
def test_the_file_and_its_exif_orientation_give_the_picture(seed: int, split: str) -> None:
    drawn = sketch(seed, split)
    # Oracle: Pillow's reading of the EXIF Orientation tag (0x0112).
    with Image.open(BytesIO(drawn.jpeg)) as file:
        seen = np.asarray(ImageOps.exif_transpose(file))
    assert (
        seen.shape
        == drawn.image.shape
        == (
            drawn.truth["image"]["height"],
            drawn.truth["image"]["width"],
            3,
        )
    )
    assert np.abs(seen.astype(int) - drawn.image).mean() < 1.0


@dataclass(frozen=True)
class Inkless:
    """A hand that moves as another does and leaves no ink."""

    model: Hand
    name: str = "inkless"
    kind: str = "strokes"

    def write(self, text: str, rng: np.random.Generator, height_px: float) -> Written:
        written = self.model.write(text, rng, height_px)
        return Written(np.zeros_like(written.ink), written.boxes)


@pytest.mark.parametrize("seed", range(4))
def test_boxes_are_exactly_where_the_writing_is(seed: int) -> None:
    """The same sketch with and without its writing differs inside the truth's boxes, up to their edges, only."""
    rng = np.random.default_rng(seed)
    style = choose_style(rng, "test", 1600)
    curl = (0.014, -0.01) if seed % 2 else (0.0, 0.0)
    clear = replace(style.shot, quality=95, noise=0.0, blur_px=0.0, exposure=1.0, tilt=0.1, curl=curl)
    pen = replace(style.text_pen, kind="felt", strength=1.0, colour=(10, 10, 10))
    style = replace(style, shot=clear, text_pen=pen, struck_digit=0.0, struck_number=0.0)
    room, hand = random_room(rng), stroke_hands("test")[seed]
    written, blank = (draw_room(room, one, style, seed) for one in (hand, Inkless(hand)))
    assert written.truth["numbers"] == blank.truth["numbers"]
    changed = np.abs(written.image.astype(int) - blank.image).max(axis=2) > 50
    allowed = np.zeros(changed.shape, np.uint8)
    for item in [*written.truth["words"], *written.truth["numbers"]]:
        quad = np.array(item.get("phrase_box", item["box"]))
        cv2.fillPoly(allowed, [np.round(quad).astype(np.int32)], 1)
    assert not np.any(changed & (cv2.dilate(allowed, np.ones((7, 7), np.uint8)) == 0))
    for number in written.truth["numbers"]:
        assert _fill(changed, number) > 0.9


def _fill(changed: Any, number: dict[str, Any]) -> float:
    """How much of the width of a number's box its ink spans, after straightening the box."""
    box = np.array(number["box"], np.float32)
    width, height = np.hypot(*(box[1] - box[0])), np.hypot(*(box[3] - box[0]))
    upright = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    straight = cv2.getPerspectiveTransform(box, upright)
    crop = cv2.warpPerspective(changed.astype(np.uint8), straight, (int(width), int(height)))
    columns = np.flatnonzero(crop.any(axis=0))
    return float((columns[-1] - columns[0] + 1) / width) if len(columns) else 0.0


@cases
def test_ink_in_a_box_is_darker_than_its_paper(seed: int, split: str) -> None:
    drawn = sketch(seed, split)
    grey = cv2.GaussianBlur(cv2.cvtColor(drawn.image, cv2.COLOR_RGB2GRAY), (0, 0), 1.0).astype(float)
    for number in drawn.truth["numbers"]:
        mask = np.zeros(grey.shape, np.uint8)
        cv2.fillPoly(mask, [np.round(number["box"]).astype(np.int32)], 1)
        inside = grey[mask > 0]
        assert np.percentile(inside, 4) < 0.95 * np.percentile(inside, 80)


def test_the_homography_is_opencv_s() -> None:
    rng = np.random.default_rng(0)
    matrix = np.eye(3) + rng.normal(0, 0.05, (3, 3)) * np.array([[1, 1, 9], [1, 1, 9], [1e-3, 1e-3, 0]])
    points = rng.uniform(0, 1000, (20, 2))
    assert np.allclose(mapped(matrix, points), cv2.perspectiveTransform(points[None], matrix)[0])


def test_the_lengths_of_a_block_in_a_corner_may_be_put_to_either_of_its_walls() -> None:
    corners = ((0, 0), (4000, 0), (4000, 2500), (0, 2500))
    blocks = (Block("boxing", "boxing", 1, 0, 200, 150), Block("boxing", "boxing", 2, 3800, 200, 150))
    room = Room("kitchen", "rectangle", corners, cut_walls(corners, {}), blocks=blocks)
    middle = replace(blocks[0], at_mm=900)
    assert [set(room.walls_at(block)) for block in (*blocks, middle)] == [{0, 1}, {2, 3}, {1}]
