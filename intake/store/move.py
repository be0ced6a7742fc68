"""Moves a whole database into another one: SQLite to PostgreSQL, or back. The data folder stays where it is.

At every moment at most one of the two can send: the old one is held still throughout, and a letter goes only from the
database whose mark the data folder bears (intake/store/home.py). The old one is left as it was, but for its step:
every version of the program refuses it from then on.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Table, select, text
from sqlalchemy.exc import ArgumentError, DBAPIError

from intake.model.errors import IntakeError, SettingsError
from intake.store import schema as t
from intake.store.copying import copy_in, is_empty
from intake.store.database import Store, open_engine
from intake.store.home import Home, bear_mark
from intake.store.migrate import MOVED
from intake.store.ticks import Ticks

AT_ONCE = 200
"""Rows that are read at a time."""


class NotMovable(IntakeError):
    """The database cannot be moved, or not to that place; nothing was changed."""


@dataclass(frozen=True)
class Counted:
    """A table's number of rows, and the sum of their SHA-256 modulo 2^256: the same whatever their order."""

    rows: int
    checksum: int


def move(store: Store, to: str, now: datetime) -> dict[str, Counted]:
    """Copy every row to the empty database at the URL `to`, compare, and let the data folder belong to it.

    Returns what every table holds, by name. Raises NotMovable and SettingsError; then the old database goes on
    as before.
    """
    try:
        target = open_engine(to)
        if not is_empty(to):
            raise NotMovable("There is a database already where this one is to go", "Name an empty one")
        with _held_still(store) as here:
            if Ticks(here).at_work(now):
                raise NotMovable("A worker is at work in this database", "Stop the service and run it again")
            with target.begin() as there:
                copy_in(here, there)
                found = _compared(here, there)
                mark = Home(there).take_mark()
            bear_mark(store.folder, mark)
            here.execute(text("UPDATE alembic_version SET version_num = :moved"), {"moved": MOVED})
    except (ArgumentError, DBAPIError, ModuleNotFoundError) as error:
        line = str(getattr(error, "orig", error)).splitlines()[0]
        raise SettingsError(f"The database cannot be moved there: {line}", "Correct --to") from error
    return found


@contextmanager
def _held_still(store: Store) -> Iterator[Connection]:
    """A transaction beside which nobody else writes."""
    with store.engine.begin() as here:  # on SQLite it begins IMMEDIATE, and keeps other writers out by itself
        if here.dialect.name == "postgresql":
            # EXCLUSIVE lets others read and no one write (PostgreSQL manual 13.3.1).
            names = ", ".join(f'"{table.name}"' for table in t.metadata.sorted_tables)
            here.exec_driver_sql(f"LOCK TABLE {names}, alembic_version IN EXCLUSIVE MODE")
        yield here


def _compared(here: Connection, there: Connection) -> dict[str, Counted]:
    found = {}
    for table in t.metadata.sorted_tables:
        found[table.name] = count(here, table)
        if count(there, table) != found[table.name]:
            raise NotMovable(
                f"The table {table.name} did not arrive as it was", "Report this; the old database goes on"
            )
    return found


def count(db: Connection, table: Table) -> Counted:
    """Every row of a table, as the program reads it from whichever database."""
    rows = checksum = 0
    for row in db.execute(select(table).execution_options(yield_per=AT_ONCE)):
        rows += 1
        checksum += int.from_bytes(hashlib.sha256(_plainly(row._mapping).encode()).digest())
    return Counted(rows, checksum % (1 << 256))


def _plainly(row: Any) -> str:
    """One text for one row: PostgreSQL's JSON may come back with its keys in another order."""
    return json.dumps([[str(name), value] for name, value in row.items()], sort_keys=True, default=_printed)


def _printed(value: Any) -> str:
    return bytes(value).hex() if isinstance(value, bytes | memoryview) else repr(value)
