"""From texts on the page to the sketch's numbers: their words, walls and roles, and what the sums make of
them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely import Polygon

from intake.domain.lengths.notation import infer_unit, of_a_room, parse_length
from intake.domain.sketch.decoding import CHAIN, CLEAR, Decision, Seen, decode
from intake.domain.sketch.roles import role_of_words, weighed_roles
from intake.domain.sketch.wishes import with_wishes
from intake.model.reading import Alternative, Box, OutlineWall, ReadNumber, Role
from intake.reading.acceptance import accepted, certainty
from intake.reading.openings import Span, piece_of
from intake.reading.sorter import Meaning
from intake.reading.texts import ReadText
from intake.reading.walls import Standing, span_on, standings

_LENGTH = re.compile(
    r"^(?:[A-Za-z]{1,3} ?[=:]? ?)?\d{1,5}(?:[.,]\d{1,3})? ?(?:mm|cm|m)?$|^\d{1,2}(?:'|ft)|^\d{1,3}\"$"
)

_HEIGHTS, _BY_A_WALL = (Role.SILL, Role.HEAD, Role.REVEAL), 0.12
"""Heights written further inside than this, in diagonals of the room, are listed there and are of no one wall."""
_LISTED = (*_HEIGHTS, Role.CEILING)
"""What people list beside a plan."""
_ALONG = (*CHAIN, Role.OVERALL)
"""The roles of a wall's lengths."""
_DRAWN = 2.0
"""How much likelier a number is an opening's where one is drawn."""
_BARE = 0.06
"""How likely it is, at least, beside its own wall, that a number is of a wall which has none."""
_STRUCK = 0.5
"""What is crossed out with this chance counts no more: of nine such on the validation split none was a number."""
_ODD = 0.1
"""How likely a length is that no room has, beside one that rooms have."""
_LIKELIER = 0.5
_FURTHEST = 0.22
"""No number of a plan stands further than this, in diagonals of the room, from its walls."""


@dataclass(frozen=True)
class Placed:
    """A number with what stands round it. `box` is in picture pixels; `by` how it stands to the walls; `named` the role
    that words beside it name; `roles` the chance of each role; `of_wall` the chance to be of a wall at all; `span` the
    stretch of its wall that it is of, from 0 to 1, and `at_opening` whether an opening is drawn there."""

    text: ReadText
    box: Box
    by: tuple[Standing, ...]
    named: Role | None
    roles: Mapping[Role, float]
    of_wall: float = 1.0
    span: Span | None = None
    at_opening: bool = False

    @property
    def settled(self) -> Role | None:
        """The likeliest role, where it is none of a wall's lengths; which of those it is the sums help to tell."""
        best = max(self.roles, key=lambda role: self.roles[role])
        along = sum(self.roles[role] for role in _ALONG)
        return None if best in _ALONG or along > self.roles[best] else best

    @property
    def overall(self) -> float:
        """The chance to be a wall's overall, if it is a length along a wall."""
        return self.roles[Role.OVERALL] / max(sum(self.roles[role] for role in _ALONG), 1e-9)


def is_number(text: ReadText) -> bool:
    if not text.numbers or text.own.struck > _STRUCK or not _LENGTH.match(text.numbers[0].text):
        return False
    whole = text.plain_number or (not text.parts and text.own.not_a_number < 0.3)
    enough = 0.85 if len(text.numbers[0].text) == 1 else 0.12
    return whole and text.strength > enough


def is_word(text: ReadText) -> bool:
    letters = re.sub(r"[^A-Za-z]", "", text.word.text)
    return not is_number(text) and len(letters) > 1 and text.word.confidence > 0.5


def placed(
    text: ReadText,
    box: Box,
    meaning: Meaning,
    walls: Sequence[OutlineWall],
    texts: Sequence[ReadText],
    open_spans: Mapping[int, Sequence[Span]],
) -> Placed:
    """A text in its place; `box` and `meaning` in picture pixels."""
    words = text.label or _letters(text) or _near_words(text, texts)
    named = role_of_words(words)
    roles = weighed_roles(meaning.roles, named, _lengths(text.numbers[0].text))
    by = standings(box, walls, meaning.stretch)
    if not by:
        return Placed(text, box, by, named, roles, meaning.of_wall)
    wall = next(w for w in walls if w.wall == by[0].wall)
    span = span_on(wall, meaning.stretch)
    piece, is_open = piece_of(span, open_spans.get(wall.wall, ()))
    return Placed(text, box, by, named, roles, meaning.of_wall, piece, is_open)


def _letters(text: ReadText) -> str:
    """The letters beside a number that are likelier there than not."""
    return next((a.text for a in text.letters if a.confidence > _LIKELIER), "")


def with_no_wall_bare(
    places: Sequence[Placed], walls: Sequence[OutlineWall], open_spans: Mapping[int, Sequence[Span]]
) -> list[Placed]:
    """The numbers, a wall that has none given the likeliest one of another wall that has several: people measure every
    wall, and a short one's number stands as near to its neighbour."""
    found = list(places)
    for wall in (w.wall for w in walls):
        lengths = [i for i, p in enumerate(found) if p.by and p.settled is None]
        held = [found[i].by[0].wall for i in lengths]
        if wall in held:
            continue
        odds = {i: _odds_of(found[i], wall) for i in lengths if held.count(found[i].by[0].wall) > 1}
        best = max(odds, key=lambda i: odds[i], default=None)
        if best is not None and odds[best] > _BARE:
            found[best] = _moved(found[best], wall, open_spans.get(wall, ()))
    return found


def _odds_of(place: Placed, wall: int) -> float:
    """How likely a number is one wall's beside the one that it seems to be of."""
    return next(s.weight for s in place.by if s.wall == wall) / max(place.by[0].weight, 1e-12)


def _moved(place: Placed, wall: int, open_spans: Sequence[Span]) -> Placed:
    """The number at another wall, of its longest piece."""
    by = sorted(place.by, key=lambda s: s.wall != wall)
    piece, is_open = piece_of((0.0, 1.0), open_spans)
    return replace(place, by=tuple(by), span=piece, at_opening=is_open)


def _is_off(by: Sequence[Standing]) -> bool:
    """Whether a number stands outside the room, far from all of its walls."""
    return bool(by) and not by[0].inside and min(b.apart for b in by) >= _FURTHEST


def _lengths(text: str) -> list[int]:
    """What a text may be in millimetres while the sketch's unit is not known."""
    found = (parse_length(text, unit) for unit in ("mm", "cm", "m"))
    return [length for length in found if length is not None]


def _near_words(text: ReadText, texts: Sequence[ReadText]) -> str:
    """The words nearest the number, where they stand closer than its own height; else nothing."""
    shape = Polygon(text.box)
    near = [(shape.distance(Polygon(w.box)), w.word.text) for w in texts if is_word(w)]
    distance, words = min(near, default=(1e9, ""))
    return words if distance < 0.3 * text.height else ""


def of_the_plan(places: Sequence[Placed], walls: Sequence[OutlineWall]) -> list[Placed]:
    """The numbers that are the plan's: not those of a ruler laid beside it or of another sheet further off, unless
    words beside them say what they are, or they stand like a list of heights in a corner of the sheet."""
    near = [p for p in places if not _is_off(p.by) or p.named is not None or p.settled in _LISTED]
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
    seen = [_seen(p, unit) for p in places]
    decisions = with_wishes(decode(seen, {w.wall: w.direction for w in walls}, unit), seen, unit)
    usual = float(np.median([p.text.height for p in places])) if places else 1.0
    return unit, [Decided(*each, usual) for each in zip(places, seen, decisions, strict=True)]


def read_numbers(
    places: Sequence[Placed], walls: Sequence[OutlineWall]
) -> tuple[str, tuple[ReadNumber, ...]]:
    """The sketch's unit and its numbers."""
    unit, found = decided(places, walls)
    return unit, tuple(_number(each, unit) for each in found)


def _seen(place: Placed, unit: str) -> Seen:
    belief = place.text.belief
    texts = _likely(tuple(Alternative(a.text, a.confidence * belief) for a in place.text.numbers), unit)
    return Seen(
        texts, place.settled or Role.UNKNOWN, _wall_of(place), float(np.clip(place.overall, 0.02, 0.98))
    )


def _likely(texts: tuple[Alternative, ...], unit: str) -> tuple[Alternative, ...]:
    """The readings, best first; where the ink is not clear, one that no room has in the sketch's unit counts less."""
    if texts[0].confidence >= CLEAR:
        return texts
    weighed = (a if of_a_room(a.text, unit) else replace(a, confidence=a.confidence * _ODD) for a in texts)
    return tuple(sorted(weighed, key=lambda a: -a.confidence))


def _wall_of(place: Placed) -> int | None:
    if (
        not place.by
        or place.settled in (Role.CEILING, Role.UNKNOWN)
        or place.of_wall < 0.5
        or _is_off(place.by)
    ):
        return None
    listed = place.settled in _HEIGHTS and place.by[0].inside and place.by[0].apart > _BY_A_WALL
    return None if listed else place.by[0].wall


def _number(found: Decided, unit: str) -> ReadNumber:
    place, seen, decision = found.place, found.seen, found.decision
    wall = seen.wall
    others = [a for a in seen.texts if a.text != decision.text and a.confidence > 0.01]
    role = _role(place, decision)
    span = place.span if wall is not None and role in CHAIN else None
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
        tuple(a for a in place.text.letters[:3] if a.confidence > 0.01),
    )


def _role(place: Placed, decision: Decision) -> Role:
    """The role of a number when the sums have said which is a wall's overall."""
    if place.settled is not None:
        return place.settled
    if decision.role is Role.OVERALL:
        return Role.OVERALL
    drawn = _DRAWN if place.at_opening else 1 / _DRAWN
    return Role.OPENING if place.roles[Role.OPENING] * drawn > place.roles[Role.SECTION] else Role.SECTION
