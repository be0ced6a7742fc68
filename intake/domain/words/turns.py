"""The turns of phrase of short answers: yes, no, none, the second, in the hall."""

from __future__ import annotations

import re
from collections.abc import Sequence

from intake.domain.words.confirming import RIGHT
from intake.domain.words.lexicon import SPOTS

_GREETED = (
    r"(?:(?:hello|hi|hiya|hey|dear|morning|good (?:morning|evening|afternoon|day)|hallo|moin|sehr geehrte[rs]?"
    r"|liebe[rs]?"
    r"|hoi|dag|hej|bonjour|hola|ciao|salut|ol[áa]|servus|grüezi|grüß gott|guten (?:tag|morgen"
    r"|abend))(?:\s\w+){0,3}[,!.]\s+)?(?:(?:the\s|die\s)?(?:number|figure|wall|zahl)(?:\s(?:in"
    r"|on|im|auf)\s(?:(?:the|your|dem)\s)?(?:picture|photo|plan|bild))?"
    r"\s?[:=-]\s?)?(?:(?:and |und )?(?:as (?:for|to)|on) the (?:number|figure|wall|reading)\W{1,2})?"
    r"(?:(?:(?:my|the|mein|meine)\s)?\w+\s(?:says|agrees|confirms|sagt|meint)[,:]?\s(?:that\s)?)?"
)
YES = re.compile(
    rf"^\W*{_GREETED}(?:(?:ok(?:ay)?|so|well|and)\W+)?(?:yes|yep|yeah|yup|y|aye|indeed|absolutely|agreed"
    r"|it is(?! not)\b(?!.*\d)|ja|jawohl|jep"
    rf"|{RIGHT})(?![\w'])",
    re.I,
)
TOLD_BY = re.compile(
    r"\A.{0,80}?\b(?:he|she|they|mum|dad|hubby|husband|wife|er|sie|mann|frau)\s(?:says?|said|sagt)[,:]?\s"
    r"(?=(?:yes|yeah|yep|ja)\b)",
    re.I,
)
""" "Mum is driving, she says yes it's right": a yes that somebody passes on."""
CONFIRMED = re.compile(
    rf"\A\W*+{_GREETED}(?:(?:so|and|well|ok|okay|yes|yep|yeah|yup|ja|indeed|absolutely)\W++)*{RIGHT}(?: (?:about"
    rf"|with|on|in) (?:the|that|this) \w+(?: \w+)?)?(?:,? (?:yes|too|thanks"
    rf"|thank you|danke|indeed))?\W*",
    re.I,
)
""" "Yes, you read it right.": a yes that can only be to what we read."""
VERDICT = re.compile(
    r"\byou(?:'ve| have| had| got| read)[\w ]{0,25}\b(?:right|correct(?:ly)?|wrong)\b"
    r"|\b(?:number|figure|reading|measurement|wall|one|first|second|third|last|two|three|\d)(?:'s| is| was| are)"
    r" (?:right|correct|wrong|fine)\b|\bstimmt\b|\b(?:haben|hatten|liegen|lagen) sie (?:\w+ )?(?:recht|richtig"
    r"|falsch)\b"
    r"|\b(?:zahl|angabe|maß|erste|zweite|dritte|letzte) ist (?:richtig|falsch|korrekt)\b",
    re.I,
)
""" "The third reading is right", "you had that wrong": whatever it is said of."""
REFUSES = re.compile(r"\W{0,4}(?:no|nope|nein|not quite|nicht ganz)\W{0,4}", re.I)
""" "No.": to what we asked."""
WRONG = re.compile(r"\b(?:wrong|falsch|nicht|not)\b|n't\b", re.I)
NO = re.compile(
    r"^\W*(?:no|nope|nah|wrong|neither|none of (?:them|those|these)|nein|weder|falsch|keins|keine(?:r|s)? von)\b",
    re.I,
)
NEITHER = re.compile(
    r"^\W*(?:(?:it's|its|it is|es ist) )?(?:neither|not either|none of (?:them|those|these|the two)|weder|keine?s? von"
    r"|both(?: are| were)? wrong|beide(?: sind| waren)? falsch)\b",
    re.I,
)
NOT_QUITE = re.compile(r"^\W*(?:not (?:quite|exactly)|almost|nearly|nicht ganz|fast)\b", re.I)
NONE_AT_ALL = re.compile(
    r"^\W*(?:but\s)?(?:none|no|no (?:gas )?(?:meter|boiler|supply|such thing)(?: here| at all| in (?:the"
    r"|this) (?:house|flat))?|n/?a|nope|nil|not applicable|nein|keine?|keins|gibt(?:'?s| es)(?: (?:hier|bei uns"
    r"|da))? nicht|haben wir (?:hier )?(?:nicht|keins?|keine?n?)|"
    r"(?:we|i) (?:have none|(?:haven't(?: got)?|don't have) (?:one|any))|there (?:is|are)(?:n't"
    r"| not) (?:one|any)|there (?:is|are) none)(?:\W{1,3}(?:here|at all|in (?:the|this|our) (?:house|flat"
    r"|building)|i'm afraid|sorry|thanks|hier|bei uns|leider|im haus"
    r"|all(?:'s| is)? elec\w*))*\W*$",
    re.I,
)
PICKED = re.compile(
    r"^\W*(?:(?:also|so)\s)?(?:(?:(?:the|die)\s)?(?:number|figure|zahl|ziffer)(?:'s|\sis|\sist)\s)?"
    r"(?:it'?s\s+|it is\s+|es ist\s+|i'?d say\s+)?(?:the\s+|der\s+|die\s+|das\s+)?"
    r"(?:(?P<first>first|1st|former|a|erste[rs]?|your first|(?:option|choice|variante) (?:1|one|a|eins))"
    r"|(?P<last>second|2nd|latter|last|b|zweite[rs]?|letzte[rs]?|your second|(?:option|choice|variante) (?:2|two|b"
    r"|zwei))"
    r"|(?P<small>smaller|lower|shorter|kleinere[rs]?)|(?P<large>larger|bigger|higher|longer|größere[rs]?))"
    r"(?:\s+(?:one|number|figure|option|choice|suggestion|version|variante|möglichkeit|of the two"
    r"|(?:that )?you (?:give"
    r"|gave|offer|offered|say|said|wrote|mention|mentioned|suggest|suggested|put|list|listed)"
    r"|again|too|as well|please|auch|wieder|bitte|is (?:the )?(?:right|correct)(?: one)?|of (?:the two|them|those"
    r"|these|your two)|von beiden|value|zahl|wert"
    r"|ist (?:die )?richtige?|stimmt))*\W*$",
    re.I,
)
DIGITS = {
    word: str(n)
    for words in (
        "zero one two three four five six seven eight nine",
        "null eins zwei drei vier fünf sechs sieben acht neun",
    )
    for n, word in enumerate(words.split())
} | {"nought": "0", "oh": "0"}
BY_DIGIT = re.compile(
    r"^\W*(?:(?:the|die)\s(?:number|figure|zahl)(?:'s|\sis|\sist)?\W+)?(?:it'?s\s+|it is\s+|es ist\s+)?(?:the|der"
    r"|die|das)\s"
    r"(?:(?:one|number|figure|zahl)\s)?(?P<way>with|that has|having|containing|(?:start|begin|end|finish)(?:s"
    r"|ing)?(?:\s(?:with|in|on))?"
    r"|mit)\s(?:(?:an?|the|der|einer?)\s)?"
    rf"(?P<digit>\d|{'|'.join(DIGITS)})\b(?:\s(?P<where>in it|at the (?:end|start|beginning)|in the middle|drin"
    rf"|in der mitte))?\W*$",
    re.I,
)
""" "The one with the six in it"."""
PLACED = re.compile(
    r"^\W*(?:(?:it|that|they|which|(?:the |our |my )?(?:meter|box|unit|tap|one|thing)|er|sie|es|der zähler|die uhr)"
    r"(?:'?s|'re| is| are| was| ist| sind| lives| sits| can be found| hängt| sitzt| befindet sich| steht)\s+)?"
    r"(?:(?:just|right|directly|also|still|is|ist|now|actually|down|up|out|away|hidden|tucked|outside|inside"
    r"|over|somewhere|gleich|direkt)\s+)*"
    r"(?:(?:on )?(?:the )?(?:lhs|rhs|left|right|back|front|rear|side|other side|far side"
    r"|bottom)(?:[- ]hand side| side)? of|in|inside|under|underneath|behind|by|beside|next to|above|below"
    r"|outside|on|at|near|opposite"
    r"|u/s|upstairs|downstairs|im|unter|unterm|hinter|neben|"
    r"über|auf|draußen|außen|beim|bei)\b",
    re.I,
)
SPOT = re.compile(
    rf"^\W*(?:the\s|our\s)?(?:\w+\s){{0,2}}(?:{SPOTS}\b(?!\s+(?:is|was|has|will)\b)|(?:box|cabinet|kasten|schrank"
    rf"|housing)"
    r"\s(?:\w+\s)?(?:on|in|by|at|under|behind|outside|next to|near|am|an|im|unter|hinter|neben|bei)\s)",
    re.I,
)
""" "Hall cupboard, bottom shelf": a place without a word of place."""
OKAY = re.compile(r"^\W*(?:ok|okay|fine|good|thumbs up)\W*$|^\s*[\u2713\u2714\U0001F44D]\s*$", re.I)
REST = re.compile(
    r"\b(?:others?|the rest|everything else|remaining|remainder|rest|die anderen|der rest|übrigen)\b", re.I
)
MAYBE = re.compile(
    r"^\W*(?:probably|possibly|maybe|perhaps|(?:i )?(?:think|believe|guess|suppose|hope|reckon) so|should be"
    r"|must be|could be|likely|presumably"
    r"|wahrscheinlich|vermutlich"
    r"|kann sein|wohl|(?:ich )?glaube?(?: schon| ja)?)\b(?!\s+not)"
    r"(?!\s(?:(?:even|just|only)\s)?(?:(?:a|an inch|one|half)\s(?:\w+\s)?)?(?:bit|little|touch|shade|fraction|tad|hair"
    r"|slightly|less|more|lower|higher|etwas|ein bisschen|weniger|mehr)\b)",
    re.I,
)
GUESSED = re.compile(
    r"^\W*(?:(?:(?:i|we) )?(?:think|believe|guess|reckon|suppose)(?: that)?|probably|maybe|perhaps|possibly"
    r"|ich glaube|wahrscheinlich"
    r"|vermutlich)\W+",
    re.I,
)
SHOULD = re.compile(r"\b(?:should (?:be|read|say)|sollte|müsste)\b", re.I)
ONE_WINDOW = re.compile(
    r"\b(?:first|second|other|left|right|1st|2nd|one|big|small|erstes?|zweites?|linkes?"
    r"|rechtes?)\s(?:hand\s)?(?:window|fenster)\b",
    re.I,
)
CONCLUDED = re.compile(
    r"\W{0,4}\b(?:all )?in (?:dieser reihenfolge|that|this|your|the same|the right) order\W{0,9}$", re.I
)
""" "..., in that order"."""
LETTERS = re.compile(
    r"(?:^|(?<=[\s,;(]))(?P<letter>[abc])\s{0,2}(?:[:.)=-]\s{0,2})?(?:(?:is|ist|was|war)\b)?\s{0,2}(?=\d)",
    re.I,
)


_FIRST_DIGIT = re.compile(
    rf"^\W*(?:the |die |der )?(?P<digit>\d|{'|'.join(DIGITS)}) "
    r"(?:comes|goes|is|stands|kommt|steht) (?:first|zuerst|vorne?)\b",
    re.I,
)


def first_digit(text: str) -> str:
    """ "The eight comes first and then the three": the digit that a number begins with; "" for none told."""
    told = _FIRST_DIGIT.match(text)
    return DIGITS.get(told["digit"].lower(), told["digit"]) if told else ""


def chosen_by_digit(match: re.Match[str], choices: Sequence[str]) -> str | None:
    """The only choice that has, begins with or ends in the digit of a match of `BY_DIGIT`."""
    figures = {c: re.sub(r"\D", "", c) for c in choices}
    digit, way = DIGITS.get(match["digit"].lower(), match["digit"]), match["way"].lower()
    where = f"{way} {match['where'] or ''}"
    begins, ends = re.search("start|begin", where), re.search("end|finish", where)
    having = [
        c
        for c, f in figures.items()
        if (f.startswith(digit) if begins else f.endswith(digit) if ends else digit in f)
    ]
    return having[0] if len(having) == 1 else None


def lettered(text: str) -> dict[str, int]:
    """Where the length after each letter of a list begins ("a 105 b 98"), in the order written; none where a letter
    stands twice: the lists of two windows."""
    found = [(m["letter"].lower(), m.end()) for m in LETTERS.finditer(text)]
    return dict(found) if len(dict(found)) == len(found) else {}


def read_out(text: str) -> str:
    """The figures of words that are single digits and nothing else: "three eight"; "" for any others."""
    words = re.sub(r"^\W*(?:it'?s|it is|that's|das ist|es ist)\s|\W*\Z", "", text.lower()).split()
    return "".join(DIGITS[w] for w in words) if len(words) > 1 and {*words} <= {*DIGITS} else ""
