"""Whether a room closes, by how much it misses, and everything that follows from it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from intake.domain.room.adjusting import UNCHECKED, Adjustment, careless_factor, scaled
from intake.domain.room.bare_stretches import bare_stretches, unchecked_with_gap
from intake.domain.room.changes import Suspect
from intake.domain.room.closing_findings import (
    LIKELY,
    NAMED,
    careless_note,
    closing_findings,
    notes_on_reach,
    unplaced_note,
)
from intake.domain.room.closures import closures_of
from intake.domain.room.elsewhere import stand_at_measured_walls, written_twice
from intake.domain.room.fit import clash_findings, fit_of
from intake.domain.room.heights import check_heights, height_cautions
from intake.domain.room.left_out import left_out
from intake.domain.room.left_over import of_another_wall, spoken_against
from intake.domain.room.net import Net
from intake.domain.room.net_building import fitted
from intake.domain.room.next_measure import next_to_pin, next_to_square, next_to_strengthen
from intake.domain.room.placing import place_adjusted, place_measured
from intake.domain.room.posterior import JudgedAxis, JudgedRoom, judged
from intake.domain.room.slip_words import slip_of
from intake.domain.room.soundness import check_sound
from intake.domain.room.squareness import check_squareness
from intake.domain.room.unproved import unproved
from intake.domain.room.ways_in import check_ways_in
from intake.model.chances import chance
from intake.model.examination import (
    AdjustedReading,
    NextMeasure,
    PlacedRoom,
    RoomExamination,
    RoomFit,
)
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.room import Measurement, RoomSurvey

UNFIT = frozenset({"no-walls", "too-many-walls", "too-many-lengths"})
"""Findings after which there is nothing to compute."""
ALIKE = 0.98
"""Standardised residuals from this share of the largest on are as large: rounding keeps equal ones apart."""
SURE = 0.8
"""A single reading suspected more than this is left out of the layout, and marked."""


def examine_room(room: RoomSurvey) -> RoomExamination:
    """Everything the arithmetic says of a room as measured. Never raises for what a customer wrote, never changes a
    measured value: `placed` rests on the adjustment, or leaves a reading out, or shows the gap, and says which."""
    whole, faults = check_sound(room)
    findings = (*room.findings, *faults, *check_heights(room))
    if any(f.code in UNFIT for f in faults):
        return RoomExamination(room, None, findings=findings)
    sound, net, adjustment, verdict = _judged(whole)
    parts = verdict.in_trouble
    closures = closures_of(sound, net, adjustment, bool(parts))
    closes = None if verdict.closes and not sound.closed else verdict.closes
    factor = careless_factor(adjustment) if closes else 1.0
    adjustment = scaled(adjustment, factor)
    placed = _place(sound, whole, net, adjustment, parts)
    fit = fit_of(sound, placed)
    return RoomExamination(
        survey=room,
        closes=closes,
        closures=closures,
        readings=_adjusted_readings(sound, net, adjustment, verdict),
        slips=tuple(slip_of(sound, c) for c in _slips(sound, verdict, placed)),
        none_probability=max((p.unusual for p in parts), default=0.0),
        next_measures=_next(sound, net, adjustment, parts, fit),
        placed=placed,
        findings=(
            *findings,
            *closing_findings(sound, closures, net, parts, placed),
            *bare_stretches(sound, net, adjustment),
            *check_squareness(sound, placed),
            *clash_findings(sound, fit),
        ),
        notes=(
            *notes_on_reach(net, adjustment, not parts),
            *careless_note(factor),
            *unplaced_note(room),
            *check_ways_in(room),
            *height_cautions(room),
        ),
        fit=fit,
    )


def _judged(room: RoomSurvey) -> tuple[RoomSurvey, Net, Adjustment, JudgedRoom]:
    """The room as it was judged: while its walls do not add up by themselves, the lengths from corner to corner say
    nothing, as they are told from walls that are metres out, and are left out of it."""
    net, adjustment = fitted(room)
    verdict = judged(room, net, adjustment)
    walls = replace(room, across=tuple(a for a in room.across if a.corners is None))
    if verdict.closes is not False or walls == room:
        return room, net, adjustment, verdict
    net_of_walls, adjusted = fitted(walls)
    of_walls = judged(walls, net_of_walls, adjusted)
    if of_walls.closes is not False:
        return room, net, adjustment, verdict
    return walls, net_of_walls, adjusted, of_walls


def _slips(room: RoomSurvey, verdict: JudgedRoom, placed: PlacedRoom) -> list[Suspect]:
    """All that is suspected, likeliest first: what the sums show, and what they do not: numbers written twice, and, of
    a room that closes, numbers left out, written at another wall, or spoken against. All their chances add up to 1 at
    most."""
    unseen = written_twice(room)
    if verdict.closes is not False:
        unseen += left_out(room, placed)
    if verdict.closes:
        unseen += stand_at_measured_walls(room)
        unseen += [*spoken_against(room, placed), *of_another_wall(room, placed)]
    rest = math.prod(1.0 - c.probability for c in unseen)
    any_of_them = (1.0 - rest) / (sum(c.probability for c in unseen) or 1.0)
    unseen = [replace(c, probability=c.probability * any_of_them) for c in unseen]
    shown = [replace(c, probability=c.probability * rest) for c in verdict.suspects()]
    return sorted([*unseen, *shown], key=lambda c: -c.probability) if unseen else shown


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
"""So many slips are told as findings; the desk lists them all (set by hand)."""


def plan_findings(examination: RoomExamination) -> list[Finding]:
    """What the plan's sums come to, as findings: what does not close, the likeliest slips, what has no length. None for
    a plan that adds up."""
    found = [f for f in examination.findings if f.code in OF_THE_PLAN]
    for slip in examination.slips[:MOST_TOLD]:
        numbers = () if slip.number is None else (slip.number,)
        text = phrase("likely-slip", chance=chance(slip.probability).capitalize(), what=slip.explanation)
        found.append(Finding(f"slip-{slip.kind}", text, numbers))
    return found


def _place(
    room: RoomSurvey, whole: RoomSurvey, net: Net, adjustment: Adjustment, parts: list[JudgedAxis]
) -> PlacedRoom:
    """Adjusted where the room closes; without the one suspect of each axis where that makes the `whole` close, its
    diagonals with it; else as measured, with the gap."""
    adjusted = place_adjusted(room, net, adjustment, frozenset())
    if not parts:
        return adjusted
    leading = [part.leading_reading() for part in parts if part.explained]
    if leading and all(share > SURE for _, share in leading):
        left_out = frozenset(reading for reading, _ in leading)
        rest = without(whole, left_out)
        net, adjustment = fitted(rest)
        if judged(rest, net, adjustment).closes is not False:
            return place_adjusted(whole, net, adjustment, left_out)
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
    room: RoomSurvey, net: Net, adjustment: Adjustment, parts: list[JudgedAxis], fit: RoomFit
) -> tuple[NextMeasure, ...]:
    if parts:
        return next_to_pin(parts)
    stronger = next_to_strengthen(room, net, adjustment)
    return (*stronger[:1], *next_to_square(room, fit), *stronger[1:])


def _adjusted_readings(
    room: RoomSurvey, net: Net, adjustment: Adjustment, verdict: JudgedRoom
) -> tuple[AdjustedReading, ...]:
    """One row a measured length, in the order of the net."""
    doubtful = _doubtful(net, adjustment, verdict) | unchecked_with_gap(room, net, adjustment)
    doubtful |= unproved(room, net, adjustment, gapes=bool(verdict.in_trouble))
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


def _doubtful(net: Net, adjustment: Adjustment, verdict: JudgedRoom) -> set[str]:
    """Readings that may be the slip: those that a suspect names; where hardly any is named, all whose residual is as
    large as the largest of their axis."""
    moved = [c for c in verdict.suspects() if c.to is not None and c.probability >= NAMED]
    found = {reading for c in moved for reading in (c.reading, c.other) if reading}
    for part in verdict.in_trouble:
        found |= {c.reading for c in part.changes if c.reading and c.probability >= NAMED}
        if sum(c.probability for c in (*moved, *part.changes) if c.reading) > LIKELY:
            continue
        rows = [n for n, e in enumerate(net.equations) if e.reading and e.axis is part.axis]
        sizes = np.nan_to_num(np.abs(adjustment.standardised[rows]))
        found |= {
            net.equations[n].reading for n, s in zip(rows, sizes, strict=True) if s > ALIKE * sizes.max()
        }
    return found
