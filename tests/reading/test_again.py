"""A plan inferred again once a person has settled something: that is held, the rest follows. The room is that of the
project's check values, its south wall's 150.5 read by the east wall."""

from __future__ import annotations

from dataclasses import replace

from intake.domain.said.plan_numbers import laid_over
from intake.domain.sketch.again import SettledNumber, inferred_again
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.model.reading import ReadNumber, Role, Sighting, SketchOutline, SketchReading
from intake.model.word import NumberWord, PlanNumber
from intake.store.as_json import from_plain, to_plain
from tests.reading.test_inference import EAST, FIRST, SECOND, SOUTH, THIRD, WALLS, WEST, WHOLE, seen

UNSURE = seen(1, (0.7, 1.0), ("150.5", 0.97), or_wall=(2, 0.02))
BOX = ((0.0, 0.0), (40.0, 0.0), (40.0, 16.0), (0.0, 16.0))


def _reading(*sightings: Sighting) -> SketchReading:
    numbers = tuple(
        ReadNumber(s.texts[0].text, round(float(s.texts[0].text) * 10), BOX, 0.98, True, sighting=s)
        for s in sightings
    )
    return inferred_again(SketchReading(1000, 800, "cm", numbers, SketchOutline(WALLS, True)), {})


ROOM = _reading(FIRST, SECOND, THIRD, WHOLE, EAST, WEST, SOUTH[0], UNSURE)


def test_what_is_settled_is_held_and_the_rest_follows() -> None:
    held = inferred_again(ROOM, {7: SettledNumber(Role.SECTION, 1)})
    assert (held.numbers[7].wall, held.numbers[7].role) == (1, Role.SECTION)
    moved = inferred_again(ROOM, {7: SettledNumber(Role.SECTION, 2)})
    assert [n.wall for n in moved.numbers] == [0, 0, 0, 0, 1, 3, 2, 2]
    assert [s.length.value_mm for s in room_from_reading(moved).walls[2].sections] == [2500, 1505]


def test_what_is_settled_of_a_number_alone_is_held() -> None:
    """Its wall, or what it says; the rest of it follows."""
    for wall in (1, 2, 3):
        assert inferred_again(ROOM, {7: SettledNumber(wall=wall)}).numbers[7].wall == wall
    only_said = inferred_again(ROOM, {7: SettledNumber(says=True)}).numbers[7]
    assert (only_said.wall, only_said.role) == (ROOM.numbers[7].wall, ROOM.numbers[7].role)


def test_what_is_said_of_one_number_leaves_the_others_accepted() -> None:
    assert all(n.accepted for n in ROOM.numbers)
    for settled in (SettledNumber(Role.SECTION, 2), SettledNumber(Role.SECTION, 2, says=True)):
        assert all(n.accepted for n in inferred_again(ROOM, {7: settled}).numbers)


def test_a_whole_wall_that_is_settled_leaves_its_sections_sure() -> None:
    numbers = inferred_again(ROOM, {3: SettledNumber(Role.OVERALL, 0)}).numbers
    assert [n.role for n in numbers[:4]] == [Role.SECTION] * 3 + [Role.OVERALL]
    assert all(n.measures is not None and n.measures.chance > 0.99 for n in numbers[:4])


def test_a_text_that_a_person_gave_is_the_only_one_and_another_that_follows_is_not_accepted() -> None:
    third = seen(0, (0.54, 1.0), ("187.5", 0.6), ("184.5", 0.3))
    doubtful = seen(0, (0.0, 1.0), ("403", 0.6), ("400", 0.3), roles=WHOLE.roles)
    reading = _reading(FIRST, SECOND, third, doubtful, EAST, WEST)
    said = tuple(
        replace(n, text="400", value_mm=4000, reader="designer") if i == 3 else n
        for i, n in enumerate(reading.numbers)
    )
    again = inferred_again(replace(reading, numbers=said), {3: SettledNumber(says=True)})
    assert (again.numbers[3].text, again.numbers[2].text) == ("400", "184.5")
    assert not again.numbers[2].accepted or reading.numbers[2].text == "184.5"


def test_a_text_that_the_desk_confirms_is_not_read_otherwise_for_the_sums_sake() -> None:
    third = seen(0, (0.54, 1.0), ("187.5", 0.6), ("184.5", 0.3))
    read = _reading(FIRST, SECOND, third, WHOLE, EAST, WEST)
    plain = replace(
        read, numbers=tuple(replace(n, text="187.5") if n.sighting == third else n for n in read.numbers)
    )
    elsewhere = NumberWord(PlanNumber("plan", 4), role=Role.SECTION, wall=1)
    confirmed = NumberWord(PlanNumber("plan", 2), confirmed=True)
    assert laid_over({"plan": plain}, [elsewhere])["plan"].numbers[2].text == "184.5"
    assert laid_over({"plan": plain}, [elsewhere, confirmed])["plan"].numbers[2].text == "187.5"


def test_a_number_that_is_none_takes_part_in_no_sum() -> None:
    again = inferred_again(ROOM, {7: SettledNumber(dropped=True)})
    assert again.numbers[7] == ROOM.numbers[7]
    assert [n.wall for n in again.numbers[:4]] == [0, 0, 0, 0]


def test_the_rest_follows_what_the_desk_says_of_a_number_that_was_read() -> None:
    word = NumberWord(PlanNumber("plan", 7), role=Role.SECTION, wall=2)
    assert laid_over({"plan": ROOM}, [word])["plan"].numbers[6].wall == 2
    odd = replace(ROOM, numbers=(*ROOM.numbers[:6], replace(ROOM.numbers[6], wall=None), ROOM.numbers[7]))
    assert laid_over({"plan": odd}, [word])["plan"].numbers[6].wall == 2
    assert laid_over({"plan": odd}, [])["plan"] == odd


def test_what_was_seen_is_kept_with_the_reading() -> None:
    kept = from_plain(SketchReading, to_plain(ROOM))
    assert inferred_again(kept, {7: SettledNumber(Role.SECTION, 2)}).numbers[7].wall == 2


def test_a_reading_made_before_numbers_kept_what_was_seen_stays_as_it_is() -> None:
    old = replace(ROOM, numbers=tuple(replace(n, sighting=None) for n in ROOM.numbers))
    assert inferred_again(old, {7: SettledNumber(Role.SECTION, 1)}) is old
