"""What part a word plays where it stands: "about" is no guess before a place, "my brother will do it" no other home."""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.domain.words.concepts import Concept as C
from intake.domain.words.numbers import Number
from intake.domain.words.vocabulary import Spoken

_CLOSE = re.compile(r"\s*(?:(?:the|a|be|at|is|about|just|die|der|das)\s+){0,2}", re.I)
_HELPS = re.compile(
    r"\s{1,3}(?:to|will|can|could|is (?:coming|going)|helped|helps|measured|did|does|held|holds|came|comes|took"
    r"|who|hilft|hat"
    r"|kommt|misst)\b",
    re.I,
)
""" "My brother will do it": it is no home of his that is spoken of."""
_OF_THEM = re.compile(
    r"\b(?:ask|asking|asked|borrow\w*|lent|lend\w*|from|for|with|by|to|frage|fragen|von|mit|für)\s(?:the\s)?\Z",
    re.I,
)
""" "I must ask my neighbour", "waiting for my nephew"."""
_THEIR_TOOLS = re.compile(
    r"\s(?:\w+\s)?(?:ladders?|step-?ladders?|steps|tape(?: measure)?|laser|phone|camera|van|wedding|birthday|party"
    r"|leiter|maßband|handy)\b",
    re.I,
)
""" "My neighbour's ladder"."""
_HOME = re.compile(r"\b(?:house|flat|home|kitchen|bathroom|bedroom|place|haus|wohnung|küche|bad|bei)\b", re.I)
_OF_FIGURES = re.compile(
    r"\s(?:\w+\s)?(?:digits?|figures|numbers|numerals|letters|zahlen|ziffern)\b|\s(?:them|it|two) (?:a)?round\b",
    re.I,
)
""" "Me swapping digits": nothing in the room changes."""
_NO_WORDS = re.compile(
    r"\s(?:about |all )?(?:the|my|our|this|that)?\s?(?:\w+\s)?(?:mess|clutter|state|dishes|washing(?: up)?|dog"
    r"|cat|handwriting"
    r"|writing|scribbles?|spelling|typos?|background|coffee stain|stains?|paint|decor|wallpaper|noise|delay"
    r"|rush|chaos)\b",
    re.I,
)
""" "Please ignore the mess!": nothing that was said is taken back."""


def in_place(word: Spoken, text: str, numbers: Sequence[Number], names: bool) -> Spoken:
    """A word with the parts that it plays in a clause, its `text`; `names`: the clause names a thing of the survey."""
    after = text[word.end :]
    if C.NEARLY in word.concepts:
        return _nearly(word, text, numbers)
    if C.ANOTHER_HOME in word.concepts and _only_a_person(word, text, bool(numbers) or names):
        return Spoken(word.start, word.end, word.concepts - {C.ANOTHER_HOME})
    if C.CHANGE in word.concepts and _OF_FIGURES.match(after):
        return Spoken(word.start, word.end, (word.concepts - {C.CHANGE}) | {C.KNOWN})
    if C.TAKEN_BACK in word.concepts and _NO_WORDS.match(after):
        return Spoken(word.start, word.end, (word.concepts - {C.TAKEN_BACK}) | {C.ASIDE})
    return word


def _only_a_person(word: Spoken, text: str, tells: bool) -> bool:
    """Whether a relative or a neighbour is named, and nothing of their home; `tells`: the clause has a length or names
    a thing."""
    before, after = text[: word.start], text[word.end :]
    if _HELPS.match(after) or _THEIR_TOOLS.match(after):
        return True
    named = text[word.start : word.end]
    if _HOME.search(named) or named.endswith(("'s", "s'")):
        return False
    return bool(_OF_THEM.search(before)) or not (tells or _HOME.search(text))


def _nearly(word: Spoken, text: str, numbers: Sequence[Number]) -> Spoken:
    """ "About" is a guess before a number or after one, and a place or a subject else ("over the sink")."""
    guess = any(
        _CLOSE.fullmatch(text[word.end : n.start])
        for n in numbers
        if n.start >= word.end and not _is_a_count(n)
    )
    return Spoken(word.start, word.end, (word.concepts - {C.NEARLY}) | {C.HEDGE if guess else C.KNOWN})


def _is_a_count(number: Number) -> bool:
    return not number.unit and not number.places and number.figure < 4
