"""A customer's slip is named beside what the ink says and never put in its place. Arithmetic by hand."""

from __future__ import annotations

import pytest

from intake.domain.sketch.decoding import Seen, decode
from intake.domain.sketch.wishes import with_wishes
from intake.model.reading import Alternative, Direction, Role

WALLS = {0: Direction.EAST}


def _notes(texts: list[str], overall: str) -> list[tuple[str, str]]:
    """The texts and notes of a wall's sections and its overall, each read surely."""
    sure = [Seen((Alternative(t, 0.99),), Role.SECTION, 0, 0.1) for t in texts]
    seen = [*sure, Seen((Alternative(overall, 0.99),), Role.OVERALL, 0, 0.8)]
    return [(d.text, d.note) for d in with_wishes(decode(seen, WALLS, "cm"), seen, "cm")]


def test_ten_times_too_much_is_named_and_the_ink_stands() -> None:
    (a, _), (slip, note), _, _ = _notes(["120", "1450", "75.5"], "340.5")
    assert (a, slip) == ("120", "1450")
    assert "The ink says 1450" in note and "145 cm" in note and "ten times" in note


@pytest.mark.parametrize(
    ("texts", "overall", "wanted", "why"),
    [
        (["120", "148", "75.5"], "379.5", "184 cm", "changed places"),
        (["120", "84", "75.5"], "379.5", "184 cm", "left out"),
    ],
)
def test_other_slips_are_named(texts: list[str], overall: str, wanted: str, why: str) -> None:
    _, (_, note), *_ = _notes(texts, overall)
    assert wanted in note and why in note


@pytest.mark.parametrize("overall", ["341", "340.5", "339.5"])
def test_a_wall_that_adds_up_as_a_tape_does_is_left_alone(overall: str) -> None:
    assert not any("would add up" in note for _, note in _notes(["120", "145", "75.5"], overall))


def test_a_gap_that_no_single_slip_explains_names_nobody() -> None:
    assert not any("would add up" in note for _, note in _notes(["120", "145", "75.5"], "533"))
