"""Whose job it is, and jobs that are done with: assigned, archived, brought back. Each can be undone."""

from __future__ import annotations

from intake.model.errors import NotFound
from intake.model.word import Archived, Assigned
from intake.store.accounts import Accounts
from intake.work.decide import NotPossible, decide_word, undo
from intake.work.services import Services


def assign(services: Services, job: str, designer: str, by: str) -> int:
    """Give a job to the account `designer`; "" takes it from whoever had it. Returns the decision's id."""
    with services.store.reading() as tables:
        account = Accounts(tables.db).named(designer) if designer else None
    if designer and (account is None or account.closed_at):
        raise NotPossible(f"There is no open account {designer[:64]}", "Choose another")
    return decide_word(services, job, Assigned(designer), by)


def archive(services: Services, job: str, by: str) -> int:
    """Put a job that is done with away: it leaves the lists, and no letter goes out, until it is brought back or the
    customer writes again. Returns the decision's id."""
    with services.store.reading() as tables:
        had = tuple(m.sha256 for m in tables.messages.of_job(job))
    key = decide_word(services, job, Archived(had), by)
    with services.store.transaction() as tables:
        tables.letters.withdraw(job)
    return key


def bring_back(services: Services, job: str, by: str) -> None:
    """Undo the archiving of a job. Raises NotFound where it is not archived."""
    with services.store.reading() as tables:
        found = [w.id for w in tables.jobs.words(job) if isinstance(w, Archived)]
    if not found:
        raise NotFound("That job is not archived")
    for key in found:
        undo(services, job, key, by)
