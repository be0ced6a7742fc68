"""What nobody has told of a room's openings: who is asked what. The rules are the survey's; the rooms are invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from intake.domain.room.closing import examine_room
from intake.domain.said.heights import with_heights
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.domain.survey.asking import MOST_DOUBTS, at_one_look, what_to_ask
from intake.domain.survey.openings import OpeningDoubtKind, openings_in_doubt
from intake.domain.survey.readiness import not_ready
from intake.domain.survey.standings import assess
from intake.domain.words.whole_message import statements
from intake.model.checklist import ItemState, RoomKind
from intake.model.examination import RoomExamination
from intake.model.letter import Ask
from intake.model.reading import (
    Direction,
    GivenBy,
    Hinge,
    Measures,
    OpeningKind,
    Opens,
    OutlineWall,
    ReadNumber,
    Role,
    SketchReading,
)
from intake.model.word import Confirmation, HeightWord, Way
from intake.postbox.letters import load_letters
from tests.checklist.build import reading, room_pictures, whole_room
from tests.checklist.test_asking import CONFIG, ENGLISH, KITCHEN, PLAN, SERVICES, WITHOUT_SILL, asked
from tests.room.readings import number
from tests.room.test_beside import A_TOSS_UP, LIKE_A_WINDOW, SURE, drawn, on_wall, plan

UNTOLD, WAY_IN = OpeningDoubtKind.UNTOLD, OpeningDoubtKind.WAY_IN
NO_WAY_IN, NO_WINDOW = OpeningDoubtKind.NO_WAY_IN, OpeningDoubtKind.NO_WINDOW
WINDOW = drawn(0, (0.3, 0.55), SURE)
DOOR = replace(drawn(2, (0.3, 0.55), SURE), kind=OpeningKind.DOOR, kinds=())
TOSS_UP = drawn(1, (0.3, 0.55), A_TOSS_UP)
TOP, RIGHT, BOTTOM = on_wall(0), on_wall(1, "85"), on_wall(2, "86")
HEIGHTS = (number("105", (436, 140), Role.SILL, 0), number("210", (440, 160), Role.HEAD, 0))
SILL_SAID = HeightWord(Role.SILL, "The sill is 104", 1040, way=Way.MAIL)


class Case:
    """A kitchen read off a plan, with what was told of its heights and what a designer said of items."""

    def __init__(
        self, reading: SketchReading, told: tuple[HeightWord, ...] = (), said: tuple[Confirmation, ...] = ()
    ) -> None:
        self.reading = reading
        self.room: RoomExamination = examine_room(
            with_heights(room_from_reading(reading, kind=RoomKind.KITCHEN), told)
        )
        shown = [PLAN, *room_pictures(4), *SERVICES]
        self.standings = assess(KITCHEN, {"plan": reading}, shown, (), self.room.findings, said)
        self.asks: tuple[Ask, ...] = what_to_ask(self.standings, {"plan": reading}, shown, ENGLISH, self.room)

    def doubts(self) -> list[tuple[str, list[str]]]:
        """What is in doubt, and the openings that it may be about, each by its name on the plan."""
        tags = self.room.survey.opening_tags()
        found = openings_in_doubt(self.room, self.reading, self.standings)
        return [(one.kind, [tags[place] for place in one.places]) for one in found]

    def reasons(self) -> set[str]:
        return {f.code for f in not_ready(self.standings, self.room, self.reading)}


def test_a_room_whose_openings_are_told_is_asked_nothing_about_them() -> None:
    case = Case(plan(*TOP, *BOTTOM, *HEIGHTS, features=(WINDOW, DOOR)))
    assert case.doubts() == []
    assert not {*OpeningDoubtKind} & case.reasons()
    assert not any(a.opening is not None for a in case.asks)


def test_a_toss_up_keeps_a_room_from_being_ready_and_is_asked_by_its_place() -> None:
    case = Case(plan(*TOP, *RIGHT, *BOTTOM, *HEIGHTS, features=(WINDOW, TOSS_UP, DOOR)))
    assert case.doubts() == [(UNTOLD, ["Opening 1"])]
    assert UNTOLD in case.reasons()
    (ask,) = (a for a in case.asks if a.opening is not None)
    assert ask.opening == 4 and ask.picture == "plan" and ask.number is None
    assert "There is an opening, 85 cm wide, in the wall down the right-hand side" in ask.question
    assert "a window, a door or an open doorway" in ask.question


@pytest.mark.parametrize("widths", [(), BOTTOM], ids=["no width read", "another's read"])
def test_what_an_opening_is_whose_width_was_not_read_is_asked_with_the_width(
    widths: tuple[ReadNumber, ...],
) -> None:
    """Two of them on one wall would be asked about in the same words."""
    two = tuple(drawn(1, span, A_TOSS_UP) for span in ((0.1, 0.3), (0.6, 0.8)))
    case = Case(plan(*TOP[:1], *widths, features=(*two, DOOR)))
    assert [kind for kind, _ in case.doubts()] == [UNTOLD, UNTOLD]
    (ask,) = (a for a in case.asks if "openings" in a.items)
    assert ask.opening is None and ask.how.endswith("a window, a door or an open doorway.")


def test_no_letter_asks_about_more_openings_than_of_doubtful_numbers() -> None:
    widths = [
        number("85", (100 + 800 * at + 80, 80 if wall == 0 else 720), Role.OPENING, wall, span=(at, at + 0.2))
        for wall in (0, 2)
        for at in (0.1, 0.6)
    ]
    toss_ups = tuple(drawn(n.wall or 0, n.span or (0.0, 1.0), A_TOSS_UP) for n in widths)
    case = Case(plan(*widths, features=toss_ups))
    assert len(case.doubts()) == 4
    assert sum(a.opening is not None for a in case.asks) == MOST_DOUBTS


@pytest.mark.parametrize("unit", ["mm", "m"])
def test_the_width_is_told_as_the_plan_is_written(unit: str) -> None:
    case = Case(replace(plan(*RIGHT, *BOTTOM, features=(TOSS_UP, DOOR)), unit=unit))
    (ask,) = (a for a in case.asks if a.opening is not None)
    assert {"mm": "850 mm wide", "m": "0.85 m wide"}[unit] in ask.question


def test_heights_are_asked_once_it_is_told_that_it_is_a_window() -> None:
    """Told beside what it is, nobody could be sure of which window they are; of a sure one they are asked anyway."""
    recess = number("12", (450, 180), Role.REVEAL, 0)
    whole = Case(plan(*TOP, *RIGHT, *BOTTOM, *HEIGHTS, recess, features=(WINDOW, TOSS_UP, DOOR)))
    without = Case(plan(*RIGHT, *BOTTOM, features=(TOSS_UP, DOOR)))
    for case, wanted in ((whole, False), (without, True)):
        (ask,) = (a for a in case.asks if a.opening is not None)
        assert ask.how == "One word is enough."
        assert any("sill-height" in a.items for a in case.asks) is wanted


def test_a_sill_told_makes_the_toss_up_a_window_and_nobody_is_asked() -> None:
    case = Case(plan(*RIGHT, *BOTTOM, features=(TOSS_UP, DOOR)), (SILL_SAID,))
    assert case.doubts() == []
    assert not any(a.opening is not None for a in case.asks)


def test_a_window_that_is_taken_for_the_door_is_a_designers_to_confirm() -> None:
    likely = replace(drawn(2, (0.3, 0.55), LIKE_A_WINDOW))
    case = Case(plan(*TOP, *BOTTOM, features=(WINDOW, likely)))
    assert case.doubts() == [(WAY_IN, ["Door 1"])]
    assert WAY_IN in case.reasons()
    (ask,) = (a for a in case.asks if a.opening is not None)
    assert "There is an opening, 86 cm wide, in the wall along the bottom of your plan." in ask.question
    said = replace(likely, kind=OpeningKind.DOOR, kinds=())
    assert Case(plan(*TOP, *BOTTOM, features=(WINDOW, said))).doubts() == []


def test_a_window_that_its_wall_has_no_room_for_is_taken_for_no_door() -> None:
    """Wall B is 300, and so are the two pieces of it that are written: nothing is left of what is drawn between them.
    The sum is ours."""
    rest = [number("400", (500, y), Role.SECTION, w) for w, y in ((0, 80), (2, 720))]
    rest += [number("300", (70, 400), Role.SECTION, 3), number("300", (960, 400), Role.OVERALL, 1)]
    pieces = [("200", 200, (0.0, 0.2)), ("100", 600, (0.7, 1.0))]
    rest += [number(text, (930, y), Role.SECTION, 1, span=span) for text, y, span in pieces]
    case = Case(plan(*rest, features=(drawn(1, (0.3, 0.55), LIKE_A_WINDOW),)))
    assert case.doubts() == [(NO_WAY_IN, [])]
    assert NO_WAY_IN in case.reasons()


def test_a_kitchen_without_a_door_is_never_ready_and_the_customer_is_asked_where_it_is() -> None:
    case = Case(plan(*TOP, *BOTTOM, *HEIGHTS, features=(WINDOW, replace(DOOR, kind=OpeningKind.WINDOW))))
    assert case.doubts() == [(NO_WAY_IN, ["Window 2"])], "the first has a sill"
    assert NO_WAY_IN in case.reasons()
    assert [a for a in case.asks if ENGLISH.say("way-in-unknown") == a.question]


def test_a_designer_may_say_that_there_is_no_door_to_look_for() -> None:
    reading = plan(*TOP, *HEIGHTS, features=(WINDOW,))
    assert NO_WAY_IN in Case(reading).reasons()
    said = (Confirmation("openings", ItemState.CONFIRMED, by="Maya"),)
    case = Case(reading, said=said)
    assert case.doubts() == [] and NO_WAY_IN not in case.reasons()


def test_where_every_door_is_asked_for_it_is_asked_once_and_says_that_none_is_known() -> None:
    case = Case(plan(number("400", (500, 80), Role.SECTION, 0)))
    asks = [a for a in case.asks if "openings" in a.items]
    assert len(asks) == 1 and asks[0].how.endswith(ENGLISH.say("way-in-unknown"))


@pytest.mark.parametrize("told", [(SILL_SAID,), ()])
def test_heights_of_a_window_that_is_not_known_are_looked_for(told: tuple[HeightWord, ...]) -> None:
    """Told in words, or written on the plan away from any opening; a door that is drawn as it hangs is no window."""
    on_plan = () if told else (number("105", (500, 400), Role.SILL, 3),)
    gap = replace(drawn(1, (0.3, 0.55), A_TOSS_UP), kind=OpeningKind.DOORWAY, kinds=())
    hung = replace(DOOR, hinge=Hinge.LEFT, into=Opens.ROOM, swing=0.9)
    case = Case(plan(*RIGHT, *BOTTOM, *on_plan, features=(gap, hung)), told)
    assert case.doubts() == [(NO_WINDOW, ["Opening 1"])]
    assert NO_WINDOW in case.reasons()


def test_of_a_room_that_a_designer_typed_only_an_opening_of_no_kind_is_in_doubt() -> None:
    case = Case(plan(*TOP, *RIGHT, features=(WINDOW, TOSS_UP)))
    assert [one.kind for one in openings_in_doubt(case.room, None, case.standings)] == [UNTOLD]
    case = Case(plan(*TOP, features=(WINDOW,)))
    assert openings_in_doubt(case.room, None, case.standings) == ()


def test_in_a_room_with_a_step_the_wall_is_told_by_its_turn() -> None:
    """Two of its walls run the same way on the page."""
    outline = (
        OutlineWall(0, (100, 100), (900, 100), Direction.EAST),
        OutlineWall(1, (900, 100), (900, 400), Direction.SOUTH),
        OutlineWall(2, (900, 400), (600, 400), Direction.WEST),
        OutlineWall(3, (600, 400), (600, 700), Direction.SOUTH),
        OutlineWall(4, (600, 700), (100, 700), Direction.WEST),
        OutlineWall(5, (100, 700), (100, 100), Direction.NORTH),
    )
    wide = number("85", (630, 500), Role.OPENING, 3, span=(0.3, 0.55))
    reading = plan(wide, features=(replace(TOSS_UP, wall=3),))
    case = Case(replace(reading, outline=replace(reading.outline, walls=outline)))
    (ask,) = (a for a in case.asks if a.opening is not None)
    assert "the second wall down the right-hand side of your plan" in ask.question


def test_german_letters_ask_it_too() -> None:
    german = load_letters(CONFIG / "letters").wording("de")
    case = Case(plan(*TOP, *RIGHT, *BOTTOM, *HEIGHTS, features=(WINDOW, TOSS_UP, DOOR)))
    asks = what_to_ask(case.standings, {"plan": case.reading}, [PLAN], german, case.room)
    (ask,) = (a for a in asks if a.opening is not None)
    assert "ein Fenster, eine Tür oder ein offener Durchgang" in ask.question


@pytest.mark.parametrize(
    ("words", "state"),
    [
        ("There is no window in the kitchen.", ItemState.NOT_APPLICABLE),
        ("There is no window in this room.", ItemState.NOT_APPLICABLE),
        ("There is no window in the bathroom.", ItemState.DOUBTFUL),
        ("There is no window in the utility room.", ItemState.DOUBTFUL),
        ("There is no window over the sink.", ItemState.DOUBTFUL),
        ("There is no window in the larder off this room.", ItemState.DOUBTFUL),
        ("In the kitchen there is no window.", ItemState.NOT_APPLICABLE),
        ("Es gibt kein Fenster im Bad.", ItemState.DOUBTFUL),
    ],
)
def test_a_window_denied_of_this_room_has_no_sill_and_of_another_says_nothing(
    words: str, state: ItemState
) -> None:
    standings = assess(KITCHEN, {"plan": WITHOUT_SILL}, [PLAN], statements(words, KITCHEN))
    assert next(s for s in standings if s.item.id == "sill-height").state is state


def test_no_figure_is_asked_of_who_told_none() -> None:
    """Of "no window, I think" there is no exact figure; what is asked is the window, or to say that there is none."""
    asks = asked(WITHOUT_SILL, "There is no window in the bathroom.")
    assert not any("exact figure" in a.question for a in asks)
    (ask,) = (a for a in asks if "sill-height" in a.items)
    assert "If there is no window" in ask.how


def test_a_window_on_the_plan_stands_against_words_that_there_is_none() -> None:
    said = statements("There are no windows.", KITCHEN)
    for window, state in ((True, ItemState.DOUBTFUL), (False, ItemState.NOT_APPLICABLE)):
        standings = assess(KITCHEN, {"plan": WITHOUT_SILL}, [PLAN], said, window=window)
        assert {s.state for s in standings if s.item.id in ("sill-height", "head-height")} == {state}
    recess = statements("There is no recess at the window.", KITCHEN)
    plan = reading(*(n for n in whole_room().numbers if n.role is not Role.REVEAL))
    standings = assess(KITCHEN, {"plan": plan}, [PLAN], recess, window=True)
    assert next(s for s in standings if s.item.id == "reveal-depth").state is ItemState.NOT_APPLICABLE


def of_a_wall_perhaps(**more: Any) -> SketchReading:
    """A plan on which 48.5, at the top wall, is taken for a thing's; that it is a piece of the wall is .26 likely."""
    maybe = (Measures(Role.SECTION, (0,), (0.0, 0.3), 0.26),)
    beside = replace(number("48.5", (220, 120), Role.FIXTURE, 0), accepted=False, may_measure=maybe, **more)
    return plan(*TOP, *BOTTOM, *HEIGHTS, beside, features=(WINDOW, DOOR))


def test_a_number_that_may_be_a_piece_of_its_wall_is_a_designers_first_and_asked_by_what_it_measures() -> (
    None
):
    """Without it the wall may be too short and the room close all the same."""
    case = Case(of_a_wall_perhaps())
    assert "number-in-doubt" in case.reasons()
    (ask,) = (a for a in case.asks if a.number == len(case.reading.numbers) - 1)
    assert ask.question == ENGLISH.say("what-it-measures", choice="48.5") and ask.choices == ()
    assert ask in at_one_look(case.asks, {"plan": case.reading})


@pytest.mark.parametrize(
    ("given", "open_"),
    [
        ({}, True),
        ({"accepted": True, "reader": GivenBy.CUSTOMER}, True),
        ({"accepted": True, "reader": GivenBy.DESIGNER}, False),
        ({"accepted": True}, False),
        ({"may_measure": ()}, False),
    ],
    ids=["open", "confirmed by the customer", "settled by a designer", "sure", "nothing else"],
)
def test_what_it_measures_stays_open_until_a_designer_says_so(given: dict[str, Any], open_: bool) -> None:
    case = Case(of_a_wall_perhaps())
    numbers = (*case.reading.numbers[:-1], replace(case.reading.numbers[-1], **given))
    assert ("number-in-doubt" in Case(replace(case.reading, numbers=numbers)).reasons()) is open_
