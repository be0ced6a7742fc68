"""The indexed look-ups that the grouping rules ask for (intake.rules.grouping.JobIndex), each at a flat cost."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, or_, select

from intake.model.card import Card
from intake.model.checklist import RoomKind
from intake.store import schema as t

_IDS = t.message_ids.c
_MESSAGES = t.messages.c
_CARD = [
    *(
        _MESSAGES.sha256,
        _MESSAGES.state,
        _MESSAGES.credited,
        _MESSAGES.via,
        _MESSAGES.recipients,
        _MESSAGES.room,
    ),
    *(_MESSAGES.topic, _MESSAGES.named, _MESSAGES.at, _MESSAGES.job, _MESSAGES.fixed),
]


class Index:
    """Looks into what is filed, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def of_sender(self, email: str, most: int) -> Sequence[Card]:
        credited = self._cards(_MESSAGES.credited == email, most)
        known = {card.key for card in credited}
        return credited + [
            card for card in self._cards(_MESSAGES.via == email, most) if card.key not in known
        ]

    def of_job(self, job: str, most: int) -> Sequence[Card]:
        return self._cards(_MESSAGES.job == job, most)

    def cards(self, keys: Sequence[str]) -> Sequence[Card]:
        """The cards of these messages, the latest first."""
        return self._cards(_MESSAGES.sha256.in_(keys), len(keys))

    def linked(self, ids: Collection[str], own: Collection[str], most: int) -> Sequence[Card]:
        if not ids and not own:
            return []
        bears = (_IDS.relation == "is") & _IDS.message_id.in_(ids)
        refers = (_IDS.relation == "refers") & _IDS.message_id.in_({*ids, *own})
        near = self.db.execute(select(_IDS.sha256).where(or_(bears, refers)).limit(most)).scalars().all()
        return self._cards(_MESSAGES.sha256.in_(near), most) if near else []

    def letters(self, ids: Collection[str]) -> Mapping[str, str]:
        if not ids:
            return {}
        query = select(t.letters.c.message_id, t.letters.c.job).where(t.letters.c.message_id.in_(ids))
        return {i: self._now(job) for i, job in self.db.execute(query)}

    def jobs(self, references: Collection[str]) -> Mapping[str, str]:
        if not references:
            return {}
        query = select(t.jobs.c.id).where(t.jobs.c.id.in_(references))
        return {job: self._now(job) for (job,) in self.db.execute(query)}

    def _now(self, job: str) -> str:
        """The job that a job stands for now, merges followed."""
        while into := self.db.execute(select(t.jobs.c.merged_into).where(t.jobs.c.id == job)).scalar():
            job = into
        return job

    def _cards(self, condition: ColumnElement[bool], most: int) -> list[Card]:
        """The latest filed messages that meet a condition with an index of its own. What is not filed is passed over
        here and not in the query, where SQLite would walk the index of states instead."""
        query = select(*_CARD).where(condition).order_by(_MESSAGES.at.desc()).limit(most)
        rows = [row for row in self.db.execute(query) if row.state == "filed"]
        ids = self._ids([row.sha256 for row in rows]) if rows else {}
        return [_card(row, ids.get(row.sha256, ())) for row in rows]

    def _ids(self, keys: Sequence[str]) -> dict[str, list[tuple[str, str]]]:
        found: dict[str, list[tuple[str, str]]] = {}
        query = (
            select(_IDS.sha256, _IDS.relation, _IDS.message_id).where(_IDS.sha256.in_(keys)).order_by(*_IDS)
        )
        for sha256, relation, message_id in self.db.execute(query):
            found.setdefault(sha256, []).append((relation, message_id))
        return found


def _card(row: Row[Any], ids: Sequence[tuple[str, str]]) -> Card:
    return Card(
        key=row.sha256,
        id=next((i for relation, i in ids if relation == "is"), ""),
        refers=tuple(i for relation, i in ids if relation == "refers"),
        sender=row.credited,
        via=row.via,
        recipients=tuple(row.recipients),
        room=RoomKind(row.room),
        topic=row.topic,
        named=tuple(row.named),
        at=row.at,
        job=row.job or "",
        fixed=row.fixed,
    )
