"""What became of one attempt to hand over a letter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True)
class Outcome:
    """`state` is sent, refused (never again), try-again (surely not accepted) or in-doubt (nobody can tell).

    `answer` is the server's own words, or ours where it said nothing.
    """

    state: str
    answer: str


class Postbox(Protocol):
    def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome:
        """Hands over one letter. Raises nothing: every fault is an outcome."""
        ...
