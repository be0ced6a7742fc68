"""A number confirmed in a phrase among other things is an answer, and never lost. No outside source: the phrases are
invented, and were lost without a trace in 224 of 342 places before (of each in three places)."""

from __future__ import annotations

import pytest

from intake.domain.words.whole_message import understand
from intake.model.need import NeedKind
from tests.words.test_replies import KITCHEN, LETTERS, facts_of

ENGLISH = (
    "Your reading is right", "The number you've got is right", "That wall is right", "You got the number right",
    "You've got that one right", "you read my scrawl correctly", "The first is right", "first one's right",
    "Number one is right", "1 is fine", "Correct on the wall", "I can confirm the number", "Number correct",
    "The number is as you read it", "It says what you read", "That is what I wrote", "it does say that",
    "That agrees with mine", "you read it just fine", "The answer to the first is yes", "number as you say",
)  # fmt: skip
GERMAN = (
    "Die Zahl ist richtig", "Das Maß stimmt", "Sie haben die Zahl richtig gelesen", "Die Wand stimmt", "Punkt 1 stimmt",
    "Die Zahl haben Sie richtig gelesen", "Mit der Zahl haben Sie recht", "Da liegen Sie richtig",
)  # fmt: skip
AROUND = {
    ENGLISH: "Sill 104, top 210, recess 12. {}. Fuse box in the hall, no gas, boiler in the loft.",
    GERMAN: "Brüstung 104, Oberkante 210, Laibung 12. {}. Sicherungskasten im Flur, kein Gas, Haupthahn im Bad.",
}


@pytest.mark.parametrize(("words", "around"), [(w, a) for words, a in AROUND.items() for w in words])
def test_a_number_confirmed_among_other_things_is_confirmed(words: str, around: str) -> None:
    found = understand(around.format(words), LETTERS["B"], KITCHEN, "<m>")
    assert "wall-sections=2835" in facts_of(found)
    assert "sill-height=1040" in facts_of(found)
    assert found.needs == ()


@pytest.mark.parametrize(
    "words",
    ["You have that number wrong", "The number is not right", "1: no!", "The second reading is wrong"],
)
def test_a_number_that_is_said_to_be_wrong_waits_for_a_person(words: str) -> None:
    found = understand(AROUND[ENGLISH].format(words), LETTERS["B"], KITCHEN, "<m>")
    assert "wall-sections=2835" not in facts_of(found)
    assert any(n.kind in (NeedKind.UNREAD, NeedKind.DISPUTE) for n in found.needs)
