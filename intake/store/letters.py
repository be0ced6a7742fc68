"""The outbox: letters with their state, claimed one at a time and never sent twice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from intake.model.letter import Letter, LetterState
from intake.store import schema as t
from intake.store.as_json import from_plain, to_plain

WAITING = (LetterState.DRAFT, LetterState.HELD, LetterState.DUE)
OUT = (LetterState.CLAIMED, LetterState.SENT, LetterState.IN_DOUBT)


@dataclass(frozen=True)
class KeptLetter:
    """A letter in the outbox. `asks` are checklist ids in the letter's order."""

    id: int
    job: str
    revision: int
    kind: str
    state: LetterState
    to: tuple[str, ...]
    subject: str
    message_id: str
    in_reply_to: str
    asks: tuple[str, ...]
    letter: Letter
    text: str
    html: str
    raw: bytes
    held_because: str | None
    decided_at: datetime
    due_at: datetime | None
    claimed_by: str | None
    attempts: int
    answer: str
    sent_at: datetime | None
    edited: bool


@dataclass(frozen=True)
class Written:
    """A letter put into words and ready to queue."""

    letter: Letter
    message_id: str
    text: str
    html: str
    raw: bytes


class Letters:
    """The letters table, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def next_revision(self, job: str) -> int:
        query = select(t.letters.c.revision).filter_by(job=job).order_by(t.letters.c.revision.desc()).limit(1)
        return (self.db.execute(query).scalar() or 0) + 1

    def queue(self, written: Written, state: LetterState, at: datetime) -> int:
        """Queue one letter; an earlier letter of the job that has not gone out is superseded."""
        letter = written.letter
        self.db.execute(
            update(t.letters)
            .where(t.letters.c.job == letter.job, t.letters.c.state.in_(WAITING))
            .values(state=LetterState.SUPERSEDED)
        )
        done = self.db.execute(
            insert(t.letters).values(
                job=letter.job,
                revision=self.next_revision(letter.job),
                kind=letter.kind,
                state=state,
                to=[a.email for a in letter.to],
                recipient=letter.to[0].email if letter.to else "",
                subject=letter.subject,
                message_id=written.message_id,
                in_reply_to=letter.in_reply_to,
                asks=list(letter.items),
                body=to_plain(letter),
                text=written.text,
                html=written.html,
                raw=written.raw,
                held_because=letter.held_because,
                decided_at=at,
                due_at=letter.due_at,
            )
        )
        key = done.inserted_primary_key
        assert key is not None
        return int(key[0])

    def withdraw(self, job: str) -> int:
        """Supersede what has not gone out; returns how many letters that were."""
        changed = self.db.execute(
            update(t.letters)
            .where(t.letters.c.job == job, t.letters.c.state.in_(WAITING))
            .values(state=LetterState.SUPERSEDED)
        )
        return changed.rowcount

    def get(self, letter_id: int) -> KeptLetter | None:
        row = self.db.execute(select(t.letters).filter_by(id=letter_id)).first()
        return _letter(row) if row is not None else None

    def of_job(self, job: str) -> list[KeptLetter]:
        query = select(t.letters).filter_by(job=job).order_by(t.letters.c.id)
        return [_letter(row) for row in self.db.execute(query)]

    def all(self) -> list[KeptLetter]:
        return [_letter(row) for row in self.db.execute(select(t.letters).order_by(t.letters.c.id))]

    def due(self, now: datetime) -> list[int]:
        """Ids of letters to send now, the oldest first."""
        query = (
            select(t.letters.c.id)
            .where(t.letters.c.state == LetterState.DUE)
            .where((t.letters.c.due_at.is_(None)) | (t.letters.c.due_at <= now))
            .order_by(t.letters.c.due_at, t.letters.c.id)
        )
        return [i for (i,) in self.db.execute(query)]

    def claim(self, letter_id: int, worker: str, now: datetime, lease: timedelta) -> bool:
        """Take one due letter for sending. False where another worker has it."""
        changed = self.db.execute(
            update(t.letters)
            .where(t.letters.c.id == letter_id, t.letters.c.state == LetterState.DUE)
            .values(
                state=LetterState.CLAIMED,
                claimed_by=worker,
                claimed_until=now + lease,
                attempts=t.letters.c.attempts + 1,
            )
        )
        return changed.rowcount == 1

    def settle(
        self,
        letter_id: int,
        worker: str,
        state: LetterState,
        answer: str,
        at: datetime,
        due_at: datetime | None = None,
    ) -> bool:
        """Record what became of a claimed letter. False where the claim is no longer this worker's."""
        values: dict[str, Any] = {
            "state": state,
            "answer": answer,
            "sent_at": at if state is LetterState.SENT else None,
        }
        if due_at is not None:
            values["due_at"] = due_at
        changed = self.db.execute(
            update(t.letters)
            .where(
                t.letters.c.id == letter_id,
                t.letters.c.state == LetterState.CLAIMED,
                t.letters.c.claimed_by == worker,
            )
            .values(**values)
        )
        return changed.rowcount == 1

    def doubt_expired(self, now: datetime) -> int:
        """Claims whose lease ran out may or may not have gone: in doubt, never sent again by themselves."""
        changed = self.db.execute(
            update(t.letters)
            .where(t.letters.c.state == LetterState.CLAIMED, t.letters.c.claimed_until < now)
            .values(state=LetterState.IN_DOUBT, answer="The worker stopped while sending it.")
        )
        return changed.rowcount

    def change(self, letter_id: int, only_from: tuple[LetterState, ...] = WAITING, **values: Any) -> bool:
        """Set columns of a letter that is still in one of the named states. False where it no longer is."""
        changed = self.db.execute(
            update(t.letters)
            .where(t.letters.c.id == letter_id, t.letters.c.state.in_(only_from))
            .values(**values)
        )
        return changed.rowcount == 1

    def sent_to(self, email: str, since: datetime) -> list[datetime]:
        """When letters went (or may have gone) to an address since then."""
        query = select(t.letters.c.sent_at, t.letters.c.decided_at).where(
            t.letters.c.recipient == email, t.letters.c.state.in_(OUT), t.letters.c.decided_at >= since
        )
        return [sent or decided for sent, decided in self.db.execute(query)]


def _letter(row: Row[Any]) -> KeptLetter:
    return KeptLetter(
        id=row.id,
        job=row.job,
        revision=row.revision,
        kind=row.kind,
        state=LetterState(row.state),
        to=tuple(row.to),
        subject=row.subject,
        message_id=row.message_id,
        in_reply_to=row.in_reply_to,
        asks=tuple(row.asks),
        letter=from_plain(Letter, row.body),
        text=row.text,
        html=row.html,
        raw=row.raw,
        held_because=row.held_because,
        decided_at=row.decided_at,
        due_at=row.due_at,
        claimed_by=row.claimed_by,
        attempts=row.attempts,
        answer=row.answer,
        sent_at=row.sent_at,
        edited=row.edited,
    )
