"""Deliveries and messages: what came, where it lies, and which job it belongs to."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, delete, insert, select, update

from intake.model.answering import Standing
from intake.model.card import Card
from intake.model.checklist import RoomKind
from intake.model.job import Placement
from intake.model.message import Locator, Message
from intake.store import schema as t


@dataclass(frozen=True)
class KeptMessage:
    """A message as the desk shows it."""

    sha256: str
    state: str
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


class Messages:
    """The deliveries and messages tables, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def knows_delivery(self, locator: Locator) -> bool:
        query = select(t.deliveries.c.id).filter_by(**asdict(locator))
        return self.db.execute(query).first() is not None

    def add_delivery(self, locator: Locator, sha256: str, arrived: datetime, now: datetime) -> bool:
        """Record a delivery and its message. True where the message's bytes are new."""
        self.db.execute(insert(t.deliveries).values(**asdict(locator), sha256=sha256, taken_at=now))
        if self.get(sha256) is not None:
            return False
        self.db.execute(
            insert(t.messages).values(sha256=sha256, state="kept", file=locator.uid, received_at=arrived)
        )
        return True

    def unfinished(self) -> list[str]:
        """Messages kept but not yet filed: where a crash left off."""
        query = select(t.messages.c.sha256).filter_by(state="kept").order_by(t.messages.c.received_at)
        return [sha for (sha,) in self.db.execute(query)]

    def set_aside(self, sha256: str, why: str) -> None:
        self._change(sha256, state="set-aside", why=why)

    def file_in(self, message: Message, card: Card, placement: Placement, standing: Standing) -> None:
        """Put a message into its job (or apart, where it belongs to none), with the reason.

        A Message-ID that other bytes bear already is not this
        message's key: ids are reused and forged.
        """
        taken = select(t.messages.c.sha256).where(
            t.messages.c.key == message.key, t.messages.c.sha256 != message.sha256
        )
        unique = self.db.execute(taken).first() is None
        self._change(
            message.sha256,
            state="filed" if placement.job else "apart",
            key=message.key if unique else f"sha256:{message.sha256}",
            job=placement.job,
            rule=placement.rule,
            reason=placement.reason,
            offers=list(placement.offers),
            sender_name=message.sender.name,
            sender_email=message.sender.email,
            subject=message.subject,
            own_words=message.own_words,
            room=card.room,
            sent_at=message.sent_at,
            answering=standing.verdict,
            answering_rule=standing.rule,
            answering_why=standing.reason,
            credited=card.sender,
            via=card.via,
            recipients=list(card.recipients),
            topic=card.topic,
            named=list(card.named),
            at=card.at,
        )
        self._note_ids(card)

    def _note_ids(self, card: Card) -> None:
        ids = {("is", card.id)} | {("refers", r) for r in card.refers}
        rows = [
            {"sha256": card.key, "message_id": i, "relation": r}
            for r, i in sorted(ids)
            if i and len(i) <= 998
        ]
        self.db.execute(delete(t.message_ids).where(t.message_ids.c.sha256 == card.key))
        if rows:
            self.db.execute(insert(t.message_ids), rows)

    def move(self, sha256: str, job: str | None, rule: str, reason: str, by: str) -> None:
        """Place a message anew."""
        self._change(
            sha256,
            job=job,
            rule=rule,
            reason=reason,
            placed_by=by,
            fixed=by != "intake",
            state="filed" if job else "apart",
        )

    def fix(self, job: str) -> None:
        """From now on the messages of a job stay in it: a letter about it has gone out."""
        self.db.execute(update(t.messages).where(t.messages.c.job == job).values(fixed=True))

    def _change(self, sha256: str, **values: Any) -> None:
        self.db.execute(update(t.messages).filter_by(sha256=sha256).values(**values))

    def get(self, sha256: str) -> KeptMessage | None:
        row = self.db.execute(select(t.messages).filter_by(sha256=sha256)).first()
        return _message(row) if row is not None else None

    def of_job(self, job_id: str) -> list[KeptMessage]:
        """A job's messages in the order they came."""
        query = select(t.messages).filter_by(job=job_id).order_by(t.messages.c.at, t.messages.c.sha256)
        return [_message(row) for row in self.db.execute(query)]

    def in_state(self, state: str) -> list[KeptMessage]:
        query = select(t.messages).filter_by(state=state).order_by(t.messages.c.at, t.messages.c.sha256)
        return [_message(row) for row in self.db.execute(query)]


def _message(row: Row[Any]) -> KeptMessage:
    values = {name: getattr(row, name) for name in KeptMessage.__dataclass_fields__}
    at = row.at or row.received_at
    return KeptMessage(**values | {"offers": tuple(row.offers), "room": RoomKind(row.room), "at": at})
