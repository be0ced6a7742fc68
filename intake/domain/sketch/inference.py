"""From numbers to a room: what every number says and measures, inferred together.

Unknown at once are each number's text, what it measures and where, the walls' lengths, and which lengths slipped. A
state gives every number one of its meanings; its weight is the product of the meanings' own chances, of how the
sections of each wall stand beside one another, and of how well all sums agree (sums). States are looked at best first,
from the one that the numbers by themselves would have, by changing one number or exchanging two; the chances are the
shares of the weights of all states seen (sum-product over a beam; Kschischang, Frey and Loeliger, IEEE Trans. Inf.
Theory 47, 2001). The same numbers give the same answer; on small rooms it equals trying every state.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from itertools import combinations

import numpy as np

from intake.domain.lengths.written import written_sigma
from intake.domain.sketch.meaning import ALONG, SLIPS, Meaning, alone_log, meanings_of, scale_of
from intake.domain.sketch.outline_levels import Levels
from intake.domain.sketch.sums import Agreement, Length, agreement
from intake.model.reading import Measures, OutlineWall, Role, Sighting
from intake.model.room import OVERALL_SIGMA_MM, SECTION_SIGMA_MM

BUDGET, QUICK = 600, 0
"""So many states are weighed at most besides those on the way to the first that no change betters; then what is best so
far stands, and `whole` is False. The second is for comparing outlines."""
STARTS = 5
"""So often the best state is looked for from another start."""
EXPANDED = 60
"""So many of the best states have all their changes tried."""
KEPT = 16.0
"""A state whose log weight is this much below the best counts no more."""
CHECKED = 0.03
"""A length with less redundancy than this is checked by nothing."""
UNMEASURED = 0.02
"""How often a wall lacks a section (judgement)."""
_GAP_SHOWS, _GAP = 0.35, 0.14
"""How often a wall lacks a section of which a stretch of this share is drawn that no number is of."""
_OVERLAP, _LAPS = 0.5, math.log(0.08)
"""Two sections of one wall that share more of the shorter one's stretch than this are hardly ever right together."""
_BARE = math.log(0.05)
"""A wall without any number: people measure every wall, but what faces it may stand for it."""
_SECOND_OVERALL = math.log(0.05)


class Sums(Enum):
    """What the sums that a number is part of say."""

    NONE = "nothing checks it"
    COME_OUT = "they come out"
    MISS = "one of them misses"


@dataclass(frozen=True)
class Inferred:
    """One number after the inference. `probability` is that of its text, `sure` that of what it measures; `others` are
    its next likely meanings with their chances; `sums` is what the sums that it is part of say."""

    meaning: Meaning
    text: str
    probability: float
    alone: float
    sure: float
    others: tuple[tuple[Meaning, float], ...]
    sums: Sums = Sums.NONE


@dataclass(frozen=True)
class Room:
    """All numbers inferred together. `whole`: every state worth it was weighed; `log` is the best one's log weight."""

    numbers: tuple[Inferred, ...]
    whole: bool
    log: float


State = tuple[int, ...]


def infer(
    seen: Sequence[Sighting],
    walls: Sequence[OutlineWall],
    unit: str,
    held: Mapping[int, tuple[Role, int | None]] | None = None,
    quick: bool = False,
) -> Room:
    """What the numbers of a plan say and measure. `held` are numbers whose role and wall a person has settled;
    `quick` is for comparing outlines: the likeliest state, with rough chances."""
    levels = Levels(walls)
    scale = scale_of(seen, levels, unit)
    offered = [meanings_of(s, levels, unit, scale) for s in seen]
    for number, (role, wall) in (held or {}).items():
        kept = [m for m in offered[number] if m.role is role and (wall is None or m.wall == wall)]
        offered[number] = kept or offered[number]
    search = _Search([_gathered(each) for each in offered], levels, scale, unit, QUICK if quick else BUDGET)
    search.run(2 if quick else STARTS)
    return Room(search.inferred(seen, offered), search.whole, max(search.seen.values()))


def _gathered(offered: list[Meaning]) -> list[Meaning]:
    """The meanings, those that are no length along the walls made one: they are alike to the sums."""
    along = [m for m in offered if m.role in ALONG]
    others = [m for m in offered if m.role not in ALONG]
    if not others:
        return along
    log = float(np.logaddexp.reduce([m.log + m.usual for m in others]))
    best = max(others, key=lambda m: m.log + m.usual)._replace(log=log, usual=0.0)
    return sorted([*along, best], key=lambda m: -alone_log(m))


@dataclass
class _Search:
    offered: Sequence[list[Meaning]]
    levels: Levels
    scale: float
    unit: str
    most: int = BUDGET
    whole: bool = True
    seen: dict[State, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._walls: dict[object, tuple[float, Length | None]] = {}
        self._nets: dict[object, Agreement] = {}
        self._wholes: dict[tuple[int, int], Length] = {}
        self._net_of = {level: n for n, net in enumerate(self.levels.nets()) for level in net}
        self._drawn = [{lv: self.levels.at(lv) * self.scale for lv in net} for net in self.levels.nets()]
        self._section = written_sigma(SECTION_SIGMA_MM, "", self.unit)
        self._overall = written_sigma(OVERALL_SIGMA_MM, "", self.unit)

    def run(self, starts: int = STARTS) -> None:
        """Weigh the states worth it: the best found by changing one number after the other, from several starts, then
        those round it."""
        state = self.climbed(tuple(0 for _ in self.offered))
        for start in range(1, starts):
            state = max(state, self.climbed(self._shaken(state, start)), key=lambda s: self.seen[s])
        best = self.seen[state]
        most = len(self.seen) + self.most
        heap = [(-weight, state) for state, weight in self.seen.items()]
        heapq.heapify(heap)
        for _ in range(EXPANDED):
            if not heap or -heap[0][0] < best - KEPT:
                return
            for change in self._changes(heapq.heappop(heap)[1]):
                if change in self.seen:
                    continue
                if len(self.seen) >= most:
                    self.whole = False
                    return
                value = self._weigh(change)
                best = max(best, value)
                heapq.heappush(heap, (-value, change))
        self.whole = not heap or -heap[0][0] < best - KEPT

    def climbed(self, state: State) -> State:
        """The best state that is reached by changing one number at a time, or exchanging two, as long as it helps."""
        weight = self._weigh(state)
        while True:
            before = weight
            for n, options in enumerate(self.offered):
                for option in range(len(options)):
                    change = (*state[:n], option, *state[n + 1 :])
                    if (value := self._weighed(change)) > weight:
                        state, weight = change, value
            if weight <= before:
                better = [(self._weighed(c), c) for c in self._exchanges(state)]
                value, change = max(better, default=(weight, state))
                if value <= weight:
                    return state
                state, weight = change, value

    def _shaken(self, state: State, start: int) -> State:
        """The state with every fifth of the numbers that may mean several things meaning its next likely one."""
        unsure = [n for n, options in enumerate(self.offered) if len(options) > 1]
        shaken = set(unsure[start % 5 :: 5])
        return tuple((o + 1) % len(self.offered[n]) if n in shaken else o for n, o in enumerate(state))

    def _weighed(self, state: State) -> float:
        return self.seen[state] if state in self.seen else self._weigh(state)

    def _changes(self, state: State) -> Iterator[State]:
        """The state with one number changed, or with two exchanging their walls."""
        for n, options in enumerate(self.offered):
            for option in range(len(options)):
                if option != state[n]:
                    yield (*state[:n], option, *state[n + 1 :])
        yield from self._exchanges(state)

    def _exchanges(self, state: State) -> Iterator[State]:
        for a, b in combinations((n for n, options in enumerate(self.offered) if len(options) > 1), 2):
            yield from self._exchanged(state, a, b)

    def _exchanged(self, state: State, a: int, b: int) -> Iterator[State]:
        first, second = self.offered[a][state[a]], self.offered[b][state[b]]
        if first.key == second.key or (first.levels is None is second.levels and first.wall == second.wall):
            return
        to_b = self._like(a, first, second)
        to_a = self._like(b, second, first)
        if to_a is not None and to_b is not None:
            changed = list(state)
            changed[a], changed[b] = to_b, to_a
            yield tuple(changed)

    def _like(self, number: int, now: Meaning, wanted: Meaning) -> int | None:
        """The meaning of a number that says the same and measures what another one does."""
        for n, m in enumerate(self.offered[number]):
            if m.text == now.text and m.key == wanted.key:
                return n
        return None

    def _weigh(self, state: State) -> float:
        weight, lengths, _ = self._lengths(state)
        weight += sum(self._net(n, each).log for n, each in enumerate(lengths) if each)
        self.seen[state] = weight
        return weight

    def _lengths(self, state: State) -> tuple[float, list[list[Length]], list[list[tuple[int, ...]]]]:
        """The log weight of a state but for its sums, and of each net the lengths with the numbers that make them."""
        weight = 0.0
        sections: dict[int, list[tuple[int, int]]] = {w.wall: [] for w in self.levels.walls}
        overalls = dict.fromkeys(sections, 0)
        lengths: list[list[Length]] = [[] for _ in self._drawn]
        members: list[list[tuple[int, ...]]] = [[] for _ in self._drawn]
        for n, option in enumerate(state):
            m = self.offered[n][option]
            weight += m.log
            if m.role is Role.SECTION and m.wall is not None:
                sections[m.wall].append((n, option))
            elif m.role is Role.OVERALL and m.levels is not None:
                if m.wall is not None:
                    overalls[m.wall] += 1
                if m.value is not None:
                    lengths[self._net_of[m.levels[0]]].append(self._whole_length(n, option, m))
                    members[self._net_of[m.levels[0]]].append((n,))
            else:
                weight += m.usual
        for wall, mine in sections.items():
            log, chain = self._wall(wall, mine, overalls[wall])
            weight += log
            if chain is not None:
                lengths[self._net_of[chain.low]].append(chain)
                members[self._net_of[chain.low]].append(tuple(n for n, _ in mine))
        return weight, lengths, members

    def _whole_length(self, n: int, option: int, m: Meaning) -> Length:
        if (n, option) not in self._wholes:
            assert m.levels is not None and m.value is not None
            sound = math.log1p(-SLIPS) + m.usual
            self._wholes[n, option] = Length(*m.levels, m.value, self._overall, sound, math.log(SLIPS))
        return self._wholes[n, option]

    def _net(self, net: int, lengths: list[Length]) -> Agreement:
        key = (net, *lengths)
        if key not in self._nets:
            self._nets[key] = agreement(lengths, self._drawn[net])
        return self._nets[key]

    def _wall(self, wall: int, sections: list[tuple[int, int]], overalls: int) -> tuple[float, Length | None]:
        """How likely these sections stand on one wall together, and the length that they add up to."""
        key = (wall, overalls, *sections)
        if key not in self._walls:
            self._walls[key] = self._wall_anew(wall, [self.offered[n][o] for n, o in sections], overalls)
        return self._walls[key]

    def _wall_anew(self, wall: int, sections: list[Meaning], overalls: int) -> tuple[float, Length | None]:
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
        return log, Length(low, high, total, sigma, math.log1p(-lacks) + usual + right, broken)

    def inferred(self, seen: Sequence[Sighting], offered: Sequence[list[Meaning]]) -> tuple[Inferred, ...]:
        best = max(self.seen.values())
        kept = [(state, math.exp(w - best)) for state, w in self.seen.items() if w > best - KEPT]
        first = self._together(kept)
        shares, sums = self._shares(kept), self._sums(first)
        return tuple(
            _one(seen[n], self.offered[n], first[n], shares[n], offered[n], sums.get(n, Sums.NONE))
            for n in range(len(self.offered))
        )

    def _sums(self, state: State) -> dict[int, Sums]:
        """What the sums say of each number that is part of any, in one state."""
        lengths, members = self._lengths(state)[1:]
        found: dict[int, Sums] = {}
        for net, (mine, numbers) in enumerate(zip(lengths, members, strict=True)):
            agreed = self._net(net, mine) if mine else None
            for n, each in enumerate(numbers):
                if agreed is None or agreed.checked[n] < CHECKED:
                    continue
                says = Sums.MISS if agreed.broken[n] > 0.5 else Sums.COME_OUT
                found |= {i: says for i in each if found.get(i) is not Sums.MISS}
        return found

    def _shares(self, kept: list[tuple[State, float]]) -> list[dict[int, float]]:
        """The share of the weight in which each number has each of its meanings."""
        total = sum(w for _, w in kept)
        shares: list[dict[int, float]] = [{} for _ in self.offered]
        for state, weight in kept:
            for n, option in enumerate(state):
                shares[n][option] = shares[n].get(option, 0.0) + weight / total
        return shares

    def _together(self, kept: list[tuple[State, float]]) -> State:
        """Of the states the one whose numbers all have what is likeliest for each, as far as they go together: a state
        may be the single best one for a meaning that most others speak against."""
        shares = self._shares(kept)

        def speaks_for(item: tuple[State, float]) -> tuple[float, float]:
            return sum(math.log(shares[n][option]) for n, option in enumerate(item[0])), item[1]

        return max(kept, key=speaks_for)[0]


def _one(
    seen: Sighting,
    options: list[Meaning],
    first: int,
    shares: Mapping[int, float],
    offered: list[Meaning],
    sums: Sums,
) -> Inferred:
    """One number; what is no length along the walls is parted again by the chances of its own."""
    told = [(options[option], share) for option, share in shares.items()]
    apart = [m for m in offered if m.role not in ALONG]
    logs = np.array([m.log + m.usual for m in apart])
    parts = np.exp(logs - logs.max()) / np.exp(logs - logs.max()).sum() if apart else logs
    spread = [(m, share) for m, share in told if m.role in ALONG]
    rest = sum(share for m, share in told if m.role not in ALONG)
    spread += [(m, rest * float(part)) for m, part in zip(apart, parts, strict=True)]
    means: dict[object, float] = {}
    texts: dict[int | None, float] = {}
    for m, share in spread:
        means[m.key] = means.get(m.key, 0.0) + share
        texts[m.text] = texts.get(m.text, 0.0) + share
    chosen = options[first]
    if chosen.role not in ALONG:
        key = max((m.key for m in apart), key=lambda k: means[k])
        chosen = max((m for m in apart if m.key == key), key=lambda m: m.log + m.usual)
    text = chosen.text if chosen.text is not None else 0
    example: dict[object, Meaning] = {m.key: m for m, _ in reversed(spread)}
    others = sorted(((example[k], p) for k, p in means.items() if k != chosen.key), key=lambda x: -x[1])
    return Inferred(
        chosen,
        seen.texts[text].text,
        texts.get(chosen.text, 0.0),
        seen.texts[text].confidence,
        means[chosen.key],
        tuple(others[:4]),
        sums,
    )


def _laps(a: tuple[float, float], b: tuple[float, float]) -> bool:
    shared = min(a[1], b[1]) - max(a[0], b[0])
    return shared > _OVERLAP * max(min(a[1] - a[0], b[1] - b[0]), 1e-3)


def _widest_gap(spans: Sequence[tuple[float, float]]) -> float:
    """The widest stretch of the wall (0 to 1) that no section is of."""
    reached, widest = 0.0, 0.0
    for low, high in spans:
        widest, reached = max(widest, low - reached), max(reached, high)
    return max(widest, 1.0 - reached)


def alone(seen: Sequence[Sighting]) -> tuple[Inferred, ...]:
    """The numbers each by itself, where there are no walls."""
    found = []
    for number in seen:
        role = max(number.roles, key=lambda r: number.roles[r])
        first = number.texts[0]
        meaning = Meaning(0, None, role, None, None, None, 0.0)
        found.append(Inferred(meaning, first.text, first.confidence, first.confidence, 1.0, ()))
    return tuple(found)


def measures(meaning: Meaning, role: Role, chance: float, walls: Sequence[OutlineWall]) -> Measures:
    """A meaning in the terms of the model; a length between two levels runs between the walls on them."""
    if meaning.wall is not None:
        return Measures(role, (meaning.wall,), meaning.span, chance)
    if meaning.levels is None:
        return Measures(role, (), None, chance)
    return Measures(role, Levels(walls).walls_on(meaning.levels), None, chance)


_DRAWN = 2.0
"""How much likelier a number is an opening's where one is drawn."""


def role_of(meaning: Meaning, seen: Sighting) -> Role:
    """The role to say of a meaning: a section is an opening where one is drawn or what stands round it says so."""
    if meaning.role is not Role.SECTION:
        return meaning.role
    at_opening = any(s.at_opening for s in seen.stands if s.wall == meaning.wall)
    drawn = _DRAWN if at_opening else 1 / _DRAWN
    opening, section = (seen.roles.get(role, 0.0) for role in (Role.OPENING, Role.SECTION))
    return Role.OPENING if opening * drawn > section else Role.SECTION
