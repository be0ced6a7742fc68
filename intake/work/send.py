"""Send the letters that are due: claim one, commit, send outside any transaction, record what became of it."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from intake.model.job import Event, JobState
from intake.model.letter import LetterState
from intake.postbox.outcome import Outcome, Postbox
from intake.rules.answering import too_many_today
from intake.store.letters import KeptLetter
from intake.work.services import Services

LEASE = timedelta(minutes=10)
"""Longer than any server may take over one letter; a claim older than this was left by a crash."""
DAY = timedelta(days=1)
AGAIN_AFTER = timedelta(minutes=15)
MOST_ATTEMPTS = 12


@dataclass(frozen=True)
class Sent:
    """What became of one letter: its state, and the server's answer or our reason."""

    message_id: str
    job: str
    state: str
    answer: str


def send_due(services: Services, postbox: Postbox) -> list[Sent]:
    """Handle every letter that is due now. A claim left by a crash becomes in doubt and is never sent by itself."""
    worker = secrets.token_hex(8)
    with services.store.transaction() as tables:
        tables.letters.doubt_expired(services.clock())
        due = tables.letters.due(services.clock())
    done = [_send_one(services, postbox, letter, worker) for letter in due]
    return [sent for sent in done if sent is not None]


def _send_one(services: Services, postbox: Postbox, letter_id: int, worker: str) -> Sent | None:
    now = services.clock()
    with services.store.transaction() as tables:
        kept = tables.letters.get(letter_id)
        if kept is None:
            return None
        brake = too_many_today(
            tables.letters.sent_to(kept.to[0], now - DAY), now, services.policy.letters_a_day
        )
        if brake:
            tables.letters.change(letter_id, (LetterState.DUE,), state=LetterState.HELD, held_because=brake)
            tables.jobs.add_event(kept.job, Event(now, "held", f"Letter held back: {brake}"))
            return Sent(kept.message_id, kept.job, LetterState.HELD.value, brake)
        if not tables.letters.claim(letter_id, worker, now, LEASE):
            return None
    outcome = postbox.send(kept.to, kept.raw)
    return _settle(services, kept, worker, outcome)


def _settle(services: Services, kept: KeptLetter, worker: str, outcome: Outcome) -> Sent:
    now = services.clock()
    state, due_at = _state_after(outcome, kept, now)
    with services.store.transaction() as tables:
        if tables.letters.settle(kept.id, worker, state, outcome.answer, now, due_at):
            tables.jobs.add_event(kept.job, Event(now, "letter", _line(state, outcome)))
            if state is LetterState.SENT:
                tables.messages.fix(kept.job)
                job = tables.jobs.get(kept.job)
                if job is not None and job.state is not JobState.COMPLETE:
                    tables.jobs.change(kept.job, state=JobState.ASKED)
                if kept.kind != "reminder":
                    tables.jobs.change(kept.job, reminders=0)
    return Sent(kept.message_id, kept.job, state.value, outcome.answer)


def _state_after(outcome: Outcome, kept: KeptLetter, now: datetime) -> tuple[LetterState, datetime | None]:
    """What the letter is after an attempt, and when it is tried again with the same bytes and Message-ID."""
    if outcome.state == "try-again" and kept.attempts + 1 < MOST_ATTEMPTS:
        return LetterState.DUE, now + AGAIN_AFTER
    states = {"sent": LetterState.SENT, "in-doubt": LetterState.IN_DOUBT}
    return states.get(outcome.state, LetterState.FAILED), None


def _line(state: LetterState, outcome: Outcome) -> str:
    words = {
        LetterState.SENT: "Letter sent",
        LetterState.DUE: "Letter not taken yet; it is tried again",
        LetterState.IN_DOUBT: "Nobody can tell whether the letter went; a person must look",
        LetterState.FAILED: "Letter refused",
    }
    return f"{words[state]}: {outcome.answer}"
