"""Messages read in a bounded child process, so that no mail can stop or hold this one."""

from __future__ import annotations

import json
from copy import copy
from datetime import datetime
from pathlib import Path

from intake.cell.keeper import Keeper, Overrun
from intake.mailbox.spool import too_large
from intake.mailbox.wire import unpacked
from intake.model.errors import Unreadable
from intake.model.message import Message

SECONDS = 10
"""Of processor time; the largest honest message takes two."""
MESSAGES_A_CHILD = 2_000
"""A new child after so many, so that nothing that leaks adds up (set by hand)."""


class MailReader:
    """Owns the child. Safe to share between threads; one message at a time goes through it. Close it when done."""

    def __init__(self, ours: frozenset[str] = frozenset(), seconds: int = SECONDS) -> None:
        """`ours` are our own addresses, whose words and pictures in a forward never count."""
        self._ours = sorted(ours)
        self._cell = Keeper("intake.mailbox.worker", seconds, MESSAGES_A_CHILD)

    def of(self, ours: frozenset[str]) -> MailReader:
        """A reader for other addresses of our own, through the same child."""
        reader = copy(self)
        reader._ours = sorted(ours)
        return reader

    def read(self, path: Path, received_at: datetime, sha256: str) -> Message:
        """The message in a file, the SHA-256 of whose bytes is known. Raises Unreadable with the reason, also where it
        takes more time or memory than one message may; CellBroken where the child cannot be started."""
        too_large(path.stat().st_size)
        request = {"sha256": sha256, "received_at": received_at.isoformat(), "ours": self._ours}
        try:
            with path.open("rb") as raw:
                header, blobs = self._cell.ask(request, [raw])
            if "unreadable" in header:
                raise Unreadable(str(header["unreadable"])[:300])
            return unpacked(json.loads(blobs[0]), blobs[1:])
        except Overrun as overrun:
            raise Unreadable("it takes more time or memory to be read than one message may") from overrun
        except (KeyError, TypeError, ValueError, IndexError, RecursionError) as nonsense:
            raise Unreadable("what its reading gave makes no sense") from nonsense

    def without(self) -> tuple[str, ...]:
        """What of its locks the child could not have, in words. Raises CellBroken."""
        return self._cell.without()

    def close(self) -> None:
        self._cell.close()
