"""Where each item stands. What each case must give is the survey's own rule, stated beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from intake.checklists import load_checklists
from intake.domain.survey.readiness import not_ready
from intake.domain.survey.standings import NO_FAULT, assess, clash_of
from intake.domain.words.whole_message import answers, statements
from intake.model.checklist import EvidenceKind, ItemEvidence, ItemStanding, ItemState, RoomKind
from intake.model.finding import Finding
from intake.model.letter import Ask
from intake.model.phrase import as_said
from intake.model.picture import Picture, Subject
from intake.model.reading import Role, SketchReading
from intake.model.word import Confirmation
from intake.wording.desk import sentence
from tests.checklist.build import number, picture, reading, room_pictures, whole_room

KITCHEN = load_checklists(Path(__file__).parents[2] / "config" / "checklists")[RoomKind.KITCHEN]
PLAN = picture("plan", Subject.SKETCH)
SERVICES = [
    picture(s.value, s)
    for s in (Subject.CONSUMER_UNIT, Subject.GAS_METER, Subject.BOILER, Subject.WATER_MAIN)
]
EVERYTHING = [PLAN, *room_pictures(4), *SERVICES]


def standing(
    item: str,
    plan: SketchReading | None = None,
    words: str = "",
    pictures: list[Picture] | None = None,
    findings: tuple[Finding, ...] = (),
    confirmations: tuple[Confirmation, ...] = (),
) -> ItemStanding:
    readings = {"plan": plan} if plan else {}
    shown = EVERYTHING if pictures is None else pictures
    found = assess(KITCHEN, readings, shown, statements(words, KITCHEN), findings, confirmations)
    return next(s for s in found if s.item.id == item)


def test_a_job_with_everything_is_complete() -> None:
    standings = assess(KITCHEN, {"plan": whole_room()}, EVERYTHING, ())
    assert {s.item.id: s.state for s in standings if s.item.blocking} == {
        i.id: ItemState.PRESENT for i in KITCHEN.items if i.blocking
    }
    assert not not_ready(standings, None, None)


def test_nothing_sent_means_everything_missing() -> None:
    standings = assess(KITCHEN, {}, [], ())
    assert {s.state for s in standings} == {ItemState.MISSING}
    assert sentence(standings[0].reason) == "Nothing has come for it yet: plan of the room."
    assert not_ready(standings, None, None)


def test_a_typed_length_counts_as_one_on_the_plan_does() -> None:
    found = standing("ceiling-height", reading(), "ceiling height is 2.36m")
    assert (found.state, found.evidence[0].value_mm) == (ItemState.PRESENT, 2360)


@pytest.mark.parametrize(
    ("plan", "words", "reason"),
    [
        (
            whole_room(number("236", 2360, Role.CEILING, accepted=False)),
            "",
            "“236” on the plan is not certain",
        ),
        (whole_room(number("136", 1360, Role.CEILING)), "", "outside what is usual"),
        (whole_room(number("2.36", None, Role.CEILING)), "", "means no length"),
        (whole_room(), "the ceiling is 243 cm", "236 cm on the plan do not agree"),
        (
            whole_room(number("236", 2360, Role.CEILING), number("243", 2430, Role.CEILING)),
            "",
            "do not agree",
        ),
        (reading(), "The ceiling is about 236", "not certain of it"),
        (reading(), "The ceiling height is 1.36", "outside what is usual"),
    ],
)
def test_a_length_in_doubt_is_doubtful_and_says_why(plan: SketchReading, words: str, reason: str) -> None:
    found = standing("ceiling-height", plan, words)
    assert found.state is ItemState.DOUBTFUL
    assert reason in sentence(found.reason)


@pytest.mark.parametrize(
    "words", ["the ceiling is about 236", "the ceiling is 237.5", "is the ceiling height wanted?"]
)
def test_a_guess_that_the_plan_bears_out_raises_no_doubt(words: str) -> None:
    assert standing("ceiling-height", whole_room(), words).state is ItemState.PRESENT


def test_readings_of_one_ceiling_may_differ_by_the_tape() -> None:
    """3.29 x 5 mm x sqrt 2 = 23 mm: the 99.9 % limit of two readings to half a centimetre."""
    near = whole_room(number("236", 2360, Role.CEILING), number("238", 2380, Role.CEILING))
    assert standing("ceiling-height", near).state is ItemState.PRESENT


def test_two_windows_may_have_two_sills() -> None:
    two = whole_room(number("103.5", 1035, Role.SILL), number("90", 900, Role.SILL))
    assert standing("sill-height", two).state is ItemState.PRESENT
    assert standing("sill-height", two, "the sill is 90").state is ItemState.PRESENT
    assert standing("sill-height", two, "the sill is 96").state is ItemState.DOUBTFUL


def test_could_not_measure_leaves_an_item_missing_and_says_so() -> None:
    found = standing("ceiling-height", reading(), "I couldn't measure the ceiling")
    assert found.state is ItemState.MISSING
    assert "couldn't measure" in sentence(found.reason)


def test_no_gas_makes_the_meter_not_applicable() -> None:
    assert standing("gas-meter", words="No gas in the house", pictures=[]).state is ItemState.NOT_APPLICABLE


def test_no_gas_and_a_picture_of_a_meter_is_doubtful() -> None:
    assert standing("gas-meter", words="No gas in the house").state is ItemState.DOUBTFUL


def test_of_two_doubts_that_there_is_one_at_all_is_told_first() -> None:
    blurred = [PLAN, picture("gas-meter", Subject.GAS_METER, "blurred")]
    found = standing("gas-meter", words="No gas in the house", pictures=blurred)
    assert found.state is ItemState.DOUBTFUL
    assert "No gas in the house" in sentence(found.reason) and "something else says" in sentence(found.reason)


@pytest.mark.parametrize(
    ("title", "told"), [("Boiler", "boiler"), ("WC", "WC"), ("WCs and basins", "WCs and basins")]
)
def test_what_is_missing_is_told_in_a_sentence_and_abbreviations_stay(title: str, told: str) -> None:
    boiler = next(i for i in KITCHEN.items if i.id == "boiler")
    (found,) = assess(replace(KITCHEN, items=(replace(boiler, title=title),)), {}, [], ())
    assert sentence(found.reason) == f"Nothing has come for it yet: {told}."


def test_a_word_of_four_letters_on_the_plan_shows_nothing() -> None:
    boiler = next(i for i in KITCHEN.items if i.id == "boiler")
    words = replace(KITCHEN, items=(replace(boiler, words=("tank", "tanks")),))
    shown = {w: assess(words, {"p": reading(words=(w,))}, [PLAN], ())[0].state for w in ("tank", "tanks")}
    assert shown == {"tank": ItemState.MISSING, "tanks": ItemState.PRESENT}


def test_no_gas_in_the_kitchen_alone_is_doubtful() -> None:
    assert standing("gas-meter", words="No gas in the kitchen", pictures=[]).state is ItemState.DOUBTFUL


@pytest.mark.parametrize(
    ("words", "plan"), [("The consumer unit is in the hall", None), ("", reading(words=("Consumer unit",)))]
)
def test_words_that_say_where_are_enough_for_the_consumer_unit(
    words: str, plan: SketchReading | None
) -> None:
    assert standing("consumer-unit", plan, words, pictures=[PLAN]).state is ItemState.PRESENT


@pytest.mark.parametrize("verdict", ["shrunk", "too-small-to-read", "blurred", "dark", "damaged"])
def test_a_plan_that_cannot_be_read_is_doubtful(verdict: str) -> None:
    found = standing("sketch", whole_room(), pictures=[picture("plan", Subject.SKETCH, verdict)])
    assert found.state is ItemState.DOUBTFUL


def test_a_better_picture_of_the_same_plan_settles_it() -> None:
    again = [picture("plan", Subject.SKETCH, "shrunk"), picture("plan2", Subject.SKETCH, same_as="plan")]
    assert standing("sketch", whole_room(), pictures=again).state is ItemState.PRESENT
    apart = [picture("plan", Subject.SKETCH, "shrunk"), picture("plan2", Subject.SKETCH)]
    assert standing("sketch", whole_room(), pictures=apart).state is ItemState.PRESENT


def test_a_plan_without_a_single_length_is_doubtful() -> None:
    assert standing("sketch", reading()).state is ItemState.DOUBTFUL


def test_sections_are_doubtful_while_one_is_uncertain_or_the_room_does_not_close() -> None:
    unsure = whole_room(number("386.5", 3865, Role.SECTION, accepted=False), number("95", 950, Role.SECTION))
    assert standing("wall-sections", unsure).state is ItemState.DOUBTFUL
    open_room = (Finding("does-not-close", as_said("Does not close: wall A +36 cm.")),)
    assert standing("wall-sections", whole_room(), findings=open_room).state is ItemState.DOUBTFUL
    assert standing("ceiling-height", whole_room(), findings=open_room).state is ItemState.PRESENT


def test_what_only_says_how_the_room_was_drawn_throws_no_doubt_on_its_walls() -> None:
    for code in NO_FAULT:
        assert standing("wall-sections", whole_room(), findings=(Finding(code, "As drawn."),)).state is (
            ItemState.PRESENT
        )


def test_a_finding_about_a_height_falls_on_that_height_alone() -> None:
    plan = whole_room()
    sill = next(i for i, n in enumerate(plan.numbers) if n.role is Role.SILL)
    findings = (
        Finding("head-above-ceiling", as_said("The top of the window is above the ceiling."), (sill,)),
    )
    assert standing("sill-height", plan, findings=findings).state is ItemState.DOUBTFUL
    assert standing("wall-sections", plan, findings=findings).state is ItemState.PRESENT


@pytest.mark.parametrize(
    ("count", "state", "reason"),
    [(0, "missing", ""), (1, "doubtful", "1 of at least 3 came"), (2, "doubtful", "2 of at least 3 came"),
     (3, "present", ""), (4, "present", "")],
)  # fmt: skip
def test_photographs_all_round_take_at_least_three(count: int, state: str, reason: str) -> None:
    found = standing("room-photographs", pictures=[PLAN, *room_pictures(count)])
    assert found.state == state
    assert (reason in sentence(found.reason)) if reason else ("at least" not in sentence(found.reason))


def test_of_photographs_that_are_all_damaged_it_is_said_that_they_are_and_not_how_many_came() -> None:
    found = standing("room-photographs", pictures=[PLAN, picture("r1", Subject.ROOM, "damaged")])
    assert found.state is ItemState.DOUBTFUL
    assert "it is damaged" in sentence(found.reason) and "at least" not in sentence(found.reason)


CEILING = (Ask("ceiling-height", "Which one is right?", choices=("236", "243")),)


def after(first: str, reply: str, later: str = "") -> ItemState:
    """The ceiling's state: typed at first, answered to our question, typed later; the plan says 236."""
    given = [a.statement for a in answers(reply, CEILING, KITCHEN)]
    said = [*statements(first, KITCHEN), *given, *statements(later, KITCHEN)]
    standings = assess(KITCHEN, {"plan": whole_room()}, EVERYTHING, said)
    return next(s.state for s in standings if s.item.id == "ceiling-height")


def test_an_answer_to_our_question_settles_a_clash() -> None:
    assert after("the ceiling is 243", "") is ItemState.DOUBTFUL
    assert after("the ceiling is 243", "1: 243") is ItemState.PRESENT
    assert after("the ceiling is 243", "1: 236") is ItemState.PRESENT
    assert after("the ceiling is 243", "1: 243?") is ItemState.DOUBTFUL
    assert after("the ceiling is 243", "1: 150") is ItemState.DOUBTFUL


def test_a_doubtful_length_clashes_with_nothing() -> None:
    """It is asked about for itself: a second question on the same length would be needless."""
    item = next(i for i in KITCHEN.items if i.id == "ceiling-height")
    typed = ItemEvidence(EvidenceKind.WORDS, "243", value_mm=2430)
    drawn = ItemEvidence(EvidenceKind.NUMBER, "236", value_mm=2360)
    assert clash_of(item, [typed, drawn]) == (typed, drawn)
    assert clash_of(item, [typed, replace(drawn, doubt="hard to read")]) is None
    assert clash_of(item, [replace(typed, doubt="a guess"), drawn]) is None


def test_an_answer_about_one_sill_leaves_another_doubtful_one_on_the_plan_doubtful() -> None:
    """There may be several sills, and only one ceiling."""
    doubtful = [number("108.5", 1085, Role.SILL, accepted=False), number("286", 2860, Role.CEILING, False)]
    plan = whole_room(*doubtful)
    found = {}
    for item, reply in (("sill-height", "104"), ("ceiling-height", "236")):
        given = [a.statement for a in answers(f"1: {reply}", (Ask(item, "How high?"),), KITCHEN)]
        standings = assess(KITCHEN, {"plan": plan}, EVERYTHING, given)
        found[item] = next(s.state for s in standings if s.item.id == item)
    assert found == {"sill-height": ItemState.DOUBTFUL, "ceiling-height": ItemState.PRESENT}


def test_what_is_written_after_an_answer_can_clash_with_it() -> None:
    assert after("the ceiling is 243", "1: 243", "the ceiling is 229") is ItemState.DOUBTFUL
    assert after("ceiling about 230", "1: 236", "the ceiling is 236") is ItemState.PRESENT


def test_a_photograph_sent_twice_counts_once() -> None:
    twice = [picture("a", Subject.ROOM), picture("b", Subject.ROOM, same_as="a"), picture("c", Subject.ROOM)]
    assert standing("room-photographs", pictures=twice).state is ItemState.DOUBTFUL


def test_the_designers_word_stands_above_all() -> None:
    word = Confirmation("ceiling-height", ItemState.CONFIRMED, "rang them", 2360, by="Marta")
    found = standing("ceiling-height", reading(), confirmations=(word,))
    assert (found.state, found.evidence[0].kind) == (ItemState.CONFIRMED, "designer")
    assert "Marta" in sentence(found.reason)


@pytest.mark.parametrize(
    ("words", "state"),
    [
        ("The window sill is 103 cm. The window sill is 95 cm.", ItemState.DOUBTFUL),
        ("The window sill is 103 cm. The window sill is 103.2 cm.", ItemState.PRESENT),
        ("The sill of the left window is 103 cm. The sill of the right window is 95 cm.", ItemState.PRESENT),
    ],
)
def test_two_heights_that_contradict_each_other_are_never_present(words: str, state: ItemState) -> None:
    found = standing("sill-height", words=words)
    assert found.state is state, sentence(found.reason)


@pytest.mark.parametrize(
    ("item", "label", "shows"),
    [
        ("boiler", "Boiler", True),
        ("boiler", "boiler.", True),
        ("gas-meter", "gas", False),
        ("gas-meter", "gas meter", True),
        ("gas-meter", "gasneter", True),
        ("gas-meter", "gas heater", False),
        ("boiler", "broiler", False),
        ("consumer-unit", "fusebax", True),
        ("water-main", "stoptab", True),
        ("boiler", "a kettle", False),
        ("ceiling-height", "ceiling height", False),
        ("sink-waste", "outside wall", False),
        ("appliances", "dishwasher", False),
    ],
)
def test_a_label_on_the_plan_shows_where_a_thing_is_and_no_length(item: str, label: str, shows: bool) -> None:
    """A word of four letters is too easily misread; what a length answers no word does."""
    found = standing(item, reading(words=(label,)), pictures=[PLAN])
    assert (found.state is ItemState.PRESENT) is shows, sentence(found.reason)
