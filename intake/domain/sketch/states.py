"""What a state of the inference weighs: every number of a plan given one of its meanings.

The weight of a state is that of its numbers by themselves, of each wall's sections beside one another, and of the sums
of each net of levels. A change of one or two numbers touches a wall or two and a net or two, so that only those are
weighed anew; whatever was weighed before is remembered.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np

from intake.domain.lengths.written import written_sigma
from intake.domain.sketch.meaning import SLIPS, Meaning, pixels_along
from intake.domain.sketch.outline_levels import Levels
from intake.domain.sketch.sums import Agreement, LevelLength, agreement
from intake.domain.sketch.written_slips import Meant, meant_along
from intake.model.reading import Role
from intake.model.room import OVERALL_SIGMA_MM, SECTION_SIGMA_MM

UNMEASURED = 0.02
"""How often a wall lacks a section (judgement)."""
_GAP_SHOWS, _GAP = 0.35, 0.14
"""How often a wall lacks a section of which a stretch of this share is drawn that no number is of."""
_OVERLAP, _LAPS = 0.5, math.log(0.08)
"""Two sections of one wall that share more of the shorter one's stretch than this are hardly ever right together."""
_SHORTEST_SPAN = 1e-3
"""A section is taken for no shorter than this, as a share of its wall (set by hand)."""
_BARE = math.log(0.05)
"""A wall without any number: people measure every wall, but what faces it may stand for it."""
_SECOND_OVERALL = math.log(0.05)

State = tuple[int, ...]
HeldMeaning = tuple[int, int]
"""A number and the index of the meaning that it has."""
NONE: tuple[HeldMeaning, ...] = ()


Side = tuple[float, LevelLength | None]
"""How likely the sections stand on one wall together, and the length that they add up to."""


class Parts(NamedTuple):
    """A state taken apart. By wall its sections and how many overalls it has, by net the overalls that run between its
    levels, each in the order of the numbers; then what each wall comes to and what the sums of each net weigh."""

    state: State
    sections: dict[int, tuple[HeldMeaning, ...]]
    overalls: dict[int, int]
    wholes: dict[int, tuple[HeldMeaning, ...]]
    walls: dict[int, Side]
    sums: list[float]
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
    ) -> None:
        self.offered, self.levels, self.scale, self.texts = offered, levels, scale, texts
        self._meant: dict[HeldMeaning, Meant] = {}
        self._walls: dict[object, Side] = {}
        self._nets: dict[object, Agreement] = {}
        self._wholes: dict[HeldMeaning, LevelLength] = {}
        nets = levels.nets()
        self._net_of = {level: n for n, net in enumerate(nets) for level in net}
        self._drawn = [{level: levels.at(level) * scale for level in net} for net in nets]
        self._walls_of: list[list[int]] = [[] for _ in nets]
        for wall in levels.walls:
            self._walls_of[self._net_of_wall(wall.wall)].append(wall.wall)
        self._section = written_sigma(SECTION_SIGMA_MM, "", unit)
        self._overall = written_sigma(OVERALL_SIGMA_MM, "", unit)

    def parts(self, state: State) -> Parts:
        """A state taken apart and weighed."""
        alone = 0.0
        sections: dict[int, tuple[HeldMeaning, ...]] = {}
        overalls: dict[int, int] = {}
        wholes: dict[int, tuple[HeldMeaning, ...]] = {}
        for told in enumerate(state):
            alone += self._alone(told)
            self._move(told, 1, sections, overalls, wholes)
        walls = {
            w.wall: self._wall(w.wall, sections.get(w.wall, NONE), overalls.get(w.wall, 0))
            for w in self.levels.walls
        }
        sums = [self._sums(net, wholes.get(net, NONE), walls) for net in range(len(self._drawn))]
        weight = alone + sum(log for log, _ in walls.values()) + sum(sums)
        return Parts(state, sections, overalls, wholes, walls, sums, weight)

    def changed(self, parts: Parts, *changes: HeldMeaning) -> float:
        """The weight of a state in which some numbers have another meaning, by what that touches."""
        sections, overalls, wholes = dict(parts.sections), dict(parts.overalls), dict(parts.wholes)
        touched: set[int] = set()
        nets: set[int] = set()
        weight = parts.weight
        for told in changes:
            before = (told[0], parts.state[told[0]])
            weight += self._alone(told) - self._alone(before)
            self._move(before, -1, sections, overalls, wholes)
            self._move(told, 1, sections, overalls, wholes)
            for n, option in (before, told):
                self._touch(self.offered[n][option], touched, nets)
        walls = dict(parts.walls)
        for wall in touched:
            walls[wall] = self._wall(wall, sections.get(wall, NONE), overalls.get(wall, 0))
            weight += walls[wall][0] - parts.walls[wall][0]
        for net in nets:
            weight += self._sums(net, wholes.get(net, NONE), walls) - parts.sums[net]
        return weight

    def agreements(self, state: State) -> list[tuple[Agreement, list[tuple[int, ...]]]]:
        """Of each net that has any lengths how they agree, and the numbers that each of them is made of."""
        parts = self.parts(state)
        found = []
        for net in range(len(self._drawn)):
            wholes = parts.wholes.get(net, NONE)
            if lengths := self._lengths(net, wholes, parts.walls):
                members: list[tuple[int, ...]] = [
                    (n,) for n, o in wholes if self.offered[n][o].value is not None
                ]
                chained = (wall for wall in self._walls_of[net] if parts.walls[wall][1] is not None)
                members += [tuple(n for n, _ in parts.sections[wall]) for wall in chained]
                found.append((self._net(net, lengths), members))
        return found

    def _alone(self, told: HeldMeaning) -> float:
        """What a number weighs by itself; how usual a length along the walls is counts with the sums."""
        m = self.offered[told[0]][told[1]]
        along = (m.role is Role.SECTION and m.wall is not None) or (m.role is Role.OVERALL and m.levels)
        return m.log if along else m.log + m.usual

    def _move(
        self,
        told: HeldMeaning,
        by: int,
        sections: dict[int, tuple[HeldMeaning, ...]],
        overalls: dict[int, int],
        wholes: dict[int, tuple[HeldMeaning, ...]],
    ) -> None:
        """Put a meaning where it counts (`by` 1), or take it away from there (-1)."""
        m = self.offered[told[0]][told[1]]
        if m.role is Role.SECTION and m.wall is not None:
            sections[m.wall] = _moved(sections.get(m.wall, NONE), told, by)
        elif m.role is Role.OVERALL and m.levels is not None:
            if m.wall is not None:
                overalls[m.wall] = overalls.get(m.wall, 0) + by
            net = self._net_of[m.levels[0]]
            wholes[net] = _moved(wholes.get(net, NONE), told, by)

    def _touch(self, m: Meaning, walls: set[int], nets: set[int]) -> None:
        if m.wall is not None and (m.role is Role.SECTION or m.levels is not None):
            walls.add(m.wall)
            nets.add(self._net_of_wall(m.wall))
        elif m.role is Role.OVERALL and m.levels is not None:
            nets.add(self._net_of[m.levels[0]])

    def _net_of_wall(self, wall: int) -> int:
        return self._net_of[self.levels.of_wall(wall)[0]]

    def _sums(self, net: int, wholes: tuple[HeldMeaning, ...], walls: dict[int, Side]) -> float:
        lengths = self._lengths(net, wholes, walls)
        return self._net(net, lengths).log if lengths else 0.0

    def _lengths(
        self, net: int, wholes: tuple[HeldMeaning, ...], walls: dict[int, Side]
    ) -> list[LevelLength]:
        """The lengths between the levels of a net: overalls first, then what the sections of walls add up to."""
        lengths = [self._whole(n, o) for n, o in wholes if self.offered[n][o].value is not None]
        return lengths + [chain for wall in self._walls_of[net] if (chain := walls[wall][1]) is not None]

    def _whole(self, n: int, option: int) -> LevelLength:
        if (n, option) not in self._wholes:
            m = self.offered[n][option]
            assert m.levels is not None and m.value is not None
            sound = math.log1p(-SLIPS) + m.usual
            meant = self._may_mean(n, option)
            self._wholes[n, option] = LevelLength(
                *m.levels, m.value, self._overall, sound, math.log(SLIPS), meant
            )
        return self._wholes[n, option]

    def _may_mean(self, n: int, option: int) -> Meant | None:
        """What a length may have been meant to be, if it is a slip."""
        m = self.offered[n][option]
        if not self.texts or m.text is None or m.value is None:
            return None
        if (n, option) not in self._meant:
            drawn = pixels_along(m.role, m.wall, m.span, m.levels, self.levels) * self.scale
            self._meant[n, option] = meant_along(self.texts[n][m.text], m.value, m.role, drawn)
        return self._meant[n, option]

    def _net(self, net: int, lengths: list[LevelLength]) -> Agreement:
        key = (net, *map(id, lengths))  # each is made once and kept
        if key not in self._nets:
            self._nets[key] = agreement(lengths, self._drawn[net])
        return self._nets[key]

    def _wall(self, wall: int, sections: tuple[HeldMeaning, ...], overalls: int) -> Side:
        key = (wall, overalls, sections)
        if key not in self._walls:
            self._walls[key] = self._wall_anew(wall, sections, overalls)
        return self._walls[key]

    def _wall_anew(self, wall: int, held: tuple[HeldMeaning, ...], overalls: int) -> Side:
        sections = [self.offered[n][o] for n, o in held]
        log = _SECOND_OVERALL * max(overalls - 1, 0)
        if not sections:
            return log + (0.0 if overalls else _BARE), None
        spans = sorted(m.span for m in sections if m.span is not None)
        log += _LAPS * sum(_laps(a, b) for a, b in combinations(spans, 2))
        usual = sum(m.usual for m in sections)
        if any(m.value is None for m in sections):
            return log + usual, None
        low, high = self.levels.of_wall(wall)
        total = sum(m.value or 0.0 for m in sections)
        sigma = self._section * math.sqrt(len(sections))
        lacks = _GAP_SHOWS if _widest_gap(spans) > _GAP else UNMEASURED
        right = len(sections) * math.log1p(-SLIPS)
        slips = [math.log(SLIPS) + usual - m.usual for m in sections]
        broken = float(np.logaddexp.reduce([*slips, math.log(lacks) + usual + right]))
        rest = usual + math.log1p(-lacks)
        found = [
            (meant, rest - m.usual)
            for t, m in zip(held, sections, strict=True)
            if (meant := self._may_mean(*t)) is not None
        ]
        return log, LevelLength(
            low, high, total, sigma, math.log1p(-lacks) + usual + right, broken, _one_of(found)
        )


def _one_of(found: list[tuple[Meant, float]]) -> Meant | None:
    """What a sum of lengths may have been meant to be, one of them being a slip; each with the log chance of the
    others."""
    if not found:
        return None
    one = np.concatenate([meant for meant, _ in found], axis=1)
    one[1] += np.repeat([rest for _, rest in found], [meant.shape[1] for meant, _ in found])
    return one


def _moved(held: tuple[HeldMeaning, ...], told: HeldMeaning, by: int) -> tuple[HeldMeaning, ...]:
    return tuple(sorted((*held, told))) if by > 0 else tuple(t for t in held if t != told)


def _laps(a: tuple[float, float], b: tuple[float, float]) -> bool:
    shared = min(a[1], b[1]) - max(a[0], b[0])
    return shared > _OVERLAP * max(min(a[1] - a[0], b[1] - b[0]), _SHORTEST_SPAN)


def _widest_gap(spans: Sequence[tuple[float, float]]) -> float:
    """The widest stretch of the wall (0 to 1) that no section is of."""
    reached, widest = 0.0, 0.0
    for low, high in spans:
        widest, reached = max(widest, low - reached), max(reached, high)
    return max(widest, 1.0 - reached)
