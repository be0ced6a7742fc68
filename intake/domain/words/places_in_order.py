"""As many short answers as things whose places were asked for, in their order; one of them may not have been found."""

from __future__ import annotations

import re
from collections.abc import Sequence, Set

from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.turns import CONCLUDED, NONE_AT_ALL, PLACED, SPOT
from intake.domain.words.weighing import in_doubt, weakened
from intake.model.checklist import ChecklistItem
from intake.model.word import Statement, StatementKind

_NOT_FOUND = re.compile(
    r"\W{0,4}(?:sorry\W+)?(?:\?+|(?:(?:i|we) )?(?:(?:don't|do not|didn't) know|no (?:idea|clue)"
    r"|not (?:a clue|sure|found)|(?:haven't|have not|couldn't|could not|can't|cannot|didn't) (?:found|find|see|locate)"
    r"(?: (?:it|that))?(?: yet)?)|unknown|dunno|keine ahnung|(?:weiß|wissen) (?:ich |wir )?(?:es )?nicht"
    r"|nicht gefunden|unbekannt)(?:\W+sorry)?\W{0,4}",
    re.I,
)
""" "Hall, outside wall, kitchen, haven't found it": one of the places."""
_INTRODUCED = re.compile(
    r"\A\W{0,4}(?:and |then )?(?:in (?:your|the same|that|the) order|as asked|in ihrer reihenfolge"
    r"|(?:the )?(?:rest|places|others))"
    r"\s?[:,-]\s",
    re.I,
)
_IN_BRACKETS = re.compile(r"\s?\([^()]*\)")
_AT_A_WALL = re.compile(
    r"\A\W{0,4}(?:(?:on |the ){0,2}(?:\w{1,20} )?(?:outside|outer|front|side|back|rear|party|gable|end|left|right)"
    r"(?:[- ]hand)? wall|where\b.{3,40}\b(?:is|are|was|goes|comes)|(?:die )?\w{0,20}(?:außen|haus)wand)\W{0,4}",
    re.I,
)
_SAME = re.compile(
    r"\W{0,4}(?:(?:the )?same(?: \w+)?|ditto|there too|likewise|ebenso|ebenda|dito)\W{0,4}", re.I
)
_GOES_ON = re.compile(
    r"(?<!\bwhere )(?<!\bwhich )(?<!\bthat )(?<!\bwho )(?<!\bwo )\b(?:is|are|was|were|has|have"
    r"|had|needs?|wants?|there|leaks?|looks?|ist|sind|war|hat|haben|gibt|braucht|brauchen|muss|müssen)\b(?!\W*\Z)|:",
    re.I,
)
""" "Under the window is the sink", "landing need doing": what is said of a place is no answer; "where the coats are" is
one."""
_IS = re.compile(r"\A\W*(?:(?:is|are|lives|sits|hangs|ist|hängt|steht|sitzt)\b)?\s*", re.I)
_A_HALF = (
    r"\b(?:gas|water|meters?|mains?|electric\w*|fuse\w*|trips?|breakers?|heating|combi|taps?|stop ?cock"
    r"|wasser\w*|strom\w*|sicherung\w*|heizung\w*|zähler\w*)\b"
)
_HALF_A_NAME = re.compile(rf"\A\W*(?:the )?{_A_HALF}(?:\W*(?:is|are|ist)\b)?\W*", re.I)
""" "Water under the sink": by half its name, in its place among the others."""
_AND = re.compile(r"\s(?:and|und|then|dann)\s", re.I)
_DENIED = re.compile(r"\b(?:no|not|none|never|nicht|kein\w*)\b|n't\b", re.I)
_A_THING = re.compile(
    r"(?:(?:the|a|an|our|der|die|das|ein) )?(?:(?!(?:up|down|high|low|left|right|in|on|by|at)\b)[^\W\d_]+[ -]?){1,4}",
    re.I,
)
_A_NAME = re.compile(r"[A-Z]\w+(?: [A-Z]\w+)?")
_NOT_PLAIN = (
    C.ASIDE,
    C.NEGATION,
    C.HEDGE,
    C.HEARSAY,
    C.CHANGE,
    C.DISPUTE,
    C.COULD_NOT,
    C.LATER,
    C.PERSON,
    C.PICTURE,
)
_ONE_PLACE = re.compile(r"\A\W{0,4}(?:it|that|this|er|sie|es|das)(?:'s| is| ist| hängt| sitzt)\b", re.I)
""" "It's in the hall, behind the coats, on the left, high up": one place told at length."""
LEAST_PLACES = 3
"""So many short answers that are places say that the one left over is one too ("blue tap")."""


def places_in_order(reader: SentenceReader, items: Sequence[ChecklistItem]) -> list[Statement]:
    """ "Hall, outside wall, kitchen, downstairs toilet": as many places as things asked for, in their order."""
    words = _IN_BRACKETS.sub("", CONCLUDED.sub("", _INTRODUCED.sub("", reader.whole.text)))
    fields = [f.strip(" .") for f in re.split(r"[,;]|(?<!\b\w)/", words)]
    sure = not any(reader.whole.text[w.start : w.end] != "?" for w in reader.whole.where(C.HEDGE))
    if not sure or reader.whole.has(C.PICTURE) or _ONE_PLACE.match(words) or _SAME.fullmatch(fields[0]):
        return []
    asked = {i.id for i in items}
    if len(fields) == len(items):
        if any(_names(f, asked - {i.id}, reader) for i, f in zip(items, fields, strict=True)):
            return []
        found = [_in_its_place(i, f, reader) for i, f in zip(items, fields, strict=True)]
        told = [s for s in found if s and s.kind is not StatementKind.COULD_NOT]
        if len(told) == len(found) - 1 >= LEAST_PLACES:
            found = [s or _perhaps(i, f, reader) for s, i, f in zip(found, items, fields, strict=True)]
        if all(found) and len(told) > 1:
            return [s for s in found if s]
    named = asked & {i for m in reader.whole.mentions for i in m.items} or re.search(_A_HALF, words, re.I)
    return [] if named else _with_talk(reader, items, fields)


def _with_talk(
    reader: SentenceReader, items: Sequence[ChecklistItem], fields: Sequence[str]
) -> list[Statement]:
    """Places with talk between or behind them, in doubt: "hall, the man was here in May, porch, loft and under the
    sink"; where they are not as many as the things either, only that the first has one."""
    parted = [p for f in fields for p in _AND.split(f)]
    for told in (fields, parted):
        answers = [f for f in told if _in_its_place(items[0], f, reader)]
        if len(answers) == len(items) and answers[0] == told[0]:
            found = [_in_its_place(i, f, reader) for i, f in zip(items, answers, strict=True)]
            kinds = (StatementKind.PLACE, StatementKind.ABSENCE)
            return weakened([s for s in found if s], "doubt-not-certain-where", *kinds)
    places = [f for f in fields if is_a_place(f)]
    first = len(places) > 1 and places[0] == fields[0]
    return (
        [in_doubt(Statement(items[0].id, StatementKind.PLACE, reader.text), "doubt-miscounted")]
        if first
        else []
    )


def _names(field: str, items: Set[str], reader: SentenceReader) -> bool:
    """Whether a short answer names one of the things: it is of that one then."""
    return any(i in items for m in reader.lexicon.mentions(field) for i in m.items)


def _in_its_place(item: ChecklistItem, field: str, reader: SentenceReader) -> Statement | None:
    """What one of several short answers says of its thing: a place, or that there is none."""
    text = reader.text
    own = [m.end for m in reader.lexicon.mentions(field) if item.id in m.items]
    field = _IS.sub("", field[own[-1] :]) if own else _HALF_A_NAME.sub("", field)
    if item.may_be_absent and NONE_AT_ALL.match(field):
        return Statement(item.id, StatementKind.ABSENCE, text)
    if _NOT_FOUND.fullmatch(field):
        return Statement(item.id, StatementKind.COULD_NOT, text)
    return Statement(item.id, StatementKind.PLACE, text) if is_a_place(field) else None


def is_a_place(field: str) -> bool:
    """Whether a short answer says where something is."""
    place = PLACED.match(field) or SPOT.match(field) or _AT_A_WALL.fullmatch(field) or _SAME.fullmatch(field)
    return place is not None and not (_DENIED.search(field) or _GOES_ON.search(field, place.end()))


def are_places(fields: Sequence[str]) -> bool:
    """Whether short answers say where several things are, or that there is none of one."""
    found = sum(is_a_place(f) or bool(NONE_AT_ALL.match(f) or _NOT_FOUND.fullmatch(f)) for f in fields)
    return found >= max(len(fields) - 1, LEAST_PLACES)


def _perhaps(item: ChecklistItem, field: str, reader: SentenceReader) -> Statement | None:
    """ "Blue tap": a thing named where a place is told of all others."""
    clause = Clause(field, 0, reader.lexicon, reader.whole.language)
    name = reader.whole.language == "en" and _A_NAME.fullmatch(field)
    alone = len(clause.words) < 2 and not clause.has(C.ROOM_WORD)  # "blue" is of nothing
    no_thing = clause.lengths or clause.has(*_NOT_PLAIN) or _GOES_ON.search(field)
    if name or alone or no_thing or not _A_THING.fullmatch(field):
        return None
    return in_doubt(Statement(item.id, StatementKind.PLACE, reader.text), "doubt-not-certain-where")
