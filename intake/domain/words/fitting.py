"""Which length may be which item's, and what makes it doubtful."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from intake.domain.lengths.plausible import HEIGHTS_MM
from intake.domain.words.clause import Clause, Length
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import elsewhere
from intake.domain.words.numbers import reading_of
from intake.domain.words.weighing import ELSEWHERE, NOT_ALL_KNOWN, UNCERTAIN, UNUSUAL
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
HEIGHTS = {Role.CEILING, Role.SILL, Role.HEAD}
_ALTERNATIVE = re.compile(r"\d\S{0,12}+\s++(?:or|oder)\s+\d|\d\s?\?", re.I)
_GUESS_MARK = re.compile(r"~\s?\d|\d\s?ish\b|\d\s?\+/?-|±|\d\s?\(\?\)")


def fits(item: ChecklistItem, clause: Clause, value: Length) -> bool:
    """False where the length cannot be this item's: it has none, it is a distance or a difference, or the words beside
    it say width for a height."""
    if not item.range_mm:
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


def doubt_of(item: ChecklistItem, clause: Clause, value: Length, room: str, other_room: bool = False) -> str:
    """Why a length is not to be taken; "" where it is. `other_room`: the sentence spoke of another room before."""
    read = reading_of(value.number, item.range_mm)
    if not read.values_mm:
        return f"“{value.number.text}” is no length that a tape shows"
    if len(read.values_mm) > 1:
        return "it may be meant in centimetres or in metres"
    if not read.usual:
        return UNUSUAL
    if clause.has(C.DIFFERENCE):
        return "it may be how much one thing differs from another"
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
    if len(values) == 2 and low <= values[0] <= high and values[1] < 500:
        known = not any(c.unknown for c in clauses)
        kind = StatementKind.VALUE if known else StatementKind.DOUBTFUL
        return [Statement(sill.id, kind, text, sum(values), doubt="" if known else NOT_ALL_KNOWN)]
    if _OVER_WORKTOP.search(text):
        doubt = "it may be measured from the worktop, not the floor"
        return [Statement(sill.id, StatementKind.DOUBTFUL, text, values[-1], doubt=doubt)]
    return None
