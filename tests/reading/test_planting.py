"""Slips planted in what was seen of a plain plan, here seen without a mistake."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from fixtures.benchmark.paper import paper_room
from fixtures.benchmark.planting import KINDS, _alike, is_clean, spoiled, with_slip
from fixtures.benchmark.whole import Sheet, score_sheet
from fixtures.plain_plans.slips import MISSING
from intake.domain.room.closing import examine_room
from intake.model.reading import Alternative, Role
from intake.reading.numbers import placed
from intake.reading.sketch import SketchLook, reading_of
from intake.reading.sorter import SeenMeaning
from intake.reading.texts import ReadText
from intake.reading.tidy import Cutting
from tests.reading.test_whole import read_rightly, truth_of

SEED = 3


def seen(truth: dict[str, Any]) -> Sheet:
    """A sheet on which all is seen as it is written, every number clear."""
    right = read_rightly(truth)
    walls, places = right.outline.walls, []
    for number in truth["numbers"]:
        box = tuple(tuple(p) for p in number["box"])
        stretch = number["stretch"] or [[0.0, 0.0], [0.0, 0.0], [0.0, 0.0], [0.0, 0.0]]
        ends = tuple(tuple(p) for p in stretch[:2])
        says = (Alternative(number["text"], 0.99),)
        crop = np.zeros((1, 1), np.uint8)
        text = ReadText(Cutting(box, crop, box), says[0], says, 1.0, votes=(("own", says),), witness=says)
        roles = {
            role: 0.9 if role == number["role"] else 0.1 / 8 for role in Role if role is not Role.DIAGONAL
        }
        of_wall = float(number["wall"] is not None)
        told = SeenMeaning(roles, of_wall, ends, 0.0, 0.0, 0.0)
        places.append(placed(text, box, told, walls, [text], {}))
    look = SketchLook((1, 1), walls, right.outline.features, places, (), (), 0)
    return Sheet(SEED, truth, {}, look, reading_of(look), 0.0)


@pytest.fixture(scope="module")
def sheet() -> Sheet:
    return seen(truth_of(SEED))


def test_a_sheet_that_closes_is_clean_and_one_with_a_slip_is_not(sheet: Sheet) -> None:
    assert is_clean(sheet)
    assert not is_clean(seen(truth_of(SEED, "tape-metre")))


@pytest.mark.parametrize("kind", KINDS)
def test_a_slip_is_written_recorded_and_shows_on_paper(sheet: Sheet, kind: str) -> None:
    planted = with_slip(sheet, kind)
    assert planted is not None
    (slip,) = planted.truth["slips"]
    assert slip["slip"] == kind
    assert examine_room(paper_room(planted.truth)).closes is False
    reading = reading_of(planted.seen) if planted.seen else planted.reading
    if kind == MISSING:
        assert len(reading.numbers) == len(sheet.reading.numbers) - 1
    else:
        (number,) = [n for n in planted.truth["numbers"] if n["slip"]]
        assert number["text"] == slip["written"]
        assert abs(number["value_mm"] - slip["meant_mm"]) >= 30
        said = [n.text for n in reading.numbers]
        assert sorted(said) == sorted(n["text"] for n in planted.truth["numbers"])
    assert score_sheet(planted).of["planted slip listed"] == 1
    again = with_slip(sheet, kind)
    assert again is not None and again.truth == planted.truth


@pytest.mark.parametrize(
    ("kind", "text", "unit", "may_be"),
    [
        ("ten-times", "184.5", "cm", {"1845"}),
        ("ten-times", "184", "cm", {"1840"}),
        ("ten-times", "1840", "mm", {"184"}),
        ("digits-swapped", "12", "cm", {"21", "12"}),
        ("digit-dropped", "184.5", "cm", {"84.5", "14.5", "18.5"}),
        ("tape-metre", "184.5", "cm", {"84.5", "284.5"}),
        ("tape-decimetre", "1845", "mm", {"1745", "1945"}),
        ("digit-wrong", "3'4", "cm", {""}),
    ],
)
def test_what_a_slip_makes_of_a_text(kind: str, text: str, unit: str, may_be: set[str]) -> None:
    rng = np.random.default_rng(1)
    assert {spoiled(kind, text, unit, rng) for _ in range(60)} == may_be


def test_another_reading_of_the_ink_is_changed_alike() -> None:
    assert _alike("184", "184", "164") == "164"
    assert _alike("134", "184", "184") == "134"
    assert _alike("189", "184", "164") == "169"
    assert _alike("134", "184", "164") == "", "the sign that was doubtful is another now"
    assert _alike("1845", "184", "164") == ""
