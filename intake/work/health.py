"""What is wrong with the installation just now, each in a line that says what to do."""

from __future__ import annotations

import logging
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from threading import Lock, Thread

from intake.model.errors import IntakeError
from intake.model.letter import LetterState
from intake.store.database import Store, Tables
from intake.store.letters import KeptLetter
from intake.store.ticks import Tick, Ticks
from intake.work.send import SendingHeld, check_not_restored
from intake.work.services import Services

log = logging.getLogger(__name__)

LEAST_FREE = 2_000_000_000
"""Bytes: room for some 150 messages of 12.6 MB each, with which a person has days to act; common practice, no
source."""
OVERDUE = timedelta(hours=1)
"""A letter that is due and not gone for so long is stuck."""
MANY_TRIES = 3
"""Attempts at one letter after which somebody should look, though it goes on being tried."""
STILL = timedelta(minutes=30)
"""A worker that has done nothing for so long, or for three polls, stands still."""
GB = 1e9
"""Bytes (SI)."""


@dataclass(frozen=True)
class Watched:
    """What an installation is meant to do."""

    poll: timedelta = timedelta(minutes=5)
    has_mailbox: bool = False
    sends: bool = False

    @property
    def still(self) -> timedelta:
        return max(STILL, 3 * self.poll)


@dataclass(frozen=True)
class Trouble:
    """`what` is a word that stays the same while it lasts; `line` names no customer."""

    what: str
    line: str


def troubles(services: Services, watched: Watched) -> list[Trouble]:
    """Everything that is wrong now; nothing where all is well."""
    now = services.clock()
    found = [*_disk(services.store), *_database(services.store, now)]
    if any(trouble.what == "database" for trouble in found):
        return found
    with services.store.reading() as tables:
        ticks = Ticks(tables.db)
        steps, busy = ticks.all(), ticks.at_work(now)
        if watched.has_mailbox:
            found += _mailbox(steps.get("poll"), watched, now, busy)
        found += _letters(tables, now) if watched.sends else []
    if (worker := steps.get("worker")) and worker.fault:
        found.append(Trouble("worker-lost", worker.fault))
    if (stuck := steps.get("stuck")) and stuck.fault:
        found.append(
            Trouble("message-stuck", f"The mailbox does not hand out a message: {stuck.fault[:300]}")
        )
    found += _sending(services, steps.get("send"), watched)
    if (purge := steps.get("purge")) and purge.fault:
        found.append(Trouble("purge", f"Originals are not deleted in time: {purge.fault}"))
    return found


def _disk(store: Store) -> Iterator[Trouble]:
    free = shutil.disk_usage(store.folder).free
    if free < LEAST_FREE:
        yield Trouble("disk", f"The disk of {store.folder} has {free / GB:.1f} GB left. Free some space.")


def _database(store: Store, now: datetime) -> Iterator[Trouble]:
    """A row is written: a database that can be read may be full, or its disk mounted read-only."""
    try:
        with store.transaction(durable=False) as tables:
            Ticks(tables.db).note("health", now)
    except Exception as error:  # whatever the reason: nothing can be kept
        reason = str(getattr(error, "orig", error)).splitlines()[0][:200]
        yield Trouble("database", f"The database cannot be written: {reason}. No mail is taken until it can.")


def _mailbox(poll: Tick | None, watched: Watched, now: datetime, busy: bool) -> Iterator[Trouble]:
    if poll is None:
        return
    if poll.fault:
        good = f"{poll.good_at:%d %B %H:%M} UTC" if poll.good_at else "never"
        yield Trouble("mailbox", f"The mailbox was last reached {good}: {poll.fault}")
    elif now - poll.tried_at > watched.still and not busy:
        yield Trouble("worker", f"Nobody has looked into the mailbox since {poll.tried_at:%d %B %H:%M} UTC.")


def _letters(tables: Tables, now: datetime) -> Iterator[Trouble]:
    due = tables.letters.in_states((LetterState.DUE, LetterState.IN_DOUBT))
    stuck = [k for k in due if k.state is LetterState.DUE and (k.due_at or k.decided_at) < now - OVERDUE]
    tried = [k for k in due if k.state is LetterState.DUE and k.attempts >= MANY_TRIES]
    doubtful = [k for k in due if k.state is LetterState.IN_DOUBT]
    if stuck:
        yield Trouble("letters-stuck", f"{_letters_of(stuck)} should have gone an hour ago or more.")
    if tried:
        last = max(tried, key=lambda k: k.attempts)
        yield Trouble("letters-refused", f"{_letters_of(tried)} not taken yet after {last.attempts} tries.")
    if doubtful:
        yield Trouble(
            "letters-in-doubt", f"{_letters_of(doubtful)} may or may not have gone. Settle each on its job."
        )


def _letters_of(letters: list[KeptLetter]) -> str:
    jobs = sorted({k.job for k in letters})
    named = ", ".join(jobs[:5]) + (" and others" if len(jobs) > 5 else "")
    return f"{len(letters)} letter{'s' if len(letters) != 1 else ''} ({named})"


def _sending(services: Services, send: Tick | None, watched: Watched) -> Iterator[Trouble]:
    try:
        check_not_restored(services.store)
    except SendingHeld as held:
        yield Trouble("restored", held.line())
        return
    except IntakeError as error:
        yield Trouble("sending", error.line())
        return
    if watched.sends and send is not None and send.fault:
        yield Trouble("sending", f"No letter can be sent: {send.fault}")


class Watchman:
    """Looks when asked, and at most every `EVERY`: anybody may ask for the health page, and each look writes."""

    EVERY = timedelta(seconds=10)

    def __init__(self, services: Services, watched: Watched) -> None:
        self._services, self._watched = services, watched
        self._looked_at: datetime | None = None
        self._found: list[Trouble] = []
        self._lock = Lock()

    def wrong(self) -> list[Trouble]:
        """What is wrong, looked into anew where the last look was too long ago; waits for a database that is held."""
        with self._lock:
            if self._is_old():
                self._found, self._looked_at = troubles(self._services, self._watched), self._services.clock()
            return self._found

    def known(self) -> list[Trouble]:
        """What was wrong when last looked, at once: a page must not wait for a database that mail is being filed in.
        A look that is due is begun beside it."""
        if self._looked_at is None:
            return self.wrong()
        if self._is_old() and not self._lock.locked():
            Thread(target=self._look, daemon=True).start()
        return self._found

    def _is_old(self) -> bool:
        now = self._services.clock()
        return self._looked_at is None or not timedelta(0) <= now - self._looked_at < self.EVERY

    def _look(self) -> None:
        try:
            self.wrong()
        except Exception:
            log.exception("what is wrong could not be looked into")
