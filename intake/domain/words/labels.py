"""Which stretch of a reply answers which numbered request of our letter: "1: 386.5", "first one", "2 correct"."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

_ORDINALS = {
    w: n
    for n, w in enumerate(
        ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"], 1
    )
}
_ORDINALS |= {"1st": 1, "2nd": 2, "3rd": 3, **{f"{n}th": n for n in range(4, 11)}}
_ORDINALS |= {"erstens": 1, "zweitens": 2, "drittens": 3, "viertens": 4, "fünftens": 5, "sechstens": 6}
_NAMED = (
    r"no\.?|number|nr\.?|nummer|question|point|item|answer|ask|request|q|#"
    "|zu punkt|zu frage|zu|punkt|frage|antwort|ad|re"
)
_SIGNED = re.compile(
    rf"(?P<named>(?:{_NAMED})\s?(?P<a>\d{{1,2}})(?:\s?(?:[:.)=-]|is\b|was\b|ist\b|–)|(?=\s|,|$))(?!\.?\d))"
    r"|(?P<listed>\(?(?P<b>\d{1,2})\s?(?:[:)=]|(?<=\s)(?:is|was|ist)\b|\.(?=\s|$)|\.(?=[a-zäöü(])|\s?-(?=\s)|/(?=\s))(?!\d*\s?[x×]))"
    rf"|(?P<word>(?:(?:the|my|for|and|your)\s+)*(?P<c>{'|'.join(_ORDINALS)})(?:\s+(?:one|number|question|answer|measurement|point|item))?"
    r"(?:\s?(?::|=|-\s|is\b|was\b|should be\b)|(?=\s+\d)|(?=\s*,\s)))",
    re.I,
)
_UNSIGNED = re.compile(
    r"^[ \t]*+(?P<d>\d{1,2})[ \t]++(?=(?:yes|yep|yeah|no|none|nope|correct|right|confirmed|ok|n/a|ja|nein"
    r"|richtig|stimmt|keine?|the|it|in|under|"
    r"behind|next|not|couldn't|can't|don't|we|there|gas|boiler|sill|ceiling|neither|first|second|im|unter|hinter|is|should)\b)",
    re.I | re.M,
)
_IN_COLUMNS = re.compile(
    r"(?:^|(?<=[,;:\n]))[ \t]*+(?P<d>\d{1,2})[ \t]++(?=\d|none\b|no\b|yes\b|nein\b|ja\b)", re.M | re.I
)
_NUMERALS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}
_BEHIND = re.compile(
    r"\s(?:for|to|as|on|re|zu|bei)\s(?:the\s|your\s|my\s)?"
    rf"(?:(?:number|no\.?|question|point|item|answer|nummer|frage|punkt)\s?(?P<n>\d{{1,2}}|{'|'.join(_NUMERALS)})"
    rf"|(?P<word>{'|'.join(_ORDINALS)})\s(?:one|question|number|point|item))\Z",
    re.I,
)
""" "386.5 for the first one", "yes to number 2": the label behind what it labels."""
_ENDS = re.compile(r"([!?\n;]|[.,](?!\d)|\band\b)", re.I)
LONGEST_LABELLED = 80
_IN_WORDS = re.compile(
    rf"\b(?P<kind>number|no\.?|question|item|answer)\s+(?P<n>{'|'.join(_NUMERALS)})\b", re.I
)
_SPELLED = re.compile(rf"\b(?P<n>{'|'.join(_NUMERALS)})\s?:(?=\s)", re.I)
_QUOTED = re.compile(r"^[ \t]*>[ \t]*(?P<n>\d{1,2})[.][ \t]*$", re.M)
"""What stands for a request of ours that was quoted above an answer (mailbox/quotes.py)."""


@dataclass(frozen=True)
class ReplyPart:
    """A stretch of a reply: the number of the request that it answers, 0 for none named, and its words."""

    ask: int
    text: str
    labelled: bool = True
    """It bears a label; else it can only be about that request."""


@dataclass(frozen=True)
class _Label:
    start: int
    end: int
    ask: int
    strong: bool
    in_words: bool = False
    signed: bool = False


def parts(text: str, asks: int) -> list[ReplyPart]:
    """`text` cut at its labels; `asks` is how many requests the letter had."""
    text = _labelled_in_front(text)
    labels = _believed(_found(text), asks)
    if not labels:
        return [ReplyPart(0, text)]
    cuts = [ReplyPart(0, text[: labels[0].start])]
    ends = [label.start for label in labels[1:]] + [len(text)]
    cuts += [
        ReplyPart(label.ask, text[label.end : end].strip(" \n\t,;"))
        for label, end in zip(labels, ends, strict=True)
    ]
    return [p for p in cuts if p.text.strip()]


def _found(text: str) -> list[_Label]:
    labels = [
        _Label(
            m.start(),
            m.end(),
            _number(m),
            _begins(text, m.start()),
            bool(m["c"]),
            m[0].rstrip()[-1:] in (":", ")"),
        )
        for m in _SIGNED.finditer(text)
        if m.start() == 0 or not (text[m.start() - 1].isalnum() or text[m.start() - 1] in ".,/-'")
    ]
    labels += [_Label(m.start(), m.end(), int(m["d"]), True) for m in _UNSIGNED.finditer(text)]
    columns = [_Label(m.start(), m.end(), int(m["d"]), True) for m in _IN_COLUMNS.finditer(text)]
    if len(columns) < 2 or [c.ask for c in columns] != list(range(1, len(columns) + 1)):
        columns = [replace(c, strong=False) for c in columns]
    labels += columns
    return sorted(labels, key=lambda label: label.start)


def _labelled_in_front(text: str) -> str:
    """`text` with labels in words, behind what they label, or left of a quoted request, as "1: " in front of it."""
    if (
        "number" in text.lower()
        or "question" in text.lower()
        or "point" in text.lower()
        or "no " in text.lower()
    ):
        text = _IN_WORDS.sub(lambda m: f"{m['kind']} {_NUMERALS[m['n'].lower()]}", text)
    text = _SPELLED.sub(lambda m: f"{_NUMERALS[m['n'].lower()]}:", text)
    return "".join(_turned(piece) for piece in _ENDS.split(text))


def _turned(piece: str) -> str:
    """A piece between commas with the label that stands behind it put in front."""
    words = piece.strip()
    match = _BEHIND.search(words) if len(words) <= LONGEST_LABELLED else None
    return f"\n{_behind(match)}: {words[: match.start()]} " if match else piece


def _behind(match: re.Match[str]) -> int:
    if word := match["word"]:
        return _ORDINALS[word.lower()]
    return _NUMERALS.get(match["n"].lower()) or int(match["n"])


def without_quoting(text: str) -> str:
    """`text` with what stands for a quoted request of ours as its label."""
    return _QUOTED.sub(lambda m: f"{m['n']}:", text)


def _number(match: re.Match[str]) -> int:
    if word := match["c"]:
        return _ORDINALS[word.lower()]
    return int(match["a"] or match["b"])


def _begins(text: str, at: int) -> bool:
    """A label stands where a line begins, or after what ends a clause."""
    before = text[:at].rstrip(" \t")
    return (
        not before
        or before[-1] in "\n,;.(!?:*•-/"
        or bool(re.search(r"\b(?:and|und|then|also)$", before, re.I))
    )


def _believed(labels: list[_Label], asks: int) -> list[_Label]:
    """The labels that can be meant: in the letter's range, in the middle of a line only the next one."""
    kept: list[_Label] = []
    for label in (x for x in labels if 1 <= x.ask <= asks):
        if kept and (label.start < kept[-1].end or (label.in_words and label.start <= kept[-1].end + 1)):
            continue
        unused = bool(kept) and label.signed and label.ask not in [k.ask for k in kept]
        if label.strong or unused or (kept and label.ask == kept[-1].ask + 1 and not label.in_words):
            kept.append(label)
    return kept
