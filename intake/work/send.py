"""Send the letters that are due: claim one, commit, send outside any transaction, record what became of it."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import timedelta
from typing import Protocol

from intake.model.job import Event, JobState
from intake.model.letter import LetterState
from intake.store.letters import KeptLetter
from intake.work.services import Services

LEASE = timedelta(minutes=10)


class Outcome(Protocol):
    """What the server made of one letter: `state` is sent, refused, try-again or in-doubt."""

    @property
    def state(self) -> str: ...

    @property
    def answer(self) -> str: ...


class Postbox(Protocol):
    def send(self, recipients: tuple[str, ...], raw: bytes) -> Outcome: ...
