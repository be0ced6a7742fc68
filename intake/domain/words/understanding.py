"""What one message says as a whole: its statements and answers, and what became of each of its clauses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from intake.domain.words.answers import answers
from intake.domain.words.statements import statements
from intake.model.checklist import Checklist, Statement
from intake.model.letter import Answer, Ask
from intake.model.need import Need


class Fate(StrEnum):
    """What became of a clause."""

    USED = "used"
    ASIDE = "not about the survey"
    UNREAD = "unread"


@dataclass(frozen=True)
class Clause:
    """A clause of a customer's words with what became of it; `about` are asks ("1"), items and openings."""

    text: str
    fate: Fate
    about: tuple[str, ...] = ()


@dataclass(frozen=True)
class Understood:
    """What one message says. `statements` are what it says unasked, `answers` what it says to the numbered asks."""

    statements: tuple[Statement, ...] = ()
    answers: tuple[Answer, ...] = ()
    clauses: tuple[Clause, ...] = ()
    needs: tuple[Need, ...] = ()


def understand(text: str, asks: Sequence[Ask], checklist: Checklist, message: str = "") -> Understood:
    """What `text`, a message's own words, says; `asks` are those of the letter that it answers, () for none."""
    return Understood(
        statements(text, checklist, message), answers(text, asks, checklist, message) if asks else ()
    )
