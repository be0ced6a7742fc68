"""What a sentence of a customer's says of the items of a checklist, clause by clause.

A negation, "couldn't measure" or a question never counts as a value, nor does a promise; a guess is doubtful, and so is
a length in a clause of which not every word is known.
"""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace
from functools import cached_property

from intake.domain.words.clause import Clause, Length
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import ASIDE, INTERROGATIVE, NOT_EXACT, OUR_WORDS, elsewhere, is_question
from intake.domain.words.fitting import (
    beside_the_ceiling,
    doubt_of,
    fits,
    one_each,
    one_more_height,
    only_leads,
    reaching,
    two_part_sill,
)
from intake.domain.words.lexicon import Lexicon, Mention, one_length_between_two
from intake.domain.words.numbers import every_reading, reading_of, without
from intake.domain.words.of_a_number import as_it_stands, as_said_before
from intake.domain.words.somebody_elses import without_theirs
from intake.domain.words.spelling import mended
from intake.domain.words.taken_apart import as_one, taken_apart
from intake.domain.words.things import Things, could_not
from intake.domain.words.weighing import NOT_PLAIN, corrected_within, weakened, weighed
from intake.model.checklist import ChecklistItem
from intake.model.reading import Role
from intake.model.word import Statement, StatementKind

OF_A_WINDOW = frozenset({Role.SILL, Role.HEAD, Role.REVEAL})


@dataclass
class ToldClause:
    """What became of one clause. `used`: something was taken from it, or noted."""

    clause: Clause
    items: list[str]
    used: bool = False


class SentenceReader:
    """One sentence on its way through its clauses; `_open` are the items named but not yet spoken of.

    `unheard` are lengths (mm) that are taken for something else, `offered` those that each request about a number of
    the plan offers. `before` are the items that an earlier sentence spoke
    of last: a bare length may be theirs ("It is 236."), but of one that is `settled`, which has its only length.
    `said_again`: the message says again the only length that it has ("We said 125").
    """

    def __init__(
        self,
        sentence: str,
        lexicon: Lexicon,
        language: str,
        before: Sequence[str] = (),
        unit: str = "",
        unheard: Set[int] = frozenset(),
        dialect: bool = False,
        offered: Sequence[Set[int]] = (),
        settled: Set[str] = frozenset(),
        said_again: bool = False,
    ) -> None:
        self.text = sentence
        self.lexicon = lexicon
        self._items = lexicon.items
        self._mended = mended(sentence, dialect)
        words = as_said_before(self._mended.text) if said_again else self._mended.text
        heard = without(as_it_stands(without_theirs(words), offered), unheard)
        self._heard = (heard, lexicon, language, unit)
        self.whole = as_one(*self._heard)
        self.found: list[Statement] = []
        self.told: list[ToldClause] = []
        self._open: list[str] = []
        self._last: list[str] = []
        self._before = [i for i in before if i in self._items]
        self._settled = settled
        self._summed = False
        """A sill was summed from two lengths."""
        self._could_not = False
        self._elsewhere = False
        self.asked = is_question(self._mended.text)

    @cached_property
    def clauses(self) -> list[Clause]:
        """The sentence in parts."""
        return taken_apart(*self._heard)

    @cached_property
    def corrects(self) -> bool:
        """Whether it puts right what was said before."""
        return self.whole.has(C.CORRECTION, C.SAID_BEFORE, C.TAKEN_BACK) or bool(self.whole.denied)

    def in_their_words(self, clause: Clause) -> str:
        """One of the clauses as the customer wrote it."""
        back = self._mended.back
        return self.text[back[clause.start] : back[clause.start + len(clause.text)]]

    @property
    def last(self) -> list[str]:
        """The items spoken of last."""
        return self._last

    def read(self) -> list[Statement]:
        """The statements of the sentence, in order."""
        if self.whole.has(C.ANOTHER_HOME) or OUR_WORDS.match(self.text):
            self.told = [ToldClause(c, [i for m in c.mentions for i in m.items]) for c in self.clauses]
            return []
        for whole in (self._over_a_worktop, self._listed):
            if (found := whole()) is not None:
                items = [s.item for s in found]
                self.told = [ToldClause(c, items, True) for c in self.clauses]
                self.found, self._last = found, items[-1:]
                return self._weighed()
        self._things = Things(self._items, self.clauses, self.text, lambda: self.found, self.lexicon.room)
        parts = self.clauses
        if (
            self.asked
            and len(parts) > 1
            and ASIDE.match(parts[-1].text)
            and not INTERROGATIVE.match(parts[0].text)
        ):
            self.told.append(ToldClause(parts[-1], [], True))
            parts, self.asked = parts[:-1], False
        for clause in parts:
            before = len(self.found)
            self._clause(clause)
            items = [s.item for s in self.found[before:]] or [i for m in clause.mentions for i in m.items]
            self.told.append(ToldClause(clause, items, len(self.found) > before))
        return self._weighed()

    def _weighed(self) -> list[Statement]:
        """The statements, weakened by what the sentence says beside them."""
        titles = {i: item.title for i, item in self._items.items()}
        self.found = weighed(self.found, self.whole, self.clauses, titles)
        self.found = one_each(
            self.found, self.clauses, self._items, sure=self._in_its_place() or self._summed
        )
        if self.corrects:
            self.found = [replace(s, corrects=True) for s in self.found]
        return list(dict.fromkeys(self.found))

    def _in_its_place(self) -> bool:
        """Whether a length stands in place of another that the sentence gives, or of one said before it."""
        return bool(
            self.corrects
            and (self.whole.denied or corrected_within(self.whole) or len(self.whole.lengths) < 2)
        )

    def _clause(self, clause: Clause) -> None:
        if self.asked:
            self._question(clause)
            return
        if clause.has(C.TAKEN_BACK):
            self._taken_back(clause)
            return
        if (cue := could_not(clause)) is not None:
            self._not_measured(clause, cue)
            return
        if self._things.go_on(clause):
            return
        if clause.mentions and self._unknown_where(clause):
            return
        if clause.mentions:
            self._told(clause)
        elif clause.lengths and not self._of_the_window(clause):
            self._unnamed(clause)
        elif elsewhere(clause.text, self.lexicon.room):
            self._elsewhere = True

    def _question(self, clause: Clause) -> None:
        lengths = clause.lengths
        named = [i for m in clause.mentions if not m.absent for i in m.items] or (
            self._last if lengths else []
        )
        self._last = named
        for item in named if lengths else ():
            if self._items[item].range_mm:
                self._doubtful(item, lengths[0], "doubt-asked")

    def _taken_back(self, clause: Clause) -> None:
        """What it names, else what the sentence said so far, no longer stands; a length in it is the wrong one."""
        named = [i for m in clause.mentions if not m.absent for i in m.items if self._items[i].range_mm]
        self._weaken("doubt-taken-back", StatementKind.VALUE)
        for item in named:
            self._add(item, StatementKind.DOUBTFUL, doubt="doubt-said-taken-back")
        self._last = named or self._last

    def _not_measured(self, clause: Clause, cue: tuple[int, int]) -> None:
        """Before the last length that precedes the cue all is told; the rest could not be measured."""
        told_to = max((v.end for v in clause.lengths if v.end <= cue[0]), default=0)
        earlier = [m for m in clause.mentions if m.end <= told_to]
        if earlier:
            self._told(Clause(clause.text[:told_to], clause.start, self.lexicon, clause.language))
        named = self._open + [
            i for m in clause.mentions if m.start >= told_to and not m.absent for i in m.items
        ]
        named = named or self._things.looked_for(clause)
        for item in named:
            self._add(item, StatementKind.COULD_NOT)
        if not named and self.found and NOT_EXACT.search(clause.text[cue[0] :]):
            self._weaken("doubt-not-measured-properly", StatementKind.VALUE)
        self._open, self._last, self._could_not = [], named, True
        self._things.name(clause.mentions)

    def _told(self, clause: Clause) -> None:
        mentions = clause.mentions
        usable = [
            v
            for v in clause.lengths
            if any(fits(self._items[i], clause, v) for m in mentions for i in m.items)
        ]
        if one_length_between_two(clause.text, mentions):
            usable = []
        if usable:
            self._could_not = False
            self._values(clause, mentions, usable)
        self._things.tell(clause)
        ranged = [i for m in mentions if not m.absent for i in m.items if self._items[i].range_mm]
        self._last = ranged or self._last
        if not usable:
            self._leave_open(ranged)

    def _unknown_where(self, clause: Clause) -> bool:
        """ "(We do not know) where the gas meter is"."""
        if not (self._could_not and _WHERE.match(clause.text)):
            return False
        for item in dict.fromkeys(i for m in clause.mentions if not m.absent for i in m.items):
            self._add(item, StatementKind.COULD_NOT)
        return True

    def _leave_open(self, ranged: list[str]) -> None:
        """ "I couldn't measure the ceiling and the sill": a bare noun after such a clause shares its fate."""
        if self._could_not:
            for item in ranged:
                self._add(item, StatementKind.COULD_NOT)
        else:
            self._open += ranged

    def _values(self, clause: Clause, mentions: Sequence[Mention], values: Sequence[Length]) -> None:
        events: list[Mention | Length] = sorted([*mentions, *values], key=lambda e: e.start)
        if isinstance(events[0], Length) and not self._open:
            if reach := reaching(clause.text, mentions, values):
                for mention, value in reach:
                    self._value(mention.items[0], clause, value)
                return
            if len(mentions) == len(values):
                for mention, value in zip(mentions, values, strict=True):
                    self._value(mention.items[0], clause, value)
                return
            if len(values) == 1:
                events = [*mentions, *values]
            else:
                # What stands before the first name is of something else.
                events = events[next(n for n, e in enumerate(events) if isinstance(e, Mention)) :]
        named, fresh = list(self._open), True
        self._open = []
        for event in events:
            if isinstance(event, Mention):
                named = named + list(event.items) if fresh else list(event.items)
                fresh = True
            elif named and (fresh or self._goes_on(named, clause, event)):
                self._assign(named, clause, event)
                fresh = False

    def _goes_on(self, named: Sequence[str], clause: Clause, value: Length) -> bool:
        """Whether one more length may be of the same thing: a ceiling's second height, or a list without a word."""
        between = clause.text[
            max((v.end for v in clause.lengths if v.end <= value.start), default=0) : value.start
        ]
        if self._items[named[-1]].one_value and every_reading(value.number) & beside_the_ceiling([clause]):
            return False
        return self._items[named[-1]].one_value or not re.search(r"[^\W\d_]{3,}", between)

    def _assign(self, named: list[str], clause: Clause, value: Length) -> None:
        """One length after several items belongs to none of them for certain ("from sill to ceiling 132")."""
        ranged = [i for i in named if self._items[i].range_mm]
        if len(set(ranged)) == 1:
            self._value(ranged[0], clause, value)
        elif ranged and fits(self._items[ranged[-1]], clause, value):
            self._doubtful(ranged[-1], value, "doubt-one-for-several")

    def _value(self, item: str, clause: Clause, value: Length) -> None:
        if not fits(self._items[item], clause, value):
            return
        doubt = doubt_of(self._items[item], clause, value, self.lexicon.room, self._elsewhere)
        if doubt:
            self._doubtful(item, value, doubt)
        else:
            self._add(
                item, StatementKind.VALUE, reading_of(value.number, self._items[item].range_mm).values_mm[0]
            )

    def _doubtful(self, item: str, value: Length, doubt: str) -> None:
        """A doubtful statement for each length that the number may be."""
        read = reading_of(value.number, self._items[item].range_mm).values_mm
        for value_mm in read or (None,):
            self._add(item, StatementKind.DOUBTFUL, value_mm, doubt)

    def _unnamed(self, clause: Clause) -> None:
        """A length without a name is of what was named last: "236 at one end, 234.5 at the other"."""
        again = not self.corrects and set(self._before) <= self._settled
        named = self._open or self._last or ([] if again else self._before)
        if len(set(named)) != 1 or not self._items[named[0]].range_mm:
            return
        if _DIMENSION.match(clause.text) or _LETTER.match(clause.text):
            return
        leads = only_leads(clause.text[: clause.lengths[0].start])
        if not (self._open or self._last) and not (leads and self._all_usual(named[0], clause)):
            return
        for value in clause.lengths:
            again = one_more_height(self._items[named[0]], clause, value, self.found, self.whole.text)
            plain = again or not self.whole.has(C.WINDOW, C.DOOR)
            if leads and not self._could_not and plain:
                self._value(named[0], clause, value)
            elif fits(self._items[named[0]], clause, value):
                self._doubtful(named[0], value, NOT_PLAIN)
        self._open, self._last = [], named

    def _of_the_window(self, clause: Clause) -> bool:
        """ "..., and it goes back 15.5 cm": beside a sill, a top or a window, a depth is the recess's and a top the
        window's."""
        parts = {role: i for i, item in self._items.items() for role in item.roles if role in OF_A_WINDOW}
        spoken_of = {s.item for s in self.found} | set(self._last) | set(self._before)
        if not (spoken_of & set(parts.values()) or self.whole.has(C.WINDOW)) or len(clause.lengths) != 1:
            return False
        role = Role.REVEAL if _DEEP.search(clause.text) else Role.HEAD if _TOP.search(clause.text) else None
        if role is Role.HEAD and _OF_THE_ROOM_TOO.match(clause.text):
            return False
        item = parts.get(role) if role else None
        if item is None or item in {s.item for s in self.found}:
            return False
        if _FLAT_WORDS.search(self.whole.text):
            self._doubtful(item, clause.lengths[0], "doubt-whole-window")
            return True
        before = len(self.found)
        self._value(item, clause, clause.lengths[0])
        return len(self.found) > before

    def _all_usual(self, item: str, clause: Clause) -> bool:
        """In centimetres, as people write who name no unit."""
        told = (replace(v.number, unit=v.number.unit or "cm") for v in clause.lengths)
        in_metres = all(v.number.places and v.number.figure < 4 for v in clause.lengths)
        return in_metres or all(reading_of(n, self._items[item].range_mm).usual for n in told)

    def _over_a_worktop(self) -> list[Statement] | None:
        if not self.asked:
            found = two_part_sill(self._items.values(), self.text, self.whole, self.clauses)
            self._summed = found is not None
            return found
        return None

    def _listed(self) -> list[Statement] | None:
        """ "Ceiling and sill are 236 and 103.5": as many lengths as names, all names first."""
        mentions = [m for m in self.whole.mentions if not m.absent and self._items[m.items[0]].range_mm]
        values = self.whole.lengths
        if len(mentions) < 2 or len(mentions) != len(values) or mentions[-1].end > values[0].start:
            return None
        if self.whole.has(C.COULD_NOT, C.TAKEN_BACK) or self.asked or self.whole.denied:
            return None
        for mention, value in zip(mentions, values, strict=True):
            self._value(mention.items[0], self.whole, value)
        return self.found

    def _add(self, item: str, kind: StatementKind, value_mm: int | None = None, doubt: str = "") -> None:
        self.found.append(Statement(item, kind, self.text, value_mm, doubt=doubt))

    def _weaken(self, doubt: str, *kinds: StatementKind) -> None:
        self.found = weakened(self.found, doubt, *kinds)

    def item(self, item_id: str) -> ChecklistItem:
        return self._items[item_id]


_WHERE = re.compile(r"\W{0,4}(?:where|whether|if|wo|ob)\b", re.I)
_LETTER = re.compile(r"^\(?[abc]\)?\s?[.:)=]", re.I)
_DIMENSION = re.compile(r"\A\W*+(?:the\s)?(?:width|depth|height|breite|tiefe|höhe)\b", re.I)
_DEEP = re.compile(
    r"\b(?:deep|depth|deepness|(?:goes|sits|stands) (?:back|in)|go back|set back|recessed|tief|tiefe)\b", re.I
)
_FLAT_WORDS = re.compile(r"\b(?:width|wide|breite|breit)\b", re.I)
_TOP = re.compile(
    r"^\W*(?:and\s|und\s)?(?:the\s|die\s)?(?:top|head|oberkante|höhe|height)\b|\btop of (?:it|the (?:frame"
    r"|window))\b",
    re.I,
)
_OF_THE_ROOM_TOO = re.compile(
    r"\W{0,4}(?:and |und )?(?:the |die )?(?:height|höhe)\W{0,4}(?:is|was|ist)?\W{0,4}2(?:[.,][1-9]|[1-9]\d)",
    re.I,
)
""" "Height 242": a window's top, or the ceiling."""
