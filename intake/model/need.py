"""What waits for a person in a job: words that nobody has understood, a telephone call, a question to us."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from intake.model.phrase import Phrase


class NeedKind(StrEnum):
    """Why a person must look."""

    HAZARD = "hazard"
    """The customer tells of a danger: gas, carbon monoxide, live wires, water, asbestos, a fall."""
    PHONE = "phone"
    """The customer asks to be phoned."""
    DISPUTE = "dispute"
    """The customer says that the plan is wrong, or that something in the room will change."""
    QUESTION = "question"
    """The customer asks us something."""
    UNREAD = "unread"
    """Words that may be about the survey and were not understood."""
    UNSETTLED = "unsettled"
    """The customer answered our letter, what was asked is still open, and no further letter asks again."""
    STOP = "stop"
    """The customer asks us to write no more."""
    LOOK = "look"
    """A number that a letter would ask about, and that a designer may settle with one look at its ink."""
    OPENING = "opening"
    """What a letter would ask about a door or a window, and a designer may settle with one look at the sketch."""
    MEASURES = "measures"
    """What a number measures: the customer was asked and has answered, and only a designer settles it."""
    MISREAD = "misread"
    """A number that was accepted says something else to whoever looks at its ink without the reading."""


AT_ONE_LOOK = (NeedKind.LOOK, NeedKind.OPENING)
"""What a letter waits for a set time only."""


@dataclass(frozen=True)
class Need:
    """One thing that waits for a person. `text` are the customer's words, `message` the key of the message they stand
    in (of a number its picture and its place there); `why` a person must look. `values_mm` are the lengths in the
    words, `items` the checklist items that they may be about."""

    kind: NeedKind
    text: str
    why: Phrase
    message: str = ""
    values_mm: tuple[int, ...] = ()
    items: tuple[str, ...] = ()
    strange: bool = False
    """Nobody vouches for whoever wrote it: no letter waits for it."""

    @property
    def key(self) -> str:
        """What a decision calls it: what is drawn by its place, whatever else of the sketch is settled meanwhile.
        Guesses of several lengths in one sentence are settled one by one."""
        if self.kind in (NeedKind.OPENING, NeedKind.MEASURES):
            return f"{self.kind} {self.message}"
        guess = self.kind is NeedKind.UNSETTLED and self.values_mm and len(self.items) == 1
        which = f" {self.items[0]} {' '.join(map(str, self.values_mm))}" if guess else ""
        return f"{self.kind} {self.message}{which} {self.text}"[:400]
