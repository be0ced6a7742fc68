"""What the rules ask of the messages that are already filed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from intake.model.checklist import RoomKind


@dataclass(frozen=True)
class Card:
    """The index card of one filed message.

    `key` is the SHA-256 of its raw bytes, `id` its Message-ID ("" for none), `refers` the ids it answers or cites.
    `sender` is the address it is credited to ("" for nobody's), `via` who forwarded it (never our own staff).
    `recipients` are the other addresses in To, Cc and Reply-To. `room` is what it names, `topic` its bare subject,
    `named` the job references it names. `at` is when it was sent. `job` is the job it lies in; `fixed` is set where
    it must stay there: a designer put it there, or a letter about the job has gone out.
    """

    key: str
    id: str
    refers: tuple[str, ...]
    sender: str
    via: str
    recipients: tuple[str, ...]
    room: RoomKind
    topic: str
    named: tuple[str, ...]
    at: datetime
    job: str = ""
    fixed: bool = False
    vouched: bool = True
    """Our mail server, or a designer, vouches for who wrote it."""
    automatic: bool = False
    """A machine wrote it; nothing rests on it."""

    @property
    def author(self) -> str:
        """Whose hand it came from: the forwarder of a forward."""
        return self.via or self.sender

    @property
    def sound(self) -> bool:
        """Whether it may bring messages together: its words are somebody's, and that somebody is who it says."""
        return self.vouched and not self.automatic
