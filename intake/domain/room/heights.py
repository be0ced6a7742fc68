"""Heights that must agree, and guidance values as cautions that defer to local codes and licensed practice."""

from __future__ import annotations

import re
from collections.abc import Iterator

from intake.domain.lengths.plausible import HEIGHTS_MM, WORKTOP_HEIGHTS_MM
from intake.domain.room.adjusting import closure_limit
from intake.domain.room.naming import cm, named
from intake.domain.room.net import usable
from intake.model.checklist import RoomKind
from intake.model.finding import Finding
from intake.model.phrase import Gap, phrase
from intake.model.room import SECTION_LENGTHS, Measurement, RoomSurvey, Section, SectionKind

UNEVEN_MM = 40
"""Two ceiling heights further apart than the trade's tolerance (common practice, no source)."""
LEAST_ABOVE_MM = 30
HEADROOM_MM = 1500
"""Under less headroom a floor is not counted as floor area (nationally described space standard, England)."""
GUARDED_MM = 800
"""Guarding where a window opens lower than this (Approved Document K)."""
ESCAPE_MM = 1100
"""An escape window's bottom is at most so high above the floor (Approved Document B, second-hand)."""
DEFER = phrase("guidance-only")


def check_heights(room: RoomSurvey) -> tuple[Finding, ...]:
    """What cannot be right among the heights, one finding each."""
    findings = [*_ceilings(room), *_slopes(room), *_under_slopes(room)]
    for section in _windows(room):
        where = named(section)
        findings += [*_implausible(section, where), *_sums(room, section, where)]
    return tuple(findings)


def height_cautions(room: RoomSurvey) -> tuple[Finding, ...]:
    """Guidance that a designer should have in mind; never a verdict."""
    cautions = [*_slope_cautions(room), *_fixed_cautions(room)]
    for section in _windows(room):
        if (sill := sill_mm(section)) is not None:
            cautions += _sill_cautions(room, sill, named(section))
    return tuple(cautions)


def sill_mm(section: Section) -> int | None:
    """Floor to the underside of the sill, as measured, else as worktop height plus worktop to sill."""
    if section.sill and usable(section.sill):
        return section.sill.value_mm
    parts = [section.worktop, section.worktop_to_sill]
    if all(p and usable(p) for p in parts):
        return sum(p.value_mm or 0 for p in parts if p)
    return None


def head_mm(section: Section) -> int | None:
    """Floor to the top of the window or door, as measured, else sill plus what stands above it."""
    if section.top_above_floor and usable(section.top_above_floor):
        return section.top_above_floor.value_mm
    sill = sill_mm(section) if section.kind is SectionKind.WINDOW else 0
    if sill is not None and section.top_above_sill and usable(section.top_above_sill):
        return sill + (section.top_above_sill.value_mm or 0)
    return None


def ceiling_mm(room: RoomSurvey) -> int | None:
    """The lowest of the ceiling heights."""
    return min((c.value_mm for c in room.ceilings if c.value_mm and c.value_mm > 0), default=None)


def _windows(room: RoomSurvey) -> list[Section]:
    kinds = (SectionKind.WINDOW, SectionKind.OPENING, SectionKind.DOOR)
    return [s for w in room.walls for s in w.sections if s.kind in kinds]


def _numbers(*measurements: Measurement | None) -> tuple[int, ...]:
    return tuple(m.number for m in measurements if m and m.number is not None)


def _implausible(section: Section, where: str) -> Iterator[Finding]:
    for name in ("sill", "head", "reveal", "worktop"):
        measurement: Measurement | None = getattr(section, SECTION_LENGTHS[name])
        low, high = HEIGHTS_MM[name]
        if measurement and measurement.value_mm is not None and not low <= measurement.value_mm <= high:
            size = {"length": cm(measurement.value_mm), "low": cm(low), "high": cm(high)}
            text = phrase(f"unlikely-{name}", where=where, **size)
            yield Finding("height-unlikely", text, _numbers(measurement))


def _sums(room: RoomSurvey, section: Section, where: str) -> Iterator[Finding]:
    """The sill in two parts, sill and window against the head, and all of it against the ceiling."""
    sill, up, top = section.sill, section.top_above_sill, section.top_above_floor
    if sill and section.worktop and section.worktop_to_sill:
        parts = [section.worktop, section.worktop_to_sill]
        yield from _agree("sill-parts-disagree", where, parts, [sill])
    if sill and up and top:
        yield from _agree("head-disagrees", where, [sill, up], [top])
    yield from _up_to_the_ceiling(room, section, where)


def _up_to_the_ceiling(room: RoomSurvey, section: Section, where: str) -> Iterator[Finding]:
    sill, up, top = section.sill, section.top_above_sill, section.top_above_floor
    head, ceiling = head_mm(section), ceiling_mm(room)
    if head is None or ceiling is None:
        return
    if section.above and usable(section.above):
        lowest = min(room.ceilings, key=lambda c: c.value_mm or 10**9)
        below = [m for m in ([top] if top else [sill, up]) if m and usable(m)]
        yield from _agree("heights-miss-ceiling", where, [*below, section.above], [lowest])
    elif head > ceiling:
        text = phrase("head-above-ceiling", where=where, head=cm(head), ceiling=cm(ceiling))
        yield Finding("head-above-ceiling", text, _numbers(sill, up, top))


def _agree(code: str, where: str, parts: list[Measurement], whole: list[Measurement]) -> Iterator[Finding]:
    if not all(usable(m) for m in (*parts, *whole)):
        return
    total, said = sum(m.value_mm or 0 for m in parts), sum(m.value_mm or 0 for m in whole)
    limit = closure_limit([m.sigma_mm for m in (*parts, *whole)])
    if abs(total - said) > limit:
        apart = phrase("add-up", total=cm(total), said=cm(said), apart=cm(abs(total - said)), limit=cm(limit))
        yield Finding(code, phrase(f"sum-{code}", where=where, apart=apart), _numbers(*parts, *whole))


def _ceilings(room: RoomSurvey) -> Iterator[Finding]:
    heights = [c for c in room.ceilings if c.value_mm is not None]
    low, high = HEIGHTS_MM["ceiling"]
    for c in heights:
        if not low <= (c.value_mm or 0) <= high:
            text = phrase("unlikely-ceiling", length=cm(c.value_mm or 0), low=cm(low), high=cm(high))
            yield Finding("height-unlikely", text, _numbers(c))
    values = [c.value_mm or 0 for c in heights]
    if len(values) > 1 and max(values) - min(values) > UNEVEN_MM:
        text = phrase("ceiling-uneven", low=cm(min(values)), high=cm(max(values)))
        yield Finding("ceiling-uneven", text, _numbers(*heights))


def _slopes(room: RoomSurvey) -> Iterator[Finding]:
    ceiling = ceiling_mm(room)
    for slope in room.slopes:
        low = slope.low.value_mm
        if low is not None and ceiling is not None and low >= ceiling:
            text = phrase("slope-above-ceiling", low=cm(low), ceiling=cm(ceiling))
            yield Finding("slope-above-ceiling", text, _numbers(slope.low))


def _under_slopes(room: RoomSurvey) -> Iterator[Finding]:
    """Openings that stand taller than a sloped ceiling leaves, on the walls beside the one it falls to."""
    ceiling, count = ceiling_mm(room), len(room.walls)
    for slope in room.slopes:
        low, starts = slope.low.value_mm, slope.starts.value_mm
        if ceiling is None or low is None or not starts or not count:
            continue
        for beside, leftwards in (((slope.wall + 1) % count, True), ((slope.wall - 1) % count, False)):
            wall = room.walls[beside]
            for n, section in enumerate(wall.sections):
                pieces = wall.sections[:n] if leftwards else wall.sections[n + 1 :]
                run = sum(s.length.value_mm or 0 for s in pieces)
                head = head_mm(section)
                room_here = low + (ceiling - low) * min(run / starts, 1.0)
                if head is not None and head > room_here + LEAST_ABOVE_MM:
                    tall = {"head": cm(head), "left": cm(room_here)}
                    yield Finding(
                        "head-above-slope",
                        phrase("head-above-slope", where=named(section), **tall),
                        _numbers(section.top_above_sill, section.top_above_floor, slope.low),
                    )


def _fixed_cautions(room: RoomSurvey) -> Iterator[Finding]:
    """What no arithmetic may decide: gas, and electricity beside water."""
    names = " ".join(f.name.lower() for f in room.fixed)
    if re.search(r"boiler|hob|cooker|gas|flue", names):
        # Clearances are the maker's; the gas meter stands 150 mm from the electricity meter (BS 6400, summary).
        yield Finding("caution-gas", phrase("caution-gas"))
    if re.search(r"socket|switch|consumer unit|fuse|meter|shaver|fan", names):
        zones = phrase("bathroom-zones") if room.kind is RoomKind.BATHROOM else ""
        yield Finding("caution-electrical", phrase("caution-electrical", zones=zones))


def _slope_cautions(room: RoomSurvey) -> Iterator[Finding]:
    if any((s.low.value_mm or HEADROOM_MM) < HEADROOM_MM for s in room.slopes):
        yield Finding("caution-headroom", phrase("caution-headroom", defer=DEFER))


def _sill_cautions(room: RoomSurvey, sill: int, where: str) -> Iterator[Finding]:
    told: dict[str, Gap] = {"where": where, "sill": cm(sill), "defer": DEFER}
    if room.kind is RoomKind.KITCHEN and min(WORKTOP_HEIGHTS_MM) <= sill < max(WORKTOP_HEIGHTS_MM) + 40:
        heights = "/".join(cm(h) for h in WORKTOP_HEIGHTS_MM)
        yield Finding("caution-sill-worktop", phrase("caution-sill-worktop", **told, worktops=heights))
    if sill < GUARDED_MM and room.kind is not RoomKind.UNKNOWN:
        yield Finding("caution-guarding", phrase("caution-guarding", **told))
    if sill > ESCAPE_MM and room.kind is RoomKind.BEDROOM:
        yield Finding("caution-escape", phrase("caution-escape", **told))
