"""What an answer about a number of the plan may be of beside it: another request's number, or another thing."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence, Set

from intake.domain.lengths.notation import parse_length
from intake.domain.words.clause import Clause, Length
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import PREPOSITION
from intake.domain.words.numbers import every_reading, numbers
from intake.domain.words.turns import PICKED
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
_SIDE_OF = re.compile(
    r"\b(?P<side>left|right|links|rechts)(?:[- ]hand)?(?: side| bit| piece| one)? (?:of|from|beside|next to|neben"
    r"|vo[nm])"
    r" (?:(?:the|our|that|der|dem) )?(?:\w+ )?(?P<thing>door|window|tür|fenster)",
    re.I,
)
""" "The bit left of the door"."""
_ON_A_SIDE = re.compile(
    r"\b(?P<side>left|right|top|bottom|link|recht|ober|unter)(?:[- ]hand)?(?:e[nr]?)?(?: side)? (?:wall|wand)\b"
    r"|\b(?:wall|wand) (?:(?:on|to|along|down|up|at|the) ){1,3}(?P<on>left|right|top|bottom)\b"
    r"|\b(?:wand) (?P<an>links|rechts|oben|unten)\b",
    re.I,
)
""" "The left wall"."""
_IN_ENGLISH = {
    "links": "left", "rechts": "right", "link": "left", "recht": "right", "ober": "top", "unter": "bottom",
    "oben": "top", "unten": "bottom",
    "tür": "door", "fenster": "window",
}  # fmt: skip
_THINGS = (C.WINDOW, C.DOOR, C.ROOM_WORD)
_I_WROTE = re.compile(
    r"\b(?:(?:the one|what)\s)?(?:i|we|my (?:husband|wife|partner)|he|she|ich|wir)(?:'ve|'d| have| had| habe"
    r"| haben| hatte)?"
    r"(?: (?:just|only|definitely|there|da|dort|hier|doch))*"
    r" (?:put|wrote|written|noted|marked|jotted(?: down)?|schrieb|notiert)(?: (?:down|there|here|it|that|is|was|as"
    r"|a|an|in))*"
    r"(?=\s)|\b(?:(?:da|dort|hier) )?(?:habe?|haben|hatte) (?:ich|wir)(?: (?:da|dort|hier))?(?=\s)"
    r"|\b(?:ich|wir) (?:habe?n?|hatten?)(?: (?:da|dort|hier))?(?=\s\S{1,12}\s(?:\w+\s)?\w*geschrieben)",
    re.I,
)
""" "I wrote": what stands on the plan, unless another number stands in its place."""
_AFTER_IT = re.compile(r"\s(?:hin|auf|drauf|dort|da )?geschrieben\b|\s(?:ein)?getragen\b|\sthere\b", re.I)
_IN_ITS_PLACE = re.compile(
    r"\b(?:but|should|meant|mean|sorry|actually|instead|rather|really|wrong\w*|mistake|must|correct(?:ion|ed)|not|now"
    r"|than|before|first|originally|out by|too|changed|slip|outdated"
    r"|aber|sondern|falsch|überholt|versehen"
    r"|muss|müsste|sollte|eigentlich|richtig wäre|nicht|statt|zuerst"
    r"|vorher)\b|n't\b",
    re.I,
)
_ANOTHER_HAND = re.compile(
    r"\b(?:(?:my|our|mein\w*|unser\w*)\s\w+|he|she|er|sie) (?:has |had |hat )?(?:put|wrote|written|schrieb|schreibt)"
    r"\s(?:\w+\s){0,2}\d",
    re.I,
)
""" "And my wife put 38"."""
_I_SAID = re.compile(
    r"(?<!thought )\b(?:i|we)(?:'ve|'d| have| had)?(?: (?:already|just|definitely|did))* (?:said|say"
    r"|gave(?: you)?|(?<=did )put)\b(?: (?:it was|it's|it is|that))?(?=\s(?:\w+\s){0,3}\d)",
    re.I,
)
_FOR_WHAT = re.compile(r"\s?(?:cm|mm)?(?: (?:for|as|at) (?:the|my|our)(?: \w+){1,2})?\W*(?:\Z|[.!?\n])", re.I)
""" "240 for the sill": a length, what it is of, and no reason."""
ROUNDED_MM = 4
"""So far at most is a length from itself in inches to the next quarter."""
ONE_DIGIT = 1
""" A length that differs from one that was offered in so many digits is the same ink read otherwise."""


def offers(ask: Ask) -> set[int]:
    """The lengths that a request offers, in millimetres."""
    return {v for c in ask.choices if (v := parse_length(c, "cm")) is not None}


def near(value: int, ask: Ask) -> bool:
    """Whether a length is near one that the request offers."""
    return any(abs(value - o) <= NEAR_MM * o for o in offers(ask))


def digits_apart(a: int, b: int) -> int:
    """In how many digits two lengths differ; lengths of unlike size in all."""
    one, other = str(a), str(b)
    if len(one) != len(other):
        return max(len(one), len(other))
    return sum(x != y for x, y in zip(one, other, strict=True))


def as_it_stands(sentence: str, offered: Iterable[Set[int]]) -> str:
    """ "I wrote 283.5 there": the sentence with blanks in place of "I wrote", where it only says what the ink of one
    of the numbers asked about says. `offered` are the lengths that each request offers, in millimetres."""
    wrote = _I_WROTE.search(sentence)
    told = [n for n in numbers(sentence)[0] if wrote and n.start >= wrote.end()] if wrote else []
    if not (wrote and told) or len(sentence[wrote.end() : told[0].start].split()) > 2:
        return sentence
    if _IN_ITS_PLACE.search(sentence):
        return sentence
    for values in offered:
        same = [
            n for n in told if any(digits_apart(v, o) <= ONE_DIGIT for v in every_reading(n) for o in values)
        ]
        if same == told[:1]:
            after = sentence[told[0].end :]
            tail = _AFTER_IT.match(after)
            rest = " " * len(tail[0]) + after[tail.end() :] if tail else after
            return (
                f"{sentence[: wrote.start()]}{' ' * len(wrote[0])}{sentence[wrote.end() : told[0].end]}{rest}"
            )
    return sentence


def as_said_before(sentence: str) -> str:
    """ "We said 125 for the sill": the sentence with blanks in place of "we said"."""
    said = _I_SAID.search(sentence)
    return f"{sentence[: said.start()]}{' ' * len(said[0])}{sentence[said.end() :]}" if said else sentence


def repeats_one(text: str) -> bool:
    """Whether a message that says what it said before has one length, gives no reason for it and puts nothing in its
    place."""
    said, told = _I_SAID.search(text), numbers(text)[0]
    one = said and not _IN_ITS_PLACE.search(text) and len({n.figure for n in told}) == 1
    return bool(one and _FOR_WHAT.match(text, told[0].end))


def same_ink(values: Iterable[int], ask: Ask) -> bool:
    """Whether a length may be the ink of the number read otherwise."""
    return any(digits_apart(v, o) <= ONE_DIGIT for v in values for o in offers(ask))


_BARE_YES = re.compile(r"\W{0,4}(?:yes|yep|yeah|yup|ja|jawohl)\W{0,4}", re.I)


def begins_with_yes(text: str, reply: str, ask: Ask) -> bool:
    """ "Yes. Sill 101, top 211 ...": whether a sentence is a bare yes, which a reply with lengths begins with, none of
    them another reading of the number that was asked about."""
    if not _BARE_YES.fullmatch(text):
        return False
    before, _, after = reply.partition(text.strip(" .!,"))
    values = [every_reading(n) for n in numbers(after)[0]]
    again = any(same_ink(v - offers(ask), ask) for v in values)
    return len(before.split()) < 4 and len(re.findall(r"\d+", after)) > 1 and not again


def told_once(text: str, asks: Sequence[Ask]) -> list[set[int]]:
    """What each request about a number offers, but for those of which a message tells two lengths that may be its ink:
    of "I wrote 83. It is 38." nobody can tell by the first sentence alone what stands on the plan."""
    figures = {n.figure: every_reading(n) for n in numbers(text)[0]}
    about = [a for a in asks if a.number is not None]
    return [offers(a) for a in about if sum(same_ink(v, a) for v in figures.values()) == 1]


def of_another_thing(clauses: Sequence[Clause], ask: Ask) -> bool:
    """Whether the length in the clauses may be of something else than the number: not where it is one that was offered
    and is said to stand where the number does."""
    told = [c for c in clauses if c.lengths]
    if not any(c.has(*_THINGS) for c in told):
        return False
    values = {v for c in told for n in c.lengths for v in every_reading(n.number)}
    lone = sum(len(c.lengths) for c in told) == 1 and same_ink(values, ask)
    return not (lone and all(_stands_there(c, ask) for c in clauses))


def _stands_there(clause: Clause, ask: Ask) -> bool:
    """Whether where a clause says that the length stands is where the number stands: next to a window or a door that
    its wall has there ("the 38 is the bit left of the door"), and by nothing else."""
    things = [w for w in clause.words if w.concepts.intersection(_THINGS)]
    beside = {b.split()[-1] for b in ask.beside}
    return (
        not _ANOTHER_WALL.search(clause.text)
        and _on_that_side(clause.text, ask)
        and all(
            _OF_A_WALL.fullmatch(clause.text[w.start : w.end])
            or (
                beside.intersection(_kinds(w.concepts))
                and (_NEXT_TO.search(clause.text[: w.start]) or _OF_IT.match(clause.text[w.end :]))
            )
            for w in things
        )
    )


def _on_that_side(text: str, ask: Ask) -> bool:
    """Whether the number stands on the side that is named, of an opening or of the plan; so it may where the plan does
    not tell."""
    named = [(_english(m["side"]), f" of {_english(m['thing'])}") for m in _SIDE_OF.finditer(text)]
    named += [(_english(m["side"] or m["on"] or m["an"]), " wall") for m in _ON_A_SIDE.finditer(text)]
    told = {of: {b for b in ask.beside if f"{of}" in b} for _, of in named}
    return all(not told[of] or any(b.startswith(side) for b in told[of]) for side, of in named)


def _english(word: str) -> str:
    return _IN_ENGLISH.get(word.lower(), word.lower())


def _kinds(concepts: Iterable[C]) -> tuple[str, ...]:
    """What such a thing is called where a number stands; an opening whose kind nobody has told may be either."""
    if C.WINDOW in concepts:
        return ("window", "opening")
    return ("door", "doorway", "opening") if C.DOOR in concepts else ()


def both_offered(whole: Clause, ask: Ask) -> bool:
    """ "38 is the radiator, 83 is the wall": both lengths that one request offers, each said of something."""
    said = {v for n in whole.lengths for v in every_reading(n.number)} & offers(ask)
    return len(said) > 1 and whole.has(*_THINGS)


def by_another_hand(whole: Clause, ask: Ask) -> bool:
    """Whether the number is told as what somebody else wrote: "my wife put 38"."""
    return ask.number is not None and bool(_ANOTHER_HAND.search(whole.text))


def in_inches(lengths: Sequence[Length], ask: Ask) -> bool:
    """Whether a number of the plan is told in inches that are none of the lengths offered."""
    inches = [v.number.whole_mm for v in lengths if v.number.unit in ("in", "ft")]
    return ask.number is not None and any(
        mm and all(abs(mm - o) > ROUNDED_MM for o in offers(ask)) for mm in inches
    )


def unless_mixed_up(given: Sequence[Statement], number: int, asks: Sequence[Ask]) -> list[Statement]:
    """The answers to the request `number`, in doubt where another offers just that length and this one does not: the
    customer may have mixed up the two."""
    own = asks[number - 1]
    others = {v for ask in asks for v in offers(ask)} - offers(own)

    def mixed_up(said: Statement) -> bool:
        return said.kind is StatementKind.VALUE and own.number is not None and said.value_mm in others

    return [in_doubt(s, WHICH_REQUEST) if mixed_up(s) else s for s in given]


_ALSO = re.compile(
    r"\b(?:also|as well|too|another|other|auch|ebenfalls|ander\w+)\b[^.?!]{0,80}\b(?:side|wall|bit|piece|one|door"
    r"|window|number|noticed|seite|wand|stück|zahl)\b",
    re.I,
)


def of_another_number(whole: Clause) -> bool:
    """ "I also noticed that the bit on the other side comes out at 64.5": of a number that was not asked about."""
    return bool(whole.lengths) and bool(_ALSO.search(whole.text))


_CHOOSES = re.compile(
    r"\b(?:first|second|other|former|latter|neither|both|either|erste\w*|zweite\w*|andere\w*|beide\w*|keine\w*)\b",
    re.I,
)


def picked_first(clauses: Sequence[Clause]) -> re.Match[str] | None:
    """ "The second, I'm afraid I wrote it upside down": a choice that begins a sentence, where nothing else in it is a
    length or a choice; None for any other."""
    if len(clauses) < 2 or any(c.lengths or c.denied or _CHOOSES.search(c.text) for c in clauses[1:]):
        return None
    return PICKED.match(clauses[0].text)
