"""Splayed walls that lengths alone leave two places for: which one is drawn, and that there is another."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from intake.domain.room.adjusting import Adjustment
from intake.domain.room.naming import cm
from intake.domain.room.net import ALONG_X, SIGN, Net, corner_positions, ends_of, slant_of, solve
from intake.domain.room.net_building import build_net
from intake.model.examination import PlacedRoom
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.room import RoomSurvey, Wall

ALIKE = 4.0
"""Weighted sums of squares closer than this fit alike (one degree of freedom, 95 in 100)."""
APART_MM = 50.0
"""Outlines whose corners lie closer than this are one."""
TOLD_DEG = 30.0
"""A slant that was told or drawn decides for the outline that keeps to it better by this much."""
MOST_SPLAYED = 4
"""With more of them each way to mirror one is no longer tried."""
_Corner = tuple[float, float]


def other_outline(room: RoomSurvey, net: Net, adjustment: Adjustment) -> tuple[_Corner, ...]:
    """The corners of a second outline that the lengths fit as well as the adjusted one and that no slant rules out,
    mm from the first corner; empty where there is none, and for a room that is open."""
    if not room.closed or len(room.walls) < 3:
        return ()
    first = corner_positions(net, adjustment)
    for mirrored in _mirrored(room):
        other_net = build_net(mirrored)
        try_other = solve(other_net)
        corners = corner_positions(other_net, try_other)
        if try_other.sum_of_squares > adjustment.sum_of_squares + ALIKE or not _apart(first, corners):
            continue
        if all(
            _possible(room, w, corners) and not _against_slant(room, w, first, corners) for w in room.walls
        ):
            return tuple(corners)
    return ()


def two_outlines(room: RoomSurvey, placed: PlacedRoom) -> Iterator[Finding]:
    """That there are two, and which measurement across tells them apart best."""
    if not placed.other_corners:
        return
    one, two = [w.start for w in placed.walls], placed.other_corners
    pairs = combinations(range(min(len(one), len(two))), 2)
    a, b = max(pairs, key=lambda p: abs(math.dist(one[p[0]], one[p[1]]) - math.dist(two[p[0]], two[p[1]])))
    corners = {"start": room.walls[a].letter, "end": room.walls[b].letter}
    length, other = (cm(math.dist(c[a], c[b])) for c in (one, two))
    yield Finding("two-outlines", phrase("two-outlines", **corners, length=length, other=other))


def _mirrored(room: RoomSurvey) -> Iterator[RoomSurvey]:
    """The room with one splayed wall at a time running the other way along the page or down it."""
    splayed = [w for w in room.walls if w.direction not in SIGN]
    for wall in splayed if len(splayed) <= MOST_SPLAYED else ():
        slant = slant_of(room, wall)
        for turned in (180.0 - slant, -slant):
            other = replace(wall, slant_deg=turned)
            walls = tuple(other if w is wall else w for w in room.walls)
            yield replace(room, walls=walls)


def _apart(one: list[_Corner], two: list[_Corner]) -> bool:
    return max(math.dist(a, b) for a, b in zip(one, two, strict=True)) > APART_MM


def _possible(room: RoomSurvey, wall: Wall, corners: list[_Corner]) -> bool:
    """Whether a straight wall keeps its direction."""
    if wall.direction not in SIGN:
        return True
    start, end = (corners[c] for c in ends_of(room, wall.index))
    k = 0 if wall.direction in ALONG_X else 1
    return SIGN[wall.direction] * (end[k] - start[k]) > 0


def _against_slant(room: RoomSurvey, wall: Wall, first: list[_Corner], other: list[_Corner]) -> bool:
    """Whether the slant told or drawn speaks for the first outline."""
    if wall.slant_deg is None:
        return False
    a, b = ends_of(room, wall.index)
    off = [_turned(c[a], c[b], wall.slant_deg) for c in (first, other)]
    return off[1] - off[0] > TOLD_DEG


def _turned(start: _Corner, end: _Corner, slant_deg: float) -> float:
    """Degrees between the way from start to end and a slant."""
    bearing = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    return abs((bearing - slant_deg + 180.0) % 360.0 - 180.0)
