"""What to call a piece of a room so that its owner knows which is meant. Left and right are those of somebody who
faces the wall from inside."""

from __future__ import annotations

from intake.domain.lengths.notation import format_cm
from intake.model.reading import Direction
from intake.model.room import Measurement, RoomSurvey, SectionKind, Wall

SIDE = {
    Direction.EAST: "along the top of your plan",
    Direction.SOUTH: "down the right-hand side of your plan",
    Direction.WEST: "along the bottom of your plan",
    Direction.NORTH: "up the left-hand side of your plan",
    Direction.OTHER: "that runs at a slant",
}
NAME = {
    SectionKind.DOOR: "door",
    SectionKind.WINDOW: "window",
    SectionKind.DOORWAY: "doorway",
    SectionKind.NIB: "nib",
    SectionKind.BOXING: "boxing",
    SectionKind.BREAST: "chimney breast",
    SectionKind.ALCOVE: "alcove",
    SectionKind.FURNITURE: "furniture",
    SectionKind.CURVE: "curve",
    SectionKind.OPENING: "opening",
}
COUNTED = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}
ORDINAL = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def cm(mm: float) -> str:
    """A length in centimetres to the half millimetre at most, as the customer writes it."""
    return format_cm(round(mm))


def said(measurement: Measurement) -> str:
    """A length as it was written where that is plain, else in centimetres."""
    return measurement.text if 0 < len(measurement.text) <= 12 else cm(measurement.value_mm or 0)


def wall_phrase(room: RoomSurvey, wall: Wall) -> str:
    """ "the wall along the top of your plan"; with a count where several run that way."""
    alike = [w for w in room.walls if w.direction is wall.direction]
    if len(alike) == 1:
        return f"the wall {SIDE[wall.direction]}"
    nth = ordinal(alike.index(wall))
    return f"the {nth} wall {SIDE[wall.direction]} (counting clockwise)"


def ordinal(index: int) -> str:
    return ORDINAL[index] if index < len(ORDINAL) else f"{index + 1}th"


def section_phrase(room: RoomSurvey, wall: Wall, n: int) -> str:
    """ "the wall to the left of the window (as you face it, along the top of your plan)"."""
    where = wall_phrase(room, wall).removeprefix("the wall ")
    return f"{_piece(wall, n)} (as you face it, {where})"


def _piece(wall: Wall, n: int) -> str:
    section = wall.sections[n]
    if section.kind is not SectionKind.WALL:
        return f"the {_ordinal_of_kind(wall, n)}{NAME[section.kind]}"
    before = _landmark(wall, n - 1)
    after = _landmark(wall, n + 1)
    if before and after:
        return f"the wall between the {before} and the {after}"
    if after:
        return f"the wall to the left of the {after}"
    if before:
        return f"the wall to the right of the {before}"
    if len(wall.sections) == 1:
        return "the whole wall"
    return f"the {ordinal(n)} section from the left"


def _landmark(wall: Wall, n: int) -> str:
    """What to call the section n where it is something to go by."""
    if not 0 <= n < len(wall.sections) or wall.sections[n].kind is SectionKind.WALL:
        return ""
    return f"{_ordinal_of_kind(wall, n)}{NAME[wall.sections[n].kind]}"


def _ordinal_of_kind(wall: Wall, n: int) -> str:
    alike = [i for i, s in enumerate(wall.sections) if s.kind is wall.sections[n].kind]
    return "" if len(alike) == 1 else f"{ordinal(alike.index(n))} "


def reading_phrase(room: RoomSurvey, reading: str) -> str:
    """What to call a measurement by its id."""
    for wall in room.walls:
        for n, section in enumerate(wall.sections):
            if section.length.id == reading:
                return section_phrase(room, wall, n)
        if any(o.id == reading for o in wall.overalls):
            return f"the overall length of {wall_phrase(room, wall)}"
    return f"the measurement across the room ({reading})"


def find_reading(room: RoomSurvey, reading: str) -> Measurement | None:
    """The measurement with this id among those that close."""
    return next((m for m in room.lengths() if m.id == reading), None)
