"""Jobs, their addresses, standings, decisions and timelines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import (
    Connection,
    Row,
    bindparam,
    case,
    delete,
    func,
    insert,
    or_,
    select,
    update,
)

from intake.model.checklist import SETTLED, Checklist, ItemStanding, ItemState, RoomKind
from intake.model.job import Event, EventKind, Job, JobState
from intake.model.message import Address
from intake.model.need import Need
from intake.model.word import Way, Word
from intake.store import schema as t
from intake.store.claims import Queue, insert_new
from intake.store.folding import job_search
from intake.store.records import NEED, STANDING, KeptStanding, Record
from intake.store.words import WordRow, from_row, to_row

_CHANGED = (t.jobs.c.examined < t.jobs.c.changed) & t.jobs.c.merged_into.is_(None)

# Made once: making a query anew costs several times what SQLite takes to answer it.
_BY_ID = select(t.jobs).where(t.jobs.c.id == bindparam("job"))
_ADDRESSES = (
    select(t.job_addresses.c.email)
    .where(t.job_addresses.c.job == bindparam("job"))
    .order_by(t.job_addresses.c.email)
)
_EXAMINED = select(t.jobs.c.examined).where(t.jobs.c.id == bindparam("job")).with_for_update()
_CLEAR_ITEMS = delete(t.items).where(t.items.c.job == bindparam("of"))
_ADD_ITEMS = insert(t.items)
_ALL_WORDS = select(t.decisions).where(t.decisions.c.job == bindparam("of")).order_by(t.decisions.c.id)
_WORDS = _ALL_WORDS.where(t.decisions.c.undone_at.is_(None))
_THESE = select(t.jobs.c.id, t.jobs.c.merged_into).where(t.jobs.c.id.in_(bindparam("ids", expanding=True)))
_CHANGE = update(t.jobs).where(t.jobs.c.id == bindparam("_id"))
_TOUCH = _CHANGE.values(changed=t.jobs.c.changed + 1, attempts=0)
_FAILED = {
    "failed_at": func.coalesce(t.jobs.c.failed_at, bindparam("now", type_=t.jobs.c.failed_at.type)),
    "state": case((t.jobs.c.state == JobState.STOPPED, t.jobs.c.state), else_=JobState.TO_CHECK.value),
}
_NOTE_FAILED = _CHANGE.values(**_FAILED, attempts=0)
MOST_ATTEMPTS = 3
"""Workers that may die over one job; then it waits for a day or until something of it changes, and the others go on."""
_TO_EXAMINE = Queue(
    t.jobs,
    t.jobs.c.id,
    _CHANGED & (t.jobs.c.attempts < MOST_ATTEMPTS),
    (t.jobs.c.failed_at.is_not(None), t.jobs.c.attempts, t.jobs.c.last_message_at, t.jobs.c.id),
)
_NOTE_DEADLY = (
    update(t.jobs)
    .where(
        _CHANGED,
        t.jobs.c.attempts >= MOST_ATTEMPTS,
        or_(t.jobs.c.claimed_until.is_(None), t.jobs.c.claimed_until < bindparam("now")),
    )
    .values(**_FAILED)
)
_LATER = _CHANGE.where(t.jobs.c.last_message_at < bindparam("last_message_at_"))
_LATEST = (
    select(t.events.c.text)
    .where(t.events.c.job == bindparam("job"), t.events.c.kind == bindparam("kind"))
    .order_by(t.events.c.id.desc())
    .limit(1)
    .scalar_subquery()
)
_EVENT = ("job", "at", "kind", "text", "by")
_ADD_EVENT = insert(t.events).from_select(
    _EVENT,
    select(*(bindparam(name, type_=t.events.c[name].type) for name in _EVENT)).where(
        func.coalesce(_LATEST, "") != bindparam("text")
    ),
)


@dataclass(frozen=True)
class Decision:
    """A word of the desk as it is kept; `undone_by` says who took it back, None where it stands."""

    id: int
    job: str
    word: Word
    by: str
    at: datetime
    undone_by: str | None = None
    undone_at: datetime | None = None


def decision_of(row: Row[Any]) -> Decision:
    trail = {"by": row.by, "at": row.at, "way": Way.DESK, "id": row.id}
    word = from_row(WordRow(row.kind, row.target, row.value), trail)
    return Decision(row.id, row.job, word, row.by, row.at, row.undone_by, row.undone_at)


class Jobs:
    """The jobs table and what hangs on it, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def open(self, job: Job) -> bool:
        """Open a job with its addresses. False where its id is taken."""
        row = {
            "id": job.id,
            "room": job.room,
            "state": job.state,
            "customer_name": job.customer.name,
            "customer_email": job.customer.email,
            "opened_at": job.opened_at,
            "last_message_at": job.last_message_at,
        }
        if not insert_new(self.db, t.jobs, [row], t.jobs.c.id):
            return False
        for email in job.addresses:
            self.add_address(job.id, email)
        return True

    def add_address(self, job: str, email: str) -> None:
        if email:
            insert_new(self.db, t.job_addresses, [{"job": job, "email": email}], t.job_addresses.c.email)

    def get(self, job_id: str) -> Job | None:
        """The job, following merges; None where there is none."""
        found = self.counted(job_id)
        return found[0] if found is not None else None

    def counted(self, job_id: str) -> tuple[Job, int, int] | None:
        """The same with how often the job's material has changed, and how many reminder times are behind us since the
        last letter."""
        row = self.db.execute(_BY_ID, {"job": job_id}).first()
        while row is not None and row.merged_into:
            row = self.db.execute(_BY_ID, {"job": row.merged_into}).first()
        return (self._job(row), row.changed, row.reminders) if row is not None else None

    def now(self, job_ids: Sequence[str]) -> list[str]:
        """The jobs that these stand for, merges followed, each once."""
        merged = {row.id: row.merged_into for row in self.db.execute(_THESE, {"ids": job_ids})}
        found = (self.get(i) if merged[i] else i for i in job_ids if i in merged)
        return list(dict.fromkeys(job.id if isinstance(job, Job) else job for job in found if job))

    def all(self) -> list[Job]:
        """Every job that was not merged away, the longest waiting first."""
        query = select(t.jobs).where(t.jobs.c.merged_into.is_(None)).order_by(t.jobs.c.opened_at, t.jobs.c.id)
        return [self._job(row) for row in self.db.execute(query)]

    def _job(self, row: Row[Any]) -> Job:
        emails = [email for (email,) in self.db.execute(_ADDRESSES, {"job": row.id})]
        first = [e for e in emails if e == row.customer_email]
        return Job(
            id=row.id,
            room=RoomKind(row.room),
            state=JobState(row.state),
            customer=Address(row.customer_name, row.customer_email),
            addresses=tuple(first + [e for e in emails if e != row.customer_email]),
            opened_at=row.opened_at,
            last_message_at=row.last_message_at,
        )

    def change(self, job_id: str, **values: Any) -> None:
        """Set columns of one job."""
        self.db.execute(_CHANGE, {"_id": job_id} | values)

    def note_message(self, job_id: str, at: datetime) -> None:
        """Move `last_message_at` forward, never back."""
        self.db.execute(_LATER, {"_id": job_id, "last_message_at_": at, "last_message_at": at})

    def touch(self, job_id: str) -> None:
        """The job's material changed: it is to be examined (again)."""
        self.db.execute(_TOUCH, {"_id": job_id})

    def touch_read(self, version: str) -> None:
        """Every job with a sketch that readers of a version read is to be examined again, but for those stopped."""
        of = (
            select(t.messages.c.job)
            .join(t.pictures, t.pictures.c.message == t.messages.c.sha256)
            .join(t.lots, t.lots.c.picture == t.pictures.c.id)
            .where(t.lots.c.version == version, t.messages.c.job.is_not(None))
        )
        query = update(t.jobs).where(t.jobs.c.id.in_(of), t.jobs.c.state != JobState.STOPPED)
        self.db.execute(query.values(changed=t.jobs.c.changed + 1, attempts=0))

    def begin_examined(self, job_id: str, version: int) -> bool:
        """Enter the results of examining a job as it was at `version`; other workers wait until this transaction ends.

        False where a later state has been examined meanwhile: then nothing may be written.
        """
        return (self.db.execute(_EXAMINED, {"job": job_id}).scalar() or 0) <= version

    def note_failed(self, job_id: str, now: datetime) -> None:
        """A fault of ours kept the job from being examined: a designer is to know since when, and nothing that was
        found before may pass for complete."""
        self.db.execute(_NOTE_FAILED, {"_id": job_id, "now": now})

    def note_deadly(self, now: datetime) -> None:
        """The same of those over whose examination so many workers died."""
        self.db.execute(_NOTE_DEADLY, {"now": now})

    def try_deadly_again(self) -> None:
        """Those over which so many workers died are examined once more: the program may be another by now."""
        self.db.execute(update(t.jobs).where(t.jobs.c.attempts >= MOST_ATTEMPTS).values(attempts=0))

    def note_survived(self, worker: str) -> None:
        """A worker that is alive gives its jobs back: it did not die over them."""
        self.db.execute(update(t.jobs).filter_by(claimed_by=worker).values(attempts=0))

    def claim(self, worker: str, now: datetime, lease: timedelta) -> str | None:
        """The next job to examine, now `worker`'s; None where none is waiting. Those that failed come last."""
        found: str | None = _TO_EXAMINE.claim(self.db, worker, now, lease)
        return found

    def waiting(self) -> int:
        """How many jobs are to be examined."""
        return self.db.execute(select(func.count()).select_from(t.jobs).where(_CHANGED)).scalar_one()

    def is_examined(self, job_id: str) -> bool:
        query = select(t.jobs.c.examined >= t.jobs.c.changed).filter_by(id=job_id)
        return bool(self.db.execute(query).scalar())

    def keep_found(
        self,
        job_id: str,
        standings: Sequence[ItemStanding],
        needs: Sequence[Need],
        customer: Address,
        **values: Any,
    ) -> None:
        """Replace what an examination found of a job: where every item stands, what waits for a person, whose it is,
        with the counts and the search of the list of jobs, and further columns; in one change of its row."""
        self.db.execute(_CLEAR_ITEMS, {"of": job_id})
        rows = [
            {"job": job_id, "item": s.item.id, "position": n, "state": s.state, "body": _standing_record(s)}
            for n, s in enumerate(standings)
        ]
        if rows:
            self.db.execute(_ADD_ITEMS, rows)
        self.change(
            job_id,
            items_wanted=len(standings),
            items_settled=sum(s.state in SETTLED for s in standings),
            item_states={s.item.id: s.state for s in standings},
            needs=[NEED.write(need) for need in needs],
            customer_name=customer.name,
            customer_email=customer.email,
            search=job_search(customer.name, customer.email, job_id),
            **values,
        )

    def standings(self, job_id: str, checklist: Checklist) -> tuple[ItemStanding, ...]:
        """Where the items of the job's checklist stand; one that the checklist no longer has is left out."""
        query = select(t.items.c.item, t.items.c.body).filter_by(job=job_id).order_by(t.items.c.position)
        found = ((checklist.item(item), STANDING.read(body)) for item, body in self.db.execute(query))
        return tuple(ItemStanding(i, s.state, s.evidence, s.reason) for i, s in found if i is not None)

    def item_states(self, job_id: str) -> dict[str, ItemState]:
        """The state of every item, in the checklist's order."""
        query = select(t.items.c.item, t.items.c.state).filter_by(job=job_id).order_by(t.items.c.position)
        return {item: ItemState(state) for item, state in self.db.execute(query)}

    def needs(self, job_id: str) -> tuple[Need, ...]:
        """What waits for a person in a job, most urgent first."""
        found = self.db.execute(select(t.jobs.c.needs).filter_by(id=job_id)).scalar() or []
        return tuple(NEED.read(need) for need in found)

    def add_event(self, job_id: str, event: Event) -> None:
        """Add a line to the timeline, unless the same line stands there as the latest of its kind."""
        self.add_events(job_id, [event])

    def add_events(self, job_id: str, events: Sequence[Event]) -> None:
        """The same of several, in their order."""
        if events:
            self.db.execute(_ADD_EVENT, [{"job": job_id} | vars(event) for event in events])

    def events(self, job_id: str) -> tuple[Event, ...]:
        query = select(t.events).filter_by(job=job_id).order_by(t.events.c.at, t.events.c.id)
        return tuple(Event(row.at, EventKind(row.kind), row.text, row.by) for row in self.db.execute(query))

    def decide(self, job_id: str, word: Word) -> int:
        """Keep one word of the desk, which says who and when; returns its id."""
        assert word.at is not None
        self.touch(job_id)
        row = to_row(word)
        values = {"kind": row.kind, "target": row.target, "value": row.value}
        done = self.db.execute(insert(t.decisions).values(job=job_id, by=word.by, at=word.at, **values))
        key = done.inserted_primary_key
        assert key is not None
        return int(key[0])

    def undo(self, decision_id: int, by: str, at: datetime) -> Decision | None:
        """Mark a decision undone; None where it was not there or undone already."""
        changed = self.db.execute(
            update(t.decisions)
            .where(t.decisions.c.id == decision_id, t.decisions.c.undone_at.is_(None))
            .values(undone_by=by, undone_at=at)
        )
        if changed.rowcount != 1:
            return None
        row = self.db.execute(select(t.decisions).filter_by(id=decision_id)).one()
        self.touch(row.job)
        return decision_of(row)

    def decisions(self, job_id: str, undone: bool = False) -> list[Decision]:
        """A job's decisions in order; those undone only where asked for."""
        return [decision_of(row) for row in self.db.execute(_ALL_WORDS if undone else _WORDS, {"of": job_id})]

    def words(self, job_id: str) -> tuple[Word, ...]:
        """What was said of a job at the desk and stands, in order."""
        return tuple(decision.word for decision in self.decisions(job_id))

    def in_state(self, state: JobState) -> list[str]:
        query = select(t.jobs.c.id).where(t.jobs.c.merged_into.is_(None), t.jobs.c.state == state)
        return [job for (job,) in self.db.execute(query.order_by(t.jobs.c.last_message_at))]

    def count(self) -> int:
        return self.db.execute(
            select(func.count()).select_from(t.jobs).where(t.jobs.c.merged_into.is_(None))
        ).scalar_one()


def as_examined(version: int, now: datetime) -> dict[str, Any]:
    """The columns of a job that was examined as it was at `version`."""
    done = {"examined": version, "examined_at": now, "failed_at": None, "attempts": 0}
    return done | {"claimed_by": None, "claimed_until": None}


def _standing_record(standing: ItemStanding) -> Record:
    return STANDING.write(KeptStanding(standing.state, standing.evidence, standing.reason))
