"""What may have gone wrong with a room's lengths: every change that would be a slip, with its chance beforehand.

A change is a bias of known or unknown size on one or more readings. Those of one reading are the catalogue's; beside
them stand what is of a whole wall (a section missing, a wall measured to its boxing, a return missing, a room out of
square) and "other": any size on any reading, so that an unexplained gap is never forced on an innocent number.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from intake.domain.room import catalogue
from intake.domain.room.adjusting import UNCHECKED, Adjustment, Array
from intake.domain.room.bare_stretches import gap_shows
from intake.domain.room.drawn_lengths import DrawnLengths
from intake.domain.room.net import Net, NetAxis
from intake.domain.room.slip_chances import (
    BY_CHANCE,
    KNOWN_SLIP,
    LACKS_WHERE_A_GAP_SHOWS,
    LACKS_WHERE_NONE_SHOWS,
    UNKNOWN_SLIP,
)
from intake.model.examination import SlipKind
from intake.model.room import Measurement, RoomSurvey, Section, SectionKind, Wall

LEAST_MM, MOST_MM = 15, 12_000
"""No length that a slip is said to have been lies outside these (common practice, no source)."""
SURE_SIZE_MM = 5
"""Changes of unknown size are proposed to the half centimetre, to which most write."""
SOMETHING_ELSE = 0.3
"""That a number is of something else, beside its being written a second time (judgement)."""


@dataclass(frozen=True)
class Sizes:
    """How large a change may be whose kind does not say: mm from `low` to `high`, with the log density `level` - (1 if
    `shrinks` else 0) log size - `curve` size^2 / 2."""

    low: float
    high: float
    level: float
    shrinks: bool = False
    curve: float = 0.0


def _flat(low: float, high: float) -> Sizes:
    return Sizes(low, high, -math.log(high - low))


OPPOSITE_MM = 25.0
"""The standard deviation by which opposite walls of an ordinary room differ (common practice allows 30 to 40 mm, no
source)."""
ARCHITRAVE = (_flat(45.0, 100.0), _flat(90.0, 200.0))
"""What one side of a door's architrave, and both, take up (common practice, no source)."""
MISSING = Sizes(30.0, 2500.0, -math.log(math.log(2500.0 / 30.0)), shrinks=True)
"""How long a section or a return is that may be missing: short things are missed more often."""
OF_A_WALL = {
    SlipKind.BOXING: _flat(100.0, 400.0),
    SlipKind.RETURN: MISSING,
    SlipKind.SQUARE: Sizes(
        5.0, 90.0, math.log(math.sqrt(2.0 / math.pi) / OPPOSITE_MM), False, OPPOSITE_MM**-2
    ),
}
"""How deep a boxing is, and by how much opposite walls differ (common practice, no source)."""
ANYTHING = -math.log(8000.0)
"""The log density of what no kind explains, per mm."""


@dataclass(frozen=True)
class Suspect:
    """One change of a room's readings. `bias` is by how much each row of the net is off, a millimetre of `size`
    (reading minus truth); `prior` its log chance before the sums are looked at; `spread` how far from its size it may
    be; `sizes` where the size is not known: `size` and `would_be_mm` are then what fits best. `ours`: the reader's own
    alternative, by which the customer wrote right. `to` is the wall that a number is really of, or was copied from
    where its size is not known, `other` the number there that it has changed places with."""

    kind: SlipKind
    wall: int | None
    reading: str
    bias: Array
    prior: float
    size: float = 0.0
    would_be_mm: int | None = None
    spread: float = 0.0
    sizes: Sizes | None = None
    ours: bool = False
    to: int | None = None
    other: str = ""
    probability: float = 0.0

    @property
    def what(self) -> tuple[object, ...]:
        """What it comes to: changes of one reading to one length are the same, whatever their kind."""
        if self.reading:
            return ("", self.wall, self.reading, self.would_be_mm)
        return (self.kind, self.wall, self.reading)


def of_a_room(would_be_mm: int | None) -> bool:
    """Whether a room may have such a length; None: it is left out."""
    return would_be_mm is None or LEAST_MM <= would_be_mm <= MOST_MM


def to_half(value: float) -> int:
    """A length to the half centimetre, mm."""
    return round(value / SURE_SIZE_MM) * SURE_SIZE_MM


def changes_on(room: RoomSurvey, net: Net, adjustment: Adjustment, axis: NetAxis) -> list[Suspect]:
    """Every change of what is checked on one axis."""
    return list(_Maker(room, net, adjustment, axis).changes())


class _Maker:
    def __init__(self, room: RoomSurvey, net: Net, adjustment: Adjustment, axis: NetAxis) -> None:
        self.room, self.net = room, net
        rows = [n for n, e in enumerate(net.equations) if e.reading and e.axis is axis]
        self.checked = [n for n in rows if adjustment.redundancy[n] > UNCHECKED]
        self.row_of = {net.equations[n].reading: n for n in rows}
        self.drawn = DrawnLengths(room)
        weights = adjustment.weights
        self.pull: Array = -weights * adjustment.residuals
        self.information: Array = weights[:, None] * adjustment.residual_cofactor * weights[None, :]
        self.sections: dict[str, tuple[Wall, int]] = {
            s.length.id: (w, n) for w in room.walls for n, s in enumerate(w.sections)
        }
        values = [net.equations[n].observed for n in rows]
        odd = sum(v % SURE_SIZE_MM != 0 for v in values)
        self.odd = min((odd + 0.5) / (len(values) - odd + 0.5) / 4.0, 1.0)
        """How much rarer than a half-centimetre value another is in this room, by how its owner writes."""

    def changes(self) -> Iterator[Suspect]:
        for row in self.checked:
            yield from self._of_reading(row)
        for wall in self.room.walls:
            yield from self._of_wall(wall)

    def _bias(self, *rows: int, by: float = 1.0) -> Array:
        bias = np.zeros(len(self.net.equations))
        bias[list(rows)] = by
        return bias

    def _best(self, bias: Array) -> float:
        """The size of a change by itself that the sums want, mm."""
        spread = self.information @ bias
        return float(bias @ self.pull / max(float(bias @ spread), 1e-12))

    def _of_reading(self, row: int) -> Iterator[Suspect]:
        reading, bias = self.net.equations[row].reading, self._bias(row)
        measurement, section, wall = place_of(self.room, reading)
        yield from self._of_known_size(measurement, section, wall, bias)
        value = float(measurement.value_mm or 0)
        wanted = float(np.clip(value - self._best(bias), LEAST_MM, MOST_MM))
        agrees = float(self.drawn.gains(wall, reading, np.array([wanted]))[0])
        any_size = Sizes(value - MOST_MM, value - LEAST_MM, ANYTHING + agrees)
        yield Suspect(SlipKind.OTHER, wall, reading, bias, math.log(UNKNOWN_SLIP), sizes=any_size)
        if (there := self._also_at(reading, measurement)) is not None:
            copied, kind = math.log(KNOWN_SLIP / BY_CHANCE), SlipKind.ANOTHER_WALL
            yield Suspect(kind, wall, reading, bias, copied, sizes=any_size, to=there)
        if section and section.kind is SectionKind.DOOR:
            quarter = math.log(KNOWN_SLIP / 4)
            for sizes in ARCHITRAVE:
                yield Suspect(SlipKind.ARCHITRAVE, wall, reading, bias, quarter, sizes=sizes)
                yield Suspect(SlipKind.ARCHITRAVE, wall, reading, -bias, quarter, sizes=sizes)
        if section and len(chain := self.sections[reading][0].sections) > 1:
            yield self._no_section(measurement, wall, bias, [s.length for s in chain])

    def _of_known_size(
        self, measurement: Measurement, section: Section | None, wall: int | None, bias: Array
    ) -> Iterator[Suspect]:
        """What the catalogue says that a length may have been meant to be."""
        value = float(measurement.value_mm or 0)
        before = catalogue.plausibility(section, value)
        found = catalogue.changes_of(measurement, *self._lengths_beside(measurement.id))
        found = [c for c in found if of_a_room(c.meant_mm)]
        agree = self.drawn.gains(wall, measurement.id, np.array([float(c.meant_mm) for c in found]))
        for change, agrees in zip(found, np.exp(agree).tolist(), strict=True):
            meant = change.meant_mm
            likely = change.prior * agrees * catalogue.plausibility(section, meant) / before
            if not change.spread_mm and meant % SURE_SIZE_MM:
                likely *= self.odd
            size, prior, loose = value - meant, math.log(likely), change.spread_mm
            yield Suspect(
                change.kind, wall, measurement.id, bias, prior, size, meant, loose, ours=change.ours
            )

    def _also_at(self, reading: str, measurement: Measurement) -> int | None:
        """Another wall that has a section of the same length as a section of a chain: it may have been written here in
        place of what was measured."""
        if reading not in self.sections or len(self.sections[reading][0].sections) < 2:
            return None
        for wall in self.room.walls:
            same = any(s.length.value_mm == measurement.value_mm for s in wall.sections)
            if same and wall is not self.sections[reading][0]:
                return wall.index
        return None

    def _no_section(
        self, measurement: Measurement, wall: int | None, bias: Array, chain: list[Measurement]
    ) -> Suspect:
        """The number is no section of its wall: written a second time, or of something else."""
        twice = any(m.value_mm == measurement.value_mm and m.id != measurement.id for m in chain)
        kind, share = (SlipKind.REPEATED, 1.0) if twice else (SlipKind.NO_SECTION, SOMETHING_ELSE)
        value = float(measurement.value_mm or 0)
        prior = math.log(KNOWN_SLIP * share) + float(self.drawn.gains(wall, measurement.id, np.zeros(1))[0])
        return Suspect(kind, wall, measurement.id, bias, prior, value)

    def _lengths_beside(self, reading: str) -> tuple[list[int], list[int]]:
        """Lengths of the neighbouring sections, and of the others on the wall."""
        if reading not in self.sections:
            return [], []
        wall, n = self.sections[reading]
        lengths = [(abs(i - n), s.length.value_mm) for i, s in enumerate(wall.sections) if i != n]
        return [v for d, v in lengths if v and d == 1], [v for d, v in lengths if v and d > 1]

    def _of_wall(self, wall: Wall) -> Iterator[Suspect]:
        """A section missing from a chain; and what leaves a wall's own sums intact, so that one section and every
        overall change alike."""
        chain = [self.row_of[s.length.id] for s in wall.sections if s.length.id in self.row_of]
        if not set(chain[:1]) <= set(self.checked):
            return
        if chain and len(chain) == len(wall.sections):
            less = self._bias(chain[0], by=-1.0)
            size = min(max(self._best(less), MISSING.low), MISSING.high)
            prior = math.log(lacks(wall)) + self.drawn.gain_longer(wall.index, size)
            yield Suspect(SlipKind.MISSING, wall.index, "", less, prior, sizes=MISSING)
        rows = chain[:1] + [self.row_of[o.id] for o in wall.overalls if o.id in self.row_of]
        if rows and (chain or not wall.sections):
            for kind, sizes in OF_A_WALL.items():
                less = self._bias(*rows, by=-1.0)
                yield Suspect(kind, wall.index, "", less, math.log(KNOWN_SLIP), sizes=sizes)


def place_of(room: RoomSurvey, reading: str) -> tuple[Measurement, Section | None, int | None]:
    """A length by its id, with its section where it is one, and its wall."""
    for wall in room.walls:
        for section in wall.sections:
            if section.length.id == reading:
                return section.length, section, wall.index
        for overall in wall.overalls:
            if overall.id == reading:
                return overall, None, wall.index
    return next(a.length for a in room.across if a.length.id == reading), None, None


def lacks(wall: Wall) -> float:
    """How often a wall lacks a section, by what of it is drawn."""
    return {True: LACKS_WHERE_A_GAP_SHOWS, False: LACKS_WHERE_NONE_SHOWS, None: KNOWN_SLIP}[gap_shows(wall)]
