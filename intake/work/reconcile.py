"""After a restore: find what went out that the database does not know of, and hold what may have gone.

A database that was put back, or copied to another place, is older than the world. Until this has run, nothing is sent.
"""

from __future__ import annotations

from dataclasses import dataclass

from intake.mailbox.protocol import Mailbox
from intake.model.job import Event, EventKind
from intake.model.letter import LetterState
from intake.model.phrase import phrase
from intake.store.database import Tables
from intake.store.letters import KeptLetter
from intake.work.collect import collect
from intake.work.remind import remind
from intake.work.send import Sent, hold, is_restored, its_like_went, sent_line, unknown_letters
from intake.work.services import Services
from intake.work.settle import look_for_copies

WAITS = (LetterState.DRAFT, LetterState.DUE)


@dataclass(frozen=True)
class Reconciled:
    """`gone`: letters that had gone out unknown to the database. `settled`: letters in doubt whose copy was found.
    `held`: letters that may have gone out, each for a person to release."""

    gone: tuple[Sent, ...]
    settled: tuple[KeptLetter, ...]
    held: tuple[Sent, ...]


def reconcile(services: Services, mailbox: Mailbox | None) -> Reconciled:
    """Find what went out, by the journal and by copies in the mailbox. Where the database was restored, mail is
    collected first, so that every letter that its time may have seen is decided; all that wait are then held for a
    person.

    Raises MailboxUnreachable; nothing is reconciled then.
    """
    restored = is_restored(services.store)
    if restored and mailbox is not None:
        collect(mailbox, services)
    gone = from_journal(services)
    settled = look_for_copies(services, mailbox) if mailbox is not None else []
    held = _hold_all(services) if restored else []
    return Reconciled(tuple(gone), tuple(settled), tuple(held))


def from_journal(services: Services) -> list[Sent]:
    """What the journal says went out and the database does not know of is put in doubt, or noted as lost.

    A letter in doubt is settled by its copy in the mailbox, or by a person. One that the database never held leaves
    a note, which holds back the first letter that would answer the same message to the same person again.
    """
    found = []
    with services.store.transaction() as tables:
        for lost in list(unknown_letters(tables, services.store.journal.all())):
            job = tables.letters.doubt_known(lost)
            if job is None:
                tables.letters.lose(lost)
            else:
                tables.jobs.touch(job)
                line = sent_line(LetterState.IN_DOUBT, "restored")
                tables.jobs.add_event(job, Event(services.clock(), EventKind.LETTER, line))
            state = "lost" if job is None else LetterState.IN_DOUBT.value
            found.append(Sent(lost.message_id, lost.job, state, "It had gone out before the restore."))
    return found


def _hold_all(services: Services) -> list[Sent]:
    """Hold every letter that waits, then let sending go on: the database is at home here from now on."""
    remind(services)
    now = services.clock()
    with services.store.transaction() as tables:
        held = [_hold(tables, kept, services) for kept in tables.letters.in_states(WAITS)]
        tables.home.note_reconciled(now)
    services.store.settle_here()
    return held


def _hold(tables: Tables, kept: KeptLetter, services: Services) -> Sent:
    lost = next(
        (found for to in kept.to if (found := tables.letters.lost_answer(to, kept.in_reply_to))), None
    )
    return hold(tables, kept, its_like_went(lost) if lost else phrase("it-may-have-gone"), services.clock())
