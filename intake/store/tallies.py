"""What is counted of each job, kept when it is examined, so that figures of years are made in a moment."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import Connection, delete, insert, select

from intake.model.inspection import Tally
from intake.store import schema as t
from intake.store.letters import OUT

_COUNTED = ("version", "paper", "lengths", "accepted", "added", "misplaced", "clauses", "unread")


class Tallies:
    """The table of tallies and what is counted beside it, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def keep(self, job: str, tally: Tally) -> None:
        """Replace what is counted of a job."""
        self.db.execute(delete(t.tallies).where(t.tallies.c.job == job))
        counted = {name: getattr(tally, name) for name in _COUNTED}
        self.db.execute(insert(t.tallies).values(job=job, complete_at=tally.complete_at, **counted))

    def complete_at(self, job: str) -> datetime | None:
        """When a job was first found complete, if it has been ever since."""
        return self.db.execute(select(t.tallies.c.complete_at).where(t.tallies.c.job == job)).scalar()

    def all(self) -> dict[str, Tally]:
        """What is counted of every job that stands, by its id; the time at the desk is left out."""
        letters = self._letters()
        query = (
            select(t.tallies, t.jobs.c.opened_at)
            .join(t.jobs, t.jobs.c.id == t.tallies.c.job)
            .where(t.jobs.c.merged_into.is_(None))
        )
        found = {}
        for row in self.db.execute(query):
            sent, asks = letters.get(row.job, (0, 0))
            counted = {name: getattr(row, name) for name in _COUNTED}
            found[row.job] = Tally(row.opened_at, row.complete_at, **counted, letters=sent, asks=asks)
        return found

    def _letters(self) -> Mapping[str, tuple[int, int]]:
        """How many letters went out of each job, and what they asked for."""
        found: dict[str, tuple[int, int]] = {}
        query = select(t.letters.c.job, t.letters.c.asks).where(t.letters.c.state.in_(OUT))
        for job, asks in self.db.execute(query):
            sent, asked = found.get(job, (0, 0))
            found[job] = sent + 1, asked + len(asks)
        return found

    def acts(self) -> list[tuple[str, datetime, str]]:
        """What people did at the desk, in order: (who, when, the job or "")."""
        c = t.audit.c
        jobs = {job for (job,) in self.db.execute(select(t.tallies.c.job))}
        query = select(c.by, c.at, c.about).order_by(c.at, c.id)
        return [(by, at, about if about in jobs else "") for by, at, about in self.db.execute(query)]
