"""What has been taken from a message so far, as its sentences are read one after another."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from intake.domain.lengths.notation import parse_length
from intake.domain.words.allotment import LOOSE
from intake.domain.words.of_an_opening import kind_told
from intake.domain.words.weighing import SAID_OTHERWISE, TWO_LENGTHS, WHICH_REQUEST, in_doubt
from intake.model.letter import Answer, Ask
from intake.model.word import Statement, StatementKind

_STANDING = (StatementKind.VALUE, StatementKind.ABSENCE)
TOLD = (*_STANDING, StatementKind.PLACE)


@dataclass
class Taken:
    """The statements and the answers of the message `key`; `asks` are those of the letter that it answers."""

    key: str
    asks: Sequence[Ask]
    statements: list[Statement] = field(default_factory=list)
    answers: list[Answer] = field(default_factory=list)

    def every(self) -> list[Statement]:
        """All statements, those of the answers among them."""
        return [*self.statements, *(a.statement for a in self.answers)]

    def items(self) -> set[str]:
        """The items that something was said of."""
        return {s.item for s in self.every()}

    def settled(self) -> set[str]:
        """The items of which a length was said."""
        return {s.item for s in self.every() if s.value_mm is not None}

    def lengths(self) -> frozenset[int]:
        """The lengths that were said, in millimetres."""
        return frozenset(s.value_mm for s in self.every() if s.value_mm is not None)

    def take(self, found: Sequence[Statement]) -> None:
        """Add what was said unasked; what corrects stands in place of what was said before."""
        corrected = {s.item for s in found if s.corrects}
        self.statements = [s for s in self.statements if s.item not in corrected]
        self.statements += [replace(s, message=self.key) for s in found]

    def answer(self, ask: int, given: Sequence[Statement], corrects: bool) -> None:
        """Add the answers to the request numbered `ask`."""
        if given and corrects:
            anew = {s.item for s in given}
            self.answers = [a for a in self.answers if a.ask != ask or a.statement.item not in anew]
        self.answers += [in_answer(s, ask, self.asks[ask - 1], self.key) for s in given]

    def answer_each(self, given: Iterable[tuple[int, Statement]], corrects: bool) -> None:
        """Add answers to several requests."""
        for ask, statement in given:
            self.answer(ask, [statement], corrects)

    def weaken(
        self, said: Sequence[Statement], doubt: str, kinds: Container[StatementKind] = _STANDING
    ) -> None:
        """Make what a sentence said doubtful, where it is of one of the kinds."""
        weak = {(s.item, s.value_mm) for s in said if s.kind in kinds}
        self.statements = [_weakened(s, weak, doubt, kinds) for s in self.statements]
        self.answers = [
            replace(a, statement=_weakened(a.statement, weak, doubt, kinds), choice="")
            if _hit(a.statement, weak, kinds)
            else a
            for a in self.answers
        ]

    def doubt_what_differs(self) -> None:
        """Make doubtful what cannot stand side by side: two lengths of one number, a place and an absence."""
        for ask in {a.ask for a in self.answers if a.number is not None}:
            told = [
                a.statement for a in self.answers if a.ask == ask and a.statement.kind is StatementKind.VALUE
            ]
            if len({s.value_mm for s in told}) > 1:
                self.weaken(told, TWO_LENGTHS)
        places = {s.item for s in self.every() if s.kind is StatementKind.PLACE}
        self.weaken(
            [s for s in self.every() if s.kind is StatementKind.ABSENCE and s.item in places],
            SAID_OTHERWISE,
        )

    def settle_yes(self) -> None:
        """Make certain a yes that can be to nothing else: every other number that the letter asks about is answered."""
        asked = {n for n, a in enumerate(self.asks, 1) if a.number is not None}
        certain = {a.ask for a in self.answers if a.statement.kind is StatementKind.VALUE}
        for at, answer in enumerate(self.answers):
            only = len(asked) > 1 and asked - certain == {answer.ask}
            if only and answer.statement.doubt == WHICH_REQUEST and answer.statement.value_mm is not None:
                sure = replace(answer.statement, kind=StatementKind.VALUE, doubt="")
                self.answers[at] = in_answer(sure, answer.ask, self.asks[answer.ask - 1], self.key)

    def leave_loose(self, text: str, of: Mapping[int | None, str]) -> None:
        """Leave out what the sentence `text` made doubtful and what is of another thing; `of` are lengths and their
        items."""

        def loose(said: Statement) -> bool:
            return said.text == text and said.doubt in LOOSE and of.get(said.value_mm, said.item) != said.item

        self.statements = [s for s in self.statements if not loose(s)]
        self.answers = [a for a in self.answers if not loose(a.statement)]


def _hit(statement: Statement, weak: set[tuple[str, int | None]], kinds: Container[StatementKind]) -> bool:
    return (statement.item, statement.value_mm) in weak and statement.kind in kinds


def _weakened(
    statement: Statement, weak: set[tuple[str, int | None]], doubt: str, kinds: Container[StatementKind]
) -> Statement:
    if not _hit(statement, weak, kinds):
        return statement
    return replace(in_doubt(statement, doubt), settles=False)


def in_answer(statement: Statement, number: int, ask: Ask, message: str) -> Answer:
    """A statement as the answer to the request numbered `number`."""
    # An answer about one number of the plan settles that number, and nothing else of its item.
    if ask.measures and statement.kind is not StatementKind.COULD_NOT:
        # A length that is repeated tells nothing of what it measures.
        statement = replace(statement, kind=StatementKind.SAID, value_mm=None, doubt="")
    value = statement.kind is StatementKind.VALUE
    said = replace(statement, message=message, settles=value and ask.number is None)
    if ask.opening is not None:
        kind = kind_told(said.text) if said.kind is StatementKind.SAID else None
        return Answer(number, said, kind or "", ask.picture, opening=ask.opening)
    choice = _choice(said.value_mm, ask) if value else ""
    return Answer(number, said, choice, ask.picture, ask.number)


def _choice(value_mm: int | None, ask: Ask) -> str:
    return next((c for c in ask.choices if value_mm is not None and parse_length(c, "cm") == value_mm), "")
