"""Lengths of somebody else's home, told for comparison: "hers is only 228", "at mum's it's 228". They are not heard."""

from __future__ import annotations

import re
from functools import lru_cache

from intake.domain.words.cues import RELATIVE, any_of
from intake.domain.words.numbers import numbers

_THING = any_of(
    r"ceilings?|one|ones|sills?|cills?|windows?|recess(?:es)?|reveals?|kitchens?|bathrooms?|bedrooms?|rooms?|house|flat",
    r"place|home|walls?|headroom|decken?(?:höhe)?|fenster\w*|küche|bad|wohnung|haus|[lb]r?[aeü]+\w*ung|nische|raumhöhe",
)
_NOUN = rf"(?:(?!(?:the|a|an|my|our|that|this|der|die|das)\b)[^\W\d]\w*\s){{0,2}}?{_THING}\b"
_NOBODY = any_of(
    "it|that|this|there|here|he|she|who|what|where|how|when|one|st|let|everything|everyone|nobody|nothing|today"
    "|yesterday|tonight|last night|morning|(?:mon|tues|wednes|thurs|fri|satur|sun)day|kitchen|bathroom|bedroom|hall"
    "|hallway|utility|room|lounge|loft|landing|cellar|basement|porch|garage|conservatory|pantry|ceiling|wall|floor"
    "|window|door|sill|cill|recess|reveal|top|head|frame|opening|doorway|chimney|alcove|sink|cooker|boiler|fridge"
    "|left|right|front|back|first|second|other",
)
"""Words that a sentence begins with and that are no person: a room, an opening, a day."""
_NAME = rf"(?-i:(?!(?i:{_NOBODY})\b)[A-Z][a-zäöü]+)"
_GERMAN_RELATIVE = r"(?:oma|opa|mama|papa|eltern|schwieger\w+|kollegi?n?|bekannten|nachbar\w*)"
_THEIR = any_of(
    rf"(?:her|his|their|deren|dessen|seine|ihre)\s(?={_NOUN})",
    r"(?:hers|theirs|his|seine|deren)(?=(?:'s|\s(?:is|was|are|were|comes?|only|just|at|about|ist|war|nur|sind))\b"
    r"|\s?[:=]?\s?\d|\W*\Z)",
    rf"(?:at|in|round(?: at)?|over at|down at)\s(?:(?:my|our|the)\s)?(?:[^\W\d]\w*\s)?(?:{RELATIVE}(?:'s?|s)|{_NAME}'s)"
    r"(?! (?:end|side|corner|wall|door|window|request|suggestion|insistence)\b)(?!\w)",
    rf"(?:(?:my|our|the)\s)?(?:{RELATIVE}|{_NAME})'s\s(?:{_THING}"
    r"\s)?(?=(?:is|was|are)\b)",
    rf"(?:(?:my|our|the)\s)?{RELATIVE}'s\s(?={_NOUN}|only\b|\d)",
    rf"(?:bei|die von|der von)\s(?:(?:mein|unser|sein|ihr|d)(?:e[rnm]|em)\s)?(?:{RELATIVE}|{_GERMAN_RELATIVE})n?"
    r"(?:\s(?:zu hause|daheim))?\b",
    rf"(?:she|he|they)(?:'s|'ve| has| have)(?: got)?\s(?={_NOUN})",
)
_IS_THEIRS = re.compile(rf"(?<![\w'])(?:{_THEIR})", re.I)
_MEASURES = re.compile(
    r"\b(?:measur\w+|tape|laser|ruler|reads?|reading|figure|number|says?|makes? it|made it|wr(?:ites?|ote)|help\w*|held"
    r"|gemessen|misst|maßband|zollstock|gelesen|sagt|meint)\b",
    re.I,
)
""" "Her tape", "his reading": somebody else measured, and in this home."""
_SAME = re.compile(r"\b(?:same|alike|identical|gleich\w*|dasselbe|identisch)\b", re.I)
""" "Mum's is 234, ours should be the same": it says something of ours."""
_OURS = re.compile(r"\b(?:ours?|mine|my|here|the ceiling|unser\w*|mein\w*|hier|die decke)\b", re.I)
_HIS_FIGURE = re.compile(
    rf"\b(?:his|hers|theirs|seine|(?:{RELATIVE}|{_NAME}|yesterday|\w{{3,6}}day)'s)\s(?:is|are|was|were|came|ist|war)\b",
    re.I,
)
_MY_FIGURE = re.compile(
    r"\b(?:i|we) (?:got|get|made|make|have|had)\b|\bmine (?:was|came)\b|\btoday's (?:is|was)\b|\bmeine (?:war|waren)\b"
    r"|\bich (?:habe|hatte|kam|komme)\b",
    re.I,
)
_STRETCH = re.compile(
    r"[,;:()](?!\d)|\s-\s|\b(?:and|but|while|whereas|though|although|und|aber|während)\b(?=\s)", re.I
)


def both_measured(sentence: str) -> bool:
    """ "His was 238, mine was 242", "Monday's was 240, today's is 242": two people's or days' lengths of one thing."""
    his = _HIS_FIGURE.search(sentence)
    mine = _MY_FIGURE.search(sentence, his.end()) if his else None
    return bool(his and mine and numbers(sentence[his.end() : mine.start()])[0])


def only_theirs(sentence: str) -> bool:
    """Whether a sentence has lengths, and all of them are taken for somebody else's."""
    heard = without_theirs(sentence)
    return heard != sentence and bool(numbers(sentence)[0]) and not numbers(heard)[0]


@lru_cache(maxsize=1024)
def without_theirs(sentence: str) -> str:
    """`sentence` with blanks in place of what is said to be somebody else's and how long that is; where it begins with
    that, in place of all up to what is said to be the customer's own. Every other word stays in its place."""
    if not _IS_THEIRS.search(sentence) or _SAME.search(sentence) or both_measured(sentence):
        return sentence
    heard, at, goes_on, told = sentence, 0, False, False
    for end in [*(m.end() for m in _STRETCH.finditer(sentence)), len(sentence)]:
        words, start, at = sentence[at:end], at, end
        lengths = [(n.start, n.end) for n in numbers(words)[0]]
        whose = None if _MEASURES.search(words) else _IS_THEIRS.search(words)
        goes_on = goes_on and not (_OURS.search(words) or _MEASURES.search(words))
        gone = [*lengths, whose.span()] if whose and lengths else [(0, len(words))] if goes_on else []
        goes_on = goes_on or bool(whose and not told)
        told = told or bool(lengths)
        for s, e in gone:
            heard = heard[: start + s] + " " * (e - s) + heard[start + e :]
    return heard
