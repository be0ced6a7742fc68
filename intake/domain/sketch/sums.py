"""How well lengths agree with one another, when each may be wrong: the evidence of one axis of a plan.

The lengths are differences of levels. Each is Gaussian about the truth with the tape's noise, or, by a slip, about
nothing, and left out. The levels have a broad prior about where they are drawn. The evidence is the density of the
lengths with the levels integrated out: with y = A x + e, it is N(y; A m, A S A' + R), told beside that of lengths which
agree with nothing but the drawing, so that it is about 0 for a single one. Sound, single and double slips are summed;
three at once are not looked for. Many sets of lengths are weighed at once, as arrays whose first axis is the set's.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from intake.domain.sketch.written_slips import NOTHING_MEANT, Meant

LEVEL_SHARE = 0.3
"""Spread of a level about where it is drawn, in extents of its axis: plans are not drawn to scale."""

_LEAST_EXTENT_MM = 500.0
"""An axis is taken for no shorter than this, or its levels could not move (set by hand)."""

_Array = NDArray[np.float64]


class LevelLength(NamedTuple):
    """A length between two levels. `sound` and `broken` are the log chances, by itself, of all that it is made of being
    as written, and of something being a slip of no known kind or lacking; `meant` what it may have been meant to be, by
    slips of the kinds that are known; it is asked only of lengths that others speak against."""

    low: int
    high: int
    value: float
    sigma: float
    sound: float
    broken: float
    meant: Callable[[], Meant] | None = None


class Agreement(NamedTuple):
    """`log` is the log evidence; `broken` the chance of each length to have slipped; `checked` how much the others
    check it, 0 to 1 (its redundancy number)."""

    log: float
    broken: tuple[float, ...]
    checked: tuple[float, ...]


class Axis:
    """The lengths that there may be between the levels of one axis, and what sets of them weigh; `drawn` is where each
    level would be by the drawing, mm. A length is told by a bit of its own, a set by the sum of its bits."""

    def __init__(self, drawn: dict[int, float]) -> None:
        self.lengths: list[LevelLength | None] = [None]
        self.known: dict[int, float] = {0: 0.0}
        self._drawn = drawn
        self._place = {level: n for n, level in enumerate(drawn)}
        extent = max(float(np.ptp(list(drawn.values()))), _LEAST_EXTENT_MM)
        self._variance = (LEVEL_SHARE * extent) ** 2
        self._alone = 0.5 * math.log(4.0 * math.pi * self._variance)
        self._rows = np.array([_NO_LENGTH] * _ROOM)
        self._design = np.zeros((_ROOM, len(drawn)))
        self._meant: dict[int, tuple[Meant, float]] = {}

    def add(self, length: LevelLength) -> int:
        """The bit of a length that has none yet."""
        at = len(self.lengths)
        self.lengths.append(length)
        if at == len(self._rows):
            self._rows = np.concatenate([self._rows, [_NO_LENGTH] * at])
            self._design = np.concatenate([self._design, np.zeros_like(self._design)])
        off = length.value - (self._drawn[length.high] - self._drawn[length.low])
        odds = length.broken - length.sound - self._alone
        self._rows[at] = (off, length.sigma**2, length.sound, odds)
        self._design[at, self._place[length.high]] += 1.0
        self._design[at, self._place[length.low]] -= 1.0
        return 1 << at

    def weigh(self, sets: Iterable[int]) -> None:
        """Make the log evidence of each set known."""
        if new := [s for s in dict.fromkeys(sets) if s not in self.known]:
            self.known |= zip(new, self._weighed(new).log.tolist(), strict=True)

    def agreement(self, lengths: int) -> Agreement:
        """How a set agrees, its lengths in the order in which they were added."""
        if not lengths:
            return Agreement(0.0, (), ())
        found = self._weighed([lengths])
        checked = found.precision[0].diagonal() * self._rows[list(members(lengths)), _NOISE]
        return Agreement(float(found.log[0]), tuple(found.broken()[0].tolist()), tuple(checked.tolist()))

    def _weighed(self, sets: Sequence[int]) -> _Weighed:
        each = list(_each_members(sets))
        count = max(map(len, each))
        which = np.array([s + [0] * (count - len(s)) for s in each])
        off, noise, sound, odds = np.moveaxis(self._rows[which], 2, 0)
        design = self._design[which]
        covariance = design @ design.transpose(0, 2, 1) * self._variance
        at = np.arange(count)
        covariance[:, at, at] += noise
        precision = np.linalg.inv(covariance)
        pull = (precision @ off[:, :, None])[:, :, 0]
        size = -2.0 * np.log(np.linalg.cholesky(covariance)[:, at, at]).sum(axis=1)
        lengths = np.array([len(s) for s in each])
        fit = (off * pull).sum(axis=1) - size + lengths * math.log(2.0 * math.pi)
        base = sound.sum(axis=1) - 0.5 * fit + lengths * self._alone
        own = precision[:, at, at]
        one, two = _one_gain(pull, own) + odds, _two_gain(pull, precision, odds)
        top = np.maximum(np.maximum(one.max(axis=1), two.max(axis=1, initial=-np.inf)), 0.0)
        one = np.logaddexp(one, self._known_gain(which, pull, own, sound, top))
        return _summed(base, one, two, precision)

    def _may_mean(self, at: int) -> tuple[Meant, float]:
        """What a length may have been meant to be, and the log chance of the likeliest of it."""
        if at not in self._meant:
            length = self.lengths[at]
            meant = length.meant() if length and length.meant else NOTHING_MEANT
            self._meant[at] = meant, float(meant[1].max(initial=-np.inf))
        return self._meant[at]

    def _known_gain(
        self, which: NDArray[np.int64], pull: _Array, diagonal: _Array, sound: _Array, top: _Array
    ) -> _Array:
        """What the log evidence gains where one length is what a slip of a known kind makes of the length meant: given
        the others it lies about pull / P_ii with variance 1 / P_ii. `top` is what may be gained otherwise; what cannot
        come near that is passed over."""
        gain = np.full(pull.shape, -np.inf)
        most = 0.5 * pull * pull / diagonal
        sets, places = np.nonzero(most > _AT_ODDS)
        least = sound[sets, places] + top[sets] - _HOPELESS - most[sets, places]
        may = [self._may_mean(i) for i in which[sets, places].tolist()]
        kept = [n for n, (m, needed) in enumerate(zip(may, least.tolist(), strict=True)) if m[1] > needed]
        if not kept:
            return gain
        at = sets[kept], places[kept]
        adds, logs, loose = np.concatenate([may[n][0] for n in kept], axis=1)
        of = np.repeat(np.arange(len(kept)), [may[n][0].shape[1] for n in kept])
        off, own = (pull[at] / diagonal[at])[of], (1.0 / diagonal[at])[of]
        left, variance = off + adds, own + loose
        near = np.flatnonzero(left * left < _REACHED * variance)
        left, variance = left[near], variance[near]
        density = np.exp(logs[near] - 0.5 * left * left / variance) / np.sqrt(variance)
        found = np.bincount(of[near], density, len(kept))
        with np.errstate(divide="ignore"):
            gain[at] = np.log(found) + most[at] - 0.5 * np.log(diagonal[at]) - sound[at]
        return gain


_NOISE = 1
_NO_LENGTH = (0.0, 1.0, 0.0, -np.inf)
"""A row of the table that weighs nothing, for sets of fewer lengths than others: off, variance, sound, odds to have
slipped."""
_ROOM = 64
"""So many rows a table has at first; it is doubled as often as it is full."""
_AT_ODDS, _REACHED, _HOPELESS = 3.0, 25.0, 12.0
"""Slips are thought of where they may gain more than the first and not less by the last than the most that is gained
otherwise (logs), and where what was meant is off by less than the second (a square, in variances)."""


class _Weighed(NamedTuple):
    """Sets weighed. `one` and `two` are the log gains of each single slip and of each pair, as shares of the total."""

    log: _Array
    one: _Array
    two: _Array
    precision: _Array

    def broken(self) -> _Array:
        """The chance of each length to have slipped, alone or with another."""
        count = self.one.shape[1]
        takes_part = np.zeros((self.two.shape[1], count))
        for at in _pairs(count):
            takes_part[np.arange(len(at)), at] = 1.0
        return np.asarray(self.one + self.two @ takes_part)


def _summed(base: _Array, one: _Array, two: _Array, precision: _Array) -> _Weighed:
    """No slip, single and double ones together."""
    gains = np.concatenate([np.zeros((len(base), 1)), one, two], axis=1)
    top = gains.max(axis=1, keepdims=True)
    weights = np.exp(gains - top)
    total = weights.sum(axis=1, keepdims=True)
    shares, count = weights / total, one.shape[1]
    return _Weighed(
        base + (top + np.log(total))[:, 0], shares[:, 1 : 1 + count], shares[:, 1 + count :], precision
    )


def members(lengths: int) -> Iterator[int]:
    """The places of the bits that make a set."""
    while lengths:
        bit = lengths & -lengths
        yield bit.bit_length() - 1
        lengths ^= bit


def _each_members(sets: Iterable[int]) -> Iterator[list[int]]:
    """The members of each set in their order; sets that follow one another differ by little."""
    held, before = set[int](), 0
    for lengths in sets:
        held.symmetric_difference_update(members(lengths ^ before))
        before = lengths
        yield sorted(held)


def agreement(lengths: Sequence[LevelLength], drawn: dict[int, float]) -> Agreement:
    """The evidence of the lengths of one axis; `drawn` is where each level would be by the drawing, mm."""
    axis = Axis(drawn)
    return axis.agreement(sum(axis.add(length) for length in lengths))


@lru_cache(maxsize=64)
def _pairs(count: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The places of each two of so many."""
    first, second = np.triu_indices(count, 1)
    return first, second


def _one_gain(pull: _Array, diagonal: _Array) -> _Array:
    """What the log evidence gains where one length is left out: minus its density given the others, whose variance is
    1 / P_ii and whose deviation is pull_i / P_ii."""
    gain: _Array = 0.5 * (pull**2 / diagonal - np.log(diagonal / (2.0 * math.pi)))
    return gain


def _two_gain(pull: _Array, precision: _Array, odds: _Array) -> _Array:
    """The same for each two at once, the 2 x 2 block written out, with the odds of both."""
    i, j = _pairs(pull.shape[1])
    a, b, c = precision[:, i, i], precision[:, j, j], precision[:, i, j]
    p, q = pull[:, i], pull[:, j]
    determinant = np.maximum(a * b - c * c, 1e-300)
    square = b * p * p - 2.0 * c * p * q + a * q * q
    gain: _Array = 0.5 * (square / determinant - np.log(determinant)) + math.log(2.0 * math.pi)
    return gain + odds[:, i] + odds[:, j]
