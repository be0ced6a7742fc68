"""The plan to point at: every piece of wall, opening and fixed thing with its name, in millimetres of the room."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from intake.model.examination import PlacedWall, RoomExamination
from intake.model.reading import Hinge, Opens
from intake.model.room import Fixed, SectionKind, wall_letter
from intake.work.desk import format_cm

MARGIN = 650
"""Millimetres of paper round the room."""
OUTSIDE, INSIDE, NEAR, REACH = 330, 300, 120, 130
"""How far lengths stand outside a wall, its letter inside, a fixed thing from its face; how far beside it a pointer
hits it."""


@dataclass(frozen=True)
class Piece:
    """One section to point at: its ends, its kind and what stands beside it; `swing` is the arc of a door."""

    name: str
    wall: int
    section: int
    kind: str
    ends: tuple[float, float, float, float]
    reach: str
    """The points of what a pointer may hit, somewhat wider than the wall."""
    text: str
    at: tuple[float, float]
    doubtful: bool
    swing: str = ""
    movable: bool = False
    start_mm: float = 0.0
    """How far its left end is from the wall's left corner."""


@dataclass(frozen=True)
class Spot:
    """The letter of a wall, or a fixed thing."""

    name: str
    text: str
    at: tuple[float, float]


@dataclass(frozen=True)
class RoomPlan:
    view_box: str
    size: float
    """Of letters."""
    pieces: tuple[Piece, ...]
    walls: tuple[Spot, ...]
    fixed: tuple[Spot, ...]


def room_plan(room: RoomExamination) -> RoomPlan:
    """The plan of a room that has walls."""
    placed = room.placed.walls
    xs = [x for w in placed for x in (w.start[0], w.end[0])]
    ys = [y for w in placed for y in (w.start[1], w.end[1])]
    wide, high = max(xs) - min(xs) + 2 * MARGIN, max(ys) - min(ys) + 2 * MARGIN
    box = f"{min(xs) - MARGIN} {min(ys) - MARGIN} {wide} {high}"
    pieces = tuple(piece for wall in placed for piece in _pieces(room, wall))
    walls = tuple(
        Spot(wall_letter(w.wall), wall_letter(w.wall), _point(w, w.length_mm / 2, INSIDE)) for w in placed
    )
    return RoomPlan(box, max(wide, high) / 34, pieces, walls, tuple(_fixed(room)))


def _point(wall: PlacedWall, along: float, inside: float) -> tuple[float, float]:
    """So far along a wall from its start, and so far into the room: the room lies to the right hand."""
    dx, dy = wall.end[0] - wall.start[0], wall.end[1] - wall.start[1]
    long = math.hypot(dx, dy) or 1.0
    ux, uy = dx / long, dy / long
    return round(wall.start[0] + ux * along - uy * inside, 1), round(
        wall.start[1] + uy * along + ux * inside, 1
    )


def _pieces(room: RoomExamination, wall: PlacedWall) -> Iterator[Piece]:
    sections = room.survey.walls[wall.wall].sections
    for placed in wall.sections:
        if placed.index >= len(sections):
            continue
        section = sections[placed.index]
        start, end = _point(wall, placed.start_mm, 0), _point(wall, placed.end_mm, 0)
        known = section.length.value_mm
        text = "?" if known is None else format_cm(known) + ("" if section.length.accepted else " ?")
        middle = (placed.start_mm + placed.end_mm) / 2
        yield Piece(
            name=f"{wall_letter(wall.wall)}{placed.index + 1}",
            wall=wall.wall,
            section=placed.index,
            kind=section.kind.value,
            ends=(*start, *end),
            reach=_reach(wall, placed.start_mm, placed.end_mm),
            text=text,
            at=_point(wall, middle, -OUTSIDE),
            doubtful=known is None or not section.length.accepted,
            start_mm=round(placed.start_mm),
            swing=_swing(wall, placed.start_mm, placed.end_mm, section.swing.hinge, section.swing.into)
            if section.kind is SectionKind.DOOR
            else "",
            movable=0 < placed.index < len(sections) - 1
            and sections[placed.index - 1].kind is SectionKind.WALL
            and sections[placed.index + 1].kind is SectionKind.WALL,
        )


def _reach(wall: PlacedWall, start: float, end: float) -> str:
    corners = ((start, -REACH), (end, -REACH), (end, REACH), (start, REACH))
    return " ".join("{},{}".format(*_point(wall, along, inside)) for along, inside in corners)


def _swing(wall: PlacedWall, start: float, end: float, hinge: Hinge, into: Opens) -> str:
    """The leaf and the arc of a door as an SVG path; "" where nobody told how it swings."""
    if not hinge or not into:
        return ""
    wide, side = end - start, 1 if into is Opens.ROOM else -1
    pin, free = (start, end) if hinge is Hinge.LEFT else (end, start)
    x0, y0 = _point(wall, pin, 0)
    x1, y1 = _point(wall, pin, side * wide)
    x2, y2 = _point(wall, free, 0)
    sweep = 1 if (hinge is Hinge.LEFT) == (into is Opens.ROOM) else 0
    return f"M{x0} {y0} L{x1} {y1} A{wide} {wide} 0 0 {1 - sweep} {x2} {y2}"


def _fixed(room: RoomExamination) -> Iterator[Spot]:
    for n, thing in enumerate(room.survey.fixed):
        wall = next((w for w in room.placed.walls if w.wall == thing.wall), None)
        if wall is not None:
            yield Spot(f"F:{n + 1}", thing.name, _point(wall, _along(thing, wall), NEAR))


def _along(thing: Fixed, wall: PlacedWall) -> float:
    """Where on its wall a thing stands; clear of the wall's letter where nobody told."""
    half = (thing.width.value_mm or 0) / 2 if thing.width else 0.0
    if thing.from_left and thing.from_left.value_mm is not None:
        return thing.from_left.value_mm + half
    if thing.from_right and thing.from_right.value_mm is not None:
        return wall.length_mm - thing.from_right.value_mm - half
    return wall.length_mm / 3
