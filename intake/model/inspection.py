"""Sampling inspection of what the readers accept: which numbers are looked at blind, and what was seen in them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, fields
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any, NamedTuple


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
    `version` names the readers, `paper` what the sketch is drawn on ("" where it is not known)."""

    picture: str
    at: datetime
    version: str
    paper: str
    hand: HandKind
    unit: str
    share: float

    @property
    def month(self) -> str:
        return f"{self.at:%Y-%m}"


class CountedLot(NamedTuple):
    """A lot as figures are made of it; a plain tuple, as there are many. `numbers` are those that took part, every
    accepted one and those not far under the bar, with what became of each (intake.domain.inspection.packing)."""

    version: str
    paper: str
    month: str
    hand: str
    share: float
    numbers: bytes

    @property
    def cell(self) -> Cell:
        return self.month, self.version, self.paper


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


PAUSE = timedelta(minutes=5)
"""Who does nothing for so long is not at the desk."""
FIRST_ACT = timedelta(seconds=30)
"""What is supposed to have gone before an act that follows a pause."""


def time_spent(before: datetime | None, at: datetime) -> timedelta:
    """How long somebody was at the desk for one act, who did the last thing `before`."""
    gap = at - before if before is not None else PAUSE
    return gap if gap < PAUSE else FIRST_ACT


@dataclass(frozen=True)
class Tally:
    """What is counted of one job. Of its sketches: `lengths` read, `accepted` of them, `added` by people, `misplaced`
    where a person changed role or wall; of its customer's words the `clauses`, and those that were `unread`.
    `version` and `paper` are those of its sketch, "" where there is none.
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


@dataclass(frozen=True)
class Shares:
    """`seen` of `of` counted over so many jobs, with the sums over jobs of their squares and products."""

    jobs: int = 0
    seen: int = 0
    of: int = 0
    seen_seen: int = 0
    seen_of: int = 0
    of_of: int = 0

    @classmethod
    def over(cls, counts: Iterable[tuple[int, int]]) -> Shares:
        """Of (seen, of) a job."""
        return sum((cls(1, s, n, s * s, s * n, n * n) for s, n in counts), cls())

    def __add__(self, other: Shares) -> Shares:
        return Shares(*(getattr(self, f.name) + getattr(other, f.name) for f in fields(self)))


@dataclass(frozen=True)
class JobCounts:
    """What is counted of some jobs. `recall`, `placed`, `letters_complete`, `days` and `minutes` are of complete ones
    alone; the last two say how many jobs took how many days from the first message, and minutes at the desk."""

    jobs: int = 0
    complete: int = 0
    letters: int = 0
    letters_complete: int = 0
    asks: int = 0
    acceptance: Shares = Shares()
    recall: Shares = Shares()
    placed: Shares = Shares()
    understood: Shares = Shares()
    days: Counter[float] = field(default_factory=Counter)
    minutes: Counter[float] = field(default_factory=Counter)

    @classmethod
    def total(cls, some: Sequence[JobCounts]) -> JobCounts:
        """What is counted of all of these together."""
        days, minutes = Counter[float](), Counter[float]()
        for each in some:
            days.update(each.days)
            minutes.update(each.minutes)
        summed: dict[str, Any] = {
            f.name: sum((getattr(each, f.name) for each in some), getattr(cls, f.name))
            for f in fields(cls)
            if f.name not in ("days", "minutes")
        }
        return cls(**summed, days=days, minutes=minutes)

    def __add__(self, other: JobCounts) -> JobCounts:
        return self.total((self, other))


Cell = tuple[str, str, str]
"""A month, a version of the readers, and a paper."""
