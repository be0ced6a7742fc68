"""Every room has a way in, and nobody passes through 26 cm (both common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.room.ways_in import WAYS_IN
from intake.domain.sketch.drawn_openings import WAY_IN_TAKEN
from intake.domain.sketch.room_from_reading import room_from_reading
from intake.model.checklist import RoomKind
from intake.model.reading import (
    Alternative,
    Feature,
    OpeningKind,
    Role,
    SketchOutline,
    SketchReading,
)
from intake.model.room import RoomSurvey, SectionKind
from intake.wording import desk
from tests.room.test_room_from_reading import WALLS, box, number

Chances = tuple[tuple[str, float], ...]
SURE: Chances = (("window", 0.99), ("door", 0.007), ("doorway", 0.003))
PERHAPS: Chances = (("window", 0.75), ("doorway", 0.14), ("door", 0.11))
GAP: Chances = (("doorway", 0.88), ("door", 0.1), ("window", 0.02))
NUMBERS = (
    number("400", (500, 80), Role.OVERALL, 0),
    number("120", (460, 90), Role.OPENING, 0, span=(0.3, 0.6)),
    number("90", (500, 720), Role.OPENING, 2, span=(0.4, 0.6)),
)


def opening(wall: int, span: tuple[float, float], chances: Chances) -> Feature:
    kinds = tuple((OpeningKind(kind), p) for kind, p in chances)
    return Feature(kinds[0][0], wall, span, box(0, 0), kinds)


def room(*features: Feature, kind: RoomKind = RoomKind.BATHROOM, closed: bool = True) -> RoomSurvey:
    reading = SketchReading(1000, 800, "cm", NUMBERS, SketchOutline(WALLS, closed, features))
    return room_from_reading(reading, kind=kind)


def kinds(survey: RoomSurvey) -> dict[str, SectionKind]:
    return {w.letter: s.kind for w in survey.walls for s in w.sections if s.kind is not SectionKind.WALL}


TOP, BOTTOM = opening(0, (0.3, 0.6), SURE), opening(2, (0.4, 0.6), PERHAPS)


def test_of_two_windows_the_less_likely_is_the_way_in_and_the_room_says_so() -> None:
    survey = room(TOP, BOTTOM)
    assert kinds(survey) == {"A": SectionKind.WINDOW, "C": SectionKind.DOOR}
    (finding,) = survey.findings
    assert finding.code == WAY_IN_TAKEN and "wall C" in desk.worded(finding.text)


@pytest.mark.parametrize(
    "survey",
    [
        room(TOP, BOTTOM, kind=RoomKind.UNKNOWN),
        room(TOP, BOTTOM, closed=False),
        room(TOP, opening(2, (0.4, 0.6), SURE)),
        room(TOP, replace(BOTTOM, kinds=())),
        room(TOP, BOTTOM, opening(3, (0.1, 0.4), GAP)),
    ],
    ids=["any drawing", "open", "nothing like a door", "a person said window", "another door"],
)
def test_a_window_stays_one_where_another_way_in_may_be(survey: RoomSurvey) -> None:
    assert kinds(survey)["C"] is SectionKind.WINDOW
    assert WAY_IN_TAKEN not in {f.code for f in survey.findings}


def test_an_opening_that_is_not_drawn_may_be_the_way_in() -> None:
    survey = room(BOTTOM)
    assert kinds(survey) == {"A": SectionKind.OPENING, "C": SectionKind.WINDOW}
    assert WAYS_IN & set(kinds(survey).values())


def test_a_gap_narrower_than_anybody_is_wall() -> None:
    narrow = number("26", (80, 500), Role.SECTION, 3, span=(0.1, 0.4))
    drawn = (TOP, opening(2, (0.4, 0.6), PERHAPS), opening(3, (0.1, 0.4), GAP))
    outline = SketchOutline(WALLS, True, drawn)
    reading = SketchReading(1000, 800, "cm", (*NUMBERS, narrow), outline)
    assert kinds(room_from_reading(reading, kind=RoomKind.BATHROOM)) == {
        "A": SectionKind.WINDOW,
        "C": SectionKind.DOOR,
    }
    for other, door in (("2.6", False), ("126", True)):
        doubtful = replace(narrow, accepted=False, alternatives=(Alternative(other, 0.2),))
        found = kinds(
            room_from_reading(replace(reading, numbers=(*NUMBERS, doubtful)), kind=RoomKind.BATHROOM)
        )
        assert ("D" in found) is door, other
