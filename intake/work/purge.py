"""What is kept of a job, for as long as the settings say after its last message, then deleted.

Originals are the message as it came, with its pictures and all that a camera writes into them, and the copies at full
resolution that were made for the readers. Pictures are the clean copies that the desk shows, words what the
customer wrote, letters what we wrote. What was concluded stays with the job; a job of which more than originals
went gets no letter any more, for it would ask for what was there.
"""

from __future__ import annotations

from datetime import datetime

from intake.model.errors import IntakeError
from intake.model.job import JobState
from intake.model.word import Stop
from intake.store.retention import PICTURES, Retention
from intake.work.services import Services

AT_ONCE = 200
"""Messages in one transaction."""
SHARE = 4
"""A purge of more than one in so many waits for a person's word: a slip in a setting must not destroy."""


class PurgeHeld(IntakeError):
    """So large a part of the originals would go that a person is to say that it is meant."""


def purge(services: Services, sure: bool = False) -> int:
    """Delete the originals whose time is over; returns of how many messages. Repeating it is harmless.

    `sure`: a person has said that it is meant, however many they are. Raises PurgeHeld.
    """
    if services.policy.retention is None:
        return 0
    before, done = services.clock() - services.policy.retention, 0
    if not sure:
        _brake(services, before)
    while True:
        with services.store.reading() as tables:
            past = tables.messages.past_retention(before, AT_ONCE)
            pictures = {sha256: tables.pictures.of_message(sha256) for sha256 in past}
        if not past:
            return done
        for sha256 in past:
            services.store.files.drop_raw(sha256)
            for picture in pictures[sha256]:
                services.store.files.drop_picture(f"{picture}-full.jpg")
        with services.store.transaction() as tables:
            tables.messages.note_purged(past, services.clock())
        done += len(past)


def purge_all(services: Services, sure: bool = False) -> dict[str, int]:
    """Delete everything whose time is over; returns how many originals, pictures, words and letters. Raises
    PurgeHeld."""
    done = {"originals": purge(services, sure)}
    for kind, kept_for in services.policy.keep.items():
        done[kind] = _purge_kind(services, kind, services.clock() - kept_for, sure)
    return done


def what_would_go(services: Services) -> dict[str, tuple[int, int]]:
    """Of each kind, how many would be deleted now, and of how many."""
    now, policy = services.clock(), services.policy
    with services.store.reading() as tables:
        keeping = Retention(tables.db)
        past = tables.messages.count_past_retention(now - policy.retention) if policy.retention else 0
        found = {"originals": (past, tables.messages.count_originals())}
        for kind, kept_for in policy.keep.items():
            found[kind] = keeping.count(kind, now - kept_for), keeping.count(kind)
    return found


def _purge_kind(services: Services, kind: str, before: datetime, sure: bool) -> int:
    done = 0
    with services.store.reading() as tables:
        past, kept = Retention(tables.db).count(kind, before), Retention(tables.db).count(kind)
    if not sure:
        _check_share(kind, past, kept)
    while True:
        with services.store.reading() as tables:
            rows = Retention(tables.db).over(kind, before, AT_ONCE)
        if not rows:
            return done
        for job in sorted({row.job for row in rows}):
            _stop(services, job, kind)
        if kind == PICTURES:
            for row in rows:
                services.store.files.drop_pictures_of(row.id)
        with services.store.transaction() as tables:
            Retention(tables.db).drop(kind, rows)
            for job in {row.job for row in rows} if kind == PICTURES else ():
                tables.jobs.change(job, photographs=None)  # to be counted anew
        done += len(rows)


def _stop(services: Services, job: str, kind: str) -> None:
    with services.store.transaction() as tables:
        if any(isinstance(w, Stop) for w in tables.jobs.words(job)):
            return
        reason = f"Its {kind} were deleted when their time was over."
        tables.jobs.change(job, state=JobState.STOPPED)
        tables.letters.withdraw(job)
        tables.jobs.decide(job, Stop(reason, by="intake", at=services.clock()))


def _brake(services: Services, before: datetime) -> None:
    with services.store.reading() as tables:
        past, kept = tables.messages.count_past_retention(before), tables.messages.count_originals()
    _check_share("originals", past, kept)


def _check_share(kind: str, past: int, kept: int) -> None:
    if past * SHARE > kept:
        raise PurgeHeld(
            f"{past} of {kept} {kind} would be deleted at once, more than a quarter; none was",
            "Check the settings; if it is meant, run `intake purge --sure`",
        )
