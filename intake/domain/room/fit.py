"""What fits along the walls of a room as measured, and what gets into the way of what. Never for ordering.

Units stand on the floor, `depth_mm` out from the wall and up to the worktop. A run ends at doors and doorways, at what
stands out of the wall or out of the one beside it, at windows that come down below the worktop, and at fixed things.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from intake.domain.room.heights import head_mm, sill_mm
from intake.domain.room.naming import NAME, cm, on_line
from intake.domain.room.shapes import Shape, in_front, meet, quarter
from intake.model.examination import Clash, ClearRun, Fit, PlacedRoom, PlacedWall, RoomExamination, RoomFit
from intake.model.finding import Finding
from intake.model.phrase import phrase
from intake.model.reading import Direction, Hinge, Opens
from intake.model.room import (
    SECTION_SIGMA_MM,
    USUAL_ALLOWANCES,
    Allowances,
    Bows,
    Fixed,
    RoomSurvey,
    Section,
    SectionKind,
    Wall,
    fixed_tag,
)

LEAST_RUN_MM = 150
"""A shorter stretch holds no unit (the narrowest are 150 wide; common practice, no source)."""
CERTAIN = 2.0
"""Standard deviations taken off what is left for certain."""
TOUCH_MM = 10.0
"""Things that share less than this only touch."""
USUAL_MM = {
    SectionKind.BOXING: 150,
    SectionKind.BREAST: 350,
    SectionKind.NIB: 100,
    SectionKind.FURNITURE: 600,
}
"""Depths taken where none was measured (common practice, no source)."""
LEAF_MM = 2000
"""A door's leaf reaches this high where its head was not measured (common practice, no source)."""


@dataclass(frozen=True)
class Obstacle:
    """Something that takes up room: on wall `wall` from `start` to `end`, `depth` mm out, between two heights.

    `depth` is None of an opening, and of a thing of which nobody knows it; `bounds`: it ends a run of units."""

    name: str
    wall: int
    start: float
    end: float
    depth: float | None
    low: float = 0.0
    high: float = math.inf
    bounds: bool = True
    readings: tuple[str, ...] = ()


def fit_of(room: RoomSurvey, placed: PlacedRoom) -> RoomFit:
    """Runs, units and clashes of a room as laid out; nothing where it is open or does not close."""
    if not room.closed or placed.gap or not placed.walls:
        return RoomFit(room.allowances)
    walls, fixed = list(_on_walls(room, placed)), list(_fixed_things(room, placed))
    things = [*walls, *fixed]
    runs = tuple(run for wall in room.walls for run in _runs(room, placed, wall, things))
    fits = tuple(fit_units(runs, wall, widths, room.allowances) for wall, widths in room.units)
    return RoomFit(
        room.allowances, runs, fits, (*_clashes(room, placed, things), *_before_openings(walls, fixed))
    )


def with_allowances(examination: RoomExamination, allowances: Allowances) -> RoomExamination:
    """The same with the showroom's allowances, where the room itself gives none."""
    survey = examination.survey
    if survey.allowances != USUAL_ALLOWANCES or allowances == USUAL_ALLOWANCES:
        return examination
    fit = fit_of(replace(survey, allowances=allowances), examination.placed)
    return replace(examination, fit=fit)


def fit_units(runs: tuple[ClearRun, ...], wall: int, widths: tuple[int, ...], allowances: Allowances) -> Fit:
    """Whether units of these widths fit along a wall with what is scribed at either end."""
    letter, total = Wall(wall, Direction.OTHER).letter, sum(widths)
    mine = [r for r in runs if r.wall == wall]
    units = phrase("units", wall=letter, widths=" + ".join(map(cm, widths)), total=cm(total))
    if not mine:
        return Fit(wall, widths, None, phrase("no-clear-run", units=units))
    best = max(mine, key=lambda r: r.least_mm - r.scribes * allowances.scribe_mm)
    needs = total + best.scribes * allowances.scribe_mm
    spare, likely = best.least_mm - needs, best.length_mm - best.narrowed_mm - needs
    if best.scribes:
        units = phrase("units-scribed", units=units, ends=best.scribes, scribe=cm(allowances.scribe_mm))
    if spare >= 0:
        text = phrase("units-fit", units=units, spare=cm(spare), likely=cm(likely))
    elif likely >= 0:
        text = phrase("units-fit-as-measured", units=units, likely=cm(likely))
    else:
        text = phrase("units-do-not-fit", units=units, over=cm(-likely))
    return Fit(wall, widths, spare, text)


def clash_findings(room: RoomSurvey, fit: RoomFit) -> Iterator[Finding]:
    """Each clash as a finding with the numbers, and the line of the room file, that it rests on."""
    known = {m.id: m.number for m in room.lengths()}
    lines = dict(room.lines)
    for clash in fit.clashes:
        numbers = tuple(n for r in clash.readings if (n := known.get(r)) is not None)
        line = next((lines[r] for r in clash.readings if r in lines), None)
        yield Finding("clash", on_line(clash.text, line), numbers)


# -- what stands where -------------------------------------------------------------------------------------------------


def _on_walls(room: RoomSurvey, placed: PlacedRoom) -> Iterator[Obstacle]:
    tags = room.opening_tags()
    for wall, laid in zip(room.walls, placed.walls, strict=True):
        for part in laid.sections:
            section = wall.sections[part.index]
            name = tags.get((wall.index, part.index)) or f"{clean_label(section)} on wall {wall.letter}"
            place = (name, wall.index, float(part.start_mm), float(part.end_mm))
            thing = _standing(room, section, place)
            if thing and thing.end > thing.start:
                yield thing


def clean_label(section: Section) -> str:
    """What a section is called: by its owner, else by its kind."""
    return " ".join(section.label.split())[:30] or NAME[section.kind]


def _standing(room: RoomSurvey, section: Section, place: tuple[str, int, float, float]) -> Obstacle | None:
    """A section as something in the way, with its name, wall, start and end; None for plain wall and alcoves."""
    kind, readings = section.kind, (section.length.id,)
    if kind in (SectionKind.DOOR, SectionKind.DOORWAY, SectionKind.OPENING):
        return Obstacle(*place, None, high=float(head_mm(section) or LEAF_MM), readings=readings)
    if kind is SectionKind.WINDOW:
        sill = sill_mm(section)
        low = float(sill) if sill is not None else float(room.allowances.height_mm)
        blocks = sill is not None and sill < room.allowances.height_mm
        return Obstacle(*place, None, low, float(head_mm(section) or math.inf), blocks, readings)
    if kind is SectionKind.CURVE and section.bows is Bows.IN and section.depth and section.depth.value_mm:
        return Obstacle(*place, float(section.depth.value_mm), readings=readings)
    if kind in USUAL_MM:
        depth = float((section.depth and section.depth.value_mm) or USUAL_MM[kind])
        return Obstacle(*place, depth, readings=readings)
    return None


def _fixed_things(room: RoomSurvey, placed: PlacedRoom) -> Iterator[Obstacle]:
    for n, fixed in enumerate(room.fixed):
        span = _span(fixed, placed)
        if span is None or fixed.wall is None:
            continue
        low = float((fixed.height and fixed.height.value_mm) or 0)
        tall, depth = (float((m and m.value_mm) or 0) or None for m in (fixed.tall, fixed.depth))
        given = (fixed.from_left, fixed.from_right, fixed.width, fixed.depth)
        readings = tuple(m.id for m in given if m is not None)
        name, bounds = _fixed_name(n, fixed), low < room.allowances.height_mm and depth is not None
        high = low + tall if tall else math.inf
        yield Obstacle(name, fixed.wall, *span, depth, low, high, bounds, readings)


def _span(fixed: Fixed, placed: PlacedRoom) -> tuple[float, float] | None:
    """Where a fixed thing of known width starts and ends along its wall."""
    if fixed.wall is None or not fixed.width or not fixed.width.value_mm:
        return None
    width, length = float(fixed.width.value_mm), float(placed.walls[fixed.wall].length_mm)
    if fixed.from_left and fixed.from_left.value_mm is not None:
        return float(fixed.from_left.value_mm), fixed.from_left.value_mm + width
    if fixed.from_right and fixed.from_right.value_mm is not None:
        return length - fixed.from_right.value_mm - width, length - fixed.from_right.value_mm
    return None


# -- runs --------------------------------------------------------------------------------------------------------------


def _runs(room: RoomSurvey, placed: PlacedRoom, wall: Wall, things: list[Obstacle]) -> Iterator[ClearRun]:
    laid, depth = placed.walls[wall.index], room.allowances.depth_mm
    left, right = (
        _from_beside(room, placed, wall, things, -1, depth),
        _from_beside(room, placed, wall, things, 1, depth),
    )
    bounds = [(0.0, left[0], left[1]), (laid.length_mm - right[0], float(laid.length_mm), right[1])]
    bounds += [(t.start, t.end, t.name) for t in things if t.wall == wall.index and t.bounds]
    bounds.sort()
    reached, before = bounds[0][1], bounds[0][2]
    for start, end, name in bounds[1:]:
        if start - reached >= LEAST_RUN_MM:
            yield _run(room, placed, wall, (reached, start), (before, name))
        if end > reached:
            reached, before = end, name


def _from_beside(
    room: RoomSurvey, placed: PlacedRoom, wall: Wall, things: list[Obstacle], step: int, depth: int
) -> tuple[float, str]:
    """What the wall before or after takes from this one's end: how much, and its name. A door or doorway that units
    would cover wants its own width."""
    beside = placed.walls[(wall.index + step) % len(placed.walls)]
    taken, name = 0.0, f"wall {room.walls[beside.wall].letter}"
    for thing in things:
        if thing.wall == beside.wall and thing.bounds:
            near = beside.length_mm - thing.end if step < 0 else thing.start
            wants = thing.end - thing.start if thing.depth is None else thing.depth
            if near < depth - TOUCH_MM and wants > taken:
                taken, name = wants, thing.name
    return taken, name


def _run(
    room: RoomSurvey,
    placed: PlacedRoom,
    wall: Wall,
    span: tuple[float, float],
    between: tuple[str, str],
) -> ClearRun:
    laid, (start, end) = placed.walls[wall.index], span
    fixed, openings = {_fixed_name(n, f) for n, f in enumerate(room.fixed)}, set(room.opening_tags().values())
    sd = math.hypot(_deviation(laid, start, end), *(SECTION_SIGMA_MM for name in between if name in fixed))
    narrowed = _narrowed(placed, wall, span, room.allowances.depth_mm)
    least = math.floor(end - start - narrowed - CERTAIN * sd)
    low = _sills_unknown(room, wall, laid, span)
    unsure = phrase("sills-unknown", windows=tuple(low)) if low else None
    scribes = sum(name not in openings for name in between)
    return ClearRun(
        wall.index,
        round(start),
        round(end),
        round(end - start),
        sd,
        narrowed,
        least,
        between,
        scribes,
        unsure,
    )


def _sills_unknown(room: RoomSurvey, wall: Wall, laid: PlacedWall, span: tuple[float, float]) -> list[str]:
    """Windows over a run that may come down below the worktop."""
    tags = room.opening_tags()
    windows = [
        p for p in laid.sections if wall.sections[p.index].kind is SectionKind.WINDOW and span[0] < p.end_mm
    ]
    return [
        tags[wall.index, p.index]
        for p in windows
        if p.start_mm < span[1] and sill_mm(wall.sections[p.index]) is None
    ]


def _fixed_name(n: int, fixed: Fixed) -> str:
    return f"{fixed_tag(n)} ({fixed.name[:40]})"


def _deviation(laid: PlacedWall, start: float, end: float) -> float:
    """Of a stretch's length: the whole wall's where it is that, else its sections' own, as if independent."""
    if end - start >= laid.length_mm - 1 and laid.sd_mm is not None:
        return laid.sd_mm
    inside = [s.sd_mm or 0.0 for s in laid.sections if s.end_mm > start and s.start_mm < end]
    return math.sqrt(sum(sd * sd for sd in inside)) or (laid.sd_mm or 0.0)


def _narrowed(placed: PlacedRoom, wall: Wall, span: tuple[float, float], depth: int) -> int:
    """By how much corners of less than a right angle shorten a run that reaches them, at the front of the units."""
    angles, laid = placed.squareness.corners_deg, placed.walls[wall.index]
    if not angles:
        return 0
    after = (wall.index + 1) % len(placed.walls)
    reached = ((angles[wall.index], span[0] < 1), (angles[after], span[1] > laid.length_mm - 1))
    tight = [math.radians(90.0 - a) for a, there in reached if there and a is not None and 45.0 < a < 90.0]
    return math.ceil(sum(depth * math.tan(t) for t in tight) - 1e-6)


# -- clashes -----------------------------------------------------------------------------------------------------------


def _clashes(room: RoomSurvey, placed: PlacedRoom, things: list[Obstacle]) -> Iterator[Clash]:
    doors = list(_swings(room, placed))
    for tag, shape, high, reading in doors:
        for thing in things:
            if thing.depth is None or thing.low >= high:
                continue
            if meet(shape, in_front(placed.walls[thing.wall], thing.start, thing.end, thing.depth), TOUCH_MM):
                yield Clash(phrase("opens-into", door=tag, thing=thing.name), (reading, *thing.readings))
    for (tag, shape, _, reading), (other, its, _, too) in combinations(doors, 2):
        if meet(shape, its, TOUCH_MM):
            yield Clash(phrase("open-into-each-other", door=tag, other=other), (reading, too))


def _swings(room: RoomSurvey, placed: PlacedRoom) -> Iterator[tuple[str, Shape, float, str]]:
    """(tag, what it sweeps, how high, its reading) of each door that is known to open into the room."""
    tags = room.opening_tags()
    for wall, laid in zip(room.walls, placed.walls, strict=True):
        for part in laid.sections:
            section = wall.sections[part.index]
            swing = section.swing
            if section.kind is not SectionKind.DOOR or swing.into is not Opens.ROOM or not swing.hinge:
                continue
            hinge, latch = (part.start_mm, part.end_mm)[:: 1 if swing.hinge is Hinge.LEFT else -1]
            shape = quarter(laid, float(hinge), float(latch))
            yield tags[wall.index, part.index], shape, float(head_mm(section) or LEAF_MM), section.length.id


def _before_openings(on_walls: list[Obstacle], fixed: list[Obstacle]) -> Iterator[Clash]:
    """Fixed things that stand in front of a window or a door of their own wall."""
    openings = [t for t in on_walls if t.depth is None]
    for thing in fixed:
        for opening in (o for o in openings if o.wall == thing.wall):
            across = min(thing.end, opening.end) - max(thing.start, opening.start)
            up = min(thing.high, opening.high) - max(thing.low, opening.low)
            if across > TOUCH_MM and up > TOUCH_MM:
                said = phrase("stands-before", thing=thing.name, opening=opening.name)
                yield Clash(said, (*thing.readings, *opening.readings))
