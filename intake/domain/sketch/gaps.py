"""Openings that are drawn and not measured: which of them the numbers leave room for.

A pencil that skips leaves a gap in a wall that looks like a doorway, and people draw a door where they have measured
the wall as a whole. Where the rest of the plan leaves such an opening less than a door needs, it is no section of its
own: it would hide a slip, or be asked of the customer for nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from intake.domain.lengths.plausible import LEAST_OPENING_MM
from intake.domain.room.net_building import fitted
from intake.domain.room.placing import place_adjusted
from intake.domain.room.soundness import check_sound
from intake.model.examination import Basis, PlacedWall
from intake.model.finding import Finding
from intake.model.reading import SketchReading, Span
from intake.model.room import OPENINGS, RoomSurvey, Section, Wall


def without_room(room: RoomSurvey) -> dict[int, list[Span]]:
    """By wall (its index in the room), where openings are drawn that the numbers leave no room for."""
    if not any(_is_drawn_only(s) for w in room.walls for s in w.sections):
        return {}
    sound, faults = check_sound(room)
    if not sound.walls or any(f.code.startswith("too-many") for f in faults):
        return {}
    placed = place_adjusted(sound, *fitted(sound), frozenset())
    found = {
        wall.index: list(_without_room(wall, laid))
        for wall, laid in zip(room.walls, placed.walls, strict=True)
    }
    return {wall: spans for wall, spans in found.items() if spans}


def _without_room(wall: Wall, laid: PlacedWall) -> Iterator[Span]:
    """The narrowest of a wall's drawn openings, as many as do not fit; none of a wall of nothing else."""
    drawn = [s for s in wall.sections if _is_drawn_only(s)]
    others = [s.length.value_mm for s in wall.sections if not _is_drawn_only(s)]
    if not drawn or not others or None in others or laid.basis is Basis.ASSUMED:
        return
    left = laid.length_mm - sum(value or 0 for value in others)
    room_for = max(0, left // LEAST_OPENING_MM)
    shares = [s.share for s in drawn if s.share is not None]
    yield from sorted(shares, key=lambda span: span[0] - span[1])[room_for:]


def _is_drawn_only(section: Section) -> bool:
    return section.kind in OPENINGS and section.length.number is None and section.share is not None


def left_out(reading: SketchReading, walls: dict[int, list[Span]]) -> SketchReading:
    """The reading without the openings of some walls (by their numbers), each wall with a finding that says so."""
    features = tuple(
        f for f in reading.outline.features if f.wall is None or f.span not in walls.get(f.wall, ())
    )
    return replace(reading, outline=replace(reading.outline, features=features))


def said(letters: list[str]) -> tuple[Finding, ...]:
    """A finding for each wall that lost a drawn opening."""
    return tuple(Finding("opening-has-no-room", _NO_ROOM.format(letter)) for letter in letters)


_NO_ROOM = (
    "An opening seems to be drawn in wall {} that its numbers leave no room for: it is left out of the plan."
)
