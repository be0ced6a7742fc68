"""The sorter: boxes from cores drawn here, and what it makes of a plan whose every stroke is known."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from fixtures.sketches import render
from fixtures.training.sorter_pages import sorted_page
from intake.reading.sorter import INSET, Ink, Sorter, fitted, lines_of
from intake.reading.tidy import tidy, writing_alone


@pytest.mark.parametrize("angle", [0, 17, 90, 180, -90], ids=str)
def test_a_line_of_writing_gets_its_box_back_from_its_core_whichever_way_it_runs(angle: int) -> None:
    along = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
    down = np.array([-along[1], along[0]])
    box = [
        np.array([150, 120]) + x * along + y * down for x, y in ((-60, -15), (60, -15), (60, 15), (-60, 15))
    ]
    off = INSET * 30
    inner = [
        np.array([150, 120]) + x * along + y * down
        for x, y in (
            (-60 + off, -15 + off),
            (60 - off, -15 + off),
            (60 - off, 15 - off),
            (-60 + off, 15 - off),
        )
    ]
    core = np.zeros((240, 300), np.float32)
    cv2.fillPoly(core, [np.round(np.asarray(inner) * 16).astype(np.int32)], 0.95, cv2.LINE_8, 4)
    way = np.broadcast_to(along[:, None, None], (2, 240, 300)).astype(np.float32)
    (line,) = lines_of(core, way, (0.5, 0.5))
    assert np.abs(np.asarray(line) / 2 - np.asarray(box)).max() < 3.5


def test_specks_and_faint_cores_are_no_writing() -> None:
    core = np.zeros((100, 100), np.float32)
    core[10, 10], core[50:54, 20:60] = 0.9, 0.55
    way = np.zeros((2, 100, 100), np.float32)
    way[0] = 1
    assert lines_of(core, way, (1.0, 1.0)) == ()


def test_strokes_and_the_room_are_told_apart_on_a_sketch_of_unseen_hands() -> None:
    """Kinds by their share of common pixels, the room by its area; numbers by finding nearly all of them."""
    found = np.zeros(3)
    for seed in (11, 12, 13):
        sketch = render(seed, "test", kinds=True, long_side=1800)
        true = sorted_page(sketch)
        page = cv2.resize(true.grey, None, fx=1.25, fy=1.25)
        told = Sorter().sort(page)
        best = told.kinds.argmax(axis=0)
        wall = cv2.dilate((true.kinds == Ink.WALL).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
        found += [
            ((best == Ink.WALL) & wall).sum() / max((best == Ink.WALL).sum(), 1) / 3,
            len(told.numbers) / len(sketch.truth["numbers"]) / 3,
            _shared(told.inside > 0.5, cv2.resize(true.marks[2], true.grey.shape[::-1]) > 0) / 3,
        ]
    assert found[0] > 0.8
    assert 0.8 < found[1] < 1.3
    assert found[2] > 0.9


def test_only_writing_is_left_on_the_page_that_numbers_are_cut_from() -> None:
    sketch = render(21, "validation", kinds=True, long_side=1800)
    true = sorted_page(sketch)
    ink = Sorter().sort(true.grey)
    alone = writing_alone(true.grey, ink)
    walls, written = true.kinds == Ink.WALL, true.kinds == Ink.WRITING
    assert (true.grey[walls] < 245).mean() > 0.5, "the walls must be there to be taken off"
    assert (alone[walls] < 245).mean() < 0.15
    assert (alone[written] < 200).sum() > 0.85 * (true.grey[written] < 200).sum()
    cutting = tidy(alone, ink.numbers[0])
    assert cutting.crop.shape[0] == 64 and cutting.crop.min() < 60


def test_a_page_comes_to_the_network_at_its_size_whatever_it_was() -> None:
    for shape in ((500, 2000), (3000, 1200), (40, 40), (1, 900)):
        small = fitted(np.zeros(shape, np.uint8))
        assert small.shape[0] % 32 == 0 and small.shape[1] % 32 == 0 and max(small.shape) == 1408


def _shared(a: np.ndarray, b: np.ndarray) -> float:
    return float((a & b).sum() / max((a | b).sum(), 1))
