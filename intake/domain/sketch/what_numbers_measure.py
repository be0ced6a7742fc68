"""From numbers to a room: what every number says and measures, inferred together.

Unknown at once are each number's text, what it measures and where, the walls' lengths, and which lengths slipped. A
state gives every number one of its meanings; its weight is the product of the meanings' own chances, of how the
sections of each wall stand beside one another, and of how well all sums agree (sums). States are looked at best first,
from the one that the numbers by themselves would have, by changing one number or exchanging two; the chances are the
shares of the weights of all states seen (sum-product over a beam; Kschischang, Frey and Loeliger, IEEE Trans. Inf.
Theory 47, 2001). The same numbers give the same answer; on small rooms it equals trying every state.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import partial

import numpy as np
from numpy.typing import NDArray

from intake.domain.sketch.corner_distances import corner_distances, diagonal_log
from intake.domain.sketch.meaning import ALONG, Meaning, alone_log, meanings_of, scale_of
from intake.domain.sketch.outline_levels import Levels
from intake.domain.sketch.search import BUDGET, KEPT, QUICK, QUICK_STARTS, STARTS, Search
from intake.domain.sketch.states import State, Weights
from intake.domain.sketch.written_slips import AS_SHIPPED
from intake.model.reading import Measures, OutlineWall, Role, Sighting

CHECKED = 0.03
"""A length with less redundancy than this is checked by nothing."""


class Sums(Enum):
    """What the sums that a number is part of say."""

    NONE = "none"
    """Nothing checks it."""
    COME_OUT = "come-out"
    MISS = "miss"
    """One of them misses."""


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


def infer(
    seen: Sequence[Sighting],
    walls: Sequence[OutlineWall],
    unit: str,
    held: Mapping[int, tuple[Role, int | None]] | None = None,
    quick: bool = False,
    slips: Mapping[str, float] = AS_SHIPPED,
) -> Room:
    """What the numbers of a plan say and measure. `held` are numbers whose role and wall a person has settled;
    `quick` is for comparing outlines: the likeliest state, with rough chances. `slips` are how many times likelier each
    kind of slip is here than the catalogue has it."""
    levels = Levels(walls)
    scale = scale_of(seen, levels, unit)
    offered = [meanings_of(s, levels, unit, scale) for s in seen]
    for number, (role, wall) in (held or {}).items():
        kept = [m for m in offered[number] if m.role is role and (wall is None or m.wall == wall)]
        offered[number] = kept or offered[number]
    weigh = partial(
        _searched,
        levels=levels,
        scale=scale,
        unit=unit,
        texts=[[t.text for t in s.texts] for s in seen],
        slips=slips,
    )
    search = weigh(offered, quick=quick)
    if not quick and (told := _with_diagonals(seen, offered, search, weigh, levels, scale)):
        offered, search = told, weigh(told)
    return Room(_inferred(search, seen, offered), search.whole, max(search.seen.values()))


def _searched(
    offered: Sequence[list[Meaning]],
    levels: Levels,
    scale: float,
    unit: str,
    texts: Sequence[Sequence[str]],
    slips: Mapping[str, float],
    quick: bool = False,
) -> Search:
    """The states of a plan, weighed."""
    gathered = [_gathered(each) for each in offered]
    search = Search(
        gathered, Weights(gathered, levels, scale, unit, texts, slips), QUICK if quick else BUDGET
    )
    search.run(QUICK_STARTS if quick else STARTS)
    return search


_TELLS = 1.0
"""What Pythagoras says of a number counts from this log factor on (set by hand: the search is run again)."""


def _with_diagonals(
    seen: Sequence[Sighting],
    offered: Sequence[list[Meaning]],
    search: Search,
    weigh: Callable[..., Search],
    levels: Levels,
    scale: float,
) -> list[list[Meaning]] | None:
    """The meanings, a diagonal weighed by how well it agrees with the corners that the other numbers make; None where
    that tells nothing of any number."""
    told, now = list(offered), _likeliest(search)
    for n, options in enumerate(offered):
        if not seen[n].amid or search.offered[n][now[n]].role is Role.SECTION:
            continue
        rest = [m for m in options if m.role not in ALONG]
        diagonals = {m.value for m in rest if m.role is Role.DIAGONAL}
        if not diagonals:
            continue
        along = search.offered[n][now[n]].role in ALONG
        without = weigh([*offered[:n], rest, *offered[n + 1 :]], quick=True) if along else search
        distances = corner_distances(_that_agree(without), levels, scale)
        logs = {v: diagonal_log(v, seen[n].at, distances, levels) for v in diagonals if v is not None}
        if max(map(abs, logs.values()), default=0.0) > _TELLS:
            told[n] = [
                m._replace(usual=m.usual + logs.get(m.value or 0.0, 0.0)) if m.role is Role.DIAGONAL else m
                for m in options
            ]
    return told if told != offered else None


def _that_agree(search: Search) -> list[Meaning]:
    """What the numbers mean in the likeliest state, but for those whose sums miss."""
    state = _likeliest(search)
    sums = _sums(search.weights, state)
    return [search.offered[n][option] for n, option in enumerate(state) if sums.get(n) is not Sums.MISS]


def _likeliest(search: Search) -> State:
    return max(search.seen, key=lambda s: search.seen[s])


def _gathered(offered: list[Meaning]) -> list[Meaning]:
    """The meanings, those that are no length along the walls made one: they are alike to the sums."""
    along = [m for m in offered if m.role in ALONG]
    others = [m for m in offered if m.role not in ALONG]
    if not others:
        return along
    log = float(np.logaddexp.reduce([m.log + m.usual for m in others]))
    best = max(others, key=lambda m: m.log + m.usual)._replace(log=log, usual=0.0)
    return sorted([*along, best], key=lambda m: -alone_log(m))


def _inferred(
    search: Search, seen: Sequence[Sighting], offered: Sequence[list[Meaning]]
) -> tuple[Inferred, ...]:
    best = max(search.seen.values())
    kept = {state: w for state, w in search.seen.items() if w > best - KEPT}
    states, weights = np.array(list(kept), np.int64), np.exp(np.array(list(kept.values())) - best)
    shares = _shares(states, weights)
    first = _without_trouble(search, _first(search, seen, states, weights), states, weights)
    sums = _sums(search.weights, first)
    return tuple(
        _inferred_number(seen[n], search.offered[n], first[n], shares[n], offered[n], sums.get(n, Sums.NONE))
        for n in range(len(seen))
    )


_LOOKS, _FAIRLY = 0.9, 0.35
"""What looks so surely like a section is one where all in all that is so likely (on 225 sheets of nine drawers two
rooms more are wholly right, one clean plan more closes and one less has an alarm; where overalls are kept so as well,
one plan more has an alarm and one more wall is wrong without a mark)."""


def _first(
    search: Search, seen: Sequence[Sighting], states: NDArray[np.int64], weights: NDArray[np.float64]
) -> State:
    """The likeliest state. A number that looks surely like a section is none only where that is much likelier: what is
    cast out wrongly hides a slip, or a wall's length, and nobody is asked."""
    first = _together(states, weights, _shares(states, weights))
    kept = np.full(len(states), True)
    for n, option in enumerate(first):
        looks = seen[n].roles.get(Role.SECTION, 0.0) + seen[n].roles.get(Role.OPENING, 0.0)
        if search.offered[n][option].role not in ALONG and looks >= _LOOKS:
            sections = [o for o, m in enumerate(search.offered[n]) if m.role is Role.SECTION]
            so = np.isin(states[:, n], sections)
            kept &= so | (weights[so].sum() < _FAIRLY * weights.sum())
    return (
        _together(states[kept], weights[kept], _shares(states[kept], weights[kept])) if kept.any() else first
    )


_FAIR_SHARE, _LOOKED_AT = 0.15, 40
"""From this share on of the states, of the likeliest so many, it is ours to tell what a number measures before the
customer is asked for a slip: on 499 sheets of five drawers to learn from four clean plans more of 370 close and four
fewer have an alarm, and as many slips are listed. Where sections may be left out of a sum as well, or overalls be told
otherwise, up to seven clean plans more close, but slips are lost, one with a wall that is wrong without a mark."""


def _without_trouble(
    search: Search, first: State, states: NDArray[np.int64], weights: NDArray[np.float64]
) -> State:
    """The likeliest state whose sums all come out and in which more numbers are sections of a wall than in `first`, all
    else being alike, where such states have a fair share; `first` itself where its sums come out, or there are none."""
    if not _misses(search, first):
        return first
    order = np.argsort(-weights, kind="stable")[:_LOOKED_AT]
    fair = [
        (state, float(weights[n]))
        for n in order
        if _adds_sections(search, first, state := tuple(states[n].tolist())) and not _misses(search, state)
    ]
    share = sum(weight for _, weight in fair) / float(weights.sum())
    return fair[0][0] if share >= _FAIR_SHARE else first


def _misses(search: Search, state: State) -> bool:
    return Sums.MISS in _sums(search.weights, state).values()


def _adds_sections(search: Search, first: State, state: State) -> bool:
    """Whether numbers that are no lengths along the walls in the first state are sections of a wall in the other, and
    all else is as it was."""
    each = [
        (search.offered[n][a], search.offered[n][b])
        for n, (a, b) in enumerate(zip(first, state, strict=True))
    ]
    changed = [(before, after) for before, after in each if before != after]
    return bool(changed) and all(
        before.role not in ALONG and after.role is Role.SECTION and before.text == after.text
        for before, after in changed
    )


def _sums(weights: Weights, state: State) -> dict[int, Sums]:
    """What the sums say of each number that is part of any, in one state."""
    found: dict[int, Sums] = {}
    for agreed, numbers in weights.agreements(state):
        for n, each in enumerate(numbers):
            if agreed.checked[n] < CHECKED:
                continue
            says = Sums.MISS if agreed.broken[n] > 0.5 else Sums.COME_OUT
            found |= {i: says for i in each if found.get(i) is not Sums.MISS}
    return found


def _shares(states: NDArray[np.int64], weights: NDArray[np.float64]) -> list[dict[int, float]]:
    """The share of the weight in which each number has each of its meanings."""
    found = []
    for taken in states.T:
        share = np.bincount(taken, weights) / weights.sum()
        found.append({int(option): float(share[option]) for option in np.unique(taken)})
    return found


def _together(
    states: NDArray[np.int64], weights: NDArray[np.float64], shares: Sequence[Mapping[int, float]]
) -> State:
    """Of the states the one whose numbers all have what is likeliest for each, as far as they go together: a state may
    be the single best one for a meaning that most others speak against."""
    speaks_for = np.zeros(len(states))
    for taken, share in zip(states.T, shares, strict=True):
        options, at = np.unique(taken, return_inverse=True)
        speaks_for += np.log([share[option] for option in options.tolist()])[at]
    return tuple(states[np.lexsort((weights, speaks_for))[-1]].tolist())


def _inferred_number(
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
        role = _likeliest_role(apart, means)
        key = max((m.key for m in apart if m.role is role), key=lambda k: means[k])
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


def _likeliest_role(apart: Sequence[Meaning], means: Mapping[object, float]) -> Role:
    """The role that is likeliest at all walls together."""
    shares: dict[Role, float] = {}
    for role, key in {(m.role, m.key) for m in apart}:
        shares[role] = shares.get(role, 0.0) + means[key]
    return max(sorted(shares), key=lambda role: shares[role])


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
