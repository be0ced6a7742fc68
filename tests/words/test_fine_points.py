"""What random faults in the rules of a person's words showed to be held by nothing (python -m tests.mutants).

No outside source: the replies are invented, what they say is plain."""

from __future__ import annotations

import pytest

from intake.domain.words.fates import Fate
from intake.domain.words.ours import without_letters
from intake.domain.words.whole_message import understand
from tests.words.test_replies import KITCHEN, LETTERS, facts_of

USED, ASIDE, UNREAD = Fate.USED, Fate.ASIDE, Fate.UNREAD


@pytest.mark.parametrize(
    ("letter", "words", "facts"),
    [
        # A bare length after the numbered answer to a request for three is of none of them for certain.
        ("B", "2. Sill is 101. Measured again: 102.", ["sill-height=?1020"]),
        # Nothing over nought is no part of a length.
        ("N", "The sill height is 103 1/0", ["sill-height=1030"]),
        ("N", "The sill height is 103 1/2", ["sill-height=1035"]),
        # What is taken back leaves its thing named: the next length may be of it.
        ("N", "Sill 104, wrong, 103", ["sill-height=?1040", "sill-height=?1030"]),
    ],
)
def test_what_is_taken_from_words(letter: str, words: str, facts: list[str]) -> None:
    assert facts_of(understand(words, LETTERS[letter], KITCHEN, "<m>")) == facts


@pytest.mark.parametrize(
    ("letter", "words", "fates"),
    [
        ("N", "The old dresser is 192 tall and is not staying.", [ASIDE, ASIDE]),
        ("B", "Make that 94 for the sill, had the tape on the rug.", [USED, ASIDE]),
        ("N", "Photos 1 to 4 attached, 5 and 6 to follow", [ASIDE, ASIDE, ASIDE]),
        ("N", "The wall is 3.2 long, 40", [UNREAD, UNREAD]),
    ],
)
def test_furniture_and_counts_need_nobody_and_a_length_of_nothing_does(
    letter: str, words: str, fates: list[Fate]
) -> None:
    assert [c.fate for c in understand(words, LETTERS[letter], KITCHEN, "<m>").clauses] == fates


LETTER = "Hello Tom,\n\nPlease measure the height from the floor to the ceiling, in two places.\n"


@pytest.mark.parametrize(
    "head",
    [
        "-----\nFrom: Ines",
        "From: Ines\nDate: 4 May",
        "-----\nFrom: Ines\nTo: Tom",
        "On 4 May 2026 Ines wrote:",
    ],
)
def test_every_line_of_a_letters_head_goes_with_it(head: str) -> None:
    assert without_letters(f"It is 243.\n\n{head}\n\n{LETTER}", [LETTER]) == "It is 243."
