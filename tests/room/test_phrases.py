"""What a customer is asked about a slip, in each language: which piece of the room is meant, and what may be wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from intake.domain.room.changes import Suspect
from intake.domain.room.closing import examine_room
from intake.domain.room.phrases import SIDE, nth_phrase, reading_phrase, section_phrase, wall_phrase
from intake.domain.room.slip_words import slip_of
from intake.model.examination import SlipKind
from intake.model.phrase import Phrase
from intake.model.reading import Direction
from intake.model.room import Across, Measurement, RoomSurvey, SectionKind
from tests.room.build import LETTERS, RECTANGLE, oracle_room, wall, worded

W, WINDOW, DOOR = SectionKind.WALL, SectionKind.WINDOW, SectionKind.DOOR
OF_A_WALL = [SlipKind.MISSING, SlipKind.BOXING, SlipKind.RETURN, SlipKind.SQUARE]
OF_A_READING = [k for k in SlipKind if k not in (*OF_A_WALL, SlipKind.ANOTHER_WALL)]


def room_of(*kinds: SectionKind) -> RoomSurvey:
    return RoomSurvey(walls=(wall(0, Direction.EAST, [1000] * len(kinds), None, kinds),))


def suspect(kind: SlipKind, reading: str, would_be: int | None = 1845) -> Suspect:
    return Suspect(kind, 0, reading, np.zeros(1), 0.0, 0.0, would_be, probability=0.5)


def keys(phrase: Phrase) -> set[str]:
    return {phrase.key}.union(*(keys(g) for _, g in phrase.gaps if isinstance(g, Phrase)))


@pytest.mark.parametrize(
    ("kinds", "n", "english", "german"),
    [
        ((W, WINDOW, W), 0, "the wall to the left of the window", "die Wand links von dem Fenster"),
        ((W, WINDOW, W), 1, "the window", "das Fenster"),
        ((W, WINDOW, W), 2, "the wall to the right of the window", "die Wand rechts von dem Fenster"),
        (
            (WINDOW, W, DOOR),
            1,
            "the wall between the window and the door",
            "die Wand zwischen dem Fenster und der Tür",
        ),
        ((DOOR, W, DOOR), 2, "the second door", "die 2. Tür"),
        (
            (DOOR, W, DOOR),
            1,
            "the wall between the first door and the second door",
            "die Wand zwischen der 1. Tür und der 2. Tür",
        ),
        ((W, W, W), 1, "the second section from the left", "das 2. Stück von links"),
        ((W,), 0, "the whole wall", "die ganze Wand"),
        ((W,) * 12, 10, "the 11th section from the left", "das 11. Stück von links"),
    ],
)
def test_a_piece_of_wall_is_told_by_what_stands_beside_it(
    kinds: tuple[SectionKind, ...], n: int, english: str, german: str
) -> None:
    room = room_of(*kinds)
    what = section_phrase(room, room.walls[0], n)
    assert worded(what) == f"{english} (as you face it, along the top of your plan)"
    assert worded(what, "de") == f"{german} (von innen gesehen, oben auf Ihrem Plan)"


def test_walls_that_run_the_same_way_are_counted_clockwise() -> None:
    """An L: two walls run to the right, two down."""
    runs = (
        Direction.EAST,
        Direction.SOUTH,
        Direction.EAST,
        Direction.SOUTH,
        Direction.WEST,
        Direction.NORTH,
    )
    room = RoomSurvey(walls=tuple(wall(n, d, (1000,), 1000) for n, d in enumerate(runs)))
    assert worded(wall_phrase(room, room.walls[2])) == (
        "the second wall along the top of your plan (counting clockwise)"
    )
    assert worded(wall_phrase(room, room.walls[4])) == "the wall along the bottom of your plan"
    assert worded(wall_phrase(room, room.walls[3]), "de") == (
        "die 2. Wand rechts auf Ihrem Plan (im Uhrzeigersinn gezählt)"
    )
    assert worded(reading_phrase(room, "E overall")) == (
        "the overall length of the wall along the bottom of your plan"
    )


def test_a_length_across_the_room_is_told_by_its_walls_in_the_customers_language() -> None:
    """Not by the name that the plan's sums know it by."""
    named = {"A-C across": {"walls": (0, 2)}, "corner A to C": {"corners": (0, 2)}}
    room = oracle_room()
    room = replace(room, across=tuple(Across(Measurement(n, "284", 2840), **at) for n, at in named.items()))
    walls = "oben auf Ihrem Plan", "unten auf Ihrem Plan"
    for name in named:
        english, german = (worded(reading_phrase(room, name), language) for language in ("en", "de"))
        assert name not in english and "across" not in german and "corner" not in german
        assert all(wall in german for wall in walls)


@pytest.mark.parametrize("language", LETTERS.languages)
def test_every_question_has_its_words_in_every_language(language: str) -> None:
    room = oracle_room(north=(955, 1200, 1845))
    slips = [slip_of(room, suspect(kind, "A3")) for kind in OF_A_READING]
    slips += [slip_of(room, suspect(kind, "", 520)) for kind in OF_A_WALL]
    moved = replace(suspect(SlipKind.ANOTHER_WALL, "A3"), to=1)
    slips += [slip_of(room, moved), slip_of(room, replace(moved, other="B1"))]
    assert {s.question.key for s in slips[-2:]} == {"slip-beside-another-wall", "slip-changed-places"}
    slips.append(slip_of(replace(room, walls=room.walls[:1]), suspect(SlipKind.OTHER, "A3", 0)))
    asked = [worded(s.question, language) for s in slips]
    assert all("184.5" in q for q, s in zip(asked, slips, strict=True) if "read" in dict(s.question.gaps))
    assert all("52 cm" in q for q, s in zip(asked, slips, strict=True) if "size" in dict(s.question.gaps))
    for kind in set(SectionKind) - {SectionKind.WALL}:
        assert worded(section_phrase(room_of(kind, W), room_of(kind, W).walls[0], 0), language)
        assert worded(section_phrase(room_of(W, kind), room_of(W, kind).walls[0], 0), language)
    assert all(worded(nth_phrase(n), language) for n in range(15))
    walls = [wall(0, direction, (1000,)) for direction in SIDE]
    named = {worded(wall_phrase(RoomSurvey(walls=(w,)), w), language) for w in walls}
    assert len(named) == len(SIDE)


def test_what_to_measure_next_has_its_words_in_every_language() -> None:
    kinds = (W, WINDOW, W)
    open_chain = RoomSurvey(
        walls=tuple(
            wall(n, d, (900, 1200, 900) if n == 0 else (), None, kinds) for n, d in enumerate(RECTANGLE)
        )
    )
    found = [
        *examine_room(oracle_room(north=(955, 1200, 1485))).next_measures,
        *examine_room(oracle_room()).next_measures,
        *examine_room(open_chain).next_measures,
    ]
    assert {k for m in found for k in keys(m.question)} >= {"measure-once-more"}
    for measure in found:
        for language in LETTERS.languages:
            assert worded(measure.question, language).endswith((".", ")."))
