"""Which measurement to ask for next, found by computing what each possible one would tell.

Where the room does not close: each suspect predicts what a measurement would give, as a normal distribution about a
value of its own. The chance of then naming the right one is the integral, over what may be measured, of the largest
share: of the suspects, and of there being no slip at all. Where the room closes: each added measurement raises the
redundancy of those it checks (a rank-one update of the cofactor matrix), and the weakest readings count.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from intake.domain.room.adjusting import Adjustment, Array
from intake.domain.room.changes import Suspect
from intake.domain.room.net import (
    ALONG_X,
    FIXED,
    SIGN,
    Net,
    NetAxis,
    corner_positions,
    ends_of,
    has_diagonal,
    length_gradient,
    usable,
)
from intake.domain.room.phrases import reading_phrase, wall_phrase
from intake.domain.room.posterior import JudgedAxis
from intake.model.checklist import RoomKind
from intake.model.examination import NextMeasure, RoomFit
from intake.model.phrase import Phrase, phrase
from intake.model.reading import PEOPLE, Direction
from intake.model.room import OVERALL_SIGMA_MM, RoomSurvey

WEAK_REDUNDANCY = 0.1
REACH, POINTS = 6.0, 193
"""How many deviations about each prediction are summed over, and at how many places."""
LEAST_GAIN = 0.02
"""A measurement that raises the chance to name the slip by less is not worth a customer's while (judgement)."""
MOST_ASKED = 3
"""So many are proposed at most (judgement)."""
LEAST_SEEN_MM = 300.0
"""Two walls face one another where so much of each sees the other: a tape's room (judgement)."""


@dataclass(frozen=True)
class Possible:
    """A measurement that could be made: `gradient` over the unknowns, what it is, and what to ask."""

    gradient: Array
    sigma: float
    what: Phrase
    question: Phrase
    wall: int | None = None
    reading: str = ""
    axis: NetAxis = NetAxis.BOTH

    def wanted(self, reason: Phrase, gain: float) -> NextMeasure:
        return NextMeasure(self.what, self.question, reason, gain, self.wall, self.reading)


def next_to_pin(parts: list[JudgedAxis]) -> tuple[NextMeasure, ...]:
    """The measurements that most raise the chance of pinning the slip, best first."""
    asked = []
    for part in parts:
        suspected = frozenset(c.reading for c in part.changes if c.reading)
        shares = [c.probability for c in part.changes]
        best_now = max([*shares, 1.0 - sum(shares)])
        for possible in _possible(part.room, part.net, part.adjustment, suspected):
            gain = _pinned(possible, part) - best_now
            if part.axis in (NetAxis.BOTH, possible.axis) and gain > LEAST_GAIN:
                chances = {"now": round(100 * best_now), "then": round(100 * (best_now + gain))}
                reason = phrase("raises-the-chance", **chances)
                asked.append(possible.wanted(reason, gain))
    return tuple(sorted(asked, key=lambda n: -n.gain)[:MOST_ASKED])


def _pinned(possible: Possible, part: JudgedAxis) -> float:
    """Chance of naming the slip once this has been measured."""
    adjustment, changes = part.adjustment, part.changes
    gain = adjustment.cofactor @ possible.gradient
    spread = math.sqrt(possible.sigma**2 + float(possible.gradient @ gain))
    effect = adjustment.weights * (adjustment.design @ gain)
    slopes = [_slope(possible, c, effect, part.net) for c in changes]
    means = [slope * c.size for slope, c in zip(slopes, changes, strict=True)]
    spreads = [
        math.hypot(spread, slope * _unsure(c, adjustment)) for slope, c in zip(slopes, changes, strict=True)
    ]
    shares = [c.probability for c in changes]
    none = max(1.0 - sum(shares), 0.0)
    return largest_share([*means, 0.0], [*spreads, spread], [*shares, none])


def _slope(possible: Possible, change: Suspect, effect: Array, net: Net) -> float:
    """By how much the measurement moves off what the adjustment has now, a millimetre of the change. One of
    a whole wall stands on its first section for want of a place: that section measured again gives what it gave."""
    own = 0.0
    if not change.reading and possible.reading:
        rows = np.nonzero(change.bias)[0]
        own = sum(float(change.bias[n]) for n in rows if net.equations[n].reading == possible.reading)
    return own - float(effect @ change.bias)


def _unsure(change: Suspect, adjustment: Adjustment) -> float:
    """How well the size of a change is known, mm: 1 / sqrt h where it may be of any size, else exactly."""
    if change.sizes is None:
        return 0.0
    pull = adjustment.weights * change.bias
    h = float(pull @ adjustment.residual_cofactor @ pull)
    return 1.0 / math.sqrt(h) if h > 1e-9 else 0.0


def largest_share(means: Sequence[float], spreads: Sequence[float], shares: Sequence[float]) -> float:
    """The integral over y of max_k share_k N(y; mean_k, spread_k^2), by the trapezium rule on a grid as fine as the
    narrowest part wants."""
    parts = [np.linspace(m - REACH * s, m + REACH * s, POINTS) for m, s in zip(means, spreads, strict=True)]
    y = np.unique(np.concatenate(parts))
    top = np.zeros_like(y)
    for mean, spread, share in zip(means, spreads, shares, strict=True):
        density = np.exp(-np.square((y - mean) / spread) / 2.0) / (spread * math.sqrt(2.0 * math.pi))
        top = np.maximum(top, share * density)
    return float(np.trapezoid(top, y))


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
            reason = phrase("would-be-checked", count=count, of=len(weak))
            asked.append(possible.wanted(reason, gain))
    return tuple(sorted(asked, key=lambda n: -n.gain)[:MOST_ASKED])


def _strengthened(possible: Possible, adjustment: Adjustment, weak: list[int]) -> tuple[float, int]:
    """Mean redundancy that the weak readings gain, and how many of them are weak no longer."""
    gain = adjustment.cofactor @ possible.gradient
    variance = possible.sigma**2 + float(possible.gradient @ gain)
    drop = np.square(adjustment.design[weak] @ gain) / variance
    added = adjustment.weights[weak] * drop
    return float(np.mean(added)), int(np.sum(adjustment.redundancy[weak] + added >= WEAK_REDUNDANCY))


def _possible(room: RoomSurvey, net: Net, adjustment: Adjustment, again: frozenset[str]) -> list[Possible]:
    """Overalls not yet given, square across the room where nobody has, and the readings in `again` once more, unless
    they were asked for before and answered."""
    found = [*_overalls(room, net, adjustment), *_across(room, net, adjustment)]
    answered = {m.id for m in room.lengths() if m.taken_from in PEOPLE}
    for row, e in enumerate(net.equations):
        if e.reading in again - answered:
            question = phrase("measure-once-more", what=reading_phrase(room, e.reading))
            what = phrase("once-more", what=e.reading)
            found.append(Possible(adjustment.design[row], e.sigma, what, question, e.wall, e.reading, e.axis))
    return found


def _overalls(room: RoomSurvey, net: Net, adjustment: Adjustment) -> Iterator[Possible]:
    for wall in room.walls:
        if any(usable(o) for o in wall.overalls):
            continue
        only = wall.sections[0].length if len(wall.sections) == 1 else None
        if only is not None and only.taken_from in PEOPLE:
            continue
        axis = _axis(net, NetAxis.X if wall.direction in ALONG_X else NetAxis.Y)
        again = len(wall.sections) == 1
        question = phrase(
            "measure-once-more" if again else "measure-in-one-piece", what=wall_phrase(room, wall)
        )
        what = phrase("wall-once-more" if again else "wall-in-one-piece", wall=wall.letter)
        gradient = length_gradient(net, adjustment, wall.index)
        yield Possible(gradient, OVERALL_SIGMA_MM, what, question, wall.index, "", axis)


_FACING = (
    (NetAxis.X, Direction.NORTH, Direction.SOUTH),
    (NetAxis.Y, Direction.EAST, Direction.WEST),
)


def _across(room: RoomSurvey, net: Net, adjustment: Adjustment) -> Iterator[Possible]:
    """Square across between facing walls that see each other over a fair width."""
    places = corner_positions(net, adjustment)
    for k, (axis, low, high) in enumerate(_FACING):
        for near in (w for w in room.walls if w.direction is low):
            for far in (w for w in room.walls if w.direction is high):
                ends = [sorted(places[c][1 - k] for c in ends_of(room, w.index)) for w in (near, far)]
                seen = min(ends[0][1], ends[1][1]) - max(ends[0][0], ends[1][0])
                if {near.index, far.index} in [
                    set(a.walls) for a in room.across if a.walls and usable(a.length)
                ]:
                    continue
                if seen < LEAST_SEEN_MM or places[far.index][k] <= places[near.index][k]:
                    continue
                what = phrase("straight-across", near=near.letter, far=far.letter)
                walls = {"near": wall_phrase(room, near), "far": wall_phrase(room, far)}
                gradient = np.zeros(net.size)
                for wall, sign in ((far, 0.5), (near, -0.5)):
                    for level in (net.corners[c][k] for c in ends_of(room, wall.index)):
                        if level != FIXED:
                            gradient[level] += sign
                question = phrase("measure-across", **walls)
                yield Possible(gradient, OVERALL_SIGMA_MM, what, question, axis=_axis(net, axis))


def _axis(net: Net, axis: NetAxis) -> NetAxis:
    """The part of the net that a measurement along an axis belongs to: all of it where a wall is splayed."""
    return axis if any(e.axis is axis for e in net.equations) else NetAxis.BOTH


def next_to_square(room: RoomSurvey, fit: RoomFit) -> tuple[NextMeasure, ...]:
    """The diagonal across a corner that units run into from both sides, where none was measured: there the design
    depends on the right angle. Only in kitchens, rooms of no told kind, and where units were given for both walls."""
    if has_diagonal(room) or not room.closed or len(room.walls) < 3:
        return ()
    for wall in room.walls:
        before = room.walls[wall.index - 1]
        if (
            before.direction in SIGN
            and wall.direction in SIGN
            and _run_into(room, fit, before.index, wall.index)
        ):
            question = phrase(
                "measure-corner", before=wall_phrase(room, before), wall=wall_phrase(room, wall)
            )
            walls = {"before": before.letter, "wall": wall.letter}
            what, reason = phrase("corner-diagonal", **walls), phrase("corner-untold", **walls)
            return (NextMeasure(what, question, reason, 0.0),)
    return ()


CORNER_RUN_MM = 900
"""A shorter run into a corner holds no corner unit (common practice, no source)."""


def _run_into(room: RoomSurvey, fit: RoomFit, before: int, after: int) -> bool:
    """Whether units may stand along both walls of a corner, right into it."""
    asked = {wall for wall, _ in room.units}
    kitchen = room.kind in (RoomKind.KITCHEN, RoomKind.UNKNOWN)
    if not ({before, after} <= asked if asked else kitchen):
        return False
    long = [r for r in fit.runs if r.length_mm >= CORNER_RUN_MM]
    into = any(r.wall == before and r.between[1] == f"wall {room.walls[after].letter}" for r in long)
    return into and any(r.wall == after and r.between[0] == f"wall {room.walls[before].letter}" for r in long)
