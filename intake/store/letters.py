"""The outbox: letters with their state, claimed one at a time and never sent twice."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Row, bindparam, delete, func, insert, select, update

from intake.model.letter import OF_THE_DESK, Letter, LetterKind, LetterState
from intake.model.phrase import Phrase
from intake.store import schema as t
from intake.store.claims import insert_new
from intake.store.records import LETTER

WAITING = (LetterState.DRAFT, LetterState.HELD, LetterState.DUE)
OUT = (LetterState.CLAIMED, LetterState.SENT, LetterState.IN_DOUBT)
_UNSENT = tuple(state for state in LetterState if state is not LetterState.SENT)
_OF_JOB = select(t.letters).where(t.letters.c.job == bindparam("job")).order_by(t.letters.c.id)
_LATEST = (
    select(t.letters.c.revision)
    .where(t.letters.c.job == bindparam("job"))
    .order_by(t.letters.c.revision.desc())
    .limit(1)
)
_WITHDRAW = (
    update(t.letters)
    .where(t.letters.c.job == bindparam("of"), t.letters.c.state.in_(WAITING))
    .values(state=LetterState.SUPERSEDED)
)
_WITHDRAW_OURS = _WITHDRAW.where(t.letters.c.kind.not_in(OF_THE_DESK))
_OUT_OF_JOB = (t.letters.c.job == bindparam("of")) & t.letters.c.state.in_(OUT)
COUNTED: dict[str, Any] = {
    "letters": select(func.count()).where(_OUT_OF_JOB).scalar_subquery(),
    "asks": select(func.coalesce(func.sum(t.letters.c.asked), 0)).where(_OUT_OF_JOB).scalar_subquery(),
}
"""What a tally counts of the letters of the job `of` that went out."""
_COUNT = update(t.tallies).where(t.tallies.c.job == bindparam("of")).values(**COUNTED)
_QUEUE = insert(t.letters)
_TO_CONFIRM = (
    select(t.letters.c.id, t.letters.c.job, t.letters.c.handed_at)
    .where(
        t.letters.c.message_id == bindparam("message_id"),
        t.letters.c.state.in_(bindparam("states", expanding=True)),
    )
    .with_for_update()
)


@dataclass(frozen=True)
class KeptLetter:
    """A letter in the outbox. `asks` are checklist ids in the letter's order."""

    id: int
    job: str
    revision: int
    kind: LetterKind
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
    held_because: Phrase | None
    decided_at: datetime
    due_at: datetime | None
    claimed_by: str | None
    attempts: int
    answer: str
    sent_at: datetime | None
    edited: bool
    bounced_at: datetime | None

    @property
    def by_desk(self) -> bool:
        """A designer had it written; no examination replaces it."""
        return self.kind in OF_THE_DESK

    @property
    def beside(self) -> bool:
        """It asks for nothing: what the job wants of its customer is as if it had never been written."""
        return self.by_desk and not (self.kind is LetterKind.OWN and self.letter.asks)


@dataclass(frozen=True)
class LostLetter:
    """A letter that is known to have been handed over, and of which the database knows no more than this."""

    message_id: str
    job: str
    recipient: str
    in_reply_to: str
    handed_at: datetime
    attempt: int = 1


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

    def _revision(self, job: str) -> int:
        return self.db.execute(_LATEST, {"job": job}).scalar() or 0

    def queue(
        self,
        written: Written,
        state: LetterState,
        at: datetime,
        earlier: Sequence[KeptLetter] | None = None,
    ) -> int:
        """Queue one letter; an earlier letter of the job that has not gone out is superseded, but for those of the
        desk's own, which supersede none either. `earlier`: the job's letters, where this transaction has seen them."""
        letter = written.letter
        if letter.kind not in OF_THE_DESK and (earlier is None or any(map(is_replaced, earlier))):
            self.withdraw(letter.job, but_of_desk=True)
        revisions = [k.revision for k in earlier] if earlier is not None else [self._revision(letter.job)]
        row = {
            "job": letter.job,
            "revision": max(revisions, default=0) + 1,
            "kind": letter.kind,
            "state": state,
            "to": [a.email for a in letter.to],
            "recipient": letter.to[0].email if letter.to else "",
            "subject": letter.subject,
            "message_id": written.message_id,
            "in_reply_to": letter.in_reply_to,
            "asks": list(letter.items),
            "asked": len(letter.items),
            "body": LETTER.write(letter),
            "text": written.text,
            "html": written.html,
            "raw": written.raw,
            "held_because": letter.held_because,
            "decided_at": at,
            "due_at": letter.due_at,
        }
        done = self.db.execute(_QUEUE, row)
        key = done.inserted_primary_key
        assert key is not None
        return int(key[0])

    def withdraw(self, job: str, but_of_desk: bool = False) -> int:
        """Supersede what has not gone out; returns how many letters that were."""
        return self.db.execute(_WITHDRAW_OURS if but_of_desk else _WITHDRAW, {"of": job}).rowcount

    def get(self, letter_id: int) -> KeptLetter | None:
        row = self.db.execute(select(t.letters).filter_by(id=letter_id)).first()
        return _letter(row) if row is not None else None

    def of_job(self, job: str) -> list[KeptLetter]:
        return [_letter(row) for row in self.db.execute(_OF_JOB, {"job": job})]

    def recipients(self, job: str) -> dict[str, str]:
        """To whom the letters about a job went, by their Message-IDs."""
        sent = select(t.letters.c.message_id, t.letters.c.recipient).where(
            t.letters.c.job == job, t.letters.c.state.in_(OUT)
        )
        return {row.message_id: row.recipient for row in self.db.execute(sent)}

    def crops(self, job: str) -> frozenset[str]:
        """The SHA-256 of every crop that the job's letters show."""
        asks = (ask for kept in self.of_job(job) for ask in kept.letter.asks)
        return frozenset(hashlib.sha256(ask.crop).hexdigest() for ask in asks if ask.crop)

    def all(self) -> list[KeptLetter]:
        return [_letter(row) for row in self.db.execute(select(t.letters).order_by(t.letters.c.id))]

    def next_due(self, now: datetime) -> KeptLetter | None:
        """The next letter that is due and whose job has been examined since its last change; until this transaction
        ends it is nobody else's.

        Where new mail came between decision and sending, the letter waits: it may be superseded. PostgreSQL passes
        over rows that another transaction is just claiming (FOR UPDATE SKIP LOCKED).
        """
        table, jobs = t.letters, t.jobs
        query = (
            select(table.c.id)
            .join(jobs, jobs.c.id == table.c.job)
            .where(table.c.state == LetterState.DUE, jobs.c.examined >= jobs.c.changed)
            .where((table.c.due_at.is_(None)) | (table.c.due_at <= now))
            .order_by(table.c.due_at, table.c.id)
            .limit(1)
            .with_for_update(skip_locked=True, of=table)
        )
        found = self.db.execute(query).scalar()
        return self.get(found) if found is not None else None

    def claim(self, letter_id: int, worker: str, now: datetime, lease: timedelta) -> None:
        """Take a letter that `next_due` gave within this transaction."""
        held = {"claimed_by": worker, "claimed_until": now + lease, "handed_at": now}
        counted = {"state": LetterState.CLAIMED, "attempts": t.letters.c.attempts + 1}
        self.db.execute(update(t.letters).where(t.letters.c.id == letter_id).values(**held | counted))

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
            # It was surely not accepted: it does not count as handed over.
            values |= {"due_at": due_at, "handed_at": None}
        changed = self.db.execute(
            update(t.letters)
            .where(
                t.letters.c.id == letter_id,
                t.letters.c.state == LetterState.CLAIMED,
                t.letters.c.claimed_by == worker,
            )
            .values(**values)
        )
        if changed.rowcount:
            job = select(t.letters.c.job).where(t.letters.c.id == letter_id)
            count_letters(self.db, self.db.execute(job).scalar_one())
        return changed.rowcount == 1

    def doubt(self, now: datetime, gone: Collection[str] = ()) -> list[KeptLetter]:
        """Claims whose lease ran out, or whose worker is `gone`, may or may not have been sent: they become in doubt
        and are never sent again by themselves. Returns them."""
        table = t.letters
        left = (table.c.claimed_until < now) | table.c.claimed_by.in_(gone)
        query = select(table.c.id).where(table.c.state == LetterState.CLAIMED, left).with_for_update()
        found = [key for (key,) in self.db.execute(query)]
        doubtful = {"state": LetterState.IN_DOUBT, "answer": "The program stopped while sending it."}
        self.db.execute(update(table).where(table.c.id.in_(found)).values(**doubtful))
        return [letter for key in found if (letter := self.get(key)) is not None]

    def claimers(self) -> list[str]:
        """The workers that hold letters now."""
        table = t.letters
        query = select(table.c.claimed_by).where(table.c.state == LetterState.CLAIMED).distinct()
        return [worker for (worker,) in self.db.execute(query) if worker]

    def confirm(
        self,
        message_id: str,
        now: datetime,
        answer: str = "A copy of it came back.",
        only_from: Sequence[LetterState] = _UNSENT,
    ) -> str | None:
        """A copy of a letter has turned up: it was sent, whatever we believed (in doubt, or still being handed over, or
        refused by an answer that was wrong). Returns its job, or None where nothing changed."""
        found = self.db.execute(_TO_CONFIRM, {"message_id": message_id, "states": only_from}).first()
        if found is None:
            return None
        sent = {
            "state": LetterState.SENT,
            "sent_at": found.handed_at or now,
            "answer": answer,
        }
        self.db.execute(update(t.letters).where(t.letters.c.id == found.id).values(**sent))
        count_letters(self.db, found.job)
        return str(found.job)

    def in_doubt(self) -> list[KeptLetter]:
        return self.in_states((LetterState.IN_DOUBT,))

    def in_states(self, states: Collection[LetterState]) -> list[KeptLetter]:
        """The letters in any of these states, the oldest first."""
        query = select(t.letters).where(t.letters.c.state.in_(states)).order_by(t.letters.c.id)
        return [_letter(row) for row in self.db.execute(query)]

    def bounced(self, message_ids: Collection[str], now: datetime) -> list[str]:
        """Notes that letters came back; returns their jobs."""
        query = select(t.letters.c.id, t.letters.c.job).where(t.letters.c.message_id.in_(message_ids))
        found = self.db.execute(query).all()
        keys = [row.id for row in found]
        self.db.execute(update(t.letters).where(t.letters.c.id.in_(keys)).values(bounced_at=now))
        return list(dict.fromkeys(row.job for row in found))

    def attempts(self, message_ids: Collection[str]) -> dict[str, int]:
        """How often each known letter among these Message-IDs was handed over."""
        query = select(t.letters.c.message_id, t.letters.c.attempts).where(
            t.letters.c.message_id.in_(message_ids)
        )
        return {row.message_id: row.attempts for row in self.db.execute(query)}

    def doubt_known(self, lost: LostLetter) -> str | None:
        """Put a letter that the restored database believes unsent in doubt; its job, or None where it is unknown."""
        found = self.db.execute(
            select(t.letters.c.id, t.letters.c.job).filter_by(message_id=lost.message_id)
        ).first()
        if found is None:
            return None
        doubtful = {
            "state": LetterState.IN_DOUBT,
            "attempts": lost.attempt,
            "handed_at": lost.handed_at,
            "answer": "It had been handed over when the database was older.",
        }
        self.db.execute(update(t.letters).where(t.letters.c.id == found.id).values(**doubtful))
        count_letters(self.db, found.job)
        return str(found.job)

    def lose(self, lost: LostLetter) -> None:
        """Note a letter that went out and that this database, restored from a backup, does not hold."""
        insert_new(self.db, t.lost_letters, [asdict(lost)], t.lost_letters.c.message_id)

    def lost_answer(self, recipient: str, in_reply_to: str) -> LostLetter | None:
        """A lost letter to the same person in answer to the same message; asking forgets it, so it holds once."""
        table = t.lost_letters
        row = self.db.execute(select(table).filter_by(recipient=recipient, in_reply_to=in_reply_to)).first()
        if row is None:
            return None
        self.db.execute(delete(table).where(table.c.message_id == row.message_id))
        return LostLetter(*row)

    def is_lost(self, message_id: str) -> bool:
        query = select(t.lost_letters.c.message_id).filter_by(message_id=message_id)
        return self.db.execute(query).first() is not None

    def change(self, letter_id: int, only_from: tuple[LetterState, ...] = WAITING, **values: Any) -> bool:
        """Set columns of a letter that is still in one of the named states. False where it no longer is."""
        changed = self.db.execute(
            update(t.letters)
            .where(t.letters.c.id == letter_id, t.letters.c.state.in_(only_from))
            .values(**values)
        )
        return changed.rowcount == 1

    def handed_to(self, email: str, job: str, since: datetime) -> list[datetime]:
        """When letters went (or may have gone, or came back) to an address since then, copies of this job's letters
        among them."""
        letters = t.letters.c
        query = select(letters.to, letters.handed_at).where(
            (letters.recipient == email) | (letters.job == job), letters.handed_at >= since
        )
        return [at for to, at in self.db.execute(query) if email in to]


def is_replaced(kept: KeptLetter) -> bool:
    """A letter that waits and that the next one supersedes."""
    return kept.state in WAITING and not kept.by_desk


def count_letters(db: Connection, job: str) -> None:
    """Count a job's letters that went out anew, and what they ask for."""
    db.execute(_COUNT, {"of": job})


def _letter(row: Row[Any]) -> KeptLetter:
    return KeptLetter(
        id=row.id,
        job=row.job,
        revision=row.revision,
        kind=LetterKind(row.kind),
        state=LetterState(row.state),
        to=tuple(row.to),
        subject=row.subject,
        message_id=row.message_id,
        in_reply_to=row.in_reply_to,
        asks=tuple(row.asks),
        letter=LETTER.read(row.body),
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
        bounced_at=row.bounced_at,
    )
