"""The sums of a room that must come out, and by how much each misses."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from intake.domain.room.adjusting import UNCHECKED, Adjustment, closure_limit, critical_value
from intake.domain.room.net import SIGN, Net, usable, wall_length
from intake.model.examination import Closure, ClosureKind
from intake.model.phrase import Phrase, phrase
from intake.model.reading import Direction
from intake.model.room import Measurement, RoomSurvey, Wall


def closures_of(room: RoomSurvey, net: Net, adjustment: Adjustment, gapes: bool) -> tuple[Closure, ...]:
    """Every sum that can be formed: sections against overall, overalls against one another, the walls one way against
    the walls back, and what a splayed or cross measurement says against what the rest fixes. Only where the room
    `gapes` is any beyond its limit: what is likelier noise than a slip (domain/room/posterior) is no fault."""
    sums = [*_wall_sums(room), *_axis_sums(room)]
    checks = list(_against_the_rest(room, net, adjustment))
    critical = critical_value(len(sums) + len(checks))
    rows = [
        _closure(
            kind,
            title,
            walls,
            plus,
            minus,
            critical,
            _slack(room, net, walls) if kind is ClosureKind.AXIS else 0.0,
        )
        for kind, title, walls, plus, minus in sums
    ]
    for kind, title, walls, measurement, row in checks:
        slip = -float(adjustment.residuals[row]) / float(adjustment.redundancy[row])
        limit = critical * measurement.sigma_mm / math.sqrt(float(adjustment.redundancy[row]))
        rows.append(
            Closure(
                kind, title, walls, (measurement.id,), round(slip), round(limit), beyond=abs(slip) > limit
            )
        )
    return tuple(rows) if gapes else tuple(replace(row, beyond=False) for row in rows)


Sum = tuple[ClosureKind, Phrase, tuple[int, ...], list[Measurement], list[Measurement]]


def _closure(
    kind: ClosureKind,
    title: Phrase,
    walls: tuple[int, ...],
    plus: list[Measurement],
    minus: list[Measurement],
    critical: float,
    slack: float,
) -> Closure:
    misclosure = sum(m.value_mm or 0 for m in plus) - sum(m.value_mm or 0 for m in minus)
    limit = closure_limit([*(m.sigma_mm for m in (*plus, *minus)), slack], critical)
    readings = tuple(m.id for m in (*plus, *minus))
    return Closure(kind, title, walls, readings, misclosure, round(limit), beyond=abs(misclosure) > limit)


def _slack(room: RoomSurvey, net: Net, walls: tuple[int, ...]) -> float:
    """By how much walls one way and back may differ, mm, as those between them need not be square where a diagonal
    tests it (0 where right angles are taken for granted)."""
    between = [float(wall_length(w) or 0) for w in room.walls if w.index not in walls]
    return net.angle_sd * math.sqrt(sum(v * v for v in between))


def _wall_sums(room: RoomSurvey) -> Iterable[Sum]:
    for wall in room.walls:
        overalls = [o for o in wall.overalls if usable(o)]
        if overalls and (chain := full_chain(wall)):
            yield (
                ClosureKind.WALL,
                phrase("sum-on-wall", wall=wall.letter),
                (wall.index,),
                chain,
                overalls[:1],
            )
        for other in overalls[1:]:
            yield (
                ClosureKind.OVERALLS,
                phrase("sum-of-overalls", wall=wall.letter),
                (wall.index,),
                [overalls[0]],
                [other],
            )


def full_chain(wall: Wall) -> list[Measurement]:
    """A wall's sections where every one was measured, else nothing."""
    return [s.length for s in wall.sections] if all(usable(s.length) for s in wall.sections) else []


def _axis_sums(room: RoomSurvey) -> Iterable[Sum]:
    if not room.closed or any(w.direction not in SIGN for w in room.walls):
        return
    for there, back in ((Direction.EAST, Direction.WEST), (Direction.SOUTH, Direction.NORTH)):
        out = [w for w in room.walls if w.direction is there]
        home = [w for w in room.walls if w.direction is back]
        by_sections = _one_way(out, True), _one_way(home, True)
        by_overalls = _one_way(out, False), _one_way(home, False)
        both = {"out": _named(out), "home": _named(home)}
        walls = tuple(w.index for w in (*out, *home))
        if all(by_sections):
            yield (ClosureKind.AXIS, phrase("sum-by-sections", **both), walls, *by_sections)
        if all(by_overalls) and by_overalls != by_sections:
            yield (ClosureKind.AXIS, phrase("sum-by-overalls", **both), walls, *by_overalls)


def _named(walls: list[Wall]) -> Phrase:
    return phrase(
        "a-wall" if len(walls) == 1 else "walls-in-a-row", letters=" + ".join(w.letter for w in walls)
    )


def _one_way(walls: list[Wall], sections_first: bool) -> list[Measurement]:
    """The readings that make up the walls one way, each wall by sections or by overall; nothing where one has none."""
    readings: list[Measurement] = []
    for wall in walls:
        overall = [o for o in wall.overalls if usable(o)][:1]
        chain = full_chain(wall)
        mine = (chain or overall) if sections_first else (overall or chain)
        if not mine:
            return []
        readings += mine
    return readings


def _against_the_rest(
    room: RoomSurvey, net: Net, adjustment: Adjustment
) -> Iterable[tuple[ClosureKind, Phrase, tuple[int, ...], Measurement, int]]:
    """Readings that no plain sum checks: what each says against what all others fix (the estimated slip, -v / r)."""
    rows = {e.reading: n for n, e in enumerate(net.equations) if e.reading}
    named: list[tuple[ClosureKind, Phrase, tuple[int, ...], Measurement]] = [
        (ClosureKind.ACROSS, phrase("sum-across", length=a.length.id), a.walls or (), a.length)
        for a in room.across
    ]
    for wall in room.walls:
        if wall.direction not in SIGN:
            whole = [o for o in wall.overalls if usable(o)][:1] or full_chain(wall)[:1]
            named += [
                (ClosureKind.SPLAY, phrase("sum-of-splay", wall=wall.letter), (wall.index,), m) for m in whole
            ]
    for kind, title, walls, measurement in named:
        row = rows.get(measurement.id)
        if row is not None and adjustment.redundancy[row] > UNCHECKED:
            yield kind, title, walls, measurement, row
