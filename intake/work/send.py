"""Send the letters that are due: claim one, commit, send outside any transaction, record what became of it."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from intake.domain.mail.answering import too_many_today
from intake.domain.mail.rhythm import back_off
from intake.model.errors import IntakeError
from intake.model.job import Event, EventKind, JobState
from intake.model.letter import LetterKind, LetterState
from intake.model.phrase import Phrase, phrase
from intake.postbox.outcome import Handed, Outcome, Postbox
from intake.store.database import Store, Tables
from intake.store.letters import KeptLetter, LostLetter
from intake.wording.desk import worded
from intake.work.services import Services
from intake.work.workers import is_gone, new_worker

log = logging.getLogger(__name__)

LEASE = timedelta(minutes=10)
"""Longer than any server may take over one letter; a claim older than this was left by a crash."""
DAY = timedelta(days=1)
FIRST_AGAIN, LAST_AGAIN = timedelta(minutes=5), timedelta(hours=4)
MOST_ATTEMPTS = 33
"""Attempts with growing pauses: four and a half days in all; RFC 5321 4.5.4.1 asks for four to five at least."""
BEFORE_A_RESTORE = ("its-like-went", "it-may-have-gone")
"""Why a letter is held that may have gone, or whose like has, unknown to a restored database."""


class SendingHeld(IntakeError):
    """The database is older than letters that have gone out: nothing is sent until a person has reconciled it."""


@dataclass(frozen=True)
class Sent:
    """What became of one letter: its state, or "lost" where the database knows of no such job, and the server's answer
    or our reason."""

    message_id: str
    job: str
    state: str
    answer: str


def send_due(services: Services, postbox: Postbox) -> list[Sent]:
    """Handle every letter that is due now, each once. A claim left by a crash becomes in doubt and is never sent
    again by itself. Raises SendingHeld where the database was restored from a backup."""
    check_not_restored(services.store)
    done = _doubt_left_claims(services)
    worker = new_worker()
    while (found := _next(services, worker)) is not None:
        done.append(found if isinstance(found, Sent) else _hand_over(services, postbox, found, worker))
    return done


def check_not_restored(store: Store) -> None:
    """Raises SendingHeld where the database may be older than letters that have gone out: it was restored, it came to
    this data folder from elsewhere, or the journal holds a letter that it has not handed over."""
    with store.reading() as tables:
        restored = tables.home.restored()
        unknown = any(unknown_letters(tables, store.journal.latest()))
    if restored is not None:
        why = f"The database was restored from a backup of {restored.taken_at:%d %B %Y %H:%M} UTC; nothing is sent"
    elif unknown:
        why = "The database is older than letters that have gone out, as after a restore; nothing is sent"
    elif store.came_from_elsewhere():
        why = "The database does not belong to this data folder, as after a copy; nothing is sent"
    else:
        return
    raise SendingHeld(why, "Run `intake reconcile`, then look at the letters that are held or in doubt")


def is_restored(store: Store) -> bool:
    """The database was restored or came from elsewhere, and nobody has reconciled it yet."""
    with store.reading() as tables:
        restored = tables.home.restored() is not None
    return restored or store.came_from_elsewhere()


def unknown_letters(tables: Tables, handed_over: Iterable[LostLetter]) -> Iterator[LostLetter]:
    """Letters that were handed over (once more often) than the database knows."""
    latest = {letter.message_id: letter for letter in handed_over}
    known = tables.letters.attempts(latest)
    for letter in latest.values():
        if known.get(letter.message_id, 0) < letter.attempt and not tables.letters.is_lost(letter.message_id):
            yield letter


def _doubt_left_claims(services: Services) -> list[Sent]:
    now = services.clock()
    with services.store.transaction() as tables:
        gone = [worker for worker in tables.letters.claimers() if is_gone(worker)]
        doubtful = tables.letters.doubt(now, gone)
        for kept in doubtful:
            tables.jobs.add_event(
                kept.job, Event(now, EventKind.LETTER, sent_line(LetterState.IN_DOUBT, kept.answer))
            )
    return [_sent(kept, LetterState.IN_DOUBT, kept.answer) for kept in doubtful]


def _next(services: Services, worker: str) -> KeptLetter | Sent | None:
    """The next letter, claimed; or one that a rule held back at the last moment; None where none is due."""
    now = services.clock()
    with services.store.transaction() as tables:
        tables.claim_alone()
        kept = tables.letters.next_due(now)
        if kept is None:
            return None
        why = _held_now(tables, services, kept, now)
        if why:
            return hold(tables, kept, why, now)
        tables.letters.claim(kept.id, worker, now, LEASE)
        return kept


def _held_now(tables: Tables, services: Services, kept: KeptLetter, now: datetime) -> Phrase | None:
    """Why a letter that is due must not go after all, or None."""
    for recipient in kept.to:
        brake = too_many_today(
            tables.letters.handed_to(recipient, kept.job, now - DAY), now, services.policy.letters_a_day
        )
        if brake:
            return brake
        lost = tables.letters.lost_answer(recipient, kept.in_reply_to)
        if lost:
            return its_like_went(lost)
    return None


def its_like_went(lost: LostLetter) -> Phrase:
    """Why a letter is held that answers the same message as one that went out and that the database does not know."""
    return phrase("its-like-went", day=f"{lost.handed_at:%d %B %Y}")


def hold(tables: Tables, kept: KeptLetter, why: Phrase, now: datetime) -> Sent:
    """Hold a letter that waits back until a person releases it."""
    tables.letters.change(kept.id, state=LetterState.HELD, held_because=why)
    said = worded(why)
    tables.jobs.add_event(kept.job, Event(now, EventKind.HELD, f"Letter held back: {said}"))
    return _sent(kept, LetterState.HELD, said)


def _hand_over(services: Services, postbox: Postbox, kept: KeptLetter, worker: str) -> Sent:
    going = LostLetter(
        kept.message_id, kept.job, kept.to[0], kept.in_reply_to, services.clock(), kept.attempts + 1
    )
    try:
        services.store.journal.add(going)
    except OSError as fault:
        # It never went: it is tried again, and not in doubt.
        outcome = Outcome(Handed.TRY_AGAIN, f"The journal of letters could not be written: {fault}")
    else:
        outcome = postbox.send(kept.to, kept.raw)
    return _settle(services, kept, worker, outcome)


def _settle(services: Services, kept: KeptLetter, worker: str, outcome: Outcome) -> Sent:
    now = services.clock()
    state, due_at = _state_after(outcome, kept, now)
    with services.store.transaction() as tables:
        if not tables.letters.settle(kept.id, worker, state, outcome.answer, now, due_at):
            # The lease ran out meanwhile and the letter is in doubt; what we know is logged, and a copy may settle it.
            log.warning("letter %s: %s came too late: %s", kept.message_id, outcome.state, outcome.answer)
            return _sent(kept, LetterState.IN_DOUBT, outcome.answer)
        tables.jobs.add_event(kept.job, Event(now, EventKind.LETTER, sent_line(state, outcome.answer)))
        if state is LetterState.SENT:
            note_sent(tables, kept)
    return _sent(kept, state, outcome.answer)


def note_sent(tables: Tables, kept: KeptLetter) -> None:
    """What a job is once a letter about it has gone: its messages stay in it, and the customer is to answer."""
    tables.messages.fix(kept.job)
    if kept.beside:
        return
    job = tables.jobs.get(kept.job)
    if job is not None and job.state not in (JobState.COMPLETE, JobState.ARCHIVED):
        tables.jobs.change(kept.job, state=JobState.ASKED)
    if kept.kind is not LetterKind.REMINDER:
        tables.jobs.change(kept.job, reminders=0)


def _state_after(outcome: Outcome, kept: KeptLetter, now: datetime) -> tuple[LetterState, datetime | None]:
    """What the letter is after an attempt, and when it is tried again with the same bytes and Message-ID."""
    if outcome.state is Handed.TRY_AGAIN and kept.attempts + 1 < MOST_ATTEMPTS:
        return LetterState.DUE, now + back_off(kept.attempts + 1, FIRST_AGAIN, LAST_AGAIN)
    states = {Handed.SENT: LetterState.SENT, Handed.IN_DOUBT: LetterState.IN_DOUBT}
    return states.get(outcome.state, LetterState.FAILED), None


def _sent(kept: KeptLetter, state: LetterState, answer: str) -> Sent:
    return Sent(kept.message_id, kept.job, state.value, answer)


def sent_line(state: LetterState, answer: str) -> str:
    """The timeline's line on what became of a letter."""
    words = {
        LetterState.SENT: "Letter sent",
        LetterState.DUE: "Letter not taken yet; it is tried again",
        LetterState.IN_DOUBT: "Nobody can tell whether the letter went; a person must look",
        LetterState.FAILED: "Letter refused",
    }
    return f"{words[state]}: {answer}"
