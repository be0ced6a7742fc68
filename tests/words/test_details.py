"""Details that random faults in the rules showed to be tested by nothing (python -m tests.mutants)."""

from __future__ import annotations

import pytest

from intake.domain.words.spelled import in_figures


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
