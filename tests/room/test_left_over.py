"""Slips that no sum shows, by the lengths that a room which closes leaves over. The room is that of the hand
computation (tests/room/build.py): 95.5 + 120 + 184.5 = 400 along the top, nothing at the left wall, 300 over against
it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.room.closing import examine_room
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.model.examination import Slip, SlipKind
from intake.model.reading import Alternative, Role, Sighting
from intake.model.room import Astray, Measurement, RoomSurvey
from intake.wording import desk
from tests.room.build import length, oracle_room, worded
from tests.room.readings import NUMBERS, reading


def window_says(text: str, value: int) -> RoomSurvey:
    """The window's ink clearly says so, and no length was taken from it."""
    room = oracle_room(north=(955, None, 1845))
    first, window, last = room.walls[0].sections
    without = Measurement("A2", text, None, number=7)
    top = replace(room.walls[0], sections=(first, replace(window, length=without), last))
    return replace(room, walls=(top, *room.walls[1:]), spoken_against=(replace(without, value_mm=value),))


@pytest.mark.parametrize(
    "text, value, kind",
    [
        ("210", 2100, SlipKind.SWAPPED),
        ("1200", 12000, SlipKind.TEN_TIMES),
        ("170", 1700, SlipKind.MISREAD),
        ("220", 2200, SlipKind.METRE_OUT),
    ],
)
def test_clear_ink_that_a_usual_slip_explains_is_told_of_a_room_that_closes(
    text: str, value: int, kind: SlipKind
) -> None:
    examination = examine_room(window_says(text, value))
    assert examination.closes
    (slip,) = examination.slips
    assert (slip.kind, slip.reading, slip.number, slip.read_mm) == (kind, "A2", 7, value)
    assert slip.would_be_mm == 1200
    assert text in desk.worded(slip.explanation) and "120" in desk.worded(slip.explanation)
    assert "top" in worded(slip.question)


def test_clear_ink_that_no_slip_explains_is_ours_to_look_at() -> None:
    """Nothing makes 77.5 of 120; and 121 is the 120 that is left over."""
    assert not examine_room(window_says("77.5", 775)).slips
    assert not examine_room(window_says("121", 1210)).slips


def of_the_left_wall(*numbers: Astray) -> list[Slip]:
    examination = examine_room(replace(oracle_room(), astray=numbers))
    assert examination.closes
    return list(examination.slips)


def test_a_number_that_counts_for_nothing_and_is_what_a_bare_wall_lacks_stands_at_the_wrong_wall() -> None:
    """The left wall is 300 by the one over against it. A number that looks like a section with .98 says so by a slip
    with .003 x .98 / .02 = .147, and by chance with .02: .147 / .167."""
    (slip,) = of_the_left_wall(Astray(length("number 9", 3000), 0, 0.98))
    assert (slip.kind, slip.wall, slip.reading) == (SlipKind.ANOTHER_WALL, 0, "number 9")
    assert slip.probability == pytest.approx(0.147 / 0.167)
    assert "wall D" in desk.worded(slip.explanation)
    assert not of_the_left_wall(Astray(length("number 9", 3000), 0, 0.8)), (
        "it looks too little like a section"
    )
    assert not of_the_left_wall(Astray(length("number 9", 2500), 0, 0.98)), "no wall lacks that"
    assert not of_the_left_wall(Astray(length("number 9", 3000), 3, 0.98)), "it stands where it would be"


@pytest.mark.parametrize(
    "text, chance, told", [("1494", 0.95, True), ("1494", 0.8, False), ("9", 0.95, False)]
)
def test_what_clear_ink_says_is_kept_though_the_sums_speak_against_it(
    text: str, chance: float, told: bool
) -> None:
    seen = Sighting((Alternative(text, chance),), {Role.SECTION: 1.0})
    value = round(float(text) * 10)
    unclear = replace(NUMBERS[0], text=text, value_mm=value, legible=False, accepted=False, sighting=seen)
    room = room_from_reading(reading((unclear, *NUMBERS[1:])))
    assert [(m.id, m.value_mm) for m in room.spoken_against] == ([("A3", value)] if told else [])
    assert room.walls[0].sections[2].length.value_mm is None
