"""Lengths that no name has claimed: which of the things that were asked for their words and their size point to.

What comes of it is never certain; it stands beside the words for a person to take with one key.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass, replace

from intake.domain.words.clause import Clause, Length, not_said_twice
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import OUR_WORDS, PREPOSITION
from intake.domain.words.numbers import every_reading, reading_of
from intake.domain.words.of_a_number import digits_apart, near, offers
from intake.domain.words.said_of_items import OF_A_WINDOW, SentenceReader
from intake.domain.words.weighing import (
    ANOTHER_BESIDE,
    ANOTHER_UNIT,
    ANOTHER_UNUSUAL,
    NOT_PLAIN,
    TWO_LENGTHS,
    UNUSUAL,
)
from intake.model.checklist import Checklist, ChecklistItem
from intake.model.letter import Ask
from intake.model.reading import Role
from intake.model.word import Statement, StatementKind

ONLY_POINTED_AT = "doubt-only-pointed-at"
LIKELY_MM = {
    Role.CEILING: (1900, 3600), Role.SILL: (400, 1450), Role.HEAD: (1450, 2600), Role.REVEAL: (40, 450),
}  # fmt: skip
"""Sizes at which a length without a name is taken for one of these; common practice, no source."""
BARE_MILLIMETRES = 400
"""From here on a bare number without a name may be in millimetres; common practice, no source."""
LOOSE = (UNUSUAL, TWO_LENGTHS, NOT_PLAIN, ANOTHER_BESIDE, ANOTHER_UNUSUAL, ANOTHER_UNIT)
"""Doubts of a length that may as well be of another thing."""
_POINTS_TO = {
    Role.CEILING: r"ceilings?|c?ei?ling|headroom|full height|decken?(?:höhe)?|raumhöhe|zimmerhöhe|lichte",
    Role.SILL: r"sills?|cills?|ledge|window ?board|bottom|underside|lower|up from the floor|(?:from|off|above) the "
    r"(?:floor|ground)|brüstung|fensterb(?:ank|rett)|sims|unten|unterkante|vom boden",
    Role.HEAD: r"top|head|finish\w*|ends at|ends|goes up to|reaches|geht bis|endet|lintel|upper|oberkante|oben"
    r"|sturz|obere[rn]?",
    Role.REVEAL: r"recess(?:ed)?|reveals?|deep|depth|thick(?:ness)?|goes (?:in|back)|into the wall|inside"
    r"|(?:wall to (?:the )?|from (?:the )?)(?:frame|glass)|(?:frame|glass) to (?:the )?(?:\w+ of the )?wall"
    r"|inwards?|rein|go back|set (?:in|back)|niche|ingo"
    r"|tief|tiefe|l[ae]ibung|nische|fensternische",
}
_TO_THE_NUMBER = r"number|figure|wall|squiggle|circled|scribble|digits?|says|reads|zahl|ziffer|wand|maß heißt"
_FIXTURE = re.compile(
    r"\b(?:fridges?|freezers?|ovens?|cookers?|hobs?|sinks?|baths?|showers?|toilets?|basins?|radiators?|cupboards?"
    r"|work ?tops?|units?|tables?|doors?|doorways?|dishwashers?|washing machine|pipes?|sockets?|chimney|island|sofa|bed"
    r"|kühlschrank|herd|spüle|tür|schrank|heizkörper|tisch)\b",
    re.I,
)
_WHERE = re.compile(rf"{PREPOSITION.pattern}|\bwhere\b|\bwo\b", re.I)
_LABEL = re.compile(r"\s?[:)](?!\d)")
_AT_ONCE = re.compile(
    r"\s?(?:cm|mm|m)?\s?(?:up )?(?:to|for|at|is|into|bis|für)\s(?:(?:the|zur|zum|die|der)\s)?(?:\w+\s)?(?=sill"
    r"|cill|ledge|bottom"
    r"|top|head|recess|reveal|depth|wall|ceiling|fensterb|brüstung|ober|sturz|l[ae]ibung|decke)",
    re.I,
)
""" "91.5 to the sill, 210.5 to the top": the name follows its length."""
_STOPS = re.compile(r"[,;:()]")


@dataclass(frozen=True)
class _Slot:
    """One thing that a letter asks for: its request's number (from 1), the request and the item."""

    number: int
    ask: Ask
    item: ChecklistItem

    alone: bool = False
    """Nothing else is asked for at the window."""

    @property
    def role(self) -> Role | None:
        return next((r for r in LIKELY_MM if r in self.item.roles and self.ask.number is None), None)

    @property
    def pointed_at(self) -> re.Pattern[str]:
        words = _POINTS_TO[self.role] if self.role else _TO_THE_NUMBER
        return re.compile(rf"\b(?:{words}{'|window|fenster' if self.alone else ''})\b", re.I)

    def value(self, length: Length, unit: str, pointed: bool) -> int | None:
        """The length in millimetres, in `unit` where none is written, where its size is right for the slot, else None;
        what is `pointed` at may be of any size that the thing can have."""
        number = replace(length.number, unit=length.number.unit or unit)
        if self.role is None:
            alike = near if pointed else _misread
            return next((v for v in reading_of(number, None).values_mm if alike(v, self.ask)), None)
        read = reading_of(number, (self.item.range_mm if pointed else None) or LIKELY_MM[self.role])
        return read.values_mm[0] if read.usual else None


def _misread(value: int, ask: Ask) -> bool:
    """Whether a length is one that a request offers, but for a digit or two."""
    return any(digits_apart(value, offered) <= 2 for offered in offers(ask))


class Allotment:
    """The things that a letter asks for and that lengths answer."""

    def __init__(self, asks: Sequence[Ask], checklist: Checklist) -> None:
        every = (_Slot(n, a, i) for n, a in enumerate(asks, 1) for i in map(checklist.item, a.items) if i)
        slots = [s for s in every if s.role or s.ask.number is not None]
        of_a_window = [s for s in slots if s.role in OF_A_WINDOW]
        self._slots = [replace(s, alone=of_a_window == [s]) for s in slots]

    def of(
        self, reader: SentenceReader, said: Sequence[Statement], answered: Set[tuple[int, str]], ask: int = 0
    ) -> list[tuple[int, Statement]]:
        """The lengths of a sentence that are of none of the statements `said`, each with the request that it may be to.

        `answered` are the requests and items that are answered already; `ask` is the request that the words name, 0
        for none.
        """
        if not self._slots or reader.asked or OUR_WORDS.match(reader.whole.text):
            return []
        loose = {(s.item, s.value_mm) for s in said if s.doubt in LOOSE}
        said = [s for s in said if s.doubt not in LOOSE]
        told = {s.item for s in said if s.value_mm is not None}
        left_open = {s.item for s in said if s.kind is StatementKind.COULD_NOT}
        slots = [
            s
            for s in self._slots
            if not (s.role is None and s.item.id in left_open)
            and not (s.item.id in told and (reader.corrects or not s.item.one_value))
            and (s.item.one_value or (reader.corrects and s.role) or (s.number, s.item.id) not in answered)
        ]
        found: list[tuple[int, Statement]] = []
        for left in _left(reader, said):
            if (given := _slot(slots, left, told, ask)) is not None:
                slot, value = given
                if (slot.item.id, value) not in loose:
                    found.append((slot.number, _pointed_at(slot.item.id, reader.text, value)))
                slots = [s for s in slots if s is not slot or s.item.one_value]
        return found


@dataclass(frozen=True)
class _Left:
    """A length that nothing was taken from, its clause, and the words of the sentence before and after it, up to the
    next length."""

    clause: Clause
    length: Length
    before: str
    after: str


def _left(reader: SentenceReader, said: Sequence[Statement]) -> Iterable[_Left]:
    every = [(c, v) for c in reader.clauses for v in c.lengths]
    taken, once = {s.value_mm for s in said}, not_said_twice([v for _, v in every])
    text, places = reader.whole.text, [(c.start + v.start, c.start + v.end) for c, v in every]
    for at, (clause, length) in enumerate(every):
        labels = not length.number.unit and _LABEL.match(clause.text[length.end :])
        if (
            length in once
            and not (labels or clause.has(C.TAKEN_BACK))
            and not taken & every_reading(length.number)
        ):
            start = places[at - 1][1] if at else 0
            end = places[at + 1][0] if at + 1 < len(places) else len(text)
            yield _Left(clause, length, text[start : places[at][0]], text[places[at][1] : end])


def _pointed_at(item: str, text: str, value: int) -> Statement:
    return Statement(item, StatementKind.DOUBTFUL, text, value, doubt=ONLY_POINTED_AT)


def _slot(slots: Sequence[_Slot], left: _Left, told: Set[str], ask: int) -> tuple[_Slot, int] | None:
    """The one slot that a length can be for, and its value; None where there is none, or more than one. `told` are the
    items whose lengths the sentence tells by name."""
    close = _STOPS.split(left.after)[0]
    possible = _fitting(slots, left.length, pointed=True)
    at_once = _AT_ONCE.match(close)
    ways = [_pointed(possible, left.before, last=True), _pointed(possible, close, last=False)]
    for found in reversed(ways) if at_once else ways:
        if found is not None:
            return found
    likely = _fitting(slots, left.length, pointed=False)
    exact = [(s, v) for s, v in likely if s.role is None and v in offers(s.ask)]
    if len(exact) == 1:
        return exact[0]
    named = {i for m in left.clause.mentions for i in m.items}
    strange = 2 * len(left.clause.unknown) >= max(len(left.clause.words), 1)
    apart = left.length.apart and not left.length.over
    if apart or strange or not named <= told or of_a_fixture(left.clause):
        return None
    if left.length.across or left.length.up:
        likely = [(s, v) for s, v in likely if s.role and (s.role is Role.REVEAL) == bool(left.length.across)]
    digit = [
        (s, v) for s, v in likely if s.role is None and any(digits_apart(v, o) <= 1 for o in offers(s.ask))
    ]
    things = [(s, v) for s, v in likely if s.role is not None]
    likely = digit if len(digit) == 1 else things or likely
    asked = [(s, v) for s, v in likely if s.number == ask] or likely
    return asked[0] if len(asked) == 1 else None


def _fitting(slots: Sequence[_Slot], length: Length, pointed: bool) -> list[tuple[_Slot, int]]:
    """The slots that a length is of the right size for, in centimetres where it is for any, else in another unit."""
    millimetres = pointed or length.number.figure >= BARE_MILLIMETRES
    for unit in ("cm", *(("m",) if length.number.places else ("mm",) if millimetres else ())):
        if found := [(s, v) for s in slots if (v := s.value(length, unit, pointed)) is not None]:
            return found
    return []


def _pointed(slots: Sequence[tuple[_Slot, int]], words: str, last: bool) -> tuple[_Slot, int] | None:
    """The slot to which the last, or the first, of the pointing words points."""
    found = [(m.start(), s, v) for s, v in slots for m in s.pointed_at.finditer(words)]
    if not found:
        return None
    nearest = (max if last else min)(at for at, _, _ in found)
    there = [(s, v) for at, s, v in found if at == nearest]
    return there[0] if len(there) == 1 else None


def of_a_fixture(clause: Clause) -> bool:
    """Whether the length is of a fixture and not only beside one: "the fridge is 178", not "246 by the cooker"."""
    for match in _FIXTURE.finditer(clause.text):
        before = [m.end() for m in _WHERE.finditer(clause.text[: match.start()])]
        if not before or len(clause.text[before[-1] : match.start()].split()) > 2:
            return True
    return False


def of_no_wall(whole: Clause) -> bool:
    """Whether lengths after the answers are no further answer: they are asked, or of something that stands there."""
    return whole.text[-1:] == "?" or (of_a_fixture(whole) and not (whole.mentions or whole.has(C.CORRECTION)))
