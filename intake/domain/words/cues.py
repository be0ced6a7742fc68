"""What ordinary English sentences carry: sentences, clauses, lengths, and the small words that turn a saying round.

Built from how people write, not from a grammar: where it cannot tell, typed_words.py says doubtful rather than guess.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from intake.domain.lengths.notation import parse_length


def any_of(*words: str) -> str:
    """One pattern for any of the given patterns."""
    return "(?:" + "|".join(words) + ")"


_LIKENESSES = str.maketrans(
    {"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "\u00a0": " ", "″": '"', "′": "'"}
)
_BLANKS = re.compile(r"[^\S\n]+")
LONGEST_TEXT = 20_000
LONGEST_SENTENCE = 400
MOST_SENTENCES = 400
_QUOTED = re.compile(r"^\s*[>|]")
_CUT = re.compile(
    r"^\s*(?:on\b.{4,120}\bwrote:|-{2,}\s*(?:original|forwarded) message|from:\s.+@|_{10,}|begin forwarded message)",
    re.I,
)
"""Lines under which mail programs put the letter that is answered."""
_UNFINISHED = re.compile(
    r"(?:\b(?:is|are|was|of|the|a|an|to|at|and|or|in|under|from|by|about|height)|[:,=-])\s*$", re.I
)
_BULLET = re.compile(r"^\s*(?:[-*•·]\s+)")
_SENTENCE = re.compile(r"(?<=[!?])\s+|(?<=[a-z0-9)\"'])\.(?:\s+|$)|(?<=\.)\s+(?=[A-Z])|;|\n", re.I)
_JOINTS = any_of(
    "but|and", "though", "although", "however", "because", "so", "while", "whereas", "plus", "as well as"
)
_CLAUSE = re.compile(rf"(?:,(?!\d)|[()]|\s-\s(?!(?:[\w.'/\"]+ ?){{1,3}}$)|\.\.+|(?<!or )\b{_JOINTS}\b)", re.I)
"""A dash before the last few words of a sentence joins them to a name: "consumer unit - hall cupboard"."""

_UNIT = r"(?:mms?|cms?|millimet(?:re|er)s?|centimet(?:re|er)s?|met(?:re|er)s?|m|in|ins|inch|inches|\"|'')"
_FRACTION = r"(?:\s?[½¼¾]|\s\d/\d)?"
_LENGTH = re.compile(
    r"(?<![\w./#£$€@])(?<!\d,)(?:"
    rf"\d{{1,2}}\s?(?:'(?!')|ft\b\.?|feet\b|foot\b)(?:\s?\d{{1,2}}{_FRACTION}\s?(?:\"|''|ins?\b|inch(?:es)?\b)?)?"
    r"|\d{1,2}\s?m\s?\d{2,3}(?:\s?(?:cm|mm))?\b"
    rf"|\d+(?:[.,]\d+)?{_FRACTION}(?:\s?{_UNIT}(?![\w']))?"
    r")(?=ish\b|\W|$)",
    re.I,
)
_LETTERED = re.compile(r"\b(?P<letter>h)\s?=?\s?(?=\d)", re.I)
_MONTHS = any_of(
    "january|february|march|april|may|june|july|august|september|october|november|december",
)
_THINGS = any_of(
    "places?|spots?|points?|ends|sides|corners|windows|doors|walls|sections|rooms|floors|sockets|radiators|rings?",
    "photo(?:graph)?s?|pictures?|pics?|images?|attachments?|e-?mails?|people|adults|kids|children|times",
    "years?|months?|weeks?|days?|hours?|minutes?|mins|other|more|o'clock|degrees?|kw|amps?|litres?",
    "of (?:them|these|us)",
)
_NO_LENGTH_AFTER = re.compile(
    rf"^(?:(?:st|nd|rd|th)\b|\s?%|\s?(?:am|pm)\b|:\d|\s?/\s?\d|\s?[x×]\s?\d|\.\d|-?\s?(?:{_THINGS}|{_MONTHS})\b)",
    re.I,
)
_NO_LENGTH_BEFORE = re.compile(r"\d\s?[x×]\s?$|\d:$", re.I)
_NUMBERED = re.compile(
    r"(?:\b(?:no\.?|number|wall|window|door|photo|picture|page|item|point|flat|option|question|q)|#)\s?$",
    re.I,
)
_DENIED = re.compile(r"\b(?:not|isn't|wasn't|aren't|never|rather than|instead of|than)\s+(?:be\s+)?$", re.I)
_DIFFERENCE = re.compile(
    r"^\s?(?:lower|higher|more|less|out\b|too\b|short|bigger|smaller|taller|thinner|thicker|off\b|below|gap|away|drop|step|"
    r"(?:above|from)\b(?! (?:the )?(?:finished )?(?:floor|ground|carpet|tiles)))",
    re.I,
)
"""A length said against something else is not the thing's own; against the floor it is."""

COULD_NOT = re.compile(
    r"\b"
    + any_of(
        r"(?:could|ca|do|did|have|has|was|were|wo|had)n'?t(?! need)",
        r"can'?t|cannot|(?:could|can|do|did|have|has|was|were|will|had) not",
        "unable|not able|failed to|no idea|dunno|not sure where|no clue|forgot(?:ten)?|unmeasured",
        "never (?:found|measured)|not (?:yet )?(?:been )?(?:measured|done|found|taken)",
        r"yet to|still (?:to|need|have to)|needs? to|have to|got to",
        r"to follow|follows? (?:later|soon|tomorrow)|tb[ca]|later\b|tomorrow|tonight|at the weekend",
        "this evening|next week",
        r"(?:i'?ll|we'?ll|i will|we will|will|shall|going to|hope to|try to)\s+(?:then\s+|also\s+|just\s+)?"
        r"(?:send|measure|get|do|check|let you|look|find|take|ask|have|re-?measure|try|come|be able|follow)",
    ),
    re.I,
)
"""Could not, or later: what such a clause names has not been measured."""

HEDGE = re.compile(
    r"\b"
    + any_of(
        "about",
        "around",
        "at least",
        "at most",
        "more than",
        "less than",
        "over",
        "under",
        "nearly",
        "almost",
    )
    + r" (?=[\d~])|\b(?:up to|just about) (?=\d)|~\s?(?=\d)|\d\s?ish\b|\?|\d(?:\s?[cm]?m)?\s+or\s+\d|\b"
    + any_of(
        r"approx(?:imately|\.)?|roughly|circa|or so|or thereabouts|give or take|at a guess|from memory",
        r"(?:i|we) (?:think|guess|reckon|believe|assume|suppose)|as far as i|not sure|unsure|unclear",
        "probably|maybe|perhaps|possibly|hopefully|seems|looks like|supposed|standard|typical(?:ly)?|normally",
        "(?:should|would|will|could|may) be|might|if|to be confirmed|used to be|was before",
        "guess(?:ed|ing)?|estimate[ds]?|estimating",
        r"ideally|want|would like|'d like|plan(?:ning)? to|lower(?:ed|ing) to|rais(?:ed|ing) to|relocat\w+",
        "(?:be|being|to|like) mov(?:e|ed|ing)|moving|boards? over|after the",
    )
    + r"(?!\w)",
    re.I,
)
"""A guess, a wish or a plan: not a measurement."""

TAKEN_BACK = re.compile(
    r"\b(?:ignore|disregard|scrap|wrong|mistake|incorrect|not (?:right|correct)|typo)\b", re.I
)
"""What was said so far no longer stands."""

_ROOMS = (
    "kitchen|bedroom|bathroom|hall|hallway|lounge|living room|sitting room|dining room|utility(?: room)?|garage|loft",
    "landing|study|office|conservatory|cellar|basement|cloakroom|en-?suite|porch|toilet|wc|next door|upstairs",
)

NOT_EXACT = re.compile(r"\b(?:it|that|them|this|properly|exactly|accurately|sure|certain)\b", re.I)
_ANOTHER_HOME = re.compile(
    r"\b(?:old|previous|former|last|other) (?:kitchen|house|flat|home|place|room)\b|'s (?:house|flat|home|kitchen)\b|"
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
        r"(?:do|did|can|could|should|would|shall|will|have) (?:you|i|we|it|they)\b",
        r"(?:is|are|does) (?:it|this|that|there|you)\b",
        r"(?:what|where|which|when|why|how) (?:is|are|do|does|should|can|would|about)\b",
    ),
    re.I,
)
ASIDE = re.compile(
    r"^\W*(?:(?:is|will|does|would|are|do) (?:that|this|it|these|those|you)\b(?! (?:about|around|the)\b)(?!.*\d)"
    r"|(?:ok|okay)\b)",
    re.I,
)
""" ", is that enough?" after something told."""

OUR_WORDS = re.compile(
    r"^\W*(?:\d+[.):]\s*)?"
    + any_of(
        "please (?:measure|send|photograph|tell us|draw|write|mark|list)",
        "is (?:this|the) number|if you can, please|at the window, please|we read the number",
        r"you wrote|we have two figures|we have [\d.,]+ cm for this",
    ),
    re.I,
)
"""How our own letters' sentences begin."""


@dataclass(frozen=True)
class Length:
    """A length in running text: where it stands, as written, and its millimetres (None: no tape reads so)."""

    start: int
    end: int
    text: str
    value_mm: int | None


def elsewhere(text: str, room: str) -> bool:
    """Whether it speaks of another room, or another home, than the `room` in question ("kitchen")."""
    named = re.findall(rf"\b{any_of(*_ROOMS)}\b", text, re.I)
    return any(n.lower() != room for n in named) or bool(_ANOTHER_HOME.search(text))


def plain(text: str) -> str:
    """The first 20,000 characters with typographic quotes and dashes made plain and runs of blanks made one.

    The limits keep hostile mail from taking minutes; no customer writes as much.
    """
    return _BLANKS.sub(" ", text[:LONGEST_TEXT].translate(_LIKENESSES))


def sentences(text: str) -> tuple[str, ...]:
    """The customer's sentences: quoted lines and all under a quoting line left out, wrapped lines joined."""
    lines: list[str] = []
    for raw in plain(text).splitlines():
        if _CUT.match(raw):
            break
        if _QUOTED.match(raw):
            continue
        line = _BULLET.sub("", raw).strip()
        if lines and line and lines[-1] and not _BULLET.match(raw) and _goes_on(lines[-1]):
            lines[-1] = f"{lines[-1]} {line}"
        else:
            lines.append(line)
    found = (s.strip()[:LONGEST_SENTENCE] for line in lines for s in _SENTENCE.split(line) if s)
    return tuple(s for s in found if s and not OUR_WORDS.match(s))[:MOST_SENTENCES]


def _goes_on(line: str) -> bool:
    """A line that a mail program wrapped: long and unfinished, or ending in a word that cannot end a sentence."""
    return not re.search(r"[.!?;]\s*$", line) and (len(line) > 55 or bool(_UNFINISHED.search(line)))


def clauses(sentence: str) -> tuple[str, ...]:
    """The parts of a sentence between commas, brackets and joining words, in order."""
    return tuple(c for c in (p.strip() for p in _CLAUSE.split(sentence)) if c)


def is_question(sentence: str) -> bool:
    """True where it asks: a question mark, or the word order of a question without one."""
    return sentence.rstrip(" \"')").endswith("?") or bool(_UNMARKED_QUESTION.match(sentence))


def lengths(text: str, unit: str = "cm") -> tuple[Length, ...]:
    """The lengths written in `text`; bare numbers are in `unit`.

    Counts, dates, times, sizes ("60 x 60"), differences ("2 cm lower") and denied numbers ("not 236") are none.
    """
    # "H236" and "H=236" are how a height is written on a plan; the letter must not hide the number.
    spaced = _LETTERED.sub(lambda m: " " * len(m[0]), text)
    return tuple(
        Length(m.start(), m.end(), m[0].strip(), parse_length(m[0].strip(), unit))
        for m in _LENGTH.finditer(spaced)
        if _is_length(spaced, m)
    )


def _is_length(text: str, match: re.Match[str]) -> bool:
    before, after = text[: match.start()], text[match.end() :]
    if _NO_LENGTH_AFTER.match(after) or _NO_LENGTH_BEFORE.search(before[-4:]):
        return False
    if _DENIED.search(before) or _DIFFERENCE.match(after):
        return False
    if _NUMBERED.search(before) and re.fullmatch(r"\d{1,2}", match[0]):
        return False
    return len(re.sub(r"\D", "", match[0])) <= 6
