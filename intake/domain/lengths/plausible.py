"""Which lengths are usual for what: the one table. Everything in it is common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from intake.model.reading import Role


@dataclass(frozen=True)
class Usual:
    """Lengths of one kind: log-normal about `middle_mm` with `spread` (of the logarithm), hardly ever outside of
    `least_mm` to `most_mm`."""

    middle_mm: float
    spread: float
    least_mm: float
    most_mm: float

    def density(self, length_mm: float) -> float:
        """The density of a length, per unit of its logarithm; never 0, as rooms hold surprises."""
        z = math.log(max(length_mm, 1.0) / self.middle_mm) / self.spread
        inside = self.least_mm <= length_mm <= self.most_mm
        return math.exp(-z * z / 2.0) / (self.spread * _ROOT) * (1.0 if inside else _OUTSIDE) + _SURPRISE


_ROOT = math.sqrt(2.0 * math.pi)
_OUTSIDE = 0.03
_SURPRISE = 0.00005

USUAL: Mapping[Role, Usual] = {
    Role.SECTION: Usual(800.0, 0.95, 15, 8000),
    Role.OPENING: Usual(950.0, 0.45, 250, 5000),
    Role.OVERALL: Usual(3000.0, 0.6, 300, 12000),
    Role.CEILING: Usual(2400.0, 0.07, 1900, 3500),
    Role.SILL: Usual(1000.0, 0.3, 50, 1600),
    Role.HEAD: Usual(1900.0, 0.3, 500, 2600),
    Role.REVEAL: Usual(150.0, 0.6, 10, 700),
    Role.FIXTURE: Usual(500.0, 0.8, 20, 2500),
    Role.DIAGONAL: Usual(4500.0, 0.35, 1200, 14000),
    Role.UNKNOWN: Usual(1000.0, 2.0, 1, 100000),
}
