"""What to call a piece of a room so that its owner knows which is meant, as phrases that config/letters words. Left and
right are those of somebody who faces the wall from inside."""

from __future__ import annotations

from intake.model.phrase import Phrase, phrase
from intake.model.reading import Direction
from intake.model.room import RoomSurvey, SectionKind, Wall

SIDE = {
    Direction.EAST: "side-top",
    Direction.SOUTH: "side-right",
    Direction.WEST: "side-bottom",
    Direction.NORTH: "side-left",
    Direction.OTHER: "side-slant",
}
"""Where a wall that is walked in this direction, clockwise, stands on the plan."""
MOST_NAMED = 10
"""Ordinals that have a word of their own in config/letters."""


def wall_phrase(room: RoomSurvey, wall: Wall) -> Phrase:
    """ "the wall along the top of your plan"; with a count where several run that way."""
    alike = [w for w in room.walls if w.direction is wall.direction]
    side = phrase(SIDE[wall.direction])
    if len(alike) == 1:
        return phrase("wall", side=side)
    return phrase("wall-nth", nth=nth_phrase(alike.index(wall)), side=side)


def nth_phrase(index: int) -> Phrase:
    return phrase(f"nth-{index + 1}") if index < MOST_NAMED else phrase("nth", n=index + 1)


def section_phrase(room: RoomSurvey, wall: Wall, n: int) -> Phrase:
    """ "the wall to the left of the window (as you face it, along the top of your plan)"."""
    alone = sum(w.direction is wall.direction for w in room.walls) == 1
    where = phrase(SIDE[wall.direction]) if alone else wall_phrase(room, wall)
    return phrase("piece", piece=_piece(wall, n), where=where)


def _piece(wall: Wall, n: int) -> Phrase:
    if wall.sections[n].kind is not SectionKind.WALL:
        return _thing(wall, n, "the")
    before, after = _landmark(wall, n - 1), _landmark(wall, n + 1)
    if before and after:
        return phrase("piece-between", before=before, after=after)
    if after:
        return phrase("piece-left-of", after=after)
    if before:
        return phrase("piece-right-of", before=before)
    return phrase("piece-whole") if len(wall.sections) == 1 else phrase("piece-nth", nth=nth_phrase(n))


def _landmark(wall: Wall, n: int) -> Phrase | None:
    """What to call the section n where it is something to go by."""
    if not 0 <= n < len(wall.sections) or wall.sections[n].kind is SectionKind.WALL:
        return None
    return _thing(wall, n, "by-the")


def _thing(wall: Wall, n: int, case: str) -> Phrase:
    """ "the window", or which of several; `case` is the, or by-the after words of place (the dative, in German)."""
    kind = wall.sections[n].kind
    alike = [i for i, s in enumerate(wall.sections) if s.kind is kind]
    nth = "" if len(alike) == 1 else nth_phrase(alike.index(n))
    return phrase(f"{case}-{kind.value}", nth=nth)


def reading_phrase(room: RoomSurvey, reading: str) -> Phrase:
    """What to call a measurement by its id: one of a wall, or one across the room."""
    for wall in room.walls:
        for n, section in enumerate(wall.sections):
            if section.length.id == reading:
                return section_phrase(room, wall, n)
        if any(o.id == reading for o in wall.overalls):
            return phrase("overall-of", wall=wall_phrase(room, wall))
    if astray := next((a for a in room.astray if a.length.id == reading), None):
        return wall_phrase(room, room.walls[astray.wall])
    across = next(a for a in room.across if a.length.id == reading)
    one, other = (wall_phrase(room, room.walls[w]) for w in across.walls or across.corners or ())
    return phrase("across-from-corner" if across.corners else "across-between", one=one, other=other)
