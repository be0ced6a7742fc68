"""What a number of a plan stands beside in the room as it is known: which window, door or boxing, on which side."""

from __future__ import annotations

from collections.abc import Iterator

from intake.model.reading import Direction
from intake.model.room import SECTION_LENGTHS, RoomSurvey, Section, SectionKind, Wall

_ON_THE_PAGE = {
    Direction.EAST: "top", Direction.SOUTH: "right", Direction.WEST: "bottom", Direction.NORTH: "left",
}  # fmt: skip
"""Where a wall that is walked in this direction, clockwise, stands on the page."""
_AS_ON_PAPER = (Direction.EAST, Direction.SOUTH, Direction.NORTH)


def stands_beside(room: RoomSurvey, number: int) -> tuple[str, ...]:
    """The kinds of what a number of the plan, by its index, measures or stands next to; of all its wall where it is the
    wall's overall.

    "left of door" where it lies to the left of it, seen from in the room; on a wall along the bottom of the page left
    is right on paper, so nothing is said there. "left wall" where its wall, and no other, is on that side of the page.
    """
    for wall in room.walls:
        if (met := _met(wall, number)) is not None:
            alone = sum(w.direction is wall.direction for w in room.walls) == 1
            side = _ON_THE_PAGE.get(wall.direction) if alone else None
            return tuple(dict.fromkeys([*met, *([f"{side} wall"] if side else [])]))
    return ()


def _met(wall: Wall, number: int) -> list[str] | None:
    """None where the number is of another wall."""
    for n, section in enumerate(wall.sections):
        if section.length.number == number:
            return [*_named(section), *_neighbours(wall, n)]
        if number in _heights(section):
            return _named(section)
    if number in [overall.number for overall in wall.overalls]:
        return [name for section in wall.sections for name in _named(section)]
    return None


def _neighbours(wall: Wall, n: int) -> Iterator[str]:
    """What stands on either side of the section `n`, by the side that the section is on."""
    for at, side in ((n - 1, "right of "), (n + 1, "left of ")):
        if 0 <= at < len(wall.sections):
            told = side if wall.direction in _AS_ON_PAPER else ""
            yield from (f"{told}{name}" for name in _named(wall.sections[at]))


def _named(section: Section) -> list[str]:
    return [] if section.kind is SectionKind.WALL else [section.kind.value]


def _heights(section: Section) -> set[int | None]:
    lengths = (getattr(section, name) for name in SECTION_LENGTHS.values())
    return {m.number for m in lengths if m is not None and m.number is not None}
