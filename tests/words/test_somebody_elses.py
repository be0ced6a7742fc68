"""What is told of somebody else's home is taken for nothing here, however it is said whose it is. No outside source:
the sentences are put together from their parts."""

from __future__ import annotations

import pytest

from intake.domain.words.somebody_elses import without_theirs
from intake.domain.words.whole_message import understand
from tests.words.test_replies import KITCHEN, LETTERS, facts_of

THEIRS = [
    "Her ceiling is only {}",
    "Hers is only {}",
    "His is {}",
    "Theirs is {} at the window",
    "Next door's is {}",
    "At mum's it's {}",
    "At Dave's it was {}",
    "Mum's is {}",
    "My sister's ceiling is {}",
    "She's got ceilings of {}",
    "The neighbours have {}",
    "Seine ist nur {}",
    "Deren Decke ist nur {}",
    "Bei Oma sind es {}",
]
BEHIND = [
    "The ceiling is 242. {}.",
    "386.5. 14. No gas. The ceiling is 242. {}!",
    "386.5, 14, none, 242. {}.",
    "242, {}",
]


@pytest.mark.parametrize("theirs", THEIRS)
@pytest.mark.parametrize("behind", BEHIND)
def test_the_height_of_another_home_is_none_of_this_one(theirs: str, behind: str) -> None:
    letter = "C" if behind.startswith("242") else "A"
    found = facts_of(understand(behind.format(theirs.format(228)), LETTERS[letter], KITCHEN, "<m>"))
    assert not any("2280" in f and "?" not in f for f in found)
    assert {"ceiling-height=2420", "ceiling-height=?2420"}.intersection(found)


@pytest.mark.parametrize("ours", ["ours is", "mine is", "in ours", "unsere ist"])
def test_what_is_said_to_be_the_customers_own_is_heard_beside_it(ours: str) -> None:
    found = facts_of(understand(f"Hers is 228, {ours} 242", LETTERS["C"], KITCHEN, "<m>"))
    assert found == ["ceiling-height=2420"]


@pytest.mark.parametrize(
    "measured",
    [
        "her tape says 242",
        "his reading is 242",
        "Dave's measured it at 242",
        "I asked her, the ceiling is 242",
    ],
)
def test_who_measured_here_is_heard(measured: str) -> None:
    assert without_theirs(measured) == measured


def test_every_place_in_a_sentence_stays() -> None:
    heard = without_theirs("Ceiling 242, hers 228, recess 14")
    assert heard == "Ceiling 242,      " + "   " + ", recess 14"
