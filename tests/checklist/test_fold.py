"""The fold: words laid over what was read. The cases are told as what happens to a job, not as what the code does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.domain.room.room_file import room_from_dict
from intake.domain.said.by_mail import OwnWords, heard
from intake.domain.said.plan_numbers import (
    Numbering,
    by_people,
    joined_over,
    laid_over,
    main_sketch,
    numbering_of,
    opening_kinds,
    overridden,
    with_openings,
)
from intake.domain.said.typed_room import evidence_of_room
from intake.domain.survey.fold import Survey, fold
from intake.domain.survey.readiness import not_ready
from intake.model.checklist import ItemState
from intake.model.examination import RoomExamination
from intake.model.letter import Ask
from intake.model.picture import Picture, Subject
from intake.model.reading import (
    Alternative,
    Feature,
    GivenBy,
    OpeningKind,
    ReadNumber,
    Role,
    SketchReading,
)
from intake.model.room import Correction
from intake.model.word import (
    AddedNumber,
    Confirmation,
    HeightWord,
    NeedTaken,
    NumberWord,
    PlanNumber,
    Statement,
    StatementKind,
    TypedRoom,
    Way,
    Word,
)
from intake.wording.desk import worded
from tests.checklist.build import NOW, picture
from tests.checklist.test_typed_room import ANSWERED, KITCHEN, _room
from tests.room.test_room_from_reading import DOOR, NUMBERS, WALLS, WINDOW, box, reading

PLAN = picture("plan", Subject.SKETCH)
SECOND = picture("second", Subject.SKETCH)
WIDTH = next(i for i, n in enumerate(NUMBERS) if n.role is Role.OPENING)
SILL = next(i for i, n in enumerate(NUMBERS) if n.role is Role.SILL)


def survey(
    *words: Word,
    read: dict[str, SketchReading] | None = None,
    pictures: Sequence[Picture] = (PLAN,),
) -> Survey:
    return fold(KITCHEN, pictures, {"plan": reading()} if read is None else read, words)


def state(found: Survey, item: str) -> ItemState:
    return next(s.state for s in found.standings() if s.item.id == item)


def told(item: str, text: str, value_mm: int | None, **more: object) -> Statement:
    kind = StatementKind.VALUE if value_mm else StatementKind.SAID
    return Statement(item, kind, text, value_mm, **more)  # type: ignore[arg-type]


def room_of(found: Survey) -> RoomExamination:
    examination = found.examination()
    assert examination is not None
    return examination


# The room


def test_without_a_plan_there_is_no_room_and_the_words_count_all_the_same() -> None:
    found = survey(told("ceiling-height", "the ceiling is 236", 2360), read={}, pictures=())
    assert found.examination() is None and found.sketch == ""
    assert state(found, "ceiling-height") is ItemState.PRESENT
    assert state(found, "wall-sections") is ItemState.MISSING


def test_the_room_is_drawn_from_the_plan() -> None:
    found = survey()
    assert [len(w.sections) for w in room_of(found).survey.walls] == [3, 1, 2, 0]
    assert state(found, "wall-sections") is not ItemState.MISSING
    assert room_of(found).survey.walls[0].sections[1].sill is not None


def test_a_room_typed_at_the_desk_stands_in_place_of_the_plan() -> None:
    found = survey(TypedRoom("", _room(sill=104, head=205, reveal=12)))
    walls = room_of(found).survey.walls
    assert [s.length.value_mm for s in walls[0].sections] == [1000, 1200, 1800]
    assert all(state(found, item) is ItemState.PRESENT for item in ANSWERED)


def test_of_two_typed_rooms_the_later_stands() -> None:
    first, later = TypedRoom("", _room()), TypedRoom("", _room(sill=104, head=205, reveal=12))
    assert state(survey(first, later), "sill-height") is ItemState.PRESENT
    assert state(survey(later, first), "sill-height") is ItemState.DOUBTFUL


def test_a_height_told_by_mail_is_drawn_in_a_typed_room() -> None:
    mail = told("sill-height", "the sill is 104", 1040)
    window = room_of(survey(mail, TypedRoom("", _room(head=205)))).survey.walls[0].sections[1]
    assert window.sill is not None
    assert (window.sill.value_mm, window.sill.taken_from) == (1040, GivenBy.CUSTOMER)


def test_a_thing_that_is_named_after_a_length_is_no_length() -> None:
    typed = _room(head=205, reveal=12)
    typed["fixed"] = [{"name": "sill", "wall": "C", "left": 20, "width": 80}]
    found = survey(TypedRoom("", typed))
    assert state(found, "sill-height") is state(
        survey(TypedRoom("", _room(head=205, reveal=12))), "sill-height"
    )
    told = evidence_of_room(room_from_dict(typed), KITCHEN)["sill-height"]
    assert not any(e.text.key == "thing-typed" for e in told)


# Heights typed for one opening


def typed_sill(opening: PlanNumber | None, value_mm: int = 990) -> HeightWord:
    return HeightWord(Role.SILL, "99", value_mm, opening, settles=True, by="Wren")


def test_a_height_typed_for_a_window_stands_in_place_of_what_was_read() -> None:
    found = survey(typed_sill(PlanNumber("plan", WIDTH)))
    sill = room_of(found).survey.walls[0].sections[1].sill
    assert sill is not None and (sill.value_mm, sill.taken_from) == (990, GivenBy.DESIGNER)
    assert state(found, "sill-height") is ItemState.PRESENT


@pytest.mark.parametrize("opening", [PlanNumber("second", WIDTH), PlanNumber("plan", added=7)])
def test_a_height_of_an_opening_that_is_not_on_the_plan_counts_for_nothing(opening: PlanNumber) -> None:
    """It was typed for another sketch, or for a number that somebody had added and took back."""
    bare = reading(tuple(n for n in NUMBERS if n.role is not Role.SILL))
    assert state(survey(typed_sill(opening), read={"plan": bare}), "sill-height") is ItemState.MISSING
    other_order = reading((NUMBERS[WIDTH], *(n for n in NUMBERS if n.role is not Role.OPENING)))
    for plan in (reading(), other_order):
        found = survey(typed_sill(opening), read={"plan": plan})
        sill = room_of(found).survey.walls[0].sections[1].sill
        assert sill is not None and sill.value_mm == 1050


def test_a_height_needs_no_opening_where_the_room_has_one_window() -> None:
    sill = room_of(survey(typed_sill(None))).survey.walls[0].sections[1].sill
    assert sill is not None and sill.value_mm == 990


def test_a_length_that_a_designer_took_from_the_words_is_drawn() -> None:
    bare = {"plan": reading(tuple(n for n in NUMBERS if n.role is not Role.SILL))}
    taken = NeedTaken("need", told("sill-height", "104 it is", 1040))
    found = survey(taken, read=bare)
    assert found.statements == (taken.statement,)
    sill = room_of(found).survey.walls[0].sections[1].sill
    assert sill is not None and sill.value_mm == 1040


def test_a_designers_word_on_an_item_is_last() -> None:
    found = survey(Confirmation("boiler", ItemState.NOT_APPLICABLE, by="Wren"))
    assert state(found, "boiler") is ItemState.NOT_APPLICABLE


def test_what_was_read_is_never_changed() -> None:
    before = reading()
    read = {"plan": before}
    laid_over(read, [NumberWord(PlanNumber("plan", 1), "99", 990), typed_sill(None)])
    assert read == {"plan": before} and before == reading()


# Numbers of a plan


@given(read=st.integers(0, 20), added=st.lists(st.integers(1, 99), unique=True, max_size=6))
def test_words_find_each_number_again_by_what_they_call_it(read: int, added: list[int]) -> None:
    numbering = Numbering("plan", read, tuple(added))
    assert numbering.count == read + len(added)
    assert [numbering.index(numbering.name(i)) for i in range(numbering.count)] == list(
        range(numbering.count)
    )
    assert numbering.index(PlanNumber("another", 0)) is None
    assert numbering.index(PlanNumber("plan", added=100)) is None


def one(word: NumberWord, number: ReadNumber = NUMBERS[1]) -> ReadNumber:
    """The number with the word laid over it."""
    found = overridden(reading((number,)), Numbering("plan", 1), [word])
    return found.numbers[0]


def by_desk(**said: object) -> NumberWord:
    return NumberWord(PlanNumber("plan", 0), **said)  # type: ignore[arg-type]


UNSURE = replace(NUMBERS[1], accepted=False, confidence=0.4, span=(0.1, 0.3))


def test_a_text_from_the_desk_settles_the_number() -> None:
    found = one(by_desk(text="96", value_mm=960), UNSURE)
    assert (found.text, found.value_mm, found.accepted, found.confidence) == ("96", 960, True, 1.0)
    assert (found.role, found.wall, found.reader) == (UNSURE.role, UNSURE.wall, "designer")


def test_a_confirmation_settles_what_was_read() -> None:
    found = one(by_desk(confirmed=True), UNSURE)
    assert (found.text, found.value_mm, found.accepted) == (UNSURE.text, UNSURE.value_mm, True)


def test_a_role_or_a_wall_alone_leaves_open_what_it_says() -> None:
    assert not one(by_desk(role=Role.OVERALL), UNSURE).accepted
    assert one(by_desk(role=Role.OVERALL), UNSURE).span == UNSURE.span
    moved = one(by_desk(wall=2), UNSURE)
    assert (moved.wall, moved.accepted, moved.span) == (2, False, None), "its span was along the other wall"
    assert one(by_desk(wall=0), UNSURE).span == UNSURE.span


def test_what_is_no_number_keeps_its_place_in_the_row() -> None:
    found = one(by_desk(not_a_number=True), UNSURE)
    assert (found.value_mm, found.role, found.wall) == (None, Role.UNKNOWN, None)
    assert (found.text, found.box, found.accepted) == (UNSURE.text, UNSURE.box, True)


def test_a_customers_answer_keeps_what_was_read_among_the_alternatives() -> None:
    found = one(by_desk(text="85.5", value_mm=855, quote="it is 85.5", way=Way.MAIL), UNSURE)
    assert (found.text, found.value_mm, found.accepted, found.confidence) == ("85.5", 855, True, 1.0)
    assert found.alternatives[0].text == UNSURE.text and found.reader == "customer"


def test_what_the_customer_answers_and_what_the_desk_says_are_both_laid_over_the_plan() -> None:
    answer = NumberWord(PlanNumber("plan", 0), "185.5", 1855, way=Way.MAIL)
    none, other = (
        NumberWord(PlanNumber("plan", 1), not_a_number=True),
        NumberWord(PlanNumber("plan", 4), "301", 3010),
    )
    laid = survey(answer, none, other).readings["plan"].numbers
    assert (laid[0].value_mm, laid[0].reader, laid[4].value_mm) == (1855, "customer", 3010)
    assert (laid[1].value_mm, laid[1].role) == (None, Role.UNKNOWN), (
        "what is said of another brings it not back"
    )
    again = NumberWord(PlanNumber("plan", 1), "95", 950)
    assert survey(none, again).readings["plan"].numbers[1].value_mm == 950


@pytest.mark.parametrize("nowhere", [-1, 1, 99])
def test_a_word_on_a_number_that_does_not_exist_changes_none(nowhere: int) -> None:
    word = NumberWord(PlanNumber("plan", nowhere), text="96", value_mm=960)
    assert overridden(reading((UNSURE,)), Numbering("plan", 1), [word]) == reading((UNSURE,))


def test_what_the_ink_may_say_beside_stays_on_offer() -> None:
    offered = replace(UNSURE, alternatives=(Alternative(UNSURE.text, 0.4), Alternative("35.5", 0.2)))
    found = one(by_desk(text="85.5", value_mm=855, way=Way.MAIL), offered)
    assert [(a.text, a.confidence) for a in found.alternatives] == [(UNSURE.text, 0.4), ("35.5", 0.2)]


def test_what_mail_says_bears_who_wrote_it_and_when() -> None:
    (word,) = heard([OwnWords("m1", "ann@x.example", NOW, "The ceiling is 236.")], KITCHEN).words
    assert (word.by, word.at, word.way) == ("ann@x.example", NOW, Way.MAIL)


def test_an_answer_is_about_the_number_that_was_asked_about_and_no_other() -> None:
    asks = (
        Ask("wall-sections", "Is the number in this picture 386.5?", choices=("386.5", "380.5"), picture="plan",
            number=1),
        Ask("ceiling-height", "What is the ceiling height?"),
    )  # fmt: skip
    said = heard([OwnWords("m2", "ann@x.example", NOW, "1: 386.5\n2: 236", asks)], KITCHEN).words
    about = {w.item: w.number for w in said if isinstance(w, Statement)}
    assert about == {"wall-sections": PlanNumber("plan", 1), "ceiling-height": None}
    assert [w.number for w in said if isinstance(w, NumberWord)] == [PlanNumber("plan", 1)]


@pytest.mark.parametrize(
    ("reply", "text", "value_mm"),
    [("1: the second one", "380.5", 3805), ("1: it is 386.7 cm", "it is 386.7 cm", 3867)],
)
def test_an_answer_says_what_the_choice_does_that_it_picks_else_what_they_wrote(
    reply: str, text: str, value_mm: int
) -> None:
    asks = (
        Ask("wall-sections", "Is it 386.5 or 380.5?", choices=("386.5", "380.5"), picture="plan", number=1),
    )
    said = heard([OwnWords("m2", "ann@x.example", NOW, reply, asks)], KITCHEN).words
    assert [(w.text, w.value_mm) for w in said if isinstance(w, NumberWord)] == [(text, value_mm)]


@pytest.mark.parametrize("doubtful", ["worktop", "worktop_to_sill"])
def test_a_sill_in_two_parts_is_as_sure_as_either(doubtful: str) -> None:
    typed = room_from_dict(_room(worktop=90, **{"worktop-to-sill": 14}))
    window = typed.walls[0].sections[1]
    (sure,) = evidence_of_room(typed, KITCHEN)["sill-height"]
    assert (sure.value_mm, sure.doubt) == (1040, None)
    unsure = replace(window, **{doubtful: replace(getattr(window, doubtful), accepted=False)})
    wall = replace(
        typed.walls[0], sections=(typed.walls[0].sections[0], unsure, *typed.walls[0].sections[2:])
    )
    (part,) = evidence_of_room(replace(typed, walls=(wall, *typed.walls[1:])), KITCHEN)["sill-height"]
    assert part.value_mm == 1040 and "nobody has said that it is right" in worded(part.doubt)


def test_of_words_on_one_number_the_later_says_what_it_says() -> None:
    text, role = by_desk(text="96", value_mm=960, wall=1), by_desk(role=Role.OPENING, opening="door")
    assert joined_over(text, role) == by_desk(
        text="96", value_mm=960, wall=1, role=Role.OPENING, opening="door"
    )
    assert joined_over(role, text) == joined_over(text, role)
    assert joined_over(text, by_desk(wall=2)).wall == 2 and joined_over(text, by_desk(wall=0)).wall == 0
    assert joined_over(text, by_desk(confirmed=True)).text == ""
    none = by_desk(not_a_number=True)
    assert joined_over(text, none) == none
    assert not joined_over(none, text).not_a_number and joined_over(none, role).not_a_number


def test_a_number_that_somebody_added_stands_behind_those_read() -> None:
    added = AddedNumber("plan", "88", 880, box(860, 300), Role.SECTION, wall=1, id=5, by="Wren")
    found = survey(added, NumberWord(added.number, "89", 890, id=6, by="Wren"))
    laid = found.readings["plan"]
    assert len(laid.numbers) == len(NUMBERS) + 1
    assert (laid.numbers[-1].text, laid.numbers[-1].value_mm) == ("89", 890)
    assert laid.numbers[-1].role is Role.SECTION
    by_hand = survey(added).readings["plan"].numbers[-1]
    assert (by_hand.accepted, by_hand.confidence) == (True, 1.0), "a person wrote it down"
    plain = survey(replace(added, role=None)).readings["plan"]
    assert plain.numbers[-1].role is Role.UNKNOWN
    assert found.numbering("plan").name(len(NUMBERS)) == added.number
    assert numbering_of("second", reading(), [added]).count == len(NUMBERS)
    assert by_people(laid)[len(NUMBERS)] == Correction(890, GivenBy.DESIGNER, "89")
    assert set(by_people(laid)) == {len(NUMBERS)}


@pytest.mark.parametrize(
    ("pictures", "sure", "drawn_from"),
    [
        ((), {}, ""),
        ((PLAN,), {}, ""),
        ((picture("plan", Subject.ROOM),), {"plan": 5}, ""),
        ((PLAN,), {"plan": 0}, "plan"),
        ((PLAN, SECOND), {"plan": 5, "second": 4}, "plan"),
        ((PLAN, SECOND), {"plan": 5, "second": 6}, "second"),
        ((PLAN, SECOND), {"plan": 5, "second": 5}, "second"),
        ((PLAN, replace(SECOND, same_as="plan")), {"plan": 5, "second": 6}, "plan"),
    ],
)
def test_the_room_is_drawn_from_the_sketch_with_most_sure_numbers_the_later_of_two(
    pictures: tuple[Picture, ...], sure: dict[str, int], drawn_from: str
) -> None:
    read = {
        p: reading(tuple(replace(n, accepted=i < count) for i, n in enumerate(NUMBERS)))
        for p, count in sure.items()
    }
    assert main_sketch(read, pictures) == drawn_from


def test_a_number_without_a_length_is_not_a_sure_one() -> None:
    blank = replace(NUMBERS[0], value_mm=None)
    read = {"plan": reading((blank, blank)), "second": reading(NUMBERS[:1])}
    assert main_sketch(read, (SECOND, PLAN)) == "second"


def test_what_an_opening_is_a_person_says_against_the_drawing() -> None:
    """The window drawn on the same stretch gives way; what stands elsewhere stays."""
    there = reading(features=(WINDOW, DOOR))
    found = with_openings(there, {WIDTH: OpeningKind.DOOR}).outline.features
    assert [(f.kind, f.wall) for f in found] == [("door", 0), ("door", 3)]
    assert WINDOW.span is not None and found[0].span is not None
    assert WINDOW.span[0] < sum(found[0].span) / 2 < WINDOW.span[1]
    beyond = Feature(OpeningKind.WINDOW, 0, (0.7, 0.8), box(700, 100))
    short = Feature(OpeningKind.WINDOW, 0, (0.05, 0.12), box(150, 100))
    beside = reading(features=(short, beyond))
    assert with_openings(beside, {WIDTH: OpeningKind.DOOR}).outline.features[1:] == (short, beyond)
    facing = replace(WINDOW, wall=2)
    assert facing in with_openings(reading(features=(facing,)), {WIDTH: OpeningKind.DOOR}).outline.features
    section = next(i for i, n in enumerate(NUMBERS) if n.role is Role.SECTION)
    assert with_openings(there, {section: "door"}) == there, "the number is no opening's"
    assert with_openings(there, {section: "door", WIDTH: "door"}).outline.features == found
    assert with_openings(there, {len(NUMBERS): "door"}) == there
    assert all(0.0 <= at <= 1.0 for f in found if f.span for at in f.span)
    assert {w.wall for w in WALLS} >= {f.wall for f in found}


# Ready


def test_the_width_of_an_opening_on_no_wall_shows_nothing() -> None:
    there = reading(tuple(replace(n, wall=None) for n in NUMBERS), (WINDOW, DOOR))
    assert with_openings(there, {WIDTH: "door"}) == there


def test_what_an_opening_is_is_told_of_the_numbers_of_one_sketch() -> None:
    said = [
        NumberWord(PlanNumber(sketch, WIDTH), role=Role.OPENING, opening=kind)
        for sketch, kind in (("plan", "door"), ("second", "window"))
    ]
    assert opening_kinds(Numbering("plan", len(NUMBERS)), said) == {WIDTH: "door"}


def test_one_height_does_not_answer_for_two_windows() -> None:
    two = _room(sill=104, head=205, reveal=12)
    two["walls"][2]["sections"] = [100, {"window": 80, "sill": 104, "head": 205, "reveal": 12}, 220]
    findings = {f.code for f in not_ready(survey(TypedRoom("", two)).standings(), None, None)}
    assert not any(code.endswith("of-each-window") for code in findings)
    wide = reading(
        (*NUMBERS, number_on(2, "60", (400, 690))),
        (WINDOW, Feature(OpeningKind.WINDOW, 2, (0.55, 0.75), box(400, 700))),
    )
    found = survey(read={"plan": wide})
    assert "sill-height-of-each-window" in {
        f.code for f in not_ready(found.standings(), found.examination(), found.readings["plan"])
    }


def number_on(wall: int, text: str, at: tuple[float, float]) -> ReadNumber:
    return ReadNumber(text, round(float(text) * 10), box(*at), 0.98, True, role=Role.OPENING, wall=wall)
