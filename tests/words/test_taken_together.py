"""A later message corrects, denies or withdraws what an earlier one said. The messages are invented."""

from __future__ import annotations

import pytest

from intake.domain.words.taken_together import taken_together
from intake.domain.words.whole_message import understand
from tests.words.test_replies import KITCHEN, LETTERS, _fact


def said(*messages: str, letter: str = "A") -> list[str]:
    found = [understand(m, LETTERS[letter], KITCHEN, f"<{n}>") for n, m in enumerate(messages)]
    given, statements = taken_together(found)
    assert {a.statement for a in given} <= set(statements)
    return [_fact(s) for s in statements]


@pytest.mark.parametrize(
    ("messages", "expected"),
    [
        (("The ceiling is 236", "Sorry, the ceiling is 238"), ["ceiling-height=2380"]),
        (("The ceiling is 236", "The ceiling is 238"), ["ceiling-height=2360", "ceiling-height=2380"]),
        (("4: 236", "Correction: 4: 238"), ["ceiling-height=2380"]),
        (("The sill is 104", "The ceiling should read 238, not 236"), ["sill-height=1040", "ceiling-height=2380"]),
        (("1: 380.5", "Sorry, it is 386.5 not 380.5"), ["wall-sections=3865"]),
        (("4: 236", "Please ignore my last email, I measured the wrong room"), ["ceiling-height=?2360"]),
        (("4: 236", "Please disregard the ceiling height I gave"), ["ceiling-height=?2360", "ceiling-height=?None"]),
        (("No gas here", "Thank you"), ["gas-meter=none"]),
        (("The gas meter is in the porch", "I think there is no gas"), ["gas-meter=place", "gas-meter=?none"]),
        (("4: 236", "The ceiling isn't 236"), ["ceiling-height=?2360"]),
    ],
)  # fmt: skip
def test_what_is_taken_back_later_no_longer_counts(messages: tuple[str, ...], expected: list[str]) -> None:
    assert said(*messages) == expected
