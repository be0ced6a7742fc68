"""What counts as the right wall: the scorer says right where a person would."""

from __future__ import annotations

from typing import Any

import pytest

from fixtures.benchmark.scoring import role_right, wall_right
from intake.model.reading import Measures, ReadNumber, Role

WALLS = 6


def number(wall: int | None, between: tuple[int, ...] = (), role: Role = Role.OVERALL) -> ReadNumber:
    walls = between if wall is None else (wall,)
    box = ((0.0, 0.0), (9.0, 0.0), (9.0, 4.0), (0.0, 4.0))
    return ReadNumber("300", 3000, box, 1.0, True, role=role, wall=wall, measures=Measures(role, walls))


def true(wall: int | None, role: str = "overall", part: str = "", between: tuple[int, ...] = ()) -> Any:
    return {"role": role, "wall": wall, "part": part, "between": list(between)}


@pytest.mark.parametrize(
    ("said", "truth", "role", "wall"),
    [
        (number(2), true(2), True, True),
        (number(3), true(2), True, False),
        (number(None, (3, 1)), true(2), True, True),  # from the wall before to the one after: the whole of it
        (number(None, (5, 1)), true(0), True, True),
        (number(None, (5, 3)), true(2), True, False),
        (number(None, (3, 1), Role.DIAGONAL), true(2), False, False),
        (number(None, (1, 3)), true(None, "unknown", "span", (1, 3)), True, True),
        (number(2), true(None, "unknown", "span", (1, 3)), True, True),
        (number(2), true(None, "unknown", "span", (1, 5)), False, False),
        (number(0), true(None, "unknown", "span", (1, 5)), True, True),
    ],
)
def test_an_overall_and_the_way_between_its_neighbours_are_one_length(
    said: ReadNumber, truth: Any, role: bool, wall: bool
) -> None:
    assert role_right(said, truth, WALLS) is role
    assert wall_right(said, truth, WALLS) is wall
