"""What sheets have besides walls: spans and overalls of several walls are lengths of the room; the truth says so."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from fixtures.benchmark.paper import paper_room
from fixtures.plain_plans.habits import EXTRAS as PLAIN_EXTRAS
from fixtures.plain_plans.layout import choose_habits, lay_out
from fixtures.plain_plans.photo import Photograph
from fixtures.plain_plans.room import other_room, random_room
from fixtures.plain_plans.truth import truth_of
from fixtures.sketches import render
from fixtures.sketches.across import runs, spans
from fixtures.sketches.habits import EXTRAS
from fixtures.training.sorter_pages import sorted_page
from intake.domain.room.closing import examine_room
from intake.reading.sorter import ACROSS, ROLES, SEVERAL
from tests.sketches.scenes import stroke_hands

L_ROOM = ((0, 0), (4000, 0), (4000, 1500), (2500, 1500), (2500, 3000), (0, 3000))


def test_the_spans_of_an_l_are_those_between_its_facing_walls() -> None:
    # By hand: top to the inner step 1500, top to the bottom 3000, right to left 4000, inner upright to left 2500.
    found = {(span.walls, span.mm) for span in spans(L_ROOM)}
    assert found == {((0, 2), 1500), ((0, 4), 3000), ((1, 5), 4000), ((3, 5), 2500)}


def test_the_rows_of_an_l_add_up_to_its_outer_walls() -> None:
    # By hand: 1500 + 1500 down the right, 1500 + 2500 along the bottom, each as long as the wall over against it.
    assert {(run.walls, run.mm) for run in runs(L_ROOM)} == {((1, 2, 3), 3000), ((2, 3, 4), 4000)}


def plain_truth(seed: int) -> dict[str, Any]:
    """A plain plan with every extra as laid out, without ink and photograph."""
    rng = np.random.default_rng(seed)
    room = other_room(rng) if seed % 2 else random_room(rng)
    hand = stroke_hands("test")[seed % 8]
    layout = lay_out(room, choose_habits(rng), hand, rng, "", tuple(PLAIN_EXTRAS), rng)
    return truth_of(layout, Photograph(np.zeros((1, 1, 3), np.uint8), b"", np.eye(3)))


def test_plain_plans_with_every_extra_still_add_up() -> None:
    truths = [plain_truth(seed) for seed in range(12)]
    assert all(examine_room(paper_room(truth)).closes for truth in truths)
    parts = {n["part"] for truth in truths for n in truth["numbers"]}
    assert {"span", "several", "unit", "detail", "island"} <= parts
    assert any(truth["words"] for truth in truths)
    for truth in truths:
        across = [n for n in truth["numbers"] if n["part"] == "span"]
        assert all(n["wall"] is None and len(n["between"]) == 2 and n["role"] == "unknown" for n in across)


@pytest.mark.parametrize("seed", range(3))
def test_a_sketch_with_every_extra_says_what_each_number_is_of(seed: int) -> None:
    extras = tuple(set(EXTRAS) - {"open"})
    sketch = render(seed, "test", slips=0, long_side=1000, hand=stroke_hands("test")[seed], extras=extras)
    for number in sketch.truth["numbers"]:
        if number["part"] == "span":
            assert number["wall"] is None and len(number["between"]) == 2
        if number["part"] == "several":
            assert number["wall"] in number["walls"] == number["between"]
    assert examine_room(paper_room(sketch.truth)).closes is not False
    page = sorted_page(sketch)
    told = {int(fact[0]) for fact in page.facts}
    parts = {n["part"] for n in sketch.truth["numbers"]}
    assert (len(ROLES) + ACROSS in told) == ("span" in parts)
    assert (len(ROLES) + SEVERAL in told) == ("several" in parts)


def test_a_sheet_without_extras_is_drawn_the_same_whether_there_are_any_or_not() -> None:
    style = render(4, "test", long_side=1000, extras=None).style
    assert set(style["extras"]) <= set(EXTRAS)
    assert render(4, "test", long_side=1000).style["extras"] == ()
