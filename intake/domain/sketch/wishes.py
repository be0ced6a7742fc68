"""What a wall's sum would want a number to be where it does not add up: said beside the reading, never put in its
place. The ink's own reading stands; whether the customer slipped is for domain/room/slips and a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import sqrt

from intake.domain.lengths.notation import format_cm, parse_length
from intake.domain.room.catalogue import LOST_DIGIT, MISREAD, SWAPPED, TEN_TIMES, changes_of
from intake.domain.sketch.decoding import CHAIN, Decision, Seen, sigma_mm
from intake.model.reading import Role
from intake.model.room import Measurement

KINDS = {
    TEN_TIMES: "ten times as much is written",
    SWAPPED: "two digits changed places",
    LOST_DIGIT: "a digit is left out",
    MISREAD: "a digit differs",
}
"""The slips whose trace a single number bears."""
_SIGMAS = 3.0


def with_wishes(decisions: Sequence[Decision], seen: Sequence[Seen], unit: str) -> tuple[Decision, ...]:
    """The decisions, those with a sentence added that one slip of theirs would make their wall add up."""
    noted = list(decisions)
    for wall in sorted({s.wall for s in seen if s.wall is not None}):
        members = [i for i, s in enumerate(seen) if s.wall == wall]
        for i, wanted, kind in _wanted([(i, decisions[i]) for i in members], unit):
            text = decisions[i].text
            note = (
                f"The ink says {text}; its wall would add up with {format_cm(wanted)} cm here: {KINDS[kind]}."
            )
            noted[i] = replace(noted[i], note=f"{noted[i].note} {note}".strip())
    return tuple(noted)


def _wanted(numbers: Sequence[tuple[int, Decision]], unit: str) -> Iterator[tuple[int, int, str]]:
    """The numbers of one wall that a single slip of a known kind would explain, with the length meant and the kind."""
    values = {i: parse_length(d.text, unit) for i, d in numbers}
    chain = [i for i, d in numbers if d.role in CHAIN]
    overalls = [i for i, d in numbers if d.role is Role.OVERALL]
    if len(overalls) != 1 or len(chain) < 2 or any(values[i] is None for i in (*chain, *overalls)):
        return
    known = {i: value for i, value in values.items() if value is not None}
    gap = known[overalls[0]] - sum(known[i] for i in chain)
    room = _SIGMAS * sigma_mm(unit) * sqrt(len(chain) + 1)
    if abs(gap) <= room:
        return
    texts = {i: d.text for i, d in numbers}
    for i in (*chain, *overalls):
        wanted = known[i] + (gap if i in chain else -gap)
        slips = changes_of(Measurement("", texts[i], known[i]), [], [])
        fit = [c for c in slips if c.kind in KINDS and abs(c.meant_mm - wanted) <= room]
        if fit:
            best = min(fit, key=lambda c: (list(KINDS).index(c.kind), abs(c.meant_mm - wanted)))
            yield i, best.meant_mm, best.kind
