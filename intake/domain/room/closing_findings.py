"""What to say of a room that does not close, and of how far the arithmetic reaches."""

from __future__ import annotations

from collections.abc import Iterator
from functools import reduce

import numpy as np

from intake.domain.room.adjusting import (
    UNCHECKED,
    Adjustment,
    tau_critical,
    variance_bounds,
)
from intake.domain.room.mirrored import two_outlines
from intake.domain.room.naming import cm, first_of, said
from intake.domain.room.net import BEARING, Net, usable
from intake.domain.room.placing import crossing, runs_backwards
from intake.domain.room.posterior import JudgedAxis
from intake.model.examination import (
    Basis,
    Closure,
    PlacedRoom,
)
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.reading import GivenBy
from intake.model.room import OPENINGS, RoomSurvey

NAMED = 0.02
"""A reading suspected at least this much is marked as doubtful."""
LIKELY = 0.5
TAU_ALPHA = 0.01
"""Chance that a sound room has a reading that is said to stand out."""
MOST_NAMED = 8
"""Lengths that are named where more lack something."""
LEAST_TOLD_MM = 15
"""A misfit less than this is no finding: three half centimetres of a tape (judgement)."""
LEAST_PIECE_MM = 20
"""A wall, or a piece of one, that the rest leaves less for leaves no room for it (judgement)."""


def closing_findings(
    room: RoomSurvey, closures: tuple[Closure, ...], net: Net, parts: list[JudgedAxis], placed: PlacedRoom
) -> Iterator[Finding]:
    for part in parts:
        readings = {e.reading for e in net.equations if e.axis is part.axis}
        beyond = [c for c in closures if c.beyond and set(c.readings) <= readings]
        yield _does_not_close(
            room, part, sorted(beyond, key=lambda c: -abs(c.misclosure_mm) / max(c.limit_mm, 1))
        )
        if not part.explained:
            yield Finding("no-single-change", phrase("no-single-change"))
        elif part.unusual > LIKELY:
            yield Finding("no-usual-slip", phrase("no-usual-slip"))
    if unmeasured := _unmeasured(room, placed):
        text = phrase("not-measured", named=first_of(unmeasured, MOST_NAMED))
        yield Finding("not-measured", text, _numbers(room, set(unmeasured)))
    yield from _impossible(room, placed)
    yield from two_outlines(room, placed)


def _impossible(room: RoomSurvey, placed: PlacedRoom) -> Iterator[Finding]:
    """What cannot be built as laid out: pieces with no room left for them, walls that run backwards or cross."""
    for wall, laid in zip(room.walls, placed.walls, strict=True):
        for part in laid.sections:
            if part.basis is Basis.DERIVED and part.end_mm - part.start_mm < LEAST_PIECE_MM:
                left = cm(max(part.end_mm - part.start_mm, 0))
                length = wall.sections[part.index].length
                key = "no-room-unmeasured" if length.number is None else "no-room-unread"
                yield Finding("no-room-left", phrase(key, what=length.id, left=left))
        if wall.direction in BEARING and runs_backwards(wall, laid):
            yield Finding("wall-backwards", phrase("wall-backwards", wall=wall.letter))
        elif laid.basis is Basis.DERIVED and laid.length_mm < LEAST_PIECE_MM:
            said = phrase("no-room-for-wall", wall=wall.letter, left=cm(max(laid.length_mm, 0)))
            yield Finding("no-room-left", said)
    if crossing(room, placed):
        yield Finding("walls-cross", phrase("walls-cross"))


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


def _does_not_close(room: RoomSurvey, part: JudgedAxis, beyond: list[Closure]) -> Finding:
    sums = [
        phrase("sum-misses-by", sum=c.title, by=signed_cm(c.misclosure_mm), limit=cm(c.limit_mm))
        for c in beyond[:3]
    ]
    text = phrase("do-not-agree-within")
    if sums:
        text = phrase(
            "does-not-close", sums=reduce(lambda one, other: phrase("both", one=one, other=other), sums)
        )
    suspects = {c.reading for c in part.changes if c.probability >= NAMED}
    return Finding(
        "does-not-close", text, _numbers(room, suspects or {r for c in beyond for r in c.readings})
    )


def signed_cm(mm: int) -> str:
    """A difference in centimetres with its sign."""
    return f"{'+' if mm > 0 else '-' if mm < 0 else ''}{cm(abs(mm))}"


def _numbers(room: RoomSurvey, readings: set[str]) -> tuple[int, ...]:
    """Indices in the sketch reading of these measurements."""
    return tuple(m.number for m in room.lengths() if m.id in readings and m.number is not None)


def notes_on_reach(net: Net, adjustment: Adjustment, sound: bool) -> Iterator[Finding]:
    """How far the arithmetic reaches; `sound` where no slip is suspected."""
    rows = [n for n, e in enumerate(net.equations) if e.reading]
    unchecked = [net.equations[n].reading for n in rows if adjustment.redundancy[n] <= UNCHECKED]
    checked = [n for n in rows if adjustment.redundancy[n] > UNCHECKED]
    if unchecked:
        named = first_of(unchecked, MOST_NAMED)
        text = phrase("unchecked", count=len(unchecked), of=len(rows), named=named)
        yield Finding("unchecked", text)
    if checked:
        largest = max(float(adjustment.detectable[n]) for n in checked)
        yield Finding("below-detectable", phrase("below-detectable", length=cm(round(largest, -1))))
    if checked and sound:
        yield from _agreement(adjustment, checked)
        yield from _standing_out(net, adjustment, checked)


def unplaced_note(room: RoomSurvey) -> Iterator[Finding]:
    if room.unplaced:
        named = first_of([said(m) for m in room.unplaced], MOST_NAMED)
        numbers = tuple(m.number for m in room.unplaced if m.number is not None)
        yield Finding("unplaced", phrase("unplaced", named=named), numbers)


def _agreement(adjustment: Adjustment, checked: list[int]) -> Iterator[Finding]:
    """The error factor (standard deviation of unit weight) beside the bounds that chance keeps, 95 in 100."""
    freedom = round(float(np.sum(adjustment.redundancy[checked])))
    if freedom < 1:
        return
    low, high = variance_bounds(freedom)
    factor = adjustment.unit_sd
    how = "well" if low <= factor <= high else "better" if factor < low else "less"
    bounds = {"factor": f"{factor:.2f}", "low": f"{low:.2f}", "high": f"{high:.2f}"}
    yield Finding("agreement", phrase(f"agree-{how}", **bounds))


def careless_note(factor: float) -> Iterator[Finding]:
    if factor > 1.0:
        yield Finding("careless-tape", phrase("careless-tape", factor=f"{factor:.1f}"))


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
        key = "stands-out-short" if slip > 0 else "stands-out-long"
        yield Finding("stands-out", phrase(key, what=net.equations[worst].reading, by=cm(abs(slip))))
