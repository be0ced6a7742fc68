"""What was handed over, written outside the database: a database restored from a backup does not know of it."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path

from intake.store.as_json import rfc3339
from intake.store.letters import LostLetter

TAIL = 16_384
"""Bytes at the end that are looked at before sending: a restored database lacks the latest letters first."""


class Journal:
    """One JSON line a letter, flushed to the disk before the letter is handed over."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def add(self, letter: LostLetter) -> None:
        line = json.dumps(
            {
                "message_id": letter.message_id,
                "job": letter.job,
                "recipient": letter.recipient,
                "in_reply_to": letter.in_reply_to,
                "handed_at": rfc3339(letter.handed_at),
                "attempt": letter.attempt,
            }
        )
        # One write in append mode: lines of several workers do not mix (POSIX write, O_APPEND).
        with self.path.open("ab", buffering=0) as file:
            file.write(line.encode() + b"\n")
            os.fsync(file.fileno())

    def latest(self) -> list[LostLetter]:
        """The letters of the last few kilobytes, the oldest first."""
        if not self.path.exists():
            return []
        with self.path.open("rb") as file:
            size = file.seek(0, os.SEEK_END)
            file.seek(max(0, size - TAIL))
            lines = file.read().split(b"\n")
        return list(_letters(lines if size <= TAIL else lines[1:]))

    def all(self) -> Iterator[LostLetter]:
        """Every letter ever handed over, the oldest first."""
        if self.path.exists():
            with self.path.open("rb") as file:
                yield from _letters(file)


def _letters(lines: Iterable[bytes]) -> Iterator[LostLetter]:
    for line in lines:
        try:
            found = json.loads(line)
            found["handed_at"] = datetime.fromisoformat(found["handed_at"])
            yield LostLetter(**found)
        except (ValueError, TypeError, KeyError):
            continue  # a line that a power cut left half written
