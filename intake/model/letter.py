"""A follow-up to a customer."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from intake.model.checklist import RoomKind
from intake.model.message import Address
from intake.model.phrase import Phrase
from intake.model.word import Statement


class LetterKind(StrEnum):
    FOLLOW_UP = "follow-up"
    REMINDER = "reminder"
    COMPLETE = "complete"
    """Thanks: nothing is wanted any more."""
    OWN = "own"
    """A designer's own words."""
    GUIDE = "guide"
    """The measuring guide, with the sheet to print."""
    CALL = "call"
    """The invitation to the design call."""


OF_THE_DESK = (LetterKind.OWN, LetterKind.GUIDE, LetterKind.CALL)
"""Those that a designer has written; the others are decided by the rules."""


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
    """One numbered request in a letter. `item` is the checklist id, "" where a designer asks for something of their
    own; `question` is the sentence; `how`, `why` follow it.

    `beside` are the kinds of opening that this reading stands next to on its wall, or is the width of ("door", "left of
    door"), and the side of the page that its wall is on ("left wall"). `also` are further items that the same request
    covers. `drawing` names the small drawing beside it. `picture` and
    `number` locate the reading in question, so that the caller can cut `crop`, a PNG of its ink; `choices` are the
    texts it may say ("386.5", "380.5").
    """

    item: str
    question: str
    how: str = ""
    why: str = ""
    caution: str = ""
    choices: tuple[str, ...] = ()
    crop: bytes | None = field(default=None, repr=False)
    also: tuple[str, ...] = ()
    drawing: str = ""
    picture: str = ""
    number: int | None = None
    optional: bool = False
    """It would help, but the design does not wait for it."""
    beside: tuple[str, ...] = ()
    opening: int | None = None
    """It asks what the opening is whose width is this number of the plan."""
    measures: bool = False
    """It asks what the number measures, not what it says."""
    reworded: str = ""
    """The program's own question, where a designer's words stand in its place."""

    @property
    def items(self) -> tuple[str, ...]:
        return tuple(filter(None, (self.item, *self.also)))


@dataclass(frozen=True)
class Letter:
    """A letter decided on but not yet words. `to`: who is answered, then who gets a copy (RFC 5322 3.6.3: Cc)."""

    job: str
    kind: LetterKind
    to: tuple[Address, ...]
    subject: str
    in_reply_to: str
    references: tuple[str, ...]
    thanks: str
    asks: tuple[Ask, ...]
    cautions: tuple[str, ...]
    held_because: Phrase | None = None
    due_at: datetime | None = None
    language: str = "en"
    greeted: tuple[str, ...] = ()
    """Names of all who wrote for the job since our last letter; () greets the addressee."""
    guide: RoomKind | None = None
    """The room whose measuring guide, with the sheet to print, goes with it."""
    note: str = ""
    """Words of a designer's own, in paragraphs that an empty line parts."""
    calendar: str = ""
    """The iCalendar object (RFC 5545) that goes with it."""
    unasked: tuple[str, ...] = ()
    """The program's own questions that a designer left out."""
    opening: str = ""
    """The program's own opening words, where a designer's stand in their place."""

    @property
    def items(self) -> tuple[str, ...]:
        """The checklist items it asks for, each once, in the letter's order."""
        return tuple(dict.fromkeys(item for ask in self.asks for item in ask.items))


@dataclass(frozen=True)
class Answer:
    """What a customer's reply says to the ask numbered `ask` (from 1).

    `choice` is the text chosen among the ask's choices, "" where the answer is something else; `picture` and `number`
    locate the reading that it settles. `opening` is the number whose opening is of the kind `choice`.
    """

    ask: int
    statement: Statement
    choice: str = ""
    picture: str = ""
    number: int | None = None
    opening: int | None = None
