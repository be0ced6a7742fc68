"""What a state of the inference weighs: every number of a plan given one of its meanings.

The weight of a state is that of its numbers by themselves, of each wall's sections beside one another, and of the sums
of each net of levels. A change of one or two numbers touches a wall or two and a net or two, so that only those are
weighed anew; whatever was weighed before is remembered.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import partial
from itertools import combinations
from typing import NamedTuple

import numpy as np

from intake.domain.lengths.written import written_sigma
from intake.domain.room.slip_chances import (
    BARE,
    GAP,
    LACKS_AS_READ,
    LACKS_WHERE_A_GAP_SHOWS,
    UNKNOWN_SLIP,
    widest_gap,
)
from intake.domain.sketch.meaning import Meaning, pixels_along
from intake.domain.sketch.outline_levels import Levels
from intake.domain.sketch.sums import Agreement, Axis, LevelLength, members
from intake.domain.sketch.written_slips import AS_SHIPPED, NOTHING_MEANT, Meant, meant_along
from intake.model.examination import SlipKind
from intake.model.reading import Role
from intake.model.room import OVERALL_SIGMA_MM, SECTION_SIGMA_MM

_OVERLAP, _LAPS = 0.5, math.log(0.08)
"""Two sections of one wall that share more of the shorter one's stretch than this are hardly ever right together."""
_SHORTEST_SPAN = 1e-3
"""A section is taken for no shorter than this, as a share of its wall (set by hand)."""
_SECOND_OVERALL = math.log(0.05)

State = tuple[int, ...]
HeldMeaning = tuple[int, int]
"""A number and the index of the meaning that it has."""
NONE: tuple[HeldMeaning, ...] = ()
Retelling = tuple[HeldMeaning, ...]
"""Numbers that take another meaning together."""


class Side(NamedTuple):
    """How likely the sections stand on one wall together (a log), and the bit of the length that they add up to; 0:
    they add up to none."""

    log: float
    bit: int


class WhereItCounts(NamedTuple):
    """Where a meaning counts. `alone` is what it weighs by itself, `section` the wall that it is a section of,
    `overall` the one that it is an overall of, `net` the net that it is a length of by itself."""

    alone: float
    section: int | None
    overall: int | None
    net: int | None


class Parts(NamedTuple):
    """A state taken apart. By wall its sections, in the order of the numbers, how many overalls it has and what it
    comes to; by net the set of its lengths and what that weighs; the weight without the nets, and with them."""

    state: State
    sections: dict[int, tuple[HeldMeaning, ...]]
    overalls: dict[int, int]
    walls: dict[int, Side]
    nets: list[int]
    sums: list[float]
    log: float
    weight: float


class Weights:
    """Weighs the states of one plan. `offered` are the meanings of each number, `scale` is millimetres a pixel."""

    def __init__(
        self,
        offered: Sequence[list[Meaning]],
        levels: Levels,
        scale: float,
        unit: str,
        texts: Sequence[Sequence[str]] = (),
        slips: Mapping[str, float] = AS_SHIPPED,
    ) -> None:
        self.offered, self.levels, self.scale, self.texts = offered, levels, scale, texts
        self._slips, self._unknown_slip = slips, UNKNOWN_SLIP * slips.get(SlipKind.OTHER, 1.0)
        self._meant: dict[HeldMeaning, Meant] = {}
        self._sides: dict[object, Side] = {}
        self._wholes: dict[HeldMeaning, int] = {}
        nets = levels.nets()
        net_of = {level: n for n, net in enumerate(nets) for level in net}
        self.axes = [Axis({level: levels.at(level) * scale for level in net}) for net in nets]
        self._net_of_wall = {w.wall: net_of[levels.of_wall(w.wall)[0]] for w in levels.walls}
        self._section = written_sigma(SECTION_SIGMA_MM, "", unit)
        self._overall = written_sigma(OVERALL_SIGMA_MM, "", unit)
        self._places = [[_place(m, net_of) for m in options] for options in offered]

    def parts(self, state: State) -> Parts:
        """A state taken apart and weighed."""
        log = 0.0
        sections: dict[int, tuple[HeldMeaning, ...]] = {}
        overalls: dict[int, int] = {}
        nets = [0] * len(self.axes)
        for told in enumerate(state):
            place = self._places[told[0]][told[1]]
            log += place.alone
            if place.section is not None:
                sections[place.section] = (*sections.get(place.section, NONE), told)
            if place.overall is not None:
                overalls[place.overall] = overalls.get(place.overall, 0) + 1
            if place.net is not None:
                nets[place.net] |= self._whole(told)
        walls: dict[int, Side] = {}
        for wall, net in self._net_of_wall.items():
            walls[wall] = self._wall(wall, sections.get(wall, NONE), overalls.get(wall, 0))
            log += walls[wall].log
            nets[net] |= walls[wall].bit
        for axis, net in zip(self.axes, nets, strict=True):
            axis.weigh([net])
        sums = [axis.known[net] for axis, net in zip(self.axes, nets, strict=True)]
        return Parts(state, sections, overalls, walls, nets, sums, log, log + sum(sums))

    def changed(self, parts: Parts, changes: Sequence[Retelling]) -> list[float]:
        """The weights of states in each of which some numbers have another meaning, by what that touches."""
        apart = [self._apart(parts, change) for change in changes]
        for net, axis in enumerate(self.axes):
            axis.weigh(nets[net] for _, nets in apart if net in nets)
        found = []
        for log, nets in apart:
            weight = log + sum(parts.sums)
            for n, net in nets.items():
                weight += self.axes[n].known[net] - parts.sums[n]
            found.append(weight)
        return found

    def _apart(self, parts: Parts, change: Retelling) -> tuple[float, dict[int, int]]:
        """The weight of a changed state without the nets, and the nets that it changes."""
        log, nets = parts.log, dict[int, int]()
        sections: dict[int, tuple[HeldMeaning, ...]] = {}
        overalls: dict[int, int] = {}
        for n, option in change:
            for by, told in ((-1, (n, parts.state[n])), (1, (n, option))):
                place = self._places[n][told[1]]
                log += by * place.alone
                if (wall := place.section) is not None:
                    held = sections[wall] if wall in sections else parts.sections.get(wall, NONE)
                    sections[wall] = _moved(held, told, by)
                if (wall := place.overall) is not None:
                    overalls[wall] = overalls.get(wall, parts.overalls.get(wall, 0)) + by
                if (net := place.net) is not None:
                    nets[net] = nets.get(net, parts.nets[net]) ^ self._whole(told)
        for wall in sections.keys() | overalls.keys():
            held = sections[wall] if wall in sections else parts.sections.get(wall, NONE)
            side = self._wall(wall, held, overalls.get(wall, parts.overalls.get(wall, 0)))
            before, net = parts.walls[wall], self._net_of_wall[wall]
            log += side.log - before.log
            nets[net] = nets.get(net, parts.nets[net]) ^ side.bit ^ before.bit
        return log, nets

    def agreements(self, state: State) -> list[tuple[Agreement, list[tuple[int, ...]]]]:
        """Of each net that has any lengths how they agree, and the numbers that each of them is made of."""
        parts = self.parts(state)
        made: list[dict[int, tuple[int, ...]]] = [{} for _ in self.axes]
        for told in enumerate(state):
            net = self._places[told[0]][told[1]].net
            if net is not None:
                made[net][self._whole(told)] = (told[0],)
        for wall, held in parts.sections.items():
            made[self._net_of_wall[wall]][parts.walls[wall].bit] = tuple(n for n, _ in held)
        return [
            (axis.agreement(net), [made[n][1 << at] for at in members(net)])
            for n, (axis, net) in enumerate(zip(self.axes, parts.nets, strict=True))
            if net
        ]

    def _whole(self, told: HeldMeaning) -> int:
        """The bit of an overall; 0 where its ink says no length."""
        if told not in self._wholes:
            m = self.offered[told[0]][told[1]]
            assert m.levels is not None
            bit = 0
            if m.value is not None:
                sound, meant = math.log1p(-self._unknown_slip) + m.usual, partial(self._may_mean, told)
                length = LevelLength(
                    *m.levels, m.value, self._overall, sound, math.log(self._unknown_slip), meant
                )
                net = self._places[told[0]][told[1]].net
                assert net is not None
                bit = self.axes[net].add(length)
            self._wholes[told] = bit
        return self._wholes[told]

    def _may_mean(self, told: HeldMeaning) -> Meant:
        """What a length may have been meant to be, if it is a slip."""
        m = self.offered[told[0]][told[1]]
        if not self.texts or m.text is None or m.value is None:
            return NOTHING_MEANT
        if told not in self._meant:
            drawn = pixels_along(m.role, m.wall, m.span, m.levels, self.levels) * self.scale
            self._meant[told] = meant_along(self.texts[told[0]][m.text], m.value, m.role, drawn, self._slips)
        return self._meant[told]

    def _one_may_mean(self, held: Sequence[HeldMeaning], rest: float) -> Meant:
        """What a sum of lengths may have been meant to be, one of them being a slip; `rest` is the log chance of all
        of them as they stand."""
        found = []
        for told in held:
            one = self._may_mean(told).copy()
            one[1] += rest - self.offered[told[0]][told[1]].usual
            found.append(one)
        return np.concatenate(found, axis=1)

    def _wall(self, wall: int, sections: tuple[HeldMeaning, ...], overalls: int) -> Side:
        key = (wall, overalls, sections)
        if key not in self._sides:
            log, length = self._wall_anew(wall, sections, overalls)
            bit = 0 if length is None else self.axes[self._net_of_wall[wall]].add(length)
            self._sides[key] = Side(log, bit)
        return self._sides[key]

    def _wall_anew(
        self, wall: int, held: tuple[HeldMeaning, ...], overalls: int
    ) -> tuple[float, LevelLength | None]:
        sections = [self.offered[n][o] for n, o in held]
        log = _SECOND_OVERALL * max(overalls - 1, 0)
        if not sections:
            return log + (0.0 if overalls else math.log(BARE)), None
        spans = sorted(m.span for m in sections if m.span is not None)
        parts = [m.part or m.span for m in sections if m.span is not None]
        log += _LAPS * sum(_laps(a, b) for a, b in combinations(parts, 2))
        usual = sum(m.usual for m in sections)
        if any(m.value is None for m in sections):
            return log + usual, None
        low, high = self.levels.of_wall(wall)
        total = sum(m.value or 0.0 for m in sections)
        sigma = self._section * math.sqrt(len(sections))
        lacks = LACKS_WHERE_A_GAP_SHOWS if widest_gap(spans) > GAP else LACKS_AS_READ
        right = len(sections) * math.log1p(-self._unknown_slip)
        slips = [math.log(self._unknown_slip) + usual - m.usual for m in sections]
        broken = float(np.logaddexp.reduce([*slips, math.log(lacks) + usual + right]))
        meant = partial(self._one_may_mean, held, usual + math.log1p(-lacks))
        return log, LevelLength(low, high, total, sigma, math.log1p(-lacks) + usual + right, broken, meant)


def _place(m: Meaning, net_of: Mapping[int, int]) -> WhereItCounts:
    """Where a meaning counts; how usual a length along the walls is counts with the sums."""
    if m.role is Role.SECTION and m.wall is not None:
        return WhereItCounts(m.log, m.wall, None, None)
    if m.role is Role.OVERALL and m.levels is not None:
        return WhereItCounts(m.log, None, m.wall, net_of[m.levels[0]])
    return WhereItCounts(m.log + m.usual, None, None, None)


def _moved(held: tuple[HeldMeaning, ...], told: HeldMeaning, by: int) -> tuple[HeldMeaning, ...]:
    return tuple(sorted((*held, told))) if by > 0 else tuple(t for t in held if t != told)


def _laps(a: tuple[float, float], b: tuple[float, float]) -> bool:
    shared = min(a[1], b[1]) - max(a[0], b[0])
    return shared > _OVERLAP * max(min(a[1] - a[0], b[1] - b[0]), _SHORTEST_SPAN)
