"""A room that a designer typed settles the items that it answers, and leaves open those that it does not."""

from __future__ import annotations

from typing import Any

from intake.domain.room.closing import examine_room
from intake.domain.room.room_file import room_from_dict
from intake.domain.said.typed_room import evidence_of_heights, evidence_of_room
from intake.domain.survey.standings import assess
from intake.domain.words.whole_message import statements
from intake.model.checklist import ItemStanding, ItemState, RoomKind
from intake.model.reading import Role
from intake.model.word import HeightWord
from intake.wording.desk import sentence
from tests.checklist.build import number, whole_room
from tests.checklist.test_typed_words import LISTS

KITCHEN = LISTS[RoomKind.KITCHEN]


def _room(**window: Any) -> dict[str, Any]:
    """A room of 400 by 300 with a window along the top and a door along the bottom, as a room file gives it."""
    return {
        "room": "kitchen",
        "walls": [
            {"runs": "E", "sections": [100, {"window": 120} | window, 180], "overall": 400},
            {"runs": "S", "sections": [300]},
            {"runs": "W", "sections": [250, {"door": 80}, 70], "overall": 400},
            {"runs": "N", "sections": [300]},
        ],
        "ceilings": [236],
        "fixed": [{"name": "boiler", "wall": "B", "height": 140}],
    }


def _standings(room: dict[str, Any], mail: str = "") -> dict[str, ItemStanding]:
    """Where the items stand with a doubtful plan beside a room typed whole."""
    doubtful = whole_room(number("388.5", 3885, Role.SECTION, accepted=False))
    survey = room_from_dict(room)
    typed = evidence_of_room(survey, KITCHEN)
    findings = examine_room(survey).findings
    said = statements(mail, KITCHEN, "m")
    found = assess(KITCHEN, {"p": doubtful}, (), said, findings, (), typed, whole=True)
    return {s.item.id: s for s in found}


ANSWERED = (
    "wall-sections",
    "overall",
    "openings",
    "ceiling-height",
    "sill-height",
    "head-height",
    "reveal-depth",
)


def test_a_whole_room_settles_every_length_whatever_the_plan_says() -> None:
    found = _standings(_room(sill=104, head=205, reveal=12))
    assert {i: found[i].state for i in ANSWERED} == dict.fromkeys(ANSWERED, ItemState.PRESENT)
    assert found["boiler"].state is ItemState.PRESENT and "wall B" in sentence(found["boiler"].reason)
    assert found["gas-meter"].state is ItemState.MISSING


def test_a_window_without_its_heights_leaves_them_doubtful() -> None:
    found = _standings(_room(sill=104))
    assert found["sill-height"].state is ItemState.PRESENT
    assert found["head-height"].state is ItemState.DOUBTFUL and "A2" in sentence(found["head-height"].reason)


def test_a_sill_in_two_parts_counts_by_its_sum() -> None:
    found = _standings(_room(worktop=90, **{"worktop-to-sill": 14}, tall=101, reveal=12))
    assert found["sill-height"].state is ItemState.PRESENT
    assert [e.value_mm for e in found["sill-height"].evidence] == [1040]


def test_a_sill_that_was_typed_counts_by_itself_beside_a_worktop() -> None:
    found = _standings(_room(sill=104, worktop=90, head=205, reveal=12))
    assert [e.value_mm for e in found["sill-height"].evidence] == [1040]


def test_what_is_typed_of_a_fixed_thing_counts_and_what_is_not_is_no_doubt() -> None:
    found = evidence_of_room(room_from_dict(_room()), KITCHEN)["services"]
    assert [(e.value_mm, e.doubt) for e in found] == [(1400, None)]


def test_a_length_that_is_missing_or_unusual_is_doubtful() -> None:
    room = _room(sill=1040, head=205, reveal=12)
    room["walls"][1]["sections"] = ["?"]
    found = _standings(room)
    assert found["wall-sections"].state is ItemState.DOUBTFUL and "B1" in sentence(
        found["wall-sections"].reason
    )
    assert found["sill-height"].state is ItemState.DOUBTFUL and "usual" in sentence(
        found["sill-height"].reason
    )


def test_a_room_that_does_not_close_settles_no_wall() -> None:
    room = _room(sill=104, head=205, reveal=12)
    room["walls"][0]["sections"][0] = 150
    assert _standings(room)["wall-sections"].state is ItemState.DOUBTFUL


def test_what_the_customer_wrote_otherwise_is_said() -> None:
    found = _standings(_room(sill=104, head=205, reveal=12), "The sill height is 98.")
    assert found["sill-height"].state is ItemState.DOUBTFUL
    assert (
        sentence(found["sill-height"].reason)
        == "98 cm in the customer's words and 104 cm as typed by a designer do not agree."
    )


def test_a_single_height_settles_the_one_that_the_room_has_once() -> None:
    plan = whole_room(number("286", 2860, Role.CEILING, accepted=False))
    typed = evidence_of_heights([HeightWord(Role.CEILING, "236", 2360, settles=True)])
    before = {s.item.id: s.state for s in assess(KITCHEN, {"p": plan}, (), ())}
    after = {s.item.id: s.state for s in assess(KITCHEN, {"p": plan}, (), (), (), (), typed)}
    assert before["ceiling-height"] is ItemState.DOUBTFUL and after["ceiling-height"] is ItemState.PRESENT


def test_a_single_sill_leaves_another_doubtful_one_on_the_plan_doubtful() -> None:
    plan = whole_room(number("108.5", 1085, Role.SILL, accepted=False))
    typed = evidence_of_heights([HeightWord(Role.SILL, "104", 1040, settles=True)])
    after = {s.item.id: s.state for s in assess(KITCHEN, {"p": plan}, (), (), (), (), typed)}
    assert after["sill-height"] is ItemState.DOUBTFUL
