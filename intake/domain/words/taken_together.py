"""What all of a customer's messages say together: a later one may correct or take back what an earlier one said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from intake.domain.words.weighing import ANOTHER_UNIT, TWO_FOR_ONE, in_doubt
from intake.domain.words.whole_message import Understood
from intake.model.letter import Answer
from intake.model.word import Statement, StatementKind

TAKEN_BACK = "doubt-taken-back-later"
ONE_OF_SEVERAL = (ANOTHER_UNIT, TWO_FOR_ONE)
"""Doubts of lengths of which only one is meant."""


@dataclass(frozen=True)
class _Said:
    statement: Statement
    answer: Answer | None = None
    message: int = 0


def taken_together(messages: Sequence[Understood]) -> tuple[tuple[Answer, ...], tuple[Statement, ...]]:
    """The answers and all statements (those of the answers among them), in the order in which they were written.

    An answer to a request, and what is said in correction, stands in place of what was said of the item before. A
    length that a later message denies, or gives otherwise but doubtfully, and all of a message that it withdraws,
    becomes doubtful. What stands on the plan is not touched: where it disagrees, both are shown.
    """
    said: list[_Said] = []
    for number, message in enumerate(messages):
        said = [_seen_from(earlier, message, number) for earlier in said]
        anew = {a.statement.item for a in message.answers if a.statement.settles}
        corrected = anew | {
            s.item for s in message.statements if s.corrects and s.kind is StatementKind.VALUE
        }
        said = [s for s in said if s.statement.item not in corrected or _of_a_number(s)]
        anew_of = {_of(a) for a in message.answers if a.statement.kind is StatementKind.VALUE} - {None}
        said = [s for s in said if s.answer is None or _of(s.answer) not in anew_of]
        said += [_Said(s, None, number) for s in message.statements]
        said += [_Said(a.statement, a, number) for a in message.answers]
    given = tuple(replace(s.answer, statement=s.statement) for s in said if s.answer is not None)
    return given, tuple(s.statement for s in said)


def _of(answer: Answer) -> tuple[str, int] | None:
    """The number of a plan that an answer is about."""
    return (answer.picture, answer.number) if answer.number is not None else None


def _of_a_number(said: _Said) -> bool:
    """An answer about one number of the plan says nothing of the others of its item."""
    return said.answer is not None and said.answer.number is not None


def _answered_otherwise(earlier: _Said, message: Understood) -> bool:
    """Whether a later message gives another length, if only a doubtful one, for the same number of the plan."""
    before = earlier.answer
    return before is not None and any(
        a.number is not None
        and _of(a) == _of(before)
        and a.statement.kind is StatementKind.DOUBTFUL
        and a.statement.value_mm not in (None, before.statement.value_mm)
        for a in message.answers
    )


def _seen_from(earlier: _Said, message: Understood, number: int) -> _Said:
    denied = earlier.statement.value_mm in message.denied_mm or _answered_otherwise(earlier, message)
    withdrawn = message.withdraws and earlier.message == number - 1
    named = {
        s.item
        for s in message.statements
        if s.corrects and s.kind is StatementKind.DOUBTFUL and s.value_mm is None
    }
    if not (denied or withdrawn or earlier.statement.item in named):
        return earlier
    if earlier.statement.kind not in (StatementKind.VALUE, StatementKind.ABSENCE, StatementKind.PLACE):
        return earlier
    weak = replace(in_doubt(earlier.statement, TAKEN_BACK), settles=False)
    return replace(earlier, statement=weak)


def meanings(found: Sequence[Statement]) -> list[tuple[Statement, ...]]:
    """Doubtful statements, those together that are meanings of the same words, of which one stands: "recess 6 in"."""
    together: dict[object, tuple[Statement, ...]] = {}
    for at, said in enumerate(found):
        one = said.doubt in ONE_OF_SEVERAL and said.value_mm is not None
        key = (said.message, said.item, said.text) if one else at
        together[key] = (*together.get(key, ()), said)
    return list(together.values())
