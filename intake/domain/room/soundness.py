"""Whether a room is one at all, before any arithmetic: one clear finding for each way that it is not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from intake.domain.lengths.notation import format_cm
from intake.domain.lengths.plausible import SOUND_MM
from intake.domain.room.adjusting import closure_limit
from intake.domain.room.naming import called, first_of, on_line
from intake.domain.room.net import ALONG_X, SIGN, usable, wall_length
from intake.model.finding import Finding
from intake.model.phrase import Gap, Phrase, phrase
from intake.model.reading import Direction, Role
from intake.model.room import SECTION_SIGMA_MM, Measurement, RoomSurvey, SectionKind, Wall

MOST_WALLS = 100
"""A room with more is a sketch not rightly read, or an attack on our patience."""
MOST_SECTIONS, MOST_LENGTHS = 60, 600
"""On one wall, and in a room: each length is weighed against every other, so the work grows with the square."""
OPENED = frozenset({"too-few-walls", "does-not-chain", "return-missing", "turns-do-not-close"})
"""Findings after which the room is taken as open."""
QUARTER = {Direction.EAST: 0, Direction.SOUTH: 1, Direction.WEST: 2, Direction.NORTH: 3}

FACING = ({Direction.EAST, Direction.WEST}, {Direction.NORTH, Direction.SOUTH})
STANDS_OUT = frozenset(
    {SectionKind.NIB, SectionKind.BOXING, SectionKind.BREAST, SectionKind.FURNITURE, SectionKind.CURVE}
)


def check_sound(room: RoomSurvey) -> tuple[RoomSurvey, tuple[Finding, ...]]:
    """The room as it can be adjusted, opened where it cannot close, and what is wrong with it as drawn."""
    if too_much := _too_much(room):
        return room, (Finding("too-many-lengths", too_much),)
    findings = [*_bad_lengths(room), *_contradictions(room), *_outline_faults(room)]
    findings += [*_not_facing(room), *_beyond_walls(room), *_too_deep(room)]
    if room.closed and any(f.code in OPENED for f in findings):
        room = replace(room, closed=False)
    return room, tuple(findings)


MOST_QUOTED = 6
"""Lengths that a finding names where more are amiss."""


def _too_much(room: RoomSurvey) -> Phrase | None:
    """Why there are more lengths than can be weighed; None where there are not."""
    for wall in room.walls:
        if len(wall.sections) > MOST_SECTIONS:
            sections = len(wall.sections)
            return phrase("too-many-sections", wall=wall.letter, sections=sections, most=MOST_SECTIONS)
    count = sum(1 for _ in room.lengths())
    return phrase("too-many-lengths", count=count, most=MOST_LENGTHS) if count > MOST_LENGTHS else None


def _on_line(said: Phrase, room: RoomSurvey, *measurements: Measurement | None) -> Phrase:
    """What is said, with the line of the room file that these stand on; a sketch has none."""
    known = dict(room.lines)
    line = next((known[m.id] for m in measurements if m is not None and m.id in known), None)
    return on_line(said, line)


def _not_facing(room: RoomSurvey) -> Iterator[Finding]:
    """Spans said to be square between walls that do not face each other: nothing can be made of them."""
    for across in room.across:
        if across.walls is None:
            continue
        one, two = (room.walls[w] for w in across.walls)
        if {one.direction, two.direction} not in FACING:
            walls = {"one": one.letter, "other": two.letter}
            text = phrase("not-facing", what=across.length.id, **walls)
            yield Finding("not-facing", _on_line(text, room, across.length), _numbers([across.length]))


def _beyond_walls(room: RoomSurvey) -> Iterator[Finding]:
    """Fixed things whose place and width reach past the end of their wall."""
    for fixed in room.fixed:
        length = wall_length(room.walls[fixed.wall]) if fixed.wall is not None else None
        given = [m for m in (fixed.from_left, fixed.width, fixed.from_right) if m is not None and usable(m)]
        if length is None or not given:
            continue
        reach, limit = (
            sum(m.value_mm or 0 for m in given),
            closure_limit([*(m.sigma_mm for m in given), SECTION_SIGMA_MM]),
        )
        if reach > length + limit:
            wall = {"wall": room.walls[fixed.wall or 0].letter, "length": format_cm(length)}
            text = phrase("beyond-wall", thing=fixed.name, reach=format_cm(reach), **wall)
            yield Finding("beyond-wall", _on_line(text, room, *given), _numbers(given))


def _too_deep(room: RoomSurvey) -> Iterator[Finding]:
    """What stands out of a wall further than the room goes."""
    for wall in room.walls:
        across = Direction.SOUTH if wall.direction in ALONG_X else Direction.EAST
        beside = [wall_length(w) for w in room.walls if w.direction is across]
        if wall.direction not in SIGN or not beside or not all(beside):
            continue
        extent = sum(v or 0 for v in beside)
        for section in wall.sections:
            depth = section.depth
            if depth and usable(depth) and (depth.value_mm or 0) >= extent and section.kind in STANDS_OUT:
                deep = {"depth": format_cm(depth.value_mm or 0), "room": format_cm(extent)}
                what = {"what": section.length.id, "kind": section.kind.value}
                text = phrase("deeper-than-room", **what, **deep)
                yield Finding("deeper-than-room", _on_line(text, room, depth), _numbers([depth]))


def _bad_lengths(room: RoomSurvey) -> list[Finding]:
    lengths = list(room.lengths())
    bad = [m for m in lengths if m.value_mm is not None and m.value_mm <= 0]
    findings = []
    if bad:
        text = phrase("length-not-positive", named=_quoted(bad))
        findings.append(Finding("length-not-positive", text, _numbers(bad)))
    sections = [s.length for w in room.walls for s in w.sections]
    overalls = [o for w in room.walls for o in w.overalls]
    odd = [m for m in sections if usable(m) and not _within(m, SOUND_MM[Role.SECTION])]
    odd += [m for m in overalls if usable(m) and not _within(m, SOUND_MM[Role.OVERALL])]
    if odd:
        text = phrase("length-unlikely", named=_quoted(odd))
        findings.append(Finding("length-unlikely", text, _numbers(odd)))
    return findings


def _within(measurement: Measurement, limits: tuple[int, int]) -> bool:
    return limits[0] <= (measurement.value_mm or 0) <= limits[1]


def _quoted(measurements: list[Measurement]) -> Gap:
    shown = ((called(m.id), format_cm(m.value_mm or 0)) for m in measurements)
    return first_of([phrase("named-length", what=what, length=cm) for what, cm in shown], MOST_QUOTED)


def _numbers(measurements: list[Measurement]) -> tuple[int, ...]:
    return tuple(m.number for m in measurements if m.number is not None)


def _contradictions(room: RoomSurvey) -> list[Finding]:
    """Two overalls of one wall that cannot both be right."""
    findings = []
    for wall in room.walls:
        given = [o for o in wall.overalls if usable(o)]
        low = min(given, key=lambda o: o.value_mm or 0, default=None)
        high = max(given, key=lambda o: o.value_mm or 0, default=None)
        if (
            low
            and high
            and (high.value_mm or 0) - (low.value_mm or 0) > closure_limit([low.sigma_mm, high.sigma_mm])
        ):
            text = phrase("overalls-contradict", wall=wall.letter, named=_quoted([low, high]))
            findings.append(Finding("overalls-contradict", text, _numbers([low, high])))
    return findings


def _outline_faults(room: RoomSurvey) -> list[Finding]:
    """At most one: each of these makes the ones after it meaningless."""
    count = len(room.walls)
    if count == 0:
        return [Finding("no-walls", phrase("no-walls"))]
    if count > MOST_WALLS:
        return [Finding("too-many-walls", phrase("too-many-walls", count=count, most=MOST_WALLS))]
    if count < 3:
        return [Finding("too-few-walls", phrase("one-wall-only" if count == 1 else "two-walls-only"))]
    if not room.closed:
        return [Finding("outline-open", phrase("outline-open"))]
    if lacking := _lacking(room.walls):
        return [Finding("does-not-chain", phrase("does-not-chain", lacking=lacking))]
    if folds := _folds(room.walls):
        return [Finding("return-missing", phrase("turns-back", wall=folds))]
    turned = _turned(room.walls)
    if turned == -4:
        return [Finding("turns-do-not-close", phrase("anticlockwise"))]
    if turned not in (None, 4):
        return [Finding("turns-do-not-close", phrase("turns-wrongly", degrees=90 * (turned or 0)))]
    return []


def _folds(walls: tuple[Wall, ...]) -> str:
    """The letter of the first wall that runs straight back along the one before it; empty where none does."""
    for before, wall in zip(walls[-1:] + walls[:-1], walls, strict=True):
        if before.direction in QUARTER and wall.direction in QUARTER and _turn(before, wall) == 2:
            return wall.letter
    return ""


def _turn(before: Wall, wall: Wall) -> int:
    """Quarter turns to the right, 0 to 3."""
    return (QUARTER[wall.direction] - QUARTER[before.direction]) % 4


def _lacking(walls: tuple[Wall, ...]) -> Phrase | None:
    """Which way no wall comes back; None where a splayed wall may."""
    present = {w.direction for w in walls}
    if Direction.OTHER in present:
        return None
    names = {d: phrase(f"runs-{d.name.lower()}") for d in QUARTER}
    for there, back in ((Direction.EAST, Direction.WEST), (Direction.SOUTH, Direction.NORTH)):
        for one, other in ((there, back), (back, there)):
            if one not in present:
                though = phrase("though-one-runs", way=names[other]) if other in present else ""
                return phrase("no-wall-runs", way=names[one], though=though)
    return None


def _turned(walls: tuple[Wall, ...]) -> int | None:
    """Quarter turns to the right, going once round; None where a splayed wall hides it."""
    if any(w.direction not in SIGN for w in walls):
        return None
    turns = [_turn(before, wall) for before, wall in zip(walls[-1:] + walls[:-1], walls, strict=True)]
    return sum(-1 if t == 3 else t for t in turns)


def walls_cross(corners: list[tuple[int, int]]) -> bool:
    """Whether a closed outline runs through itself (corners in mm); touching counts, neighbours do not."""
    count = len(corners)
    sides = [(corners[i], corners[(i + 1) % count]) for i in range(count)]
    return any(
        _meet(*sides[i], *sides[j])
        for i in range(count)
        for j in range(i + 2, count)
        if not (i == 0 and j == count - 1)
    )


def _meet(a: tuple[int, int], b: tuple[int, int], c: tuple[int, int], d: tuple[int, int]) -> bool:
    if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
        return False
    if max(a[1], b[1]) < min(c[1], d[1]) or max(c[1], d[1]) < min(a[1], b[1]):
        return False

    def side(p: tuple[int, int], q: tuple[int, int], r: tuple[int, int]) -> int:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0
