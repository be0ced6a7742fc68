"""Deletes all that the tables hold of one customer, within one transaction."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Table, delete, false, insert, or_, select, update

from intake.model.letter import LetterState
from intake.model.message import MessageState
from intake.store import schema as t

_BLANK: dict[str, Any] = {
    **dict.fromkeys(
        ("why", "file", "key", "rule", "reason", "placed_by", "sender_name", "sender_email", "credited"), ""
    ),
    **dict.fromkeys(
        ("via", "topic", "subject", "own_words", "answering", "answering_rule", "answering_why"), ""
    ),
    **dict.fromkeys(("job", "at", "sent_at", "claimed_by", "claimed_until", "thread")),
    **{
        "offers": [],
        "recipients": [],
        "named": [],
        "room": "unknown",
        "state": MessageState.ERASED,
        "fixed": False,
    },
}


@dataclass(frozen=True)
class Holdings:
    """What there is of one customer: job references, addresses, the SHA-256 of messages, the ids of pictures that
    came with no other customer's messages, and the Message-IDs of our letters."""

    jobs: tuple[str, ...]
    addresses: tuple[str, ...]
    messages: tuple[str, ...]
    pictures: tuple[str, ...]
    letters: tuple[str, ...]

    def __bool__(self) -> bool:
        return bool(self.jobs or self.messages)


class Forget:
    """What is held of a customer, and its deletion."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def jobs_of(self, who: str) -> list[str]:
        """The jobs of an e-mail address, or the job of that reference, with all that was merged into them."""
        email = who.strip().lower()
        given = select(t.job_addresses.c.job).where(t.job_addresses.c.email == email)
        found = set(self._column(given)) | set(
            self._column(
                select(t.jobs.c.id).where(or_(t.jobs.c.id == who.strip(), t.jobs.c.customer_email == email))
            )
        )
        while True:
            home = select(t.jobs.c.merged_into).where(
                t.jobs.c.id.in_(found), t.jobs.c.merged_into.is_not(None)
            )
            merged = select(t.jobs.c.id).where(t.jobs.c.merged_into.in_(found))
            more = {*self._column(home), *self._column(merged)} - found
            if not more:
                return sorted(found)
            found |= more

    def jobs_of_messages(self, sha256s: Collection[str]) -> list[str]:
        query = select(t.messages.c.job).where(
            t.messages.c.sha256.in_(sha256s), t.messages.c.job.is_not(None)
        )
        return self._column(query.distinct())

    def still_there(self, sha256s: Collection[str]) -> list[str]:
        """Those of these messages of which more is left than the hash."""
        query = select(t.messages.c.sha256).where(
            t.messages.c.sha256.in_(sha256s), t.messages.c.state != MessageState.ERASED
        )
        return self._column(query)

    def holdings(self, jobs: Sequence[str], email: str = "") -> Holdings:
        """All that hangs on certain jobs; and what an address wrote that belongs to none."""
        m = t.messages.c
        addresses = set(
            self._column(select(t.job_addresses.c.email).where(t.job_addresses.c.job.in_(jobs)))
        ) | ({email} if email else set())
        letters = self._column(select(t.letters.c.message_id).where(t.letters.c.job.in_(jobs)))
        theirs = (m.state != MessageState.ERASED) & or_(
            m.job.in_(jobs),
            m.key.in_(letters),
            m.job.is_(None) & or_(m.credited.in_(addresses), m.sender_email.in_(addresses)),
            m.credited == email if email else false(),
        )
        messages = self._column(select(m.sha256).where(theirs))
        p = t.pictures.c
        mine = select(p.id).where(p.message.in_(messages))
        others = select(p.id).where(p.message.not_in(messages))
        pictures = set(self._column(mine)) - set(self._column(others.where(p.id.in_(mine))))
        return Holdings(
            tuple(jobs), tuple(sorted(addresses)), tuple(messages), tuple(sorted(pictures)), tuple(letters)
        )

    def _leave_others_jobs(self, held: Holdings) -> None:
        """In the jobs of others: the lines about these messages, the address, and what was written to it."""
        m = t.messages.c
        query = select(m.job, m.at).where(
            m.sha256.in_(held.messages), m.job.is_not(None), m.job.not_in(held.jobs)
        )
        wrote = self.db.execute(query).all()
        others = {row.job for row in wrote}
        for job, at in wrote:
            self._drop(t.events, (t.events.c.job == job) & (t.events.c.at == at))
        for table, address in (
            (t.job_addresses, t.job_addresses.c.email),
            (t.letters, t.letters.c.recipient),
        ):
            self._drop(table, table.c.job.in_(others) & address.in_(held.addresses))
        touched = update(t.jobs).where(t.jobs.c.id.in_(others))
        self.db.execute(touched.values(changed=t.jobs.c.changed + 1, attempts=0))

    def set_aside(self) -> list[str]:
        """Messages that nobody could read: whose they are, only their bytes tell."""
        return self._column(select(t.messages.c.sha256).where(t.messages.c.state == MessageState.SET_ASIDE))

    def being_sent(self, jobs: Sequence[str]) -> bool:
        """A letter about one of these jobs is just being handed over."""
        query = select(t.letters.c.id).where(
            t.letters.c.job.in_(jobs), t.letters.c.state == LetterState.CLAIMED
        )
        return self.db.execute(query).first() is not None

    def erase(self, held: Holdings, by: str, now: datetime) -> None:
        """Delete it all, and note that it happened and how much it was."""
        if self.db.dialect.name == "sqlite":
            self.db.exec_driver_sql("PRAGMA secure_delete=ON")
        self._drop(t.looks, t.looks.c.spot_check.in_(_checks_on(held.pictures)))
        self._drop(t.looks, t.looks.c.during.in_(held.jobs))
        self._drop(t.spot_checks, t.spot_checks.c.picture.in_(held.pictures))
        self._drop(t.lots, t.lots.c.picture.in_(held.pictures))
        self._drop(t.readings, t.readings.c.picture.in_(held.pictures))
        self._drop(t.pictures, t.pictures.c.message.in_(held.messages))
        self._drop(t.message_ids, t.message_ids.c.sha256.in_(held.messages))
        self._leave_others_jobs(held)
        blank = _BLANK | {"received_at": now, "purged_at": now}
        self.db.execute(update(t.messages).where(t.messages.c.sha256.in_(held.messages)).values(**blank))
        lost = t.lost_letters.c
        self._drop(t.lost_letters, or_(lost.job.in_(held.jobs), lost.recipient.in_(held.addresses)))
        for table in _OF_JOBS:
            self._drop(table, table.c.job.in_(held.jobs))
        self._drop(t.audit, t.audit.c.about.in_(held.jobs))
        self._drop(t.jobs, t.jobs.c.id.in_(held.jobs))
        much = {kind: len(getattr(held, kind)) for kind in ("jobs", "messages", "pictures", "letters")}
        self.db.execute(insert(t.erasures).values(at=now, by=by, **much))

    def _drop(self, table: Table, which: ColumnElement[bool]) -> None:
        self.db.execute(delete(table).where(which))

    def _column(self, query: Any) -> list[str]:
        return [value for (value,) in self.db.execute(query)]


_OF_JOBS = (t.panoramas, t.tallies, t.items, t.decisions, t.events, t.letters, t.job_addresses, t.notices)
"""Whose rows are each of one job."""


def _checks_on(pictures: Collection[str]) -> Any:
    return select(t.spot_checks.c.id).where(t.spot_checks.c.picture.in_(pictures))
