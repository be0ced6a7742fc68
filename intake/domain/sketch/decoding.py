"""Reading a plan's numbers together: what the readers see, weighed against what the plan's own sums allow.

The numbers by one wall are a chain of sections and openings and perhaps the overall that they add up to;
walls that run opposite ways add up to the same. Readings, and which number is the overall, are chosen
together: each joint state weighs the product of its readings' chances and of how well its sums fit, a fit
being believed only so far (the customer may have slipped, or a number may be missing), and every number may
say none of what the readers offer. A number's probability is the share of the weight of all states in which
it says what it says (a sum over a beam: sum-product on a small factor graph; Kschischang, Frey and Loeliger,
IEEE Trans. Inf. Theory 47, 2001).

Only readings that a reader offered can win: what the plan would rather have is named, never put in their
place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import exp, pi, sqrt

from intake.domain.lengths.notation import parse_length
from intake.domain.lengths.written import written_sigma
from intake.model.reading import Alternative, Direction, Role

_SIGMA_MM = 6.0
"""One reading of a tape by a customer, with rounding to half a centimetre (0.5 cm, and a little for a hand-
held end)."""
_BROAD_MM = 4000.0
"""Lengths that do not have to fit are spread over about this."""
_TRUST_WALL, _TRUST_ROOM = 0.75, 0.6
"""How often a wall's chain really adds up to its overall, and opposite walls to one another, when both are
there: the rest are slips, numbers not found and numbers put to the wrong wall."""
_ALTERNATIVES = 5
CLEAR = 0.9
"""Ink read this surely says what it says, whatever the sums would have."""
_BEAM = 240
_STATES = 40

CHAIN = (Role.SECTION, Role.OPENING)


@dataclass(frozen=True)
class Seen:
    """One number as the readers and the drawing have it.

    `texts` are calibrated and add up to at most 1. `role` is what its words or the drawing say, UNKNOWN where
    they do not; `wall` the wall it stands by, None for none; `outer` its odds (0 to 1) of being an overall by
    its place alone.
    """

    texts: tuple[Alternative, ...]
    role: Role = Role.UNKNOWN
    wall: int | None = None
    outer: float = 0.3


@dataclass(frozen=True)
class Decision:
    """What was made of one number. `text` is the reading chosen, `probability` its chance after the
    arithmetic, `alone` before it. `fits`: how many sums bear it out. `note` is a sentence on the sums, ""
    where none touch it."""

    text: str
    probability: float
    alone: float
    role: Role
    fits: int = 0
    note: str = ""


@dataclass(frozen=True)
class _State:
    """One way to read a wall: a choice of text a number (None: none of them), its overall, and its length."""

    weight: float
    choices: tuple[int | None, ...]
    overall: int | None
    length: float | None
    fits: bool


@dataclass
class _Belief:
    """The weight gathered for one number."""

    texts: dict[int | None, float] = field(default_factory=dict)
    overall: float = 0.0
    fit: float = 0.0
    total: float = 0.0


def sigma_mm(unit: str) -> float:
    """The spread of one reading on a sketch in `unit`."""
    return written_sigma(_SIGMA_MM, "", unit)


def decode(seen: Sequence[Seen], walls: Mapping[int, Direction], unit: str) -> tuple[Decision, ...]:
    """Choose every number's text and role. `walls` gives each wall's direction."""
    members = {w: [i for i, s in enumerate(seen) if s.wall == w and _may_chain(s)] for w in walls}
    lengths = [[_mm(a.text, unit) for a in s.texts[:_ALTERNATIVES]] for s in seen]
    sigma = sigma_mm(unit)
    states = {
        w: _wall_states([seen[i] for i in m], [lengths[i] for i in m], sigma) for w, m in members.items() if m
    }
    beliefs = [_Belief() for _ in seen]
    for axis in _axes(walls):
        _weigh_axis(axis, states, members, beliefs, sigma)
    return tuple(_decision(s, b, unit) for s, b in zip(seen, beliefs, strict=True))


def _may_chain(seen: Seen) -> bool:
    return seen.role in (*CHAIN, Role.OVERALL, Role.UNKNOWN)


def _mm(text: str, unit: str) -> float | None:
    length = parse_length(text, unit)
    return None if length is None else float(length)


def _axes(walls: Mapping[int, Direction]) -> list[tuple[list[int], list[int]]]:
    """The walls in pairs of opposite directions; a slanting wall stands by itself, with nothing to balance
    it."""
    by = {d: [w for w, direction in walls.items() if direction is d] for d in Direction}
    slant: list[tuple[list[int], list[int]]] = [([w], []) for w in by[Direction.OTHER]]
    closed = not slant
    pairs = [(by[Direction.EAST], by[Direction.WEST]), (by[Direction.SOUTH], by[Direction.NORTH])]
    if closed:
        return pairs
    return [([w], []) for pair in pairs for side in pair for w in side] + slant


def _wall_states(
    seen: Sequence[Seen], lengths: Sequence[Sequence[float | None]], sigma: float
) -> list[_State]:
    """The likeliest ways to read the numbers by one wall, heaviest first."""
    states = [
        _state(weight, choices, overall, seen, lengths, sigma)
        for weight, choices in _joint_texts(seen)
        for overall in _possible_overalls(seen)
    ]
    return sorted(states, key=lambda s: -s.weight)[:_STATES]


def _joint_texts(seen: Sequence[Seen]) -> list[tuple[float, tuple[int | None, ...]]]:
    """The likeliest joint choices of texts by the readers alone."""
    joint: list[tuple[float, tuple[int | None, ...]]] = [(1.0, ())]
    for s in seen:
        clear = bool(s.texts) and s.texts[0].confidence >= CLEAR
        offered = [(a.confidence, i) for i, a in enumerate(s.texts[: 1 if clear else _ALTERNATIVES])]
        options: list[tuple[float, int | None]] = [
            *offered,
            (max(0.01, 1 - sum(p for p, _ in offered)), None),
        ]
        grown = [(w * p, (*chosen, i)) for (w, chosen), (p, i) in product(joint, options)]
        joint = sorted(grown, key=lambda g: -g[0])[:_BEAM]
    return joint


def _possible_overalls(seen: Sequence[Seen]) -> list[int | None]:
    if len(seen) < 2:
        return [0] if seen[0].role is Role.OVERALL or seen[0].outer > 0.5 else [None]
    said = [i for i, s in enumerate(seen) if s.role is Role.OVERALL]
    return list(said) or [None, *(i for i, s in enumerate(seen) if s.role is Role.UNKNOWN)]


def _state(
    weight: float,
    choices: tuple[int | None, ...],
    overall: int | None,
    seen: Sequence[Seen],
    lengths: Sequence[Sequence[float | None]],
    sigma: float,
) -> _State:
    taken = [None if c is None else lengths[i][c] for i, c in enumerate(choices)]
    for i, s in enumerate(seen):
        weight *= s.outer if i == overall else 1 - s.outer
    chain = [v for i, v in enumerate(taken) if i != overall]
    total = None if any(v is None for v in chain) or not chain else sum(v for v in chain if v is not None)
    if overall is None:
        return _State(weight, choices, None, total, False)
    whole = taken[overall]
    if whole is None or total is None or len(chain) < 2:
        return _State(weight * (1.0 if whole else 0.5), choices, overall, whole or total, False)
    fit, spread = _fit(whole - total, sigma * sqrt(len(chain) + 1), _TRUST_WALL)
    return _State(weight * (fit + spread), choices, overall, whole, fit > spread)


def _fit(gap: float, sigma: float, trust: float) -> tuple[float, float]:
    """How much likelier a gap (spread `sigma`) is than any other, if the sum must fit, and if it need not."""
    must = trust * exp(-0.5 * (gap / sigma) ** 2) / (sigma * sqrt(2 * pi)) * _BROAD_MM
    return must, 1 - trust


def _weigh_axis(
    axis: tuple[list[int], list[int]],
    states: Mapping[int, list[_State]],
    members: Mapping[int, list[int]],
    beliefs: Sequence[_Belief],
    sigma: float,
) -> None:
    """Combine the walls of one axis and gather every number's weight."""
    there, back = axis
    with_numbers = [w for w in (*there, *back) if w in states]
    balanced = bool(there and back) and len(with_numbers) == len(there) + len(back)
    beam: list[tuple[float, float | None, tuple[_State, ...]]] = [(1.0, 0.0, ())]
    for w in with_numbers:
        sign = 1 if w in there else -1
        grown = [
            (weight * s.weight, _plus(gap, sign, s.length), (*chosen, s))
            for (weight, gap, chosen), s in product(beam, states[w])
        ]
        beam = sorted(grown, key=lambda g: -g[0])[: 20 * _BEAM]
    readings = sum(len(members[w]) for w in with_numbers)
    for weight, gap, chosen in beam:
        fits = False
        if balanced and gap is not None:
            fit, spread = _fit(gap, sigma * sqrt(min(readings, 6)), _TRUST_ROOM)
            weight, fits = weight * (fit + spread), fit > spread
        _gather(weight, fits, [(members[w], s) for w, s in zip(with_numbers, chosen, strict=True)], beliefs)


def _plus(gap: float | None, sign: int, length: float | None) -> float | None:
    return None if gap is None or length is None else gap + sign * length


def _gather(
    weight: float, balanced: bool, chosen: Sequence[tuple[list[int], _State]], beliefs: Sequence[_Belief]
) -> None:
    for numbers, state in chosen:
        for place, (i, choice) in enumerate(zip(numbers, state.choices, strict=True)):
            belief = beliefs[i]
            belief.total += weight
            belief.texts[choice] = belief.texts.get(choice, 0.0) + weight
            belief.overall += weight * (place == state.overall)
            belief.fit += weight * (state.fits + balanced)


def _decision(seen: Seen, belief: _Belief, unit: str) -> Decision:
    """The likeliest text; a number whose wall says nothing keeps its readers' word."""
    first = seen.texts[0]
    if belief.total <= 0:
        return Decision(first.text, first.confidence, first.confidence, _role(seen.role, 0.0))
    shares = {c: w / belief.total for c, w in belief.texts.items()}
    best = max((c for c in shares if c is not None), key=lambda c: shares[c], default=0)
    alone = seen.texts[best].confidence
    role = _role(seen.role, belief.overall / belief.total)
    fits = round(belief.fit / belief.total)
    return Decision(seen.texts[best].text, shares.get(best, 0.0), alone, role, fits, _note(seen, best, fits))


def _role(said: Role, overall: float) -> Role:
    if said is Role.UNKNOWN:
        return Role.OVERALL if overall > 0.5 else Role.SECTION
    return said


def _note(seen: Seen, best: int, fits: int) -> str:
    if fits == 0:
        return ""
    sums = "the sums it is part of fit" if fits > 1 else "the sum it is part of fits"
    if best == 0:
        return f"Read as {seen.texts[0].text}, and {sums}."
    return f"The readers' first choice was {seen.texts[0].text}; with {seen.texts[best].text} {sums}."
