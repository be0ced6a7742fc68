"""A job: one customer's one room, with all that came for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from intake.model.checklist import RoomKind
from intake.model.message import Address
from intake.model.phrase import Phrase


class JobState(StrEnum):
    """What a job needs next, and from whom."""

    ARRIVING = "arriving"
    """Messages still coming in; nothing decided yet."""
    TO_CHECK = "to-check"
    """A designer must look: a doubtful reading or a letter to release."""
    ASKED = "asked"
    """A letter is with the customer."""
    COMPLETE = "complete"
    """Good enough to design on."""
    ARCHIVED = "archived"
    """Done with; it comes back when the customer writes again."""
    STOPPED = "stopped"
    """The customer or a designer stopped the letters."""


@dataclass(frozen=True)
class Job:
    """`id` is the reference printed in every letter's subject, e.g. "R-7K2M4"."""

    id: str
    room: RoomKind
    state: JobState
    customer: Address
    addresses: tuple[str, ...]
    opened_at: datetime
    last_message_at: datetime


@dataclass(frozen=True)
class Move:
    """Messages (by the SHA-256 of their bytes) that belong in another job than they lie in: `job`, or a new one of
    their own where it is None, or the job of the message that is being placed where it is ""."""

    messages: tuple[str, ...]
    job: str | None
    reason: Phrase


class PlacementRule(StrEnum):
    """What put a message where it lies. The first are the rules of grouping; filed, so the names stay."""

    NEW = "new"
    OUR_LETTER = "our-letter"
    THREAD = "thread"
    REFERENCE = "reference"
    FORWARD = "forward"
    SAME_SENDER = "same-sender"
    UNSURE = "unsure"
    STRANGER = "stranger"
    MOVED = "moved"
    """One that came late showed it to be misplaced."""
    OUR_COPY = "our-copy"
    APART = "apart"
    MERGED = "merged"
    """With its job into another, by the rules or by a designer."""
    PLACED = "placed"
    """A designer put it there, as those that follow."""
    SPLIT = "split"
    PUT_BACK = "put-back"


@dataclass(frozen=True)
class Placement:
    """Which job a message was put in, by which rule, and why.

    `job` None: a new job. `offers` are ids of jobs it may belong to as well, for a designer to merge. `merges` are ids
    of jobs that the rules had opened apart and that this message shows to be the same as `job`: merge them into it.
    `moves` are single messages that were placed before this one, which came late, had shown better.
    """

    job: str | None
    rule: PlacementRule
    reason: Phrase
    offers: tuple[str, ...] = ()
    merges: tuple[str, ...] = ()
    moves: tuple[Move, ...] = ()


class EventKind(StrEnum):
    """What a line of the timeline is about; a line that says the same as the latest of its kind is not added."""

    OPENED = "opened"
    MESSAGE = "message"
    ATTACHMENT = "attachment"
    READING = "reading"
    PICTURES = "pictures"
    CHECKLIST = "checklist"
    LETTER = "letter"
    """Drafted, sent, or found to have gone."""
    EDITED = "edited"
    RELEASED = "released"
    HELD = "held"
    DROPPED = "dropped"
    BOUNCED = "bounced"
    MERGED = "merged"
    UNMERGED = "unmerged"
    SPLIT = "split"
    UNSPLIT = "unsplit"
    MOVED = "moved"
    KEPT_APART = "kept-apart"
    VOUCHED = "vouched"
    HANDOVER = "handover"


@dataclass(frozen=True)
class Event:
    """One line of a job's timeline."""

    at: datetime
    kind: EventKind
    text: str
    by: str = "intake"
