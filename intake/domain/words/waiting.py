"""What of a message waits for a person, and what becomes of each of its clauses."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from intake.domain.lengths.notation import parse_length
from intake.domain.words.bearing import ANOTHER_OPENING, Held, bears
from intake.domain.words.calls import (
    IF_NEEDED,
    SHORT,
    asks_itself,
    asks_within,
    courteous,
    disputes,
    says_no_more,
    unable,
    unable_for_good,
    unseen,
    wants_somebody,
    will_change,
)
from intake.domain.words.circumstances import excuses, only_where, promises, tells_how, turns
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.cues import sentences
from intake.domain.words.evidence import LEAST, LIKELY, chance, signs_of
from intake.domain.words.fates import (
    BARE_NO,
    Fate,
    JudgedClause,
    bare_word,
    fate_of,
    for_the_plan,
    left_over,
    mere_promise,
    of_the_room,
    only_a_topic,
    only_denies,
    only_greets,
    only_names,
    only_promised,
    said_elsewhere,
    says_again,
)
from intake.domain.words.hazards import hazards
from intake.domain.words.labels import ReplyPart
from intake.domain.words.numbers import every_reading, reading_of
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.signs import MOVABLE, loud, weighs_enough
from intake.domain.words.somebody_elses import only_theirs
from intake.domain.words.taken import Taken
from intake.domain.words.turns import REFUSES, VERDICT, WRONG
from intake.domain.words.weighing import OF_A_KIND, WHICH_REQUEST, in_doubt
from intake.model.checklist import Checklist
from intake.model.letter import Ask
from intake.model.need import Need, NeedKind
from intake.model.phrase import Phrase, phrase
from intake.model.word import Statement, StatementKind

NOT_UNDERSTOOD = phrase("need-not-understood")
FOR_THE_PLAN = phrase("need-for-the-plan")
TOO_LONG = phrase("need-too-long")
CANNOT_TELL = phrase("need-cannot-tell")
TAKES_BACK = phrase("need-takes-back")
SUSPICIONS = (NOT_UNDERSTOOD, TAKES_BACK)
"""Why a person must see a sentence that asks for nobody and tells of no change: its words may mean something else."""
_STANDS = re.compile(
    r"\W{0,4}(?:it's|it is|that's|that is|das ist|es ist)\s(?:\w+\s){0,4}(?:between|by|next to|beside|under"
    r"|behind|near|left of"
    r"|right of|opposite|zwischen|neben|bei|unter|hinter)\b",
    re.I,
)
LONGEST_NEED = 300
_ONLY_A_LENGTH = re.compile(r"\A\W{0,4}\d[\d.,]{0,9}(?:\s?(?:cm|mm|m))?\s?\?\W{0,4}")
""" "288.5?": one of those that we offered, before another is told."""
NOW_ANOTHER = re.compile(
    r"\b(?:wrote|written|put|said|says|told|gave|drew|noted|had|schrieb|geschrieben|gesagt|hatte)\b.{0,60}\b(?:now|today"
    r"|this time|re-?measur\w+|jetzt|heute|nun|diesmal|nachgemessen)\b",
    re.I,
)
""" "It was 386.5 I wrote, but today I get 396"."""
_LABELLED = re.compile(r"\s?[:=]\s?\w|\s-\s\w")
_SIZES = re.compile(r"\d\s?[x\u00d7]\s?\d", re.I)


@dataclass(frozen=True)
class ReadSentence:
    """One sentence with what was taken from it: `found` unasked, `given` as answers.

    `ask` is the request that it answers, 0 for none; `before`: there is something that it can take back; `promised`:
    the message says that more comes later.
    """

    reader: SentenceReader
    found: Sequence[Statement]
    given: Sequence[Statement]
    ask: int
    before: bool
    promised: bool
    told_mm: frozenset[int] = frozenset()
    """The lengths that the message has told so far."""

    @property
    def said(self) -> list[Statement]:
        """All that was taken."""
        return [*self.found, *self.given]


def _labels_untold(reader: SentenceReader, held: Held) -> bool:
    """ "Gas meter: cubbyhole": whether it begins with the name of something that was asked for and is not told."""
    untold = held.asked - held.items
    named = (m for m in reader.whole.mentions[:1] if untold.intersection(m.items))
    return any(_LABELLED.match(reader.whole.text, m.end) for m in named)


def unlikely(sentence: ReadSentence, held: Held) -> bool:
    """Whether all that stands in a sentence speaks against its calling for a person, and no single sign loudly for it,
    another opening named among them."""
    whole = sentence.reader.whole
    if _length_left(sentence) or loud(whole) or ANOTHER_OPENING.search(whole.text):
        return False
    if _labels_untold(sentence.reader, held):
        return False
    return calls_by_chance(sentence, held) < LEAST


def _length_left(sentence: ReadSentence) -> bool:
    """ "386.5 is what I wrote but I now get 396": whether it ends with another length than the one that it was
    taken to say."""
    told = {s.value_mm for s in sentence.said if s.value_mm is not None}
    lengths = sentence.reader.whole.lengths
    if len(told) != 1 or len(lengths) < 2:
        return False
    last = every_reading(lengths[-1].number)
    return not told & last and any(max(v, t) < OF_A_KIND * min(v, t) for v in last for t in told)


def calls_by_chance(sentence: ReadSentence, held: Held) -> float:
    """How likely a sentence calls for a person."""
    return chance(signs_of(sentence.reader, sentence.said, bool(sentence.ask), held))


@dataclass
class Waiting:
    """The needs and the clauses of the message `key`, which answers `asks`."""

    asks: Sequence[Ask]
    checklist: Checklist
    key: str
    needs: list[Need] = field(default_factory=list)
    clauses: list[JudgedClause] = field(default_factory=list)
    _to_requests: set[str] = field(default_factory=set)
    """What is said to a request by its number, and was not understood."""
    judged: list[tuple[ReadSentence, Need | None]] = field(default_factory=list)
    """Each sentence with what a person must see of it."""
    _explained: set[str] = field(default_factory=set)
    """Sentences of which the rest of the message says why nobody need see them."""

    def unread(self, text: str, why: Phrase = NOT_UNDERSTOOD) -> None:
        """Words that a person must read."""
        self.needs.append(Need(NeedKind.UNREAD, text[:LONGEST_NEED], why, self.key))

    def too_long(self, own: str, text: str) -> None:
        """More than is read of the own words of `text`: a person reads them, and is told of each kind of danger that
        only what lies beyond tells of."""
        self.unread(own, TOO_LONG)
        told = {need.why for need in self.needs}
        beyond = {need.why: need for need in reversed(hazards(text, self.key)) if need.why not in told}
        self.needs += beyond.values()

    def account(self, sentence: ReadSentence) -> None:
        """Give every clause of a sentence its fate, and a person what is unread in it."""
        reader = sentence.reader
        unread = self._fates(sentence) or left_over(reader, sentence.said, sentence.told_mm)
        kind, why = self._reason(sentence) or (
            (NeedKind.UNREAD, NOT_UNDERSTOOD) if unread and not reader.asked else (None, NOT_UNDERSTOOD)
        )
        if kind is None and reader.asked and (unread or only_promised(sentence.said)):
            kind, why = NeedKind.QUESTION, phrase("need-asks-something")
        if kind is not None:
            self._need(kind, why, reader)
        self.judged.append((sentence, self.needs[-1] if kind is not None else None))

    def _fates(self, sentence: ReadSentence) -> bool:
        """Note what becomes of each clause; returns whether one of them is unread."""
        reader, given, ask, unread = sentence.reader, sentence.given, sentence.ask, False
        for told in reader.told:
            about = (*((str(ask),) if given and ask else ()), *dict.fromkeys(told.items))
            used = told.used or (bool(given) and self._of_the_answer(told.clause, ask))
            used = used or says_again(told.clause, sentence.told_mm)
            used = (
                used
                or said_elsewhere(told.clause, sentence.found)
                or (bool(ask) and self._where_it_is(told.clause, ask))
            )
            asks = asks_itself(told.clause)
            fate = Fate.UNREAD if asks else Fate.USED if used else fate_of(told.clause, reader)
            lone = len(reader.told) == 1 and self.asks and not ask
            if fate is Fate.ASIDE and lone and bare_word(told.clause):
                fate = Fate.UNREAD
            unread = unread or fate is Fate.UNREAD
            self.clauses.append(
                JudgedClause(
                    reader.in_their_words(told.clause), fate, about if fate is not Fate.ASIDE else ()
                )
            )
        return unread

    def _reason(self, sentence: ReadSentence) -> tuple[NeedKind, Phrase] | None:
        """Why a person must see a sentence, whatever of it was understood."""
        reader, given, ask, said = sentence.reader, sentence.given, sentence.ask, sentence.said
        whole = reader.whole
        corrected = reader.corrects and any(s.kind is StatementKind.VALUE for s in said)
        disputed = will_change(whole, bool(said)) or disputes(whole, said, corrected)
        if disputed and not whole.has(C.ANOTHER_HOME) and of_the_room(whole):
            return NeedKind.DISPUTE, phrase("need-will-change")
        if whole.has(C.TAKEN_BACK) and not said and (whole.lengths or whole.mentions or sentence.before):
            return NeedKind.DISPUTE, TAKES_BACK
        if ask and for_the_plan(given, self.asks[ask - 1], self.checklist):
            return NeedKind.UNREAD, FOR_THE_PLAN
        if ask and (cannot_tell := self._cannot_tell(self.asks[ask - 1], given)) and not mere_promise(whole):
            return NeedKind.UNSETTLED, cannot_tell
        if wants_somebody(whole, reader.clauses):
            kind = NeedKind.QUESTION if reader.asked else NeedKind.UNREAD
            return kind, phrase("need-wants-somebody")
        cannot = unable(whole) and not said
        if (cannot or unable_for_good(whole, said)) and not sentence.promised:
            return NeedKind.UNREAD, phrase("need-may-be-unable")
        if _length_left(sentence) and NOW_ANOTHER.search(whole.text):
            return NeedKind.UNREAD, NOT_UNDERSTOOD
        if asks_within(reader):
            return NeedKind.QUESTION, phrase("need-asks-something")
        if not reader.asked and weighs_enough(whole, said):
            return NeedKind.UNREAD, NOT_UNDERSTOOD
        if unseen(whole) and not IF_NEEDED.search(whole.text):
            return NeedKind.QUESTION, phrase("need-cannot-see")
        return None

    def _cannot_tell(self, ask: Ask, given: Sequence[Statement]) -> Phrase | None:
        """That the customer cannot tell what a number of the plan says, or what an opening is; None where they may."""
        unable_to = only_promised([s for s in given if s.item in ask.items])
        if ask.opening is not None and unable_to:
            return phrase("need-cannot-tell-opening")
        return CANNOT_TELL if ask.number is not None and unable_to else None

    def _where_it_is(self, clause: Clause, ask: int) -> bool:
        """ "It's the bit between the door and the corner.": where the number stands that was asked about."""
        plain = not clause.lengths and not clause.mentions and not clause.has(C.NEGATION, C.CHANGE, C.DISPUTE)
        return self.asks[ask - 1].number is not None and plain and bool(_STANDS.match(clause.text))

    def _of_the_answer(self, clause: Clause, ask: int) -> bool:
        """Whether a clause of a sentence that answers a request belongs to the answer: it names no other thing."""
        if not ask:
            return not (clause.mentions or clause.lengths)
        return all(i in self.asks[ask - 1].items for m in clause.mentions for i in m.items)

    def _need(self, kind: NeedKind, why: Phrase, reader: SentenceReader) -> None:
        lengths = (v for n in reader.whole.lengths for v in reading_of(n.number, None).values_mm[:1])
        items = tuple(dict.fromkeys(i for m in reader.whole.mentions for i in m.items))
        self.needs.append(Need(kind, reader.text, why, self.key, tuple(dict.fromkeys(lengths)), items))

    def unanswered(self, part: ReplyPart, whole: Clause) -> None:
        """A part that answers a request by a yes, a no or a choice of which nothing could be made."""
        excused = whole.has(C.COULD_NOT) or (whole.has(C.PICTURE) and not whole.has(C.NEGATION))
        unsure = whole.has(C.HEDGE, C.NEGATION) and not whole.has(C.ASIDE)
        if ((part.labelled or unsure) and not excused) or SHORT.match(part.text):
            self.unread(part.text)
            self.keep(self.needs[-1:])

    def keep(self, needs: Sequence[Need]) -> None:
        """What is said to a request by its number: nothing told elsewhere makes up for it."""
        self._to_requests |= {n.text for n in needs}

    def make_good(self, text: str) -> None:
        """A sentence that took something back, and what stands in its place has followed."""
        self.needs = [n for n in self.needs if n.text != text]
        self._explained.add(text)

    def says_nothing(self, own: str, wholes: Sequence[Clause]) -> None:
        """A reply of which nothing was taken must at least be a courtesy, a promise or a word on pictures."""
        said = [w for w in wholes if not only_greets(w.text)]
        silent = bool(said) and not any(map(says_no_more, said))
        silent = silent or any(map(only_theirs, sentences(own)))
        if silent or any(w.has(C.SAME) and not promises(w) for w in wholes) or _SIZES.search(own):
            self.unread(own.strip())

    def leave_what_is_told(self, taken: Taken, read: Callable[[str], Clause]) -> None:
        """Leave out the needs that only name what the message tells in another sentence ("The ceiling's lower than I
        thought! 236.5")."""
        told, numbers = taken.items(), any(a.number is not None for a in taken.answers)
        held = Held(taken.every(), self.asks, self.checklist, taken.answers)

        def plain(need: Need) -> bool:
            if _ONLY_A_LENGTH.fullmatch(need.text) and held.refused.issuperset(need.values_mm):
                return True
            if need.why != NOT_UNDERSTOOD or need.values_mm:
                return False
            if not need.items and need.text in self._to_requests:
                return False
            if not need.items:
                return numbers and (bool(BARE_NO.fullmatch(need.text)) or only_denies(read(need.text)))
            whole = read(need.text)
            return told.issuperset(need.items) and (
                only_names(whole) or tells_how(whole) or (only_where(whole) and not turns(whole))
            )

        def topic(need: Need) -> bool:
            """ "The window, then."."""
            return need.why == NOT_UNDERSTOOD and bool(told) and only_a_topic(read(need.text))

        told_elsewhere = [n for n in self.needs if plain(n) or topic(n)]
        self._explained |= {n.text for n in told_elsewhere}
        self._leave(told_elsewhere, Fate.ASIDE)
        needs = [(s, n) for s, n in self.judged if n]
        self._leave(
            [n for s, n in needs if n.why == NOT_UNDERSTOOD and not bears(s.reader, held)], Fate.BESIDES
        )
        self._leave([n for s, n in needs if n.why in SUSPICIONS and unlikely(s, held)], Fate.BESIDES)
        self._catch(held)
        self._keep_verdicts(taken)

    def _catch(self, held: Held) -> None:
        """Have a person read what no rule suspects, and what yet likely calls for one."""
        for sentence, need in self.judged:
            reader = sentence.reader
            passed = [t.clause for t in reader.told if not t.used]
            known = need in self.needs or reader.text in self._explained
            harmless = MOVABLE.search(reader.text) or excuses(reader.whole) or courteous(reader.whole)
            if passed and not (known or harmless) and calls_by_chance(sentence, held) >= LIKELY:
                self._need(NeedKind.UNREAD, NOT_UNDERSTOOD, reader)
                read = {reader.in_their_words(c) for c in passed}
                self.clauses = [replace(c, fate=Fate.UNREAD) if c.text in read else c for c in self.clauses]

    def _keep_verdicts(self, taken: Taken) -> None:
        """Keep a right as a doubtful answer, and have a person read a wrong, of which nothing was made while a request
        that asks whether a number is right is open."""
        answered = {a.ask for a in taken.answers}
        asking = [n for n, a in enumerate(self.asks, 1) if a.number is not None and len(a.choices) == 1]
        open_ = [n for n in asking if n not in answered]
        for at, clause in enumerate(self.clauses if open_ else ()):
            refuses = at == 0 and REFUSES.fullmatch(clause.text)
            if clause.fate is Fate.UNREAD or clause.about or not (refuses or VERDICT.search(clause.text)):
                continue
            if refuses or len(open_) > 1 or WRONG.search(clause.text):
                self.clauses[at] = replace(clause, fate=Fate.UNREAD)
                self.unread(clause.text)
            elif open_[0] not in {a.ask for a in taken.answers}:
                ask = self.asks[open_[0] - 1]
                said = Statement(
                    ask.item, StatementKind.VALUE, clause.text, parse_length(ask.choices[0], "cm")
                )
                taken.answer(open_[0], [in_doubt(said, WHICH_REQUEST)], corrects=False)
                self.clauses[at] = replace(clause, fate=Fate.USED, about=(str(open_[0]),))

    def _leave(self, gone: Sequence[Need], fate: Fate) -> None:
        """Leave out needs that no person must see; what was unread in their words gets the fate."""
        self.needs = [n for n in self.needs if n not in gone]
        self.clauses = [
            replace(c, fate=fate, about=())
            if c.fate is Fate.UNREAD and any(c.text in n.text for n in gone)
            else c
            for c in self.clauses
        ]
