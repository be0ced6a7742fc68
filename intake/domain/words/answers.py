"""What a customer's reply says to the numbered requests of our letter: "1: 386.5", "first one 386.5cm and no gas"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from intake.domain.lengths.notation import parse_length
from intake.domain.words.cues import COULD_NOT, HEDGE, Length, is_question, lengths, plain, sentences
from intake.domain.words.statements import statements
from intake.model.checklist import Checklist, ChecklistItem, Statement, StatementKind
from intake.model.letter import Answer, Ask
from intake.model.reading import Alternative, ReadNumber, SketchReading

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
_SUFFIXED = {"1st": 1, "2nd": 2, "3rd": 3, **{f"{n}th": n for n in range(4, 11)}}
_LABEL = re.compile(
    r"(?:^|(?<=[\s,;.(]))(?:"
    r"(?:no\.?|number|nr\.?|question|point|item|q|#)\s?(?P<named>\d{1,2})(?:\s?(?:[:.)=-]|is\b|was\b))?(?!\.?\d)"
    r"|(?P<listed>\d{1,2})\s?(?:[:)=]|\.(?=\s)|\s-(?=\s)|-(?=\s))(?!\d*[x×])"
    rf"|(?:(?:the|my|for|and)\s+)*(?P<word>{'|'.join(_ORDINALS)}|{'|'.join(_SUFFIXED)})"
    r"(?:\s+(?:one|number|question|answer|measurement))?(?:\s?(?::|=|-\s|is\b|was\b|should be\b)|(?=\s+\d)|(?=\s*,))"
    r")\s*",
    re.I | re.M,
)
_YES = re.compile(
    r"^\W*(?:yes|yep|yeah|yup|correct|right|that'?s (?:right|correct|it)|it is|confirmed|agreed)\b", re.I
)
_NONE = re.compile(
    r"^\W*(?:none|no|n/?a|nope|not applicable|we (?:have none|(?:haven't(?: got)?|don't have) (?:one|any)))\W*$",
    re.I,
)
_NEITHER = re.compile(r"\b(?:neither|none of (?:them|those|these))\b", re.I)
_PICK = re.compile(
    r"^\W*(?:it'?s\s+|it is\s+)?(?:the\s+)?"
    r"(?:(?P<first>first|1st|former|a)|(?P<last>second|2nd|latter|last|b))(?:\s+one)?\W*$",
    re.I,
)
_PLACE = re.compile(
    r"^\W*(?:it'?s\s+|it is\s+|they(?:'re| are)\s+)?"
    r"(?:in|inside|under|underneath|behind|by|beside|next to|above|below|outside|on|at|near|opposite)\b",
    re.I,
)


def answers(text: str, asks: Sequence[Ask], checklist: Checklist, message: str = "") -> tuple[Answer, ...]:
    """What `text`, a reply's own words, says to each of `asks` (numbered from 1 in the letter), in order.

    An unnumbered reply answers where only one ask can be meant. Our own sentences pasted back do not count.
    """
    own = without_ours(text, asks)
    found: list[Answer] = []
    for number, part in _parts(own, asks, checklist):
        ask = asks[number - 1]
        for said in _said(part, ask, checklist):
            choice = _choice(said.value_mm, ask) if said.kind is StatementKind.VALUE else ""
            # An answer about one number of the plan settles that number, and nothing else of its item.
            settles = said.kind is StatementKind.VALUE and ask.number is None
            said = replace(said, message=message, settles=settles)
            found.append(Answer(number, said, choice, ask.picture, ask.number))
    return tuple(found)


def without_ours(text: str, asks: Sequence[Ask]) -> str:
    """`text` without the sentences of our asks, however their lines were wrapped or marked as quoted."""
    own = "\n".join(line for line in plain(text).splitlines() if not line.lstrip().startswith(">"))
    for ask in asks:
        for ours in (ask.question, ask.how, ask.why):
            words = [re.escape(w) for w in plain(ours).split()]
            if len(words) > 2:
                own = re.sub(r"[\s>]+".join(words), "", own)
    return own


def apply_answers(readings: Mapping[str, SketchReading], given: Sequence[Answer]) -> dict[str, SketchReading]:
    """The readings with every number that an answer settles taken from the customer; what was read stays among the
    alternatives, and `arithmetic` says who changed it. Doubtful answers change nothing."""
    settled = dict(readings)
    for answer in given:
        said = answer.statement
        if said.kind is not StatementKind.VALUE or answer.number is None or answer.picture not in settled:
            continue
        reading = settled[answer.picture]
        if not 0 <= answer.number < len(reading.numbers):
            continue
        numbers = list(reading.numbers)
        numbers[answer.number] = _settle(numbers[answer.number], answer)
        settled[answer.picture] = replace(reading, numbers=tuple(numbers))
    return settled


def _settle(number: ReadNumber, answer: Answer) -> ReadNumber:
    said = answer.statement
    others = tuple(a for a in number.alternatives if a.text != number.text)
    return replace(
        number,
        text=answer.choice or said.text.strip(),
        value_mm=said.value_mm,
        accepted=True,
        confidence=1.0,
        reader="customer",
        alternatives=(Alternative(number.text, number.confidence), *others),
        arithmetic=f"the customer answered “{said.text.strip()}” when asked about “{number.text}”",
    )


def _parts(text: str, asks: Sequence[Ask], checklist: Checklist) -> list[tuple[int, str]]:
    """The stretches of the reply that belong to one ask each: (number of the ask, words)."""
    labels = [(m, n) for m in _LABEL.finditer(text) if (n := _labelled(m)) and n <= len(asks)]
    if not labels:
        lone = _meant(text, asks, checklist)
        return [(lone, text.strip())] if lone else []
    ends = [m.start() for m, _ in labels[1:]] + [len(text)]
    return [(n, text[m.end() : end].strip(" \n,;.")) for (m, n), end in zip(labels, ends, strict=True)]


def _labelled(match: re.Match[str]) -> int:
    if word := match["word"]:
        return _SUFFIXED.get(word.lower()) or _ORDINALS.index(word.lower()) + 1
    return int(match["named"] or match["listed"])


def _meant(text: str, asks: Sequence[Ask], checklist: Checklist) -> int:
    """The one ask that an unnumbered reply must be about: the only one, or the only one offering the length given."""
    found = [v for s in sentences(text) for v in lengths(s) if v.value_mm]
    offering = [
        n
        for n, ask in enumerate(asks, 1)
        if len(found) == 1 and found[0].value_mm in {parse_length(c, "cm") for c in ask.choices}
    ]
    if len(offering) == 1:
        return offering[0]
    named = {s.item for s in statements(text, checklist)}
    return 1 if len(asks) == 1 and not named - set(asks[0].items) else 0


def _said(part: str, ask: Ask, checklist: Checklist) -> list[Statement]:
    """What `part` says to `ask`: one statement, or one for each item that the ask joins."""
    items = [i for i in (checklist.item(item_id) for item_id in ask.items) if i is not None]
    first = next(iter(sentences(part)), "")
    if not items or not first:
        return []
    own = [s for s in statements(part, checklist) if s.item in ask.items and s.kind is not StatementKind.SAID]
    if own:
        return own
    if COULD_NOT.search(first):
        return [Statement(i.id, StatementKind.COULD_NOT, first) for i in items]
    if len(items) > 1:
        return _in_order(first, items)
    if (picked := _picked(first, ask)) is not None:
        return [Statement(items[0].id, StatementKind.VALUE, first, parse_length(picked, "cm"))]
    if value := _one_length(first, ask):
        return [_valued(items[0], first, value)]
    return _in_words(first, items[0])


def _in_order(sentence: str, items: Sequence[ChecklistItem]) -> list[Statement]:
    """ "103.5, 108, 12" to an ask for three lengths, in the order that it named them."""
    found, ranged = lengths(sentence), [i for i in items if i.range_mm]
    if not found or not ranged:
        return []
    if len(found) == len(ranged):
        return [_valued(item, sentence, value) for item, value in zip(ranged, found, strict=True)]
    doubt = f"{len(ranged)} lengths were asked for and {len(found)} came"
    return [Statement(ranged[0].id, StatementKind.DOUBTFUL, sentence, found[0].value_mm, doubt=doubt)]


def _valued(item: ChecklistItem, sentence: str, value: Length) -> Statement:
    sure = not HEDGE.search(sentence) and not is_question(sentence) and value.value_mm is not None
    kind = StatementKind.VALUE if sure else StatementKind.DOUBTFUL
    return Statement(
        item.id, kind, sentence, value.value_mm, doubt="" if sure else "they are not certain of it"
    )


def _one_length(sentence: str, ask: Ask) -> Length | None:
    """The length a sentence answers with: its only one, or its first where the rest goes on about something else."""
    found = lengths(sentence)
    values = {v.value_mm for v in found}
    offered = [v for v in found if _choice(v.value_mm, ask)]
    if len(offered) == 1 and len(found) > 1 and not _NEITHER.search(sentence):
        return offered[0]
    return found[0] if found and (len(values) == 1 or not ask.choices) else None


def _picked(sentence: str, ask: Ask) -> str | None:
    if len(ask.choices) == 1 and _YES.match(sentence) and not lengths(sentence):
        return ask.choices[0]
    if len(ask.choices) > 1 and (match := _PICK.match(sentence)):
        return ask.choices[0] if match["first"] else ask.choices[-1]
    return None


def _choice(value_mm: int | None, ask: Ask) -> str:
    return next((c for c in ask.choices if value_mm is not None and parse_length(c, "cm") == value_mm), "")


def _in_words(sentence: str, item: ChecklistItem) -> list[Statement]:
    if item.may_be_absent and _NONE.match(sentence):
        return [Statement(item.id, StatementKind.ABSENCE, sentence)]
    if "words" not in item.evidence or item.range_mm or is_question(sentence):
        return []
    if _PLACE.match(sentence):
        return [Statement(item.id, StatementKind.PLACE, sentence)]
    if item.evidence == ("words",):
        kind = StatementKind.DOUBTFUL if HEDGE.search(sentence) else StatementKind.SAID
        return [Statement(item.id, kind, sentence)]
    return []
