"""What one message says as a whole: its statements and answers, and what became of each of its clauses."""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass
from functools import cached_property, lru_cache

from intake.domain.words.allotment import Allotment
from intake.domain.words.answer_to_request import AnswerReader
from intake.domain.words.by_the_rest import doubt_what_others_say, doubt_where_a_person_looks
from intake.domain.words.calls import IF_NEEDED
from intake.domain.words.circumstances import promises
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.contradictions import ToldLength, told_lengths
from intake.domain.words.cues import ASIDE, AUTOMATIC, LONGEST_TEXT, is_cut, sentences, within_bounds
from intake.domain.words.dialect import speaks_dialect
from intake.domain.words.fates import (
    ALL_BACK,
    EARLIER_MESSAGE,
    OWN_MISREADING,
    RETRACTS,
    Fate,
    JudgedClause,
    not_measured,
    numbered,
    takes_back,
    takes_back_at_once,
)
from intake.domain.words.hazards import hazard_in
from intake.domain.words.labels import ReplyPart, parts
from intake.domain.words.lexicon import lexicon_of
from intake.domain.words.numbers import every_reading, reading_of, unit_for_all
from intake.domain.words.of_a_number import of_another_number, repeats_one, told_once, unless_mixed_up
from intake.domain.words.order import Unnumbered, one_more
from intake.domain.words.own_words import own_words
from intake.domain.words.references import labelled
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.taken import Taken
from intake.domain.words.unnumbered_answers import UnnumberedAnswer, goes_on
from intake.domain.words.vocabulary import language_of
from intake.domain.words.waiting import ReadSentence, Waiting
from intake.domain.words.weighing import (
    BARE_NO,
    TAKEN_BACK,
    UNCERTAIN,
    UNUSUAL,
    begins_conceding,
    hedges_it,
    offered_another,
)
from intake.domain.words.whereabouts import Whereabouts
from intake.model.checklist import Checklist
from intake.model.letter import Answer, Ask
from intake.model.need import Need, NeedKind
from intake.model.phrase import phrase
from intake.model.reading import Role
from intake.model.word import Statement, StatementKind

OWN_REQUEST = phrase("need-answers-a-designer")
_LETTER_STOP = re.compile(r"(?:^|(?<=[\s,;(]))([abc])\.\s+(?=\d)", re.I | re.M)
_LETTERED_LINE = re.compile(r"\s{0,4}\n\s{0,4}(?=\(?[abc]\s?[.:)=-])", re.I)


@dataclass(frozen=True)
class Understood:
    """What the message `message`, its key, says: `statements` unasked, `answers` to the numbered asks; `denied_mm` are
    lengths that it says are wrong; `withdraws`: it takes back the message before it."""

    statements: tuple[Statement, ...] = ()
    answers: tuple[Answer, ...] = ()
    clauses: tuple[JudgedClause, ...] = ()
    needs: tuple[Need, ...] = ()
    denied_mm: frozenset[int] = frozenset()
    withdraws: bool = False
    message: str = ""


def understand(text: str, asks: Sequence[Ask], checklist: Checklist, message: str = "") -> Understood:
    """What `text`, a message's own words, says; `asks` are those of the letter that it answers, () for none."""
    return _understood(text, tuple(asks), checklist, message)


@lru_cache(maxsize=512)
def _understood(text: str, asks: tuple[Ask, ...], checklist: Checklist, message: str) -> Understood:
    """A job's messages are read again at every page and examination: once is enough."""
    return _Message(text, asks, checklist, message).read()


def statements(text: str, checklist: Checklist, message: str = "") -> tuple[Statement, ...]:
    """What `text` says of the items of `checklist` unasked, in order, each once."""
    return understand(text, (), checklist, message).statements


def answers(text: str, asks: Sequence[Ask], checklist: Checklist, message: str = "") -> tuple[Answer, ...]:
    """What `text`, a reply's own words, says to each of `asks` (numbered from 1 in the letter), in order."""
    return understand(text, asks, checklist, message).answers


class _Message:
    """One message on its way through its sentences."""

    def __init__(self, text: str, asks: Sequence[Ask], checklist: Checklist, key: str) -> None:
        self.asks, self.checklist, self.key, self._text = asks, checklist, key, text
        lexicon = self._lexicon = lexicon_of(checklist)
        self._whereabouts = Whereabouts(asks, lexicon)

        def says_something(line: str) -> bool:
            return bool(lexicon.mentions(line) or hazard_in(line))

        own = own_words(text, asks, says_something, self._whereabouts.names)
        read = within_bounds(own)
        self.own = labelled(read, asks)
        self.language, self.unit = language_of(self.own), unit_for_all(self.own)
        self._dialect = speaks_dialect(self.own)
        self._too_long = len(text) > LONGEST_TEXT or read != own or is_cut(self.own)
        self.taken = Taken(key, asks)
        self.waiting = Waiting(asks, checklist, key)
        self.denied: set[int] = set()
        self.withdraws = False
        self._clauses: dict[str, Clause] = {}
        self._unnumbered = Unnumbered(self.own, asks, checklist, self._whole)
        self._unasked = UnnumberedAnswer(asks, checklist, self.taken, self._unnumbered, self._read)
        self._allotment = Allotment(asks, checklist)
        self._offered, self._repeats = told_once(self.own, asks), repeats_one(self.own)
        self._lengths: list[ToldLength] = []
        self._last: list[str] = []
        self._retracted: str | None = None
        """The sentence that took back what was said before, until a length follows in its place."""
        self._latest: list[Statement] = []
        """What the sentence before said, for a doubt that follows it."""

    def read(self) -> Understood:
        waiting, left = self.waiting, list[ReplyPart]()
        automatic = AUTOMATIC.search(self.own) and not self._too_long
        if automatic and not any(
            w.lengths or w.mentions for w in self._wholes if not AUTOMATIC.match(w.text)
        ):
            return Understood(clauses=(JudgedClause(self.own.strip(), Fate.ASIDE),), message=self.key)
        for part in self._parts():
            self._last, self._latest = [], []
            if part.ask and not self.asks[part.ask - 1].item:
                waiting.unread(part.text, OWN_REQUEST)
                waiting.clauses.append(JudgedClause(part.text, Fate.UNREAD, (str(part.ask),)))
                continue
            answered, needs = False, len(waiting.needs)
            self._retracted = None
            for sentence in sentences(self._letters_in_one_line(part)):
                answered = self._sentence(sentence, part, answered) or answered
            if part.ask and not answered:
                if self.asks[part.ask - 1].number is not None:
                    waiting.keep(waiting.needs[needs:])
                left += [part] if len(waiting.needs) == needs else []
        for part in left:
            if part.ask not in {a.ask for a in self.taken.answers}:
                waiting.unanswered(part, self._whole(part.text))
        if self._too_long:
            waiting.too_long(self.own, self._text)
        self.taken.settle_yes()
        doubt_what_others_say(self.taken, self.own, self._wholes, self._lengths, self.checklist)
        waiting.leave_what_is_told(self.taken, self._whole)
        doubt_where_a_person_looks(self.taken, waiting.judged, waiting.needs)
        if self.asks and not (self.taken.every() or waiting.needs):
            waiting.says_nothing(self.own, self._wholes)
        return Understood(
            tuple(dict.fromkeys(self.taken.statements)),
            tuple(dict.fromkeys(self.taken.answers)),
            tuple(waiting.clauses),
            tuple(dict.fromkeys(waiting.needs)),
            frozenset(self.denied),
            self.withdraws,
            self.key,
        )

    @cached_property
    def _wholes(self) -> list[Clause]:
        """Every sentence of the message by itself."""
        self._last = []
        return [w for s in sentences(self.own) if (w := self._whole(s)).words]

    def _parts(self) -> list[ReplyPart]:
        asking = [n for n, a in enumerate(self.asks, 1) if a.number is not None and len(a.choices) == 1]
        found = parts(self.own, len(self.asks), frozenset(asking))
        if not self.asks or (named := {p.ask for p in found if p.ask}):
            # "Your first, 12, outside, 240": what looks like a label is the choice that the list begins with.
            in_order = self._unnumbered.in_order() if self.asks and len(named) == 1 else []
            return in_order or [p for part in found for p in self._unnumbered.listed(part)]
        if self._only_one_meant():
            return [ReplyPart(1, self.own, labelled=False)]
        return self._unnumbered.parts() or [p for part in found for p in self._unnumbered.listed(part)]

    def _only_one_meant(self) -> bool:
        """Whether an unnumbered reply can only be about the one request of the letter."""
        named = {i for whole in self._wholes for m in whole.mentions for i in m.items}
        return len(self.asks) == 1 and not named - set(self.asks[0].items)

    def _read(self, sentence: str, unheard: Set[int] = frozenset()) -> SentenceReader:
        settled = self.taken.settled() - {i.id for i in self.checklist.items if i.one_value}
        as_told = (self._last, self.unit, unheard, self._dialect, self._offered, settled, self._repeats)
        return SentenceReader(sentence, self._lexicon, self.language, *as_told)

    def _whole(self, sentence: str) -> Clause:
        """A sentence as one clause."""
        if sentence not in self._clauses:
            self._clauses[sentence] = self._read(sentence).whole
        return self._clauses[sentence]

    def _sentence(self, sentence: str, part: ReplyPart, answered: bool) -> bool:
        """Take what one sentence says; returns whether it answered the request of its part."""
        if self._of_a_danger(sentence):
            return False
        if part.ask and answered and len(self.asks[part.ask - 1].items) > 1:
            # A bare length after the answer is of none of its things for certain.
            self._last = []
        reader, found, offered = self._as_read(sentence, part)
        self._note_lengths(reader)
        if part.ask and answered and goes_on(reader.whole, self.asks[part.ask - 1]):
            part = ReplyPart(0, part.text)
        given: list[Statement] = []
        if part.ask:
            given, found = self._to_its_request(reader, found, part.ask, answered)
        else:
            self.taken.take(found)
            given = self._unasked.take(reader, found, self._of_pictures) if self.asks else []
            given += self._unasked.as_offered(offered, reader) if len(offered) == 1 else []
        given = [*given, *self._allotted(reader, [*found, *given], part)]
        given = [*given, *self._placed(reader, [*found, *given])]
        if not (found or given) and (roles := not_measured(reader.whole)):
            given = self._not_at_the_window(reader, roles)
        before = self._latest or self.taken.every()
        if {s.item for s in (*found, *given)} <= {s.item for s in before}:
            self.taken.weaken(offered_another(reader.whole, before), UNCERTAIN)
        if not (found or given) or RETRACTS.match(reader.text):
            self._follow_up(reader)
        self._account(reader, found, given, part)
        if (found or given) and takes_back_at_once(reader):
            self._retract(reader)
        return bool(given)

    def _as_read(
        self, sentence: str, part: ReplyPart
    ) -> tuple[SentenceReader, list[Statement], list[Statement]]:
        """The sentence's reader, what it says of items, and what of that is unusual but was offered by a request."""
        reader = self._read(sentence)
        no = bool(self._latest and len(reader.clauses) > 1 and BARE_NO.match(reader.clauses[0].text))
        if (self._retracted is not None or no) and reader.whole.lengths:
            reader.corrects = True
        found = reader.read()
        offered = [s for s in found if s.doubt == UNUSUAL and not part.ask and self._unasked.offering(s)]
        if len(offered) == 1:
            reader = self._read(sentence, {v for s in offered if (v := s.value_mm) is not None})
            found = reader.read()
        return reader, found, offered

    def _to_its_request(
        self, reader: SentenceReader, found: Sequence[Statement], number: int, answered: bool
    ) -> tuple[list[Statement], list[Statement]]:
        """Take what it says to the request of its part; returns that, and what it says besides."""
        ask, given = self.asks[number - 1], list[Statement]()
        own = [s for s in found if s.item in ask.items and s.kind is not StatementKind.SAID]
        if answered and ask.number is not None and of_another_number(reader.whole):
            return [], [s for s in found if s not in own]
        if own or not answered or reader.corrects or one_more(reader.whole, ask, self.checklist):
            given = unless_mixed_up(AnswerReader(ask, self.checklist).read(reader, found), number, self.asks)
        besides = [s for s in found if s not in own]
        self.taken.take(besides)
        self.taken.answer(number, given, reader.corrects)
        return given, besides

    def _account(
        self, reader: SentenceReader, found: Sequence[Statement], given: Sequence[Statement], part: ReplyPart
    ) -> None:
        """Note what of it waits for a person, and what the next sentence may lean on."""
        before, all_taken = bool(self._latest) or self.withdraws, [*found, *given]
        self.waiting.account(
            ReadSentence(reader, found, given, part.ask, before, self._promised, self.taken.lengths())
        )
        if self._retracted is not None and any(s.value_mm is not None for s in all_taken):
            self.waiting.make_good(self._retracted)
            self._retracted = None
        if all_taken:
            self._latest = all_taken
            self._last = reader.last or [s.item for s in all_taken][-1:]

    def _of_a_danger(self, sentence: str) -> bool:
        """Have a person told of a danger; such a sentence is evidence for nothing."""
        if (hazard := hazard_in(sentence)) is None:
            return False
        self.waiting.needs.append(Need(NeedKind.HAZARD, sentence, hazard.why, self.key))
        self.waiting.clauses.append(JudgedClause(sentence, Fate.UNREAD))
        return True

    def _not_at_the_window(self, reader: SentenceReader, roles: Set[Role]) -> list[Statement]:
        """ "Couldn't measure the window": none of what was asked for at it, and is not told."""
        told = self.taken.items()
        found = [
            (n, Statement(item.id, StatementKind.COULD_NOT, reader.text))
            for n, ask in enumerate(self.asks, 1)
            for item in filter(None, map(self.checklist.item, ask.items))
            if roles & {*item.roles} and ask.number is None and item.id not in told
        ]
        self.taken.answer_each(found, reader.corrects)
        for told_clause in reader.told:
            told_clause.used |= bool(found)
        return [s for _, s in found]

    def _letters_in_one_line(self, part: ReplyPart) -> str:
        """The words of a part, with a list of letters, a line each, in one line."""
        several = part.ask and len(self.asks[part.ask - 1].items) > 1
        return _LETTERED_LINE.sub(", ", _LETTER_STOP.sub(r"\1) ", part.text)) if several else part.text

    def _allotted(
        self, reader: SentenceReader, said: Sequence[Statement], part: ReplyPart
    ) -> list[Statement]:
        """Take the lengths that no name has claimed for what they point to, as doubtful."""
        if reader.whole.has(C.PICTURE) and numbered(reader.whole):
            return []
        answered = {(a.ask, a.statement.item) for a in self.taken.answers if a.statement.value_mm is not None}
        found = self._allotment.of(reader, said, answered, part.ask)
        self.taken.answer_each(found, reader.corrects)
        self.taken.leave_loose(reader.text, {s.value_mm: s.item for _, s in found})
        taken = {s.value_mm for s in (*said, *(s for _, s in found))}
        for told in reader.told:
            lengths = told.clause.lengths
            told.used |= bool(lengths) and all(taken & every_reading(v.number) for v in lengths)
        return [s for _, s in found]

    def _placed(self, reader: SentenceReader, said: Sequence[Statement]) -> list[Statement]:
        """Take the places and the absences that no turn of phrase has claimed."""
        placed = any(s.kind is StatementKind.PLACE for s in self.taken.every())
        found = self._whereabouts.of(reader, said, self.taken.items(), placed)
        self.taken.answer_each(found, reader.corrects)
        for told_clause in reader.told:
            named = {i for m in told_clause.clause.mentions for i in m.items}
            told_clause.used |= (
                bool(named) and named <= {s.item for _, s in found} and not told_clause.clause.lengths
            )
        return [s for _, s in found]

    def _of_pictures(self) -> bool:
        """Whether the message speaks of what it brings."""
        return any(w.has(C.PICTURE) for w in self._wholes)

    @cached_property
    def _promised(self) -> bool:
        """Whether the message says that something comes later."""
        return any(w.has(C.LATER) or promises(w) for w in self._wholes)

    def _note_lengths(self, reader: SentenceReader) -> None:
        """Keep the lengths of a sentence, and those that it denies: what was said of one before is in doubt."""
        whole, back = reader.whole, reader.whole.has(C.TAKEN_BACK)
        self._lengths += told_lengths(reader)
        gone = [*whole.denied, *(v.number for v in whole.lengths if back)]
        denied = {v for n in gone for v in reading_of(n, None).values_mm}
        self.taken.weaken([s for s in self.taken.every() if s.value_mm in denied], TAKEN_BACK)
        self.denied |= denied
        all_back = not (self._latest or whole.lengths or whole.mentions) and ALL_BACK.match(whole.text)
        self.withdraws |= bool(all_back or (back and EARLIER_MESSAGE.search(whole.text)))

    def _follow_up(self, reader: SentenceReader) -> None:
        """ "Not sure about that." after a sentence weakens what it said."""
        whole = reader.whole
        back = takes_back(whole)
        earlier = OWN_MISREADING.search(whole.text) or (back and EARLIER_MESSAGE.search(whole.text))
        if earlier and not (self._latest or whole.lengths or whole.mentions):
            self._retracted = reader.text  # what an earlier message said, if a length follows in its place
        numbers = {a.item for a in self.asks if a.number is not None} & {s.item for s in self._latest}
        back = back or bool(numbers and BARE_NO.match(whole.text))
        weakens = back or hedges_it(whole) or begins_conceding(whole)
        new = any(not every_reading(v.number) & self.taken.lengths() for v in whole.lengths)
        other = whole.mentions and not RETRACTS.match(whole.text)
        if new or (whole.lengths and not back) or other or not self._latest or not weakens:
            return
        courtesy = IF_NEEDED.search(whole.text)
        asked = reader.asked and (whole.has(C.ASIDE) or ASIDE.match(whole.text))
        if asked or (courtesy and not any(w.start < courtesy.start() for w in whole.where(C.HEDGE))):
            return
        if back:
            self._retract(reader)
        else:
            self.taken.weaken(self._latest, UNCERTAIN)

    def _retract(self, reader: SentenceReader) -> None:
        """What was said last no longer stands; a length that follows may stand in its place."""
        self._retracted = reader.text
        self.taken.weaken(self._latest, TAKEN_BACK)
