"""A mail of thousands of numbers or sentences takes a second, and a person reads what of it is not read. No outside
source: before the bounds, the first of these took 49 s and the third read nothing after its 400th sentence, in silence.
"""

from __future__ import annotations

import time

import pytest

from intake.domain.words.cues import MOST_NUMBERS, MOST_WORDS, within_bounds
from intake.domain.words.whole_message import TOO_LONG, understand
from tests.words.test_replies import KITCHEN, LETTERS

LONG = {
    "numbers in a line": "100 " * 4000,
    "numbers in words": "twenty, " * 2500,
    "sentences": "Both. " * 450 + "The sill is 104.",
    "one word over and over": "the " * 4000,
}


@pytest.mark.parametrize("text", LONG.values(), ids=LONG)
def test_a_long_mail_is_read_in_time_and_by_a_person(text: str) -> None:
    began = time.process_time()
    found = understand(text, LETTERS["A"], KITCHEN)
    assert time.process_time() - began < 8.0, "under 1 s on the machine it was written on"
    assert TOO_LONG in [need.why for need in found.needs]


@pytest.mark.parametrize(
    "sentence", ["The sill is 103.5 cm. ", "Sill 103.5\n", "It is 5' 3\" high. ", "No. "]
)
def test_what_is_read_ends_with_a_whole_sentence(sentence: str) -> None:
    read = within_bounds(sentence * 2000)
    assert len(read) < len(sentence * 2000) and read.rstrip().endswith(sentence.rstrip())


def test_as_much_as_a_customer_may_write_is_read_whole() -> None:
    survey = "\n".join(f"Wall {n}: {200 + n}" for n in range(MOST_NUMBERS // 2))
    assert within_bounds(survey) == survey
    words = " ".join(["words"] * MOST_WORDS)
    assert within_bounds(words) == words and within_bounds(f"{words} and more") == f"{words} "
