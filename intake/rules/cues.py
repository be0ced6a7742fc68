"""What ordinary English sentences carry: sentences, clauses, lengths, and the small words that turn a saying round.

Built from how people write, not from a grammar: where it cannot tell, typed_words.py says doubtful rather than guess.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from intake.rules.notation import parse_length

_LIKENESSES = str.maketrans(
    {"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "\u00a0": " ", "″": '"', "′": "'"}
)
_QUOTED = re.compile(r"^\s*[>|]")
_CUT = re.compile(
    r"^\s*(?:on\b.{4,120}\bwrote:|-{2,}\s*(?:original|forwarded) message|from:\s.+@|_{10,}|begin forwarded message)",
    re.I,
)
_UNFINISHED = re.compile(
    r"(?:\b(?:is|are|was|of|the|a|an|to|at|and|or|in|under|from|by|about|height)|[:,=-])\s*$", re.I
)
_BULLET = re.compile(r"^\s*(?:[-*•·]\s+)")
_SENTENCE = re.compile(r"(?<=[!?])\s+|(?<=[a-z0-9)\"'])\.(?:\s+|$)|(?<=\.)\s+(?=[A-Z])|\s*;\s*|\n", re.I)
_CLAUSE = re.compile(
    r"\s*(?:,(?!\d)|\(|\)|\s-\s|\.\.+|\b(?:but|and|though|although|however|because|so|while|whereas|plus|as well as)\b)\s*",
    re.I,
)

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
_COUNTS = re.compile(
    r"^(?:st|nd|rd|th)\b|^\s?%|^\s?(?:am|pm)\b|^:\d|^\s?/\s?\d|^\s?[x×]\s?\d|^\.\d|^[-]?\s?(?:o'clock|degrees?|kw|amps?|litres?|"
    r"places?|spots?|points?|ends|sides|corners|windows|doors|walls|sections|rooms|floors|sockets|radiators|rings?|"
    r"photo(?:graph)?s?|pictures?|pics?|images?|attachments?|e-?mails?|people|adults|kids|children|times|years?|months?|weeks?|"
    r"days?|hours?|minutes?|mins|of (?:them|these|us)|other|more|january|february|march|april|may|june|july|august|"
    r"september|october|november|december)\b",
    re.I,
)
_LABELLED = re.compile(
    r"(?:\b(?:no\.?|number|wall|window|door|photo|picture|page|item|point|flat|option|question|q)|#)\s?$",
    re.I,
)
_TIMES = re.compile(r"\d\s?[x×]\s?$|:$", re.I)
_NEGATED = re.compile(r"\b(?:not|isn't|wasn't|aren't|never|rather than|instead of|than)\s+(?:be\s+)?$", re.I)
_RELATIVE = re.compile(
    r"^\s?(?:lower|higher|more|less|out\b|too\b|short|bigger|smaller|taller|thinner|thicker|off\b|below|gap|away|"
    r"(?:above|from)\b(?! (?:the )?(?:finished )?(?:floor|ground|carpet|tiles)))",
    re.I,
)

COULD_NOT = re.compile(
    r"\b(?:couldn'?t|could not|don'?t have|do not have|can'?t|cannot|can not|unable|wasn'?t able|weren'?t able|not able|didn'?t|did not|haven'?t|have not|"
    r"hasn'?t|has not|won'?t|failed to|no idea|don'?t know|do not know|dunno|not sure where|no clue|never (?:found|measured)|"
    r"not (?:yet )?(?:been )?(?:measured|done|found|taken)|unmeasured|yet to|still (?:to|need|have to)|need(?:s)? to|have to|"
    r"got to|forgot(?:ten)?|to follow|follows? (?:later|soon|tomorrow)|tb[ca]|later\b|tomorrow|tonight|at the weekend|"
    r"this evening|next week|(?:i'?ll|we'?ll|i will|we will|will|shall|going to|hope to|try to)\s+"
    r"(?:then\s+|also\s+|just\s+)?(?:send|measure|get|do|check|let you|look|find|take|ask|have|re-?measure|try|come|be able|follow))",
    re.I,
)
HEDGE = re.compile(
    r"\b(?:about|around|at least|at most|more than|less than|over|under|nearly|almost|up to|just about) (?=[\d~])|"
    r"\b(?:approx(?:imately|\.)?|roughly|circa|or so|or thereabouts|give or take|i think|we think|"
    r"i guess|at a guess|i reckon|i believe|i assume|i suppose|probably|maybe|perhaps|possibly|should be|would be|will be|"
    r"could be|might|may be|if|not sure|unsure|unclear|guess(?:ed|ing)?|estimate[ds]?|estimating|from memory|used to be|"
    r"was before|supposed|seems|looks like|hopefully|"
    r"as far as i|to be confirmed|ideally|want|would like|'d like|plan(?:ning)? to|lower(?:ed|ing) to|"
    r"rais(?:ed|ing) to|relocat\w+|(?:be|being|to|like) mov(?:e|ed|ing)|moving|standard|typical(?:ly)?|normally)(?!\w)|"
    r"~\s?(?=\d)|\d\s?ish\b|\?",
    re.I,
)
NOT_EXACT = re.compile(r"\b(?:it|that|them|this|properly|exactly|accurately|sure|certain)\b", re.I)
INTERROGATIVE = re.compile(
    r"^\W*(?:(?:hi|hello|also|ok|and|but|so|or|please)\W+)*(?:do|does|did|is|are|was|were|can|could|should|shall|would|will|"
    r"have|has|what|where|which|who|when|why|how|may|any(?:one|body)?)\b",
    re.I,
)
_UNMARKED_QUESTION = re.compile(
    r"^\W*(?:(?:hi|hello|also|and|but|so|or|please)\W+)*(?:(?:do|did|can|could|should|would|shall|will|have) (?:you|i|we|it|they)\b|"
    r"(?:is|are|does) (?:it|this|that|there|you)\b|(?:what|where|which|when|why|how) (?:is|are|do|does|should|can|would|about)\b)",
    re.I,
)
ASIDE = re.compile(
    r"^\W*(?:(?:is|will|does|would|are|do) (?:that|this|it|these|those|you)\b(?! (?:about|around|the)\b)(?!.*\d)|(?:ok|okay)\b)",
    re.I,
)
OUR_WORDS = re.compile(
    r"^\W*(?:\d+[.):]\s*)?(?:please (?:measure|send|photograph|tell us|draw|write|mark|list)|we read\b|is this number|"
    r"if you can, please|at the window, please|thank you for)",
    re.I,
)


@dataclass(frozen=True)
class Length:
    """A length in running text: where it stands, as written, and its millimetres (None: no tape reads so)."""

    start: int
    end: int
    text: str
    value_mm: int | None


def plain(text: str) -> str:
    """The text with typographic quotes and dashes made plain."""
    return text.translate(_LIKENESSES)


def sentences(text: str) -> tuple[str, ...]:
    """The customer's sentences: quoted lines and everything under a quoting line are left out, wrapped lines joined."""
    lines: list[str] = []
    for raw in plain(text).splitlines():
        if _CUT.match(raw):
            break
        line = _BULLET.sub("", raw).rstrip()
        if _QUOTED.match(raw):
            continue
        joins = bool(lines) and line and lines[-1] and not _BULLET.match(raw) and _goes_on(lines[-1])
        if joins:
            lines[-1] = f"{lines[-1]} {line.strip()}"
        else:
            lines.append(line.strip())
    found = (s.strip() for line in lines for s in _SENTENCE.split(line) if s)
    return tuple(s for s in found if s and not OUR_WORDS.match(s))


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
    found = []
    for match in _LENGTH.finditer(text):
        before, after = text[: match.start()], text[match.end() :]
        if (
            _COUNTS.match(after)
            or _TIMES.search(before[-4:])
            or _NEGATED.search(before)
            or _RELATIVE.match(after)
        ):
            continue
        if _LABELLED.search(before) and re.fullmatch(r"\d{1,2}", match[0]):
            continue
        if len(re.sub(r"\D", "", match[0])) > 6:
            continue
        found.append(
            Length(match.start(), match.end(), match[0].strip(), parse_length(match[0].strip(), unit))
        )
    return tuple(found)


def _goes_on(line: str) -> bool:
    """A line that a mail program wrapped: long and unfinished, or ending in a word that cannot end a sentence."""
    return not re.search(r"[.!?:;]\s*$", line) and (len(line) > 55 or bool(_UNFINISHED.search(line)))
