"""What a room's sums say: how likely it is that nothing is wrong, and what else may be, as one posterior.

One closure detects but cannot locate: all sections of a chain have the same standardised residual, so only the digits
can say which one it is. With c what a change touches and d its size, the weighted sum of squares without it is
Omega(d) = Omega - 2 d b + d^2 h, where b = -c'Pv and h = c'P Qvv P c (from the theory of domain/room/adjusting). A
change weighs prior x exp(-Omega(d) / 2), one of unknown size the integral over the sizes it may have, by Laplace's
method; two at once weigh both their priors and what both gain, where g = c1'P Qvv P c2 joins them. Beside them stand
that nothing is wrong (weight 1) and that three lengths or more are, by anything.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from intake.domain.room.adjusting import UNCHECKED, Adjustment, Array
from intake.domain.room.changes import ANYTHING, Suspect, changes_on, of_a_room, place_of, to_half
from intake.domain.room.elsewhere import written_elsewhere
from intake.domain.room.net import Net, NetAxis
from intake.domain.room.slip_chances import UNKNOWN_SLIP
from intake.model.examination import SlipKind
from intake.model.room import RoomSurvey

CLOSES = 0.5
"""A room closes where it is likelier than this that nothing is wrong with it."""
SOUND = 0.9
"""Where so likely nothing is wrong, two changes at once are not looked for (set by hand: they weigh less by far)."""
MOST_PAIRED = 400
"""So many changes of known size are paired at most, those that explain most beside the best size of another."""
WORTH = 12.0
"""A change that no pair comes within this of the best with (log weight) is not looked at."""
SHARE_KEPT, MOST_KEPT = 0.002, 15
"""A change with less of the chance is not listed, nor more of them than the second (set by hand)."""
_SAME = 1e-6
"""Two changes whose biases differ by less, as a share, cannot be told apart by any sum: a guard for rounding."""
_Logs = Array


@dataclass
class JudgedAxis:
    """What may be wrong with the lengths of one axis; `room`, `net` and `adjustment` are what was looked at.

    `none` is the chance that nothing is wrong with what is written, the reader's own alternatives left out: by them the
    customer wrote right. `changes` are likeliest first; their chances add up to 1 with those of `nothing` (nothing at
    all), of `more` (three lengths or more) and of numbers of another wall. `several` is the chance that it takes two
    changes or more, `log` the log weight of all together beside nothing being wrong."""

    axis: NetAxis
    room: RoomSurvey
    net: Net
    adjustment: Adjustment
    changes: list[Suspect] = field(default_factory=list)
    none: float = 1.0
    nothing: float = 1.0
    more: float = 0.0
    log: float = 0.0
    several: float = 0.0

    @property
    def explained(self) -> bool:
        """Whether one change by itself is likelier than several."""
        return self.several <= 0.5 * (1.0 - self.nothing)

    @property
    def unusual(self) -> float:
        """The chance that no kind of the catalogue is to blame."""
        return self.more + sum(c.probability for c in self.changes if c.kind is SlipKind.OTHER)

    def scale(self, rest: float) -> None:
        """Leave a share of all chances to what is said elsewhere."""
        scaled = (replace(c, probability=c.probability * rest) for c in self.changes)
        self.changes = [c for c in scaled if c.probability >= SHARE_KEPT]
        for name in ("none", "nothing", "more", "several"):
            setattr(self, name, getattr(self, name) * rest)

    def leading_reading(self) -> tuple[str, float]:
        """The reading most suspected, whatever it would have been, and how much; ("", 0) where it is none."""
        shares: dict[str, float] = {}
        for c in self.changes:
            shares[c.reading] = shares.get(c.reading, 0.0) + c.probability
        return max(((r, p) for r, p in shares.items() if r), key=lambda item: item[1], default=("", 0.0))


@dataclass
class JudgedRoom:
    """What may be wrong with a room: `parts` axis by axis, `elsewhere` numbers that may be of another wall, with their
    chances. `none` is the chance that nothing is wrong with what is written."""

    parts: list[JudgedAxis]
    none: float
    elsewhere: list[Suspect] = field(default_factory=list)

    @property
    def closes(self) -> bool | None:
        """Whether nothing is likelier to be wrong than something; None where nothing checks anything."""
        return self.none > CLOSES if self.parts else None

    @property
    def in_trouble(self) -> list[JudgedAxis]:
        """The parts that do not close, of a room that does not."""
        if self.closes is not False:
            return []
        worst = min(p.none for p in self.parts)
        return [p for p in self.parts if p.none <= max(CLOSES, worst)]

    def suspects(self) -> list[Suspect]:
        """All that is suspected, likeliest first; over the whole room the chances add up to 1 at most. Of two alike
        likely that of a known kind is first: it says what was meant."""
        if self.closes is not False:
            return []
        found = [*self.elsewhere, *(c for part in self.in_trouble for c in part.changes)]
        whole = max(1.0, sum(c.probability for c in found))
        shared = [replace(c, probability=c.probability / whole) for c in found]
        return sorted(shared, key=lambda c: (-round(c.probability, 3), c.kind is SlipKind.OTHER))


def judged(room: RoomSurvey, net: Net, adjustment: Adjustment) -> JudgedRoom:
    """What may be wrong with a room whose net and adjustment these are."""
    parts = [part for axis in NetAxis if (part := judged_axis(room, net, adjustment, axis))]
    none = math.prod(p.none for p in parts)
    if none > SOUND:
        return JudgedRoom(parts, none)
    elsewhere = written_elsewhere(room, net, adjustment)
    all_else = sum(p.log for p in parts)
    total = float(np.logaddexp.reduce([all_else, *(log for _, log in elsewhere)]))
    rest = math.exp(all_else - total)
    for part in parts:
        part.scale(rest)
    found = _ranked([replace(c, probability=math.exp(log - total)) for c, log in elsewhere])
    return JudgedRoom(parts, none * rest, found)


def judged_axis(room: RoomSurvey, net: Net, adjustment: Adjustment, axis: NetAxis) -> JudgedAxis | None:
    """What may be wrong on one axis of a net; None where nothing there is checked."""
    rows = [n for n, e in enumerate(net.equations) if e.reading and e.axis is axis]
    checked = [n for n in rows if adjustment.redundancy[n] > UNCHECKED]
    if not checked:
        return None
    part = JudgedAxis(axis, room, net, adjustment)
    table = Suspects(changes_on(room, net, adjustment, axis), net, adjustment)
    singles = table.singles()
    ours = np.array([c.ours for c in table.changes])
    part.none = float(np.exp(-np.logaddexp.reduce(singles[~ours], initial=0.0)))
    if part.none > SOUND:
        part.log = -math.log(part.none)
        return part
    freedom = float(np.sum(adjustment.redundancy[checked]))
    omega = float(np.sum(adjustment.weights[rows] * adjustment.residuals[rows] ** 2))
    more = _three(omega, freedom, table.h[[c.kind is SlipKind.OTHER for c in table.changes]])
    _weigh(part, table, singles, more)
    return part


def _three(omega: float, freedom: float, h: Array) -> float:
    """The log weight of three lengths or more being wrong by anything, which leaves nothing unexplained."""
    if round(freedom) < 3:
        return -math.inf
    width = ANYTHING + 0.5 * math.log(2.0 * math.pi / float(np.median(h)))
    return 3.0 * (math.log(UNKNOWN_SLIP) + width) + omega / 2.0


def _weigh(part: JudgedAxis, table: Suspects, singles: _Logs, more: float) -> None:
    """The shares of nothing, of each change by itself, of each two, and of more."""
    kept = table.worth()
    few = table.of(kept)
    pairs = few.pairs()
    top = max(0.0, more, float(singles.max()), float(pairs.max(initial=-math.inf)))
    one, two = np.exp(singles - top), np.exp(pairs - top)
    total = math.exp(-top) + math.exp(more - top) + float(one.sum()) + float(two.sum()) / 2.0
    ours = np.array([c.ours for c in table.changes])
    theirs = ~ours[kept]
    wrong = math.exp(more - top) + float(one[~ours].sum()) + float(two[np.ix_(theirs, theirs)].sum()) / 2.0
    part.none = math.exp(-top) / (math.exp(-top) + wrong)
    part.nothing, part.more, part.log = (
        math.exp(-top) / total,
        math.exp(more - top) / total,
        math.log(total) + top,
    )
    part.several = part.more + float(two.sum()) / 2.0 / total
    shares = one.copy()
    shares[kept] += two.sum(axis=1) / 2.0
    sizes = table.sizes(table.b, table.h)
    if two.size:
        partners, beside = two.argmax(axis=1), two.max(axis=1)
        lone = beside <= one[kept]
        sizes[kept] = np.where(lone, sizes[kept], few.sizes_beside(partners))
    part.changes = _ranked(
        [
            replace(_sized(part.room, c, float(size)), probability=float(share / total))
            for c, size, share in zip(table.changes, sizes, shares, strict=True)
            if share / total > SHARE_KEPT / MOST_KEPT
        ]
    )


def _sized(room: RoomSurvey, change: Suspect, size: float) -> Suspect:
    """A change of unknown size with the one that fits best."""
    if change.sizes is None:
        return change
    if not change.reading:
        return replace(change, size=size, would_be_mm=to_half(size))
    value = place_of(room, change.reading)[0].value_mm or 0
    return replace(change, size=size, would_be_mm=to_half(value - float(change.bias.sum()) * size))


def _ranked(changes: Sequence[Suspect]) -> list[Suspect]:
    """Likeliest first, those that come to the same made one: the likeliest names the kind."""
    groups: dict[object, list[Suspect]] = {}
    for change in changes:
        if of_a_room(change.would_be_mm):
            groups.setdefault(change.what, []).append(change)
    merged = [
        replace(max(same, key=lambda c: c.probability), probability=sum(c.probability for c in same))
        for same in groups.values()
    ]
    kept = [c for c in merged if c.probability >= SHARE_KEPT]
    return sorted(kept, key=lambda c: -c.probability)[:MOST_KEPT]


class Suspects:
    """Changes as arrays, and what they weigh by themselves and two at once (logs)."""

    def __init__(self, changes: Sequence[Suspect], net: Net, adjustment: Adjustment) -> None:
        self.changes, self._net, self._adjustment = changes, net, adjustment
        weights = adjustment.weights
        information = weights[:, None] * adjustment.residual_cofactor * weights[None, :]
        bias = np.array([c.bias for c in changes])
        spread = bias @ information
        self.b: Array = bias @ (-weights * adjustment.residuals)
        self.h: Array = np.maximum((spread * bias).sum(axis=1), 1e-12)
        self._joins: tuple[Array, Array] = spread, bias
        self.prior = np.array([c.prior for c in changes])
        self.free = np.array([c.sizes is not None for c in changes])
        self.size = np.array([c.size for c in changes])
        self.loose = np.array([c.spread**2 for c in changes])
        laws = [c.sizes for c in changes]
        self.low = np.array([s.low if s else 0.0 for s in laws])
        self.high = np.array([s.high if s else 1.0 for s in laws])
        self.level = np.array([s.level if s else 0.0 for s in laws])
        self.power = np.array([-1.0 if s and s.shrinks else 0.0 for s in laws])
        self.curve = np.array([s.curve if s else 0.0 for s in laws])

    def of(self, kept: Sequence[int]) -> Suspects:
        return Suspects([self.changes[i] for i in kept], self._net, self._adjustment)

    def sizes(self, b: Array, h: Array) -> Array:
        """The best size of each, by its last axis."""
        best = np.clip(b / (h + self.curve), self.low, self.high)
        return np.asarray(np.where(self.free, best, self.size))

    def gains(self, b: Array, h: Array) -> _Logs:
        """What each gains, by its last axis: over all sizes that it may have."""
        d = self.sizes(b, h)
        spread = 1.0 + self.loose * h
        known = (b * d - d * d * h / 2.0 + self.loose * b * b / 2.0) / spread - 0.5 * np.log(spread)
        return np.asarray(np.where(self.free, self._at(d, b, h) + self._width(h), known))

    def _at(self, d: Array, b: Array, h: Array) -> _Logs:
        """The log density of a size times what it gains."""
        gain = b * d - (h + self.curve) * d * d / 2.0
        return np.asarray(gain + self.level + self.power * np.log(np.maximum(np.abs(d), 1.0)))

    def _width(self, h: Array) -> _Logs:
        """How wide the sums leave a size (log)."""
        most: _Logs = np.log(self.high - self.low)
        return np.asarray(np.minimum(0.5 * np.log(2.0 * math.pi / (h + self.curve)), most))

    def singles(self) -> _Logs:
        return np.asarray(self.prior + self.gains(self.b, self.h))

    def worth(self) -> list[int]:
        """The changes of unknown size, and those of known size that do best beside any size of another."""
        g = self._g(slice(None), self.free)
        gain = self.size * self.b - self.size**2 * self.h / 2.0 + self.prior
        left = self.b[self.free][None, :] - self.size[:, None] * g
        best = np.where(self.free, -np.inf, gain + (left**2 / (2.0 * self.h[self.free])).max(axis=1))
        known = [
            int(i) for i in np.argsort(-best, kind="stable")[:MOST_PAIRED] if best[i] > best.max() - WORTH
        ]
        return [*np.flatnonzero(self.free).tolist(), *known]

    def _g(self, rows: slice | Array, columns: slice | Array) -> Array:
        spread, bias = self._joins
        return np.asarray(spread[rows] @ bias[columns].T)

    def pairs(self) -> _Logs:
        """The log weight of each two; none of one reading changed twice, nor of two that the sums cannot part."""
        g = self._g(slice(None), slice(None))
        d, own = self._firsts(g)
        beside = self.gains(self.b[None, :] - d * g, self.h[None, :])
        weights = self.prior[:, None] + self.prior[None, :] + own + beside
        weights = np.where(~self.free[:, None] | self.free[None, :], weights, weights.T)
        apart = np.outer(self.h, self.h) - g**2 > _SAME * np.outer(self.h, self.h)
        apart |= ~(self.free[:, None] & self.free[None, :])
        readings = np.array([c.reading or f"{c.wall}" for c in self.changes])
        return np.asarray(np.where(apart & (readings[:, None] != readings[None, :]), weights, -np.inf))

    def _firsts(self, g: Array) -> tuple[Array, _Logs]:
        """Of each two the size of the first, and what it gains by itself: one of unknown size is taken where both
        together gain most."""
        left = np.maximum(self.h[:, None] - g**2 / self.h[None, :], 1e-12)
        pull = self.b[:, None] - g * (self.b / self.h)[None, :]
        wide = self._column(self.curve) + left
        d = np.clip(pull / wide, self._column(self.low), self._column(self.high))
        d = np.where(self._column(self.free), d, self._column(self.size))
        gain = self._column(self.b) * d - self._column(self.h + self.curve) * d * d / 2.0
        density = self._column(self.level) + self._column(self.power) * np.log(np.maximum(np.abs(d), 1.0))
        width = np.minimum(0.5 * np.log(2.0 * math.pi / wide), self._column(np.log(self.high - self.low)))
        return d, np.asarray(np.where(self._column(self.free), gain + density + width, gain))

    @staticmethod
    def _column(values: Array) -> Array:
        return values[:, None]

    def sizes_beside(self, partners: Array) -> Array:
        """The best size of each beside its partner."""
        g = self._g(slice(None), slice(None))
        own = np.arange(len(partners))
        return np.asarray(self._firsts(g)[0][own, partners])
