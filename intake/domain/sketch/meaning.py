"""What one number of a plan may measure: every meaning worth a thought, each with its log chance by what is seen
of that number alone: the ink, where it stands, the words by it, its length. The sums are asked later (inference)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from intake.domain.lengths.notation import of_a_room, parse_length
from intake.domain.lengths.plausible import USUAL
from intake.domain.room.adjusting import Array
from intake.domain.room.drawn_lengths import proportion_logs
from intake.domain.room.slip_chances import UNKNOWN_SLIP
from intake.domain.sketch.outline_levels import Levels
from intake.model.reading import Alternative, Point, Role, Sighting, Span

ALONG = (Role.SECTION, Role.OVERALL)
"""The roles of lengths along the walls, which take part in sums; a section may turn out an opening."""
LISTED = (Role.CEILING, Role.SILL, Role.HEAD, Role.REVEAL, Role.FIXTURE, Role.DIAGONAL)
"""What a number may measure besides a length along the walls."""


_HEIGHTS = (Role.SILL, Role.HEAD, Role.REVEAL)
"""Heights of an opening, which stand at its wall."""
_LEAST_SHARE = 0.05
"""A wall at which a thing stands with less than this is not looked at."""
WORTH = 11.0
"""A meaning whose log chance is this much below the best one's is not looked at."""
MOST_TEXTS, MOST_MEANINGS = 5, 24
CLEAR = 0.9
"""Of ink read this surely other readings count only as far as they are seen, whatever the sums would have: what clearly
says 1845 stays 1845 although its wall wants 184.5."""
_SEEN_AS_WELL = 0.003
"""From this chance on another reading of clear ink is seen. Of 88 slips in clear ink on 499 sheets of five drawers,
whose length is another than was meant, that is among the other readings 4 times and at .0012 at most; of 107 numbers
that were clearly misread what stands there is at .003 or more 27 times (counted by a program outside the project)."""
_NONE_OF_UNCLEAR = ((0.4, 0.08), (0.3, 0.15), (0.2, 0.25), (0.0, 0.6))
"""How often ink that is not clear says none of its readings, by how surely the first was read: of 667 lengths along
walls on 440 sheets by four drawers 0 to 4 of 100 from .4 on, then 13, 20 and 57. What is left of a reader's certainty
is no other length: with it in their place (.2 to .4) 9 rooms fewer of 439 are wholly right, and 4 more walls are wrong
without a mark; with .03 four more of 326 clean plans have an alarm."""
_NONE_OF_CLEAR = ((0.98, 0.003), (0.95, 0.015), (CLEAR, 0.05))
"""How often the first reading of ink that is as clear as the first of each says is wrong: of 2,456 numbers of 140
sheets by a fourth and a fifth drawer 2 of 1,820, 10 of 585 and 3 of 51 (with .001 for .003 of 178 clean plans of a
third one closes less and two more have an alarm). What the sums want is then as often a slip, which has to be asked,
and a doubtful reading is put before a person first."""
_NONE_OF_A_REST = 0.15
"""The same of a single digit, which may be the rest of a longer number (two of seven on the validation split)."""
_NOT_OF_A_ROOM = 0.02
"""How likely a length is that no room has, beside one that rooms have."""
_FAINTEST = 1e-4
"""What is likelier than this cannot be ruled out by sight alone; a pair of levels below it is not looked at (set by
hand)."""
_OPENING_IN_A_SECTION = 0.6
"""What a length that openings have counts for a wall section: one may turn out an opening (set by hand)."""
_SHORTEST_LINE = 0.02
"""A drawn stretch shorter than this, in diagonals of the room, tells no scale (set by hand)."""
_USUAL_ROOM_MM = 4000.0
"""The diagonal of a room of which nothing tells the scale (set by hand)."""
_LEAST_PART = 0.02
"""A number looks to be of a part of a stretch that is longer than this, as a share of its wall (set by hand)."""
_SPAN_SHARE = 0.25
"""How likely a length along the walls, whose ends lie at two corners' levels, is across the room or along several
walls, beside being one wall's."""
_SECTION_SHARE = 0.3
"""The same of one that looks like a wall section, beside one that looks like an overall (set by hand)."""
_OUT_BY_A_WALL = 0.03
"""How likely a length that one wall has is across the room, where it does not stand amid it."""
_TOLD = 0.15
"""From this chance on to be across the room, where the drawing says that it runs counts."""
_BY_PLACE = 0.02
"""How much the place alone of a number tells of the two levels that it lies between, beside the ends of its line."""
_SOME_PAIR = 0.05
"""What is across the room lies between some two levels, though its ends lie as far off them as this says."""
_ABOUT_THE_MIDDLE = 0.25
"""Spread of a number's place about the middle between its two levels, as a share of their distance (set by hand)."""
_NEAR_ENDS = 0.04
"""Spread of where a dimension line ends about the level that it is drawn to, in diagonals of the room."""


class Meaning(NamedTuple):
    """One thing that a number may say and measure. `text` is the index among its texts, None for none of them;
    `wall` the wall of a section, an overall or a fixed thing; `levels` the two levels that an overall lies between.
    `log` is its log chance by ink and place, `usual` how usual such a length is there and how well it agrees with the
    drawing (a log factor): that of a length along the walls counts only where it is no slip. `part` is the part of a
    section's `span` that it looks to be of: all of it, or less where the drawing does not part a wall's pieces."""

    text: int | None
    value: float | None
    role: Role
    wall: int | None
    span: Span | None
    levels: tuple[int, int] | None
    log: float
    usual: float = 0.0
    part: Span | None = None

    @property
    def key(self) -> tuple[Role, int | None, tuple[int, int] | None]:
        """What it measures, whatever it says; a section and an opening are told apart later."""
        return self.role, self.wall, None if self.wall is not None else self.levels


def meanings_of(seen: Sighting, levels: Levels, unit: str, scale: float) -> list[Meaning]:
    """The meanings of one number, likeliest first. `scale` is millimetres a pixel of the drawing, by its middle."""
    found: list[Meaning] = []
    for index, value, says in _readings(seen, unit):
        for role, wall, span, pair, where in _places(seen, levels):
            part = _part(seen, wall, span, levels) if span is not None and wall is not None else None
            usual = 0.0 if value is None else _usual(role, value)
            usual += _drawn(role, value, wall, (span, part), pair, levels, scale)
            log = says + where + _ends(seen, role, wall, (span, part), levels)
            found.append(Meaning(index, value, role, wall, span, pair, log, usual, part))
    found.sort(key=lambda m: -alone_log(m))
    return [m for m in found if alone_log(m) > alone_log(found[0]) - WORTH][:MOST_MEANINGS]


def _part(seen: Sighting, wall: int, span: Span, levels: Levels) -> Span:
    """The part of a stretch of a wall that a number looks to be of."""
    if seen.reach is None:
        return span
    low, high = levels.span_on(wall, seen.reach)
    low, high = max(low, span[0]), min(high, span[1])
    return (low, high) if high - low > _LEAST_PART else span


def alone_log(meaning: Meaning) -> float:
    """The log chance of a meaning by itself; a length along the walls may be a slip, however unusual."""
    along = meaning.role in ALONG
    return meaning.log + (max(meaning.usual, math.log(UNKNOWN_SLIP)) if along else meaning.usual)


def _readings(seen: Sighting, unit: str) -> Iterator[tuple[int | None, float | None, float]]:
    """(index, millimetres, log chance) of what the ink may say; last that it says none of these."""
    clear = bool(seen.texts) and seen.texts[0].confidence >= CLEAR
    none = _none(seen.texts)
    least = _SEEN_AS_WELL if clear else 0.0
    offered = [(n, text) for n, text in enumerate(seen.texts[:MOST_TEXTS]) if text.confidence >= least]
    said = sum(text.confidence for _, text in offered)
    for index, text in offered:
        length = parse_length(text.text, unit)
        fair = (clear and index == 0) or of_a_room(text.text, unit)
        share = text.confidence if clear else (1.0 - none) * text.confidence / said
        chance = max(share, 1e-6) * (1.0 if fair else _NOT_OF_A_ROOM)
        yield index, None if length is None else float(length), math.log(chance)
    yield None, None, math.log(none)


def _none(texts: Sequence[Alternative]) -> float:
    """How often ink says none of what was read of it."""
    first = texts[0].confidence if texts else 0.0
    if first >= CLEAR and sum(c.isdigit() for c in texts[0].text) < 2:
        return _NONE_OF_A_REST
    return next(none for least, none in (*_NONE_OF_CLEAR, *_NONE_OF_UNCLEAR) if first >= least)


_Place = tuple[Role, int | None, Span | None, tuple[int, int] | None, float]


def _places(seen: Sighting, levels: Levels) -> list[_Place]:
    """Every (role, wall, stretch, levels, log chance) that the drawing allows."""
    odds = {role: max(p, _FAINTEST) * seen.named.get(role, 1.0) for role, p in seen.roles.items()}
    total = sum(odds.values()) + seen.across
    chances = {role: p / total for role, p in odds.items()}
    along = chances.get(Role.SECTION, 0.0) + chances.get(Role.OPENING, 0.0)
    whole = chances.get(Role.OVERALL, 0.0)
    found: list[_Place] = []
    for stand in seen.stands:
        found.append((Role.SECTION, stand.wall, stand.span, None, math.log(max(along * stand.weight, 1e-9))))
        pair = levels.of_wall(stand.wall)
        found.append((Role.OVERALL, stand.wall, None, pair, math.log(max(whole * stand.weight, 1e-9))))
    loose = _SPAN_SHARE * (whole + _SECTION_SHARE * along + chances.get(Role.UNKNOWN, 0.0))
    pairs = list(_across(seen, levels))
    among = max(sum(share for _, share in pairs), _SOME_PAIR) if seen.across > _TOLD else 1.0
    for pair, share in pairs:
        chance = loose * share + seen.across / total * share / among
        found.append((Role.OVERALL, None, None, pair, math.log(max(chance, 1e-9))))
    for role in LISTED:
        for wall, share in _stands_at(seen, role):
            found.append((role, wall, None, None, math.log(max(chances.get(role, 0.0) * share, 1e-6))))
    found.append((Role.UNKNOWN, None, None, None, math.log(max(chances.get(Role.UNKNOWN, 0.0), _FAINTEST))))
    return found


def _stands_at(seen: Sighting, role: Role) -> list[tuple[int | None, float]]:
    """The walls at which a thing or a height may stand, None for no one wall, with their shares; a ceiling and a
    diagonal are of none, theirs says only where the number is written."""
    if not seen.stands:
        return [(None, 1.0)]
    if role is not Role.FIXTURE and role not in _HEIGHTS:
        return [(seen.stands[0].wall if seen.of_wall > 0.5 else None, 1.0)]
    told = [(s.wall, s.thing if role is Role.FIXTURE else s.height, s.weight) for s in seen.stands]
    found: list[tuple[int | None, float]] = [
        (wall, seen.of_wall * weight if chance is None else chance) for wall, chance, weight in told
    ]
    found.append((None, 1.0 - sum(share for _, share in found)))
    return [each for each in found if each[1] > _LEAST_SHARE]


def _across(seen: Sighting, levels: Levels) -> Iterator[tuple[tuple[int, int], float]]:
    """The pairs of levels that a number may lie between, with their shares; by its dimension line where one was found,
    else by its own place, which tells little."""
    shares: dict[tuple[int, int], float] = {}
    own = {levels.of_wall(w.wall) for w in levels.walls}
    for pair in levels.pairs():
        low, high, axis = levels.at(pair[0]), levels.at(pair[1]), levels.axis(pair[0])
        reach = seen.reach if seen.across > _TOLD else None
        inside = (seen.at[axis] - low) / max(high - low, 1e-6)
        near = [_near(ends, low, high, axis, levels.diagonal) for ends in (seen.line, reach) if ends]
        shares[pair] = max([*near, _BY_PLACE * math.exp(-(((inside - 0.5) / _ABOUT_THE_MIDDLE) ** 2) / 2.0)])
    for pair, share in shares.items():
        fair = share if seen.amid or pair not in own else max(_OUT_BY_A_WALL, seen.across) * share
        if fair > _FAINTEST:
            yield pair, fair


def _near(ends: tuple[Point, Point], low: float, high: float, axis: int, diagonal: float) -> float:
    """How near a line's ends lie to two levels (0 to 1); one that runs the other way is near to none."""
    (a, b), other = ends, 1 - axis
    if abs(b[axis] - a[axis]) < abs(b[other] - a[other]):
        return 0.0
    first, last = sorted((a[axis], b[axis]))
    off = math.hypot(first - low, last - high) / diagonal / _NEAR_ENDS
    return math.exp(-off * off / 2.0)


def _usual(role: Role, value: float) -> float:
    """How usual a length is for its role, beside all that may be written on a plan."""
    usual = USUAL[role].density(value)
    if role is Role.SECTION:
        usual = max(usual, _OPENING_IN_A_SECTION * USUAL[Role.OPENING].density(value))
    return math.log(usual / _ANY.density(value))


_ANY = USUAL[Role.UNKNOWN]


def usual_logs(role: Role, lengths_mm: Array) -> Array:
    """The same of many lengths."""
    usual = USUAL[role].densities(lengths_mm)
    if role is Role.SECTION:
        usual = np.maximum(usual, _OPENING_IN_A_SECTION * USUAL[Role.OPENING].densities(lengths_mm))
    return np.asarray(np.log(usual / _ANY.densities(lengths_mm)))


def _drawn(
    role: Role,
    value: float | None,
    wall: int | None,
    spans: tuple[Span | None, Span | None],
    pair: tuple[int, int] | None,
    levels: Levels,
    scale: float,
) -> float:
    """How well a length agrees with how long it is drawn, as a log factor about 0."""
    if value is None or role not in (Role.SECTION, Role.OVERALL, Role.DIAGONAL):
        return 0.0
    if role is Role.DIAGONAL:
        return (
            max(_in_proportion(value, pixels * scale) for pixels in levels.diagonals())
            if levels.walls
            else 0.0
        )
    whole, part = (
        _in_proportion(value, pixels_along(role, wall, span, pair, levels) * scale) for span in spans
    )
    return float(np.logaddexp(whole, part)) - math.log(2.0)


def pixels_along(
    role: Role, wall: int | None, span: Span | None, pair: tuple[int, int] | None, levels: Levels
) -> float:
    """How long a section or an overall is drawn."""
    if role is Role.SECTION and wall is not None and span is not None:
        return (span[1] - span[0]) * levels.drawn(wall)
    if wall is not None:
        return levels.drawn(wall)
    assert pair is not None
    return abs(levels.at(pair[1]) - levels.at(pair[0]))


def _in_proportion(value: float, drawn: float) -> float:
    return float(proportion_logs(np.array([value]), drawn)[0])


def _ends(
    seen: Sighting, role: Role, wall: int | None, spans: tuple[Span | None, Span | None], levels: Levels
) -> float:
    """How well a length along the walls agrees with where its dimension line ends, as a log factor about 0."""
    if seen.line is None or wall is None or role not in (Role.SECTION, Role.OVERALL):
        return 0.0
    off = math.inf
    for span in dict.fromkeys(spans):
        low, high, axis = levels.stretch(wall, span or (0.0, 1.0))
        if axis > 1:
            return 0.0
        ends = sorted(p[axis] for p in seen.line)
        off = min(off, math.hypot(ends[0] - low, ends[1] - high) / levels.diagonal / _NEAR_ENDS)
    return math.log(_LINE_TELLS * math.exp(-off * off / 2.0) + _LINE_MISLEADS)


_LINE_TELLS, _LINE_MISLEADS = 2.5, 0.15
"""How much likelier, and at least how likely, a stretch is between whose ends a dimension line runs."""


def scale_of(seen: Sequence[Sighting], levels: Levels, unit: str) -> float:
    """Millimetres a pixel of the drawing: the middle of what its numbers say, each of its likeliest stretch."""
    ratios = []
    for number in seen:
        length = parse_length(number.texts[0].text, unit) if number.texts else None
        along = number.roles.get(Role.SECTION, 0) + number.roles.get(Role.OPENING, 0)
        whole = number.roles.get(Role.OVERALL, 0)
        if length is None or not number.stands or along + whole < 0.5:
            continue
        stand = number.stands[0]
        pixels = levels.drawn(stand.wall) * (1.0 if whole > along else stand.span[1] - stand.span[0])
        if pixels > _SHORTEST_LINE * levels.diagonal:
            ratios.append(length / pixels)
    ratios.sort()
    return ratios[len(ratios) // 2] if ratios else _USUAL_ROOM_MM / max(levels.diagonal, 1.0)
