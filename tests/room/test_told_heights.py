"""Heights told in words: on the opening that they can only be of, doubtful where that is not sure, lost never."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.room.closing import examine_room
from intake.domain.said.heights import door_heights, heights_in, with_heights
from intake.domain.said.plan_numbers import Numbering
from intake.domain.words.whole_message import statements
from intake.model.checklist import RoomKind
from intake.model.reading import Role
from intake.model.room import Measurement, RoomSurvey, Section, SectionKind
from intake.model.word import HeightWord, PlanNumber, Way
from intake.wording import desk
from tests.checklist.test_typed_words import KITCHEN
from tests.room.build import oracle_room


def _with_kinds(*kinds: tuple[int, int, SectionKind]) -> RoomSurvey:
    """The oracle room with its window, and further sections of these kinds."""
    room = oracle_room()
    walls = list(room.walls)
    for w, n, kind in kinds:
        sections = list(walls[w].sections)
        sections[n] = replace(sections[n], kind=kind)
        walls[w] = replace(walls[w], sections=tuple(sections))
    return replace(room, walls=tuple(walls))


def _window(room: RoomSurvey) -> Section:
    return room.walls[0].sections[1]


def _told(text: str) -> tuple[HeightWord, ...]:
    return heights_in(statements(text, KITCHEN, "m")) + door_heights(text, "kitchen")


def test_of_all_that_is_told_only_heights_that_are_sure_are_drawn() -> None:
    told = heights_in(
        statements(
            "There is no gas in the house. The sill is about 104. I could not measure the reveal depth."
            " Each wall is 386.5 long. The ceiling height is 236.",
            KITCHEN,
            "m",
        )
    )
    assert [(t.role, t.value_mm) for t in told] == [(Role.CEILING, 2360)]
    (answer,) = statements("The ceiling height is 236.", KITCHEN, "m")
    assert heights_in([replace(answer, number=PlanNumber("p", 3))]) == (), "it is laid over that number"


def test_what_the_mail_says_of_the_only_window_stands_on_it() -> None:
    room = with_heights(
        oracle_room(), _told("The sill height is 104. The head height is 205. The reveal depth is 11.")
    )
    window = _window(room)
    assert window.sill and window.top_above_floor and window.reveal
    given = [
        (m.value_mm, m.taken_from, m.accepted) for m in (window.sill, window.top_above_floor, window.reveal)
    ]
    assert given == [(1040, "customer", True), (2050, "customer", True), (110, "customer", True)]
    assert window.sill.text == "The sill height is 104"
    assert len({m.id for m in (window.length, window.sill, window.top_above_floor, window.reveal)}) == 4


def test_a_top_that_cannot_be_above_the_floor_is_from_the_sill() -> None:
    window = _window(with_heights(oracle_room(), _told("The window height is 108.")))
    assert (
        window.top_above_floor is None
        and window.top_above_sill is not None
        and window.top_above_sill.value_mm == 1080
    )


def test_of_two_windows_none_is_guessed_and_nothing_is_lost() -> None:
    room = with_heights(_with_kinds((2, 0, SectionKind.WINDOW)), _told("The sill height is 104."))
    assert all(s.sill is None for w in room.walls for s in w.sections)
    assert [m.value_mm for m in room.unplaced] == [1040]
    found = [f for f in examine_room(room).findings if f.code == "height-unplaced"]
    assert len(found) == 1 and "any of 2 openings" in desk.worded(found[0].text)


def test_told_for_the_other_window_it_stands_there_as_doubtful() -> None:
    """The first has its sill; another one differs, or answers our letter; the same once more is of neither."""
    room = _with_kinds((2, 0, SectionKind.WINDOW))
    sections = list(room.walls[0].sections)
    sections[1] = replace(sections[1], sill=Measurement("A2 sill", "104", 1040))
    room = replace(room, walls=(replace(room.walls[0], sections=tuple(sections)), *room.walls[1:]))
    told = with_heights(room, _told("The sill height is 98."))
    sill = told.walls[2].sections[0].sill
    assert sill is not None and (sill.value_mm, sill.accepted) == (980, False)
    assert _window(told).sill == sections[1].sill
    again = _told("The sill height is 104.")
    assert with_heights(room, again).walls[2].sections[0].sill is None
    settled = with_heights(room, [replace(h, settles=True) for h in again])
    sill = settled.walls[2].sections[0].sill
    assert sill is not None and (sill.value_mm, sill.accepted) == (1040, False)


def test_said_of_every_window_it_is_on_every_window() -> None:
    room = with_heights(
        _with_kinds((2, 0, SectionKind.WINDOW)), _told("The sill height is 104 at both windows.")
    )
    assert [s.sill.value_mm for w in room.walls for s in w.sections if s.sill] == [1040, 1040]


def test_beside_an_opening_that_may_be_a_window_the_window_gets_it_as_doubtful() -> None:
    room = with_heights(_with_kinds((2, 0, SectionKind.OPENING)), _told("The sill height is 104."))
    sill = _window(room).sill
    assert sill is not None and sill.value_mm == 1040 and not sill.accepted


def test_what_stands_on_the_plan_is_not_overwritten_unless_it_is_settled() -> None:
    room = oracle_room()
    read = Measurement("A2 sill", "101", 1010, number=7)
    window = replace(_window(room), sill=read)
    wall = replace(room.walls[0], sections=(room.walls[0].sections[0], window, room.walls[0].sections[2]))
    room = replace(room, walls=(wall, *room.walls[1:]))
    told = HeightWord(Role.SILL, "The sill is 104", 1040, way=Way.MAIL)
    assert _window(with_heights(room, [told])).sill == read
    settled = _window(with_heights(room, [replace(told, settles=True)])).sill
    assert settled is not None and (settled.value_mm, settled.number) == (1040, 7)


def test_two_tellings_that_do_not_agree_leave_the_height_in_doubt() -> None:
    room = with_heights(oracle_room(), _told("The sill height is 104. The sill height is 94."))
    sill = _window(room).sill
    assert sill is not None and sill.value_mm == 1040 and not sill.accepted
    assert [m.value_mm for m in room.unplaced] == [940]
    agreeing = with_heights(oracle_room(), _told("The sill height is 104. The sill height is 104.5."))
    assert _window(agreeing).sill.accepted and not agreeing.unplaced  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("The door is 204 high.", [2040]),
        ("Height of the door frame: 203.5", [2035]),
        ("The ceiling is 236 high, and the door is 204 high.", [2040]),
        ("The doors are both 2.04m high.", [2040]),
        (
            "The door is 80 wide and 204 high.",
            [],
        ),  # two lengths in one clause: which is which is not for us to say
        ("The door is about 204 high.", []),
        ("Is the door 204 high?", []),
        ("Is the window of any use? The door is 204 high.", [2040]),
        ("I couldn't measure the height of the door, 204 maybe.", []),
        ("The bathroom door is 204 high.", []),
        ("The top of the window above the door is 204.", []),
        ("The door is 82 high.", []),
    ],
)
def test_heights_of_doors_in_running_text(text: str, expected: list[int]) -> None:
    assert [t.value_mm for t in door_heights(text, "kitchen")] == expected


def test_a_doors_height_goes_to_the_door_and_not_to_the_window() -> None:
    room = with_heights(_with_kinds((2, 1, SectionKind.DOOR)), _told("The door is 204 high."))
    door = room.walls[2].sections[1]
    assert (
        door.top_above_floor is not None
        and door.top_above_floor.value_mm == 2040
        and _window(room).top_above_floor is None
    )


@pytest.mark.parametrize(
    ("text", "what"), [("The door is 204 high.", "door"), ("The sill height is 104.", "window")]
)
def test_what_is_told_of_an_opening_that_the_plan_does_not_show_is_said_to_be_of_none(
    text: str, what: str
) -> None:
    walls = [
        replace(w, sections=tuple(replace(s, kind=SectionKind.WALL) for s in w.sections))
        for w in oracle_room().walls
    ]
    room = with_heights(replace(oracle_room(), walls=tuple(walls)), _told(text))
    (found,) = (f for f in room.findings if f.code == "height-unplaced")
    assert f"no {what} was read on the plan" in desk.worded(found.text)


def test_ceilings_told_count_where_none_was_read_and_an_answer_stands_above_all() -> None:
    told = _told("The ceiling height is 236 at one end, 234.5 at the other.")
    told_ceilings = with_heights(oracle_room(), told).ceilings
    assert [c.value_mm for c in told_ceilings] == [2360, 2345]
    assert [c.id for c in told_ceilings] == ["ceiling told 1", "ceiling told 2"]
    read = replace(oracle_room(), ceilings=(Measurement("ceiling-height 1", "240", 2400),))
    assert [c.value_mm for c in with_heights(read, told).ceilings] == [2400]
    settled = [replace(t, settles=True) for t in told]
    assert [c.value_mm for c in with_heights(read, settled).ceilings] == [2360, 2345]


def test_a_height_typed_for_one_opening_finds_it_by_its_width() -> None:
    room = oracle_room()
    numbered = replace(_window(room), length=replace(_window(room).length, number=4))
    wall = replace(room.walls[0], sections=(room.walls[0].sections[0], numbered, room.walls[0].sections[2]))
    room = replace(room, kind=RoomKind.KITCHEN, walls=(wall, *room.walls[1:]))
    typed = HeightWord(Role.SILL, "99", 990, PlanNumber("p", 4), settles=True)
    plan = Numbering("p", 9)
    assert _window(with_heights(room, [typed], plan)).sill.value_mm == 990  # type: ignore[union-attr]
    gone = with_heights(room, [replace(typed, opening=PlanNumber("p", 5))], plan)
    assert _window(gone).sill is None and [m.value_mm for m in gone.unplaced] == [990]
