"""Whether a room closes, by how much it misses, and everything that follows from it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from intake.domain.room.adjusting import (
    UNCHECKED,
    Adjustment,
    careless_factor,
    critical_value,
    scaled,
    tau_critical,
    variance_bounds,
)
from intake.domain.room.closures import closures_of
from intake.domain.room.fit import clash_findings, fit_of
from intake.domain.room.heights import check_heights, height_cautions
from intake.domain.room.mirrored import two_outlines
from intake.domain.room.naming import cm, said
from intake.domain.room.net import BEARING, Net, build_net, fitted, solve, usable
from intake.domain.room.next_measure import next_to_pin, next_to_square, next_to_strengthen
from intake.domain.room.placing import crossing, place_adjusted, place_measured, runs_backwards
from intake.domain.room.slip_words import slip_of
from intake.domain.room.slips import SlipSearch, Suspect, find_slips
from intake.domain.room.soundness import check_sound
from intake.domain.room.squareness import check_squareness
from intake.domain.room.ways_in import check_ways_in
from intake.model.finding import Finding
from intake.model.reading import GivenBy
from intake.model.room import (
    OPENINGS,
    AdjustedReading,
    Basis,
    Closure,
    Measurement,
    NextMeasure,
    PlacedRoom,
    RoomExamination,
    RoomFit,
    RoomSurvey,
)

TAU_ALPHA = 0.01
"""Chance that a sound room has a reading that is said to stand out."""
LEAST_TOLD_MM = 15
LEAST_PIECE_MM = 20
UNFIT = frozenset({"no-walls", "too-many-walls", "too-many-lengths"})
"""Findings after which there is nothing to compute."""
AXES = ("x", "y", "xy")
NAMED = 0.02
"""A reading suspected at least this much is marked as doubtful."""
LIKELY = 0.5
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
        readings=_adjusted_readings(net, adjustment, searches),
        slips=tuple(slip_of(sound, s) for s in _ranked(searches)),
        none_probability=max((s.none for s in searches), default=0.0),
        next_measures=_next(sound, net, adjustment, searches, fit),
        placed=placed,
        findings=(
            *findings,
            *_closing_findings(sound, closures, net, searches, placed),
            *check_squareness(sound, placed),
            *clash_findings(sound, fit),
        ),
        notes=(
            *_notes(net, adjustment, not searches),
            *_careless(factor),
            *_unplaced(room),
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
    """One search an axis that does not close; where no single change explains an axis, also one for each of its walls
    whose own sections and overall disagree, by that wall alone."""
    critical = _critical(net, adjustment)
    found = []
    for axis in AXES:
        readings = {e.reading for e in net.equations if e.reading and e.axis == axis}
        beyond = [c for c in closures if c.beyond and set(c.readings) <= readings]
        if beyond or _worst(net, adjustment, axis) > critical:
            search = find_slips(room, net, adjustment, axis)
            found.append(search)
            if not search.explained:
                found += [_search_of_wall(room, c.walls[0], axis) for c in beyond if c.kind == "wall"]
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
        found.append(Finding(f"slip-{slip.kind}", f"{slip.probability:.0%}: {slip.explanation}", numbers))
    return found


def _ranked(searches: list[SlipSearch]) -> list[Suspect]:
    """All suspects, likeliest first; over the whole room their chances add up to 1 at most, of which each part that
    does not come out has its share."""
    whole = max(1.0, sum(s.probability for search in searches for s in search.suspects))
    shared = [replace(s, probability=s.probability / whole) for search in searches for s in search.suspects]
    return sorted(shared, key=lambda s: -s.probability)


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
    net: Net, adjustment: Adjustment, searches: list[SlipSearch]
) -> tuple[AdjustedReading, ...]:
    """One row a measured length, in the order of the net."""
    doubtful = _doubtful(net, adjustment, searches)
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
                and abs(float(adjustment.standardised[n])) > 0.98 * largest
            ):
                found.add(e.reading)
    return found


def _closing_findings(
    room: RoomSurvey, closures: tuple[Closure, ...], net: Net, searches: list[SlipSearch], placed: PlacedRoom
) -> Iterator[Finding]:
    by_axis = {s.axis: s for s in reversed(searches)}
    for search in by_axis.values():
        readings = {e.reading for e in net.equations if e.axis == search.axis}
        beyond = [c for c in closures if c.beyond and set(c.readings) <= readings]
        yield _does_not_close(
            room, search, sorted(beyond, key=lambda c: -abs(c.misclosure_mm) / max(c.limit_mm, 1))
        )
        if not search.explained:
            yield Finding(
                "no-single-change", "No single change explains it: two slips at least, or one of a new kind."
            )
        elif search.none > LIKELY:
            yield Finding("no-usual-slip", "No usual slip fits: what is marked has to be measured again.")
    if unmeasured := _unmeasured(room, placed):
        named = ", ".join(unmeasured[:8]) + (" and more" if len(unmeasured) > 8 else "")
        yield Finding("not-measured", f"Without a length: {named}.", _numbers(room, set(unmeasured)))
    yield from _impossible(room, placed)
    yield from two_outlines(room, placed)


def _impossible(room: RoomSurvey, placed: PlacedRoom) -> Iterator[Finding]:
    """What cannot be built as laid out: pieces with no room left for them, walls that run backwards or cross."""
    for wall, laid in zip(room.walls, placed.walls, strict=True):
        for part in laid.sections:
            if part.basis is Basis.DERIVED and part.end_mm - part.start_mm < LEAST_PIECE_MM:
                left = cm(max(part.end_mm - part.start_mm, 0))
                length = wall.sections[part.index].length
                why = "was not measured" if length.number is None else "could not be read"
                text = f"{length.id} {why}; the rest of the wall leaves {left} cm."
                yield Finding("no-room-left", text)
        if wall.direction in BEARING and runs_backwards(wall, laid):
            text = f"Wall {wall.letter} would have to run the other way for the room to close."
            yield Finding("wall-backwards", text)
    if crossing(room, placed):
        yield Finding("walls-cross", "Laid out as measured, walls of this room run through one another.")


def _unmeasured(room: RoomSurvey, placed: PlacedRoom) -> list[str]:
    """Openings without a width, and sections and whole walls without a length that the rest of the room does not fix;
    not those whose number stands on the plan but cannot be read."""
    found: list[str] = []
    for wall, laid in zip(room.walls, placed.walls, strict=True):
        bare = not wall.sections and not any(usable(o) for o in wall.overalls)
        found += [f"wall {wall.letter}"] if bare and laid.basis is not Basis.DERIVED else []
        for section, part in zip(wall.sections, laid.sections, strict=True):
            on_plan = section.length.number is not None and section.length.taken_from is GivenBy.SKETCH
            wanted = section.kind in OPENINGS or part.basis is not Basis.DERIVED
            if not usable(section.length) and not on_plan and wanted:
                found.append(section.length.id)
    return found


def _does_not_close(room: RoomSurvey, search: SlipSearch, beyond: list[Closure]) -> Finding:
    sums = "; ".join(
        f"{c.title} {signed_cm(c.misclosure_mm)} cm (limit {cm(c.limit_mm)})" for c in beyond[:3]
    )
    text = (
        f"Does not close: {sums}." if sums else "The measurements of this room do not agree with one another."
    )
    suspects = {s.reading for s in search.suspects if s.probability >= NAMED}
    return Finding(
        "does-not-close", text, _numbers(room, suspects or {r for c in beyond for r in c.readings})
    )


def signed_cm(mm: int) -> str:
    """A difference in centimetres with its sign."""
    return f"{'+' if mm > 0 else '-' if mm < 0 else ''}{cm(abs(mm))}"


def _numbers(room: RoomSurvey, readings: set[str]) -> tuple[int, ...]:
    """Indices in the sketch reading of these measurements."""
    return tuple(m.number for m in room.lengths() if m.id in readings and m.number is not None)


def _notes(net: Net, adjustment: Adjustment, sound: bool) -> Iterator[Finding]:
    """How far the arithmetic reaches; `sound` where no slip is suspected."""
    rows = [n for n, e in enumerate(net.equations) if e.reading]
    unchecked = [net.equations[n].reading for n in rows if adjustment.redundancy[n] <= UNCHECKED]
    checked = [n for n in rows if adjustment.redundancy[n] > UNCHECKED]
    if unchecked:
        named = ", ".join(unchecked[:8]) + (" and more" if len(unchecked) > 8 else "")
        text = f"{len(unchecked)} of {len(rows)} lengths are checked by nothing ({named}): a slip in them cannot show."
        yield Finding("unchecked", text)
    if checked:
        largest = max(float(adjustment.detectable[n]) for n in checked)
        text = f"A slip of less than about {cm(round(largest, -1))} cm may stay hidden, and two that cancel always do."
        yield Finding("below-detectable", text)
    if checked and sound:
        yield from _agreement(adjustment, checked)
        yield from _standing_out(net, adjustment, checked)


def _unplaced(room: RoomSurvey) -> Iterator[Finding]:
    if room.unplaced:
        named = ", ".join(said(m) for m in room.unplaced[:8]) + (
            " and more" if len(room.unplaced) > 8 else ""
        )
        numbers = tuple(m.number for m in room.unplaced if m.number is not None)
        yield Finding("unplaced", f"Read, but on no wall and in no sum: {named}.", numbers)


def _agreement(adjustment: Adjustment, checked: list[int]) -> Iterator[Finding]:
    """The error factor (standard deviation of unit weight) beside the bounds that chance keeps, 95 in 100."""
    freedom = round(float(np.sum(adjustment.redundancy[checked])))
    if freedom < 1:
        return
    low, high = variance_bounds(freedom)
    factor = adjustment.unit_sd
    how = "as well as" if low <= factor <= high else "better than" if factor < low else "less well than"
    text = f"The lengths agree {how} careful ones do: error factor {factor:.2f}, by chance {low:.2f} to {high:.2f}."
    yield Finding("agreement", text)


def _careless(factor: float) -> Iterator[Finding]:
    if factor > 1.0:
        text = (
            f"Measured less closely than most do: every deviation here is taken {factor:.1f} times as large."
        )
        yield Finding("careless-tape", text)


def _standing_out(net: Net, adjustment: Adjustment, checked: list[int]) -> Iterator[Finding]:
    """A reading within its limit that stands out from the others' own scatter (Pope's tau): this customer measures
    more closely than most, so even a small difference is worth a look."""
    freedom = round(float(np.sum(adjustment.redundancy[checked])))
    if freedom < 3 or adjustment.unit_sd < 1e-6:
        return
    sizes = np.abs(adjustment.standardised[checked]) / adjustment.unit_sd
    worst = checked[int(np.argmax(sizes))]
    slip = float(adjustment.residuals[worst] / adjustment.redundancy[worst])
    if np.max(sizes) > tau_critical(freedom, TAU_ALPHA / len(checked)) and abs(slip) >= LEAST_TOLD_MM:
        text = f"{net.equations[worst].reading} stands out: the rest would have it {cm(abs(slip))} cm"
        yield Finding("stands-out", f"{text} {'longer' if slip > 0 else 'shorter'}, within its limit.")
