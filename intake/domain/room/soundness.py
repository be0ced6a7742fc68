"""Whether a room is one at all, before any arithmetic: one clear finding for each way that it is not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from intake.domain.lengths.notation import format_cm
from intake.domain.lengths.plausible import SOUND_MM
from intake.domain.room.adjusting import closure_limit
from intake.domain.room.naming import called
from intake.domain.room.net import ALONG_X, SIGN, usable, wall_length
from intake.model.finding import Finding
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


def _too_much(room: RoomSurvey) -> str:
    """Why there are more lengths than can be weighed; empty where there are not."""
    for wall in room.walls:
        if len(wall.sections) > MOST_SECTIONS:
            return (
                f"Wall {wall.letter} has {len(wall.sections)} sections; a wall has {MOST_SECTIONS} at most."
            )
    count = sum(1 for _ in room.lengths())
    return (
        f"This plan has {count} lengths; a room has {MOST_LENGTHS} at most." if count > MOST_LENGTHS else ""
    )


def _line(room: RoomSurvey, *measurements: Measurement | None) -> str:
    """Where in the room file these stand, in brackets; empty for a sketch."""
    known = dict(room.lines)
    line = next((known[m.id] for m in measurements if m is not None and m.id in known), None)
    return f" (line {line})" if line else ""


def _not_facing(room: RoomSurvey) -> Iterator[Finding]:
    """Spans said to be square between walls that do not face each other: nothing can be made of them."""
    for across in room.across:
        if across.walls is None:
            continue
        one, two = (room.walls[w] for w in across.walls)
        if {one.direction, two.direction} not in FACING:
            text = f"{across.length.id}: walls {one.letter} and {two.letter} do not face each other, so it is not used"
            yield Finding("not-facing", f"{text}{_line(room, across.length)}.", _numbers([across.length]))


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
            where = f"wall {room.walls[fixed.wall or 0].letter}, which is {format_cm(length)} cm long"
            text = f"{fixed.name} would reach {format_cm(reach)} cm along {where}{_line(room, *given)}."
            yield Finding("beyond-wall", text, _numbers(given))


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
                text = (
                    f"{section.length.id} ({section.kind.value}) is {format_cm(depth.value_mm or 0)} cm deep"
                )
                room_is = f"where the room is {format_cm(extent)} cm{_line(room, depth)}."
                yield Finding("deeper-than-room", f"{text}, {room_is}", _numbers([depth]))


def _bad_lengths(room: RoomSurvey) -> list[Finding]:
    lengths = list(room.lengths())
    bad = [m for m in lengths if m.value_mm is not None and m.value_mm <= 0]
    findings = []
    if bad:
        text = f"A length must be more than nothing: {_quoted(bad)}. Measured as not given."
        findings.append(Finding("length-not-positive", text, _numbers(bad)))
    sections = [s.length for w in room.walls for s in w.sections]
    overalls = [o for w in room.walls for o in w.overalls]
    odd = [m for m in sections if usable(m) and not _within(m, SOUND_MM[Role.SECTION])]
    odd += [m for m in overalls if usable(m) and not _within(m, SOUND_MM[Role.OVERALL])]
    if odd:
        text = f"Unlikely for a room, so probably another unit or a slip: {_quoted(odd)}."
        findings.append(Finding("length-unlikely", text, _numbers(odd)))
    return findings


def _within(measurement: Measurement, limits: tuple[int, int]) -> bool:
    return limits[0] <= (measurement.value_mm or 0) <= limits[1]


def _quoted(measurements: list[Measurement]) -> str:
    shown = [f"{called(m.id)} {format_cm(m.value_mm or 0)} cm" for m in measurements[:6]]
    return ", ".join(shown) + (f" and {len(measurements) - 6} more" if len(measurements) > 6 else "")


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
            text = f"Wall {wall.letter} has two overalls that contradict each other: {_quoted([low, high])}."
            findings.append(Finding("overalls-contradict", text, _numbers([low, high])))
    return findings


def _outline_faults(room: RoomSurvey) -> list[Finding]:
    """At most one: each of these makes the ones after it meaningless."""
    count = len(room.walls)
    if count == 0:
        return [Finding("no-walls", "No wall was found on this plan.")]
    if count > MOST_WALLS:
        return [Finding("too-many-walls", f"This plan has {count} walls; a room has {MOST_WALLS} at most.")]
    if count < 3:
        text = "Only one wall was drawn" if count == 1 else "Only two walls were drawn"
        return [
            Finding(
                "too-few-walls", f"{text}, so the room cannot be closed and nothing across it is checked."
            )
        ]
    if not room.closed:
        return [Finding("outline-open", "The walls as drawn do not come back to where they start.")]
    if lacking := _lacking(room.walls):
        return [Finding("does-not-chain", f"The walls cannot come round to a room: {lacking}.")]
    if folds := _folds(room.walls):
        text = f"{folds} turns straight back on the one before it: a return between them is missing."
        return [Finding("return-missing", text)]
    turned = _turned(room.walls)
    if turned == -4:
        return [
            Finding(
                "turns-do-not-close", "The walls run anticlockwise; they must run clockwise round the room."
            )
        ]
    if turned not in (None, 4):
        text = f"Going round the walls turns {90 * (turned or 0)} degrees and not 360: a wall or a return is missing."
        return [Finding("turns-do-not-close", text)]
    return []


def _folds(walls: tuple[Wall, ...]) -> str:
    """The first wall that runs straight back along the one before it; empty where none does."""
    for before, wall in zip(walls[-1:] + walls[:-1], walls, strict=True):
        if before.direction in QUARTER and wall.direction in QUARTER and _turn(before, wall) == 2:
            return f"Wall {wall.letter}"
    return ""


def _turn(before: Wall, wall: Wall) -> int:
    """Quarter turns to the right, 0 to 3."""
    return (QUARTER[wall.direction] - QUARTER[before.direction]) % 4


def _lacking(walls: tuple[Wall, ...]) -> str:
    """Says which way no wall comes back; empty where a splayed wall may."""
    present = {w.direction for w in walls}
    if Direction.OTHER in present:
        return ""
    names = {
        Direction.EAST: "to the right",
        Direction.WEST: "to the left",
        Direction.SOUTH: "down the page",
        Direction.NORTH: "up the page",
    }
    for there, back in ((Direction.EAST, Direction.WEST), (Direction.SOUTH, Direction.NORTH)):
        for one, other in ((there, back), (back, there)):
            if one not in present:
                return f"no wall runs {names[one]}" + (
                    f", though one runs {names[other]}" if other in present else ""
                )
    return ""


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
