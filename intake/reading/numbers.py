"""From texts on the page to the sketch's numbers: which writing is one and which is crossed out or of nothing in the
room, their words, walls and roles, and what the sums make of them."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from intake.domain.lengths.notation import infer_unit, of_a_room, parse_length, split_label
from intake.domain.sketch.meaning import CLEAR, Meaning
from intake.domain.sketch.outline_levels import span_on
from intake.domain.sketch.what_numbers_measure import Inferred, Sums, alone, infer, measures, role_of
from intake.domain.sketch.words_for_roles import is_letters, odds_of_letters, role_of_words, weighed_roles
from intake.domain.sketch.written_slips import AS_SHIPPED
from intake.model.phrase import Phrase, phrase
from intake.model.reading import (
    SUM_MISSES,
    Alternative,
    Box,
    OutlineWall,
    ReadNumber,
    Role,
    Sighting,
    Span,
    Stand,
)
from intake.reading.acceptance import RestOfSheet, accepted, certainty, eligible
from intake.reading.at_walls import HEIGHT, THING, Surroundings, shared
from intake.reading.openings import piece_of
from intake.reading.plan_letters import plan_letters
from intake.reading.sorter import SeenMeaning
from intake.reading.texts import ReadText
from intake.reading.walls import Stretch, WallStanding, is_off, standings

_LENGTH = re.compile(
    r"^(?:[A-Za-z]{1,3} ?[=:]? ?)?\d{1,5}(?:[.,]\d{1,3})? ?(?:mm|cm|m)?$|^\d{1,2}(?:'|ft)|^\d{1,3}\"$"
)

_LISTED = (Role.SILL, Role.HEAD, Role.REVEAL, Role.CEILING)
"""What people list beside a plan."""
CHAIN = (Role.SECTION, Role.OPENING)
_ALONG = (*CHAIN, Role.OVERALL)
"""The roles of a wall's lengths."""
AT_A_WALL = (Role.FIXTURE, Role.SILL, Role.HEAD, Role.REVEAL)
"""What stands at a wall."""
LEAST_WEIGHT = 0.002
"""A wall of which a number is this seldom is not thought of."""
_LEAST_CHANCE = 0.02
"""The same of a thing or a height by what is drawn round it."""
_AMID = 0.07
"""A number this far from every wall, in diagonals of the room, stands amid it."""
_LABELLED = 0.9
"""How surely letters read as a label are those letters."""
_ODD = 0.1
"""How likely a length is that no room has, beside one that rooms have."""
_LIKELIER = 0.5
"""Letters that are likelier beside a number than not stand there."""


_NONE, _ENOUGH, _DIGIT, _STROKE = 0.3, 0.12, 0.7, 0.85
"""A text is a number where it is none with less than the first chance and read with more than the second; a lone digit
with more than the third, a lone 1 or 2, for which a stroke is soon taken, with more than the fourth (judgement)."""
_NONE_ALONE, _ALONE = 0.4, 0.6
"""What PP-OCR takes for a word is a number where the project's own recogniser takes it for none with less than the
first chance, and its text has more than the second: 111 like three strokes, 57 with an S (by hand, on six texts of four
drawers, of which one was none)."""
_BESIDE = 0.3
"""Words stand beside a number within this share of its height (judgement)."""
_RULER_CM, _IN_A_ROW = 200, 5
"""Whole numbers below the first that count up in a straight line, so many at least, are a ruler's."""
_WORTH_KEEPING = 0.01
"""The chance from which on another reading is kept."""


@dataclass(frozen=True)
class Placed:
    """A number in its place. `box` is in picture pixels; `told` what the sorter says of it; `by` how it stands to the
    walls; `named` the role of words beside it, `roles` the chance of each; `stands` the walls it may be of, likeliest
    first. `lettered`: its letter is of a row (reading/keyed), no role; `keyed`: of a key, it may be of any wall."""

    text: ReadText
    box: Box
    told: SeenMeaning
    by: tuple[WallStanding, ...]
    named: Role | None
    roles: dict[Role, float]
    stands: tuple[Stand, ...] = ()
    line: Stretch | None = None
    around: Surroundings | None = None
    """What is drawn round it, where it may be of a fixed thing or a height."""
    lettered: bool = False
    keyed: bool = False

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
    if not text.numbers or _is_crossed_out(text) or not _LENGTH.match(text.numbers[0].text):
        return False
    return _is_whole(text) and text.strength > _enough(text.numbers[0].text)


def _is_whole(text: ReadText) -> bool:
    """Whether all of it is one number, to PP-OCR or to the project's own recogniser."""
    none, clear = text.own.not_a_number, text.numbers[0].confidence > _ALONE
    return text.plain_number or (not text.parts and none < _NONE) or (clear and none < _NONE_ALONE)


def _enough(text: str) -> float:
    return _ENOUGH if len(text) > 1 else _STROKE if text in "12" else _DIGIT


def _is_crossed_out(text: ReadText) -> bool:
    """Whether it is likelier crossed out than a number: of ten such on the validation split none was a number."""
    return text.own.struck > 1 - text.own.not_a_number


def is_word(text: ReadText) -> bool:
    letters = re.sub(r"[^A-Za-z]", "", text.word.text)
    return not is_number(text) and len(letters) > 1 and text.word.confidence > 0.5


def placed(
    text: ReadText,
    box: Box,
    meaning: SeenMeaning,
    walls: Sequence[OutlineWall],
    texts: Sequence[ReadText],
    open_spans: Mapping[int, Sequence[Span]],
    line: Stretch | None = None,
) -> Placed:
    """A text in its place; `box`, `meaning` and the ends of its dimension `line` in picture pixels."""
    words = text.label or letters_beside(text) or _near_words(text, texts)
    named = None if is_letters(words, plan_letters()) else role_of_words(words)
    roles = weighed_roles(meaning.roles, named, _lengths(text.numbers[0].text))
    by = standings(box, walls, meaning.stretch)
    stands = tuple(stand_at(s, walls, meaning, open_spans) for s in by if s.weight > LEAST_WEIGHT)
    return Placed(text, box, meaning, by, named, roles, stands, line)


def stand_at(
    standing: WallStanding,
    walls: Sequence[OutlineWall],
    meaning: SeenMeaning,
    open_spans: Mapping[int, Sequence[Span]],
) -> Stand:
    """A number at one wall, of the piece that its stretch names; of the whole where the stretch runs another way."""
    wall = next(w for w in walls if w.wall == standing.wall)
    low, high = span_on(wall, meaning.stretch)
    drawn = float(np.hypot(*np.subtract(*meaning.stretch)))
    length = float(np.hypot(*np.subtract(wall.end, wall.start)))
    span = (low, high) if (high - low) * length > 0.5 * drawn else (0.0, 1.0)
    piece, is_open = piece_of(span, open_spans.get(wall.wall, ()))
    return Stand(standing.wall, standing.weight, piece, is_open)


def _all_letters(text: ReadText) -> Sequence[Alternative]:
    """The letters that may stand beside a number, by the recogniser or as its label."""
    if is_letters(text.label, plan_letters()):
        return (Alternative(text.label, _LABELLED),)
    split = split_label(text.numbers[0].text)[0]
    return text.letters or ((Alternative(split, _LABELLED),) if split else ())


def letters_beside(text: ReadText) -> str:
    """The letters beside a number that are likelier there than not."""
    return next((a.text for a in text.letters if a.confidence > _LIKELIER), "")


def _lengths(text: str) -> list[int]:
    """What a text may be in millimetres while the sketch's unit is not known."""
    found = (parse_length(text, unit) for unit in ("mm", "cm", "m"))
    return [length for length in found if length is not None]


def _near_words(text: ReadText, texts: Sequence[ReadText]) -> str:
    """The words nearest the number, where they stand closer than its own height; else nothing."""
    shape = Polygon(text.box)
    near = [(shape.distance(Polygon(w.box)), w.word.text) for w in texts if is_word(w)]
    distance, words = min(near, default=(math.inf, ""))
    return words if distance < _BESIDE * text.height else ""


def of_the_plan(places: Sequence[Placed]) -> list[Placed]:
    """The numbers that are the plan's: not those of a ruler laid beside it or of another sheet further off, unless
    words beside them say what they are, or they stand like a list of heights in a corner of the sheet."""
    near = [
        p
        for p in places
        if p.keyed or not is_off(p.by, p.told.of_wall) or p.named is not None or p.settled in _LISTED
    ]
    scale = _ruler(near)
    return [p for p in near if id(p) not in scale]


def _ruler(places: Sequence[Placed]) -> set[int]:
    """Which numbers count up one by one along a straight line."""
    whole: dict[int, list[Placed]] = {}
    for p in places:
        text = p.text.numbers[0].text
        if text.isdigit() and int(text) < _RULER_CM:
            whole.setdefault(int(text), []).append(p)
    found: set[int] = set()
    for start in sorted(whole):
        run = [whole[n] for n in range(start, start + _IN_A_ROW) if n in whole]
        if len(run) == _IN_A_ROW:
            line = [min(group, key=lambda p: p.text.height) for group in run]
            steps = np.diff([p.text.centre for p in line], axis=0)
            if np.hypot(*(steps - np.median(steps, axis=0)).T).max() < 0.5 * np.hypot(
                *np.median(steps, axis=0)
            ):
                found |= {id(p) for p in line}
    return found


@dataclass(frozen=True)
class Decided:
    """A number with what the whole plan made of it."""

    place: Placed
    seen: Sighting
    decision: Inferred
    sheet: RestOfSheet


def decided(
    places: Sequence[Placed], walls: Sequence[OutlineWall], slips: Mapping[str, float] = AS_SHIPPED
) -> tuple[str, list[Decided]]:
    """The sketch's unit, and its numbers after the whole plan was asked; `slips` as `infer` takes them."""
    unit = _unit(places)
    seen = _with_things([_sighting(p, unit) for p in places], places)
    found = infer(seen, walls, unit, slips=slips).numbers if walls else alone(seen)
    sheets = _sheets(places, found)
    return unit, [Decided(*each) for each in zip(places, seen, found, sheets, strict=True)]


def _with_things(seen: Sequence[Sighting], places: Sequence[Placed]) -> list[Sighting]:
    """The numbers, with the chances of the walls that a thing or a height there is of."""
    known = [(n, p.around) for n, p in enumerate(places) if p.around is not None]
    things, heights = (shared([around for _, around in known], fit) for fit in (THING, HEIGHT))
    found = list(seen)
    for (n, _), thing, height in zip(known, things, heights, strict=True):
        if found[n].stands:
            found[n] = replace(found[n], stands=_stands_of(places[n], found[n].stands, thing, height))
    return found


def _stands_of(
    place: Placed, stands: Sequence[Stand], thing: NDArray[np.float64], height: NDArray[np.float64]
) -> tuple[Stand, ...]:
    """The walls that a number may be of, those of a thing or a height there among them."""
    known = {stand.wall: stand for stand in stands}
    walls = sorted(standing.wall for standing in place.by)
    for n, wall in enumerate(walls):
        if wall in known or max(thing[n], height[n]) > _LEAST_CHANCE:
            stand = known.get(wall, Stand(wall, 0.0, (0.0, 1.0)))
            known[wall] = replace(stand, thing=float(thing[n]), height=float(height[n]))
    return tuple(known.values())


def _sheets(places: Sequence[Placed], found: Sequence[Inferred]) -> list[RestOfSheet]:
    """What the rest of the sheet says for each number."""
    usual = float(np.median([p.text.height for p in places])) if places else 1.0
    come_out = [each.sums is Sums.COME_OUT for each in found]
    others = max(len(found) - 1, 1)
    return [RestOfSheet(usual, (sum(come_out) - mine) / others) for mine in come_out]


def _unit(places: Sequence[Placed]) -> str:
    return infer_unit([p.text.numbers[0].text for p in places if p.text.strength > 0.5])


def likelihood(places: Sequence[Placed], walls: Sequence[OutlineWall]) -> float:
    """How well the numbers fit an outline, as a log weight to compare with another's of the same numbers."""
    unit = _unit(places)
    return infer([_sighting(p, unit) for p in places], walls, unit, quick=True).log


def read_numbers(
    places: Sequence[Placed], walls: Sequence[OutlineWall], slips: Mapping[str, float] = AS_SHIPPED
) -> tuple[str, tuple[ReadNumber, ...]]:
    """The sketch's unit and its numbers; `slips` as `infer` takes them."""
    unit, found = decided(places, walls, slips)
    return unit, tuple(_number(each, unit, walls) for each in found if not is_no_length(each, unit))


def is_no_length(found: Decided, unit: str) -> bool:
    """Whether a number is a date's, a telephone's or an item's: of nothing in the room, and no length of one either."""
    text = found.decision.text
    odd = not of_a_room(text, unit) or (unit == "cm" and text.isdigit() and len(text) > 3)
    return found.decision.meaning.role is Role.UNKNOWN and found.place.told.nothing > 0.5 and odd


def _sighting(place: Placed, unit: str) -> Sighting:
    belief = place.text.belief
    texts = _likely(tuple(Alternative(a.text, a.confidence * belief) for a in place.text.numbers), unit)
    off = is_off(place.by, place.told.of_wall) and not place.keyed
    roles, across = _with_across(place)
    return Sighting(
        texts,
        roles,
        {} if place.lettered else odds_of_letters(_all_letters(place.text), plan_letters()),
        () if off else place.stands,
        place.told.of_wall,
        _middle(place.box),
        bool(place.by) and place.by[0].inside and min(b.apart for b in place.by) > _AMID,
        place.line,
        across,
        place.told.stretch,
    )


def _with_across(place: Placed) -> tuple[dict[Role, float], float]:
    """The chances of the roles, and that to be a length across the room or along several walls: what the sorter says of
    those is taken out of the roles that it counts them to, and diagonals are told from what measures nothing."""
    told, roles = place.told, dict(place.roles)
    unknown, overall = (max(told.roles.get(role, 0.0), 1e-9) for role in (Role.UNKNOWN, Role.OVERALL))
    across = roles[Role.UNKNOWN] * told.across / unknown
    several = roles[Role.OVERALL] * told.several / overall
    nothing = roles[Role.UNKNOWN] * told.nothing / unknown
    roles[Role.DIAGONAL] = max(roles[Role.UNKNOWN] - across - nothing, 0.0)
    roles[Role.UNKNOWN] = nothing
    roles[Role.OVERALL] -= several
    return roles, across + several


def _middle(box: Box) -> tuple[float, float]:
    return sum(x for x, _ in box) / 4, sum(y for _, y in box) / 4


def _likely(texts: tuple[Alternative, ...], unit: str) -> tuple[Alternative, ...]:
    """The readings, best first; where the ink is not clear, one that no room has in the sketch's unit counts less."""
    if texts[0].confidence >= CLEAR:
        return texts
    weighed = (a if of_a_room(a.text, unit) else replace(a, confidence=a.confidence * _ODD) for a in texts)
    return tuple(sorted(weighed, key=lambda a: -a.confidence))


def _wall_of(meaning: Meaning) -> int | None:
    """The wall to say of a number; a ceiling is of none."""
    return None if meaning.role is Role.CEILING else meaning.wall


def _number(found: Decided, unit: str, walls: Sequence[OutlineWall]) -> ReadNumber:
    place, seen, decision = found.place, found.seen, found.decision
    meaning = decision.meaning
    wall = _wall_of(meaning)
    others = [a for a in seen.texts if a.text != decision.text and a.confidence > _WORTH_KEEPING]
    role = role_of(meaning, seen)
    return ReadNumber(
        decision.text,
        parse_length(decision.text, unit),
        place.box,
        certainty(place.text, decision, found.sheet),
        accepted(place.text, decision, unit, found.sheet),
        tuple(replace(a, confidence=min(1.0, a.confidence)) for a in others[:4]),
        role,
        wall,
        "+".join(name for name, texts in place.text.votes if texts),
        _arithmetic(seen, decision),
        meaning.span if wall is not None and role in CHAIN else None,
        tuple(a for a in place.text.letters[:3] if a.confidence > _WORTH_KEEPING),
        meaning.text is not None,
        measures(meaning, role, decision.sure, walls),
        tuple(measures(m, m.role, chance, walls) for m, chance in decision.others),
        seen,
        eligible(place.text, decision, unit, found.sheet),
    )


def _arithmetic(seen: Sighting, decision: Inferred) -> Phrase | None:
    """What the plan's sums say of a number; None where nothing checks it."""
    first = seen.texts[0].text
    if decision.meaning.text is None:
        return phrase("sums-speak-against", read=first)
    if decision.sums is Sums.NONE:
        return None
    if decision.sums is Sums.MISS:
        return phrase(SUM_MISSES, read=decision.text)
    if decision.text != first:
        return phrase("sums-fit-another", first=first, read=decision.text)
    return phrase("sums-fit", read=first)
