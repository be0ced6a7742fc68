"""One change at a time to a room: the sums stay what they were, nothing is changed in place, and what mentions a wall
goes along when the walls are lettered anew."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.domain.room import room_edit as edit
from intake.domain.room.closing import examine_room
from intake.domain.room.room_edit import CannotEdit
from intake.domain.room.room_file import room_from_dict

ROOM: dict[str, Any] = {
    "room": "kitchen",
    "unit": "cm",
    "walls": [
        {"runs": "E", "sections": ["100", {"window": "120", "sill": "104"}, "180"], "overall": "400"},
        {"runs": "S", "sections": [300]},
        {"runs": "W", "sections": [250, {"door": 80, "hinge": "left", "opens": "room"}, 70]},
        {"runs": "N", "sections": ["300"]},
    ],
    "across": [{"corners": ["A", "C"], "length": 500}, {"walls": ["B", "D"], "length": 400}],
    "ceilings": [236],
    "fixed": [{"name": "boiler", "wall": "B", "height": 140}, {"name": "stop tap"}],
}


def length(room: dict[str, Any], wall: int) -> int:
    """The sum of a wall's sections, mm."""
    return sum(s.length.value_mm or 0 for s in room_from_dict(room).walls[wall].sections)


@pytest.fixture(autouse=True)
def untouched() -> Any:
    before = copy.deepcopy(ROOM)
    yield
    assert before == ROOM, "a change is a new room"


def test_the_room_of_these_tests_is_sound() -> None:
    assert room_from_dict(ROOM).findings == () and examine_room(room_from_dict(ROOM)).closes


def test_four_walls_close() -> None:
    room = edit.four_walls("kitchen", "386.5", "2.4m")
    found = examine_room(room_from_dict(room))
    assert found.placed.area_mm2 == 3865 * 2400 and found.survey.findings == ()


@given(left=st.integers(0, 1500), wide=st.integers(1, 1500))
@settings(max_examples=60, deadline=None)
def test_putting_something_into_a_wall_keeps_its_length(left: int, wide: int) -> None:
    def put() -> dict[str, Any]:
        return edit.put_in(ROOM, 0, 2, "door", f"{left}mm" if left else "0", f"{wide}mm")

    if left + wide > 1800:
        with pytest.raises(CannotEdit):
            put()
        return
    room = put()
    assert length(room, 0) == length(ROOM, 0) and room_from_dict(room).findings == ()
    kinds = [s.kind.value for s in room_from_dict(room).walls[0].sections]
    assert kinds.count("door") == 1 and kinds[1] == "window"


def test_what_a_pointer_gives_is_worked_out_and_not_measured() -> None:
    room = room_from_dict(edit.put_in(ROOM, 0, 2, "door", "60", "80", pointed=True))
    assert [s.length.estimated for s in room.walls[0].sections] == [False, False, True, False, True]
    typed = room_from_dict(edit.put_in(ROOM, 0, 2, "door", "60", "80"))
    assert [s.length.estimated for s in typed.walls[0].sections] == [False, False, False, False, True]


@given(by=st.integers(-2600, 800))
@settings(max_examples=60, deadline=None)
def test_moving_a_door_keeps_the_wall(by: int) -> None:
    if not -2500 <= by <= 700:
        with pytest.raises(CannotEdit):
            edit.move(ROOM, 2, 1, by)
        return
    room = edit.move(ROOM, 2, 1, by)
    before, door, after = room_from_dict(room).walls[2].sections
    assert (before.length.value_mm, after.length.value_mm) == (2500 + by, 700 - by)
    assert door.swing.hinge == "left" and before.length.estimated and after.length.estimated


def test_a_section_is_changed_key_by_key() -> None:
    room = edit.set_section(ROOM, 0, 1, {"kind": "door", "length": "90", "hinge": "right", "sill": ""})
    door = room_from_dict(room).walls[0].sections[1]
    assert (door.kind, door.length.value_mm, door.swing.hinge, door.sill) == ("door", 900, "right", None)
    kept = edit.set_section(ROOM, 0, 1, {"head": "205"})["walls"][0]["sections"][1]
    assert kept == {"window": "120", "sill": "104", "head": "205"}
    for wrong in ({"kind": "moat"}, {"length": "two ells"}, {"hinge": "top"}, {"opens": "up"}):
        with pytest.raises(CannotEdit):
            edit.set_section(ROOM, 0, 1, wrong)


def test_a_doubt_stays_until_somebody_takes_it_away() -> None:
    doubted = edit.set_section(ROOM, 0, 0, {"length": "100?"})
    assert not room_from_dict(doubted).walls[0].sections[0].length.accepted
    elsewhere = edit.set_section(doubted, 2, 1, {"hinge": "right"})
    assert not room_from_dict(elsewhere).walls[0].sections[0].length.accepted
    assert (
        room_from_dict(edit.set_section(elsewhere, 0, 0, {"length": "100"}))
        .walls[0]
        .sections[0]
        .length.accepted
    )


def test_what_is_worked_out_from_a_doubtful_length_is_doubtful() -> None:
    doubted = edit.set_section(ROOM, 2, 2, {"length": "70?"})
    moved = room_from_dict(edit.move(doubted, 2, 1, -100)).walls[2].sections
    assert [(s.length.value_mm, s.length.accepted) for s in moved] == [
        (2400, True),
        (800, True),
        (800, False),
    ]
    put = room_from_dict(edit.put_in(doubted, 2, 2, "boxing", "20", "10")).walls[2].sections
    assert [(s.length.value_mm, s.length.accepted) for s in put[2:]] == [
        (200, True),
        (100, True),
        (400, False),
    ]


def test_walls_come_and_go_with_what_names_them() -> None:
    more = edit.add_wall(ROOM, 0, "S", "?")
    assert [f.get("wall") for f in more["fixed"]] == ["C", None]
    assert more["across"] == [{"corners": ["A", "D"], "length": 500}, {"walls": ["C", "E"], "length": 400}]
    back = edit.remove_wall(more, 1)
    assert json.loads(json.dumps(back)) == json.loads(json.dumps(ROOM))
    less = edit.remove_wall(ROOM, 1)
    assert less["fixed"] == [{"name": "stop tap"}] and less["across"] == [
        {"corners": ["A", "B"], "length": 500}
    ]
    with pytest.raises(CannotEdit, match="three walls"):
        edit.remove_wall(less, 0)


@pytest.mark.parametrize(("middle", "left"), [("150", "120?"), ("30", "0?"), ("10", "0?")])
def test_a_thing_let_go_on_a_wall_has_its_middle_there(middle: str, left: str) -> None:
    wide = edit.set_fixed(ROOM, 0, {"name": "boiler", "wall": "B", "from-right": "20", "width": "60"})
    assert edit.place_fixed(wide, 0, 2, middle)["fixed"][0] == {
        "name": "boiler", "wall": "C", "from-left": left, "width": "60"
    }  # fmt: skip


def test_fixed_things_and_ceilings() -> None:
    room = edit.set_fixed(ROOM, None, {"name": " gas\tmeter ", "wall": "c", "from-left": "20", "height": ""})
    assert room["fixed"][2] == {"name": "gas meter", "wall": "C", "from-left": "20"}
    assert edit.set_fixed(room, 0, {"name": "boiler", "wall": ""})["fixed"][0] == {"name": "boiler"}
    assert [f["name"] for f in edit.remove_fixed(room, 1)["fixed"]] == ["boiler", "gas meter"]
    assert "ceilings" not in edit.set_ceilings(ROOM, " ")
    assert edit.set_ceilings(ROOM, "240; 241?")["ceilings"] == ["240", "241?"]
    for wrong in ({"wall": "Z"}, {"height": "high"}):
        with pytest.raises(CannotEdit):
            edit.set_fixed(ROOM, None, {"name": "x"} | wrong)


def test_a_section_is_added_anywhere_on_a_wall_from_its_first_place_to_behind_its_last() -> None:
    for at in range(4):
        kinds = [
            s.kind.value for s in room_from_dict(edit.add_section(ROOM, 0, at, "nib", "12")).walls[0].sections
        ]
        assert kinds == [*["wall", "window", "wall"][:at], "nib", *["wall", "window", "wall"][at:]]
    for at, kind in ((-1, "nib"), (4, "nib"), (0, "moat")):
        with pytest.raises(CannotEdit):
            edit.add_section(ROOM, 0, at, kind, "12")


@pytest.mark.parametrize("wall, n", [(-1, 0), (4, 0), (0, -1), (0, 3), (10**6, 10**6)])
def test_what_is_not_there_cannot_be_changed(wall: int, n: int) -> None:
    for change in (
        lambda: edit.set_section(ROOM, wall, n, {}),
        lambda: edit.remove_section(ROOM, wall, n),
        lambda: edit.put_in(ROOM, wall, n, "door", "1", "2"),
        lambda: edit.move(ROOM, wall, n, 10),
    ):
        with pytest.raises(CannotEdit):
            change()
