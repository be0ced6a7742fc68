"""Which request an answer without a number is to: by the letter's own order, or by what was offered."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence, Set
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import takewhile

from intake.domain.words.allotment import of_no_wall
from intake.domain.words.circumstances import only_where
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import sentences
from intake.domain.words.fitting import fits
from intake.domain.words.labels import ReplyPart
from intake.domain.words.lexicon import says_none
from intake.domain.words.numbers import every_reading, numbers, reading_of
from intake.domain.words.of_a_number import begins_with_yes, near, of_another_thing, offers, same_ink
from intake.domain.words.places_in_order import are_places
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.turns import (
    BY_DIGIT,
    CONCLUDED,
    CONFIRMED,
    LETTERS,
    MAYBE,
    NEITHER,
    NO,
    NONE_AT_ALL,
    NOT_QUITE,
    PICKED,
    PLACED,
    SPOT,
    TOLD_BY,
    YES,
    lettered,
)
from intake.domain.words.weighing import BARE_NO, OR_ELSE
from intake.model.checklist import Checklist, ChecklistItem
from intake.model.letter import Ask

_INTRODUCED = re.compile(
    r"^[^:\d\n]{0,90}\b(?:questions?|so|tape|goes|fragen|maße|also|folgt)\s?:\s*(?=\d)|^.{0,60}?\b(?:in (?:your"
    r"|the|that|this) order|in order|order (?:that )?you asked|answers?|as (?:requested|asked)"
    r"|here (?:you go|goes|they are)|der reihe nach|in (?:ihrer|der) reihenfolge|antworten)\b[^:\d]{0,40}[:-]\s*",
    re.I | re.S,
)
_BETWEEN = re.compile(
    r"\s{0,4}(?:[;\n/]|,(?!\d)|,(?=\s)|(?<=\s)-(?=\s)|\.(?=\s|$)|\band\b|\bund\b|&|\bthen\b|\bdann\b"
    r"|(?<=\byes)\s(?=\d)|(?<=\bja)\s(?=\d))\s{0,4}",
    re.I,
)
_METER = re.compile(r"^\W*(?:the\s|our\s|my\s)?meter(?:'s|\s(?:is|lives|sits))\b", re.I)
_ONE_OF_TWO = re.compile(r"former|latter|smaller|larger|bigger|number|figure|zahl|kleiner|größer", re.I)
_WINDOW = re.compile(r"^\W*(?:the\s|our\s)?(?:window|fenster)\b[^\d:=\n]{0,40}[:=-]\s*", re.I)
_SAYS_MORE = (
    C.NEGATION, C.CHANGE, C.DISPUTE, C.PERSON, C.TAKEN_BACK, C.HEARSAY, C.OBLIGED, C.EXISTS, C.AMISS, C.HEDGE
)  # fmt: skip
"""What keeps a field of a list from being a mere courtesy or a mere place."""
_SAYS_MORE_OF_IT = (C.CHANGE, C.DISPUTE, C.PERSON, C.TAKEN_BACK, C.HEARSAY, C.AMISS, C.HEDGE, C.CORRECTION)
_IS = re.compile(r"\A\W*(?:(?:'s|is|are|lives|sits|hangs|ist|hängt|steht|sitzt)\b)?\s*", re.I)
_WINDOW_LIST = re.compile(
    r"\W{0,4}(?:(?:the|our|das) )?(?:window|fenster)(?: (?:measurements|sizes|is|maße|hat))?\s?[:=-]?\s?"
    r"(?P<list>\d[\d.,]*(?: ?(?:cm|mm|m))?(?:\s?(?:[,/;-]|and|then|und|dann)?\s?\d[\d.,]*(?: ?(?:cm|mm|m))?){2})"
    r"(?:,? (?:all )?in (?:your|ur|that|the|this|dieser|ihrer) \w+)?\W*\Z",
    re.I,
)
_NAME = re.compile(r"\A(?:[A-Z][\w'-]+\s*){1,3}\Z")


@dataclass(frozen=True)
class _Slot:
    """One thing that a letter asks for: its request's number, and the item where it is one of several."""

    ask: int
    item: ChecklistItem | None


class Unnumbered:
    """A reply without numbers, held against the requests of the letter. `read` takes a sentence apart."""

    def __init__(
        self, text: str, asks: Sequence[Ask], checklist: Checklist, read: Callable[[str], Clause]
    ) -> None:
        self._text, self._asks, self._checklist, self._read = text, asks, checklist, read

    def parts(self) -> list[ReplyPart]:
        """The reply as answers to numbered requests; [] where it names none for certain."""
        return (
            self._lettered()
            or self.in_order()
            or self._in_lines()
            or self._of_the_window()
            or self._in_order_first()
        )

    def listed(self, part: ReplyPart) -> list[ReplyPart]:
        """A part with a list in it of what one request asks for at the window cut out: "a) 101 b) 112.5 c) 14",
        "window 102 109 15"."""
        several = [n for n, ask in enumerate(self._asks, 1) if len(self._ranged(ask)) > 1]
        if len(several) != 1 or part.ask == several[0]:
            return [part]
        of, count = several[0], len(self._ranged(self._asks[several[0] - 1]))
        found: list[ReplyPart] = []
        for sentence in sentences(part.text):
            letters, intro = lettered(sentence), _WINDOW_LIST.match(sentence)
            whole = self._read(sentence)
            in_letters = (
                len(letters) > 1 and list(letters) == sorted(letters) and len(letters) == len(whole.lengths)
            )
            figures = [v.number.figure for v in whole.lengths]
            counted = intro and len(figures) == count and not whole.mentions and figures[0] < figures[1]
            if in_letters or counted:
                found.append(ReplyPart(of, intro["list"] if intro and counted else sentence))
            elif found and found[-1].ask == part.ask:
                found[-1] = replace(found[-1], text=f"{found[-1].text};\n{sentence}")
            else:
                found.append(ReplyPart(part.ask, sentence, part.labelled))
        return found if any(p.ask == of for p in found) else [part]

    def _in_order_first(self) -> list[ReplyPart]:
        """An answer in order with something else before or after it: "380.5, 14, none, 241. PS can the sink move?"."""
        told = sentences(self._text)
        begins = next((n for n, s in enumerate(told) if self._answers(s)), 0)
        before = [ReplyPart(0, ";\n".join(told[:begins]))] if begins else []
        for first in range(len(told), begins, -1):
            rest = [self._read(s) for s in told[first:]]
            if any(
                (w.lengths and not (of_no_wall(w) or OR_ELSE.match(w.text))) or w.has(C.TAKEN_BACK)
                for w in rest
            ):
                return []
            if found := self.in_order(";\n".join(told[begins:first])):
                return [*before, *found, *([ReplyPart(0, ";\n".join(told[first:]))] if rest else [])]
        return []

    def _answers(self, sentence: str) -> bool:
        """Whether a sentence may begin an answer in order: it has a length, or a choice or a yes."""
        whole = self._read(sentence)
        return bool(whole.lengths or PICKED.match(whole.text) or YES.match(whole.text)) or whole.has(C.HEDGE)

    def _in_lines(self) -> list[ReplyPart]:
        """A line for each thing asked for, in the letter's order, with a remark behind an answer: "none, we heat with
        oil"."""
        return self._each_for_one(self._text.splitlines()) or self._each_for_one(sentences(self._text))

    def _each_for_one(self, told_apart: Sequence[str]) -> list[ReplyPart]:
        """The same of lines or of sentences."""
        lines, slots = [x.strip(" .") for x in told_apart], self._slots()
        told = [x for x in lines if x and not self._courtesy(x)]
        if not slots or len(told) != len(slots):
            return []
        fit = all(self._is_line_for(x, s) for x, s in zip(told, slots, strict=True))
        rest = [ReplyPart(0, x) for x in lines if x and x not in told and not _NAME.match(x)]
        return [*(ReplyPart(s.ask, x) for x, s in zip(told, slots, strict=True)), *rest] if fit else []

    def _is_line_for(self, line: str, slot: _Slot) -> bool:
        fields = [f for f in _BETWEEN.split(line) if f.strip()]
        first, rest = fields[0].strip(" .:-"), [self._read(f) for f in fields[1:]]
        several = slot.item is not None and slot.item.one_value
        return self._is_for(first, slot) and not any(
            (w.lengths and not several) or w.has(*_SAYS_MORE_OF_IT) or (set(w.mentions) and several)
            for w in rest
        )

    def _lettered(self) -> list[ReplyPart]:
        """ "(a) 105 (b) 98": only one request has letters."""
        letters = lettered(self._text)
        several = [n for n, ask in enumerate(self._asks, 1) if len(self._ranged(ask)) > 1]
        if len(several) != 1 or len(letters) < 2 or list(letters) != sorted(letters):
            return []
        start = LETTERS.search(self._text)
        before = self._text[: start.start()] if start else ""
        return [ReplyPart(0, before), ReplyPart(several[0], self._text[len(before) :])]

    def in_order(self, text: str = "") -> list[ReplyPart]:
        """As many short answers as things asked for, each of its thing's kind, in the letter's order."""
        if len(slots := self._slots()) < 2:
            return []
        fields, besides = self._fields(text)
        fields = self._with_refusals(fields, slots)
        more = fields[len(slots) :]
        places = self._places(more, slots)
        if len(fields) < len(slots):
            return []
        if not (places or all(self._goes_on(f, slots[-1]) for f in more)):
            return []
        if not all(self._is_for(f, s) for f, s in zip(fields, slots, strict=False)):
            return []
        spots = more if places else [f for f in more if SPOT.match(f)]
        found: dict[int, str] = {slots[-1].ask + 1: ", ".join(spots)} if spots else {}
        heights = [(f, slots[-1]) for f in more if f not in spots]
        for field, slot in [*zip(fields, slots, strict=False), *heights]:
            found[slot.ask] = f"{found[slot.ask]}, {field}" if slot.ask in found else field
        answers = [ReplyPart(ask, text) for ask, text in sorted(found.items()) if ask <= len(self._asks)]
        return [*answers, *(ReplyPart(0, field) for field in besides)]

    def _with_refusals(self, fields: list[str], slots: Sequence[_Slot]) -> list[str]:
        """The fields with a bare yes or no to what we read as one with its length: "no - it's 293.5"."""
        for at, slot in enumerate(slots):
            ask, pair = self._asks[slot.ask - 1], fields[at : at + 2] or [""]
            begins = (
                BARE_NO.match(pair[0]) or NOT_QUITE.fullmatch(pair[0]) or pair[0].lower() in ("yes", "ja")
            )
            if begins and len(pair) > 1 and len(ask.choices) == 1 and self._is_for(pair[1], slot):
                fields = [*fields[:at], ", ".join(pair), *fields[at + 2 :]]
        return fields

    def _places(self, fields: Sequence[str], slots: Sequence[_Slot]) -> bool:
        """Whether the last short answers are to the request after the others, for the places of as many things."""
        after = self._asks[slots[-1].ask :] if slots else ()
        return bool(after) and len(fields) == len(after[0].items) and are_places(fields)

    def _goes_on(self, field: str, last: _Slot) -> bool:
        """A place for the request after them, or one more height of the ceiling."""
        several = last.item is not None and last.item.one_value and last.ask == len(self._asks)
        spot = SPOT.match(field) and not self._read(field).has(*_SAYS_MORE, C.WINDOW, C.DOOR)
        return bool(spot) or (several and self._is_for(field, last))

    def _of_the_window(self) -> list[ReplyPart]:
        """ "Window measurements: 101, 207 and 11.5": as many lengths as one request asks for."""
        intro = _WINDOW.match(self._text)
        several = [n for n, ask in enumerate(self._asks, 1) if len(self._ranged(ask)) > 1]
        if intro is None or len(several) != 1:
            return []
        slots = [_Slot(several[0], i) for i in self._ranged(self._asks[several[0] - 1])]
        fields, besides = self._fields(self._text[intro.end() :])
        fit = len(fields) == len(slots) and all(
            self._is_for(f, s) for f, s in zip(fields, slots, strict=True)
        )
        read = [ReplyPart(several[0], ", ".join(fields)), *(ReplyPart(0, field) for field in besides)]
        return read if fit else []

    def _fields(self, text: str = "") -> tuple[list[str], list[str]]:
        """The short answers of a text, and the courtesies and promises between them."""
        told = []
        text = text or _INTRODUCED.sub("", CONCLUDED.sub("", self._text), count=1)
        for sentence in sentences(text):
            spans = [(n.start, n.end) for n in numbers(sentence)[0]]
            at = 0
            for cut in _BETWEEN.finditer(sentence):
                if not any(s < cut.end() and cut.start() < e for s, e in spans):
                    told.append(sentence[at : cut.start()])
                    at = cut.end()
            told.append(sentence[at:])
        every = [f.strip(" .:-") for f in told if f.strip(" .:-")]
        besides = [f for f in every if self._courtesy(f)]
        fields = [f for f in every if f not in besides]
        # "The last one to follow" is no answer.
        while fields and self._read(fields[-1]).has(C.LATER) and not self._read(fields[-1]).lengths:
            besides.append(fields.pop())
        return fields, [f for f in besides if not _NAME.match(f)]

    def _courtesy(self, field: str) -> bool:
        clause = self._read(field)
        if clause.lengths or clause.mentions or any(p.match(field) for p in (YES, NONE_AT_ALL, SPOT, PLACED)):
            return False
        return bool(_NAME.match(field.strip())) or (
            clause.has(C.ASIDE, C.PICTURE) and not clause.has(*_SAYS_MORE, C.ROOM_WORD)
        )

    def _slots(self) -> list[_Slot]:
        """Up to a request for several things that no short answer gives."""
        found: list[_Slot] = []
        for n, ask in enumerate(self._asks, 1):
            items = self._ranged(ask) if ask.number is None else []
            if ask.number is None and len(items) < len(ask.items) and len(ask.items) > 1:
                return found
            found += [_Slot(n, i) for i in items] or [_Slot(n, self._checklist.item(ask.item))]
        return found

    def _ranged(self, ask: Ask) -> list[ChecklistItem]:
        items = (self._checklist.item(i) for i in ask.items)
        return [i for i in items if i is not None and i.range_mm]

    def _is_for(self, field: str, slot: _Slot) -> bool:
        ask, clause = self._asks[slot.ask - 1], self._read(field)
        if clause.unknown or clause.has(C.HEDGE, C.COULD_NOT, C.TAKEN_BACK, C.ANOTHER_HOME):
            return False
        several = slot.item is not None and slot.item.one_value
        if clause.has(C.WINDOW, C.DOOR) and not (several and only_where(clause)):
            return False
        if any(i not in ask.items for m in clause.mentions for i in m.items):
            return False
        values = [v for n in clause.lengths for v in reading_of(n.number, None).values_mm]
        if ask.number is not None:
            if not values:
                return bool(YES.match(field) if len(ask.choices) == 1 else PICKED.match(field))
            return len(clause.lengths) == 1 and any(near(v, ask) for v in values)
        if slot.item is not None and slot.item.range_mm:
            read = [reading_of(n.number, slot.item.range_mm) for n in clause.lengths]
            if not all(fits(slot.item, clause, n) for n in clause.lengths):
                return False
            return len(read) == 1 and read[0].usual and len(read[0].values_mm) == 1
        none = bool(NONE_AT_ALL.match(field)) or any(
            says_none(m, field[: m.start], field[m.end :]) for m in clause.mentions
        )
        of_it = _IS.sub("", field[max((m.end for m in clause.mentions), default=0) :])
        return not values and (none or bool(PLACED.match(of_it) or SPOT.match(of_it)))

    def offered(self, clause: Clause, sentence: str) -> int:
        """The request that a clause with one length and no name can only be to: it was offered, or what was offered is
        refused for it; 0 for none."""
        lengths = [v for v in clause.lengths if not v.apart]
        if len(lengths) != 1 or clause.mentions:
            return 0
        values = every_reading(lengths[0].number)
        exact = [n for n, a in enumerate(self._asks, 1) if values & offers(a)]
        if exact:
            return exact[0] if len(exact) == 1 else 0
        choosing = [n for n, a in enumerate(self._asks, 1) if a.number is not None and len(a.choices) > 1]
        if len(choosing) == 1 and NEITHER.match(sentence):
            return choosing[0]
        if len(in_place := [n for n in choosing if self._in_their_place(clause, n)]) == 1:
            return in_place[0]
        if lengths[0].across or lengths[0].up:
            return 0
        refused = self._confirmed() if NO.match(sentence) or NOT_QUITE.match(sentence) else 0
        return refused if refused and any(near(v, self._asks[refused - 1]) for v in values) else 0

    def _in_their_place(self, clause: Clause, ask: int) -> bool:
        """Whether a bare length near the offered ones stands in their place: another sentence refuses them, or nothing
        else that the letter asks for is a length. "It's not either of them. I've measured: 283.5"."""
        values, asked = {v for n in clause.lengths for v in every_reading(n.number)}, self._asks[ask - 1]
        if same_ink(values, asked) and not of_another_thing([clause], asked):
            return clause.has(C.ROOM_WORD) or not self._of_its_size(values)
        near_one = any(near(v, asked) for v in values)
        bare = not (clause.unknown or clause.has(C.WINDOW, C.DOOR, C.ROOM_WORD))
        return near_one and bare and (ask in self._refused or self._alone == ask)

    def _of_its_size(self, values: Set[int]) -> bool:
        """Whether one of the lengths may be of a thing that the letter asks for."""
        wanted = (i.range_mm for ask in self._asks if ask.number is None for i in self._ranged(ask))
        return any(r and r[0] <= v <= r[1] for r in wanted for v in values)

    @property
    def _alone(self) -> int:
        """The only request that a length can answer; 0 where there are several."""
        taking = [n for n, a in enumerate(self._asks, 1) if a.number is not None or self._ranged(a)]
        return taking[0] if len(taking) == 1 else 0

    @cached_property
    def _refused(self) -> set[int]:
        """The requests of which every length that they offer is refused."""
        told = sentences(self._text)
        denied = {v for s in told for n in self._read(s).denied for v in every_reading(n)}
        choosing = [n for n, a in enumerate(self._asks, 1) if len(a.choices) > 1]
        neither = len(choosing) == 1 and any(NEITHER.match(s) for s in told)
        return {n for n in choosing if neither or offers(self._asks[n - 1]) <= denied}

    def metered(self, text: str) -> int:
        """The request for the gas meter where the words tell where "the meter" is; 0 else."""
        asking = [n for n, a in enumerate(self._asks, 1) if a.items == ("gas-meter",)]
        return asking[0] if asking and _METER.match(text) else 0

    def chosen(self, text: str) -> tuple[int, bool]:
        """The request that a choice or a yes is to, 0 for none, and whether it can be to nothing else: "the former",
        "you read it right"; "the second" and "yes" may be meant of another."""
        offering = [n for n, a in enumerate(self._asks, 1) if len(a.choices) > 1]
        if len(offering) == 1 and BY_DIGIT.match(text):
            return offering[0], True
        if len(offering) == 1 and PICKED.match(text):
            return offering[0], bool(_ONE_OF_TWO.search(text))
        ask = self._confirmed()
        yes = YES.match(text) or MAYBE.match(text)
        if not (ask and yes):
            return 0, False
        certain = CONFIRMED.fullmatch(text) or begins_with_yes(text, self._text, self._asks[ask - 1])
        return ask, bool(certain)

    def first(self, reader: SentenceReader) -> tuple[int, str, bool]:
        """The request that a choice or a yes at the beginning of a longer sentence is to, 0 for none, its words, and
        whether it can be to nothing else; a yes that somebody passes on ("mum says yes") never is certain."""
        courteous = sum(1 for _ in takewhile(lambda c: c.has(C.ASIDE) and not c.lengths, reader.clauses))
        lead = takewhile(lambda c: not (c.lengths or c.mentions or reader.asked), reader.clauses)
        for at, clause in enumerate(lead):
            words = TOLD_BY.sub("", clause.text)
            ask, certain = self.chosen(words)
            told_by = words != clause.text
            if ask and (told_by or at <= courteous):
                return ask, words, certain and len(reader.clauses) > 1 and not told_by
        return 0, "", False

    def _confirmed(self) -> int:
        """The only request that asks whether what we read is right; 0 where there is none or more than one."""
        asking = [n for n, a in enumerate(self._asks, 1) if a.number is not None and len(a.choices) == 1]
        return asking[0] if len(asking) == 1 else 0


def one_more(whole: Clause, ask: Ask, checklist: Checklist) -> bool:
    """A further height of a ceiling: "By the door: 238. By the window: 239.5"."""
    item = checklist.item(ask.item)
    several = item is not None and item.one_value and not ask.choices
    return several and bool(whole.lengths) and not whole.mentions
