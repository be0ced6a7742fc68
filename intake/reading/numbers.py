"""From texts on the page to the sketch's numbers: their words, walls and roles, and what the sums make of
them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely import Polygon

from intake.model.reading import Alternative, Box, OutlineWall, ReadNumber, Role
from intake.reading.acceptance import accepted, certainty
from intake.reading.openings import piece_at
from intake.reading.texts import ReadText
from intake.reading.walls import Standing, standings
from intake.rules.decoding import CHAIN, Decision, Seen, decode
from intake.rules.notation import infer_unit, parse_length, split_label
from intake.rules.roles import role_of_words
from intake.rules.wishes import with_wishes

_LENGTH = re.compile(
    r"^(?:[A-Za-z]{1,3} ?[=:]? ?)?\d{1,5}(?:[.,]\d{1,3})? ?(?:mm|cm|m)?$|^\d{1,2}(?:'|ft)|^\d{1,3}\"$"
)

_BY_A_WALL = 0.12
"""A number further inside than this, in diagonals of the room, stands by no wall."""
_CHAINED = (*CHAIN, Role.OVERALL, Role.UNKNOWN)
_FURTHEST = 0.22
"""No number of a plan stands further than this, in diagonals of the room, from its walls."""


@dataclass(frozen=True)
class Placed:
    """A number with what stands round it. `box` is in picture pixels; `by` how it stands to the walls;
    `piece` the stretch of its wall that it stands at, from 0 to 1, and whether that is an opening."""

    text: ReadText
    box: Box
    by: tuple[Standing, ...]
    words: str
    role: Role
    piece: tuple[float, float] | None = None
    at_opening: bool = False


def is_number(text: ReadText) -> bool:
    if not text.numbers or not _LENGTH.match(text.numbers[0].text):
        return False
    whole = text.plain_number or (not text.parts and text.own.not_a_number < 0.3)
    enough = 0.6 if len(text.numbers[0].text) == 1 else 0.12
    return whole and text.strength > enough


def is_word(text: ReadText) -> bool:
    letters = re.sub(r"[^A-Za-z]", "", text.word.text)
    return not is_number(text) and len(letters) > 1 and text.word.confidence > 0.5


def placed(
    text: ReadText,
    box: Box,
    walls: Sequence[OutlineWall],
    texts: Sequence[ReadText],
    open_spans: Mapping[int, Sequence[tuple[float, float]]],
) -> Placed:
    words = text.label or split_label(text.numbers[0].text)[0] or _near_words(text, texts)
    role = role_of_words(words) or Role.UNKNOWN
    by = standings(box, walls)
    if role is Role.UNKNOWN and _is_far(by) and _may_be_ceiling(text.numbers[0].text):
        role = Role.CEILING
    piece, is_open = piece_at(by[0].along, open_spans.get(by[0].wall, ())) if by else (None, False)
    return Placed(text, box, by, words, role, piece, is_open)


def _is_far(by: Sequence[Standing]) -> bool:
    """Whether a number stands out in the room, by no wall."""
    return bool(by) and by[0].inside and by[0].apart > _BY_A_WALL


def _is_off(by: Sequence[Standing]) -> bool:
    """Whether a number stands outside the room, far from all of its walls."""
    return bool(by) and not by[0].inside and min(b.apart for b in by) >= _FURTHEST


def _may_be_ceiling(text: str) -> bool:
    """Whether a number in the middle of a room may be the height of its ceiling (210 to 300 cm: common
    practice)."""
    return any(2100 <= (parse_length(text, unit) or 0) <= 3000 for unit in ("mm", "cm", "m"))


def _near_words(text: ReadText, texts: Sequence[ReadText]) -> str:
    """The words nearest the number, where they stand closer than its own height; else nothing."""
    shape = Polygon(text.box)
    near = [(shape.distance(Polygon(w.box)), w.word.text) for w in texts if is_word(w)]
    distance, words = min(near, default=(1e9, ""))
    return words if distance < 0.3 * text.height else ""


def of_the_plan(places: Sequence[Placed], walls: Sequence[OutlineWall]) -> list[Placed]:
    """The numbers that are the plan's: not those of a ruler laid beside it or of another sheet further off, unless
    words beside them say what they are (a list of heights in a corner of the sheet)."""
    near = [p for p in places if not _is_off(p.by) or p.role is not Role.UNKNOWN]
    scale = _ruler(near)
    return [p for p in near if id(p) not in scale]


def _ruler(places: Sequence[Placed]) -> set[int]:
    """Which numbers count up one by one along a straight line."""
    whole: dict[int, list[Placed]] = {}
    for p in places:
        text = p.text.numbers[0].text
        if text.isdigit() and int(text) < 200:
            whole.setdefault(int(text), []).append(p)
    found: set[int] = set()
    for start in sorted(whole):
        run = [whole[n] for n in range(start, start + 5) if n in whole]
        if len(run) == 5:
            line = [min(group, key=lambda p: p.text.height) for group in run]
            steps = np.diff([p.text.centre for p in line], axis=0)
            if np.hypot(*(steps - np.median(steps, axis=0)).T).max() < 0.5 * np.hypot(
                *np.median(steps, axis=0)
            ):
                found |= {id(p) for p in line}
    return found


@dataclass(frozen=True)
class Decided:
    """A number with what the sums made of it."""

    place: Placed
    seen: Seen
    decision: Decision
    usual: float
    """The height of most numbers on the page."""


def decided(places: Sequence[Placed], walls: Sequence[OutlineWall]) -> tuple[str, list[Decided]]:
    """The sketch's unit, and its numbers after the sums were asked."""
    unit = infer_unit([p.text.numbers[0].text for p in places if p.text.strength > 0.5])
    seen = [_seen(p, places) for p in places]
    decisions = with_wishes(decode(seen, {w.wall: w.direction for w in walls}, unit), seen, unit)
    usual = float(np.median([p.text.height for p in places])) if places else 1.0
    return unit, [Decided(*each, usual) for each in zip(places, seen, decisions, strict=True)]


def read_numbers(
    places: Sequence[Placed], walls: Sequence[OutlineWall]
) -> tuple[str, tuple[ReadNumber, ...]]:
    """The sketch's unit and its numbers."""
    unit, found = decided(places, walls)
    return unit, tuple(_number(each, unit) for each in found)


def _seen(place: Placed, places: Sequence[Placed]) -> Seen:
    off = _is_off(place.by) or (place.role not in _CHAINED and _is_far(place.by))
    of_no_wall = place.role is Role.CEILING or off
    wall = place.by[0].wall if place.by and not of_no_wall else None
    belief = place.text.belief
    texts = tuple(Alternative(a.text, a.confidence * belief) for a in place.text.numbers)
    return Seen(texts, place.role, wall, _outer(place, places))


def _outer(place: Placed, places: Sequence[Placed]) -> float:
    """The odds that a number is its wall's overall, by its place: further off than the others, near the
    middle."""
    if not place.by:
        return 0.3
    own = place.by[0]
    others = [p.by[0] for p in places if p is not place and p.by and p.by[0].wall == own.wall]
    if not others:
        return 0.1
    further = np.mean([own.apart > 1.15 * other.apart + 0.004 for other in others])
    across = np.mean([own.inside != other.inside for other in others])
    middle = 1 - min(1.0, abs(own.along - 0.5) * 3)
    return float(np.clip(0.08 + 0.45 * further + 0.15 * across + 0.12 * middle, 0.05, 0.85))


def _number(found: Decided, unit: str) -> ReadNumber:
    place, seen, decision = found.place, found.seen, found.decision
    wall = seen.wall
    others = [a for a in seen.texts if a.text != decision.text and a.confidence > 0.01]
    role = decision.role
    if role is Role.SECTION and place.role is Role.UNKNOWN and place.at_opening:
        role = Role.OPENING
    span = place.piece if wall is not None and role in CHAIN else None
    return ReadNumber(
        decision.text,
        parse_length(decision.text, unit),
        place.box,
        certainty(place.text, decision, found.usual),
        accepted(place.text, decision, unit, found.usual),
        tuple(replace(a, confidence=min(1.0, a.confidence)) for a in others[:4]),
        role,
        wall,
        "+".join(name for name, texts in place.text.votes if texts),
        decision.note,
        span,
    )
