"""Numbers written beside another wall than the one they measure: two that changed places, or one that is a section or
the whole of another wall. Such a change may touch both axes, so it is weighed over the whole room (posterior).

A section taken out of its chain is a bias of its length; an overall taken away is one of any size, which gains as much
as its density given all others was small. Set where it belongs, a section is a bias again, and a whole wall is an
observation of what the rest says of that wall, in place of a usual length.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from intake.domain.room.adjusting import UNCHECKED, Adjustment, Array
from intake.domain.room.catalogue import CONFIRMED_FACTOR, changes_of, plausibility
from intake.domain.room.changes import LEAST_MM, Suspect, lacks, place_of
from intake.domain.room.drawn_lengths import DrawnLengths
from intake.domain.room.net import Net, length_gradient, usable
from intake.domain.room.slip_chances import (
    ALIKE,
    AT_A_MEASURED_WALL,
    BARE,
    KNOWN_SLIP,
    LEAST_DOUBT,
    OF_ANOTHER_WALL,
    TOLD,
)
from intake.model.examination import SlipKind
from intake.model.reading import PEOPLE
from intake.model.room import OVERALL_SIGMA_MM, SECTION_SIGMA_MM, Astray, Measurement, RoomSurvey, Wall

_WithLog = tuple[Suspect, float]
"""A suspect, with its log weight beside nothing being wrong, where it weighs more than that."""


def written_elsewhere(room: RoomSurvey, net: Net, adjustment: Adjustment) -> list[_WithLog]:
    """Every number that may be of another wall."""
    return list(_Elsewhere(room, net, adjustment).weighed())


def written_twice(room: RoomSurvey) -> list[Suspect]:
    """Numbers that look like a section of their wall, count for nothing, and say what a section of it says. No sum
    shows them: the wall adds up without."""
    found = []
    for number in room.astray:
        same = [s for s in room.walls[number.wall].sections if s.length.value_mm == number.length.value_mm]
        looks = KNOWN_SLIP * odds_of_a_section(number)
        chance = looks / (looks + ALIKE)
        if same and chance > TOLD:
            nothing = np.zeros(0)
            slip = Suspect(SlipKind.REPEATED, number.wall, number.length.id, nothing, math.log(looks))
            found.append(replace(slip, probability=chance))
    return found


def stand_at_measured_walls(room: RoomSurvey) -> list[Suspect]:
    """Sections that stand at another wall, which has one length of its own: it needs no second. The room adds up, as
    each is counted where it fits."""
    found = []
    for number in room.stand_elsewhere:
        there, nothing = room.walls[number.wall], np.zeros(0)
        own = [m for m in (*(s.length for s in there.sections), *there.overalls) if usable(m)]
        to = place_of(room, number.length.id)[2]
        if len(own) == 1:
            kind, prior = SlipKind.ANOTHER_WALL, math.log(AT_A_MEASURED_WALL)
            slip = Suspect(kind, there.index, number.length.id, nothing, prior, to=to)
            found.append(replace(slip, probability=AT_A_MEASURED_WALL))
    return found


def odds_of_a_section(number: Astray) -> float:
    """How much sooner a number is a section than not, by its looks."""
    return number.looks / max(1.0 - number.looks, LEAST_DOUBT)


class _Elsewhere:
    def __init__(self, room: RoomSurvey, net: Net, adjustment: Adjustment) -> None:
        self.room, self.net = room, net
        self.drawn = DrawnLengths(room)
        a = adjustment
        self.pull: Array = -a.weights * a.residuals
        self.information: Array = a.weights[:, None] * a.residual_cofactor * a.weights[None, :]
        self.row = {
            e.reading: n
            for n, e in enumerate(net.equations)
            if e.reading and e.wall is not None and a.redundancy[n] > UNCHECKED
        }
        self.lengths = {reading: place_of(room, reading) for reading in self.row}
        gradients = np.array([length_gradient(net, a, wall.index) for wall in room.walls])
        spread = gradients @ a.cofactor
        self.walls: Array = gradients @ a.unknowns
        """Each wall's length as adjusted, then its variance and by how much each row moves it."""
        self.variance: Array = (spread * gradients).sum(axis=1)
        self.moves: Array = spread @ a.design.T * a.weights

    def weighed(self) -> Iterator[_WithLog]:
        yield from self._changed_places()
        yield from self._astray()
        for reading in self.row:
            for wall in self.room.walls:
                if wall.index != self.lengths[reading][2]:
                    yield from self._moved(reading, wall)

    def _drawn(self, reading: str, meant_mm: float) -> float:
        """What the drawing gains where a length was meant to be this one; 0: it is no section of its wall."""
        return float(self.drawn.gains(self.lengths[reading][2], reading, np.array([meant_mm]))[0])

    def _prior(self, ways: int, *readings: str) -> float:
        settled = any(self.lengths[r][0].taken_from in PEOPLE for r in readings)
        return math.log(KNOWN_SLIP / max(ways, 1) * (CONFIRMED_FACTOR if settled else 1.0))

    def _changed_places(self) -> Iterator[_WithLog]:
        """Each two numbers of two walls, exchanged."""
        readings, rows = list(self.row), list(self.row.values())
        values = np.array([float(self.lengths[r][0].value_mm or 0) for r in readings])
        pull, information = self.pull[rows], self.information[np.ix_(rows, rows)]
        size, own = values[:, None] - values, information.diagonal()
        h = own[:, None] + own - 2.0 * information
        gains = (pull[:, None] - pull) * size - h * size * size / 2.0
        may = np.triu(np.abs(size) >= LEAST_MM) & (gains > -math.log(KNOWN_SLIP))
        for i, j in np.argwhere(may).tolist():
            (_, _, wall), (there, _, to) = self.lengths[readings[i]], self.lengths[readings[j]]
            prior = self._prior(len(rows) - 1, readings[i], readings[j])
            prior += self._drawn(readings[i], values[j]) + self._drawn(readings[j], values[i])
            if wall != to and prior + gains[i, j] > 0.0:
                bias = self._bias(rows[i]) - self._bias(rows[j])
                one = Suspect(SlipKind.ANOTHER_WALL, wall, readings[i], bias, prior, float(size[i, j]))
                found = replace(one, would_be_mm=there.value_mm, to=to, other=readings[j])
                yield found, prior + float(gains[i, j])

    def _astray(self) -> Iterator[_WithLog]:
        """A number that counts for nothing where it stands, and is the section that another wall lacks."""
        for number in self.room.astray:
            value, odds = float(number.length.value_mm or 0), odds_of_a_section(number)
            for wall in self.room.walls:
                chain = [s.length.id for s in wall.sections]
                if not chain or not all(i in self.row for i in chain):
                    continue
                if wall.index == number.wall:
                    yield from self._misread_here(number.length, wall, odds)
                    continue
                prior = math.log(lacks(wall) * OF_ANOTHER_WALL * odds / len(self.room.astray))
                row = self.row[chain[0]]
                log = prior + self._added(row, value)
                if log > 0.0:
                    kind, less = SlipKind.ANOTHER_WALL, -self._bias(row)
                    found = Suspect(kind, number.wall, number.length.id, less, prior, value, to=wall.index)
                    yield found, log

    def _misread_here(self, number: Measurement, wall: Wall, odds: float) -> Iterator[_WithLog]:
        """The same number as the section that its own wall lacks, if something else was meant than what it says."""
        row = self.row[wall.sections[0].length.id]
        for change in changes_of(number, [], []):
            prior = math.log(change.prior * odds)
            log = prior + self._added(row, change.meant_mm)
            if log > 0.0:
                less, size = -self._bias(row), float(change.meant_mm)
                found = Suspect(change.kind, wall.index, number.id, less, prior, size, change.meant_mm)
                yield found, log

    def _added(self, row: int, value: float) -> float:
        """What is gained where the chain of a section has one more, measured as closely as others."""
        b, h, loose = -float(self.pull[row]), float(self.information[row, row]), SECTION_SIGMA_MM**2
        spread = 1.0 + loose * h
        return (b * value - value * value * h / 2.0 + loose * b * b / 2.0) / spread - 0.5 * math.log(spread)

    def _moved(self, reading: str, wall: Wall) -> Iterator[_WithLog]:
        """A number that is a section of another wall, or all of it."""
        length, section, own = self.lengths[reading]
        value, row = float(length.value_mm or 0), self.row[reading]
        in_chain = section is not None and len(self.room.walls[own or 0].sections) > 1
        chain, logs = [s.length for s in wall.sections], []
        if chain and all(m.id in self.row for m in chain):
            usual = 0.0 if in_chain else math.log(plausibility(wall.sections[0], value))
            logs.append(self._as_section(row, value, in_chain, self.row[chain[0].id]) + usual)
        if not any(map(usable, wall.overalls)):
            usual = math.log(plausibility(section, value)) if in_chain else 0.0
            lacking = 0.0 if any(map(usable, chain)) else -math.log(BARE)
            logs.append(self._as_whole(row, value, in_chain, wall.index) - usual + lacking)
        prior = self._prior(2 * (len(self.room.walls) - 1), reading)
        prior += self._drawn(reading, 0.0) if in_chain else 0.0
        if logs and (log := prior + max(logs)) > 0.0:
            found = Suspect(SlipKind.ANOTHER_WALL, own, reading, self._bias(row), prior, value)
            yield replace(found, to=wall.index), log

    def _bias(self, row: int) -> Array:
        bias = np.zeros(len(self.net.equations))
        bias[row] = 1.0
        return bias

    def _as_section(self, row: int, value: float, in_chain: bool, at: int) -> float:
        """What is gained where a number leaves its row and the chain whose first section is `at` has it as well."""
        h = float(self.information[row, row])
        left = float(self.pull[row] + self.information[row, at] * value)
        added = float(-self.pull[at] * value - self.information[at, at] * value * value / 2.0)
        return added + (left * value - h * value * value / 2.0 if in_chain else _freed(left, h))

    def _as_whole(self, row: int, value: float, in_chain: bool, wall: int) -> float:
        """What is gained where a number leaves its row and is measured from end to end of another wall."""
        b, h = float(self.pull[row]), float(self.information[row, row])
        size, loose = (value, 0.0) if in_chain else (b / h, 1.0 / h)
        gain = b * size - h * size * size / 2.0 if in_chain else _freed(b, h)
        moves = float(self.moves[wall, row])
        off = value - (float(self.walls[wall]) - moves * size)
        variance = float(self.variance[wall]) + moves * moves * loose + OVERALL_SIGMA_MM**2
        return gain - off * off / (2.0 * variance) - 0.5 * math.log(2.0 * math.pi * variance)


def _freed(b: float, h: float) -> float:
    """What a length gains that may be anything: minus its log density given all others."""
    return b * b / (2.0 * h) + 0.5 * math.log(2.0 * math.pi / h)
