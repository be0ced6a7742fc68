"""Letters of which nobody could tell whether they went: settled by a copy that lies somewhere, or by a person."""

from __future__ import annotations

from datetime import datetime

from intake.mailbox.protocol import Mailbox
from intake.model.errors import NotFound
from intake.model.job import Event, EventKind
from intake.model.letter import LetterState
from intake.store.accounts import Accounts
from intake.store.database import Tables
from intake.store.letters import KeptLetter
from intake.work.decide import NotPossible
from intake.work.examine import examine
from intake.work.send import note_sent
from intake.work.services import Services

FOUND = "A copy of it was found in the mailbox."


def look_for_copies(services: Services, mailbox: Mailbox) -> list[KeptLetter]:
    """Look for each letter in doubt, by its exact Message-ID, where copies of what was sent lie. What is found was
    sent; what is not found stays in doubt, for a person. Returns what was settled. Raises MailboxUnreachable."""
    with services.store.reading() as tables:
        doubtful = tables.letters.in_doubt()
    if not doubtful:
        return []
    since = min(kept.decided_at for kept in doubtful)
    held = mailbox.holding([kept.message_id for kept in doubtful], since)
    return [kept for kept in doubtful if kept.message_id in held and _settle(services, kept)]


def _settle(services: Services, kept: KeptLetter) -> bool:
    now = services.clock()
    with services.store.transaction() as tables:
        return _was_sent(
            tables,
            kept,
            now,
            FOUND,
            Event(now, EventKind.LETTER, "A copy of our letter was found: it was sent."),
        )


def settle_letter(services: Services, job: str, letter_id: int, arrived: bool, by: str) -> None:
    """A person has found out whether a letter in doubt went. Where it did not, it counts as failed and the job is
    examined anew: what is still wanted gets a letter of its own, which waits as any other does.

    Raises NotFound, and NotPossible where the letter is no longer in doubt.
    """
    now = services.clock()
    with services.store.transaction() as tables:
        kept = tables.letters.get(letter_id)
        if kept is None or kept.job != job:
            raise NotFound("There is no such letter")
        what = "went out after all" if arrived else "never went out"
        event = Event(now, EventKind.LETTER, f"{by} found that our letter {what}.", by)
        done = (_was_sent if arrived else _was_not)(tables, kept, now, f"{by} found that it {what}.", event)
        if not done:
            raise NotPossible("The letter is not in doubt any more", "Look at it again")
        Accounts(tables.db).note(by, "settled", job, f"letter {letter_id} {what}", now)
    examine(services, job)


def _was_sent(tables: Tables, kept: KeptLetter, now: datetime, answer: str, event: Event) -> bool:
    if tables.letters.confirm(kept.message_id, now, answer, (LetterState.IN_DOUBT,)) is None:
        return False
    note_sent(tables, kept)
    tables.jobs.add_event(kept.job, event)
    tables.jobs.touch(kept.job)
    return True


def _was_not(tables: Tables, kept: KeptLetter, now: datetime, answer: str, event: Event) -> bool:
    if not tables.letters.change(kept.id, (LetterState.IN_DOUBT,), state=LetterState.FAILED, answer=answer):
        return False
    tables.jobs.add_event(kept.job, event)
    tables.jobs.touch(kept.job)
    return True
