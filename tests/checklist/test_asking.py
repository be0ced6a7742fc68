"""What a letter asks for, in which order. The rules are the survey's; the cases are invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from intake.checklists import load_checklists
from intake.domain.survey.asking import (
    MOST_ASKS,
    at_one_look,
    letter_for,
    subject_for,
    what_to_ask,
)
from intake.domain.survey.doubts import doubts_of
from intake.domain.survey.standings import assess
from intake.domain.words.whole_message import answers, statements
from intake.model.checklist import ItemState, RoomKind
from intake.model.examination import NextMeasure, RoomExamination, Slip, SlipKind
from intake.model.letter import Ask
from intake.model.phrase import NOTHING, phrase
from intake.model.picture import Picture, Subject
from intake.model.reading import Direction, OutlineWall, ReadNumber, Role, SketchOutline, SketchReading
from intake.model.room import Measurement, RoomSurvey, Section, SectionKind, Wall
from intake.model.word import Confirmation
from intake.postbox.letters import load_letters
from tests.checklist.build import ANNA, answered, job, number, picture, reading, room_pictures, whole_room
from tests.room.test_drawn_openings import opening
from tests.room.test_room_from_reading import WALLS
from tests.room.test_room_from_reading import number as number_at

CONFIG = Path(__file__).parents[2] / "config"
KITCHEN = load_checklists(CONFIG / "checklists")[RoomKind.KITCHEN]
ENGLISH = load_letters(CONFIG / "letters").wording("en")
AGAIN = phrase("measure-once-more", what=phrase("piece-whole"))
PLAN = picture("plan", Subject.SKETCH)
SERVICES = [
    picture(s.value, s)
    for s in (Subject.CONSUMER_UNIT, Subject.GAS_METER, Subject.BOILER, Subject.WATER_MAIN)
]


def asked(
    plan: SketchReading | None = None,
    words: str = "",
    pictures: list[Picture] | None = None,
    examination: RoomExamination | None = None,
    passed_over: frozenset[str] = frozenset(),
    confirmations: tuple[Confirmation, ...] = (),
) -> tuple[Ask, ...]:
    readings = {"plan": plan} if plan else {}
    shown = [PLAN, *room_pictures(4), *SERVICES] if pictures is None else pictures
    standings = assess(KITCHEN, readings, shown, statements(words, KITCHEN), (), confirmations)
    return what_to_ask(standings, readings, shown, ENGLISH, examination, passed_over)


def with_openings(*kinds: SectionKind) -> RoomExamination:
    sections = tuple(Section(kind, Measurement(f"A{n}")) for n, kind in enumerate(kinds))
    return RoomExamination(RoomSurvey(walls=(Wall(0, Direction.EAST, sections),)), True)


WITHOUT_SILL = reading(*(n for n in whole_room().numbers if n.role not in (Role.SILL, Role.HEAD)))


@pytest.mark.parametrize(
    ("drawn", "told", "not_told"),
    [
        ((), "If there is no window", "each of"),
        ((SectionKind.OPENING, SectionKind.DOOR), "If there is no window", "each of"),
        ((SectionKind.WINDOW, SectionKind.DOOR), "top edge of the frame", "If there is no window"),
        ((SectionKind.WINDOW, SectionKind.WINDOW), "each of the 2 windows", "If there is no window"),
    ],
)
def test_a_letter_knows_the_windows_that_the_plan_shows(
    drawn: tuple[SectionKind, ...], told: str, not_told: str
) -> None:
    asks = asked(WITHOUT_SILL, examination=with_openings(*drawn))
    (ask,) = (a for a in asks if "sill-height" in a.items)
    assert told in ask.how and not_told not in ask.how


def test_a_height_told_for_one_window_is_asked_for_the_other_by_its_name() -> None:
    """What stands on the plan is of the first window; the second has no sill and no top."""
    told = Measurement("A1 sill", "104", 1040)
    first = Section(SectionKind.WINDOW, Measurement("A1"), sill=told, top_above_floor=told, reveal=told)
    second = Section(SectionKind.WINDOW, Measurement("A2"), reveal=told)
    room = RoomSurvey(walls=(Wall(0, Direction.EAST, (first, second)),))
    (ask,) = (
        a for a in asked(whole_room(), examination=RoomExamination(room, True)) if "sill-height" in a.items
    )
    assert ask.items == ("sill-height", "head-height") and not ask.optional
    which = "the second window (as you face it, along the top of your plan)"
    assert ask.how.endswith(f"We have it for the rest; this is about {which}.")
    alone = replace(room, walls=(Wall(0, Direction.EAST, (first,)),))
    asks = asked(whole_room(), examination=RoomExamination(alone, True))
    assert not any("sill-height" in a.items for a in asks)


def test_of_the_only_window_one_height_is_asked_for_in_the_checklists_words() -> None:
    plan = reading(*(n for n in whole_room().numbers if n.role is not Role.SILL))
    said = {
        kinds: next(a.how for a in asked(plan, examination=with_openings(*kinds)) if a.item == "sill-height")
        for kinds in ((), (SectionKind.WINDOW,), (SectionKind.WINDOW, SectionKind.WINDOW))
    }
    assert said[(SectionKind.WINDOW,)] == said[()]
    assert "each of the 2 windows" in said[(SectionKind.WINDOW, SectionKind.WINDOW)]


def test_what_was_passed_over_is_not_asked_again_unless_a_designer_asks() -> None:
    first = asked(whole_room())
    assert first and all(a.optional for a in first)
    passed_over = frozenset(i for a in first for i in a.items)
    again = asked(whole_room(), passed_over=passed_over)
    assert again and not passed_over & {i for a in again for i in a.items}
    word = Confirmation(first[0].item, ItemState.MISSING, by="maya")
    asks = asked(whole_room(), passed_over=passed_over, confirmations=(word,))
    assert passed_over & {i for a in asks for i in a.items} == {first[0].item}


def test_one_look_at_the_ink_settles_a_doubtful_number_and_no_tape() -> None:
    unsure = number("386.5", 3865, Role.SECTION, False, (("380.5", 0.3),))
    plan = reading(*(n for n in whole_room(unsure).numbers if n.role is not Role.CEILING))
    (look,) = at_one_look(asked(plan), {"plan": plan})
    assert plan.numbers[look.number or 0] == unsure
    slip = Slip(SlipKind.SWAPPED, 0, "A3", 2, 1485, 1845, 0.75, NOTHING, AGAIN)
    asks = asked(whole_room(), examination=RoomExamination(RoomSurvey(), False, slips=(slip,)))
    assert asks[0].number == 2 and at_one_look(asks, {"plan": whole_room()}) == ()


def items(asks: tuple[Ask, ...]) -> set[str]:
    blocking = {i.id for i in KITCHEN.items if i.blocking}
    return {i for a in asks for i in a.items if i in blocking}


def test_a_complete_job_is_asked_for_nothing_that_blocks() -> None:
    assert items(asked(whole_room())) == set()


def test_what_is_missing_is_asked_for_and_nothing_else() -> None:
    plan = whole_room()
    without = reading(*(n for n in plan.numbers if n.role is not Role.CEILING))
    asks = asked(without, pictures=[PLAN, *room_pictures(4), *SERVICES[1:]])
    assert items(asks) == {"ceiling-height", "consumer-unit"}


def test_without_a_plan_the_plan_is_asked_for_first_with_all_that_belongs_on_it() -> None:
    asks = asked(pictures=[])
    assert asks[0].item == "sketch"
    assert items(asks) == {i.id for i in KITCHEN.items if i.blocking}
    assert "ceiling height" in asks[0].how


@pytest.mark.parametrize("verdict", ["shrunk", "blurred", "too-small-to-read"])
def test_a_plan_that_cannot_be_read_is_asked_for_again_and_no_number_guessed(verdict: str) -> None:
    plan = reading(number("386.5", 3865, Role.SECTION, accepted=False))
    asks = asked(plan, pictures=[picture("plan", Subject.SKETCH, verdict), *room_pictures(4), *SERVICES])
    assert asks[0].items == ("sketch", "wall-sections")
    assert asks[0].how.startswith("The mail app made this picture small") and "Actual Size" in asks[0].how
    assert all(a.number is None for a in asks)


def test_an_uncertain_number_is_asked_about_with_its_choices_and_its_neighbour() -> None:
    unsure = number("386.5", 3865, Role.SECTION, False, (("386.5", 0.6), ("380.5", 0.3), ("38.5", 0.01)))
    plan = whole_room(unsure)
    (ask,) = (a for a in asked(plan) if a.number is not None)
    assert ask.question == "Is the number in this picture 386.5 or 380.5?"
    assert ask.choices == ("386.5", "380.5")
    assert (ask.picture, plan.numbers[ask.number or 0]) == ("plan", unsure)
    assert "stands next to" in ask.how


def test_what_a_number_is_called_on_the_plan_is_left_out_of_what_it_may_say() -> None:
    unsure = number("H=103", 1030, Role.SILL, False, (("H=103", 0.6), ("H=108", 0.3)))
    (ask,) = (a for a in asked(whole_room(unsure)) if a.number is not None)
    assert ask.choices == ("103", "108")


def test_an_uncertain_number_is_found_by_the_sure_one_that_stands_nearest_on_the_page() -> None:
    def at(number: ReadNumber, x: float, y: float) -> ReadNumber:
        return replace(number, box=((x, y), (x + 40, y), (x + 40, y + 16), (x, y + 16)))

    unsure = at(number("386.5", 3865, Role.SECTION, False, (("380.5", 0.3),)), 500, 500)
    beside, below = (
        at(number("95", 950, Role.SECTION), 600, 500),
        at(number("120", 1200, Role.OPENING), 500, 610),
    )
    plan = reading(unsure, beside, below)
    (ask,) = (a for a in asked(plan) if a.number == 0)
    assert "95" in ask.how and "120" not in ask.how
    closer = reading(unsure, beside, at(below, 500, 590))
    (ask,) = (a for a in asked(closer) if a.number == 0)
    assert "120" in ask.how and "95" not in ask.how


def test_a_number_with_a_real_choice_comes_before_one_that_says_more_to_the_design() -> None:
    """One look settles a choice; what the ink cannot say takes the tape."""
    one, two = (
        number("386.5", 3865, Role.SECTION, accepted=False),
        number("120", 1200, Role.OPENING, False, (("170", 0.3),)),
    )
    asks = asked(whole_room(one, two))
    assert [a.choices for a in asks if a.number is not None] == [("120", "170"), ("386.5",)]


def test_a_doubtful_number_without_a_neighbour_is_placed_by_its_wall_alone() -> None:
    unsure = replace(number("386.5", 3865, Role.SECTION, False, (("380.5", 0.3),)), wall=3)
    walls = tuple(OutlineWall(n, (0.0, 0.0), (1.0, 0.0), Direction(way)) for n, way in enumerate("ESWN"))
    plan = replace(reading(unsure), outline=SketchOutline(walls, True))
    (ask,) = (a for a in asked(plan) if a.number is not None)
    assert ask.how.startswith("It stands by the wall up the left-hand side of your plan.")
    (ask,) = (a for a in asked(reading(unsure)) if a.number is not None)
    assert "stands" not in ask.how


@pytest.mark.parametrize(("came", "more"), [(0, False), (1, True), (2, True)])
def test_who_sent_some_photographs_is_asked_for_more_and_who_sent_none_for_all(came: int, more: bool) -> None:
    asks = asked(whole_room(), pictures=[PLAN, *room_pictures(came), *SERVICES])
    (ask,) = (a for a in asks if a.item == "room-photographs")
    assert ("a few more photographs" in ask.question) is more


def test_a_plan_in_millimetres_is_asked_about_in_millimetres_and_answered_in_its_size() -> None:
    unsure = number("2410", 2410, Role.SECTION, False, (("2410", 0.6), ("2470", 0.3)))
    plan = replace(whole_room(unsure), unit="mm")
    asks = asked(plan)
    (ask,) = (a for a in asks if a.number is not None and plan.numbers[a.number] == unsure)
    assert ask.question == "Is the number in this picture 2410 mm or 2470 mm?"
    at = asks.index(ask) + 1
    for reply in ("the first", "2410", "241", "it is 2410"):
        (answer,) = answers(f"{at}: {reply}", asks, KITCHEN)
        assert (answer.statement.value_mm, answer.number) == (2410, ask.number), reply


@pytest.mark.parametrize(("unit", "choices"), [("cm", ("148.5", "184.5")), ("mm", ("1485 mm", "1845 mm"))])
def test_a_slip_is_offered_as_the_plan_is_written(unit: str, choices: tuple[str, ...]) -> None:
    slip = Slip("neighbours-swapped", 0, "A3", 2, 1485, 1845, 0.75, NOTHING, AGAIN)
    plan = replace(whole_room(), unit=unit)
    asks = asked(plan, examination=RoomExamination(RoomSurvey(), False, slips=(slip,)))
    assert asks[0].choices == choices


@pytest.mark.parametrize(
    ("runs", "said"),
    [
        ("ESWN", "It stands by the wall up the left-hand side of your plan, next to "),
        ("ESWNSWN", "On your plan it stands next to "),
    ],
)
def test_a_doubtful_number_is_placed_by_the_wall_as_the_customer_drew_it(runs: str, said: str) -> None:
    unsure = replace(number("386.5", 3865, Role.SECTION, False, (("380.5", 0.3),)), wall=3)
    walls = tuple(OutlineWall(n, (0.0, 0.0), (1.0, 0.0), Direction(way)) for n, way in enumerate(runs))
    plan = replace(whole_room(unsure), outline=SketchOutline(walls, True))
    (ask,) = (a for a in asked(plan) if a.number is not None)
    assert said in ask.how


def test_a_doubtful_reading_comes_before_what_is_missing() -> None:
    unsure = whole_room(number("386.5", 3865, Role.SECTION, False, (("380.5", 0.3),)))
    plan = reading(*(n for n in unsure.numbers if n.role is not Role.CEILING))
    assert [a.item for a in asked(plan)][:2] == ["wall-sections", "ceiling-height"]


def test_a_letter_never_asks_too_much_and_never_leaves_out_what_is_missing() -> None:
    poor = reading(*(number(f"{n}1", n * 10, Role.SECTION, False, ((f"{n}7", 0.3),)) for n in range(10, 40)))
    asks = asked(poor, pictures=[PLAN])
    assert len(asks) <= MOST_ASKS
    assert sum(a.number is not None for a in asks) <= 3
    missing = {i.id for i in KITCHEN.items if i.blocking} - {"sketch", "wall-sections"}
    assert items(asks) == missing | {"wall-sections"}


def test_the_window_is_one_request_and_so_are_three_services() -> None:
    plan = reading(
        number("95", 950, Role.SECTION), number("400", 4000, Role.OVERALL), number("80", 800, Role.OPENING)
    )
    asks = asked(plan, pictures=[PLAN, *room_pictures(4)])
    joined = {a.items for a in asks}
    assert ("sill-height", "head-height", "reveal-depth") in joined
    assert ("consumer-unit", "gas-meter", "boiler", "water-main") in joined


def test_typed_and_drawn_lengths_that_clash_are_both_named() -> None:
    (ask,) = (a for a in asked(whole_room(), "The ceiling is 243 cm") if a.item == "ceiling-height")
    assert ask.question == "We have two figures for this - ceiling height: 236 and 243. Which one is right?"
    assert ask.choices == ("236", "243")


def test_a_guess_is_asked_about_in_its_own_words() -> None:
    plan = whole_room()
    without = reading(*(n for n in plan.numbers if n.role is not Role.SILL))
    (ask,) = (a for a in asked(without, "is the sill 103 or so?") if a.item == "sill-height")
    assert "“is the sill 103 or so?”" in ask.question
    assert ask.choices == ("103",)


def test_a_guess_at_a_place_is_answered_by_the_photograph_that_is_asked_for_anyway() -> None:
    shown = [PLAN, *room_pictures(4), *(p for p in SERVICES if p.subject is not Subject.BOILER)]
    asks = asked(whole_room(), "I think the boiler is in the loft", shown)
    assert [a.question[:28] for a in asks if a.item == "boiler"] == ["Please photograph the boiler"]


def test_a_guess_at_what_the_design_does_not_wait_for_is_let_be() -> None:
    asks = asked(whole_room(), "It is about 430 across the room.")
    assert not any("across" in a.items for a in asks)


@pytest.mark.parametrize(
    ("words", "choices"),
    [
        ("The ceiling is about 236", ("236",)),
        ("The ceiling is about 2.36", ("236",)),
        ("ceiling height 23", ()),
        ("I think the ceiling height is 23.6 or so, could be 2.40", ("240",)),
    ],
)
def test_a_guess_is_offered_and_never_taken(words: str, choices: tuple[str, ...]) -> None:
    plan = whole_room()
    without = reading(*(n for n in plan.numbers if n.role is not Role.CEILING))
    (ask,) = (a for a in asked(without, words) if a.item == "ceiling-height")
    assert f"“{words}”" in ask.question
    assert ask.choices == choices


def test_the_rooms_own_question_is_asked_where_it_does_not_close() -> None:
    what = phrase("piece-left-of", after=phrase("by-the-window", nth=""))
    asking = phrase("slip-on-wall", what=what, read="148.5", would_be="184.5")
    question = (
        "Please measure the wall to the left of the window once more: we read 148.5, and 184.5 would make the wall add"
        " up."
    )
    slip = Slip(SlipKind.SWAPPED, 0, "A3", 2, 1485, 1845, 0.75, NOTHING, asking)
    asks = asked(whole_room(), examination=RoomExamination(RoomSurvey(), False, slips=(slip,)))
    assert (asks[0].item, asks[0].question, asks[0].number) == ("wall-sections", question, 2)
    assert asks[0].choices == ("148.5", "184.5")
    measure = NextMeasure(NOTHING, phrase("measure-once-more", what=phrase("piece-whole")), NOTHING, 0.5)
    asks = asked(whole_room(), examination=RoomExamination(RoomSurvey(), False, next_measures=(measure,)))
    assert asks[0].question == "Please measure the whole wall once more."
    assert items(asked(whole_room(), examination=RoomExamination(RoomSurvey(), True, slips=(slip,)))) == set()


def test_while_readings_are_doubtful_nobody_is_sent_back_to_the_wall() -> None:
    unsure = number("148.5", 1485, Role.SECTION, False, (("143.5", 0.2),))
    plan = whole_room(number("95", 950, Role.SECTION), unsure)
    at = plan.numbers.index(unsure)
    slip = Slip(SlipKind.SWAPPED, 0, "A3", at, 1485, 1845, 0.75, NOTHING, AGAIN)
    (ask,) = (
        a
        for a in asked(plan, examination=RoomExamination(RoomSurvey(), False, slips=(slip,)))
        if a.number == at
    )
    assert ask.question == "Is the number in this picture 148.5, 143.5 or 184.5?"
    other = Slip(SlipKind.SWAPPED, 0, "A1", at - 1, 950, 590, 0.75, NOTHING, AGAIN)
    asks = asked(plan, examination=RoomExamination(RoomSurvey(), False, slips=(other,)))
    assert ENGLISH.worded(AGAIN) not in [a.question for a in asks]


def test_no_more_than_three_lengths_are_offered_and_what_the_sums_say_is_one_of_them() -> None:
    unsure = number("148.5", 1485, Role.SECTION, False, (("143.5", 0.3), ("146.5", 0.2)))
    plan = whole_room(number("95", 950, Role.SECTION), unsure)
    at = plan.numbers.index(unsure)
    slip = Slip(SlipKind.SWAPPED, 0, "A3", at, 1485, 1845, 0.75, "", AGAIN)
    asks = asked(plan, examination=RoomExamination(RoomSurvey(), False, slips=(slip,)))
    assert [a.choices for a in asks if a.number == at] == [("148.5", "143.5", "184.5")]


def test_ink_that_says_nothing_is_asked_about_without_a_choice() -> None:
    asks = asked(whole_room(number("?", None, Role.SECTION, accepted=False)))
    (ask,) = (a for a in asks if a.number is not None)
    assert (ask.choices, ask.question) == ((), ENGLISH.say("what-is-this"))
    assert ask.how.endswith(ENGLISH.say("what-is-this-how"))


def test_a_slip_of_no_number_sends_nobody_back_while_readings_are_doubtful() -> None:
    unsure = number("148.5", 1485, Role.SECTION, False, (("143.5", 0.2),))
    slip = Slip(SlipKind.MISSING, 0, "", None, None, 520, 0.75, NOTHING, AGAIN)
    asks = asked(whole_room(unsure), examination=RoomExamination(RoomSurvey(), False, slips=(slip,)))
    assert ENGLISH.worded(AGAIN) not in [a.question for a in asks]
    assert [a.number is not None for a in asks if not a.optional] == [True]


def test_an_unusual_length_is_measured_again_only_where_it_was_read_for_certain() -> None:
    (ask,) = (a for a in asked(whole_room(number("8", 80, Role.OPENING))) if a.item == "openings")
    assert ask.question.startswith("We have 8 cm for this - doors and windows")
    (ask,) = (
        a for a in asked(whole_room(number("8", 80, Role.OPENING, accepted=False))) if a.item == "openings"
    )
    assert ask.question.startswith("We read the number")


def without(*roles: Role) -> SketchReading:
    return reading(*(n for n in whole_room().numbers if n.role not in roles))


def test_the_lengths_of_a_window_are_asked_for_in_one_go_and_one_alone_by_itself() -> None:
    (ask,) = (a for a in asked(without(Role.SILL)) if not a.optional)
    assert (ask.item, ask.also, ask.drawing) == ("sill-height", (), "sill")
    (ask,) = (a for a in asked(without(Role.SILL, Role.REVEAL)) if not a.optional)
    assert (ask.item, ask.also, ask.drawing) == ("sill-height", ("reveal-depth",), "window")
    assert "sill height (a) and " in ask.question and "(c)" in ask.question and "(b)" not in ask.question


def test_the_services_are_asked_for_in_one_walk_with_a_word_that_there_may_be_none() -> None:
    (ask,) = (a for a in asked(whole_room(), pictures=[PLAN, *room_pictures(4)]) if a.drawing == "services")
    assert set(ask.items) == {"consumer-unit", "gas-meter", "boiler", "water-main"}
    assert "If there is no gas or no boiler, just say so." in ask.how
    two = asked(whole_room(), pictures=[PLAN, *room_pictures(4), *SERVICES[2:]])
    assert [a.item for a in two if not a.optional] == ["consumer-unit", "gas-meter"]
    three = asked(whole_room(), "We have no gas.", [PLAN, *room_pictures(4)])
    (ask,) = (a for a in three if a.drawing == "services")
    assert "If there is no boiler, just say so." in ask.how


def test_what_would_only_help_is_asked_for_once_the_rest_is_nearly_there_and_says_so() -> None:
    """Three requests make a letter; what the design does not wait for fills one up and makes none longer."""
    blocking = {i.id for i in KITCHEN.items if i.blocking}
    for plan in (whole_room(), without(Role.CEILING), without(Role.CEILING, Role.SILL)):
        asks = asked(plan)
        assert len(asks) == 3
        assert all(a.optional is (a.item not in blocking) for a in asks)
        assert [a.optional for a in asks] == sorted(a.optional for a in asks)
    three = asked(without(Role.CEILING, Role.SILL), pictures=[PLAN, *room_pictures(4), *SERVICES[1:]])
    assert [a.optional for a in three] == [False] * 3


def test_at_most_three_crops_go_into_one_letter() -> None:
    unsure = [number(f"{n}88.5", n * 1000 + 885, Role.SECTION, accepted=False) for n in range(1, 6)]
    asks = asked(whole_room(*unsure))
    assert sum(a.number is not None for a in asks) == 3


def test_cautions_stand_beside_the_first_request_that_needs_them() -> None:
    for subject, words in ((Subject.GAS_METER, "0800 111 999"), (Subject.CONSUMER_UNIT, "cover on")):
        others = [p for p in SERVICES if p.subject is not subject]
        asks = asked(whole_room(), pictures=[PLAN, *room_pictures(4), *others])
        (ask,) = (a for a in asks if a.item == subject.value)
        assert words in ask.caution
    many = asked(pictures=[])
    assert sum("0800 111 999" in a.caution for a in many) == 1


def test_never_is_a_picture_of_the_inside_asked_for() -> None:
    for item in KITCHEN.items:
        assert "open the" not in item.ask.lower() + item.how.lower()


def test_thanks_are_counted_repeats_and_logos_left_out() -> None:
    shown = [PLAN, *room_pictures(5), SERVICES[0], picture("again", Subject.ROOM, same_as="room0")]
    shown.append(picture("logo", Subject.LOGO))
    assert (
        letter_for(job(), (), shown, answered(), ENGLISH).thanks
        == "Thank you for the plan and the 6 photographs."
    )
    assert letter_for(job(), (), [], answered(), ENGLISH).thanks == "Thank you for your e-mail."


@pytest.mark.parametrize(
    ("theirs", "ours"),
    [
        ("Our kitchen", "Re: Our kitchen [R-7K2M4]"),
        ("Re: Our kitchen [R-7K2M4]", "Re: Our kitchen [R-7K2M4]"),
        ("RE: Fwd: Our kitchen", "Re: Our kitchen [R-7K2M4]"),
        ("", "Re: Your plan [R-7K2M4]"),
        ("Our\r\nBcc: all@example.com kitchen", "Re: Our Bcc: all@example.com kitchen [R-7K2M4]"),
    ],
)
def test_the_subject_stays_theirs_and_carries_one_reference(theirs: str, ours: str) -> None:
    assert subject_for(theirs, "R-7K2M4", ENGLISH) == ours


def test_the_letter_stays_in_the_thread() -> None:
    """RFC 5322 3.6.4: References is the parent's References and its Message-ID; In-Reply-To its Message-ID."""
    letter = letter_for(job(), (), [], answered(references=("<a@x.example>", "<b@x.example>")), ENGLISH)
    assert letter.in_reply_to == "<m1@field.example>"
    assert letter.references == ("<a@x.example>", "<b@x.example>", "<m1@field.example>")
    assert letter.to == (ANNA,)


def test_a_letter_calls_an_opening_what_the_room_calls_it() -> None:
    """The ink looks like a doorway, and a sill is written at it."""
    wide = number_at("90", (450, 80), Role.OPENING, 0, span=(0.3, 0.55))
    left = replace(number_at("95", (200, 80), Role.SECTION, 0, span=(0.0, 0.3)), accepted=False)
    drawn = opening(0, (0.3, 0.55), (("doorway", 0.9), ("window", 0.08), ("door", 0.02)))
    numbers = (wide, left, number_at("105", (440, 150), Role.SILL, 0))
    plan = SketchReading(1000, 800, "cm", numbers, SketchOutline(WALLS, True, (drawn,)))
    (ask,) = doubts_of([], {"plan.jpg": plan}, "plan.jpg", ENGLISH)
    assert "left of window" in ask.beside
