"""Whether a room closes, by how much it misses, and everything that follows from it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from intake.domain.room.adjusting import (
    UNCHECKED,
    Adjustment,
    careless_factor,
    critical_value,
    scaled,
)
from intake.domain.room.bare_stretches import bare_stretches, unchecked_with_gap
from intake.domain.room.closing_findings import (
    LIKELY,
    NAMED,
    careless_note,
    closing_findings,
    notes_on_reach,
    unplaced_note,
)
from intake.domain.room.closures import closures_of
from intake.domain.room.fit import clash_findings, fit_of
from intake.domain.room.heights import check_heights, height_cautions
from intake.domain.room.net import Net, solve
from intake.domain.room.net_building import build_net, fitted
from intake.domain.room.next_measure import next_to_pin, next_to_square, next_to_strengthen
from intake.domain.room.placing import place_adjusted, place_measured
from intake.domain.room.slip_words import slip_of
from intake.domain.room.slips import SlipSearch, find_slips
from intake.domain.room.soundness import check_sound
from intake.domain.room.squareness import check_squareness
from intake.domain.room.suspects import Suspect
from intake.domain.room.unproved import unproved
from intake.domain.room.ways_in import check_ways_in
from intake.model.chances import chance
from intake.model.examination import (
    AdjustedReading,
    Closure,
    ClosureKind,
    NextMeasure,
    PlacedRoom,
    RoomExamination,
    RoomFit,
    SlipKind,
)
from intake.model.finding import Finding
from intake.model.room import Measurement, RoomSurvey

UNFIT = frozenset({"no-walls", "too-many-walls", "too-many-lengths"})
"""Findings after which there is nothing to compute."""
ALIKE = 0.98
"""Standardised residuals from this share of the largest on are as large: rounding keeps equal ones apart."""
AXES = ("x", "y", "xy")
SURE = 0.8
"""A single reading suspected more than this is left out of the layout, and marked."""


def examine_room(room: RoomSurvey) -> RoomExamination:
    """Everything the arithmetic says of a room as measured. Never raises for what a customer wrote, never changes a
    measured value: `placed` rests on the adjustment, or leaves a reading out, or shows the gap, and says which."""
    sound, faults = check_sound(room)
    findings = (*room.findings, *faults, *check_heights(room))
    if any(f.code in UNFIT for f in faults):
        return RoomExamination(room, None, findings=findings)
    net, adjustment = fitted(sound)
    closures = closures_of(sound, net, adjustment)
    closes = _verdict(closures, net, adjustment)
    if closes and not sound.closed:
        closes = None
    searches = _searches(sound, net, adjustment, closures) if closes is False else []
    factor = careless_factor(adjustment) if closes else 1.0
    adjustment = scaled(adjustment, factor)
    placed = _place(sound, net, adjustment, searches)
    fit = fit_of(sound, placed)
    return RoomExamination(
        survey=room,
        closes=closes,
        closures=closures,
        readings=_adjusted_readings(sound, net, adjustment, searches),
        slips=tuple(slip_of(sound, s) for s in _ranked(searches)),
        none_probability=max((s.none for s in searches), default=0.0),
        next_measures=_next(sound, net, adjustment, searches, fit),
        placed=placed,
        findings=(
            *findings,
            *closing_findings(sound, closures, net, searches, placed),
            *bare_stretches(sound, net, adjustment),
            *check_squareness(sound, placed),
            *clash_findings(sound, fit),
        ),
        notes=(
            *notes_on_reach(net, adjustment, not searches),
            *careless_note(factor),
            *unplaced_note(room),
            *check_ways_in(room),
            *height_cautions(room),
        ),
        fit=fit,
    )


def _verdict(closures: tuple[Closure, ...], net: Net, adjustment: Adjustment) -> bool | None:
    """None where nothing checks anything."""
    if not any(_checked(net, adjustment, axis) for axis in AXES):
        return None
    critical = _critical(net, adjustment)
    worst = max(_worst(net, adjustment, axis) for axis in AXES)
    return not (worst > critical or any(c.beyond for c in closures))


def _checked(net: Net, adjustment: Adjustment, axis: str) -> list[int]:
    """Rows of the readings on an axis that something checks."""
    rows = [n for n, e in enumerate(net.equations) if e.reading and e.axis == axis]
    return [n for n in rows if adjustment.redundancy[n] > UNCHECKED]


def _critical(net: Net, adjustment: Adjustment) -> float:
    """What no residual of a sound room exceeds: readings of one chain share theirs, so this is on the safe side."""
    return critical_value(sum(len(_checked(net, adjustment, axis)) for axis in AXES))


def _worst(net: Net, adjustment: Adjustment, axis: str) -> float:
    """The largest standardised residual on an axis."""
    return float(np.max(np.abs(adjustment.standardised[_checked(net, adjustment, axis)]), initial=0.0))


def _searches(
    room: RoomSurvey, net: Net, adjustment: Adjustment, closures: tuple[Closure, ...]
) -> list[SlipSearch]:
    """One search an axis that does not close; where neither one change nor two explain an axis, also one for each of
    its walls whose own sections and overall disagree, by that wall alone."""
    critical = _critical(net, adjustment)
    found = []
    for axis in AXES:
        readings = {e.reading for e in net.equations if e.reading and e.axis == axis}
        beyond = [c for c in closures if c.beyond and set(c.readings) <= readings]
        if beyond or _worst(net, adjustment, axis) > critical:
            search = find_slips(room, net, adjustment, axis)
            found.append(search)
            if not search.explained and not search.suspects:
                found += [
                    _search_of_wall(room, c.walls[0], axis) for c in beyond if c.kind is ClosureKind.WALL
                ]
    return found


def _search_of_wall(room: RoomSurvey, wall: int, axis: str) -> SlipSearch:
    mine = {m.id for m in (*(s.length for s in room.walls[wall].sections), *room.walls[wall].overalls)}
    alone = without(room, frozenset(m.id for m in room.lengths()) - mine)
    net = build_net(alone)
    return find_slips(alone, net, solve(net), next((e.axis for e in net.equations if e.wall == wall), axis))


OF_THE_PLAN = frozenset(
    {
        "does-not-close",
        "no-single-change",
        "no-usual-slip",
        "not-measured",
        "stretch-without-number",
        "no-room-left",
        "wall-backwards",
        "walls-cross",
    }
)
"""What an examination says of the plan's own sums and of what is left out of it."""
MOST_TOLD = 5


def plan_findings(examination: RoomExamination) -> list[Finding]:
    """What the plan's sums come to, as findings: what does not close, the likeliest slips, what has no length. None for
    a plan that adds up."""
    found = [f for f in examination.findings if f.code in OF_THE_PLAN]
    for slip in examination.slips[:MOST_TOLD]:
        numbers = () if slip.number is None else (slip.number,)
        text = f"{chance(slip.probability).capitalize()}: {slip.explanation}"
        found.append(Finding(f"slip-{slip.kind}", text, numbers))
    return found


def _ranked(searches: list[SlipSearch]) -> list[Suspect]:
    """All suspects, likeliest first; over the whole room their chances add up to 1 at most, of which each part that
    does not come out has its share. Of two alike likely that of a known kind is first: it says what was meant."""
    whole = max(1.0, sum(s.probability for search in searches for s in search.suspects))
    shared = [replace(s, probability=s.probability / whole) for search in searches for s in search.suspects]
    return sorted(shared, key=lambda s: (-round(s.probability, 3), s.kind is SlipKind.OTHER))


def _place(room: RoomSurvey, net: Net, adjustment: Adjustment, searches: list[SlipSearch]) -> PlacedRoom:
    """Adjusted where the room closes; without the one suspect of each axis where that makes it close; else as
    measured, with the gap."""
    adjusted = place_adjusted(room, net, adjustment, frozenset())
    if not searches:
        return adjusted
    leading = [search.leading_reading() for search in searches if search.explained]
    if leading and all(share > SURE for _, share in leading):
        left_out = frozenset(reading for reading, _ in leading)
        rest = without(room, left_out)
        net, adjustment = fitted(rest)
        if _verdict(closures_of(rest, net, adjustment), net, adjustment) is not False:
            return place_adjusted(room, net, adjustment, left_out)
    return place_measured(room, adjusted)


def without(room: RoomSurvey, readings: frozenset[str]) -> RoomSurvey:
    """The room as if these lengths had not been measured."""

    def blank(m: Measurement) -> Measurement:
        return replace(m, value_mm=None) if m.id in readings else m

    walls = tuple(
        replace(
            w,
            sections=tuple(replace(s, length=blank(s.length)) for s in w.sections),
            overalls=tuple(blank(o) for o in w.overalls),
        )
        for w in room.walls
    )
    return replace(room, walls=walls, across=tuple(replace(a, length=blank(a.length)) for a in room.across))


def _next(
    room: RoomSurvey, net: Net, adjustment: Adjustment, searches: list[SlipSearch], fit: RoomFit
) -> tuple[NextMeasure, ...]:
    if searches:
        return next_to_pin(searches)
    stronger = next_to_strengthen(room, net, adjustment)
    return (*stronger[:1], *next_to_square(room, fit), *stronger[1:])


def _adjusted_readings(
    room: RoomSurvey, net: Net, adjustment: Adjustment, searches: list[SlipSearch]
) -> tuple[AdjustedReading, ...]:
    """One row a measured length, in the order of the net."""
    doubtful = _doubtful(net, adjustment, searches) | unchecked_with_gap(room, net, adjustment)
    doubtful |= unproved(room, net, adjustment, gapes=bool(searches))
    rows = []
    for n, e in enumerate(net.equations):
        if not e.reading:
            continue
        checked = bool(adjustment.redundancy[n] > UNCHECKED)
        residual = float(adjustment.residuals[n])
        rows.append(
            AdjustedReading(
                id=e.reading,
                measured_mm=round(e.observed),
                adjusted_mm=e.observed + residual,
                sd_mm=float(adjustment.adjusted_sd[n]),
                residual_mm=residual,
                redundancy=float(adjustment.redundancy[n]),
                standardised=float(adjustment.standardised[n]) if checked else None,
                detectable_mm=float(adjustment.detectable[n]) if checked else None,
                doubtful=e.reading in doubtful,
            )
        )
    return tuple(rows)


def _doubtful(net: Net, adjustment: Adjustment, searches: list[SlipSearch]) -> set[str]:
    """Readings that may be the slip: those that a suspect names; where hardly any is named, all whose residual is as
    large as the largest of their axis."""
    found: set[str] = set()
    for search in searches:
        found |= {s.reading for s in search.suspects if s.reading and s.probability >= NAMED}
        if sum(s.probability for s in search.suspects if s.reading) > LIKELY:
            continue
        largest = _worst(net, adjustment, search.axis)
        for n, e in enumerate(net.equations):
            if (
                e.reading
                and e.axis == search.axis
                and abs(float(adjustment.standardised[n])) > ALIKE * largest
            ):
                found.add(e.reading)
    return found
