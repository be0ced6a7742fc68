"""The indexed look-ups that the grouping rules ask for (intake.domain.mail.grouping.JobIndex), each at a flat cost."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Connection,
    Executable,
    Row,
    Select,
    bindparam,
    or_,
    select,
)

from intake.model.card import Card
from intake.model.checklist import RoomKind
from intake.model.job import PlacementRule
from intake.model.message import MessageState
from intake.store import schema as t
from intake.store.messages import by_machine, is_vouched

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
    *(_MESSAGES.vouched, _MESSAGES.placed_by, _MESSAGES.rule, _MESSAGES.answering, _MESSAGES.answering_rule),
]


def _latest(condition: ColumnElement[bool]) -> Select[Any]:
    return select(*_CARD).where(condition).order_by(_MESSAGES.at.desc()).limit(bindparam("most"))


def _among(name: str) -> BindParameter[Any]:
    return bindparam(name, expanding=True)


# Made once: making a query anew costs several times what SQLite takes to answer it.
_CREDITED = _latest(_MESSAGES.credited == bindparam("value"))
_VIA = _latest(_MESSAGES.via == bindparam("value"))
# Two halves, each with an index of its own; OR would walk one of them.
_OF_SENDER = select(_CREDITED.subquery()).union_all(select(_VIA.subquery()))
_OF_JOB = _latest(_MESSAGES.job == bindparam("value"))
_THESE = _latest(_MESSAGES.sha256.in_(_among("value")))
_BEAR = (_IDS.relation == "is") & _IDS.message_id.in_(_among("ids"))
_REFER = (_IDS.relation == "refers") & _IDS.message_id.in_(_among("both"))
_LINKED = select(_IDS.sha256).where(or_(_BEAR, _REFER)).limit(bindparam("most"))
_IDS_OF = (
    select(_IDS.sha256, _IDS.relation, _IDS.message_id).where(_IDS.sha256.in_(_among("keys"))).order_by(*_IDS)
)
_LETTERS = select(t.letters.c.message_id, t.letters.c.job).where(t.letters.c.message_id.in_(_among("ids")))
_JOBS = select(t.jobs.c.id).where(t.jobs.c.id.in_(_among("ids")))
_MERGED_INTO = select(t.jobs.c.merged_into).where(t.jobs.c.id == bindparam("job"))


class Index:
    """Looks into what is filed, within one transaction."""

    def __init__(
        self, connection: Connection, states: tuple[MessageState, ...] = (MessageState.FILED,)
    ) -> None:
        self.db = connection
        self._states = states

    def wider(self) -> Index:
        return Index(self.db, (MessageState.FILED, MessageState.APART))

    def of_sender(self, email: str, most: int) -> Sequence[Card]:
        return self._cards(_OF_SENDER, email, most)

    def of_job(self, job: str, most: int) -> Sequence[Card]:
        return self._cards(_OF_JOB, job, most)

    def cards(self, keys: Sequence[str]) -> Sequence[Card]:
        """The cards of these messages, the latest first."""
        return self._cards(_THESE, list(keys), len(keys))

    def linked(self, ids: Collection[str], own: Collection[str], most: int) -> Sequence[Card]:
        if not ids and not own:
            return []
        wanted = {"ids": list(ids), "both": list({*ids, *own}), "most": most}
        near = self.db.execute(_LINKED, wanted).scalars().all()
        return self._cards(_THESE, near, most) if near else []

    def letters(self, ids: Collection[str]) -> Mapping[str, str]:
        if not ids:
            return {}
        return {i: self._now(job) for i, job in self.db.execute(_LETTERS, {"ids": list(ids)})}

    def jobs(self, references: Collection[str]) -> Mapping[str, str]:
        if not references:
            return {}
        return {job: self._now(job) for (job,) in self.db.execute(_JOBS, {"ids": list(references)})}

    def _now(self, job: str) -> str:
        """The job that a job stands for now, merges followed."""
        while into := self.db.execute(_MERGED_INTO, {"job": job}).scalar():
            job = into
        return job

    def _cards(self, query: Executable, value: Any, most: int) -> list[Card]:
        """The latest filed messages of a query with an index of its own. What is not filed is passed over here and not
        in the query, where SQLite would walk the index of states instead."""
        return self.cards_of(self.db.execute(query, {"value": value, "most": most}))

    def cards_of(self, found: Iterable[Row[Any]]) -> list[Card]:
        """The cards of rows of messages, in their order."""
        rows = {
            row.sha256: row
            for row in found
            if row.state in self._states and row.rule != PlacementRule.OUR_COPY
        }
        ids = self._ids(list(rows)) if rows else {}
        return [_card(row, ids.get(sha256, ())) for sha256, row in rows.items()]

    def _ids(self, keys: Sequence[str]) -> dict[str, list[tuple[str, str]]]:
        found: dict[str, list[tuple[str, str]]] = {}
        for sha256, relation, message_id in self.db.execute(_IDS_OF, {"keys": keys}):
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
        vouched=is_vouched(row),
        automatic=row.state == MessageState.APART or by_machine(row.answering, row.answering_rule),
    )
