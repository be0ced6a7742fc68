"""How well lengths agree with one another, when each may be wrong: the evidence of one axis of a plan.

The lengths are differences of levels. Each is Gaussian about the truth with the tape's noise, or, by a slip, about
nothing, and left out. The levels have a broad prior about where they are drawn. The evidence is the density of the
lengths with the levels integrated out: with y = A x + e, it is N(y; A m, A S A' + R), told beside that of lengths which
agree with nothing but the drawing, so that it is about 0 for a single one. Sound, single and double slips are summed;
three at once are not looked for.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from intake.domain.sketch.written_slips import Meant

_LEVEL_SHARE = 0.3
"""Spread of a level about where it is drawn, in extents of its axis: plans are not drawn to scale."""

_LEAST_EXTENT_MM = 500.0
"""An axis is taken for no shorter than this, or its levels could not move (set by hand)."""

_Array = NDArray[np.float64]


class LevelLength(NamedTuple):
    """A length between two levels. `sound` and `broken` are the log chances, by itself, of all that it is made of being
    as written, and of something being a slip of no known kind or lacking; `meant` what it may have been meant to be, by
    slips of the kinds that are known."""

    low: int
    high: int
    value: float
    sigma: float
    sound: float
    broken: float
    meant: Meant | None = None


class Agreement(NamedTuple):
    """`log` is the log evidence; `broken` the chance of each length to have slipped; `checked` how much the others
    check it, 0 to 1 (its redundancy number)."""

    log: float
    broken: tuple[float, ...]
    checked: tuple[float, ...]


def agreement(lengths: Sequence[LevelLength], drawn: dict[int, float]) -> Agreement:
    """The evidence of the lengths of one axis; `drawn` is where each level would be by the drawing, mm."""
    if not lengths:
        return Agreement(0.0, (), ())
    levels = sorted({level for length in lengths for level in (length.low, length.high)})
    place = {level: n for n, level in enumerate(levels)}
    design = np.zeros((len(lengths), len(levels)))
    rows = np.arange(len(lengths))
    design[rows, [place[m.high] for m in lengths]] = 1.0
    design[rows, [place[m.low] for m in lengths]] = -1.0
    means = np.array([drawn[level] for level in levels])
    extent = max(float(np.ptp(list(drawn.values()))), _LEAST_EXTENT_MM)
    off = np.array([m.value for m in lengths]) - design @ means
    noise = np.array([m.sigma for m in lengths]) ** 2
    covariance = design @ design.T * (_LEVEL_SHARE * extent) ** 2
    covariance[rows, rows] += noise
    sound = sum(m.sound for m in lengths)
    precision = np.asarray(np.linalg.inv(covariance), np.float64)
    alone = math.log(math.sqrt(2.0 * math.pi) * _LEVEL_SHARE * extent * math.sqrt(2.0))
    odds = np.array([m.broken - m.sound for m in lengths]) - alone
    pull, diagonal = precision @ off, precision.diagonal()
    known = _known_gain(lengths, pull, diagonal)
    log, broken = _summed(off, pull, covariance, precision, sound, odds, known)
    return Agreement(log + len(lengths) * alone, broken, tuple((precision.diagonal() * noise).tolist()))


def _summed(
    off: _Array,
    pull: _Array,
    covariance: _Array,
    precision: _Array,
    log: float,
    odds: _Array,
    known: _Array,
) -> tuple[float, tuple[float, ...]]:
    """Sound (`log` beforehand), single slips of no kind (`odds`, logarithms) and of known kinds (`known`, what the
    evidence gains by them), and double ones together."""
    size = -2.0 * float(np.log(np.linalg.cholesky(covariance).diagonal()).sum())
    sound = -0.5 * (float(off @ pull) - size + len(off) * math.log(2 * math.pi))
    base = sound + log
    one = np.logaddexp(_one_gain(pull, precision.diagonal()) + odds, known)
    two = _two_gain(pull, precision) + odds[:, None] + odds[None, :]
    two[_lower(len(off))] = -np.inf
    gains = np.concatenate([[0.0], one, two.ravel()])
    top = float(gains.max())
    weights = np.exp(gains - top)
    total = float(weights.sum())
    pairs = weights[1 + len(off) :].reshape(len(off), len(off))
    broken = (weights[1 : 1 + len(off)] + pairs.sum(axis=0) + pairs.sum(axis=1)) / total
    return base + top + math.log(total), tuple(broken.tolist())


def _known_gain(lengths: Sequence[LevelLength], pull: _Array, diagonal: _Array) -> _Array:
    """What the log evidence gains where one length is what a slip of a known kind makes of the length meant: given the
    others it lies about pull / P_ii with variance 1 / P_ii."""
    gain = np.full(len(lengths), -np.inf)
    thought_of = [
        (n, m)
        for n in np.flatnonzero(pull * pull > _AT_ODDS * diagonal).tolist()
        if (m := lengths[n].meant) is not None
    ]
    if not thought_of:
        return gain
    adds, logs, loose = np.concatenate([m for _, m in thought_of], axis=1)
    which = np.repeat([n for n, _ in thought_of], [m.shape[1] for _, m in thought_of])
    off, own = pull / diagonal, 1.0 / diagonal
    left, variance = off[which] + adds, own[which] + loose
    near = np.flatnonzero(left * left < _REACHED * variance)
    left, variance, which = left[near], variance[near], which[near]
    np.logaddexp.at(gain, which, logs[near] - 0.5 * (left * left / variance + np.log(variance)))
    sound = np.array([m.sound for m in lengths])
    return np.asarray(gain + 0.5 * (pull * off - np.log(diagonal)) - sound)


_AT_ODDS, _REACHED = 6.0, 25.0
"""Slips are thought of where a length is off by more than the first, and what was meant by less than the second
(squares, in variances)."""


@lru_cache(maxsize=64)
def _lower(count: int) -> NDArray[np.bool_]:
    """Where the lower triangle and the diagonal of a square lie."""
    return np.tri(count, dtype=bool)


def _one_gain(pull: _Array, diagonal: _Array) -> _Array:
    """What the log evidence gains where one length is left out: minus its density given the others, whose variance is
    1 / P_ii and whose deviation is pull_i / P_ii."""
    gain: _Array = 0.5 * (pull**2 / diagonal - np.log(diagonal / (2.0 * math.pi)))
    return gain


def _two_gain(pull: _Array, precision: _Array) -> _Array:
    """The same for two at once, the 2 x 2 block written out."""
    diagonal = precision.diagonal()
    a, b = diagonal[:, None], diagonal[None, :]
    determinant = np.maximum(a * b - precision**2, 1e-300)
    square = b * pull[:, None] ** 2 - 2.0 * precision * pull[:, None] * pull[None, :] + a * pull[None, :] ** 2
    gain: _Array = 0.5 * (square / determinant - np.log(determinant)) + math.log(2.0 * math.pi)
    return gain
