"""A plan inferred again once a person has settled something of it: that is held, the rest follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from intake.domain.lengths.notation import parse_length
from intake.domain.sketch.drawn_openings import along
from intake.domain.sketch.meaning import ALONG
from intake.domain.sketch.what_numbers_measure import Inferred, infer, measures, role_of
from intake.model.reading import (
    Alternative,
    OutlineWall,
    ReadNumber,
    Role,
    Sighting,
    SketchReading,
    Stand,
)

_AROUND = 0.02
"""How far on either side of where it stands a number is taken to reach, as a share of a wall that a person gave it
(set by hand)."""


@dataclass(frozen=True)
class SettledNumber:
    """What a person said of a number: what it measures (`role`, and `wall` if it is of one; None leaves it open), that
    its text stands (`says`), or that it is none (`dropped`)."""

    role: Role | None = None
    wall: int | None = None
    says: bool = False
    dropped: bool = False


def inferred_again(reading: SketchReading, settled: Mapping[int, SettledNumber]) -> SketchReading:
    """The reading (already with people's words on it) with every number that nobody settled inferred anew. A text that
    changes by it is no longer accepted. Readings made before numbers kept what was seen of them stay as they are."""
    if not reading.outline.walls or not any(n.sighting for n in reading.numbers):
        return reading
    walls = tuple(sorted(reading.outline.walls, key=lambda w: w.wall))
    seen = {
        i: sighting
        for i, number in enumerate(reading.numbers)
        if not settled.get(i, SettledNumber()).dropped
        and (sighting := _sighting(number, settled.get(i), walls))
    }
    held = {
        place: (_summed(said.role or reading.numbers[i].role), said.wall)
        for place, i in enumerate(seen)
        if (said := settled.get(i)) and (said.role or said.wall is not None)
    }
    found = infer(list(seen.values()), walls, reading.unit, held).numbers
    numbers = list(reading.numbers)
    for (i, sighting), told in zip(seen.items(), found, strict=True):
        numbers[i] = _with_meaning(numbers[i], sighting, told, settled.get(i), reading.unit, walls)
    return replace(reading, numbers=tuple(numbers))


def _summed(role: Role) -> Role:
    return Role.SECTION if role is Role.OPENING else role


def _sighting(
    number: ReadNumber, said: SettledNumber | None, walls: tuple[OutlineWall, ...]
) -> Sighting | None:
    """What is seen of a number; of one that a person added only what that person said."""
    wall = next(
        (w for w in walls if w.wall == (said.wall if said and said.wall is not None else number.wall)), None
    )
    if number.sighting is None:
        if number.value_mm is None or wall is None:
            return None
        base = Sighting((Alternative(number.text, 1.0),), {number.role: 1.0})
    else:
        base = number.sighting
    if said and said.says:
        base = replace(base, texts=(Alternative(number.text, 1.0),))
    if wall is not None and all(s.wall != wall.wall for s in base.stands):
        at = min(max(along(wall, replace(number, span=None)), 0.0), 1.0)
        stand = Stand(wall.wall, 0.5, (max(at - _AROUND, 0.0), min(at + _AROUND, 1.0)))
        base = replace(base, stands=(*base.stands, stand))
    return base


def _with_meaning(
    number: ReadNumber,
    sighting: Sighting,
    told: Inferred,
    said: SettledNumber | None,
    unit: str,
    walls: tuple[OutlineWall, ...],
) -> ReadNumber:
    meaning = told.meaning
    role = number.role if said and said.role else role_of(meaning, sighting)
    same = number.measures is not None and number.measures.role is role
    wall = number.wall if same and meaning.role not in ALONG else meaning.wall
    changed = replace(
        number,
        role=role,
        wall=wall,
        span=meaning.span if wall is not None and meaning.role is Role.SECTION else None,
        legible=meaning.text is not None,
        measures=measures(meaning, role, told.sure, walls),
        may_measure=tuple(measures(m, m.role, chance, walls) for m, chance in told.others),
        sighting=replace(sighting, roles={role: 1.0}) if said and said.role else number.sighting,
    )
    if (said and said.says) or told.text == number.text:
        return changed
    return replace(changed, text=told.text, value_mm=parse_length(told.text, unit), accepted=False)
