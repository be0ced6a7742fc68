"""What the rest of the program asks of a mailbox, whichever kind it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Protocol

from intake.model.message import Locator


class Delivery(Protocol):
    """One message lying in a mailbox."""

    @property
    def locator(self) -> Locator: ...

    @property
    def wants_mark(self) -> bool:
        """Whether the settings ask for a mark that it does not bear yet."""
        ...

    def fetch(self, to: Path) -> datetime:
        """Writes the raw bytes to the file `to`, never holding more than a chunk, and returns when it arrived (UTC).

        Raises MessageGone where a person took it away meanwhile, MessageStuck where the mailbox hands out
        others and not this one, MailboxUnreachable where it failed.
        """
        ...

    def mark(self) -> None:
        """Marks or moves the message where the settings ask for that. Repeating it is harmless."""
        ...


class Mailbox(Protocol):
    """A place where messages arrive."""

    def deliveries(self) -> Iterator[Delivery]:
        """Everything that lies there now, oldest first. Raises MailboxUnreachable."""
        ...

    def holding(self, message_ids: Sequence[str], since: datetime) -> set[str]:
        """Those of our own letters' Message-IDs that a message bears which lies here, or where what was sent is kept.
        None of the letters is older than `since`.

        Raises MailboxUnreachable.
        """
        ...

    def close(self) -> None: ...
