"""Which measurement to ask for next, found by computing what each possible one would tell.

Where the room does not close: each suspect predicts what a measurement would give. Suspects whose predictions lie
together stay together after it; the chance of then naming the right one is the sum over the groups of the largest
probability in each. Where the room closes: each added measurement raises the redundancy of those it checks (a rank-one
update of the cofactor matrix), and the weakest readings count.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from intake.domain.room.adjusting import Adjustment, Array
from intake.domain.room.naming import reading_phrase, wall_phrase
from intake.domain.room.net import ALONG_X, FIXED, Net, corner_positions, ends_of, length_gradient, usable
from intake.domain.room.slips import Search, Suspect
from intake.model.reading import Direction
from intake.model.room import OVERALL_SIGMA_MM, NextMeasure, RoomSurvey

WEAK_REDUNDANCY = 0.1
APART_SIGMAS = 4.0
LEAST_GAIN = 0.02
MOST_ASKED = 3
LEAST_SEEN_MM = 300.0


@dataclass(frozen=True)
class Possible:
    """A measurement that could be made: `gradient` over the unknowns, and what to ask."""

    gradient: Array
    sigma: float
    question: str
    wall: int | None = None
    reading: str = ""
    axis: str = ""


def next_to_pin(searches: list[Search]) -> tuple[NextMeasure, ...]:
    """The measurements that most raise the chance of pinning the slip, best first."""
    asked = []
    for search in searches:
        suspected = frozenset(s.reading for s in search.suspects if s.reading)
        best_now = max((s.probability for s in search.suspects), default=0.0)
        for possible in _possible(search.room, search.net, search.adjustment, suspected):
            gain = _pinned(possible, search.adjustment, search.suspects) - best_now
            if search.axis in ("xy", possible.axis) and gain > LEAST_GAIN:
                reason = (
                    f"It raises the chance of naming the slip from {best_now:.0%} to {best_now + gain:.0%}."
                )
                asked.append(NextMeasure(possible.question, reason, gain, possible.wall, possible.reading))
    return tuple(sorted(asked, key=lambda n: -n.gain)[:MOST_ASKED])


def _pinned(possible: Possible, adjustment: Adjustment, suspects: list[Suspect]) -> float:
    """Chance of naming the slip once this has been measured."""
    gain = adjustment.cofactor @ possible.gradient
    spread = math.sqrt(possible.sigma**2 + float(possible.gradient @ gain))
    effect = adjustment.weights * (adjustment.design @ gain)
    predicted = sorted((-s.size * float(effect @ s.bias), s.probability) for s in suspects)
    total, largest, before = 0.0, 0.0, -math.inf
    for value, probability in predicted:
        if value - before > APART_SIGMAS * spread:
            total, largest = total + largest, 0.0
        largest, before = max(largest, probability), value
    return total + largest


def next_to_strengthen(room: RoomSurvey, net: Net, adjustment: Adjustment) -> tuple[NextMeasure, ...]:
    """The measurements that do most for the readings that nothing, or hardly anything, checks."""
    rows = [n for n, e in enumerate(net.equations) if e.reading]
    weak = [n for n in rows if adjustment.redundancy[n] < WEAK_REDUNDANCY]
    if not weak:
        return ()
    asked = []
    for possible in _possible(room, net, adjustment, frozenset()):
        gain, count = _strengthened(possible, adjustment, weak)
        if gain > LEAST_GAIN:
            reason = f"{count} of the {len(weak)} measurements that nothing checks would then be checked."
            asked.append(NextMeasure(possible.question, reason, gain, possible.wall, possible.reading))
    return tuple(sorted(asked, key=lambda n: -n.gain)[:MOST_ASKED])


def _strengthened(possible: Possible, adjustment: Adjustment, weak: list[int]) -> tuple[float, int]:
    """Mean redundancy that the weak readings gain, and how many of them are weak no longer."""
    gain = adjustment.cofactor @ possible.gradient
    variance = possible.sigma**2 + float(possible.gradient @ gain)
    drop = np.square(adjustment.design[weak] @ gain) / variance
    added = adjustment.weights[weak] * drop
    return float(np.mean(added)), int(np.sum(adjustment.redundancy[weak] + added >= WEAK_REDUNDANCY))


def _possible(room: RoomSurvey, net: Net, adjustment: Adjustment, again: frozenset[str]) -> list[Possible]:
    """Overalls not yet given, square across the room, and the readings in `again` once more."""
    found = [*_overalls(room, net, adjustment), *_across(room, net, adjustment)]
    for row, e in enumerate(net.equations):
        if e.reading in again:
            question = f"Please measure {reading_phrase(room, e.reading)} once more."
            found.append(Possible(adjustment.design[row], e.sigma, question, e.wall, e.reading, e.axis))
    return found


def _overalls(room: RoomSurvey, net: Net, adjustment: Adjustment) -> Iterator[Possible]:
    for wall in room.walls:
        if any(usable(o) for o in wall.overalls):
            continue
        axis = _axis(net, "x" if wall.direction in ALONG_X else "y")
        how = "once more" if len(wall.sections) == 1 else "in one piece, from corner to corner"
        question = f"Please measure {wall_phrase(room, wall)} {how}."
        gradient = length_gradient(net, adjustment, wall.index)
        yield Possible(gradient, OVERALL_SIGMA_MM, question, wall.index, "", axis)


def _across(room: RoomSurvey, net: Net, adjustment: Adjustment) -> Iterator[Possible]:
    """Square across between facing walls that see each other over a fair width."""
    places = corner_positions(net, adjustment)
    for low, high, k in ((Direction.NORTH, Direction.SOUTH, 0), (Direction.EAST, Direction.WEST, 1)):
        for near in (w for w in room.walls if w.direction is low):
            for far in (w for w in room.walls if w.direction is high):
                ends = [sorted(places[c][1 - k] for c in ends_of(room, w.index)) for w in (near, far)]
                seen = min(ends[0][1], ends[1][1]) - max(ends[0][0], ends[1][0])
                if seen < LEAST_SEEN_MM or places[far.index][k] <= places[near.index][k]:
                    continue
                both = f"from {wall_phrase(room, near)} to {wall_phrase(room, far)}"
                question = f"Please measure straight across the room {both}."
                gradient = np.zeros(net.size)
                for wall, sign in ((far, 0.5), (near, -0.5)):
                    for level in (net.corners[c][k] for c in ends_of(room, wall.index)):
                        if level != FIXED:
                            gradient[level] += sign
                yield Possible(gradient, OVERALL_SIGMA_MM, question, None, "", _axis(net, "xy"[k]))


def _axis(net: Net, axis: str) -> str:
    """The part of the net that a measurement along an axis belongs to: all of it where a wall is splayed."""
    return axis if any(e.axis == axis for e in net.equations) else "xy"
