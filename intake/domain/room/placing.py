"""Laying a room out in the plane, and saying for every length what it rests on."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from intake.domain.room.adjusting import UNCHECKED, Adjustment
from intake.domain.room.floor import net_area
from intake.domain.room.mirrored import other_outline
from intake.domain.room.net import (
    ALONG_X,
    BEARING,
    SIGN,
    Net,
    chain_length,
    corner_positions,
    ends_of,
    inner_marks,
    length_gradient,
    usable,
    wall_length,
)
from intake.domain.room.soundness import walls_cross
from intake.domain.room.squareness import squareness_of
from intake.model.examination import Basis, PlacedRoom, PlacedSection, PlacedWall
from intake.model.reading import Direction
from intake.model.room import RoomSurvey, Wall

_Corner = tuple[float, float]

MOST_TURNED = math.cos(math.radians(5.0))
"""A wall that a slip has turned further than this is laid out square."""
UNFIXED_SD_MM = 300.0
"""An adjusted length less certain than this rests on a guess."""


def place_adjusted(
    room: RoomSurvey, net: Net, adjustment: Adjustment, left_out: frozenset[str]
) -> PlacedRoom:
    """The room as the adjustment has it."""
    corners = (
        _set_straight(room, corner_positions(net, adjustment))
        if net.angle_sd
        else corner_positions(net, adjustment)
    )
    basis_of, other = _bases(net, adjustment, left_out), other_outline(room, net, adjustment)
    walls = tuple(_adjusted_wall(room, wall, net, adjustment, corners, basis_of) for wall in room.walls)
    placed = PlacedRoom(walls, None, None, tuple(sorted(left_out)), squareness_of(room, net, adjustment))
    if other:
        placed = replace(
            placed, walls=tuple(map(_not_derived, walls)), other_corners=tuple(map(_whole_mm, other))
        )
    return _with_areas(room, placed)


def _not_derived(wall: PlacedWall) -> PlacedWall:
    """What two outlines give differently is a guess."""

    def weaker(basis: Basis) -> Basis:
        return Basis.ASSUMED if basis is Basis.DERIVED else basis

    sections = tuple(replace(s, basis=weaker(s.basis)) for s in wall.sections)
    return replace(wall, basis=weaker(wall.basis), sections=sections)


def _set_straight(room: RoomSurvey, corners: list[_Corner]) -> list[_Corner]:
    """Turned about the first corner so that the longest wall that is drawn straight lies true on the page."""
    straight = [w for w in room.walls if w.direction in BEARING]
    if not straight:
        return corners
    ends = {w.index: [corners[c] for c in ends_of(room, w.index)] for w in straight}
    longest = max(straight, key=lambda w: math.dist(*ends[w.index]))
    (xa, ya), (xb, yb) = ends[longest.index]
    turn = math.radians(BEARING[longest.direction]) - math.atan2(yb - ya, xb - xa)
    cos, sin = math.cos(turn), math.sin(turn)
    return [(x * cos - y * sin, x * sin + y * cos) for x, y in corners]


def _with_areas(room: RoomSurvey, placed: PlacedRoom) -> PlacedRoom:
    gross = replace(placed, area_mm2=_area(room, placed))
    return replace(gross, net_area_mm2=net_area(room, gross))


def _area(room: RoomSurvey, placed: PlacedRoom) -> int | None:
    """None where the room is open, partly a guess, or no plain polygon."""
    guessed = any(w.basis is Basis.ASSUMED for w in placed.walls)
    if guessed or not room.closed or placed.gap or crossing(room, placed):
        return None
    return area_mm2([w.start for w in placed.walls])


def crossing(room: RoomSurvey, placed: PlacedRoom) -> bool:
    """Whether walls of a room that comes back to its start run through one another."""
    return room.closed and placed.gap is None and walls_cross([w.start for w in placed.walls])


def runs_backwards(wall: Wall, placed: PlacedWall) -> bool:
    """Whether a straight wall is laid out against its own direction."""
    k = 0 if wall.direction in ALONG_X else 1
    return SIGN[wall.direction] * (placed.end[k] - placed.start[k]) < 0


def _bases(net: Net, adjustment: Adjustment, left_out: frozenset[str]) -> Mapping[str, Basis]:
    """What each section's drawn length rests on, by the id of its measurement."""
    found: dict[str, Basis] = {}
    for row, e in enumerate(net.equations):
        if e.reading:
            checked = adjustment.redundancy[row] > UNCHECKED
            found[e.reading] = Basis.ADJUSTED if checked else Basis.UNCHECKED
        elif e.stands_for:
            fixed = adjustment.adjusted_sd[row] < UNFIXED_SD_MM
            found[e.stands_for] = Basis.DERIVED if fixed else Basis.ASSUMED
    return found | dict.fromkeys(left_out, Basis.LEFT_OUT)


def _adjusted_wall(
    room: RoomSurvey,
    wall: Wall,
    net: Net,
    adjustment: Adjustment,
    corners: list[_Corner],
    basis_of: Mapping[str, Basis],
) -> PlacedWall:
    start, end = (corners[c] for c in ends_of(room, wall.index))
    length = math.dist(start, end)
    marks = [0.0, *inner_marks(wall, net, adjustment), length]
    spread = {
        e.reading or e.stands_for: float(sd)
        for e, sd in zip(net.equations, adjustment.adjusted_sd, strict=True)
    }
    sections = tuple(
        PlacedSection(n, round(marks[n]), round(marks[n + 1]), basis_of[s.length.id], spread[s.length.id])
        for n, s in enumerate(wall.sections)
    )
    whole, sd = _whole_basis(wall, net, adjustment)
    return PlacedWall(wall.index, _whole_mm(start), _whole_mm(end), round(length), whole, sections, sd)


def _whole_basis(wall: Wall, net: Net, adjustment: Adjustment) -> tuple[Basis, float]:
    """What a wall's whole length rests on, and its standard deviation."""
    gradient = length_gradient(net, adjustment, wall.index)
    sd = math.sqrt(max(float(gradient @ adjustment.cofactor @ gradient), 0.0))
    if sd > UNFIXED_SD_MM:
        return Basis.ASSUMED, sd
    if not any(usable(o) for o in wall.overalls) and chain_length(wall) is None:
        return Basis.DERIVED, sd
    return Basis.ADJUSTED, sd


def _whole_mm(corner: _Corner) -> tuple[int, int]:
    return round(corner[0]), round(corner[1])


def place_measured(room: RoomSurvey, guide: PlacedRoom) -> PlacedRoom:
    """The room as measured, wall after wall, with the gap that is left: for a room that no single change explains.

    A wall is as long as its overall says, else its sections, else `guide` (the adjusted layout), which also gives the
    way a splayed wall runs. Sections that do not fill their wall are spread over it, and marked as left out.
    """
    lengths = [
        float(guided.length_mm if (known := wall_length(wall)) is None else known)
        for wall, guided in zip(room.walls, guide.walls, strict=True)
    ]
    bearings = [_bearing(wall, guided) for wall, guided in zip(room.walls, guide.walls, strict=True)]
    corners = walk(lengths, bearings)
    walls = []
    for n, (wall, guided) in enumerate(zip(room.walls, guide.walls, strict=True)):
        basis = guided.basis if wall_length(wall) is None else Basis.UNCHECKED
        sections = _spread(wall, guided, lengths[n])
        start, end = _whole_mm(corners[n]), _whole_mm(corners[n + 1])
        walls.append(PlacedWall(wall.index, start, end, round(lengths[n]), basis, sections))
    gap = (-walls[-1].end[0], -walls[-1].end[1])
    missed = room.closed and max(map(abs, gap)) > 1
    placed = PlacedRoom(tuple(walls), gap if missed else None, None, squareness=guide.squareness)
    return _with_areas(room, placed)


def walk(lengths: list[float], bearings: list[float]) -> list[_Corner]:
    """The corners of a traverse from (0, 0), one more than its legs; bearings in radians clockwise from x, y down."""
    corners = [(0.0, 0.0)]
    for length, bearing in zip(lengths, bearings, strict=True):
        x, y = corners[-1]
        corners.append((x + length * math.cos(bearing), y + length * math.sin(bearing)))
    return corners


def _bearing(wall: Wall, guided: PlacedWall) -> float:
    """The way a wall runs in the guide; a straight one only where that is its own direction, give or take."""
    guide = math.atan2(guided.end[1] - guided.start[1], guided.end[0] - guided.start[0])
    if wall.direction is Direction.OTHER:
        return guide
    drawn = math.radians(BEARING[wall.direction])
    return guide if math.cos(guide - drawn) > MOST_TURNED else drawn


def _spread(wall: Wall, guided: PlacedWall, length: float) -> tuple[PlacedSection, ...]:
    """The sections one after another, stretched to fill the wall where they do not."""
    sizes = [
        float(s.length.value_mm or 0) if usable(s.length) else float(max(g.end_mm - g.start_mm, 50))
        for s, g in zip(wall.sections, guided.sections, strict=True)
    ]
    if not sizes:
        return ()
    factor = length / sum(sizes)
    true_to_size = round(length) == round(sum(sizes))
    placed, at = [], 0.0
    for n, (size, g) in enumerate(zip(sizes, guided.sections, strict=True)):
        kept = Basis.UNCHECKED if usable(wall.sections[n].length) else g.basis
        basis = kept if true_to_size else Basis.LEFT_OUT
        placed.append(PlacedSection(n, round(at), round(at + size * factor), basis))
        at += size * factor
    return tuple(placed)


def area_mm2(corners: list[tuple[int, int]]) -> int | None:
    """The area a closed polygon encloses by the coordinate method (shoelace), mm2; None for fewer than 3 corners."""
    if len(corners) < 3:
        return None
    pairs = zip(corners, corners[1:] + corners[:1], strict=True)
    return round(abs(sum(xa * yb - xb * ya for (xa, ya), (xb, yb) in pairs)) / 2)
