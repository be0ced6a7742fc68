"""What became of one attempt to hand over a letter."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol


class Handed(StrEnum):
    """What became of it."""

    SENT = "sent"
    REFUSED = "refused"
    """Never to be tried again."""
    TRY_AGAIN = "try-again"
    """Surely not accepted."""
    IN_DOUBT = "in-doubt"
    """Nobody can tell."""


@dataclass(frozen=True)
class Outcome:
    """`answer` is the server's own words, or ours where it said nothing."""

    state: Handed
    answer: str


class Postbox(Protocol):
    def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome:
        """Hands over one letter. Raises nothing: every fault is an outcome."""
        ...
