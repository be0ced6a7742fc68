"""Sampling inspection of what the readers accept: which numbers are looked at blind, and what was seen in them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class HandKind(StrEnum):
    """How well a sheet's hand is read, by the share of its numbers that was accepted."""

    CLEAR = "clear"
    MIXED = "mixed"
    HARD = "hard"


@dataclass(frozen=True)
class Weighed:
    """One number that a lot was drawn for. `eligible`: its confidence alone decides whether it is accepted."""

    confidence: float
    accepted: bool
    eligible: bool


@dataclass(frozen=True)
class Lot:
    """One sketch whose numbers were drawn lots for, each with the chance `share` (0 to 1) to be looked at blind.

    `numbers` are those that took part: every accepted one, and those not far under the bar. `version` names the
    readers, `paper` what the sketch is drawn on ("" where it is not known).
    """

    picture: str
    at: datetime
    version: str
    paper: str
    hand: HandKind
    unit: str
    share: float
    numbers: tuple[Weighed, ...]

    @property
    def accepted(self) -> int:
        return sum(n.accepted for n in self.numbers)


@dataclass(frozen=True)
class Look:
    """What one designer saw in the ink without knowing the reading; `told` "" where they could not tell."""

    by: str
    at: datetime
    told: str


class Verdict(StrEnum):
    """What the looks at one number say of its reading."""

    WAITING = "waiting"
    RIGHT = "right"
    WRONG = "wrong"
    UNTOLD = "untold"
    """Nobody could tell, or nobody looked in time: for the upper limit it counts as wrong."""


@dataclass(frozen=True)
class SpotCheck:
    """One number that was drawn to be looked at blind, by its index on the sketch, with what was read."""

    id: int
    picture: str
    number: int
    read: str
    weighed: Weighed
    looks: tuple[Look, ...] = ()


@dataclass(frozen=True)
class Tally:
    """What is counted of one job. Of its sketches: `lengths` read, `accepted` of them, `added` by people, `misplaced`
    where a person changed role or wall; of its customer's words the `clauses`, and those that were `unread`;
    `letters` that went out with so many `asks`. `version` and `paper` are those of its sketch, "" where there is none.
    """

    opened_at: datetime
    complete_at: datetime | None
    version: str = ""
    paper: str = ""
    lengths: int = 0
    accepted: int = 0
    added: int = 0
    misplaced: int = 0
    clauses: int = 0
    unread: int = 0
    letters: int = 0
    asks: int = 0
    desk_seconds: float = 0.0
