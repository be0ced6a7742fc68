"""As many short answers as things whose places were asked for, in their order; one of them may not have been found."""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.domain.words.concepts import Concept as C
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.turns import CONCLUDED, NONE_AT_ALL, PLACED, SPOT
from intake.domain.words.weighing import in_doubt
from intake.model.checklist import ChecklistItem
from intake.model.word import Statement, StatementKind

_NOT_FOUND = re.compile(
    r"\W{0,4}(?:\?+|(?:(?:i|we) )?(?:(?:don't|do not|didn't) know|no (?:idea|clue)|not (?:sure|found)"
    r"|(?:haven't|have not|couldn't|could not|can't|cannot|didn't) (?:found|find|see|locate)(?: (?:it|that))?(?: yet)?)"
    r"|unknown|dunno|keine ahnung|(?:weiß|wissen) (?:ich |wir )?(?:es )?nicht|nicht gefunden|unbekannt)\W{0,4}",
    re.I,
)
""" "Hall, outside wall, kitchen, haven't found it": one of the places."""
_IN_BRACKETS = re.compile(r"\s?\([^()]*\)")


def places_in_order(reader: SentenceReader, items: Sequence[ChecklistItem]) -> list[Statement]:
    """ "Hall, outside wall, kitchen, downstairs toilet": as many places as things asked for, in their order."""
    words = _IN_BRACKETS.sub("", CONCLUDED.sub("", reader.whole.text))
    fields = [f.strip(" .") for f in re.split(r"[,;]|(?<!\bn)/", words)]
    sure = not any(reader.whole.text[w.start : w.end] != "?" for w in reader.whole.where(C.HEDGE))
    if not sure or reader.whole.has(C.PICTURE):
        return []
    if len(fields) != len(items):
        asked, named = {i.id for i in items}, {i for m in reader.whole.mentions for i in m.items}
        each = [_in_its_place(items[0], f, reader.text) for f in fields]
        places = [s for s in each if s and s.kind is StatementKind.PLACE]
        bare = len(fields) > 1 and len(places) == len(each) and not asked & named
        return [in_doubt(places[0], "doubt-miscounted")] if bare else []
    found = [_in_its_place(i, f, reader.text) for i, f in zip(items, fields, strict=True)]
    told = [s for s in found if s and s.kind is not StatementKind.COULD_NOT]
    return [s for s in found if s] if all(found) and len(told) > 1 else []


def _in_its_place(item: ChecklistItem, field: str, text: str) -> Statement | None:
    """What one of several short answers says of its thing: a place, or that there is none."""
    if item.may_be_absent and NONE_AT_ALL.match(field):
        return Statement(item.id, StatementKind.ABSENCE, text)
    if _NOT_FOUND.fullmatch(field):
        return Statement(item.id, StatementKind.COULD_NOT, text)
    place = PLACED.match(field) or SPOT.match(field) or field.lower() == "outside wall"
    denied = re.search(r"\b(?:no|not|none|never|nicht|kein\w*)\b|n't\b", field, re.I)
    return Statement(item.id, StatementKind.PLACE, text) if place and not denied else None
