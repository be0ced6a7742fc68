"""What one message says as a whole: its statements and answers, and what became of each of its clauses."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from intake.domain.words.answers import AnswerReader, in_answer, without_ours
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import ASIDE, LONGEST_SENTENCE, LONGEST_TEXT, sentences
from intake.domain.words.fates import (
    RETRACTS,
    SHORT,
    Fate,
    JudgedClause,
    bare_word,
    fate_of,
    for_the_plan,
    left_over,
    mere_promise,
    of_the_room,
    only_promised,
    said_elsewhere,
    unseen,
)
from intake.domain.words.hazards import hazard_in
from intake.domain.words.labels import ReplyPart, parts
from intake.domain.words.lexicon import lexicon_of
from intake.domain.words.numbers import reading_of, unit_for_all
from intake.domain.words.order import Unnumbered
from intake.domain.words.signature import unsigned
from intake.domain.words.statements import SentenceReader
from intake.domain.words.vocabulary import language_of
from intake.domain.words.weighing import UNCERTAIN, begins_conceding, weakened, weighed
from intake.model.checklist import Checklist
from intake.model.letter import Answer, Ask
from intake.model.need import Need, NeedKind
from intake.model.word import Statement, StatementKind

NOT_UNDERSTOOD = "Words of the customer's that were not understood."
OWN_REQUEST = "It answers a request that a designer added to our letter."
TOO_LONG = "The message is longer than the program reads."
FOR_THE_PLAN = "Lengths for the plan: a person must say which wall each is of."
CANNOT_TELL = "The customer cannot tell what the number on the plan says."
WHICH_REQUEST = "it does not say which request it answers"
LONGEST_NEED = 300
_SIZES = re.compile(r"\d\s?[x\u00d7]\s?\d", re.I)
_LETTER_STOP = re.compile(r"(?:^|(?<=[\s,;(]))([abc])\.\s+(?=\d)", re.I | re.M)
_LETTERED_LINE = re.compile(r"\s{0,4}\n\s{0,4}(?=\(?[abc]\s?[.:)=-])", re.I)
_CERTAIN = (StatementKind.VALUE, StatementKind.ABSENCE, StatementKind.PLACE)


@dataclass(frozen=True)
class Understood:
    """What one message says. `statements` are what it says unasked, `answers` what it says to the numbered asks;
    `denied_mm` are lengths that it says are wrong; `withdraws`: it takes back the message before it."""

    statements: tuple[Statement, ...] = ()
    answers: tuple[Answer, ...] = ()
    clauses: tuple[JudgedClause, ...] = ()
    needs: tuple[Need, ...] = ()
    denied_mm: frozenset[int] = frozenset()
    withdraws: bool = False
    message: str = ""
    """The key of the message."""


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
        self.asks, self.checklist, self.key = asks, checklist, key
        lexicon = lexicon_of(checklist)
        self.own = unsigned(without_ours(text, asks), lambda line: bool(lexicon.mentions(line)))
        self.language, self.unit = language_of(self.own), unit_for_all(self.own)
        self._too_long = len(text) > LONGEST_TEXT or any(
            len(s) >= LONGEST_SENTENCE for s in sentences(self.own)
        )
        self.statements: list[Statement] = []
        self.answers: list[Answer] = []
        self.clauses: list[JudgedClause] = []
        self.needs: list[Need] = []
        self.denied: set[int] = set()
        self.withdraws = False
        self._unnumbered = Unnumbered(self.own, asks, checklist, lambda s: self._read(s).whole)
        self._last: list[str] = []
        self._retracted: str | None = None
        """The sentence that took back what was said before, until a length follows in its place."""
        self._latest: list[Statement] = []
        """What the sentence before said, for a doubt that follows it."""

    def read(self) -> Understood:
        if self._too_long:
            self.needs.append(Need(NeedKind.UNREAD, self.own[:LONGEST_NEED], TOO_LONG, self.key))
        left: list[ReplyPart] = []
        for part in self._parts():
            self._last, self._latest = [], []
            if part.ask and not self.asks[part.ask - 1].item:
                self.needs.append(Need(NeedKind.UNREAD, part.text[:LONGEST_NEED], OWN_REQUEST, self.key))
                self.clauses.append(JudgedClause(part.text, Fate.UNREAD, (str(part.ask),)))
                continue
            answered, needs = False, len(self.needs)
            self._retracted = None
            for sentence in sentences(self._letters_in_one_line(part)):
                answered = self._sentence(sentence, part, answered) or answered
            if part.ask and not answered and len(self.needs) == needs:
                left.append(part)
        for part in left:
            if part.ask not in {a.ask for a in self.answers}:
                self._unanswered(part)
        if self.asks and not (self.statements or self.answers or self.needs):
            self._says_nothing()
        return Understood(
            tuple(dict.fromkeys(self.statements)),
            tuple(dict.fromkeys(self.answers)),
            tuple(self.clauses),
            tuple(dict.fromkeys(self.needs)),
            frozenset(self.denied),
            self.withdraws,
            self.key,
        )

    def _says_nothing(self) -> None:
        """A reply of which nothing was taken must at least be a courtesy, a promise or a word on pictures."""
        wholes = [w for s in sentences(self.own) if (w := self._read(s).whole).words]
        excused = any(w.has(C.ASIDE, C.PICTURE, C.COULD_NOT, C.LATER, C.BUSINESS) for w in wholes)
        silent = bool(wholes) and (not excused or any(w.has(C.SAME) for w in wholes))
        if silent or _SIZES.search(self.own):
            self.needs.append(
                Need(NeedKind.UNREAD, self.own.strip()[:LONGEST_NEED], NOT_UNDERSTOOD, self.key)
            )

    def _unanswered(self, part: ReplyPart) -> None:
        """A part that answers a request by a yes, a no or a choice of which nothing could be made."""
        whole = self._read(part.text).whole
        excused = whole.has(C.COULD_NOT) or (whole.has(C.PICTURE) and not whole.has(C.NEGATION))
        unsure = whole.has(C.HEDGE, C.NEGATION) and not whole.has(C.ASIDE)
        if ((part.labelled or unsure) and not excused) or SHORT.match(part.text):
            self.needs.append(Need(NeedKind.UNREAD, part.text[:LONGEST_NEED], NOT_UNDERSTOOD, self.key))

    def _parts(self) -> list[ReplyPart]:
        found = parts(self.own, len(self.asks))
        if not self.asks or any(p.ask for p in found):
            return found
        if (lone := self._meant()) != 0:
            return [ReplyPart(lone, self.own, labelled=False)]
        return self._unnumbered.parts() or found

    def _meant(self) -> int:
        """1 where an unnumbered reply can only be about the one request of the letter, else 0."""
        named = {i for s in sentences(self.own) for m in self._read(s).whole.mentions for i in m.items}
        return 1 if len(self.asks) == 1 and not named - set(self.asks[0].items) else 0

    def _read(self, sentence: str) -> SentenceReader:
        return SentenceReader(sentence, lexicon_of(self.checklist), self.language, self._last, self.unit)

    def _sentence(self, sentence: str, part: ReplyPart, answered: bool) -> bool:
        """Take what one sentence says; returns whether it answered the request of its part."""
        if (hazard := hazard_in(sentence)) is not None:
            self.needs.append(Need(NeedKind.HAZARD, sentence, hazard.why, self.key))
            self.clauses.append(JudgedClause(sentence, Fate.UNREAD))
            return False
        if part.ask and answered and len(self.asks[part.ask - 1].items) > 1:
            # A bare length after the answer is of none of its things for certain.
            self._last = []
        reader = self._read(sentence)
        if self._retracted is not None and reader.whole.lengths:
            reader.corrects = True
        found = reader.read()
        self._note_denied(reader.whole)
        given: list[Statement] = []
        if part.ask:
            ask = self.asks[part.ask - 1]
            own = [s for s in found if s.item in ask.items and s.kind is not StatementKind.SAID]
            if own or not answered or reader.corrects or self._one_more(reader, ask):
                given = AnswerReader(ask, self.checklist).read(reader, found)
            found = [s for s in found if s not in own]
            self._take(found, given, part, reader)
        else:
            self._take(found, [], part, reader)
            given = self._unasked(reader, found) if self.asks else []
        if not (found or given):
            self._follow_up(reader)
        self._account(reader, found, given, part)
        if self._retracted is not None and any(s.value_mm is not None for s in (*found, *given)):
            self.needs = [n for n in self.needs if n.text != self._retracted]
            self._retracted = None
        if found or given:
            self._latest = [*found, *given]
            self._last = reader.last or [s.item for s in (*found, *given)][-1:]
        return bool(given)

    def _letters_in_one_line(self, part: ReplyPart) -> str:
        """The words of a part, with a list of letters, a line each, in one line."""
        several = part.ask and len(self.asks[part.ask - 1].items) > 1
        return _LETTERED_LINE.sub(", ", _LETTER_STOP.sub(r"\1) ", part.text)) if several else part.text

    def _one_more(self, reader: SentenceReader, ask: Ask) -> bool:
        """A further height of a ceiling: "By the door: 238. By the window: 239.5"."""
        item = self.checklist.item(ask.item)
        several = item is not None and item.one_value and not ask.choices
        return several and bool(reader.whole.lengths) and not reader.whole.mentions

    def _unasked(self, reader: SentenceReader, found: Sequence[Statement]) -> list[Statement]:
        """Take what a sentence without a number says to a request all the same: lengths that were offered, a choice, a
        yes. What may be to another request is doubtful."""
        taken: list[Statement] = []
        of_pictures = reader.asked or reader.whole.has(C.PICTURE)
        for told in (t for t in reader.told if not (t.used or of_pictures)):
            ask, certain = self._unnumbered.offered(told.clause, reader.text)
            if ask:
                own = self._read(told.clause.text)
                said = AnswerReader(self.asks[ask - 1], self.checklist).read(own, own.read())
                said = weighed(said, reader.whole, reader.clauses, self._titles)
                taken += self._unnumbered_answer(ask, said, certain, reader)
                told.used = bool(said)
        if not taken and (ask := self._unnumbered.metered(reader.text)):
            said = AnswerReader(self.asks[ask - 1], self.checklist).read(reader, found)
            taken = self._unnumbered_answer(ask, said, True, reader)
        if taken or found or reader.whole.lengths or reader.whole.mentions:
            return taken
        ask, certain = self._unnumbered.chosen(reader.whole.text)
        if ask:
            said = AnswerReader(self.asks[ask - 1], self.checklist).read(reader, found)
            taken = self._unnumbered_answer(ask, said, certain, reader)
        return taken

    def _unnumbered_answer(
        self, ask: int, said: list[Statement], certain: bool, reader: SentenceReader
    ) -> list[Statement]:
        """Take an answer to a request that the customer did not name."""
        given = said if certain else weakened(said, WHICH_REQUEST, *_CERTAIN)
        self._take([], given, ReplyPart(ask, reader.text), reader)
        return given

    @cached_property
    def _titles(self) -> dict[str, str]:
        return {i.id: i.title for i in self.checklist.items}

    def _take(
        self, found: Sequence[Statement], given: Sequence[Statement], part: ReplyPart, reader: SentenceReader
    ) -> None:
        corrected = {s.item for s in found if s.corrects}
        self.statements = [s for s in self.statements if s.item not in corrected]
        self.statements += [replace(s, message=self.key) for s in found]
        if given:
            if reader.corrects:
                self.answers = [a for a in self.answers if a.ask != part.ask]
            ask = self.asks[part.ask - 1]
            self.answers += [in_answer(s, part.ask, ask, self.key) for s in given]

    def _note_denied(self, whole: Clause) -> None:
        for number in whole.denied:
            self.denied.update(reading_of(number, None).values_mm)
        if whole.has(C.TAKEN_BACK):
            for length in whole.lengths:
                self.denied.update(reading_of(length.number, None).values_mm)
        if whole.has(C.TAKEN_BACK) and re.search(
            r"\b(?:last|previous|first|other|earlier|my|letzte)\s+(?:e?-?mail|message|nachricht|answers?)",
            whole.text,
            re.I,
        ):
            self.withdraws = True

    def _follow_up(self, reader: SentenceReader) -> None:
        """ "Not sure about that." after a sentence weakens what it said."""
        whole = reader.whole
        back = whole.has(C.TAKEN_BACK) or bool(RETRACTS.match(whole.text))
        weakens = back or whole.has(C.HEDGE) or begins_conceding(whole)
        if whole.lengths or whole.mentions or not self._latest or not weakens:
            return
        if reader.asked and (whole.has(C.ASIDE) or ASIDE.match(whole.text)):
            return
        self._retracted = reader.text if back else None
        doubt = "they take it back" if back else UNCERTAIN
        weak = {(s.item, s.value_mm) for s in self._latest}
        self.statements = [_weakened(s, weak, doubt) for s in self.statements]
        self.answers = [
            replace(a, statement=_weakened(a.statement, weak, doubt), choice="")
            if _hit(a.statement, weak)
            else a
            for a in self.answers
        ]

    def _account(
        self, reader: SentenceReader, found: Sequence[Statement], given: Sequence[Statement], part: ReplyPart
    ) -> None:
        """Give every clause of the sentence its fate, and a person what is unread in it."""
        unread = False
        for told in reader.told:
            about = (*((str(part.ask),) if given and part.ask else ()), *dict.fromkeys(told.items))
            used = told.used or (bool(given) and self._of_the_answer(told.clause, reader, part))
            used = used or said_elsewhere(told.clause, found)
            fate = Fate.USED if used else fate_of(told.clause, reader)
            lone = len(reader.told) == 1 and self.asks and not part.ask
            if fate is Fate.ASIDE and lone and bare_word(told.clause):
                fate = Fate.UNREAD
            unread = unread or fate is Fate.UNREAD
            self.clauses.append(JudgedClause(told.clause.text, fate, about if fate is not Fate.ASIDE else ()))
        whole = reader.whole
        unread = unread or left_over(reader, [*found, *given])
        corrected = reader.corrects and any(s.kind is StatementKind.VALUE for s in (*found, *given))
        disputes = whole.has(C.CHANGE) or (
            whole.has(C.DISPUTE) and not (corrected and not whole.has(C.PICTURE))
        )
        if disputes and not whole.has(C.ANOTHER_HOME) and of_the_room(whole):
            self._need(
                NeedKind.DISPUTE,
                "The customer says that something will change, or that the plan is wrong.",
                reader,
            )
        elif (
            whole.has(C.TAKEN_BACK)
            and not (found or given)
            and (whole.lengths or whole.mentions or self._latest or self.withdraws)
        ):
            self._need(NeedKind.DISPUTE, "The customer takes back something said before.", reader)
        elif part.ask and for_the_plan(given, self.asks[part.ask - 1], self.checklist):
            self._need(NeedKind.UNREAD, FOR_THE_PLAN, reader)
        elif (
            part.ask
            and self.asks[part.ask - 1].number is not None
            and only_promised(given)
            and not mere_promise(whole)
        ):
            self._need(NeedKind.UNSETTLED, CANNOT_TELL, reader)
        elif whole.has(C.PERSON):
            kind = NeedKind.QUESTION if reader.asked else NeedKind.UNREAD
            self._need(kind, "The customer may want somebody to answer.", reader)
        elif unseen(whole):
            self._need(NeedKind.QUESTION, "The customer cannot see or open what was sent.", reader)
        elif (unread or only_promised([*found, *given])) and reader.asked:
            self._need(NeedKind.QUESTION, "The customer asks something.", reader)
        elif unread:
            self._need(NeedKind.UNREAD, NOT_UNDERSTOOD, reader)

    def _of_the_answer(self, clause: Clause, reader: SentenceReader, part: ReplyPart) -> bool:
        """Whether a clause of a sentence that answers a request belongs to the answer: it names no other thing."""
        if not part.ask:
            return not (clause.mentions or clause.lengths)
        return all(i in self.asks[part.ask - 1].items for m in clause.mentions for i in m.items)

    def _need(self, kind: NeedKind, why: str, reader: SentenceReader) -> None:
        values = tuple(
            dict.fromkeys(v for n in reader.whole.lengths for v in reading_of(n.number, None).values_mm[:1])
        )
        items = tuple(dict.fromkeys(i for m in reader.whole.mentions for i in m.items))
        self.needs.append(Need(kind, reader.text, why, self.key, values, items))


def _hit(statement: Statement, weak: set[tuple[str, int | None]]) -> bool:
    return (statement.item, statement.value_mm) in weak and statement.kind in (
        StatementKind.VALUE,
        StatementKind.ABSENCE,
    )


def _weakened(statement: Statement, weak: set[tuple[str, int | None]], doubt: str) -> Statement:
    if not _hit(statement, weak):
        return statement
    return replace(statement, kind=StatementKind.DOUBTFUL, doubt=doubt, settles=False)
