"""A person's word on a job: who said it, when, by mail or at the desk, and about what.

Everything that people say is one of these. Nothing that was read is changed by one; the fold
(`intake.domain.survey.fold`) lays them over what was read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any

from intake.model.checklist import ItemState, RoomKind
from intake.model.picture import Subject
from intake.model.reading import Box, GivenBy, OpeningKind, Role


class Way(StrEnum):
    """How a word came."""

    MAIL = "mail"
    DESK = "desk"


@dataclass(frozen=True, kw_only=True)
class Word:
    """`by` is the designer's name, or the customer's address; `id` the number that a word of the desk is kept under, 0
    for one that is read anew from its message each time."""

    by: str = ""
    at: datetime | None = None
    way: Way = Way.DESK
    id: int = 0

    @property
    def speaker(self) -> GivenBy:
        """customer or designer."""
        return GivenBy.CUSTOMER if self.way is Way.MAIL else GivenBy.DESIGNER

    @property
    def picture(self) -> str:
        """The id of the picture that it is about; "" where it is about none."""
        return ""


@dataclass(frozen=True)
class PlanNumber:
    """A number on a sketch, found again whatever else is undone: the one that was read as `read` (from 0), or the one
    that the word `added` added."""

    picture: str
    read: int | None = None
    added: int | None = None


# About the lengths


@dataclass(frozen=True)
class NumberWord(Word):
    """What a number on a sketch says and measures. None and "" leave what was read.

    `not_a_number`: the ink is something else. `confirmed`: it says what was read. A role or a wall alone tells what
    the number measures and leaves open what it says. `opening` says of what kind where the role is an
    opening's. `quote` are the words in which a customer answered.
    """

    number: PlanNumber
    text: str = ""
    value_mm: int | None = None
    role: Role | None = None
    opening: OpeningKind | None = None
    wall: int | None = None
    not_a_number: bool = False
    confirmed: bool = False
    quote: str = ""

    @property
    def picture(self) -> str:
        return self.number.picture

    @property
    def says(self) -> bool:
        """Whether it settles what the ink says, beside what it measures."""
        return bool(self.text) or self.confirmed


@dataclass(frozen=True)
class AddedNumber(Word):
    """A number that a person saw on the sketch and no reader did."""

    sketch: str
    text: str
    value_mm: int
    box: Box
    role: Role | None = None
    opening: OpeningKind | None = None
    wall: int | None = None

    @property
    def picture(self) -> str:
        return self.sketch

    @property
    def number(self) -> PlanNumber:
        """What later words call it."""
        return PlanNumber(self.sketch, added=self.id)


@dataclass(frozen=True)
class HeightWord(Word):
    """The height of an opening or of the ceiling: `role` is ceiling, sill, head or reveal, `text` the words.

    `opening` is the number that is the width of its window or door; None where the words do not say which. `door`:
    they speak of a door. `every`: of all of them. `settles`: it stands above what was read or told before.
    """

    role: Role
    text: str
    value_mm: int
    opening: PlanNumber | None = None
    door: bool = False
    every: bool = False
    settles: bool = False

    @property
    def picture(self) -> str:
        return self.opening.picture if self.opening else ""


@dataclass(frozen=True)
class TypedRoom(Word):
    """The whole room typed by hand: its text, and the same in the terms of docs/room-file.md."""

    text: str
    room: Mapping[str, Any] = field(hash=False)


# About the items of the checklist


class StatementKind(StrEnum):
    """What the customer's own words say of one item."""

    VALUE = "value"
    ABSENCE = "absence"
    PLACE = "place"
    SAID = "said"
    """Told in words what no length or place answers ("built in the 1930s")."""
    COULD_NOT = "could-not"
    """Could not be measured, or is promised for later."""
    DOUBTFUL = "doubtful"
    """Something like an answer, but guessed, asked or unclear; never a value."""


@dataclass(frozen=True)
class Statement(Word):
    """One thing that the customer's words say of the item `item`; `text` is the sentence as written, `message` the key
    of the message that it stands in.

    `value_mm` is the length it states (kept with DOUBTFUL too, for the screen); `doubt` is the key of why it is
    doubtful. `settles`: it answers a question of ours about this very item, so it stands above what was typed before.
    `corrects`: it stands in place of what the customer said of the item before. `number`: it answers a question about
    this number of a plan, and says nothing of the others of its item. `means`: what something doubtful says if it
    stands, an absence or a place; None for a length, and where nobody can tell. `opening`: it stands in the sentence
    that says what the opening is whose width this number is.
    """

    item: str
    kind: StatementKind
    text: str
    value_mm: int | None = None
    message: str = ""
    doubt: str = ""
    settles: bool = False
    corrects: bool = False
    number: PlanNumber | None = None
    means: StatementKind | None = None
    opening: PlanNumber | None = None
    way: Way = field(default=Way.MAIL, kw_only=True)


@dataclass(frozen=True)
class Confirmation(Word):
    """A designer's word on one item: `state` is confirmed, not-applicable, or missing and doubtful to ask again."""

    item: str
    state: ItemState
    note: str = ""
    value_mm: int | None = None


# About what waits for a person


@dataclass(frozen=True)
class NeedSeen(Word):
    """What waited was read, or the customer was phoned. `need` is the key of the need."""

    need: str
    note: str = ""


@dataclass(frozen=True)
class NeedTaken(Word):
    """A designer took a fact from the words of a need: `statement` is what the customer then says."""

    need: str
    statement: Statement


# About the job


@dataclass(frozen=True)
class ShownSubject(Word):
    """What a picture shows."""

    shown_on: str
    subject: Subject

    @property
    def picture(self) -> str:
        return self.shown_on


@dataclass(frozen=True)
class RoomWord(Word):
    """Which room the job is."""

    room: RoomKind


@dataclass(frozen=True)
class CustomerWord(Word):
    """Who the job's customer is; each may be empty."""

    name: str = ""
    email: str = ""
    phone: str = ""


@dataclass(frozen=True)
class Assigned(Word):
    """The account whose job it is; "" for nobody's."""

    designer: str


@dataclass(frozen=True)
class Archived(Word):
    """The job is done with, until another message comes than those (by SHA-256) that it had."""

    messages: tuple[str, ...]


@dataclass(frozen=True)
class Note(Word):
    text: str


@dataclass(frozen=True)
class Stop(Word):
    """No more letters."""

    reason: str


# About where messages belong; `decisions` are the ids of the words that went along


@dataclass(frozen=True)
class Merged(Word):
    """The job `other` is part of this one: its messages (by SHA-256), and the addresses that this one learned."""

    other: str
    messages: tuple[str, ...]
    decisions: tuple[int, ...] = ()
    addresses: tuple[str, ...] = ()


@dataclass(frozen=True)
class Split(Word):
    """Messages of this job are the job `new`."""

    new: str
    messages: tuple[str, ...]
    decisions: tuple[int, ...] = ()


@dataclass(frozen=True)
class Moved(Word):
    """A message belongs here and not in `left` ("": it lay in no job). `emptied`: nothing stayed there."""

    message: str
    left: str = ""
    decisions: tuple[int, ...] = ()
    emptied: bool = False


@dataclass(frozen=True)
class Brought(Word):
    """A message (by SHA-256) that the desk wrote down, with so many files that a customer brought another way."""

    message: str
    files: int = 0


@dataclass(frozen=True)
class KeptApart(Word):
    """The job `other`, which these messages offered for merging, is another room."""

    other: str
    messages: tuple[str, ...]


@dataclass(frozen=True)
class Vouched(Word):
    """A message (by SHA-256) is the customer's, or theirs whom the customer means, though nobody vouches for its sender
    or the customer has not written to them. `authentic`: our mail server did vouch for the sender."""

    message: str
    sender: str
    authentic: bool = False
