"""What a sentence that names no request by its number says to one all the same."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from intake.domain.words.answer_to_request import AnswerReader
from intake.domain.words.clause import Clause
from intake.domain.words.concepts import Concept as C
from intake.domain.words.numbers import every_reading, reading_of
from intake.domain.words.of_a_number import WHERE_IT_STANDS, both_offered, near, offers, same_ink
from intake.domain.words.order import Unnumbered
from intake.domain.words.places_in_order import LEAST_PLACES, is_a_place, places_in_order
from intake.domain.words.said_of_items import SentenceReader
from intake.domain.words.taken import Taken
from intake.domain.words.weighing import WHICH_REQUEST, weakened, weighed
from intake.model.checklist import Checklist
from intake.model.letter import Ask
from intake.model.word import Statement, StatementKind

_YET = re.compile(r"\b(?:but|except|only|though|although|aber|nur|außer)\b", re.I)
_CERTAIN = (StatementKind.VALUE, StatementKind.ABSENCE, StatementKind.PLACE)


@dataclass(frozen=True)
class UnnumberedAnswer:
    """The answers of one message to requests that it does not number, added to what is `taken`; `read` takes words
    apart. What may be to another request is doubtful."""

    asks: Sequence[Ask]
    checklist: Checklist
    taken: Taken
    unnumbered: Unnumbered
    read: Callable[[str], SentenceReader]

    def offering(self, said: Statement) -> int:
        """The request that offers the length of a statement; 0 for none."""
        return next((n for n, ask in enumerate(self.asks, 1) if said.value_mm in offers(ask)), 0)

    def as_offered(self, said: Sequence[Statement], reader: SentenceReader) -> list[Statement]:
        """A length that was offered and stands without a stop before the name of another thing."""
        ask = self.offering(said[0])
        turned = reader.asked or reader.whole.has(C.HEDGE, C.HEARSAY, C.CHANGE, C.DISPUTE, C.TAKEN_BACK)
        answer = replace(said[0], item=self.asks[ask - 1].item, kind=StatementKind.VALUE, doubt="")
        return self._answer(ask, [answer], not turned, reader)

    def take(
        self, reader: SentenceReader, found: Sequence[Statement], of_pictures: Callable[[], bool]
    ) -> list[Statement]:
        """Lengths that were offered, a choice, a yes. `found` is what the sentence says of items; `of_pictures`: the
        message speaks of what it brings, and "this is the right one" may be an attachment."""
        taken: list[Statement] = []
        for told in (t for t in reader.told if not (t.used or reader.asked)):
            if ask := self.unnumbered.offered(told.clause, reader.text):
                own = self.read(reader.in_their_words(told.clause))
                said = AnswerReader(self.asks[ask - 1], self.checklist).read(own, own.read())
                said = weighed(
                    said, reader.whole, reader.clauses, {i.id: i.title for i in self.checklist.items}
                )
                if both_offered(reader.whole, self.asks[ask - 1]):
                    said = weakened(said, WHERE_IT_STANDS, StatementKind.VALUE)
                taken += self._answer(ask, said, True, reader)
                told.used = bool(said)
        if not taken and (ask := self.unnumbered.metered(reader.text)):
            said = AnswerReader(self.asks[ask - 1], self.checklist).read(reader, found)
            taken = self._answer(ask, said, True, reader)
        if taken or (taken := self._places(reader)):
            return [*taken, *self._confirmed_besides(reader)]
        if found or reader.whole.lengths or reader.whole.mentions:
            return self._yes_first(reader) or self._confirmed_besides(reader)
        ask, certain = self.unnumbered.chosen(reader.whole.text)
        if ask:
            said = AnswerReader(self.asks[ask - 1], self.checklist).read(reader, found)
            taken = self._answer(ask, said, certain and not of_pictures(), reader)
        return taken or self._yes_first(reader)

    def _places(self, reader: SentenceReader) -> list[Statement]:
        """ "In your order: hallway, porch, loft, utility": places and nothing else, of as many things as one request
        asks for and nothing was told of."""
        told = self.taken.items()
        for number, ask in enumerate(self.asks, 1):
            items = [i for i in map(self.checklist.item, ask.items) if i is not None and not i.range_mm]
            if len(items) < LEAST_PLACES or told.intersection(ask.items) or reader.whole.lengths:
                continue
            if found := places_in_order(reader, items):
                for each in reader.told:
                    each.used |= not any(s.doubt for s in found) or is_a_place(each.clause.text)
                return self._answer(number, found, True, reader)
        return []

    def _confirmed_besides(self, reader: SentenceReader) -> list[Statement]:
        """ "38, 156, and the other one you read right": a yes of its own beside what the sentence says to others."""
        found = [
            (told, *self.unnumbered.chosen(told.clause.text))
            for told in reader.told
            if not (told.used or told.clause.lengths or told.clause.mentions)
        ]
        taken: list[Statement] = []
        for told, ask, certain in sorted(found, key=lambda each: not each[2]):
            told.used |= bool(ask) and ask in {a.ask for a in self.taken.answers}
            if ask and not told.used and len(self.asks[ask - 1].choices) == 1:
                said = AnswerReader(self.asks[ask - 1], self.checklist).read(self.read(told.clause.text), [])
                taken += self._answer(ask, said, certain and not reader.asked, reader)
                told.used = bool(said)
        return taken

    def _yes_first(self, reader: SentenceReader) -> list[Statement]:
        """ "Yes, 90/210/13.": a yes with other things after it, where the letter asks whether one number is right."""
        ask, words, certain = self.unnumbered.first(reader)
        if not ask or any(a.ask == ask for a in self.taken.answers):
            return []
        said = AnswerReader(self.asks[ask - 1], self.checklist).read(self.read(words), [])
        return self._answer(
            ask, said, certain and not self._and_yet(reader.whole, self.asks[ask - 1]), reader
        )

    def _and_yet(self, whole: Clause, ask: Ask) -> bool:
        """ "Right, except it's 284.5 at the top": after a yes another length that may be the same ink."""
        others = {v for n in whole.lengths for v in every_reading(n.number)} - offers(ask)
        return bool(_YET.search(whole.text)) and same_ink(others, ask)

    def _answer(
        self, ask: int, said: list[Statement], certain: bool, reader: SentenceReader
    ) -> list[Statement]:
        """Take an answer to a request that the customer did not name."""
        given = said if certain else weakened(said, WHICH_REQUEST, *_CERTAIN)
        self.taken.answer(ask, given, reader.corrects)
        return given


def goes_on(whole: Clause, ask: Ask) -> bool:
    """Whether a sentence after the answer to a request about a number goes on to something else: no length in it is
    near what was read."""
    values = [reading_of(v.number, None).values_mm for v in whole.lengths]
    return bool(values) and ask.number is not None and not any(near(v, ask) for vs in values for v in vs)
