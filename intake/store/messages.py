"""Deliveries and messages: what came, where it lies, and which job it belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Row, Select, bindparam, exists, func, or_, select, update

from intake.model.answering import Answering, AnsweringRule, Standing, Thread
from intake.model.card import Card
from intake.model.checklist import RoomKind
from intake.model.job import Placement, PlacementRule
from intake.model.message import Locator, Message, MessageState
from intake.store import schema as t
from intake.store.claims import Queue, insert_new
from intake.store.records import THREAD

# Made once: making a query anew costs several times what SQLite takes to answer it.
_CHANGE = update(t.messages).where(t.messages.c.sha256 == bindparam("_sha256"))
_STATES = select(t.messages.c.sha256, t.messages.c.state).where(
    t.messages.c.sha256.in_(bindparam("sha256s", expanding=True))
)
_TOUCH = (
    update(t.jobs)
    .where(t.jobs.c.id.in_(bindparam("_ids", expanding=True)))
    .values(changed=t.jobs.c.changed + 1, attempts=0)
)
_OF_JOB = (
    select(t.messages)
    .where(t.messages.c.job == bindparam("of"))
    .order_by(t.messages.c.at, t.messages.c.sha256)
)
_KEY_TAKEN = select(t.messages.c.sha256).where(
    t.messages.c.key == bindparam("key"), t.messages.c.sha256 != bindparam("sha256")
)

_HAS_ORIGINAL = or_(
    t.messages.c.purged_at.is_(None),
    exists().where(
        t.deliveries.c.sha256 == t.messages.c.sha256, t.deliveries.c.taken_at > t.messages.c.purged_at
    ),
)
LONGEST_LINE = 998
"""Signs (RFC 5322, 2.1.1); a Message-ID that is longer is none."""


def _past(before: datetime) -> Select[Any]:
    """Messages with an original, whose job's last message, or they themselves, came before `before`."""
    m, j = t.messages.c, t.jobs.c
    return (
        select(m.sha256)
        .outerjoin(t.jobs, j.id == m.job)
        .where(
            func.coalesce(j.last_message_at, m.received_at) < before,
            m.received_at < before,  # the date of a job's mail is its writers' own word
            m.state != MessageState.KEPT,
            _HAS_ORIGINAL,
        )
    )


MOST_ATTEMPTS = 5
"""Workers that may die over one message before it is set aside."""
_TO_FILE = Queue(
    t.messages,
    t.messages.c.sha256,
    (t.messages.c.state == MessageState.KEPT) & (t.messages.c.attempts < MOST_ATTEMPTS),
    (t.messages.c.received_at, t.messages.c.sha256),
)


@dataclass(frozen=True)
class KeptMessage:
    """A message as the desk shows it."""

    sha256: str
    state: MessageState
    why: str
    file: str
    key: str
    job: str | None
    rule: str
    reason: str
    offers: tuple[str, ...]
    sender_name: str
    sender_email: str
    subject: str
    own_words: str
    room: RoomKind
    sent_at: datetime | None
    received_at: datetime
    at: datetime
    answering: str
    answering_rule: str
    answering_why: str
    fixed: bool
    placed_by: str
    credited: str
    via: str
    vouched: bool
    """Our mail server, or a designer who put it there, vouches for who wrote it."""
    thread: Thread | None
    """What a letter in answer to it needs; None where an older version filed it."""
    heard: bool = True
    """The job's customer, or somebody whom the customer brought in, wrote it; told only among the job's messages."""

    @property
    def put_here(self) -> bool:
        """A designer put it into its job."""
        return put_by_a_person(self.placed_by, self.rule)

    @property
    def automatic(self) -> bool:
        """A machine wrote it, or nobody."""
        return by_machine(self.answering, self.answering_rule)

    @property
    def counts(self) -> bool:
        """Whether what it says and shows is evidence."""
        return self.vouched and self.heard and not self.automatic


def put_by_a_person(by: str, rule: str) -> bool:
    return by != "intake" and rule in (PlacementRule.PLACED, PlacementRule.MERGED)


def by_machine(answering: str, rule: str) -> bool:
    """What the rules on answering said of a machine's mail, or of nobody's."""
    return answering == Answering.NEVER and rule != AnsweringRule.UNWRITABLE


def is_vouched(row: Row[Any]) -> bool:
    """By our mail server, or by the designer who put it where it lies."""
    return bool(row.vouched) or put_by_a_person(row.placed_by, row.rule)


class Messages:
    """The deliveries and messages tables, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def known_in(self, account: str, folder: str) -> dict[tuple[int, str], str]:
        """Every delivery taken from a folder: (UIDVALIDITY, UID) and the SHA-256 of its message."""
        query = select(t.deliveries.c.uidvalidity, t.deliveries.c.uid, t.deliveries.c.sha256)
        rows = self.db.execute(query.filter_by(account=account, folder=folder))
        return {(uidvalidity, uid): sha256 for uidvalidity, uid, sha256 in rows}

    def add_deliveries(
        self,
        arrived: Sequence[tuple[Locator, str, datetime]],
        now: datetime,
        worker: str,
        lease: timedelta,
    ) -> set[str]:
        """Record deliveries (where, SHA-256, when) and their messages, whoever else may be doing so. Returns the
        SHA-256 of those messages whose bytes are new: they are then `worker`'s to file."""
        places = [asdict(at) | {"sha256": sha256, "taken_at": now} for at, sha256, _ in arrived]
        insert_new(self.db, t.deliveries, sorted(places, key=lambda row: str(row["uid"])), t.deliveries.c.id)
        same: dict[str, Any] = {
            "state": MessageState.KEPT, "offers": [], "recipients": [], "named": [], "attempts": 1,
            "claimed_by": worker, "claimed_until": now + lease,
        }  # fmt: skip
        rows = {
            sha256: same | {"sha256": sha256, "file": at.uid, "received_at": received}
            for at, sha256, received in reversed(arrived)
        }
        return insert_new(self.db, t.messages, [rows[key] for key in sorted(rows)], t.messages.c.sha256)

    def claim(self, worker: str, now: datetime, lease: timedelta) -> str | None:
        """The next message kept but not filed (a crash left off there), now `worker`'s to file; None for none."""
        found: str | None = _TO_FILE.claim(self.db, worker, now, lease)
        return found

    def set_aside_deadly(self, why: str) -> list[str]:
        """Set aside what so many workers died of; the mailbox's name for each."""
        table = t.messages
        free = table.c.claimed_until.is_(None)
        query = select(table.c.sha256, table.c.file).where(
            table.c.state == MessageState.KEPT, table.c.attempts >= MOST_ATTEMPTS, free
        )
        found = self.db.execute(query).all()
        for row in found:
            self.set_aside(row.sha256, why)
        return [row.file for row in found]

    def past_retention(self, before: datetime, limit: int) -> list[str]:
        """Messages whose original is to be deleted: their job's last message, or they themselves where they are in no
        job, came before `before`. One that was delivered again since counts anew."""
        return [sha256 for (sha256,) in self.db.execute(_past(before).limit(limit))]

    def count_past_retention(self, before: datetime) -> int:
        return self.db.execute(select(func.count()).select_from(_past(before).subquery())).scalar_one()

    def count_originals(self) -> int:
        """Messages whose original is still kept."""
        return self.db.execute(select(func.count()).select_from(t.messages).where(_HAS_ORIGINAL)).scalar_one()

    def newest(self) -> datetime | None:
        """When the latest message arrived."""
        return self.db.execute(select(func.max(t.messages.c.received_at))).scalar()

    def note_purged(self, sha256s: Sequence[str], at: datetime) -> None:
        self.db.execute(update(t.messages).where(t.messages.c.sha256.in_(sha256s)).values(purged_at=at))

    def state(self, sha256: str) -> MessageState | None:
        """None where there is no such message."""
        state = self.db.execute(select(t.messages.c.state).filter_by(sha256=sha256)).scalar()
        return None if state is None else MessageState(state)

    def states(self, sha256s: Sequence[str]) -> dict[str, MessageState]:
        """The state of each of these messages."""
        return {row.sha256: MessageState(row.state) for row in self.db.execute(_STATES, {"sha256s": sha256s})}

    def set_aside(self, sha256: str, why: str) -> None:
        self._change(sha256, state=MessageState.SET_ASIDE, why=why, claimed_by=None, claimed_until=None)

    def file_in(
        self,
        message: Message,
        card: Card,
        placement: Placement,
        standing: Standing,
        thread: Thread,
        reason: str,
        answering_why: str = "",
    ) -> None:
        """Put a message into its job (or apart, where it belongs to none), with the reasons in words.

        A Message-ID that other bytes bear already is not this message's key: ids are reused and forged.
        """
        named = {"key": message.key, "sha256": message.sha256}
        unique = self.db.execute(_KEY_TAKEN, named).first() is None
        self._change(
            message.sha256,
            state=MessageState.FILED if placement.job else MessageState.APART,
            key=message.key if unique else f"sha256:{message.sha256}",
            job=placement.job,
            rule=placement.rule,
            reason=reason,
            offers=list(placement.offers),
            sender_name=message.sender.name,
            sender_email=message.sender.email,
            subject=message.subject,
            own_words=message.own_words,
            room=card.room,
            sent_at=message.sent_at,
            answering=standing.verdict,
            answering_rule=standing.rule,
            answering_why=answering_why,
            credited=card.sender,
            via=card.via,
            recipients=list(card.recipients),
            topic=card.topic,
            named=list(card.named),
            at=card.at,
            vouched=card.vouched,
            thread=THREAD.write(thread),
            claimed_by=None,
            claimed_until=None,
        )
        self._note_ids(card)

    def _note_ids(self, card: Card) -> None:
        ids = {("is", card.id)} | {("refers", r) for r in card.refers}
        rows = [
            {"sha256": card.key, "message_id": i, "relation": r}
            for r, i in sorted(ids)
            if i and len(i) <= LONGEST_LINE
        ]
        if rows:
            insert_new(self.db, t.message_ids, rows, t.message_ids.c.sha256)

    def move(self, sha256: str, job: str | None, rule: PlacementRule, reason: str, by: str) -> None:
        """Place a message anew; the jobs that lose and gain it are to be examined again."""
        left = self.db.execute(select(t.messages.c.job).filter_by(sha256=sha256)).scalar()
        self.db.execute(_TOUCH, {"_ids": [each for each in {left, job} if each]})
        self._change(
            sha256,
            job=job,
            rule=rule,
            reason=reason,
            placed_by=by,
            fixed=by != "intake",
            state=MessageState.FILED if job else MessageState.APART,
        )

    def keep_thread(self, sha256: str, thread: Thread) -> None:
        """What a letter in answer to a message needs, where an older version filed it without."""
        self._change(sha256, thread=THREAD.write(thread))

    def vouch(self, sha256: str, vouched: bool) -> None:
        """A designer's word on who wrote a message, or that word taken back."""
        self._change(sha256, vouched=vouched)

    def fix(self, job: str) -> None:
        """From now on the messages of a job stay in it: a letter about it has gone out."""
        self.db.execute(update(t.messages).where(t.messages.c.job == job).values(fixed=True))

    def _change(self, sha256: str, **values: Any) -> None:
        self.db.execute(_CHANGE, {"_sha256": sha256} | values)

    def get(self, sha256: str) -> KeptMessage | None:
        row = self.db.execute(select(t.messages).filter_by(sha256=sha256)).first()
        return kept_message(row) if row is not None else None

    def of_job(self, job_id: str) -> list[KeptMessage]:
        """A job's messages in the order they came."""
        return [kept_message(row) for row in self.rows_of_job(job_id)]

    def rows_of_job(self, job_id: str) -> Sequence[Row[Any]]:
        """The same as rows, which Index.cards_of takes as well."""
        return self.db.execute(_OF_JOB, {"of": job_id}).all()

    def in_state(self, state: MessageState) -> list[KeptMessage]:
        query = select(t.messages).filter_by(state=state).order_by(t.messages.c.at, t.messages.c.sha256)
        return [kept_message(row) for row in self.db.execute(query)]


def kept_message(row: Row[Any]) -> KeptMessage:
    values = {name: getattr(row, name) for name in KeptMessage.__dataclass_fields__ if name != "heard"}
    values |= {
        "state": MessageState(row.state),
        "offers": tuple(row.offers),
        "room": RoomKind(row.room),
        "at": row.at or row.received_at,
    }
    values |= {"vouched": is_vouched(row), "thread": None if row.thread is None else THREAD.read(row.thread)}
    return KeptMessage(**values)
