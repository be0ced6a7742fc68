"""The measuring sheet: printed (PDFium), filled in by the project's stroke hands, photographed (OpenCV) and
read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray

from fixtures.hands.strokes import StrokeHand
from intake.model.measuring_sheet import BOX_MM, PAGE_MM, SHEET_BOXES, SheetBox, mark_corners_mm
from intake.model.reading import Alternative, ReadNumber, Role
from intake.postbox.guide import measuring_sheet
from intake.postbox.letters import Showroom, load_letters
from intake.reading.readers import Grey, Readers
from intake.reading.sheet import find_sheet, read_boxes
from intake.reading.sketch import default_readers

LETTERS = Path(__file__).parents[2] / "config" / "letters"
PER_MM = 8.0
Picture = NDArray[np.uint8]


@lru_cache(maxsize=1)
def printed() -> Picture:
    pdf = measuring_sheet(load_letters(LETTERS).wording("en"), Showroom("Harrow & Vale Rooms"))
    page = pypdfium2.PdfDocument(pdf)[0]
    return np.asarray(page.render(scale=PER_MM * 25.4 / 72).to_pil().convert("RGB"))


def filled(lengths: dict[str, str], seed: int = 5) -> Picture:
    """The sheet with lengths written in its boxes by one of the project's own hands."""
    page, hand, rng = printed().copy(), StrokeHand("writer", seed), np.random.default_rng(seed)
    for box in SHEET_BOXES:
        if box.id in lengths:
            ink = hand.write(lengths[box.id], rng, 5.2 * PER_MM).ink
            x, y = (
                round((box.x_mm + 3) * PER_MM),
                round((box.y_mm + BOX_MM[1] / 2) * PER_MM - ink.shape[0] / 2),
            )
            place = page[y : y + ink.shape[0], x : x + ink.shape[1]]
            place[:] = (place * (1 - 0.85 * ink[..., None])).astype(np.uint8)
    return page


def photographed(page: Picture, quarters: int = 0) -> tuple[Picture, NDArray[np.float64]]:
    """A slanting photograph of a page on a table, turned by quarters, and the true perspective from
    millimetres."""
    height, width = page.shape[:2]
    corners = np.array([(90, 130), (1330, 60), (1440, 1890), (40, 1800)], np.float32)
    turn = cv2.getPerspectiveTransform(
        np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float32), corners
    )
    table = cv2.warpPerspective(page, turn, (1500, 2000), flags=cv2.INTER_AREA, borderValue=(96, 84, 70))
    onto = turn @ np.diag([PER_MM, PER_MM, 1.0])
    for _ in range(quarters):
        onto = np.array([[0, 1, 0], [-1, 0, table.shape[1] - 1], [0, 0, 1]]) @ onto
        table = np.ascontiguousarray(np.rot90(table))
    return np.asarray(table, np.uint8), onto


def apart_mm(found: NDArray[np.float64], true: NDArray[np.float64]) -> float:
    """How far the two perspectives put the middle of any box from one another, in millimetres of paper."""
    middles = np.array([[b.corners_mm[0] for b in SHEET_BOXES]], np.float64)
    moved, expected = (cv2.perspectiveTransform(middles, t)[0] for t in (found, true))
    pixels_a_mm = np.linalg.norm(expected[-1] - expected[0]) / np.linalg.norm(middles[0, -1] - middles[0, 0])
    return float(np.linalg.norm(moved - expected, axis=1).max() / pixels_a_mm)


@dataclass(frozen=True)
class Says:
    """A reader that says the same of every crop."""

    name: str
    text: str
    confidence: float

    def read(self, crops: Sequence[Grey]) -> list[tuple[Alternative, ...]]:
        return [(Alternative(self.text, self.confidence),) for _ in crops]


def agreeing(text: str, *confidences: float) -> Readers:
    return Readers(tuple(Says(str(n), text, c) for n, c in enumerate(confidences)))


@pytest.mark.parametrize("quarters", [0, 1, 2, 3])
def test_a_slanting_photograph_is_straightened_to_half_a_millimetre(quarters: int) -> None:
    picture, true = photographed(printed(), quarters)
    found = find_sheet(picture)
    assert found is not None
    assert apart_mm(found, true) < 0.5


def covered(page: Picture, marks: Sequence[int]) -> Picture:
    page = page.copy()
    for mark in marks:
        (left, top), _, (right, bottom), _ = mark_corners_mm(mark)
        page[round(top * PER_MM) : round(bottom * PER_MM), round(left * PER_MM) : round(right * PER_MM)] = 255
    return page


def test_three_marks_are_enough_and_two_are_not() -> None:
    three, true = photographed(covered(printed(), [2]))
    found = find_sheet(three)
    assert found is not None and apart_mm(found, true) < 1.0
    assert find_sheet(photographed(covered(printed(), [1, 2]))[0]) is None


def boxes(picture: NDArray[np.uint8], readers: Readers) -> tuple[ReadNumber, ...]:
    turn = find_sheet(picture)
    assert turn is not None
    return read_boxes(picture, turn, readers)


def test_any_other_paper_is_no_measuring_sheet() -> None:
    paper = np.full((900, 700, 3), 245, np.uint8)
    cv2.putText(paper, "386.5", (200, 300), cv2.FONT_HERSHEY_SIMPLEX, 2, (30, 30, 30), 3)
    assert find_sheet(paper) is None


def test_an_empty_sheet_has_no_numbers() -> None:
    numbers = boxes(photographed(printed())[0], agreeing("236", 1.0, 1.0))
    assert numbers == ()


def test_each_box_gives_its_number_its_role_and_its_place() -> None:
    picture, true = photographed(filled({"ceiling-first": "236", "window-2-sill": "103.5"}), quarters=2)
    numbers = boxes(picture, agreeing("103.5", 0.99, 0.99))
    assert [(n.reader, n.role) for n in numbers] == [
        ("sheet box ceiling-first", Role.CEILING),
        ("sheet box window-2-sill", Role.SILL),
    ]
    box = next(b for b in SHEET_BOXES if b.id == "window-2-sill")
    outline = cv2.perspectiveTransform(np.array([box.corners_mm], np.float64), true)[0].astype(np.float32)
    for corner in numbers[1].box:
        assert cv2.pointPolygonTest(outline.reshape(-1, 1, 2), corner, False) >= 0


@pytest.mark.parametrize(
    ("text", "confidences", "accepted"),
    [
        ("236", (0.99, 0.99), True),
        ("236", (0.99, 0.6), False),
        ("236", (0.99,), False),
        ("136", (0.99, 0.99), False),
        ("2365", (0.99, 0.99), False),
    ],
)
def test_a_number_is_accepted_only_where_two_sure_readers_agree_on_a_plausible_length(
    text: str, confidences: tuple[float, ...], accepted: bool
) -> None:
    picture, _ = photographed(filled({"ceiling-first": "236"}))
    numbers = boxes(picture, agreeing(text, *confidences))
    assert [n.accepted for n in numbers] == [accepted]


def test_readers_that_disagree_give_both_texts_and_no_acceptance() -> None:
    picture, _ = photographed(filled({"ceiling-first": "236"}))
    numbers = boxes(picture, Readers((Says("a", "236", 0.98), Says("b", "286", 0.97))))
    (number,) = numbers
    assert not number.accepted
    assert {number.text, *(a.text for a in number.alternatives)} == {"236", "286"}


def test_real_readers_read_a_filled_sheet() -> None:
    """A regression guard on one seeded sheet; docs/letters.md says how well many are read."""
    readers = default_readers()
    if len(readers.crops) < 2:
        pytest.skip("fewer than two readers are installed: " + " ".join(readers.missing))
    lengths = {"ceiling-first": "236.5", "window-1-width": "120", "window-1-sill": "103.5", "door-1": "83"}
    numbers = boxes(photographed(filled(lengths))[0], readers)
    found = {n.reader.removeprefix("sheet box "): n for n in numbers}
    right = [
        box
        for box, text in lengths.items()
        if box in found and found[box].value_mm == round(float(text) * 10)
    ]
    assert len(right) >= 3
    assert not [n.text for box, n in found.items() if n.accepted and box not in right]


def test_the_layout_is_inside_the_page() -> None:
    def inside(box: SheetBox) -> bool:
        return all(0 < x < PAGE_MM[0] and 0 < y < PAGE_MM[1] for x, y in box.corners_mm)

    assert all(inside(box) for box in SHEET_BOXES)
    assert len({b.id for b in SHEET_BOXES}) == len(SHEET_BOXES)
