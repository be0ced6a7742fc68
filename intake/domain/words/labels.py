"""Which stretch of a reply answers which numbered request of our letter: "1: 386.5", "first one", "2 correct"."""

from __future__ import annotations

import re
from collections.abc import Set
from dataclasses import dataclass, replace
from itertools import pairwise

from intake.domain.words.references import ORDINALS, labelled_in_front

_NAMED = (
    r"no\.?|number|nr\.?|nummer|question|point|item|answer|ask|request|q|#"
    "|zu punkt|zu frage|zur?|zum|punkt|frage|antwort|ad|re"
)
_SIGNED = re.compile(
    rf"(?P<named>(?<![^\W\d_])(?:{_NAMED})\s?(?P<a>\d{{1,2}})(?:\s?(?:[:.)=-]|is\b|was\b|ist\b|–)|(?=\s|,|$))(?!\.?\d))"
    r"|(?P<listed>\(?(?P<b>\d{1,2})\s?(?:[:)=]|(?<=\s)(?:is|was|ist|should (?:be|read))\b"
    r"|\.(?=\s|$)|\.(?=[a-zäöü(])|\s?-(?=\s)"
    r"|/(?=\s))(?!\d*\s?[x×]))"
    rf"|(?P<word>(?:(?:the|my|for|your|die|der|das|bei|zur)\s+)*(?P<c>{'|'.join(ORDINALS)})(?:\s+(?:one|number|question|answer"
    rf"|measurement|point|item|frage|zahl|reading(?=\s(?:is|was))))?"
    r"(?:\s?(?::|=|-\s|is\b|was\b|should be\b|ist\b)|(?=\s+\d)|(?=\s*,\s)|(?=\s+(?:you(?:'ve| have| had| got| read)"
    r"|as you|stimmt|passt|haben sie|liegen sie|yes|no|correct|ja|nein)\b)))",
    re.I,
)
_UNSIGNED = re.compile(
    r"^[ \t]*+(?:[-*\u2022\u00b7][ \t]+)?(?P<d>\d{1,2})[ \t]++(?=(?:yes|yep|yeah|no|none|nope|correct|right"
    r"|confirmed|ok|n/a|ja|nein"
    r"|richtig|stimmt|keine?|the|it|in|under|"
    r"behind|next|not|couldn't|can't|don't|we|there|gas|boiler|sill|ceiling|neither|first|second|im|unter"
    r"|hinter|is|should)\b)",
    re.I | re.M,
)
_UNSIGNED_WITHIN = re.compile(
    r"(?<=[,;.])[ \t]+(?:and[ \t]+)?(?P<d>\d{1,2})[ \t]++(?=(?:yes|no|none|nope|correct|n/a|ja|nein|keine?|we"
    r"|there|gas|the)\b)",
    re.I,
)
_IN_COLUMNS = re.compile(
    r"(?:^|(?<=[,;:\n]))[ \t]*+(?P<d>\d{1,2})[ \t]++(?=\d|none\b|no\b|yes\b|nein\b|ja\b)", re.M | re.I
)
_NEXT = re.compile(r"(?<=[.!?\n])[ \t]*(?P<d>\d)[ \t]+(?=[a-zäöü]{3})", re.I)
""" "... c 11. 3 electrics: hall": the next number where a sentence begins."""
_LETTERED = re.compile(r"[abc]\s?[.:)=-]?\s", re.I)
_IN_A_ROW = re.compile(r"(?<![\w.,/])(?P<d>\d)[.:)]?\s+(?!(?:cm|mm|m|of|by|x)\b)(?=\S)")
_LINE = re.compile(
    r"^[ \t]*+(?:[-*\u2022\u00b7][ \t]+)?(?P<d>\d{1,2})(?:[ \t]*[.:)/-]?[ \t]+)(?=\S)(?![x×])", re.M
)
_COUNTED = re.compile(
    rf"\b(?:(?:the |my )?(?P<word>{'|'.join(ORDINALS)}) (?:one|number|question|answer)"
    r"|(?:number|question|answer|no|nr|nummer|frage) (?P<n>\d))(?:(?: is| was| ist)\b)?(?=\s)",
    re.I,
)
LEAST_COUNTED = 3
_JUDGED_NEXT = re.compile(
    r"\W{0,4}(?:(?:is|was|ist) )?(?:the )?(?:right|correct|fine|okay|ok|richtig|korrekt|stimmt|passt|haben sie"
    r"|liegen sie|as you"
    r"|you(?:'ve| have| had)?(?: got| had| read)?)\b(?![^.;\n]{0,12}\d)",
    re.I,
)
_GERMAN = re.compile(r"\b(?:ers|zwei|drit|vier|fünf|sechs)ten?\b", re.I)
_QUOTED_ASK = re.compile(
    r"^[ \t]*>[ \t>]*(?P<n>\d{1,2})[.)]?[ \t]+(?=[^\W\d])[^\n]*(?:\n[ \t]*>[^\n]*)*(?=\n[ \t]*\n?[ \t]*[^>\s])",
    re.M,
)
"""A quoted request with an answer under it."""
_ASK_QUOTED = re.compile(r"^[ \t]*>[ \t>]*\d{1,2}[.)][ \t]", re.M)
"""One of several requests that were quoted together: what follows answers all of them, or any."""
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
    after_a_number: bool = False
    """What stands before it ends in a figure: "first is 380.5 second is 15"."""


def parts(text: str, asks: int, asking: Set[int] = frozenset()) -> list[ReplyPart]:
    """`text` cut at its labels; `asks` is how many requests the letter had, `asking` are those that ask whether what we
    read is right."""
    text = labelled_in_front(text, asks)
    labels = _believed(_meant(_found(text, asks), text, asking), asks)
    if not labels:
        return [ReplyPart(0, text)]
    cuts = [ReplyPart(0, text[: labels[0].start])]
    ends = [label.start for label in labels[1:]] + [len(text)]
    cuts += [
        ReplyPart(label.ask, text[label.end : end].strip(" \n\t,;"))
        for label, end in zip(labels, ends, strict=True)
    ]
    return _in_one([p for p in cuts if re.search(r"\w", p.text) or (p.ask and p.text.strip() == "?")])


def _in_one(found: list[ReplyPart]) -> list[ReplyPart]:
    """Parts of one request one after another ("2a 105 2b 98") as one."""
    joined: list[ReplyPart] = []
    for part in found:
        if joined and part.ask and joined[-1].ask == part.ask and _LETTERED.match(part.text):
            joined[-1] = replace(joined[-1], text=f"{joined[-1].text}, {part.text}")
        else:
            joined.append(part)
    return joined


def _found(text: str, asks: int) -> list[_Label]:
    labels = [
        _Label(
            m.start(),
            m.end(),
            _number(m),
            _begins(text, m.start()),
            bool(m["c"]),
            m[0].rstrip()[-1:] in (":", ")"),
            bool(re.search(r"\d\s?(?:cm|mm|m)?\s*\Z", text[: m.start()])),
        )
        for m in _SIGNED.finditer(text)
        if m.start() == 0 or not (text[m.start() - 1].isalnum() or text[m.start() - 1] in ".,/-'")
    ]
    labels += [_Label(m.start(), m.end(), int(m["d"]), True) for m in _UNSIGNED.finditer(text)]
    labels += [
        _Label(m.start("d"), m.end(), int(m["d"]), False, signed=True)
        for m in _UNSIGNED_WITHIN.finditer(text)
    ]
    labels += [_Label(m.start("d"), m.end(), int(m["d"]), False) for m in _NEXT.finditer(text)]
    columns = [_Label(m.start(), m.end(), int(m["d"]), True) for m in _IN_COLUMNS.finditer(text)]
    if len(columns) < 2 or [c.ask for c in columns] != list(range(1, len(columns) + 1)):
        columns = [replace(c, strong=False) for c in columns]
    labels += columns + _lines(text) + _row(text, asks) + _counted_through(text, asks)
    return sorted(labels, key=lambda label: label.start)


def _meant(labels: list[_Label], text: str, asking: Set[int]) -> list[_Label]:
    """Without the ordinals that choose: "the second one is right" is a label where that request asks whether it is, and
    a German one by itself is none ("die zweite Zahl, 14 cm")."""
    several = len({x.ask for x in labels if x.in_words}) > 1

    def chooses(label: _Label) -> bool:
        if not label.in_words:
            return False
        judged = _JUDGED_NEXT.match(text, label.end)
        german = _GERMAN.search(text[label.start : label.end])
        return label.ask not in asking if judged else bool(german and not several)

    return [x for x in labels if not chooses(x)]


def _lines(text: str) -> list[_Label]:
    """Lines that begin with rising numbers, two at least: a list, whatever follows the numbers."""
    found = [_Label(m.start("d"), m.end(), int(m["d"]), True) for m in _LINE.finditer(text)]
    rising = all(b.ask == a.ask + 1 for a, b in pairwise(found))
    return found if len(found) > 1 and rising else []


def _row(text: str, asks: int) -> list[_Label]:
    """ "1 386.5 2 14cm 3 no gas 4 241": all the letter's numbers in one line, each in its turn."""
    for line in re.finditer(r"[^\n]+", text):
        found: list[_Label] = []
        for match in _IN_A_ROW.finditer(line[0]):
            if int(match["d"]) == len(found) + 1:
                start = line.start() + match.start("d")
                found.append(_Label(start, line.start() + match.end(), int(match["d"]), True))
        if len(found) == asks > 2 and not line[0][: found[0].start - line.start()].strip():
            return found
    return []


def _counted_through(text: str, asks: int) -> list[_Label]:
    """ "The first one is ... number two is ... number 3 there is no gas and number four ...": requests named in their
    turn, three at least from the first, in a text without stops."""
    found = [
        _Label(m.start(), m.end(), ORDINALS.get((m["word"] or "").lower()) or int(m["n"]), True)
        for m in _COUNTED.finditer(text)
    ]
    in_turn = [label.ask for label in found] == list(range(1, len(found) + 1))
    return found if in_turn and LEAST_COUNTED <= len(found) <= asks else []


def without_quoting(text: str) -> str:
    """`text` with a quoted request of ours, or what stands for one, as its label."""
    text = _QUOTED_ASK.sub(
        lambda m: _ASK_QUOTED.sub("> ", m[0]) if len(_ASK_QUOTED.findall(m[0])) > 1 else f"{m['n']}:", text
    )
    return _QUOTED.sub(lambda m: f"{m['n']}:", text)


def _number(match: re.Match[str]) -> int:
    if word := match["c"]:
        return ORDINALS[word.lower()]
    return int(match["a"] or match["b"])


def _begins(text: str, at: int) -> bool:
    """A label stands where a line begins, or after what ends a clause."""
    before = text[:at].rstrip(" \t")
    return (
        not before
        or before[-1] in "\n,;.(!?:*•-/"
        or bool(re.search(r"\b(?:and|und|then|also|so|ok|okay|well|right|hi|hello)$", before, re.I))
    )


def _believed(labels: list[_Label], asks: int) -> list[_Label]:
    """The labels that can be meant: in the letter's range, in the middle of a line only the next one."""
    kept: list[_Label] = []
    if any(not x.in_words and x.strong for x in labels):
        # Who numbers by figures means another thing by "the second".
        labels = [x for x in labels if not x.in_words]
    for label in (x for x in labels if 1 <= x.ask <= asks):
        if kept and (label.start < kept[-1].end or (label.in_words and label.start <= kept[-1].end + 1)):
            continue
        unused = bool(kept) and label.signed and label.ask not in [k.ask for k in kept]
        next_one = bool(kept) and label.ask == kept[-1].ask + 1
        if label.strong or unused or (next_one and (not label.in_words or label.after_a_number)):
            kept.append(label)
    return kept
