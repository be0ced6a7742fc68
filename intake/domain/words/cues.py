"""A customer's text cut into sentences, and what a sentence is as a whole: a question, about another room, ours."""

from __future__ import annotations

import re
from functools import lru_cache


def any_of(*words: str) -> str:
    """One pattern for any of the given patterns."""
    return "(?:" + "|".join(words) + ")"


PREPOSITION = re.compile(
    r"\b(?:in|inside|under|underneath|beneath|behind|by|beside|next to|above|below|outside|on|at|near"
    r"|nearest|opposite|within|over|"
    r"facing|through|against|(?:to the )?(?:left|right) of"
    r"|(?:links|rechts) (?:von|vom|neben)|im|unter|unterm|hinter|neben|über|auf|an|am|bei|beim|zwischen"
    r"|towards|off)\b",
    re.I,
)
_LIKENESSES = str.maketrans(
    {"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "\u00a0": " ", "″": '"', "′": "'"}
)
_BLANKS = re.compile(r"[^\S\n]+")
_EMPTY_LINES = re.compile(r"(?:\n ?){3,}")
_STOP_SAID = re.compile(r"\s(comma|full stop|new line|new paragraph)\b(?!\s?\d)", re.I)
_STRUCK = re.compile(r"~~[^~\n]{1,200}~~")
LONGEST_TEXT = 20_000
LONGEST_SENTENCE = 400
MOST_SENTENCES = 400
MOST_WORDS, MOST_NUMBERS = 1_000, 300
"""Read of one message; set by hand: no reply composed for the tests has a tenth of it, and what is read takes a second.
Some steps take the square of their count."""
_WORD = re.compile(r"\d+|[^\W\d]+")
WRAPPED_AT = (55, 100)
"""How long a line is that a mail program wrapped; RFC 3676 4.2 (from memory) wraps at 78, programs at 60 to 99."""
_QUOTED = re.compile(r"^\s*[>|\u00a6]")
CUT = re.compile(
    r"^\s*(?:on\b.{4,120}\bwrote:|-{2,}\s*(?:original|forwarded) message|from:\s.+@|_{10,}|begin forwarded message)",
    re.I,
)
"""Lines under which mail programs put the letter that is answered."""
LEADS_TO_QUOTED = re.compile(
    r"^\s*(?:on|am|le|op)\b.{4,120}\b(?:wrote|schrieb.{0,40}|écrit|schreef.{0,40})\s?:\s*$", re.I
)
DISCLAIMS = re.compile(
    r"\b(?:confidential|privileged|intended (?:solely |only )?for|intended recipients?|vertraulich\w*|adressat\w*"
    r"|bestimmt ist|virus(?:es)?|please consider the environment|registered (?:in|office)|umwelt)\b",
    re.I,
)
""" "If you are not the intended recipient ...": the foot of an office's mail."""
FOOT = re.compile(
    r"(?<![^\s.!?>])(?:if you (?:are not|aren't) the (?:intended|named) (?:recipient|addressee)"
    r"|if you (?:have )?received? (?:this|it)(?: \w+)? in error"
    r"|this (?:e-?mail|message)(?: and (?:any|all|its) \w+)? (?:is|are|may be|contains?|may contain)\b[^.\d]{0,60}"
    r"\b(?:confidential|privileged|intended)|(?:wenn|falls|sollten) sie nicht der (?:\w+ )?(?:adressat|empfänger)"
    r"|(?:wenn|falls|sollten) sie diese (?:e-?mail|nachricht) (?:irrtüm|versehent|fälsch)lich"
    r"|diese (?:e-?mail|nachricht) (?:enthält|ist)\b[^.\d]{0,40}\bvertraulich"
    r"|please (?:consider|think of) the (?:environment|trees|planet))(?:[^.!\n\d]|\n(?!\s*\n)){0,300}"
    r"(?:[.!]+|$|(?=\n\s*\n))",
    re.I,
)
"""A sentence of that foot, wherever it stands: it tells of letters gone astray, and nothing of a room."""
AUTOMATIC = re.compile(
    r"^\W{0,4}(?:auto(?:matic|mated)?[ -]?(?:reply|response)|out of (?:the )?office|automatische (?:antwort|nachricht)"
    r"|abwesenheits(?:notiz|meldung|nachricht))\b",
    re.I | re.M,
)
""" What a program wrote while its owner was away."""
_DICTATING = re.compile(
    r"^\W{0,4}(?:(?:is this (?:thing )?(?:on|working)|testing(?: testing)?|hey siri|ok(?:ay)? google|right|ok(?:ay)?"
    r"|(?:send |write )?(?:a )?new (?:e-?mail|message)|tell (?:them|him|her)(?: that)?)\b[ ,.?!]{0,4}){2,}",
    re.I | re.M,
)
""" What is said to a telephone before it takes a letter down."""
_UNFINISHED = re.compile(
    r"(?:\b(?:is|are|was|of|the|a|an|to|at|and|or|in|under|from|by|about|height)|[:,=-])\s*$", re.I
)
GREETING = re.compile(
    r"\W{0,4}(?:(?:oh|well|right|ok)\s)?(?:hi|hello|hiya|hey|dear|(?:very )?good (?:morning|evening|afternoon|day)"
    r"|morning|evening"
    r"|afternoon|evening all|hallo|moin|servus|grüezi|grüß gott|guten (?:tag|morgen|abend)|sehr geehrte[rs]?"
    r"|liebe[rs]?|hoi|dag"
    r"|hej|bonjour|hola|ciao|salut|ol[áa])"
    r"(?:\s(?!(?:yes|yep|no|nope|ok|the|it|its|it's|is|first|second|number|all|ja|nein|die|das|der|es)\b)[^\W\d][\w'-]*"
    r"(?:(?<=\smr)\.|(?<=\smrs)\.|(?<=\sms)\.|(?<=\sdr)\.)?|\s(?:all|the team)\b){0,4}\s?[,!.:-]{0,3}",
    re.I,
)
""" "Dear Mrs Mill,"."""
_BULLET = re.compile(r"^\s*(?:[-*•·]\s+)")
_ABBREVIATIONS = (
    r"\bbzw",
    r"\bevtl",
    r"\bggf",
    r"\binkl",
    r"\bincl",
    r"\bexcl",
    r"\bapprox",
    "str",
    r"\bnr",
    r"\bst",
    r"\bdr",
    r"\bext",
)
_NO_END = "".join(rf"(?<!{a})" for a in (*_ABBREVIATIONS, r"\bmr", r"\bmrs", r"\bms"))
_NO_END_AFTER = _NO_END.replace(")", r"\.)")
"""A stop after one of these ends no sentence."""
_SENTENCE = re.compile(
    rf"(?<=[!?])\s+|(?<=[a-z0-9)\"']){_NO_END}\.(?:\s+(?!(?<=\bno\.\s)\d{{1,4}}'s)|$)"
    rf"|(?<=\.){_NO_END_AFTER}\s+(?=[A-Z])|;|\n|(?<=[\w)])\s?[\u2600-\u2712\u2715-\u27bf\U0001F300-\U0001FAFF]+\s+(?=[\w(])",
    re.I,
)
JOINTS = any_of(
    "but|and|though|although|however|because|so|while|whereas|plus|as well as|except|und|aber|jedoch|weil|sowie"
)
"""Words that join one clause to the next."""
_ROOMS = (
    "kitchen|bedroom|bathroom|hall|hallway|lounge|living room|sitting room|dining room|utility(?: room)?|garage|loft",
    "landing|study|office|conservatory|cellar|basement|cloakroom|en-?suite|porch|toilet|wc|next door|upstairs",
    "wohnzimmer|esszimmer|flur|diele|arbeitszimmer|kinderzimmer|gästezimmer|küche|bad|badezimmer|schlafzimmer|keller",
    "dining|snug|den|nursery|spare room|box room",
)

_IN_A_ROOM = re.compile(
    rf"\b(?:in|im|in der|of) (?:(?:the|our|my|der|dem|unser\w*) )?(?:other )?(?P<room>{any_of(*_ROOMS)})\b",
    re.I,
)
_ROOM_FIRST = re.compile(
    rf"\A\W*(?:(?:and|und|the|our|die|das|der) )*(?P<room>{any_of(*_ROOMS)})"
    r"(?:'s| is| ist| has| hat)?\s?[:=-]?\s?(?=\d)",
    re.I,
)
""" "Hall 250"."""
_IN_ENGLISH = {"küche": "kitchen", "bad": "bathroom", "badezimmer": "bathroom", "schlafzimmer": "bedroom"}

NOT_EXACT = re.compile(r"\b(?:it|that|them|this|properly|exactly|accurately|sure|certain)\b", re.I)
_ANOTHER_HOME = re.compile(
    r"\b(?:old|previous|former|last|other) (?:kitchen|house|flat|home|place|room)\b|(?<!\bit)'s (?:house"
    r"|flat|home|kitchen)\b|"
    r"\bhad an?\b|\bneighbou?r",
    re.I,
)
_OPENERS = r"^\W*(?:(?:hi|hello|also|ok|and|but|so|or|please)\W+)*"
INTERROGATIVE = re.compile(
    _OPENERS
    + any_of(
        "do|does|did|is|are|was|were|can|could|should|shall|would|will|have|has|may",
        "what|where|which|who|when|why|how|any(?:one|body)?",
    )
    + r"\b",
    re.I,
)
_UNMARKED_QUESTION = re.compile(
    _OPENERS
    + any_of(
        r"(?:do|did|can|could|should|would|shall|will|have) (?:you|i|we|(?<!do )(?<!did )it|they)\b",
        r"(?:is|are|does) (?:it|this|that|there|you)\b",
        r"(?:warum|wieso|weshalb|wozu|wann|was kostet|wie lange|wie viel|wie teuer)\b",
        r"(?:können|könnten|würden|dürfen|dürften|sollen|kann|soll) (?:sie|wir|ich|man|es)\b",
        r"(?:what|where|which|when|why|how)(?:'s| is| are| do| does| should| can| would| about)\b",
    ),
    re.I,
)
ASIDE = re.compile(
    r"^\W*(?:(?:is|will|does|would|are) (?:that|this|it|these|those)\s(?:\w+\s){0,2}(?:ok|okay|enough|al ?right"
    r"|fine|clear"
    r"|helps?|do|work|suit|good|right|correct|sense|everything|all|what you (?:need|want|wanted|mean|meant"
    r"|asked))\b(?!.*\d)"
    r"|(?:ok|okay)\b)",
    re.I,
)
""" ", is that enough?" after something told."""

RELATIVE = (
    r"(?:son|daughter|husband|wife|partner|boyfriend|girlfriend|brother|sister|mum|mom|mam|mother|nan|nana"
    r"|gran|granny|grandma|grandad|dad|father|friend"
    r"|mate"
    r"|neighbour|nephew|niece|grandson|granddaughter|lad|cousin|uncle|aunt|carer|lodger|landlord|tenant|handyman"
    r"|son-in-law"
    r"|sohn|tochter|mann|frau|bruder|schwester|mutter|vater|nachbar(?:in)?|freund(?:in)?|enkel(?:in)?|neffe|nichte)"
)

OUR_WORDS = re.compile(
    r"^\W*(?:\d+[.):]\s*)?(?:please (?:measure|photograph)|is (?:this|the) number|if you can, please"
    r"|at the window, please)",
    re.I,
)
"""How our own letters' sentences begin: a length in such a sentence is no answer, whoever wrote it."""


def elsewhere(text: str, room: str) -> bool:
    """Whether it speaks of another room, or another home, than the `room` in question ("kitchen")."""
    named = [n.lower() for n in re.findall(rf"\b{any_of(*_ROOMS)}\b", text, re.I)]
    return any(_IN_ENGLISH.get(n, n) != room for n in named) or bool(_ANOTHER_HOME.search(text))


def in_another_room(text: str, room: str) -> bool:
    """Whether what it tells of stands in another room: "that's in the dining room"."""
    named = [m["room"].lower() for p in (_IN_A_ROOM, _ROOM_FIRST) for m in p.finditer(text)]
    return bool(named) and all(_IN_ENGLISH.get(n, n) != room for n in named)


def plain(text: str) -> str:
    """The first 20,000 characters with typographic quotes and dashes made plain, runs of blanks made one and what is
    struck out ("~~240~~") left out.

    The limits keep hostile mail from taking minutes; no customer writes as much.
    """
    return _plain(text[:LONGEST_TEXT])


def _plain(text: str) -> str:
    blanks = _DICTATING.sub("", _BLANKS.sub(" ", _stops_said(text.translate(_LIKENESSES))))
    return _STRUCK.sub(" ", _EMPTY_LINES.sub("\n\n", blanks))


def within_bounds(text: str) -> str:
    """The sentences of `text` up to the last that lies within MOST_WORDS words and MOST_NUMBERS numbers in digits."""
    numbers = 0
    for count, word in enumerate(_WORD.finditer(text), 1):
        numbers += word[0].isdigit()
        if count > MOST_WORDS or numbers > MOST_NUMBERS:
            ends = max(text.rfind(stop, 0, word.start()) for stop in ("\n", ". "))
            return text[: ends + 1 if ends > 0 else word.start()]
    return text


def _stops_said(text: str) -> str:
    """Dictation that says its stops ("right comma sill ninety full stop") with the stops in their place."""
    if len(_STOP_SAID.findall(text)) < 2:
        return text
    return _STOP_SAID.sub(lambda m: {"c": ",", "n": "\n"}.get(m[1][0].lower(), "."), text)


@lru_cache(maxsize=256)
def sentences(text: str) -> tuple[str, ...]:
    """The customer's sentences, as many and as much of each as is read."""
    found = every_sentence(text[:LONGEST_TEXT])
    return tuple(s[:LONGEST_SENTENCE] for s in found[:MOST_SENTENCES])


def every_sentence(text: str) -> list[str]:
    """The sentences of any text: quoted lines and all under a quoting line left out, wrapped lines joined."""
    lines: list[str] = []
    before = ""
    for raw in _plain(text).splitlines():
        if CUT.match(raw):
            break
        if _QUOTED.match(raw):
            continue
        line = _BULLET.sub("", raw).strip()
        if before and line and not _BULLET.match(raw) and _goes_on(before) and not GREETING.fullmatch(before):
            lines[-1] = f"{lines[-1]} {line}"
        else:
            lines.append(line)
        before = line
    return [s.strip() for line in lines for s in _SENTENCE.split(line) if s and s.strip()]


def is_cut(text: str) -> bool:
    """Whether `sentences` leaves off some of `text`, or the end of a sentence."""
    found = sentences(text)
    return len(found) >= MOST_SENTENCES or any(len(s) >= LONGEST_SENTENCE for s in found)


def _goes_on(line: str) -> bool:
    """A line that a mail program wrapped: long and unfinished, or ending in a word that cannot end a sentence."""
    return not re.search(r"[.!?;]\s*$", line) and (
        WRAPPED_AT[0] < len(line) < WRAPPED_AT[1] or bool(_UNFINISHED.search(line))
    )


def is_question(sentence: str) -> bool:
    """True where it asks: a question mark, or the word order of a question without one."""
    return sentence.rstrip(" \"')").endswith("?") or bool(_UNMARKED_QUESTION.match(sentence))
