"""What moving messages between jobs needs beside the message itself, within one transaction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import Connection, delete, select, update

from intake.model.word import Word
from intake.store import schema as t
from intake.store.jobs import Decision, decision_of


class Refiling:
    """Decisions, addresses and offers that follow messages from job to job."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def decision(self, decision_id: int) -> Decision | None:
        row = self.db.execute(select(t.decisions).filter_by(id=decision_id)).first()
        return decision_of(row) if row is not None else None

    def pictures(self, messages: Sequence[str]) -> list[str]:
        """The ids of the pictures of messages."""
        query = select(t.pictures.c.id).where(t.pictures.c.message.in_(messages))
        return [picture for (picture,) in self.db.execute(query)]

    def on_pictures(self, job: str, pictures: Sequence[str]) -> list[int]:
        """A job's decisions about certain pictures and the numbers on them."""
        return [d.id for d in self._of_job(job) if d.word.picture in set(pictures)]

    def on_the_room(self, job: str, kinds: tuple[type[Word], ...]) -> list[int]:
        """A job's decisions of certain kinds that are on no picture."""
        return [d.id for d in self._of_job(job) if isinstance(d.word, kinds) and not d.word.picture]

    def _of_job(self, job: str) -> list[Decision]:
        query = select(t.decisions).filter_by(job=job).order_by(t.decisions.c.id)
        return [decision_of(row) for row in self.db.execute(query)]

    def carry(self, decisions: Sequence[int], job: str) -> None:
        """Let decisions belong to another job."""
        self.db.execute(update(t.decisions).where(t.decisions.c.id.in_(decisions)).values(job=job))

    def drop_addresses(self, job: str, emails: Sequence[str]) -> None:
        table = t.job_addresses
        self.db.execute(delete(table).where(table.c.job == job, table.c.email.in_(emails)))

    def set_offers(self, offers: Mapping[str, Sequence[str]]) -> None:
        """Set the jobs that each message (by SHA-256) may belong to as well."""
        for sha256, others in offers.items():
            self.db.execute(update(t.messages).filter_by(sha256=sha256).values(offers=list(others)))
