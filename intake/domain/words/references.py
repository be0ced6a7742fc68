"""How customers name the requests of our letter, brought into one form: a label in front, "2: "."""

from __future__ import annotations

import re

from intake.domain.words.numbers import numbers

ORDINALS = {
    w: n
    for n, w in enumerate(
        ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"], 1
    )
}
ORDINALS |= {"1st": 1, "2nd": 2, "3rd": 3, **{f"{n}th": n for n in range(4, 11)}}
ORDINALS |= {"erstens": 1, "zweitens": 2, "drittens": 3, "viertens": 4, "fünftens": 5, "sechstens": 6}
_GERMAN_ORDINALS = {"erste": 1, "zweite": 2, "dritte": 3, "vierte": 4, "fünfte": 5, "sechste": 6}
_NUMERALS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}
_GERMAN_NUMERALS = {"eins": 1, "zwei": 2, "drei": 3, "vier": 4, "fünf": 5, "sechs": 6, "sieben": 7, "acht": 8}
_EVERY_NUMERAL = _NUMERALS | _GERMAN_NUMERALS
_KIND = (
    r"(?:(?:point|question|item|answer|frage|punkt) (?:no\.?|number|nr\.?)|answers? (?:to|for)|reply to"
    r"|(?<!at )numbers?|nos?\.|no(?=\s\d\s?[:.)=,-])|nr\.?|nummer|questions?"
    r"|point|item|answer|ask"
    r"|request|query|q|#|frage|punkt|antwort)"
)
_ASKED = "question|point|item|answer|request|query|ask|frage|punkt"
_LEAD = (
    r"(?:as (?:to|for)|in (?:answer|reply|response) to|(?:(?:the|my) )?(?:answer|reply|response) (?:to|for)"
    r"|for|to|on|re"
    r"|regarding|concerning|about|with|and|then|also|now|bei|zu|zur|auf|für|(?:die |meine )?antwort (?:auf|zu))"
)
_DETERMINER = r"(?:your|the|my|that|ihre[rn]?|die|der|das|deine[rn]?)"
_LAST = r"(?:last|final|letzten?)"
_REFERENCE = (
    rf"(?:{_KIND}\s?(?P<n>\d{{1,2}}|{'|'.join(_EVERY_NUMERAL)})(?!\.?\d|\s?(?:cm|mm|m)\b)"
    rf"|(?P<word>{'|'.join([*ORDINALS, *(f'{g}[nrs]?' for g in _GERMAN_ORDINALS)])})\s(?:{_ASKED})"
    rf"|(?P<last>{_LAST})\s(?:{_ASKED}))"
)
_IN_FRONT = re.compile(
    rf"(?:^|(?<=[\n,;.!?:(])"
    rf"|(?<=\band))\s{{0,4}}(?P<lead>(?:{_LEAD}\s{{1,4}}){{0,4}})(?:{_DETERMINER}\s{{1,4}}){{0,3}}{_REFERENCE}"
    r"(?P<tail>\s{0,3}(?:[:=,–-]|\b(?:is|was|would be|ist|sind|wäre|ist es|sind es|it'?s|it is)\b(?!\s*(?:a|an"
    r"|not|about|the|too)\b))*)(?=\s|$|\d)",
    re.I,
)
_BEHIND = re.compile(
    rf"\s(?:for|to|as|on|re|zu|bei)\s(?:{_DETERMINER}\s){{0,3}}(?:{_REFERENCE}|(?P<one>{'|'.join(ORDINALS)}"
    rf"|{_LAST})\sone)\Z",
    re.I,
)
""" "386.5 for the first one", "yes to number 2": the label behind what it labels."""
_BEHIND_BARE = re.compile(
    r"\A(?P<said>(?:yes|yep|yeah|no|none|nope|correct|right|ja|nein|keine?|[\d.,]+(?:\s?(?:cm|mm"
    r"|m))?)(?:\s[\w.,]+){0,2})"
    r"\s(?:to|for|on|zu|bei|auf)\s(?P<n>\d)\Z",
    re.I,
)
_ENDS = re.compile(r"([!?\n;]|[.,](?!\d)|\band\b|\bund\b)", re.I)
_SPELLED = re.compile(rf"\b(?P<n>{'|'.join(_EVERY_NUMERAL)})\s?[:=](?=\s)", re.I)
_SERIES = re.compile(
    rf"(?:^|(?<=[\n,;.]))[ \t]*(?P<n>{'|'.join(_EVERY_NUMERAL)})\s(?:(?:is|was|ist)\s)?(?=\d|yes\b|no\b|none\b"
    rf"|correct\b|right\b|ja\b|nein\b|kein)",
    re.I,
)
_LETTERED = re.compile(
    r"(?<![\w.,/])(?P<n>\d)\s?(?:\((?P<a>[abc])\)|(?P<b>[abc])[.:)]?)(?=\s?[:=-]?\s?\S)(?=[^a-z\n]{0,4}\d)",
    re.I,
)
_IN_WORDS = re.compile(
    rf"\b(?P<kind>number|question|item|answer|nummer|frage)\s(?P<n>{'|'.join(_EVERY_NUMERAL)})\b", re.I
)
_BARE_IN_FRONT = re.compile(
    r"(?:^|(?<=[\n,;.!?:(])|(?<=\band)|(?<=\bund))\s{0,4}(?:and\s|und\s)?(?:as )?(?:for|to|on|regarding|zu|bei|für)\s"
    r"(?P<n>\d)(?:\s?[:,=–-]\s{0,2}|\s(?=(?:it'?s|it is|its|we|i|the|das|es|wir|ich|ist|sind|is|are|yes|no|none|ja|nein"
    r"|there|in|under|outside|im)\b|\d{2}))",
    re.I,
)
""" "For 2 it's 104": a number of ours that only a word leads in."""
LONGEST_LABELLED = 80


def labelled_in_front(text: str, asks: int) -> str:
    """`text` with what names one of the `asks` requests as "2: " in front of what is said to it."""
    text = _LETTERED.sub(lambda m: f"\n{m['n']}: {(m['a'] or m['b']).lower()} ", text)
    text = _IN_WORDS.sub(lambda m: f"{m['kind']} {_EVERY_NUMERAL[m['n'].lower()]}", text)
    text = _SPELLED.sub(lambda m: f"{_EVERY_NUMERAL[m['n'].lower()]}:", text)
    series = [_EVERY_NUMERAL[m["n"].lower()] for m in _SERIES.finditer(text)]
    if len(series) > 1 and series == sorted(set(series)):
        text = _SERIES.sub(lambda m: f"\n{_EVERY_NUMERAL[m['n'].lower()]}: ", text)
    text = _IN_FRONT.sub(lambda m: _in_front(m, asks), text)
    text = _BARE_IN_FRONT.sub(lambda m: f"\n{m['n']}: " if 0 < int(m["n"]) <= asks else m[0], text)
    turned = "".join(_turned(piece, asks) for piece in _pieces(text))
    return re.sub(r"(?<=\w) (?=[.!?](?:\s|$))", "", turned)


def _pieces(text: str) -> list[str]:
    """`text` cut at what ends a clause, the cuts among the pieces; a number is never cut ("two and a half")."""
    spans = [(n.start, n.end) for n in numbers(text)[0]]
    pieces, at = [], 0
    for cut in _ENDS.finditer(text):
        if not any(start < cut.end() and cut.start() < end for start, end in spans):
            pieces += [text[at : cut.start()], cut[0]]
            at = cut.end()
    return [*pieces, text[at:]]


def _in_front(match: re.Match[str], asks: int) -> str:
    """The label in place of the words, where they lead on to something: with a sign, a verb, or a word before."""
    number = _number(match, asks)
    named = match["lead"] or match["tail"].strip() or match["last"]
    return f"\n{number}: " if number and named else match[0]


def _turned(piece: str, asks: int) -> str:
    """A piece between commas with the label that stands behind it put in front."""
    words = piece.strip()
    if len(words) > LONGEST_LABELLED or re.match(r"\d{1,2}:\s", words):
        return piece
    if bare := _BEHIND_BARE.match(words):
        return f"\n{bare['n']}: {bare['said']} " if 0 < int(bare["n"]) <= asks else piece
    match = _BEHIND.search(words)
    number = _number(match, asks) if match else 0
    return f"\n{number}: {words[: match.start()]} " if match and number else piece


def _number(match: re.Match[str], asks: int) -> int:
    """The number of the request that is meant; 0 for none of ours."""
    found = match.groupdict()
    word = (found.get("word") or found.get("one") or "").lower()
    if found["last"] or re.fullmatch(_LAST, word):
        return asks
    if word:
        german = (n for g, n in _GERMAN_ORDINALS.items() if word.startswith(g))
        return ORDINALS.get(word) or next(german, 0)
    number = found["n"].lower()
    value = int(number) if number.isdecimal() else _EVERY_NUMERAL[number]
    return value if value <= asks else 0
