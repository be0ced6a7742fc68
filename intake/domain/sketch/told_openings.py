"""What the numbers of a plan tell of an opening: how wide it is, and whether a sill is written at it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from intake.domain.lengths.plausible import OPENING_WIDTHS
from intake.domain.sketch.drawn_openings import along, centre, feature_at
from intake.model.reading import (
    Feature,
    Hinge,
    OpeningKind,
    Opens,
    OutlineWall,
    ReadNumber,
    Role,
    SketchReading,
)
from intake.model.room import SectionKind

OF_A_WINDOW = {Role.SILL: 50.0, Role.REVEAL: 5.0}
"""How much likelier a sill's height or a reveal's depth makes the opening that it stands at a window (set by hand: of
sills by what looked like a door or a doorway 11 of 12 were a window's, on 190 learned sheets of six drawers)."""
AT = 0.15
"""A height stands at most so far, in diagonals of the room, from the middle of its opening."""
SPREAD = 0.06
"""How far it stands off along a wall, and off it, as a standard deviation in diagonals of the room: 247 sills and
reveals on walls with one sure window, on 378 learned sheets of six drawers."""

A_TOSS = 0.5
"""An opening none of whose kinds is likelier than not is left for a person to tell (set by hand: on 155 learned sheets
of five drawers it is 8, of which 2 would be wrong; with .6 27, of which 7 would be)."""

Odds = Mapping[OpeningKind, float]
"""How many times likelier something makes each kind of opening."""


def with_numbers(reading: SketchReading) -> SketchReading:
    """The reading, the chances of its openings weighed with their widths and with the heights written at them; what a
    person said of an opening has no chances, and stands."""
    features = [_by_width(feature, reading) for feature in reading.outline.features]
    for number in reading.numbers:
        wall = next((w for w in reading.outline.walls if w.wall == number.wall), None)
        if wall is not None and number.role in OF_A_WINDOW:
            features = _by_height(features, number, wall, diagonal(reading.outline.walls))
    return replace(reading, outline=replace(reading.outline, features=tuple(features)))


def kind_of(feature: Feature) -> SectionKind:
    """What a drawn opening is in the room; OPENING where that is a toss-up, and nothing else spoke for its kind."""
    likeliest, chance = feature.kinds[0] if feature.kinds else (feature.kind, 1.0)
    toss = chance < A_TOSS and feature.kind is likeliest
    return SectionKind.OPENING if toss else SectionKind(feature.kind.value)


def weighed(feature: Feature, odds: Odds) -> Feature:
    """The opening with its chances (which add up to 1) weighed; how a door hangs is told of doors alone."""
    chances = {kind: p * odds.get(kind, 1.0) for kind, p in feature.kinds}
    total = sum(chances.values())
    if not total:
        return feature
    kinds = tuple(sorted(((k, p / total) for k, p in chances.items()), key=lambda each: -each[1]))
    changed = replace(feature, kind=kinds[0][0], kinds=kinds)
    if changed.kind is OpeningKind.DOOR:
        return changed
    return replace(changed, hinge=Hinge.UNTOLD, into=Opens.UNTOLD, swing=0.0)


def _by_width(feature: Feature, reading: SketchReading) -> Feature:
    outline = reading.outline
    wall = next((w for w in outline.walls if w.wall == feature.wall), None)
    if wall is None or feature.span is None:
        return feature
    beside = [f for f in outline.features if f.wall == wall.wall and f.span]
    for number in reading.numbers:
        measures = number.wall == wall.wall and number.role in (Role.SECTION, Role.OPENING)
        width = number.value_mm if number.legible else None
        if measures and width is not None and feature_at(number, along(wall, number), beside) is feature:
            feature = weighed(feature, width_odds(width))
    return feature


def _by_height(
    features: Sequence[Feature], number: ReadNumber, wall: OutlineWall, across: float
) -> list[Feature]:
    """The openings with a height written on their wall weighed in: it is one's of them, the likelier the nearer it
    stands and the likelier that one is a window. `across` is the room's diagonal, in pixels."""
    odds = OF_A_WINDOW[number.role]
    here = {n: f for n, f in enumerate(features) if f.wall == wall.wall and f.span}
    apart = {n: math.dist(_on(wall, f), centre(number.box)) / across for n, f in here.items()}
    near = {n: math.exp(-((far / SPREAD) ** 2) / 2) for n, far in apart.items()}
    each = {n: near[n] * (1 + (odds - 1) * _chance_of_a_window(f)) for n, f in here.items()}
    weighed_in = list(features)
    for n in (n for n in here if apart[n] < AT):
        others = sum(each.values()) - each[n]
        likelier = (others + near[n] * odds) / (others + near[n])
        weighed_in[n] = weighed(features[n], {OpeningKind.WINDOW: likelier})
    return weighed_in


def _chance_of_a_window(feature: Feature) -> float:
    return (
        dict(feature.kinds).get(OpeningKind.WINDOW, 0.0)
        if feature.kinds
        else feature.kind is OpeningKind.WINDOW
    )


def width_odds(width_mm: int) -> Odds:
    """How likely an opening of each kind is so wide (a density)."""
    return {
        kind: sum(share * usual.density(width_mm) for share, usual in widths)
        for kind, widths in OPENING_WIDTHS.items()
    }


def _on(wall: OutlineWall, feature: Feature) -> tuple[float, float]:
    (xa, ya), (xb, yb) = wall.start, wall.end
    at = sum(feature.span or (0.0, 1.0)) / 2
    return xa + at * (xb - xa), ya + at * (yb - ya)


def diagonal(walls: Sequence[OutlineWall]) -> float:
    """From corner to corner of the drawn room, in pixels of the picture."""
    xs, ys = zip(*(w.start for w in walls), strict=True)
    return math.hypot(max(xs) - min(xs), max(ys) - min(ys))
