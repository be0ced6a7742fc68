"""What the customer's own mail says, message by message, as words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from intake.domain.said.heights import door_heights
from intake.domain.words.fates import JudgedClause
from intake.domain.words.taken_together import taken_together
from intake.domain.words.whole_message import understand
from intake.model.checklist import Checklist
from intake.model.letter import Answer, Ask
from intake.model.need import Need
from intake.model.reading import OpeningKind, Role
from intake.model.word import NumberWord, PlanNumber, Statement, StatementKind, Way, Word


@dataclass(frozen=True)
class OwnWords:
    """The own words of one message that counts. `asks` are those of the letter that it answers, () for none."""

    message: str
    by: str
    at: datetime
    text: str
    asks: tuple[Ask, ...] = ()


@dataclass(frozen=True)
class MailHeard:
    """What messages say together. `clauses` is what became of each clause, by the key of the message."""

    words: tuple[Word, ...]
    clauses: Mapping[str, tuple[JudgedClause, ...]]
    needs: tuple[Need, ...]


def heard(messages: Sequence[OwnWords], checklist: Checklist) -> MailHeard:
    """`messages` in the order in which they came."""
    found = [understand(m.text, m.asks, checklist, m.message) for m in messages]
    given, said = taken_together(found)
    written = {m.message: m for m in messages}
    numbered = {a.statement: PlanNumber(a.picture, a.number) for a in given if a.number is not None}
    openings = {
        (a.statement.message, a.statement.text): PlanNumber(a.picture, a.opening)
        for a in given
        if a.opening is not None and a.choice
    }
    statements = [
        _signed(replace(s, number=numbered.get(s), opening=openings.get((s.message, s.text))), written)
        for s in said
    ]
    doors = [
        replace(height, by=m.by, at=m.at)
        for m in messages
        for height in door_heights(m.text, checklist.room.value)
    ]
    words = (*number_words(given, written), *opening_words(given, written), *statements, *doors)
    return MailHeard(words, {u.message: u.clauses for u in found}, tuple(n for u in found for n in u.needs))


def number_words(given: Sequence[Answer], written: Mapping[str, OwnWords] | None = None) -> list[NumberWord]:
    """What answers settle about single numbers of a plan; doubtful ones settle nothing."""
    return [
        _on_number(answer, answer.number, (written or {}).get(answer.statement.message))
        for answer in given
        if answer.statement.kind is StatementKind.VALUE and answer.number is not None
    ]


def opening_words(given: Sequence[Answer], written: Mapping[str, OwnWords]) -> list[NumberWord]:
    """What answers say that openings are."""
    return [
        NumberWord(
            PlanNumber(a.picture, a.opening),
            role=Role.OPENING,
            opening=OpeningKind(a.choice),
            quote=a.statement.text.strip(),
            by=message.by if (message := written.get(a.statement.message)) else "",
            at=message.at if message else None,
            way=Way.MAIL,
        )
        for a in given
        if a.opening is not None and a.choice and a.statement.kind is StatementKind.SAID
    ]


def _on_number(answer: Answer, number: int, message: OwnWords | None) -> NumberWord:
    said = answer.statement
    return NumberWord(
        PlanNumber(answer.picture, number),
        answer.choice or said.text.strip(),
        said.value_mm,
        quote=said.text.strip(),
        by=message.by if message else "",
        at=message.at if message else None,
        way=Way.MAIL,
    )


def _signed(statement: Statement, written: Mapping[str, OwnWords]) -> Statement:
    message = written.get(statement.message)
    return replace(statement, by=message.by, at=message.at) if message else statement
