"""Replies to a letter's numbered asks. The replies are invented; what they must mean is plain English."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.checklists import load_checklists
from intake.domain.said.by_mail import number_words
from intake.domain.said.plan_numbers import overridden_all
from intake.domain.survey.asking import requests_of
from intake.domain.words.own_words import without_ours
from intake.domain.words.whole_message import answers
from intake.model.checklist import RoomKind
from intake.model.letter import Ask
from intake.model.reading import Alternative, ReadNumber, Role, SketchOutline, SketchReading
from intake.wording import desk

KITCHEN = load_checklists(Path(__file__).parents[2] / "config" / "checklists")[RoomKind.KITCHEN]
ASKS = (
    Ask(
        "wall-sections",
        "Is the number in this picture 386.5 or 380.5?",
        choices=("386.5", "380.5"),
        picture="p",
        number=3,
    ),
    Ask("reveal-depth", "Please measure how deep the window recess is, from 5 to 30 cm."),
    Ask(
        "gas-meter", "Please photograph the gas meter and say where it is - or tell us that there is no gas."
    ),
    Ask("ceiling-height", "Please measure the height from the floor to the ceiling, in two places."),
)
WINDOW = (Ask("sill-height", "Please measure these.", also=("head-height", "reveal-depth")),)
Found = set[tuple[int, str, str, int | None]]


def found(text: str, asks: tuple[Ask, ...] = ASKS) -> Found:
    return {
        (a.ask, a.statement.item, str(a.statement.kind), a.statement.value_mm)
        for a in answers(text, asks, KITCHEN)
    }


SECTION = (1, "wall-sections", "value", 3865)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1: 386.5", {SECTION}),
        ("1. 386.5", {SECTION}),
        ("1) 386.5cm", {SECTION}),
        ("1 - 386.5", {SECTION}),
        ("no 1 is 386.5", {SECTION}),
        ("Q1 386.5", {SECTION}),
        ("#1: 386.5", {SECTION}),
        ("first one 386.5cm and no gas", {SECTION}),
        ("The first is 386.5", {SECTION}),
        ("386.5", {SECTION}),
        ("It's 386.5.", {SECTION}),
        ("It is 386.5 not 380.5", {SECTION}),
        ("1: the first one", {SECTION}),
        ("1: 3.865m", {SECTION}),
        ("1: 3865mm", {SECTION}),
        ("1: neither, it's 388", {(1, "wall-sections", "value", 3880)}),
        ("the second is 12 and the boiler is in the loft", {(2, "reveal-depth", "value", 120)}),
        ("2: 12\n4: 2.36m", {(2, "reveal-depth", "value", 120), (4, "ceiling-height", "value", 2360)}),
        ("1 - 386.5, 2 - 12", {SECTION, (2, "reveal-depth", "value", 120)}),
        ("3: none", {(3, "gas-meter", "absence", None)}),
        ("3: no gas here", {(3, "gas-meter", "absence", None)}),
        ("3: in the hall", {(3, "gas-meter", "place", None)}),
        ("4: couldn't reach", {(4, "ceiling-height", "could-not", None)}),
        ("1: not sure, 386 I think", {(1, "wall-sections", "doubtful", 3860)}),
        ("1: 386.5?", {(1, "wall-sections", "doubtful", 3865)}),
        ("Hello,\n\n1. 386.5\n2. 12\n\nThanks, Anna", {SECTION, (2, "reveal-depth", "value", 120)}),
        ("1: 380.5 or 386.5, I can't tell", {(1, "wall-sections", "could-not", None)}),
        ("1: yes", set()),
        ("9: 386.5", {(1, "wall-sections", "doubtful", 3865)}),
        ("Thank you, will do", set()),
        ("The first thing I noticed is that it is raining", set()),
        ("Version 1.386", set()),
    ],
)
def test_a_reply_is_understood(text: str, expected: Found) -> None:
    assert found(text) == expected


def test_our_own_asks_pasted_back_do_not_answer_themselves() -> None:
    pasted = "\n".join(f"{n}. {ask.question}" for n, ask in enumerate(ASKS, 1))
    assert found(pasted) == set()
    assert found("> 1. Is the number in this picture 386.5 or\n> 380.5?\n") == set()


def test_an_answer_under_each_pasted_ask_counts() -> None:
    text = f"1. {ASKS[0].question}\n380.5\n2. Please measure how deep the window\nrecess is, from 5 to 30 cm.\n12"
    assert found(text) == {(1, "wall-sections", "value", 3805), (2, "reveal-depth", "value", 120)}
    assert "386.5" not in without_ours(text, ASKS)


def test_yes_takes_the_only_choice() -> None:
    asks = (Ask("wall-sections", "We read 386.5. Is that right?", choices=("386.5",), picture="p", number=0),)
    assert found("Yes, that's right", asks) == {SECTION}
    assert found("no", asks) == set()


def test_three_lengths_answer_an_ask_for_three_in_its_order() -> None:
    assert found("1: 103.5, 208 and 12", WINDOW) == {
        (1, "sill-height", "value", 1035),
        (1, "head-height", "value", 2080),
        (1, "reveal-depth", "value", 120),
    }
    assert found("1: reveal 12, sill 103.5", WINDOW) == {
        (1, "sill-height", "value", 1035),
        (1, "reveal-depth", "value", 120),
    }
    assert found("1: 103.5 and 12", WINDOW) == {
        (1, "sill-height", "doubtful", 1035),
        (1, "reveal-depth", "doubtful", 120),
    }


def test_an_answer_settles_its_number_and_keeps_what_was_read() -> None:
    box = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    numbers = tuple(
        ReadNumber("380.5", 3805, box, 0.5, False, (Alternative("386.5", 0.4),), Role.SECTION)
        for _ in range(4)
    )
    readings = {"p": SketchReading(10, 10, "cm", numbers, SketchOutline((), True))}
    settled = overridden_all(readings, number_words(answers("1: 386.5", ASKS, KITCHEN)))["p"].numbers[3]
    assert (settled.text, settled.value_mm, settled.accepted, settled.reader) == (
        "386.5",
        3865,
        True,
        "customer",
    )
    assert settled.alternatives[0].text == "380.5"
    assert "386.5" in desk.worded(settled.arithmetic)
    assert overridden_all(readings, number_words(answers("1: 386.5?", ASKS, KITCHEN))) == readings


@given(st.text(max_size=300))
def test_any_reply_is_survived(text: str) -> None:
    for answer in answers(text, ASKS, KITCHEN):
        assert 1 <= answer.ask <= len(ASKS)


def test_two_letters_ask_for_the_same_by_their_items_and_of_numbers_by_their_questions() -> None:
    """Also where a designer has worded the question anew."""
    height, number = (
        Ask("ceiling-height", "How high?"),
        Ask("sill-height", "38 or 83?", picture="p", number=3),
    )
    walls = Ask("wall-sections", "Which is it?")
    want = ("ceiling-height", "sill-height 38 or 83?", "wall-sections Which is it?")
    assert requests_of([height, replace(height, question="How tall?"), number, walls]) == want
    assert requests_of([height, replace(number, question="Which?", reworded="38 or 83?"), walls]) == want
    assert requests_of([replace(number, question="3 or 8?")]) == ("sill-height 3 or 8?",)
    assert requests_of([replace(height, also=("reveal-depth",))]) == ("ceiling-height", "reveal-depth")
