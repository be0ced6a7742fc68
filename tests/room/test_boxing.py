"""Boxing that words beside it name."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.domain.sketch.room_from_reading import room_from_reading
from intake.model.reading import Feature, OpeningKind, Role, SketchOutline, SketchReading
from tests.room.test_room_from_reading import WALLS, box, number

WALL_A = (
    number("95", (200, 80), Role.SECTION, 0),
    number("40", (400, 80), Role.SECTION, 0),
    number("265", (700, 80), Role.SECTION, 0),
)
DRAWN = Feature(
    OpeningKind.WINDOW, 0, (0.33, 0.42), WALL_A[1].box, ((OpeningKind.WINDOW, 0.8), (OpeningKind.DOOR, 0.2))
)


def kinds(word: str, at: tuple[float, float], *features: Feature) -> list[str]:
    plan = SketchReading(
        1000, 800, "cm", WALL_A, SketchOutline(WALLS, True, features), words=((word, box(*at)),)
    )
    return [section.kind.value for section in room_from_reading(plan).walls[0].sections]


@pytest.mark.parametrize(
    ("word", "at", "found"),
    [
        ("boxing", (410, 120), ["wall", "boxing", "wall"]),
        ("Kasten", (380, 60), ["wall", "boxing", "wall"]),
        ("boxing", (410, 420), ["wall", "wall", "wall"]),
        ("boxing", (700, 120), ["wall", "wall", "wall"]),
        ("boiler", (410, 120), ["wall", "wall", "wall"]),
    ],
    ids=["at it", "in German", "amid the room", "at a piece too long for it", "another word"],
)
def test_the_piece_nearest_to_the_word_is_boxing(
    word: str, at: tuple[float, float], found: list[str]
) -> None:
    assert kinds(word, at) == found


def test_boxing_drawn_like_a_window_is_boxing_unless_a_person_said_window() -> None:
    assert kinds("boxing", (410, 120), DRAWN) == ["wall", "boxing", "wall"]
    assert kinds("boxing", (410, 120), replace(DRAWN, kinds=())) == ["wall", "window", "wall"]


def test_a_word_of_boxing_beside_a_sure_opening_leaves_it_what_it_is() -> None:
    for kind in (OpeningKind.WINDOW, OpeningKind.DOOR):
        sure = replace(DRAWN, kind=kind, kinds=((kind, 0.99), (OpeningKind.DOORWAY, 0.01)))
        assert "boxing" not in kinds("boxing", (410, 120), sure)


def test_words_of_boxing_on_a_plan_without_a_room_are_no_fault_of_ours() -> None:
    plan = SketchReading(1000, 800, "cm", (), SketchOutline((), False), words=(("boxed in", box(10, 10)),))
    assert room_from_reading(plan).walls == ()
