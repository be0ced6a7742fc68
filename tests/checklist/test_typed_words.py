"""What a customer's own words say. The sentences are invented; what they must mean is plain English."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.checklists import load_checklists
from intake.domain.words.whole_message import statements
from intake.model.checklist import RoomKind
from intake.model.word import Statement, StatementKind

LISTS = load_checklists(Path(__file__).parents[2] / "config" / "checklists")
KITCHEN = LISTS[RoomKind.KITCHEN]
LENGTHS = {"ceiling-height", "sill-height", "head-height", "reveal-depth"}


def said(text: str, room: RoomKind = RoomKind.KITCHEN) -> set[tuple[str, str, int | None]]:
    found = statements(text, LISTS[room])
    return {(s.item, str(s.kind), s.value_mm) for s in found}


def values(text: str) -> set[tuple[str, int | None]]:
    return {(i, v) for i, k, v in said(text) if k == "value"}


def of(kind: str, text: str) -> set[str]:
    return {i for i, k, _ in said(text) if k == kind}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("ceiling height is 2.36m", {("ceiling-height", 2360)}),
        ("Ceiling height: 236", {("ceiling-height", 2360)}),
        ("The ceiling is 236 cm in two places", {("ceiling-height", 2360)}),
        ("ceiling 2360mm", {("ceiling-height", 2360)}),
        ("ceiling height 2.36", {("ceiling-height", 2360)}),
        ("ceiling height 2360", {("ceiling-height", 2360)}),
        ("the sill is 103 and a half", {("sill-height", 1035)}),
        ("the ceiling is two metres forty", {("ceiling-height", 2400)}),
        ("recess 14", {("reveal-depth", 140)}),
        ("the sill is 1.1", set()),
        ("the sill is 210", set()),
        ("The ceiling is 2m36 high.", {("ceiling-height", 2360)}),
        ("The height of the ceiling is 236.5.", {("ceiling-height", 2365)}),
        ("ceiling height 236,5 cm", {("ceiling-height", 2365)}),
        ("Floor to ceiling: 7'9\"", {("ceiling-height", 2362)}),
        ("H=236", {("ceiling-height", 2360)}),
        ("236 is the ceiling height", {("ceiling-height", 2360)}),
        ("We have a 236cm ceiling height", {("ceiling-height", 2360)}),
        ("Sorry I forgot: the ceiling height is 236", {("ceiling-height", 2360)}),
        ("I made a mistake, the ceiling is 236", {("ceiling-height", 2360)}),
        ("Height of ceiling 236 and the fuse box is in the hall", {("ceiling-height", 2360)}),
        ("The kitchen ceiling is 236", {("ceiling-height", 2360)}),
        ("Hi, sill 103.5", {("sill-height", 1035)}),
        ("The window sill is 120 wide and 103.5 high", {("sill-height", 1035)}),
        ("The sill is 103.5 above the floor", {("sill-height", 1035)}),
        ("Sill - 103.5", {("sill-height", 1035)}),
        ("The reveal is 12cm deep.", {("reveal-depth", 120)}),
        (
            "ceiling 236, sill 103.5, reveal 12",
            {("ceiling-height", 2360), ("sill-height", 1035), ("reveal-depth", 120)},
        ),
        ("ceiling and sill heights are 236 and 103.5", {("ceiling-height", 2360), ("sill-height", 1035)}),
        ("Ceiling: 236\nSill: 103.5\n", {("ceiling-height", 2360), ("sill-height", 1035)}),
        ("- Ceiling: 236\n- Sill: 103.5\n", {("ceiling-height", 2360), ("sill-height", 1035)}),
        ("ceiling 236 at one end, 234.5 at the other", {("ceiling-height", 2360), ("ceiling-height", 2345)}),
        ("The ceiling is 236 and I couldn't measure the sill", {("ceiling-height", 2360)}),
        ("I couldn't reach the boiler, but the ceiling is 236", {("ceiling-height", 2360)}),
        ("The ceiling is 236, is that enough?", {("ceiling-height", 2360)}),
        ("The ceiling is 236. Do you need the sill height too?", {("ceiling-height", 2360)}),
        ("The worktop is 90 high and from worktop to sill 13.5", {("sill-height", 1035)}),
        ("The ceiling is 236 not 263", {("ceiling-height", 2360)}),
        ("You asked for the ceiling height. It is on the plan.", set()),
        ("As you asked, I have measured\nthe ceiling height and it is\n236 cm", {("ceiling-height", 2360)}),
        ("There are 2 windows and 14 sockets, the ceiling is 241", {("ceiling-height", 2410)}),
        ("Photo 3 shows the ceiling, which is 236 high", {("ceiling-height", 2360)}),
        ("On 14 May I measured the ceiling at 236", {("ceiling-height", 2360)}),
    ],
)
def test_a_length_that_is_told_counts(text: str, expected: set[tuple[str, int | None]]) -> None:
    assert values(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "I couldn't measure the ceiling",
        "I couldn't measure the ceiling, 236 is the best I can do from memory",
        "I could not get to 236 for the ceiling",
        "I haven't measured the ceiling height yet",
        "Will send the ceiling height later",
        "I'll measure the ceiling tomorrow, 236 I think it was",
        "The ceiling is not 236",
        "The ceiling isn't 236",
        "The ceiling is about 236",
        "The ceiling is roughly 236 cm",
        "ceiling ~236",
        "ceiling 236ish",
        "I think the ceiling is 236",
        "The ceiling should be 236",
        "The ceiling is 236, I couldn't measure it properly",
        "Is the sill 103 or so?",
        "sill 103?",
        "Do you need the ceiling height?",
        "Could the ceiling be 236?",
        "The ceiling will be 236 after the new floor",
        "We would like the ceiling lowered to 230",
        "The ceiling light is 236 from the wall",
        "The ceiling drops by 30 lower over the door",
        "The ceiling is 2 cm lower at the window",
        "From the sill to the ceiling is 132",
        "From the worktop to the sill is 13.5",
        "The ceiling is at least 230",
        "The window sill is 120 wide",
        "> ceiling height is 236",
        "Thanks!\n\nOn Tue, 3 Nov 2026 at 10:00, Rooms <rooms@showroom.example> wrote:\nthe ceiling height is 236",
        "Thanks\n-----Original Message-----\nceiling height 236",
        "Please measure the ceiling height, 236.5 or 230.5",
        "My phone is 07700 900123, ceiling height to follow",
        "The tiles below the ceiling are 20 x 20",
        "If the ceiling is 236 will it fit?",
        "The ceiling height in the hall is 245",
        "In the lounge, the ceiling is 240",
        "Our old kitchen had a ceiling of 250",
        "In my mum's house the ceiling is 240",
        "Ignore the ceiling height of 236",
        "The ceiling height of 236 I gave was wrong",
        "The ceiling is 236 or 238",
    ],
)
def test_a_denial_a_guess_a_question_or_a_promise_is_never_a_value(text: str) -> None:
    assert values(text) == set()


@pytest.mark.parametrize(
    ("text", "items"),
    [
        ("I couldn't measure the ceiling", {"ceiling-height"}),
        ("I couldn't measure the ceiling and the sill", {"ceiling-height", "sill-height"}),
        ("I couldn't measure the ceiling or the sill", {"ceiling-height", "sill-height"}),
        (
            "The ceiling, the sill and the reveal I haven't measured yet",
            {"ceiling-height", "sill-height", "reveal-depth"},
        ),
        ("Will send the ceiling height later", {"ceiling-height"}),
        ("We don't know where the stop tap is", {"water-main"}),
        ("No idea where the consumer unit is", {"consumer-unit"}),
        ("The ceiling height: I couldn't measure it.", {"ceiling-height"}),
        ("I don't have the ceiling height yet", {"ceiling-height"}),
    ],
)
def test_what_could_not_be_measured_is_noted(text: str, items: set[str]) -> None:
    assert of("could-not", text) == items


@pytest.mark.parametrize(
    ("text", "value_mm"),
    [
        ("Is the sill 103 or so?", 1030),
        ("sill about 103", 1030),
        ("I think the sill is 103.5", 1035),
        ("sill 103?", 1030),
    ],
)
def test_a_guess_is_kept_as_doubtful_with_its_figure(text: str, value_mm: int) -> None:
    assert ("sill-height", "doubtful", value_mm) in said(text)


@pytest.mark.parametrize(
    "text",
    [
        "No gas in the house",
        "there's no gas",
        "There is no mains gas here.",
        "We're all electric",
        "The house is all-electric",
        "We don't have gas",
        "We do not have a gas meter",
        "We haven't got gas",
        "Gas meter: none",
        "Gas meter - n/a",
        "gas: no",
        "The flat is without gas",
        "first one 386.5cm and no gas",
        "We are not on gas.",
        "The property is not connected to gas",
        "Gas isn't connected here",
    ],
)
def test_no_gas_is_a_full_answer(text: str) -> None:
    assert of("absence", text) == {"gas-meter"}


@pytest.mark.parametrize(
    "text",
    [
        "No gas hob, please",
        "There is no smell of gas",
        "I have no photo of the gas meter",
        "No gas in the kitchen",
        "No gas meter visible",
        "No gas meter picture yet",
        "I think there is no gas",
        "Is there no gas?",
        "We don't have the gas meter photo yet",
        "There's no gas on that wall as far as I know",
        "We're not all electric",
        "No window on the left wall",
        "no idea about the gas",
        "We do not want gas",
        "no problem with the gas meter",
    ],
)
def test_what_is_no_full_absence_does_not_count_as_one(text: str) -> None:
    assert of("absence", text) == set()


def test_a_room_without_a_window_needs_none_of_its_heights() -> None:
    assert of("absence", "The kitchen has no window") == {"sill-height", "head-height", "reveal-depth"}


@pytest.mark.parametrize(
    ("text", "items"),
    [
        ("The consumer unit is in the hall", {"consumer-unit"}),
        ("stop tap under the sink", {"water-main"}),
        ("Boiler's in the loft", {"boiler"}),
        ("the gas meter is outside", {"gas-meter"}),
        ("In the hall there is a consumer unit", {"consumer-unit"}),
        ("Consumer unit: in the cupboard by the front door", {"consumer-unit"}),
        ("Here's a photo of the fuse box in the hall", {"consumer-unit"}),
        ("The boiler is in the loft and the stopcock is under the stairs", {"boiler", "water-main"}),
        ("I didn't photograph the gas meter but it's under the stairs", {"gas-meter"}),
        ("Boiler: loft", {"boiler"}),
        ("Consumer unit - hall cupboard", {"consumer-unit"}),
        ("The mains water comes in under the sink", {"water-main"}),
        ("The gas meter and consumer unit are both under the stairs", {"gas-meter", "consumer-unit"}),
        ("The boiler, fuse box and gas meter are in the garage", {"boiler", "consumer-unit", "gas-meter"}),
    ],
)
def test_a_place_is_an_answer(text: str, items: set[str]) -> None:
    assert of("place", text) == items


@pytest.mark.parametrize(
    "text",
    [
        "The picture of the consumer unit is in the next email",
        "The gas meter is in the photo",
        "We want the boiler in the utility room",
        "The boiler will be moved to the loft",
        "Is the consumer unit in the hall a problem?",
        "The boiler isn't in the kitchen",
        "I'll send the gas meter on Monday",
        "I don't know if the stop tap is under the sink",
        "The boiler is on the plan",
    ],
)
def test_what_is_no_place_does_not_count_as_one(text: str) -> None:
    assert of("place", text) == set()


def test_items_that_words_alone_answer_take_what_is_said() -> None:
    assert ("hob", "said", None) in said("We have an induction hob")
    assert ("building", "said", None) in said("The house was built in 1935")
    assert ("hob", "said", None) not in said("Would an induction hob fit?")


def test_each_statement_keeps_its_sentence_and_message() -> None:
    (found,) = statements("Hello.\nThe ceiling height is 2.36m.\nBye", KITCHEN, "<a@b.example>")
    expected = Statement(
        "ceiling-height", StatementKind.VALUE, "The ceiling height is 2.36m", 2360, "<a@b.example>"
    )
    assert found == expected


def test_a_bath_recess_is_measured_in_words() -> None:
    assert ("bath-recess", "value", 1695) in said("the bath recess is 169.5", RoomKind.BATHROOM)


@given(st.text(max_size=400))
def test_any_text_is_survived(text: str) -> None:
    for statement in statements(text, KITCHEN):
        assert statement.kind is not StatementKind.VALUE or statement.value_mm is not None


NEGATIONS = [
    "I couldn't measure",
    "We can't reach",
    "I haven't measured",
    "I will measure",
    "I was unable to measure",
]


@given(
    st.sampled_from(NEGATIONS),
    st.sampled_from(["the ceiling", "the sill", "the reveal", "the ceiling height"]),
    st.integers(1, 300),
)
def test_no_figure_in_a_clause_that_says_could_not_ever_counts(
    negation: str, thing: str, figure: int
) -> None:
    for text in (
        f"{negation} {thing} {figure}",
        f"{negation} {thing} to {figure} cm",
        f"{negation} {thing} ({figure})",
    ):
        assert values(text) == set()
