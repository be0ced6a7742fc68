"""What becomes of each clause of a reply: what was taken from it, or that it needs nobody, or a person. The replies are
invented, and what is right was judged by hand."""

from __future__ import annotations

import pytest

from intake.domain.words.fates import Fate
from intake.domain.words.whole_message import understand
from tests.words.test_replies import KITCHEN, LETTERS, facts_of

USED, BESIDES, ASIDE, UNREAD = Fate.USED, Fate.BESIDES, Fate.ASIDE, Fate.UNREAD


@pytest.mark.parametrize(
    ("letter", "words", "fates"),
    [
        (
            "C",
            "The ceiling is 240. Kind regards, Ann",
            [(USED, "1 ceiling-height"), (ASIDE, ""), (ASIDE, "")],
        ),
        ("C", "Yes. 240", [(ASIDE, ""), (USED, "1")]),
        ("C", "Hello, 2.40m everywhere", [(ASIDE, ""), (USED, "1")]),
        ("D", "It is 38", [(USED, "1")]),
        ("C", "The gas meter is in the porch. 240 by the door.", [(USED, "gas-meter"), (USED, "")]),
        ("C", "240, and the sill 101", [(USED, ""), (USED, "sill-height")]),
        ("A", "Yes.", [(UNREAD, "")]),
        ("A", "Yes that is right.", [(UNREAD, "")]),
        ("N", "Yes.", [(ASIDE, "")]),
        ("N", "No.", [(ASIDE, "")]),
        ("A", "The second one.", [(USED, "")]),
        ("A", "Neither. 3: the gas meter is outside.", [(BESIDES, ""), (USED, "3 gas-meter")]),
        ("A", "Yes, please. Number 3: no gas.", [(ASIDE, ""), (ASIDE, ""), (USED, "3 gas-meter")]),
    ],
)
def test_each_clause_is_used_or_needs_nobody_or_a_person(
    letter: str, words: str, fates: list[tuple[Fate, str]]
) -> None:
    """A bare yes to several requests is to one of them, nobody knows which; where nothing was asked it is talk."""
    found = understand(words, LETTERS[letter], KITCHEN, "<m>")
    assert [(c.fate, " ".join(c.about)) for c in found.clauses] == fates
    assert any(fate is UNREAD for fate, _ in fates) <= bool(found.needs)


@pytest.mark.parametrize(
    ("words", "ceiling"),
    [
        ("240 by the door.", "ceiling-height=2400"),
        ("The gas meter is in the porch. 240 by the door.", "ceiling-height=?2400"),
        ("240 but the boiler is at 150", "ceiling-height=?2400"),
    ],
)
def test_a_bare_length_is_the_one_that_was_asked_for_where_nothing_else_is_named(
    words: str, ceiling: str
) -> None:
    assert ceiling in facts_of(understand(words, LETTERS["C"], KITCHEN, "<m>"))
