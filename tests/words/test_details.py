"""Details that random faults in the rules showed to be tested by nothing (python -m tests.mutants)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from intake.domain.words.spelled import in_figures
from intake.domain.words.whole_message import understand
from intake.model.letter import Ask
from tests.words.test_replies import KITCHEN, LETTERS, facts_of


@pytest.mark.parametrize(
    ("words", "figures"),
    [
        ("nought point five metres", "0.5 metres"),
        ("seven foot and eleven", "7 ft 11"),
        ("seven foot eleven", "7 ft 11"),
    ],
)
def test_spoken_lengths_in_figures(words: str, figures: str) -> None:
    assert in_figures(words).text == figures


HEIGHTS = (replace(LETTERS["B"][1], also=("head-height",)),)


@pytest.mark.parametrize(
    ("asks", "words", "facts"),
    [
        (LETTERS["C"], "The ceiling is two hundred and 40 everywhere.", "ceiling-height=2400"),
        (
            LETTERS["B"],
            "yes. sill one hundred and 3, top two hundred and 9, depth 12.",
            "wall-sections=2835 sill-height=1030 head-height=2090 reveal-depth=120",
        ),
        (LETTERS["A"], "386.5 is the answer to number 9", "wall-sections=3865"),
        ((), "Ceiling height 240 or 241 next to the boiler", "ceiling-height=?2400 ceiling-height=?2410"),
        (
            LETTERS["B"][1:2],
            "Window measurements: 101, 207 and 11.5",
            "sill-height=1010 head-height=2070 reveal-depth=115",
        ),
        (HEIGHTS, "a 105 b 210 c 12", "sill-height=?1050 head-height=?2100"),
    ],
)
def test_what_is_taken_from_a_reply(asks: Sequence[Ask], words: str, facts: str) -> None:
    """To a letter that asks for two heights of the window, the third length is of nobody knows what."""
    found = understand(words, asks, KITCHEN, "<m>")
    assert facts_of(found) == facts.split()
    assert found.needs == ()
