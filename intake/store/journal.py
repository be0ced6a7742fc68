"""What was handed over, written outside the database: a database restored from a backup does not know of it."""

from __future__ import annotations

import fcntl
import json
import os
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
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
        with _locked(self.path), self.path.open("ab", buffering=0) as file:
            file.write(line.encode() + b"\n")
            os.fsync(file.fileno())

    def forget(self, recipients: Collection[str]) -> int:
        """Take the letters to certain addresses out; returns how many lines that were."""
        with _locked(self.path):
            if not self.path.exists():
                return 0
            lines = self.path.read_bytes().splitlines(keepends=True)
            kept = [line for line in lines if not any(k.recipient in recipients for k in _letters([line]))]
            _rewrite(self.path, b"".join(kept))
        return len(lines) - len(kept)

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


def merge(path: Path, other: bytes) -> None:
    """Add those lines of another journal that are not in this one."""
    with _locked(path):
        lines = path.read_bytes().splitlines() if path.exists() else []
        _rewrite(path, b"".join(line + b"\n" for line in dict.fromkeys([*lines, *other.splitlines()])))


@contextmanager
def _locked(path: Path) -> Iterator[None]:
    """One process at a time, of those that share the folder: a line that comes while it is rewritten must not be
    lost."""
    with path.with_suffix(".lock").open("ab") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _rewrite(path: Path, content: bytes) -> None:
    part = path.with_suffix(".part")
    with part.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)


def _letters(lines: Iterable[bytes]) -> Iterator[LostLetter]:
    for line in lines:
        try:
            found = json.loads(line)
            found["handed_at"] = datetime.fromisoformat(found["handed_at"])
            yield LostLetter(**found)
        except (ValueError, TypeError, KeyError):
            continue  # a line that a power cut left half written
