"""Two changes at once: which pairs of slips would make an axis close that no single change explains.

With c, b and h of each change as in domain/room/slips, two changes of sizes d and e gain
d b1 - d^2 h1 / 2 + e b2 - e^2 h2 / 2 - d e g, where g = c1'P Qvv P c2. Changes of unknown size are taken at their best
one given the other, as wide as the sums leave it. A change weighs what all pairs that it is part of weigh together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from intake.domain.room.adjusting import Array
from intake.domain.room.slip_chances import KNOWN_SLIP, UNKNOWN_SLIP
from intake.domain.room.suspects import (
    LEAST_MM,
    MOST_MM,
    UNKNOWN_REACH_MM,
    Suspect,
    of_a_room,
    to_half,
)
from intake.model.examination import SlipKind

MISSING_REACH_MM = 2500.0
"""How long a section may be that is missing."""
WORTH = 12.0
"""A change that no pair comes within this of the best with (log weight) is not looked at."""
MOST = 400
"""So many changes are paired at most, those that explain most by themselves or with the best size of another."""
_SAME = 1e-6


def paired(suspects: Sequence[Suspect], pull: Array, information: Array) -> list[Suspect]:
    """The suspects with their chances to be one of two slips, likeliest first; the chances add up to 2. `suspects` are
    single changes with their single weights, `pull` and `information` those of the net (slips)."""
    if len(suspects) < 2:
        return []
    whole = _Table(suspects, pull, information)
    table = _Table([suspects[i] for i in whole.worth()], pull, information)
    weights = table.weights()
    top = float(weights.max())
    if not math.isfinite(top):
        return []
    shares = np.exp(weights - top)
    chances = 2.0 * shares.sum(axis=1) / shares.sum()
    partners = weights.argmax(axis=1)
    found = [table.with_partner(i, int(partners[i]), float(chances[i])) for i in range(len(partners))]
    fit = [s for s in found if of_a_room(s.would_be_mm)]
    return sorted(fit, key=lambda s: -s.probability)


def best_of_two(biases: Array, pull: Array, information: Array) -> float:
    """What the best two of these biases, each of any size, gain together (log likelihood)."""
    spread = biases @ information
    b, h, g = biases @ pull, np.maximum((spread * biases).sum(axis=1), 1e-12), spread @ biases.T
    return float(np.maximum(_gain_of_two(b, h, g).max(initial=0.0), (b * b / (2.0 * h)).max(initial=0.0)))


def _gain_of_two(b: Array, h: Array, g: Array) -> Array:
    """The same of each two; -inf where the sums cannot part them."""
    determinant = np.outer(h, h) - g**2
    apart = determinant > _SAME * np.outer(h, h)
    square = h[None, :] * b[:, None] ** 2 - 2.0 * g * np.outer(b, b) + h[:, None] * b[None, :] ** 2
    return np.asarray(np.where(apart, square / (2.0 * np.where(apart, determinant, 1.0)), -np.inf))


class _Table:
    """All pairs of changes as arrays."""

    def __init__(self, suspects: Sequence[Suspect], pull: Array, information: Array) -> None:
        self.suspects = suspects
        bias = np.array([s.bias for s in suspects])
        spread = bias @ information
        self.b: Array = bias @ pull
        self.h: Array = np.maximum((spread * bias).sum(axis=1), 1e-12)
        self.g: Array = spread @ bias.T
        self.free = np.array([s.kind is SlipKind.OTHER or not s.reading for s in suspects])
        self.size = np.array([0.0 if f else s.size for s, f in zip(suspects, self.free, strict=True)])
        self.written = np.array([(s.would_be_mm or 0) + s.size if s.reading else 0.0 for s in suspects])
        self.reach = np.array([UNKNOWN_REACH_MM if s.reading else MISSING_REACH_MM for s in suspects])
        self.before: Array = np.where(self.free, self._beforehand(), self._fixed_beforehand())

    def _fixed_beforehand(self) -> Array:
        """The log chance of each change of known size before the sums are looked at. One into coarser writing, whose
        size is known roughly, is taken at its middle."""
        logs = np.array([s.log_weight for s in self.suspects])
        return np.asarray(np.minimum(logs - self.size * self.b + self.size**2 * self.h / 2.0, 0.0))

    def _beforehand(self) -> Array:
        """The same of changes of unknown size, as wide as the sums leave them."""
        width = np.sqrt(2.0 * np.pi / self.h)
        other = np.array([bool(s.reading) for s in self.suspects])
        reach = np.where(other, 2.0, 1.0) * self.reach
        prior = np.where(other, UNKNOWN_SLIP, KNOWN_SLIP)
        return np.asarray(np.log(prior * np.minimum(width / reach, 1.0)))

    def worth(self) -> list[int]:
        """The changes of unknown size, and those of known size that do best beside any size of another."""
        gain = self.size * self.b - self.size**2 * self.h / 2.0 + self.before
        left = self.b[None, :] - self.size[:, None] * self.g
        best = np.where(self.free, -np.inf, gain + (left**2 / (2.0 * self.h[None, :])).max(axis=1))
        known = [int(i) for i in np.argsort(-best, kind="stable")[:MOST] if best[i] > best.max() - WORTH]
        return [*np.flatnonzero(self.free).tolist(), *known]

    def weights(self) -> Array:
        """The log weight of each pair; none of one reading changed twice, nor of two that the sums cannot part."""
        gain = np.where(self.free, 0.0, self.size * self.b - self.size**2 * self.h / 2.0) + self.before
        known = gain[:, None] + gain[None, :] - np.outer(self.size, self.size) * self.g
        left = self.b[None, :] - self.size[:, None] * self.g
        one_free = gain[:, None] + self.before[None, :] + left**2 / (2.0 * self.h[None, :])
        one_free = np.where(self._not_of_a_room(left / self.h[None, :]), -np.inf, one_free)
        both = self.before[:, None] + self.before[None, :] + self._gain_of_free()
        free = self.free
        weights = np.where(free[None, :], one_free, np.where(free[:, None], one_free.T, known))
        weights = np.where(free[:, None] & free[None, :], both, weights)
        readings = np.array([s.reading or f"{s.wall}" for s in self.suspects])
        return np.asarray(np.where(readings[:, None] == readings[None, :], -np.inf, weights))

    def _gain_of_free(self) -> Array:
        """What each two of unknown size gain, -inf where one of them would be missing and have no length."""
        determinant = np.maximum(np.outer(self.h, self.h) - self.g**2, 1e-12)
        sizes = (self.h[:, None] * self.b[None, :] - self.g * self.b[:, None]) / determinant
        wrong = self._not_of_a_room(sizes)
        return np.asarray(np.where(wrong | wrong.T, -np.inf, _gain_of_two(self.b, self.h, self.g)))

    def _not_of_a_room(self, sizes: Array) -> NDArray[np.bool_]:
        """Where the second change, if it is of unknown size, would make a length that no room has, or one that is
        missing would have none."""
        wrong = (self.written[None, :] - sizes < LEAST_MM) | (self.written[None, :] - sizes > MOST_MM)
        return np.asarray(self.free[None, :] & (wrong | (np.abs(sizes) > self.reach[None, :])))

    def with_partner(self, i: int, j: int, chance: float) -> Suspect:
        """A suspect with its chance; one of unknown size with its best size beside its likeliest partner."""
        s = self.suspects[i]
        if not self.free[i]:
            return replace(s, probability=chance)
        if self.free[j]:
            determinant = max(self.h[i] * self.h[j] - self.g[i, j] ** 2, 1e-12)
            size = float((self.h[j] * self.b[i] - self.g[i, j] * self.b[j]) / determinant)
        else:
            size = float((self.b[i] - self.size[j] * self.g[i, j]) / self.h[i])
        return replace(s, size=size, would_be_mm=to_half(float(self.written[i]) - size), probability=chance)
