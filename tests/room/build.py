"""Rooms for the tests, shortly written: lengths in millimetres."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from intake.domain.lengths.notation import format_cm
from intake.model.phrase import Phrase
from intake.model.reading import Direction
from intake.model.room import (
    OVERALL_SIGMA_MM,
    Measurement,
    RoomSurvey,
    Section,
    SectionKind,
    Wall,
)
from intake.postbox.letters import load_letters

LETTERS = load_letters(Path(__file__).parents[2] / "config" / "letters")
RECTANGLE = (Direction.EAST, Direction.SOUTH, Direction.WEST, Direction.NORTH)


def worded(phrase: Phrase, language: str = "en") -> str:
    """What a customer reads."""
    return LETTERS.wording(language).worded(phrase)


def length(name: str, value: int | None, sigma: float = 5.0, text: str | None = None) -> Measurement:
    written = text if text is not None else "" if value is None else format_cm(value)
    return Measurement(name, written, value, sigma)


def wall(
    index: int,
    direction: Direction,
    lengths: Sequence[int | None] = (),
    overall: int | Sequence[int] | None = None,
    kinds: Sequence[SectionKind] = (),
    slant: float | None = None,
) -> Wall:
    letter = Wall(index, direction).letter
    sections = tuple(
        Section(kinds[n] if n < len(kinds) else SectionKind.WALL, length(f"{letter}{n + 1}", v))
        for n, v in enumerate(lengths)
    )
    given = [] if overall is None else [overall] if isinstance(overall, int) else list(overall)
    overalls = tuple(
        length(f"{letter} overall" + (f" {n + 1}" if n else ""), v, OVERALL_SIGMA_MM)
        for n, v in enumerate(given)
    )
    return Wall(index, direction, sections, overalls, slant_deg=slant)


def oracle_room(
    north: Sequence[int | None] = (955, 1200, 1845),
    north_overall: int | None = 4000,
    south: Sequence[int | None] = (2500, 1505),
    south_overall: int | None = 4005,
) -> RoomSurvey:
    """The room the hand computation was made for: along the top 95.5 + 120 + 184.5 (a window between two pieces of
    wall), overall 400; along the bottom 250 + 150.5, overall 400.5."""
    window = (SectionKind.WALL, SectionKind.WINDOW, SectionKind.WALL)
    return RoomSurvey(
        walls=(
            wall(0, Direction.EAST, north, north_overall, window),
            wall(1, Direction.SOUTH, (3000,)),
            wall(2, Direction.WEST, south, south_overall),
            wall(3, Direction.NORTH),
        )
    )


def l_shape() -> RoomSurvey:
    """400 x 360 cm with a corner of 150 x 110 cm cut out, every wall one length."""
    directions = (
        Direction.EAST,
        Direction.SOUTH,
        Direction.WEST,
        Direction.SOUTH,
        Direction.WEST,
        Direction.NORTH,
    )
    lengths = (4000, 2500, 1500, 1100, 2500, 3600)
    return RoomSurvey(
        walls=tuple(wall(n, d, (v,)) for n, (d, v) in enumerate(zip(directions, lengths, strict=True)))
    )


def angle_from_diagonal(a: float, b: float, diagonal: float) -> float:
    """The angle in degrees between sides a and b from the diagonal across it (law of cosines)."""
    return math.degrees(math.acos((a * a + b * b - diagonal * diagonal) / (2 * a * b)))
