"""From what was read off a sketch to a room that can be closed."""

from __future__ import annotations

from collections.abc import Mapping

from intake.model.checklist import RoomKind
from intake.model.reading import Box, Direction, Feature, OutlineWall, ReadNumber, Role, SketchReading
from intake.model.room import (
    OVERALL_SIGMA_MM,
    SECTION_SIGMA_MM,
    Correction,
    Measurement,
    RoomSurvey,
    Section,
    SectionKind,
    Wall,
)
from intake.rules.notation import parse_length

KIND_OF_FEATURE = {kind.value: kind for kind in SectionKind}
WHOLE_WALL = 0.9
"""A number whose ink spans this share of its wall is the overall, if other numbers stand on the wall as well."""


def room_from_reading(
    reading: SketchReading,
    corrections: Mapping[int, Correction] | None = None,
    kind: RoomKind = RoomKind.UNKNOWN,
    title: str = "",
) -> RoomSurvey:
    """The room a reading describes; every number of the reading is in it somewhere, with its index.

    `corrections` are by index of the number; the text read stays in the measurement, beside the value a person gave.
    """
    maker = _Maker(reading, corrections or {})
    walls = tuple(maker.wall(outline) for outline in reading.outline.walls)
    return RoomSurvey(
        kind=kind,
        title=title,
        walls=maker.with_heights(walls),
        closed=reading.outline.closed,
        ceilings=tuple(maker.of_role(Role.CEILING)),
        unplaced=tuple(maker.unplaced()),
    )


class _Maker:
    """One reading being turned into a room; remembers which numbers have found their place."""

    def __init__(self, reading: SketchReading, corrections: Mapping[int, Correction]) -> None:
        self.reading = reading
        self.corrections = corrections
        self.used: set[int] = set()

    def measurement(self, index: int, name: str, sigma: float = SECTION_SIGMA_MM) -> Measurement:
        """A number as a measurement named `name`, corrected where a person has corrected it."""
        self.used.add(index)
        number, correction = self.reading.numbers[index], self.corrections.get(index)
        if correction:
            return Measurement(name, number.text, correction.value_mm, sigma, True, index, (), correction.by)
        alternatives = tuple(
            (value, a.confidence)
            for a in number.alternatives
            if (value := parse_length(a.text, self.reading.unit)) is not None and value != number.value_mm
        )
        return Measurement(name, number.text, number.value_mm, sigma, number.accepted, index, alternatives)

    def of_role(self, role: Role) -> list[Measurement]:
        found = [i for i, n in enumerate(self.reading.numbers) if n.role is role and i not in self.used]
        return [self.measurement(i, f"{role.value} {n + 1}") for n, i in enumerate(found)]

    def unplaced(self) -> list[Measurement]:
        rest = [i for i in range(len(self.reading.numbers)) if i not in self.used]
        return [self.measurement(i, f"number {i + 1}") for i in rest]

    def wall(self, outline: OutlineWall) -> Wall:
        """One wall with its chain in order and its overalls."""
        bare = Wall(outline.wall, outline.direction)
        chain, overalls = self._chain_and_overalls(outline)
        dx, dy = outline.end[0] - outline.start[0], outline.end[1] - outline.start[1]
        return Wall(
            index=outline.wall,
            direction=outline.direction,
            sections=self._sections(outline, bare.letter, chain),
            overalls=tuple(
                self.measurement(i, f"{bare.letter} overall{'' if n == 0 else f' {n + 1}'}", OVERALL_SIGMA_MM)
                for n, i in enumerate(overalls)
            ),
            drawn=float((dx * dx + dy * dy) ** 0.5),
            slant_deg=_bearing(dx, dy) if outline.direction is Direction.OTHER else None,
        )

    def _chain_and_overalls(self, outline: OutlineWall) -> tuple[list[int], list[int]]:
        mine = [(i, n) for i, n in enumerate(self.reading.numbers) if n.wall == outline.wall]
        chain = [i for i, n in mine if n.role in (Role.SECTION, Role.OPENING)]
        overalls = [i for i, n in mine if n.role is Role.OVERALL]
        if not overalls and len(chain) > 1:
            wide = [i for i in chain if _width(self.reading.numbers[i]) > WHOLE_WALL]
            if len(wide) == 1:
                overalls, chain = wide, [i for i in chain if i not in wide]
        return sorted(chain, key=lambda i: _along(outline, self.reading.numbers[i])), overalls

    def _sections(self, outline: OutlineWall, letter: str, chain: list[int]) -> tuple[Section, ...]:
        """The chain as sections, with an unmeasured section for a drawn opening that no number covers."""
        features = [f for f in self.reading.outline.features if f.wall == outline.wall and f.span]
        entries: list[tuple[float, int | None, Feature | None]] = []
        covered: list[Feature] = []
        for i in chain:
            number = self.reading.numbers[i]
            feature = _feature_at(number, _along(outline, number), features)
            if feature:
                covered.append(feature)
            entries.append((_along(outline, number), i, feature))
        for feature in features:
            if feature not in covered and feature.kind in ("door", "window", "doorway") and feature.span:
                entries.append((sum(feature.span) / 2, None, feature))
        entries.sort(key=lambda e: e[0])
        return tuple(self._section(f"{letter}{n + 1}", i, f) for n, (_, i, f) in enumerate(entries))

    def _section(self, name: str, index: int | None, feature: Feature | None) -> Section:
        kind = KIND_OF_FEATURE.get(feature.kind, SectionKind.WALL) if feature else SectionKind.WALL
        if index is None:
            return Section(kind, Measurement(name), share=feature.span if feature else None)
        number = self.reading.numbers[index]
        if kind is SectionKind.WALL and number.role is Role.OPENING:
            kind = SectionKind.OPENING
        return Section(
            kind, self.measurement(index, name), share=number.span or (feature.span if feature else None)
        )

    def with_heights(self, walls: tuple[Wall, ...]) -> tuple[Wall, ...]:
        return walls


def _along(outline: OutlineWall, number: ReadNumber) -> float:
    """Where a number stands along its wall, 0 to 1: its span's middle, else its box projected on the wall."""
    if number.span:
        return sum(number.span) / 2
    cx, cy = _centre(number.box)
    (xa, ya), (xb, yb) = outline.start, outline.end
    dx, dy = xb - xa, yb - ya
    return ((cx - xa) * dx + (cy - ya) * dy) / ((dx * dx + dy * dy) or 1.0)


def _width(number: ReadNumber) -> float:
    return number.span[1] - number.span[0] if number.span else 0.0


def _centre(box: Box) -> tuple[float, float]:
    return sum(x for x, _ in box) / 4, sum(y for _, y in box) / 4


def _feature_at(number: ReadNumber, along: float, features: list[Feature]) -> Feature | None:
    """The feature whose stretch of wall a number measures: more than half is shared, or its middle lies in it."""
    for feature in features:
        if not feature.span:
            continue
        low, high = feature.span
        if number.span:
            shared = min(high, number.span[1]) - max(low, number.span[0])
            if shared > 0.5 * max(high - low, number.span[1] - number.span[0]):
                return feature
        elif low <= along <= high:
            return feature
    return None


def _bearing(dx: float, dy: float) -> float:
    import math

    return math.degrees(math.atan2(dy, dx))
