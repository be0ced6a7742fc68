"""A mail of thousands of numbers or sentences takes a second, and a person reads what of it is not read. No outside
source: before the bounds, the first of these took 49 s and the third read nothing after its 400th sentence, in silence.
Dangers and wishes to be phoned are heard in all of it.
"""

from __future__ import annotations

import time

import pytest

from intake.domain.mail.rhythm import phone_asked
from intake.domain.words.cues import (
    LONGEST_SENTENCE,
    LONGEST_TEXT,
    MOST_NUMBERS,
    MOST_SENTENCES,
    MOST_WORDS,
    within_bounds,
)
from intake.domain.words.hazards import hazards
from intake.domain.words.waiting import TOO_LONG
from intake.domain.words.whole_message import understand
from intake.model.need import NeedKind
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


ANSWER = "386.5, 15, no gas, 241."
BEYOND = {
    "words": f"{ANSWER} " + "The weather is nice today. " * 260,
    "numbers": f"{ANSWER}\n" + "7 " * (MOST_NUMBERS + 1) + ".\n",
    "sentences": "Hm.\n" * (MOST_SENTENCES + 1),
    "characters": f"{ANSWER}\n" + f"{'x' * 99}\n" * (LONGEST_TEXT // 99),
    "an hour of typing": f"{ANSWER} " + "The weather is nice today. " * 1800,
    "a sentence": "word " * (LONGEST_SENTENCE // 5 + 1),
}


@pytest.mark.parametrize("before", BEYOND.values(), ids=BEYOND)
@pytest.mark.parametrize(
    ("danger", "why"),
    [("I smell gas.", "hazard-gas"), ("there are bare wires behind the cooker", "hazard-electricity")],
)
def test_a_danger_beyond_the_bounds_is_told_by_its_kind(before: str, danger: str, why: str) -> None:
    found = understand(before + danger, LETTERS["A"], KITCHEN)
    told = [need for need in found.needs if need.kind is NeedKind.HAZARD]
    assert [need.why.key for need in told] == [why]
    assert danger.rstrip(".") in told[0].text and len(told[0].text) <= LONGEST_SENTENCE
    assert TOO_LONG in [need.why for need in found.needs]


@pytest.mark.parametrize("before", [BEYOND["words"], BEYOND["a sentence"]])
def test_no_danger_beyond_the_bounds_is_made_up_or_told_twice(before: str) -> None:
    denied = understand(f"{before}There is no smell of gas.", LETTERS["A"], KITCHEN)
    assert not [need for need in denied.needs if need.kind is NeedKind.HAZARD]
    twice = understand(f"I smell gas.\n{before}I smell gas.", LETTERS["A"], KITCHEN)
    assert len([need for need in twice.needs if need.kind is NeedKind.HAZARD]) == 1


@pytest.mark.parametrize("before", BEYOND.values(), ids=BEYOND)
def test_a_wish_to_be_phoned_is_heard_beyond_the_bounds(before: str) -> None:
    assert phone_asked(f"{before}\nPlease ring me.") == "Please ring me."
    assert not phone_asked(f"{before}\nI'll ring you, I can ring me a cab.")


HOSTILE = {
    "dangers": "gas leak 1. " * 4000,
    "apostrophes": "boiler ' " * 5000,
    "one word": "x" * 50_000,
    "lines": "a\n" * 25_000,
    "wrapped lines": ("gas word " * 7 + "\n") * 800,
    "wishes": "I'll ring me, " * 3500,
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_dangers_and_wishes_are_looked_for_in_time(text: str) -> None:
    """Before, the apostrophes took 12 s in one sentence of that length, and the wishes 2 s."""
    began = time.process_time()
    hazards(text)
    phone_asked(text)
    assert time.process_time() - began < 1.0, "under .12 s on the machine it was written on"


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
