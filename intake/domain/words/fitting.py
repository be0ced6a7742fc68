"""Which length may be which item's, and what makes it doubtful."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from intake.domain.lengths.plausible import HEIGHTS_MM
from intake.domain.words.clause import Clause, Length, not_said_twice
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import PREPOSITION, elsewhere
from intake.domain.words.lexicon import Mention
from intake.domain.words.numbers import every_reading, reading_of
from intake.domain.words.weighing import (
    ANOTHER_BESIDE,
    ANOTHER_UNIT,
    ELSEWHERE,
    NOT_ALL_KNOWN,
    TWO_LENGTHS,
    UNCERTAIN,
    UNUSUAL,
    weakened,
)
from intake.model.checklist import ChecklistItem
from intake.model.reading import Role
from intake.model.word import Statement, StatementKind

_FLAT = frozenset(["wide", "width", "across", "long", "length", "broad", "breit", "breite", "lang", "länge"])
_SIDEWAYS = re.compile(r"\b(?:wide|width|long|breit|breite|lang|länge|deep|depth|thick|tief|tiefe)\b", re.I)
_UPWARDS = re.compile(r"\b(?:high|tall|height|hoch|höhe)\b", re.I)
_WORKTOP = re.compile(r"\b(?:work ?tops?|work ?surfaces?|counter(?:top)?s?|arbeitsplatte)\b", re.I)
_OVER_WORKTOP = re.compile(
    r"\bwork\w*(?: ?tops?)? (?:up )?to\b|\b(?:above|from|over|off) (?:the )?(?:work|counter)|\b(?:ab|über"
    r"|von) (?:der )?arbeitsplatte",
    re.I,
)
OVER_A_WORKTOP_MM = 500
"""Farther above a worktop no sill lies; common practice, no source."""
HEIGHTS = {Role.CEILING, Role.SILL, Role.HEAD}
_ALTERNATIVE = re.compile(r"\d\S{0,12}+\s++(?:or|oder)\s+\d|\d\s?\?", re.I)
_NO_WINDOW = re.compile(r"\b(?:alcoves?|chimney|fireplace|wardrobe|doorway|kamin|tür)\b", re.I)
""" "The recess in the alcove"."""
_GUESS_MARK = re.compile(r"\b(?:say|sagen wir)\s\d|~\s?\d|\d\s?ish\b|\d\s?\+/?-|±|\d\s?\(\?\)")
_TO_IT = re.compile(r"\s?(?:up )?(?:to|bis)\s(?:(?:the|zu[rm]?|die|der)\s){0,2}", re.I)


ANOTHER_END = "doubt-another-end"
TO_ANOTHER = re.compile(
    r"\b(?:to|from|above|below|under|bis|ab|vom|von)\s+(?:zu[mr]\s|der\s|dem\s|the\s|a\s|my\s"
    r"|our\s)?(?:(?:top|bottom|edge|middle|underside) of the\s)?"
    r"(?:beams?|coving|cornice|joists?|rafters?|picture rail|dado|pelmet|skirting|spot ?lights?|light|lamp"
    r"|balken|sockelleiste|lampe|(?:old|false|suspended|dropped|original|alten?) \w+"
    r"|stuck|work ?top|counter)\b"
    r"|\A\W*(?:(?:and|but|und|aber|the|an?|some|our|there's|there is|der|die|das|eine?) ){0,2}(?:\w+ )?"
    r"(?:beams?|joists?|rsj|boxing|bulkhead|soffits?|pipes?|ducts?|shelf|shelves|rail|pelmet|coving|lintel|balken|unterzug|rohre?|leitung"
    r"|regal|sturz)\b(?! (?:corner|wall|side|end)\b)[^,;]{0,40}?\d",
    re.I,
)
""" "To the coving", "the beam is at 210"."""


_WITHOUT = re.compile(
    r"\b(?:without|excluding|excl\.?|including|incl\.?|ohne|exklusive|inklusive|inkl\.?)\s(?:the |das |die |den )?\Z",
    re.I,
)
""" "Recess 14, without the sill 12": no height of the sill."""


def fits(item: ChecklistItem, clause: Clause, value: Length) -> bool:
    """False where the length cannot be this item's: it has none, it is a distance or a difference, or the words beside
    it say width for a height."""
    if not item.range_mm or any(
        item.id in m.items and _WITHOUT.search(clause.text[: m.start]) for m in clause.mentions
    ):
        return False
    if value.apart and not (
        value.over and Role.CEILING in item.roles and reading_of(value.number, item.range_mm).usual
    ):
        return False
    upright, reveal = bool(HEIGHTS.intersection(item.roles)), Role.REVEAL in item.roles
    if value.across:
        return not upright and not (reveal and value.across in _FLAT)
    if value.up:
        return not reveal
    names = [m for m in clause.mentions if m.end <= value.start]
    between = clause.text[names[-1].end if names else 0 : value.start]
    if upright:
        return not _SIDEWAYS.search(between) or bool(_UPWARDS.search(between))
    return not (reveal and _UPWARDS.search(between))


SLOPE_MM = 100
"""Two heights of a level ceiling hardly differ by more; common practice, no source."""
LEVEL_MM = 20
"""Farther below the ceiling a height in or over an opening may be its lintel's; common practice, no source."""
_OPENING = re.compile(r"\b(?:windows?|doors?|doorways?|fenster\w*|\w*tür\w*)\b", re.I)
_WITHIN_IT = re.compile(
    rf"\b(?:in|inside|within|at|above|over|im|über)\s(?:[\w-]+\s){{0,2}}{_OPENING.pattern}", re.I
)
_AT_AN_OPENING = re.compile(rf"{PREPOSITION.pattern}\s(?:[\w-]+\s){{0,2}}{_OPENING.pattern}", re.I)
_CORRECTS = re.compile(
    r"\b(?:oops|whoops|no|wait|hang on|hold on|scratch that|rather|moment|quatsch|nein|halt|doch)\b", re.I
)
_TURNS = re.compile(
    r"\b(?:the|and|now|too|one|end|cm|are|but|then|der|die|das|und|ist|it|which|that|they|both|is|are|was"
    r"|measures?|comes?|actually|really|should|read|meant|mean|make|sorry|correction|then|also|"
    r"exactly|precisely|sondern|richtig|beträgt|tatsächlich|instead|here|there|left|right|side|turns|just"
    r"|found|measured|check(?:ed)?)\b",
    re.I,
)


_IS_AN_OPENING = re.compile(
    r"\b(?:windows?|doors?|doorways?|fenster|\w*tür(?:en)?)\b(?=\W*(?:(?:is|are|at|measures?|ist|bei|misst)\b\W*)?\Z)",
    re.I,
)
OF_THE_TAPE = re.compile(
    r"\b(?:tape|ruler|rule|measure|maßband|zollstock|meterstab)(?: measure)?"
    r"(?:'s|\s(?:is|ist|goes|only|geht|reicht|hat))\b",
    re.I,
)
""" "I can't measure this, my tape is one metre long": how long the tape is."""
_HANGS_THERE = re.compile(
    r"\b(?:cupboards?|cabinets?|wall units?|blinds?|box|pelmet|curtain rail|schrank|hängeschrank|rollo|kasten)\b"
    r"(?=\W*(?:is|are|at|measures?|ist|bei|misst)\b|\W*\Z)",
    re.I,
)


def only_leads(text: str) -> bool:
    """Whether nothing but small words stands before a length: "it is really"."""
    return not re.search(r"[^\W\d_]{3,}", _CORRECTS.sub("", _TURNS.sub("", text)))


def one_more_height(
    item: ChecklistItem, clause: Clause, value: Length, said: Iterable[Statement], text: str
) -> bool:
    """ "241 by the door, 240.5 by the window": one more height of the ceiling, hardly another, and where it was."""
    told = [s.value_mm for s in said if s.item == item.id and s.value_mm]
    read = reading_of(value.number, item.range_mm).values_mm
    below = LEVEL_MM if _WITHIN_IT.search(clause.text) else SLOPE_MM
    near = any(-below <= v - t <= SLOPE_MM for v in read for t in told)
    return item.one_value and near and not _OPENING.search(_AT_AN_OPENING.sub("", text))


def beside_the_ceiling(clauses: Iterable[Clause]) -> set[int]:
    """The lengths (mm) that the words before each say are of an opening, or of what hangs there: "ceiling 240 window
    235", "by the window the blind box is at 235"."""
    found: set[int] = set()
    for clause in clauses:
        at = 0
        for value in clause.lengths:
            lead, at = _AT_AN_OPENING.sub("", clause.text[at : value.start]), value.end
            if _IS_AN_OPENING.search(lead) or _HANGS_THERE.search(lead):
                found |= every_reading(value.number)
    return found


def reaching(
    text: str, mentions: Sequence[Mention], values: Sequence[Length]
) -> list[tuple[Mention, Length]]:
    """ "150 to the sill, 140 to the top": each name with the length that reaches to it; [] unless all have one."""
    found = [
        (m, v)
        for m in mentions
        for v in values
        if v.end <= m.start and _TO_IT.fullmatch(text[v.end : m.start])
    ]
    return found if len(found) == len(mentions) else []


def doubt_of(item: ChecklistItem, clause: Clause, value: Length, room: str, other_room: bool = False) -> str:
    """Why a length is not to be taken; "" where it is. `other_room`: the sentence spoke of another room before."""
    read = reading_of(value.number, item.range_mm)
    if not read.values_mm:
        return "doubt-no-tape-length"
    if len(read.values_mm) > 1:
        return ANOTHER_UNIT
    if not read.usual:
        return UNUSUAL
    if Role.REVEAL in item.roles and _NO_WINDOW.search(clause.text):
        return ELSEWHERE
    if Role.CEILING in item.roles and TO_ANOTHER.search(clause.text):
        return ANOTHER_END
    if clause.has(C.DIFFERENCE):
        return "doubt-difference"
    if clause.has(C.HEDGE) or _ALTERNATIVE.search(clause.text) or _GUESS_MARK.search(clause.text):
        return UNCERTAIN
    if other_room or elsewhere(clause.text, room):
        return ELSEWHERE
    return NOT_ALL_KNOWN if clause.unknown else ""


def two_part_sill(
    items: Iterable[ChecklistItem], text: str, whole: Clause, clauses: Sequence[Clause]
) -> list[Statement] | None:
    """A sill over a worktop: floor to worktop plus worktop to sill, both readings kept in the text."""
    sill = next((i for i in items if Role.SILL in i.roles), None)
    if sill is None or not _WORKTOP.search(text) or not any(sill.id in m.items for m in whole.mentions):
        return None
    read = [reading_of(v.number, (10, 1400)).values_mm for c in clauses for v in c.lengths]
    if not read or any(len(r) != 1 for r in read) or whole.has(C.COULD_NOT, C.HEDGE, C.TAKEN_BACK):
        return None
    values, (low, high) = [r[0] for r in read], HEIGHTS_MM["worktop"]
    if len(values) == 2 and low <= values[0] <= high and values[1] < OVER_A_WORKTOP_MM:
        known = not any(c.unknown for c in clauses)
        kind = StatementKind.VALUE if known else StatementKind.DOUBTFUL
        return [Statement(sill.id, kind, text, sum(values), doubt="" if known else NOT_ALL_KNOWN)]
    if _OVER_WORKTOP.search(text):
        doubt = "doubt-from-the-worktop"
        return [Statement(sill.id, StatementKind.DOUBTFUL, text, values[-1], doubt=doubt)]
    return None


def one_each(
    found: list[Statement], clauses: Sequence[Clause], items: Mapping[str, ChecklistItem], sure: bool = False
) -> list[Statement]:
    """The statements of a sentence, doubtful where two lengths are given for one thing, but a ceiling, and, unless
    `sure`, where another length stands beside them that may as well be meant."""
    told: dict[str, set[int | None]] = {}
    for said in (s for s in found if s.kind is StatementKind.VALUE):
        told.setdefault(said.item, set()).add(said.value_mm)
    if not sure and _another_left(told, clauses, items):
        found = weakened(found, ANOTHER_BESIDE, StatementKind.VALUE)
    double = {i for i, values in told.items() if len(values) > 1 and not items[i].one_value}
    return [weakened([s], TWO_LENGTHS, StatementKind.VALUE)[0] if s.item in double else s for s in found]


def _another_left(
    told: Mapping[str, set[int | None]], clauses: Sequence[Clause], items: Mapping[str, ChecklistItem]
) -> bool:
    """Whether a length of the sentence that was taken for nothing may as well be one that was taken."""
    taken = {v for values in told.values() for v in values}
    once = not_said_twice([v for c in clauses for v in c.lengths])
    lengths = [(c, v) for c in clauses for v in c.lengths if v in once]
    read = [
        [(items[i], reading_of(v.number, items[i].range_mm)) for i in told if fits(items[i], c, v)]
        for c, v in lengths
    ]
    left = [rs for rs in read if not any(taken & set(r.values_mm) for _, r in rs)]
    return any(r.usual and not i.one_value for rs in left for i, r in rs)


def in_one_unit(found: Sequence[Statement], lengths: Sequence[Length]) -> bool:
    """Whether numbers written bare that were taken in the order of the things asked for are all in one unit: "104, 210,
    103" is no recess of 103 mm, "1100, 2150, 12" no one of 12 cm for certain, and "101, 210, 14 inches" in one at most.
    `lengths` are those that `found` was made of."""
    written = zip(found, lengths, strict=True)
    bare = ((s, v.number) for s, v in written if v.number.unit in ("", "mm"))
    pairs = [(s, n) for s, n in bare if not n.unit or n.text.isdigit()]
    inches = any(v.number.unit in ("in", "ft") for v in lengths)
    return not (pairs and inches) and len({round((s.value_mm or 0) / float(n.figure)) for s, n in pairs}) < 2
