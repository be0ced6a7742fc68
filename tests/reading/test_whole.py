"""The whole-way benchmark: a sheet read perfectly scores full marks, and what is wrong is counted as wrong."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from fixtures.benchmark.paper import paper_room, true_length
from fixtures.benchmark.scoring import matched_walls, score
from fixtures.benchmark.scoring_rooms import score_room
from fixtures.benchmark.whole import drawn
from fixtures.plain_plans import plain_plan, plan
from fixtures.plain_plans.photo import Photograph
from fixtures.plain_plans.slips import MISSING, OUT_OF_PLACE, SLIPS
from intake.domain.room.closing import examine_room
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.model.reading import (
    Direction,
    Feature,
    OpeningKind,
    OutlineWall,
    ReadNumber,
    Role,
    SketchOutline,
    SketchReading,
)

Truth = dict[str, Any]


@pytest.fixture(autouse=True)
def _unphotographed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing here is read off a picture: the sheet lies as it was drawn."""
    monkeypatch.setattr(plan, "photograph", lambda page, rng: Photograph(page, b"", np.eye(3)))


@cache
def truth_of(seed: int, slip: str = "") -> Truth:
    """What stands on a plain plan."""
    return plain_plan(seed, "validation", slip).truth


def read_rightly(truth: Truth) -> SketchReading:
    """What a reader would give that makes no mistake."""
    walls = tuple(
        OutlineWall(w["wall"], tuple(w["from"]), tuple(w["to"]), Direction(w["direction"]))
        for w in truth["outline"]["walls"]
    )
    numbers = tuple(
        ReadNumber(
            n["text"],
            n["value_mm"],
            tuple(tuple(p) for p in n["box"]),
            1.0,
            True,
            role=Role(n["role"]),
            wall=n["wall"],
            span=_span(truth, n),
        )
        for n in truth["numbers"]
    )
    return SketchReading(1, 1, truth["unit"], numbers, SketchOutline(walls, True, _features(truth)))


def _cuts(truth: Truth, wall: int) -> list[float]:
    """Ends of a wall's pieces, 0 to 1, as if it were drawn to scale."""
    pieces = [mm for _, mm in truth["outline"]["walls"][wall]["pieces"]]
    return [sum(pieces[:n]) / sum(pieces) for n in range(len(pieces) + 1)]


def _span(truth: Truth, number: Truth) -> tuple[float, float] | None:
    if number["wall"] is None or number["piece"] is None:
        return None
    low, high = _cuts(truth, number["wall"])[number["piece"] : number["piece"] + 2]
    return low, high


def _features(truth: Truth) -> tuple[Feature, ...]:
    return tuple(
        Feature(OpeningKind(kind), n, tuple(_cuts(truth, n)[p : p + 2]), ((0, 0),) * 4)  # type: ignore[arg-type]
        for n, wall in enumerate(truth["outline"]["walls"])
        for p, (kind, _) in enumerate(wall["pieces"])
        if kind in ("door", "window", "doorway")
    )


def scored(truth: Truth) -> Any:
    return scored_as(truth, read_rightly(truth))


def scored_as(truth: Truth, reading: SketchReading) -> Any:
    return score_room(truth, reading, examine_room(room_from_reading(reading)))


@pytest.mark.parametrize("seed", range(4))
def test_a_plan_read_rightly_is_wholly_right(seed: int) -> None:
    score = scored(truth_of(seed))
    for name in ("walls within 15 mm", "rooms wholly right", "clean plans that close", "role and wall right"):
        assert score.hits[name] == score.of[name] > 0, name
    assert score.hits["clean plans with an alarm"] == 0
    assert score.hits["wrong walls without a mark"] == 0


@pytest.mark.parametrize("slip", SLIPS)
def test_a_planted_slip_is_written_recorded_and_found_by_whoever_reads_it_rightly(slip: str) -> None:
    truth = truth_of(3, slip)
    (planted,) = truth["slips"]
    assert planted["slip"] == slip
    if slip == MISSING:
        (left,) = truth["left_out"]
        assert not [n for n in truth["numbers"] if [n["wall"], n["piece"]] == left]
    else:
        (number,) = [n for n in truth["numbers"] if n["slip"]]
        assert number["text"] == planted["written"]
        assert number["value_mm"] != number["true_mm"] == planted["true_mm"]
    assert examine_room(paper_room(truth)).closes is False
    assert scored(truth).hits["planted slip listed"] == 1


@pytest.mark.parametrize("slip", OUT_OF_PLACE)
def test_a_number_in_the_wrong_place_is_drawn_there(slip: str) -> None:
    truth, right = truth_of(3, slip), truth_of(3)
    (planted,) = truth["slips"]
    (number,) = [n for n in truth["numbers"] if n["slip"]]
    assert (number["text"], number["wall"], number["piece"]) == (
        planted["written"],
        planted["wall"],
        planted["piece"],
    )
    assert len(truth["numbers"]) - len(right["numbers"]) == (slip == OUT_OF_PLACE[0])
    assert examine_room(paper_room(truth)).closes
    assert scored(truth).of["planted slip listed"] == 1


def test_a_wall_of_the_wrong_length_is_counted_and_its_missing_mark_too() -> None:
    truth = truth_of(0)
    reading = read_rightly(truth)
    examination = examine_room(room_from_reading(reading))
    first, *rest = examination.placed.walls
    placed = replace(
        examination.placed,
        walls=(replace(first, length_mm=true_length(truth["outline"]["walls"][0]) + 40), *rest),
    )
    score = score_room(truth, reading, replace(examination, placed=placed))
    assert score.of["walls within 15 mm"] - score.hits["walls within 15 mm"] == 1
    assert score.hits["rooms wholly right"] == 0
    assert score.hits["wrong walls without a mark"] == 1


def test_pieces_of_another_kind_or_in_another_order_are_counted() -> None:
    truth = truth_of(0)
    reading = read_rightly(truth)
    names = ("walls with pieces in order within 15 mm", "walls with the kinds of all pieces right")
    right = scored_as(truth, reading)
    assert [right.hits[name] - right.of[name] for name in names] == [0, 0]
    assert right.hits["right walls with wrong pieces unmarked"] == 0
    first, *rest = reading.outline.features
    other = next(kind for kind in OpeningKind if kind is not first.kind)
    changed = replace(reading.outline, features=(replace(first, kind=other), *rest))
    wrong = scored_as(truth, replace(reading, outline=changed))
    assert [wrong.of[name] - wrong.hits[name] for name in names] == [0, 1]
    assert wrong.hits["right walls with wrong pieces unmarked"] == 1
    turned = tuple(
        n if n.span is None else replace(n, span=(1 - n.span[1], 1 - n.span[0])) for n in reading.numbers
    )
    bare = replace(reading, numbers=turned, outline=replace(reading.outline, features=()))
    assert scored_as(truth, bare).hits[names[0]] < right.hits[names[0]]


def test_walls_are_matched_whichever_is_the_first_and_by_their_place_where_one_is_too_many() -> None:
    truth = truth_of(0)["outline"]["walls"]
    walls = read_rightly(truth_of(0)).outline.walls
    turned = tuple(replace(w, wall=(w.wall + 1) % len(walls)) for w in walls)
    assert matched_walls(turned, truth) == {(n + 1) % len(walls): n for n in range(len(walls))}
    far = OutlineWall(len(walls), (9000.0, 9000.0), (9100.0, 9000.0), Direction.EAST)
    assert matched_walls((*walls, far), truth) == {n: n for n in range(len(walls))}


def test_the_wall_of_a_number_is_right_whichever_corner_is_taken_for_the_first() -> None:
    truth = truth_of(0)
    reading = read_rightly(truth)
    count = len(reading.outline.walls)
    walls = tuple(replace(w, wall=(w.wall + 1) % count) for w in reading.outline.walls)
    numbers = tuple(n if n.wall is None else replace(n, wall=(n.wall + 1) % count) for n in reading.numbers)
    assert wall_hits(truth, reading) == wall_hits(
        truth, replace(reading, numbers=numbers, outline=replace(reading.outline, walls=walls))
    )
    assert wall_hits(truth, replace(reading, numbers=numbers)) < wall_hits(truth, reading)


def wall_hits(truth: Truth, reading: SketchReading) -> int:
    return score(reading, truth).wall_right


def test_every_fourth_sheet_has_a_slip() -> None:
    kinds = [[s["slip"] for s in drawn("plain", "validation", seed).truth["slips"]] for seed in (0, 3, 7)]
    assert kinds == [[], [SLIPS[0]], [SLIPS[1]]]
