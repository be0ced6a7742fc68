"""File one kept message: parse it, look at its pictures, and put it into a job with the reason."""

from __future__ import annotations

import logging
import secrets
from dataclasses import dataclass

from intake.model.checklist import RoomKind
from intake.model.errors import IntakeError, Unreadable
from intake.model.finding import Finding
from intake.model.job import Event, Job, JobState, Placement
from intake.model.message import Message
from intake.model.picture import Picture
from intake.rules.answering import Standing, standing_of
from intake.rules.grouping import place, room_named
from intake.rules.pictures import subject_of, verdicts
from intake.store.database import Tables
from intake.store.pictures import KeptPicture
from intake.work.services import LookedAt, Services

log = logging.getLogger(__name__)

ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Letters and figures that are not mistaken for one another when read aloud."""


@dataclass(frozen=True)
class SetAside:
    """A message kept whole that could not be read: the mailbox's name for it, and why."""

    file: str
    why: str


@dataclass(frozen=True)
class TakenIn:
    jobs: tuple[str, ...] = ()
    set_aside: SetAside | None = None
