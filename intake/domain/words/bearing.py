"""Which words of a message that has answered bear on the survey, though nothing was taken from them.

Once a customer has told what was asked, they talk: of furniture, of the house, of how wide the window is besides. A
person must see such a sentence only where it may change what is held: something there is denied, will be altered, is
there and not drawn, is disputed, asked or amiss, or a length of it may be of what the survey holds.
"""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass
from itertools import pairwise

from intake.domain.words.allotment import of_a_fixture
from intake.domain.words.calls import foreign, long_ago, will_change
from intake.domain.words.circumstances import THERE_IS, promises, turns
from intake.domain.words.clause import Clause, Length
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import in_another_room
from intake.domain.words.fates import MONEY
from intake.domain.words.fitting import TO_ANOTHER
from intake.domain.words.numbers import every_reading, reading_of
from intake.domain.words.of_a_number import offers
from intake.domain.words.said_of_items import OF_A_WINDOW, SentenceReader
from intake.domain.words.signs import MOVABLE, signs_alone_weigh_enough
from intake.model.checklist import Checklist, EvidenceKind
from intake.model.letter import Answer, Ask
from intake.model.word import Statement, StatementKind

TOLD = (StatementKind.VALUE, StatementKind.ABSENCE, StatementKind.PLACE, StatementKind.DOUBTFUL)
_TURNED = (C.NEGATION, C.COULD_NOT, C.HEARSAY, C.DIFFERENCE, C.OBLIGED, C.EXISTS, C.AMISS, C.SAME, C.HEDGE)
_YOURS = re.compile(r"\b(?:you|your|yours|sie|ihr|ihre[nmrs]?)\b", re.I)
_FIRST_PERSON = re.compile(r"\b(?:i|we|he|she|hubby|ich|wir|er|sie)\b", re.I)
MOST_STRANGE = 3
"""Up to so many words that nobody knows are a name, or a slip; common practice, no source."""
_DISPUTED = (C.DISPUTE, C.TAKEN_BACK, C.PERSON)
_TOOL = re.compile(
    r"\b(?:spirit level|level|rul(?:e|er)|stick|ladder|steps|tape|wasserwaage|leiter|zollstock)\b", re.I
)
ANOTHER_OPENING = re.compile(
    r"\b(?:another|other|second|third|2nd|3rd|extra|further|both|two|three|ander\w*|zweite\w*|weitere\w*|beide\w*"
    r"|noch ein\w*)\s(?:\w+\s)?(?:windows?|doors?|doorways?|walls?|boilers?|meters?|fenster|tür\w*|wand|wände)\b",
    re.I,
)
_PLAN_THING = re.compile(
    r"\b(?:walls?|alcoves?|chimney|breast|nibs?|corners?|openings?|doors?|doorways?|doorframe|windows?|ceilings?|floor"
    r"|recess\w*|beams?|steps?|rooms?|kitchen|bathroom|bedroom|side|bit|section|gap|stretch|piece|it|that|this|these"
    r"|those|they|them|one|both|here|there|lintel|boxing|wand|wände|nische|kamin|ecke|öffnung|tür\w*|fenster|decke"
    r"|boden|balken|stufe|raum|küche|seite|stück|es|das|sie|er)\b",
    re.I,
)
"""What the plan's lengths are of, and words that may stand for it."""
_OUT_OF_DOORS = re.compile(
    r"\b(?:ponds?|pools?|lawns?|gardens?|hedges?|fences?|greenhouses?|cars?|vans?|caravans?|boats?|trailers?|trees?"
    r"|bush(?:es)?|roses?|sunflowers?|tomato\w*|marrows?|allotment|dogs?|cats?|pupp\w+|horses?|pon(?:y|ies)|hens?"
    r"|goldfish|bikes?|bicycles?|cakes?|miles|marathon|football|snow|rain|teich|garten|rasen|hecke|zaun|auto|wohnwagen"
    r"|boot|baum|bäume|hund\w*|katze\w*|pferd\w*|hühner|fahrrad|kuchen|schnee)\b",
    re.I,
)
"""What no room has."""
_SUBJECT = re.compile(
    r"\b(?:the|my|our|an?|his|her|their|old|der|die|das|ein\w*|mein\w*|unser\w*)\s(?:[\w'-]+\s){0,3}?[\w'-]{3,}",
    re.I,
)


@dataclass(frozen=True)
class Held:
    """What a message has told: all statements taken from it, the asks of the letter, and what is `given` as answers to
    them."""

    said: Sequence[Statement]
    asks: Sequence[Ask]
    checklist: Checklist
    given: Sequence[Answer] = ()

    @property
    def answers(self) -> bool:
        """Whether it tells anything, or nothing was asked."""
        return not self.asks or any(s.kind in TOLD for s in self.said)

    @property
    def items(self) -> set[str]:
        return {s.item for s in self.said if s.kind in TOLD}

    @property
    def asked(self) -> set[str]:
        return {i for ask in self.asks for i in ask.items}

    @property
    def lengths(self) -> set[int]:
        return {s.value_mm for s in self.said if s.value_mm is not None}

    @property
    def refused(self) -> set[int]:
        """The lengths that a request offered beside the one that was told for certain."""
        told = [a for a in self.given if a.statement.kind is StatementKind.VALUE]
        return {v for a in told for v in offers(self.asks[a.ask - 1]) - {a.statement.value_mm}}

    def may_be_untold(self, length: Length) -> bool:
        """Whether a length has the size of something that was asked for, or that is always needed, and is not told."""
        wanted = [
            i
            for i in self.checklist.items
            if i.range_mm and EvidenceKind.WORDS in i.evidence and i.id not in self.items
        ]
        wanted = [i for i in wanted if i.id in self.asked or not self.asks]
        return any(reading_of(length.number, i.range_mm).usual for i in wanted)

    @property
    def open_at_the_window(self) -> bool:
        """Whether something was asked for at the window that the message does not tell."""
        wanted = (
            i for ask in self.asks if ask.number is None for i in map(self.checklist.item, ask.items) if i
        )
        return any(i.id not in self.items and OF_A_WINDOW.intersection(i.roles) for i in wanted)


def bears(reader: SentenceReader, held: Held) -> bool:
    """Whether what was not taken from a sentence may change what the survey holds."""
    if reader.asked or not held.answers or signs_alone_weigh_enough(reader.whole):
        return True
    used = [t.clause for t in reader.told if t.used]
    left = [c for c in reader.clauses if c not in used] or reader.clauses
    return any(_bears(c, b, reader, held) for b, c in pairwise([None, *reader.clauses]) if c and c in left)


def _bears(clause: Clause, before: Clause | None, reader: SentenceReader, held: Held) -> bool:
    loose = [v for v in clause.lengths if not every_reading(v.number) & held.lengths]
    if loose and _of_the_refused(clause, loose, held.refused):
        return False
    alters = turns(clause) and (clause.has(*_DISPUTED) or will_change(reader.whole, told=True))
    if alters or (clause.has(C.PICTURE) and (clause.has(*_TURNED) or _YOURS.search(clause.text))):
        return True
    if loose:
        lead = clause.text[: loose[0].start]
        goes_on = before and not (_SUBJECT.search(lead) or _PLAN_THING.search(lead))
        return not _of_something_else(before if before and goes_on else clause, loose, reader, held)
    if clause.has(C.SAID_BEFORE) and not clause.mentions and held.lengths:
        return False
    if clause.denied and not clause.mentions:
        return not held.lengths
    return _says_of_the_room(clause, reader, held)


def _says_of_the_room(clause: Clause, reader: SentenceReader, held: Held) -> bool:
    """Whether a clause without lengths says something of the room that a person must know."""
    if clause.has(C.LATER) and clause.has(C.COULD_NOT):
        return False
    if not held.said and (clause.has(C.NEGATION) or MONEY.search(clause.text)):
        return True
    if promises(reader.whole) and not clause.has(C.NEGATION, C.HEARSAY, C.DIFFERENCE, C.AMISS):
        return False
    named = held_things(clause, reader)
    if (named & held.asked if held.asks else named) - held.items:
        return True
    if not named and not clause.has(C.ROOM_WORD, C.WINDOW, C.DOOR):
        return foreign(clause) and len(clause.words) > MOST_STRANGE
    if in_another_room(reader.whole.text, reader.lexicon.room):
        return False
    if clause.has(C.LATER) and not _FIRST_PERSON.search(clause.text):
        return True
    if long_ago(clause):
        return False
    return (
        clause.has(*_TURNED)
        or reader.whole.has(C.AMISS)
        or any(p.search(clause.text) for p in (ANOTHER_OPENING, THERE_IS, TO_ANOTHER))
    )


def held_things(clause: Clause, reader: SentenceReader) -> set[str]:
    """The items named whose length or place the survey holds: not furniture, sockets or pipes."""
    named = (reader.item(i) for m in clause.mentions for i in m.items)
    return {i.id for i in named if i.range_mm or EvidenceKind.PICTURE in i.evidence}


def _of_the_refused(clause: Clause, loose: Sequence[Length], refused: Set[int]) -> bool:
    """ "380.5 would be silly": the other number that was offered, after one was chosen."""
    return all(every_reading(v.number) & refused for v in loose) and not clause.has(
        C.CORRECTION, C.HEARSAY, C.COULD_NOT
    )


def _of_something_else(clause: Clause, loose: Sequence[Length], reader: SentenceReader, held: Held) -> bool:
    """ "The fridge is 91 wide", "the window itself is 118 across": of nothing whose length the survey holds."""
    if (
        held_things(clause, reader)
        or clause.has(C.OBLIGED, C.EXISTS, C.HEARSAY, C.NEGATION)
        or MONEY.search(clause.text)
    ):
        return False
    if _OUT_OF_DOORS.search(clause.text):
        return True
    if clause.has(C.WINDOW):
        return all(v.across for v in loose) and not held.open_at_the_window
    if (
        of_a_fixture(clause)
        or MOVABLE.search(clause.text)
        or _TOOL.search(clause.text)
        or in_another_room(clause.text, reader.lexicon.room)
    ):
        return not clause.has(C.DOOR)
    before = clause.text[: loose[0].start]
    subject = _SUBJECT.search(before) and not (_PLAN_THING.search(before) or clause.unknown)
    return bool(subject) and not any(held.may_be_untold(v) for v in loose)
