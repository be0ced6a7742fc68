"""Who is told by mail that a job needs them, and of what they were told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, and_, delete, func, insert, or_, select

from intake.model.checklist import RoomKind
from intake.model.job import JobState
from intake.store import schema as t
from intake.store.accounts import Account, account_of

ASSIGNED, AND_NOBODYS = "assigned", "and-nobodys"
"""Of which jobs somebody wants to be told: those assigned to them, or those that are nobody's as well; "" for none."""


@dataclass(frozen=True)
class JobToTell:
    """A job that needs somebody; `about` is its customer's last message, of which each is told once."""

    id: str
    room: RoomKind
    state: JobState
    about: datetime
    waits: int
    """How many things of the customer's words wait for a person."""


class Notices:
    """Within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def readers(self) -> list[Account]:
        """The open accounts that want to be told."""
        a = t.accounts.c
        query = select(t.accounts).where(a.closed_at.is_(None), a.email != "", a.notices != "").order_by(a.id)
        return [account_of(row) for row in self.db.execute(query)]

    def untold(self, account: Account, quiet_since: datetime, most: int) -> list[JobToTell]:
        """The jobs that need this person, whose customer has been quiet since then, and of whose last message nobody
        has told them yet; the longest waiting first."""
        j, n = t.jobs.c, t.notices.c
        whose = j.designer == account.name
        if account.notices == AND_NOBODYS:
            whose = or_(whose, j.designer == "")
        told = and_(n.job == j.id, n.account == account.id, n.about >= j.last_message_at)
        query = (
            select(j.id, j.room, j.state, j.last_message_at, j.needs)
            .where(j.merged_into.is_(None), j.state.in_((JobState.TO_CHECK, JobState.COMPLETE)), whose)
            .where(j.examined >= j.changed, j.last_message_at <= quiet_since)
            .where(~select(n.job).where(told).exists())
            .order_by(j.last_message_at)
            .limit(most)
        )
        return [
            JobToTell(row.id, RoomKind(row.room), JobState(row.state), row.last_message_at, len(row.needs))
            for row in self.db.execute(query)
        ]

    def last_told(self, account: Account) -> datetime | None:
        query = select(func.max(t.notices.c.told_at)).where(t.notices.c.account == account.id)
        return self.db.execute(query).scalar()

    def note(self, account: Account, jobs: Sequence[JobToTell], at: datetime) -> None:
        """They are told of these jobs now."""
        n = t.notices.c
        mine = (n.account == account.id) & n.job.in_([job.id for job in jobs])
        self.db.execute(delete(t.notices).where(mine))
        rows = [{"job": j.id, "account": account.id, "about": j.about, "told_at": at} for j in jobs]
        if rows:
            self.db.execute(insert(t.notices), rows)

    def skip(self, account: Account, before: datetime, at: datetime) -> None:
        """What needs somebody already when they ask to be told is on the desk before their eyes: no mail of it."""
        while jobs := self.untold(account, before, 500):
            self.note(account, jobs, at)
