"""The four texts beside a number that is looked at blind give its reading away to nobody who does not see the ink."""

from __future__ import annotations

from collections import Counter

import pytest

from fixtures.benchmark.scoring import wilson
from intake.domain.inspection.offered import ABSENT, offered

READ = [f"{n}{end}" for n in range(30, 460, 7) for end in ("", ".5", ",0")]


def test_from_each_of_the_four_the_same_four_would_have_been_made() -> None:
    """So they are as likely whichever of them was read: by Bayes' rule (1763) they tell nothing of it."""
    for seed, read in enumerate(READ):
        four = offered(read, seed)
        for text in four if read in four else ():
            assert sorted(offered(text, seed)) == sorted(four)


def test_the_reading_stands_anywhere_and_in_one_of_five_nowhere() -> None:
    seen = [(read, offered(read, 1000 * n + seed)) for n, read in enumerate(READ) for seed in range(5)]
    made = [(read, four) for read, four in seen if four]
    assert len(made) > 700
    assert all(len(set(four)) == 4 for _, four in made)
    places = Counter(four.index(read) if read in four else None for read, four in made)
    low, high = wilson(places[None], len(made), 3.3)
    assert low < ABSENT < high
    for place in range(4):
        low, high = wilson(places[place], len(made) - places[None], 3.3)
        assert low < 0.25 < high


def test_the_four_are_lengths_as_they_are_written() -> None:
    for seed, read in enumerate(READ):
        for text in offered(read, seed):
            assert text[0] != "0"
            assert len(text) == len(read)
            # What stands behind the point is left: most lengths end in a half or a whole one, which would tell.
            assert text.replace(",", ".").partition(".")[2] == read.replace(",", ".").partition(".")[2]


@pytest.mark.parametrize(
    ("read", "four"), [("38", {"38", "88", "33", "83"}), ("145.5", {"145.5", "195.5", "146.5", "196.5"})]
)
def test_two_digits_are_enough_and_of_three_the_first_is_left(read: str, four: set[str]) -> None:
    made = [offered(read, seed) for seed in range(20)]
    assert four in map(set, made)
    assert all(len(texts) == 4 for texts in made)


@pytest.mark.parametrize("read", ["", "7", "5.5", "20", "5'3\"", "2.36m", "H=236", "40x70"])
def test_what_has_no_two_such_digits_is_typed(read: str) -> None:
    assert offered(read, 1) == ()
