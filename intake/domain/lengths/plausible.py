"""Which lengths are usual for what: the one table. All is common practice, no source, where nothing else is said."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from intake.model.reading import OpeningKind, Role
from intake.model.room import SectionKind


@dataclass(frozen=True)
class Usual:
    """Lengths of one kind: log-normal about `middle_mm` with `spread` (of the logarithm), hardly ever outside of
    `least_mm` to `most_mm`."""

    middle_mm: float
    spread: float
    least_mm: float = 1
    most_mm: float = 100_000

    def density(self, length_mm: float) -> float:
        """The density of a length, per unit of its logarithm; never 0, as rooms hold surprises."""
        z = math.log(max(length_mm, 1.0) / self.middle_mm) / self.spread
        inside = self.least_mm <= length_mm <= self.most_mm
        return math.exp(-z * z / 2.0) / (self.spread * _ROOT) * (1.0 if inside else _OUTSIDE) + _SURPRISE

    def densities(self, lengths_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """The same of many lengths."""
        z = np.log(np.maximum(lengths_mm, 1.0) / self.middle_mm) / self.spread
        inside = (self.least_mm <= lengths_mm) & (lengths_mm <= self.most_mm)
        bell: NDArray[np.float64] = np.exp(-z * z / 2.0) / (self.spread * _ROOT)
        return bell * np.where(inside, 1.0, _OUTSIDE) + _SURPRISE


_ROOT = math.sqrt(2.0 * math.pi)
_OUTSIDE = 0.03
"""What is left of the density outside of the range."""
_SURPRISE = 0.00005
"""Rooms hold surprises."""

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
    Role.UNKNOWN: Usual(1000.0, 2.0),
}
"""By what a number on a plan measures."""
SECTIONS: Mapping[SectionKind, Usual] = {
    SectionKind.DOOR: Usual(820.0, 0.25),
    SectionKind.DOORWAY: Usual(900.0, 0.4),
    SectionKind.WINDOW: Usual(1150.0, 0.5),
    SectionKind.OPENING: Usual(950.0, 0.5),
    SectionKind.NIB: Usual(120.0, 0.7),
    SectionKind.BOXING: Usual(250.0, 0.6),
    SectionKind.BREAST: Usual(1350.0, 0.3),
}
OPENING_WIDTHS: Mapping[OpeningKind, tuple[tuple[float, Usual], ...]] = {
    OpeningKind.DOOR: ((0.9, Usual(800.0, 0.15)), (0.1, Usual(1450.0, 0.2))),
    OpeningKind.DOORWAY: ((1.0, Usual(1050.0, 0.35)),),
    OpeningKind.WINDOW: ((1.0, Usual(1050.0, 0.42)),),
}
"""How wide openings are, in shares. Of doors one leaf, 526 to 926 mm by BS 4787 and 610 to 985 by DIN 18101 (both from
memory), is measured in its frame or its wall; one in ten has two leaves. Doorways and windows: common practice, no
source."""
PLAIN, WHOLE_WALL = Usual(900.0, 0.9), Usual(3200.0, 0.5)
"""By what a stretch of wall is; any other is plain. These rank slips: with the numbers that sketches are read by
(`USUAL`) the right slip stood first in 81.5 of 100 rooms instead of 82.9 (python -m fixtures.benchmark.room)."""

SOUND_MM: Mapping[Role, tuple[int, int]] = {Role.SECTION: (30, 8000), Role.OVERALL: (800, 12000)}
"""Outside of these a length is asked about; as the checklists have them (config/checklists/every-room.yaml)."""
HEIGHTS_MM: Mapping[str, tuple[int, int]] = {
    "sill": (0, 1400),
    "head": (1900, 2250),
    "reveal": (30, 400),
    "worktop": (860, 950),
    "ceiling": (2100, 3000),
}
"""Heights above the floor, and the depth of a reveal."""
LEAST_OPENING_MM = 300
"""No opening that a customer has to measure is narrower."""
DOOR_HEIGHT_MM = (1700, 2600)
LEAST_HEAD_MM = 1700
"""The top of a window told as lower than this is told from its sill."""
WORKTOP_HEIGHTS_MM = (820, 870, 920)
"""Co-ordinating heights of kitchen furniture under the worktop (EN 1116, second-hand)."""
