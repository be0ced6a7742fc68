"""A follow-up to a customer."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from intake.model.message import Address


class LetterState(StrEnum):
    DRAFT = "draft"
    """Waits for a designer's release."""
    HELD = "held"
    """The rules hold it back; `held_because` says why."""
    DUE = "due"
    CLAIMED = "claimed"
    SENT = "sent"
    FAILED = "failed"
    IN_DOUBT = "in-doubt"
    """Handed to the server with no certain answer; never sent again by itself."""
    SUPERSEDED = "superseded"


@dataclass(frozen=True)
class Ask:
    """One numbered request in a letter. `item` is the checklist id; `question` the sentence; `how`, `why` follow it.

    `crop` is a PNG of the ink in question; `choices` the texts it may say ("386.5", "380.5").
    """

    item: str
    question: str
    how: str = ""
    why: str = ""
    caution: str = ""
    choices: tuple[str, ...] = ()
    crop: bytes | None = field(default=None, repr=False)


@dataclass(frozen=True)
class Letter:
    """A letter decided on but not yet words. `kind` is follow-up, reminder or complete."""

    job: str
    kind: str
    to: tuple[Address, ...]
    subject: str
    in_reply_to: str
    references: tuple[str, ...]
    thanks: str
    asks: tuple[Ask, ...]
    cautions: tuple[str, ...]
    held_because: str | None = None
    due_at: datetime | None = None
