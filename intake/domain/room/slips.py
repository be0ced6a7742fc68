"""Which single change would make a room close, and how likely each is.

One closure detects but cannot locate: all sections of a chain have the same standardised residual, so only the digits
can say which one it is. Every change of the catalogue is a bias of known or unknown size on one or more readings. With
c the readings it touches and d = reading minus truth, the weighted sum of squares without the bias is
Omega(d) = Omega - 2 d b + d^2 h, where b = -c'Pv and h = c'P Qvv P c (from the theory of domain/room/adjusting).
A change weighs prior x exp(-Omega(d) / 2); one of unknown size is averaged over the sizes it may have. Beside them
stands "other": any size on any reading, so that an unexplained gap is never forced on an innocent number.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from scipy import special

from intake.domain.room import catalogue
from intake.domain.room.adjusting import UNCHECKED, Adjustment, Array
from intake.domain.room.bare_stretches import gap_shows
from intake.domain.room.net import Net
from intake.domain.room.slip_chances import (
    KNOWN_SLIP,
    LACKS_WHERE_A_GAP_SHOWS,
    LACKS_WHERE_NONE_SHOWS,
    UNKNOWN_SLIP,
)
from intake.domain.room.suspects import UNKNOWN_REACH_MM, Suspect, of_a_room, to_half
from intake.domain.room.two_slips import best_of_two, paired
from intake.model.examination import SlipKind
from intake.model.room import Measurement, RoomSurvey, Section, SectionKind, Wall

WORTH = 15.0
"""A change whose reading explains this much less (log likelihood) than the best is not worth writing out."""
SHARE_KEPT = 0.002
MOST_KEPT = 15
ARCHITRAVE_MM = ((45.0, 100.0), (90.0, 200.0))
"""What one side of a door's architrave, and both, take up (common practice, no source)."""
MISSING_MM, BOXING_MM, OUT_OF_SQUARE_MM = (30.0, 2500.0), (100.0, 400.0), (5.0, 90.0)
"""How long a section or a return is that may be missing, how deep a boxing, and by how much opposite walls differ in a
room that is out of square (common practice, no source)."""
SOMETHING_ELSE = 0.3
"""That a number is of something else, beside its being written a second time (judgement)."""
BEYOND_CHANCE = 0.001
"""The share of sound rooms whose sums leave more than that (chi-square)."""
GRID = 8.0
"""A range of sizes is gone through in so many steps at least."""
WRITTEN_TO_MM = 5
"""Most write to the half centimetre."""


@dataclass
class SlipSearch:
    """The suspects of one axis, likeliest first. `none` is the probability that no kind of the catalogue is to blame;
    `explained` is False where even the best single bias of any size leaves more than chance does: two slips at least.
    `room`, `net` and `adjustment` are what it searched."""

    axis: str
    room: RoomSurvey
    net: Net
    adjustment: Adjustment
    suspects: list[Suspect] = field(default_factory=list)
    none: float = 0.0
    explained: bool = True

    def leading_reading(self) -> tuple[str, float]:
        """The reading most suspected, whatever it would have been, and how much; ("", 0) where it is none."""
        shares: dict[str, float] = {}
        for s in self.suspects:
            shares[s.reading] = shares.get(s.reading, 0.0) + s.probability
        return max(((r, p) for r, p in shares.items() if r), key=lambda item: item[1], default=("", 0.0))


def find_slips(room: RoomSurvey, net: Net, adjustment: Adjustment, axis: str) -> SlipSearch:
    """Rank the changes on one axis (x, y or xy) of a net that does not close."""
    return _Finder(room, net, adjustment, axis).search()


class _Finder:
    def __init__(self, room: RoomSurvey, net: Net, adjustment: Adjustment, axis: str) -> None:
        self.room, self.net, self.adjustment, self.axis = room, net, adjustment, axis
        weighted = adjustment.weights[:, None] * adjustment.residual_cofactor * adjustment.weights[None, :]
        self.information: Array = weighted
        self.pull: Array = -adjustment.weights * adjustment.residuals
        self.rows = [n for n, e in enumerate(net.equations) if e.reading and e.axis == axis]
        self.row_of = {net.equations[n].reading: n for n in self.rows}
        self.round = self._habit()
        self.sections: dict[str, tuple[Wall, int]] = {
            s.length.id: (w, n) for w in room.walls for n, s in enumerate(w.sections)
        }

    def _habit(self) -> float:
        """How much rarer than a half-centimetre value another is in this room, by how its owner writes."""
        values = [self.net.equations[n].observed for n in self.rows]
        odd = sum(v % WRITTEN_TO_MM != 0 for v in values)
        return min((odd + 0.5) / (len(values) - odd + 0.5) / 4.0, 1.0)

    def search(self) -> SlipSearch:
        checked = [n for n in self.rows if self.adjustment.redundancy[n] > UNCHECKED]
        search = SlipSearch(self.axis, self.room, self.net, self.adjustment)
        if not checked:
            return search
        gains = np.square(self.pull) / (2.0 * np.maximum(np.diag(self.information), 1e-12))
        best = float(np.max(gains[checked]))
        near = [n for n in checked if gains[n] > best - WORTH]
        suspects = [s for n in near for s in self._changes(n)] + self._whole_walls(best - WORTH)
        _normalise(search, _merged(suspects + [self._of_unknown_kind(n) for n in near]))
        search.explained = not self._leftover(best, checked)
        if not search.explained:
            search.suspects, search.none = [], 1.0
            if self._two_explain(checked):
                self._two_at_once(search, checked)
        return search

    def _two_at_once(self, search: SlipSearch, checked: list[int]) -> None:
        """The changes that two at once are likely to be; of each pair one is named, so their chances add up to 1."""
        whole = [s for s in self._whole_walls(-math.inf) if s.kind in (SlipKind.MISSING, SlipKind.RETURN)]
        every = [s for n in checked for s in self._changes(n)] + whole
        unknown = [self._of_unknown_kind(n, alone=False) for n in checked]
        found = paired(_merged(every + unknown), self.pull, self.information)
        for suspect in found:
            suspect.probability /= 2.0
        search.none = sum(s.probability for s in found if s.kind is SlipKind.OTHER)
        search.suspects = [s for s in found if s.probability >= SHARE_KEPT][:MOST_KEPT]

    def _leftover(self, best: float, checked: list[int]) -> bool:
        """Whether the best single bias leaves a sum of squares beyond chance (chi-square, 0.001)."""
        omega = self._omega()
        whole = max((self._best_gain(b) for _, b in self._wall_biases()), default=0.0)
        freedom = round(float(np.sum(self.adjustment.redundancy[checked]))) - 1
        left = omega - 2.0 * max(best, whole)
        return freedom > 0 and left > float(special.chdtri(freedom, BEYOND_CHANCE))

    def _omega(self) -> float:
        return float(np.sum(self.adjustment.weights[self.rows] * self.adjustment.residuals[self.rows] ** 2))

    def _two_explain(self, checked: list[int]) -> bool:
        """Whether two biases of any size leave no more than chance does."""
        biases = [*(self._unit(n) for n in checked), *(b for _, b in self._wall_biases())]
        freedom = round(float(np.sum(self.adjustment.redundancy[checked]))) - 2
        left = self._omega() - 2.0 * best_of_two(np.array(biases), self.pull, self.information)
        return freedom <= 0 or left <= float(special.chdtri(freedom, BEYOND_CHANCE))

    def _unit(self, row: int) -> Array:
        bias = np.zeros(len(self.net.equations))
        bias[row] = 1.0
        return bias

    def _bh(self, bias: Array) -> tuple[float, float]:
        touched = np.nonzero(bias)[0]
        part = bias[touched]
        b = float(part @ self.pull[touched])
        h = float(part @ self.information[np.ix_(touched, touched)] @ part)
        return b, h

    def _best_gain(self, bias: Array) -> float:
        """Log likelihood that the best size of this bias gains over none."""
        b, h = self._bh(bias)
        return b * b / (2.0 * h) if h > 1e-9 else 0.0

    def _changes(self, row: int) -> list[Suspect]:
        reading, bias = self.net.equations[row].reading, self._unit(row)
        measurement, section, wall = self._place_of(reading)
        neighbours, others = self._lengths_beside(reading)
        value = float(measurement.value_mm or 0)
        b, h = self._bh(bias)
        before = catalogue.plausibility(section, value)
        suspects = []
        for change in catalogue.changes_of(measurement, neighbours, others):
            size = value - change.meant_mm
            likely = change.prior * catalogue.plausibility(section, change.meant_mm) / before
            if not change.spread_mm and change.meant_mm % WRITTEN_TO_MM:
                likely *= self.round
            gain = _gain(b, h, size, change.spread_mm)
            suspects.append(
                Suspect(change.kind, wall, reading, bias, size, change.meant_mm, math.log(likely) + gain)
            )
        if section and section.kind is SectionKind.DOOR:
            suspects += self._architrave(row, measurement, wall)
        if section and len(wall_of := self.sections[reading][0].sections) > 1:
            suspects += self._no_section(row, measurement, wall, [s.length for s in wall_of])
        return [s for s in suspects if s.log_weight > -math.inf and of_a_room(s.would_be_mm)]

    def _no_section(
        self, row: int, measurement: Measurement, wall: int | None, chain: list[Measurement]
    ) -> list[Suspect]:
        """The number is no section of its wall: written a second time, or of something else."""
        value, bias = float(measurement.value_mm or 0), self._unit(row)
        twice = any(m.value_mm == measurement.value_mm and m.id != measurement.id for m in chain)
        b, h = self._bh(bias)
        kind, share = (SlipKind.REPEATED, 1.0) if twice else (SlipKind.NO_SECTION, SOMETHING_ELSE)
        weight = math.log(KNOWN_SLIP * share) + _gain(b, h, value, 0.0)
        return [Suspect(kind, wall, measurement.id, bias, value, None, weight)]

    def _place_of(self, reading: str) -> tuple[Measurement, Section | None, int | None]:
        if reading in self.sections:
            wall, n = self.sections[reading]
            return wall.sections[n].length, wall.sections[n], wall.index
        for wall in self.room.walls:
            for overall in wall.overalls:
                if overall.id == reading:
                    return overall, None, wall.index
        return next(a.length for a in self.room.across if a.length.id == reading), None, None

    def _lengths_beside(self, reading: str) -> tuple[list[int], list[int]]:
        """Lengths of the neighbouring sections, and of the others on the wall."""
        if reading not in self.sections:
            return [], []
        wall, n = self.sections[reading]
        lengths = [(abs(i - n), s.length.value_mm) for i, s in enumerate(wall.sections) if i != n]
        return [v for d, v in lengths if v and d == 1], [v for d, v in lengths if v and d > 1]

    def _architrave(self, row: int, measurement: Measurement, wall: int | None) -> list[Suspect]:
        """A door measured over its architrave or within it: one side 45 to 100 mm, both sides 90 to 200."""
        bias, found = self._unit(row), []
        for low, high in ARCHITRAVE_MM:
            for sign in (1.0, -1.0):
                log_weight, size = self._averaged(bias, sign, low, high, _flat(low, high))
                would_be = to_half((measurement.value_mm or 0) - size)
                found.append(
                    Suspect(
                        SlipKind.ARCHITRAVE,
                        wall,
                        measurement.id,
                        bias,
                        size,
                        would_be,
                        log_weight + math.log(KNOWN_SLIP / 4),
                    )
                )
        return found

    def _averaged(
        self, bias: Array, sign: float, low: float, high: float, density: Callable[[Array], Array]
    ) -> tuple[float, float]:
        """Log of exp(-Omega(d)/2) averaged over sizes d = sign x (low..high), relative to d = 0, and the likeliest d.

        The grid is as fine as the sums can resolve, so the sum stands for the integral."""
        b, h = self._bh(bias)
        if h <= 1e-9:
            return -math.inf, 0.0
        step = min(0.5 / math.sqrt(h), (high - low) / GRID)
        sizes = np.arange(low, high + step, step)
        logs = b * sign * sizes - sizes**2 * h / 2.0 + np.log(density(sizes) * step)
        top = float(np.max(logs))
        return top + math.log(float(np.sum(np.exp(logs - top)))), sign * float(sizes[int(np.argmax(logs))])

    def _whole_walls(self, least: float) -> list[Suspect]:
        """Changes of unknown size: a section missing from a chain, a wall measured to its boxing, a return missing
        from the outline, a room out of square. Those that cannot gain `least` (log likelihood) are passed over."""
        suspects = []
        for wall in self.room.walls:
            rows = [self.row_of[s.length.id] for s in wall.sections if s.length.id in self.row_of]
            if rows and self.adjustment.redundancy[rows[0]] > UNCHECKED and len(rows) == len(wall.sections):
                bias = self._unit(rows[0])
                if self._best_gain(bias) < least:
                    continue
                weight, size = self._averaged(bias, -1.0, *MISSING_MM, _alike(*MISSING_MM))
                weight += math.log(_lacks(wall) / KNOWN_SLIP)
                suspects.append(self._of_wall(SlipKind.MISSING, wall, bias, size, weight))
        for wall, bias in self._wall_biases():
            if self._best_gain(bias) < least:
                continue
            weight, size = self._averaged(bias, -1.0, *BOXING_MM, _flat(*BOXING_MM))
            suspects.append(self._of_wall(SlipKind.BOXING, wall, bias, size, weight))
            weight, size = self._averaged(bias, -1.0, *MISSING_MM, _alike(*MISSING_MM))
            suspects.append(self._of_wall(SlipKind.RETURN, wall, bias, size, weight))
            weight, size = self._averaged(bias, -1.0, *OUT_OF_SQUARE_MM, _half_normal)
            suspects.append(self._of_wall(SlipKind.SQUARE, wall, bias, size, weight))
        return [s for s in suspects if math.isfinite(s.log_weight)]

    def _wall_biases(self) -> list[tuple[Wall, Array]]:
        """For each wall the bias that leaves its own sums intact: one section and every overall changed alike."""
        found = []
        for wall in self.room.walls:
            rows = [self.row_of[s.length.id] for s in wall.sections if s.length.id in self.row_of][:1]
            rows += [self.row_of[o.id] for o in wall.overalls if o.id in self.row_of]
            if rows and (
                wall.sections == () or len(rows) > len([o for o in wall.overalls if o.id in self.row_of])
            ):
                bias = np.zeros(len(self.net.equations))
                bias[rows] = 1.0
                if self._bh(bias)[1] > 1e-9:
                    found.append((wall, bias))
        return found

    def _of_wall(self, kind: SlipKind, wall: Wall, bias: Array, size: float, log_weight: float) -> Suspect:
        return Suspect(kind, wall.index, "", bias, size, to_half(-size), log_weight + math.log(KNOWN_SLIP))

    def _of_unknown_kind(self, row: int, alone: bool = True) -> Suspect:
        """This reading being wrong by anything at all; the likeliest size is the estimated slip, -v / r."""
        bias, reading = self._unit(row), self.net.equations[row].reading
        b, h = self._bh(bias)
        width = math.sqrt(2.0 * math.pi / h) / (2.0 * UNKNOWN_REACH_MM)
        log_weight = math.log(UNKNOWN_SLIP * min(width, 1.0)) + b * b / (2.0 * h)
        would_be = to_half(self.net.equations[row].observed - b / h)
        if alone and not of_a_room(would_be):
            log_weight = -math.inf
        return Suspect(SlipKind.OTHER, self._place_of(reading)[2], reading, bias, b / h, would_be, log_weight)


def _lacks(wall: Wall) -> float:
    """How often a wall lacks a section, by what of it is drawn."""
    return {True: LACKS_WHERE_A_GAP_SHOWS, False: LACKS_WHERE_NONE_SHOWS, None: KNOWN_SLIP}[gap_shows(wall)]


def _gain(b: float, h: float, size: float, spread: float) -> float:
    """Log of exp(-Omega(d) / 2) over d = 0, averaged over d normal about `size` with standard deviation `spread`."""
    loose = 1.0 + spread * spread * h
    return (b * size - size * size * h / 2.0 + spread * spread * b * b / 2.0) / loose - math.log(loose) / 2.0


def _flat(low: float, high: float) -> Callable[[Array], Array]:
    return lambda d: np.full_like(d, 1.0 / (high - low))


def _alike(low: float, high: float) -> Callable[[Array], Array]:
    """The same on a logarithmic scale: short things are missed more often."""
    return lambda d: 1.0 / (d * math.log(high / low))


def _half_normal(d: Array) -> Array:
    """How far opposite walls of an ordinary room differ: half-normal."""
    density: Array = np.exp(-np.square(d / OPPOSITE_MM) / 2.0) * math.sqrt(2.0 / math.pi) / OPPOSITE_MM
    return density


OPPOSITE_MM = 25.0
"""The standard deviation of that difference (common practice allows 30 to 40 mm, no source)."""


def _merged(suspects: list[Suspect]) -> list[Suspect]:
    """Changes that come to the same value of the same reading add up; the likeliest names the kind."""
    groups: dict[tuple[str, int | None, str, int | None], list[Suspect]] = {}
    for s in suspects:
        key = ("", s.wall, s.reading, s.would_be_mm) if s.reading else (s.kind, s.wall, "", None)
        if s.log_weight > -math.inf:
            groups.setdefault(key, []).append(s)
    merged = []
    for members in groups.values():
        lead = max(members, key=lambda s: s.log_weight)
        lead.log_weight = float(np.logaddexp.reduce([s.log_weight for s in members]))
        merged.append(lead)
    return merged


def _normalise(search: SlipSearch, suspects: list[Suspect]) -> None:
    """Probabilities, beside the chance (weight 1) that there is no slip and the sums miss by chance alone."""
    total = float(np.logaddexp.reduce([0.0, *(s.log_weight for s in suspects)]))
    for s in suspects:
        s.probability = math.exp(s.log_weight - total)
    search.none = sum(s.probability for s in suspects if s.kind is SlipKind.OTHER)
    kept = sorted((s for s in suspects if s.probability >= SHARE_KEPT), key=lambda s: -s.probability)
    search.suspects = kept[:MOST_KEPT]
