"""What an answer about a number of the plan may be of beside it: another request's number, or another thing."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from intake.domain.lengths.notation import parse_length
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import PREPOSITION
from intake.domain.words.fates import WRITTEN
from intake.domain.words.numbers import every_reading
from intake.domain.words.weighing import WHICH_REQUEST, in_doubt
from intake.model.letter import Ask
from intake.model.word import Statement, StatementKind

WHERE_IT_STANDS = "doubt-where-it-stands"
NEAR_MM = 0.25
"""A length so near to one that was offered (as a part of it) is about that number."""
_NEXT_TO = re.compile(rf"{PREPOSITION.pattern}|\b(?:between|side of|after|before|past|nach|vor)\b", re.I)
_OF_IT = re.compile(r"\s(?:one|number|figure|wall|side|bit|end|piece|seite|wand|stück)\b", re.I)
""" "The door one", "the window wall"."""
_OF_A_WALL = re.compile(r"walls?|corners?|wand|wände|ecken?|maß|länge|breite", re.I)
"""What says no more of where a number stands than that it is along a wall."""
_ANOTHER_WALL = re.compile(
    r"\b(?:old|other|another|next|opposite|outer|outside|new|alt\w*|ander\w*|neu\w*|nächst\w*) "
    r"(?:walls?|corners?|wand|wände|ecken?)\b",
    re.I,
)
_THINGS = (C.WINDOW, C.DOOR, C.ROOM_WORD)


def offers(ask: Ask) -> set[int]:
    """The lengths that a request offers, in millimetres."""
    return {v for c in ask.choices if (v := parse_length(c, "cm")) is not None}


def near(value: int, ask: Ask) -> bool:
    """Whether a length is near one that the request offers."""
    return any(abs(value - o) <= NEAR_MM * o for o in offers(ask))


def of_another_thing(clauses: Sequence[Clause], ask: Ask) -> bool:
    """Whether the length in the clauses may be of something else than the number: not where it is one that was offered
    and is said to stand where the number does."""
    told = [c for c in clauses if c.lengths]
    if not any(c.has(*_THINGS) for c in told):
        return False
    values = {v for c in told for n in c.lengths for v in every_reading(n.number)}
    lone = sum(len(c.lengths) for c in told) == 1 and bool(values & offers(ask))
    return not (lone and all(_stands_there(c, ask) for c in clauses))


def _stands_there(clause: Clause, ask: Ask) -> bool:
    """Whether where a clause says that the length stands is where the number stands: next to a window or a door that
    its wall has there ("the 38 is the bit left of the door"), and by nothing else."""
    things = [w for w in clause.words if w.concepts.intersection(_THINGS)]
    return not _ANOTHER_WALL.search(clause.text) and all(
        _OF_A_WALL.fullmatch(clause.text[w.start : w.end])
        or (
            {*ask.beside}.intersection(_kinds(w.concepts))
            and (_NEXT_TO.search(clause.text[: w.start]) or _OF_IT.match(clause.text[w.end :]))
        )
        for w in things
    )


def _kinds(concepts: Iterable[C]) -> tuple[str, ...]:
    if C.WINDOW in concepts:
        return ("window",)
    return ("door", "doorway") if C.DOOR in concepts else ()


def both_offered(whole: Clause, ask: Ask) -> bool:
    """ "38 is the radiator, 83 is the wall": both lengths that one request offers, each said of something."""
    said = {v for n in whole.lengths for v in every_reading(n.number)} & offers(ask)
    return len(said) > 1 and whole.has(*_THINGS)


def unless_mixed_up(given: Sequence[Statement], number: int, asks: Sequence[Ask]) -> list[Statement]:
    """The answers to the request `number`, in doubt where another offers just that length and this one does not: the
    customer may have mixed up the two."""
    own = asks[number - 1]
    others = {v for ask in asks for v in offers(ask)} - offers(own)

    def mixed_up(said: Statement) -> bool:
        return said.kind is StatementKind.VALUE and own.number is not None and said.value_mm in others

    return [in_doubt(s, WHICH_REQUEST) if mixed_up(s) else s for s in given]


def written(text: str, whole: Clause, ask: Ask) -> Statement | None:
    """ "I put 38." to a request that offers 38, and no other number: what stands on the plan, nothing taken back."""
    values = {v for n in whole.denied for v in every_reading(n)} & offers(ask)
    turned = whole.has(C.NEGATION, C.TAKEN_BACK, C.HEDGE, C.CORRECTION, C.CHANGE)
    if len(whole.numbers) != 1 or len(values) != 1 or turned or not WRITTEN.match(whole.text):
        return None
    return Statement(ask.item, StatementKind.VALUE, text, values.pop())
