"""Claims: several workers share one queue, and each row is taken by one of them at a time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import cache
from importlib import import_module
from typing import Any

from sqlalchemy import ColumnElement, Connection, Executable, Table, bindparam, or_, select, text, update

FILING = 7_301
"""The key of PostgreSQL's advisory lock under which one message at a time is placed."""
SENDING = 7_302
"""The key under which one letter at a time is claimed, so that the brake counts every one."""


def insert_new(
    db: Connection, table: Table, rows: Sequence[dict[str, Any]], key: ColumnElement[Any]
) -> set[Any]:
    """Insert those rows whose keys are not there already, whoever else may be doing so; returns the `key` of each that
    is new. Rows that others insert as well come in the order of their keys: else two could wait for each other."""
    return {new for (new,) in db.execute(_insert_new(db.dialect.name, table, key), list(rows))}


@cache
def _insert_new(dialect: str, table: Table, key: ColumnElement[Any]) -> Executable:
    made: Any = import_module(f"sqlalchemy.dialects.{dialect}")  # the other one takes a while to import
    query: Executable = made.insert(table).on_conflict_do_nothing().returning(key)
    return query


def one_at_a_time(db: Connection, key: int) -> None:
    """Until this transaction ends, no other worker passes here. An SQLite transaction that writes is alone anyway."""
    if db.dialect.name == "postgresql":
        db.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": key})


class Queue:
    """The rows of a table that are ready, by turns; each claim counts as an attempt. Made once a table: making a query
    anew costs several times what SQLite takes to answer it."""

    def __init__(
        self,
        table: Table,
        key: ColumnElement[Any],
        ready: ColumnElement[bool],
        order: Sequence[ColumnElement[Any]],
    ) -> None:
        free = or_(table.c.claimed_until.is_(None), table.c.claimed_until < bindparam("now"))
        query = select(key).where(ready, free).order_by(*order).limit(1)
        self._next = query.with_for_update(skip_locked=True)
        self._hold = update(table).where(key == bindparam("_key")).values(attempts=table.c.attempts + 1)

    def claim(self, db: Connection, worker: str, now: datetime, lease: timedelta) -> Any:
        """The key of the first row that nobody holds, now held by `worker`; None where there is none.

        PostgreSQL passes over rows that another transaction is just claiming (FOR UPDATE SKIP LOCKED).
        """
        found = db.execute(self._next, {"now": now}).scalar()
        if found is not None:
            db.execute(self._hold, {"_key": found, "claimed_by": worker, "claimed_until": now + lease})
        return found


def holders(db: Connection, table: Table) -> list[str]:
    """The workers that hold rows of a table."""
    query = select(table.c.claimed_by).where(table.c.claimed_until.is_not(None)).distinct()
    return [worker for (worker,) in db.execute(query) if worker]


def release(db: Connection, table: Table, worker: str) -> int:
    """Give back all that a worker holds; returns how many rows that were."""
    changed = db.execute(
        update(table).where(table.c.claimed_by == worker).values(claimed_by=None, claimed_until=None)
    )
    return changed.rowcount
