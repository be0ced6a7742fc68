"""Dangers that customers tell of reach a person first and are evidence for nothing. The sentences are invented.

What the advice says follows the National Gas Emergency Service (0800 111 999), HSE's pages on gas and asbestos and the
network operators' 105, all from memory.
"""

from __future__ import annotations

import pytest

from intake.domain.words.hazards import hazard_in, hazards
from intake.domain.words.whole_message import understand
from intake.model.need import NeedKind
from intake.model.word import StatementKind
from intake.wording.desk import worded
from tests.words.test_replies import KITCHEN, LETTERS

TOLD = [
    ("gas", "there's a smell of gas by the meter"),
    ("gas", "The gas meter is under the stairs, it smells of gas in there"),
    ("gas", "By the way there has been a funny smell of gas in there since Sunday"),
    ("gas", "Es riecht nach Gas in der Küche"),
    ("carbon-monoxide", "Our carbon monoxide alarm went off last night"),
    ("carbon-monoxide", "the CO alarm keeps going off near the boiler"),
    ("carbon-monoxide", "der CO-Melder piept ständig"),
    ("carbon-monoxide", "the boiler has a yellow flame"),
    ("electricity", "Consumer unit in the hall but there are bare wires hanging out of it"),
    ("electricity", "I got a shock off the fuse box"),
    ("electricity", "Die Kabel hängen offen aus der Wand"),
    ("asbestos", "the surveyor says the tiles underneath are asbestos"),
    ("fall", "I fell off the ladder measuring the ceiling"),
    ("fall", "I've broken my wrist"),
    ("fall", "Meine Mutter ist von der Leiter gefallen"),
    ("water", "a pipe burst in the kitchen"),
    ("water", "There's a burst pipe under the sink"),
    ("water", "Wir haben einen Rohrbruch"),
    ("collapse", "Part of the ceiling came crashing down"),
]
HARMLESS = [
    "There is no smell of gas",
    "The gas meter is in the hall",
    "we have a CO alarm in the hall",
    "The wires live under the stairs",
    "the fuse box is hanging on the wall in the hall",
    "the ceiling falls from 240 to 236",
    "there is no asbestos",
    "the light switch is by the open door",
    "Sorry, we fell behind with this",
    "I have broken the tape measure",
    "he fell asleep",
    "the pipe burst two years ago",
]


@pytest.mark.parametrize(("name", "sentence"), TOLD)
def test_a_danger_reaches_a_person_first_and_is_evidence_for_nothing(name: str, sentence: str) -> None:
    hazard = hazard_in(sentence)
    assert hazard == name
    for letter in ("A", "B", "N"):
        for words in (sentence, f"3: {sentence}"):
            found = understand(words, LETTERS[letter], KITCHEN)
            assert NeedKind.HAZARD in [n.kind for n in found.needs]
            said = [*found.statements, *(a.statement for a in found.answers)]
            assert not [s for s in said if s.kind is not StatementKind.COULD_NOT]
    assert [n.kind for n in hazards(f"Hello.\n{sentence}.\nThanks")] == [NeedKind.HAZARD]


@pytest.mark.parametrize("sentence", HARMLESS)
def test_what_is_no_danger_calls_nobody_out(sentence: str) -> None:
    assert hazard_in(sentence) is None


def test_the_advice_is_to_leave_to_touch_no_switch_and_to_ring_the_emergency_service() -> None:
    (need,) = hazards("It smells of gas in the kitchen")
    for words in ("no switches", "leave", "0800 111 999", "registered engineer"):
        assert words in worded(need.why)


def test_a_danger_below_a_delimiter_is_heard() -> None:
    found = understand(
        "241 and 242\n-- \nJim Hale\nThe socket by the door sparks", LETTERS["C"], KITCHEN, "<m>"
    )
    assert [n.kind for n in found.needs] == [NeedKind.HAZARD]
