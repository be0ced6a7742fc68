"""What the desk calls the pieces and lengths of a room."""

from __future__ import annotations

from collections.abc import Sequence

from intake.domain.lengths.notation import format_cm
from intake.model.phrase import Gap, Phrase, phrase
from intake.model.room import Measurement, RoomSurvey, Section, SectionKind

NAME = {
    SectionKind.WALL: "wall",
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
LONGEST_SAID = 12
"""Signs of a length that is shown as it was written."""


def cm(mm: float) -> str:
    """A length in centimetres to the half millimetre at most, as the customer writes it."""
    return format_cm(round(mm))


def said(measurement: Measurement) -> str:
    """A length as it was written where that is plain, else in centimetres."""
    return measurement.text if 0 < len(measurement.text) <= LONGEST_SAID else cm(measurement.value_mm or 0)


def named(section: Section) -> str:
    """ "window A2": what it is, and its place on the plan."""
    return f"{NAME[section.kind]} {section.length.id}"


def called(length: str) -> str:
    """What to call a length by its id: "section D1", for a door may be D1 too; others are names already."""
    return f"section {length}" if length[-1:].isdigit() and length.rstrip("0123456789").isalpha() else length


def find_reading(room: RoomSurvey, reading: str) -> Measurement | None:
    """The measurement with this id among those that close, or that might; what clear ink says comes first."""
    every = (*room.spoken_against, *room.lengths(), *(a.length for a in room.astray))
    return next((m for m in every if m.id == reading), None)


def first_of(names: Sequence[Gap], most: int) -> Gap:
    """The first of several names, and that there are more where there are."""
    shown = tuple(names[:most])
    return phrase("and-more", named=shown) if len(names) > most else shown


def on_line(said: Phrase, line: int | None) -> Phrase:
    """What is said of a room, as a sentence, with the line of the room file where it has one."""
    return phrase("on-line", what=said, line=line) if line else phrase("without-line", what=said)
