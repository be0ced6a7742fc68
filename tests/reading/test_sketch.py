"""A plan drawn here with plain lines and a plotter's letters, read end to end; and pictures that hold no
plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
import pytest

from intake.model.reading import Direction, OutlineWall, Role
from intake.reading.readers import Readers
from intake.reading.sketch import default_readers, read_sketch
from intake.reading.unreadable import NO_SKETCH, SCREEN, TINY, is_screen, no_plan
from intake.wording import desk

CORNERS = [(300, 300), (1300, 300), (1300, 900), (300, 900)]
NUMBERS = {
    "120": (500, 370),
    "90.5": (1000, 370),
    "210.5": (750, 250),
    "H=236": (720, 620),
    "155": (1210, 620),
    "211": (760, 960),
}


def _plan(turns: int = 0) -> np.ndarray:
    page = np.full((1200, 1600, 3), 245, np.uint8)
    cv2.polylines(page, [np.asarray(CORNERS, np.int32)], True, (60, 50, 45), 5)
    for text, (x, y) in NUMBERS.items():
        cv2.putText(page, text, (x, y), cv2.FONT_HERSHEY_SIMPLEX, 1.6, (60, 50, 45), 4, cv2.LINE_AA)
    light = np.linspace(0.7, 1.0, 1600)[None, :, None]
    grain = np.random.default_rng(0).normal(0, 3, page.shape)
    return np.ascontiguousarray(np.rot90(np.clip(page * light + grain, 0, 255).astype(np.uint8), turns))


@pytest.fixture(scope="module")
def readers() -> Readers:
    found = default_readers()
    if found.words is None:
        pytest.skip("PP-OCR is not installed")
    return found


@pytest.mark.parametrize("turns", [0, 1], ids=["upright", "turned a quarter"])
def test_a_plain_plan_is_read_whole(readers: Readers, turns: int) -> None:
    reading = read_sketch(_plan(turns), readers)
    texts = {number.text for number in reading.numbers}
    assert set(NUMBERS) <= texts | {"H=" + t for t in texts}
    assert len(reading.outline.walls) == 4 and reading.outline.closed
    assert reading.unit == "cm"
    by_text = {number.text: number for number in reading.numbers}
    assert by_text["120"].value_mm == 1200 and by_text["90.5"].value_mm == 905
    assert by_text["120"].wall == by_text["90.5"].wall == by_text["210.5"].wall is not None
    assert by_text["210.5"].role is Role.OVERALL and "fit" in desk.worded(by_text["210.5"].arithmetic)
    (ceiling,) = [n for n in reading.numbers if n.role is Role.CEILING]
    assert ceiling.value_mm == 2360 and ceiling.wall is None


@pytest.mark.parametrize(
    ("picture", "code"),
    [
        (lambda: np.zeros((1200, 1600, 3), np.uint8), "blank-picture"),
        (lambda: np.full((1200, 1600, 3), 255, np.uint8), "blank-picture"),
        (lambda: cv2.resize(_plan(), (640, 480), interpolation=cv2.INTER_AREA), "too-small-to-read"),
        (lambda: np.zeros((1, 1, 3), np.uint8), "too-small-to-read"),
    ],
    ids=["black", "white", "640 pixels", "one pixel"],
)
def test_a_picture_that_cannot_be_read_gets_a_finding_and_no_numbers(
    picture: Callable[[], np.ndarray], code: str
) -> None:
    reading = read_sketch(picture(), Readers(()))
    assert code in [finding.code for finding in reading.findings]
    assert reading.numbers == () and not reading.outline.closed


def _bands(slant: float, wave: float) -> np.ndarray:
    """The plan with the bands that a camera's grid and a screen's make where they beat, `wave` pixels apart."""
    plan = _plan()
    ys, xs = np.mgrid[0 : plan.shape[0], 0 : plan.shape[1]]
    beat = 1 + 0.035 * np.sin((xs + slant * ys) * 2 * np.pi / wave)
    return np.clip(plan * beat[:, :, None], 0, 255).astype(np.uint8)


def _ruled(apart: int, both_ways: bool) -> np.ndarray:
    plan = _plan()
    for at in range(20, plan.shape[1], apart):
        cv2.line(plan, (0, at), (plan.shape[1], at + 9), (190, 160, 120), 2, cv2.LINE_AA)
        if both_ways:
            cv2.line(plan, (at, 0), (at - 9, plan.shape[0]), (190, 160, 120), 2, cv2.LINE_AA)
    return cv2.GaussianBlur(plan, (0, 0), 0.8)


@pytest.mark.parametrize(("slant", "wave"), [(0.4, 45), (-0.2, 22), (2.0, 60)])
def test_the_bands_of_a_photographed_screen_are_told_and_nothing_is_accepted(
    readers: Readers, slant: float, wave: float
) -> None:
    reading = read_sketch(_bands(slant, wave), readers)
    assert SCREEN in reading.findings
    assert not any(number.accepted for number in reading.numbers)


def test_print_that_shows_through_from_the_back_is_no_screen() -> None:
    """Lines of a letter on the back, blurred, evenly apart: as slow a wave as bands, but it only darkens."""
    plan = _plan()
    back = np.zeros(plan.shape[:2], np.float32)
    rng = np.random.default_rng(7)
    for top in range(10, plan.shape[0], 32):
        for left in range(0, plan.shape[1], 40):
            back[top : top + 9, left : left + int(rng.integers(18, 40))] = 1.0
    through = plan * (1 - 0.06 * cv2.GaussianBlur(back, (0, 0), 4))[:, :, None]
    assert not is_screen(np.clip(through, 0, 255).astype(np.uint8))


def test_paper_plain_lined_or_squared_is_no_screen() -> None:
    papers = [_plan(), _ruled(32, False), _ruled(32, True), _ruled(14, True)]
    assert [is_screen(paper) for paper in papers] == [False] * 4


def test_a_page_of_text_gives_no_numbers(readers: Readers) -> None:
    page = np.full((1600, 1200, 3), 250, np.uint8)
    line = "We would like to move the sink and the oven please"
    for i in range(0, 14, 2):
        cv2.putText(page, line[i:], (80, 140 + 100 * i), cv2.FONT_HERSHEY_SIMPLEX, 1.2, (40, 40, 40), 3)
    reading = read_sketch(page, readers)
    assert {finding.code for finding in reading.findings} & {"page-of-text", "no-sketch"}
    assert reading.numbers == ()


def test_noise_gives_no_numbers(readers: Readers) -> None:
    noise = np.random.default_rng(1).integers(0, 256, (1000, 1300, 3)).astype(np.uint8)
    assert read_sketch(noise, readers).numbers == ()


def test_without_any_reader_it_says_so_and_invents_nothing() -> None:
    reading = read_sketch(_plan(), Readers((), missing=("PP-OCR is not installed.",)))
    assert reading.numbers == ()
    assert {"reader-missing", "no-sketch"} <= {finding.code for finding in reading.findings}


def test_those_that_were_taught_read_a_plan_where_the_others_do_not_know_its_hand(
    readers: Readers, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The taught ones here read nothing: of a plotter's hand, which is known, they are not asked."""
    both = replace(readers, taught=Readers(()))
    assert read_sketch(_plan(), both).numbers == read_sketch(_plan(), readers).numbers != ()
    monkeypatch.setattr("intake.reading.texts.UNKNOWN_HAND", 0.0)
    assert read_sketch(_plan(), both).numbers == ()


def test_a_room_whose_numbers_cannot_be_read_is_no_missing_sketch() -> None:
    """Faint pencil on a small picture: the customer sent a plan, and is to be asked for a better picture of it."""
    walls = (OutlineWall(0, (0.0, 0.0), (9.0, 0.0), Direction.EAST),)
    assert no_plan(walls, (), [], 9) is TINY
    assert no_plan(walls, (), [], 2) is NO_SKETCH
    assert no_plan((), (), [], 9) is NO_SKETCH


def test_white_pencil_on_black_paper_is_read_as_well(readers: Readers) -> None:
    reading = read_sketch(255 - _plan(), readers)
    assert {n.text for n in reading.numbers} >= {"120", "90.5", "155", "211"}
    assert reading.outline.closed and len(reading.outline.walls) == 4
