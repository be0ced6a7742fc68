"""Copies a whole database: to an SQLite file of one moment while others work, and from such a file into any database.

So a backup is the same file whichever database it was taken from, and one taken from SQLite may be restored into
PostgreSQL.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import (
    Column,
    Connection,
    Engine,
    MetaData,
    Table,
    create_engine,
    insert,
    inspect,
    select,
    text,
)
from sqlalchemy.pool import NullPool

from intake.store.migrate import step_of, to_step

AT_ONCE = 200
"""Rows in one statement."""


def copy_out(engine: Engine, to: Path) -> str:
    """Write the database as of one moment to the SQLite file `to`; returns the step that it is at."""
    if engine.dialect.name == "sqlite":
        _copy_file(engine, to)
    else:
        # PostgreSQL shows a transaction of this level one moment throughout (PostgreSQL manual 13.2.2).
        one_moment = engine.connect().execution_options(isolation_level="REPEATABLE READ")
        with one_moment as source, source.begin(), sqlite_file(to).begin() as target:
            copy_in(source, target)
    with sqlite_file(to).connect() as copied:
        return step_of(copied) or ""


def _copy_file(engine: Engine, to: Path) -> None:
    """SQLite's own online backup (sqlite.org/backup.html): one read transaction, so one moment."""
    source = engine.raw_connection()
    target = sqlite3.connect(to)
    try:
        source.driver_connection.backup(target, pages=-1)  # type: ignore[union-attr]
    finally:
        target.close()
        source.close()


def is_empty(url: str) -> bool:
    """Whether a database has no tables yet; an SQLite file that is not there is not made by asking."""
    engine = create_engine(url)
    try:
        database = engine.url.database
        if engine.dialect.name == "sqlite" and not (database and Path(database).exists()):
            return True
        with engine.connect() as db:
            return step_of(db) is None and not inspect(db).get_table_names()
    finally:
        engine.dispose()


def sqlite_file(path: Path) -> Engine:
    """An engine that leaves the file, and nothing beside it, as soon as a connection is closed."""
    return create_engine(f"sqlite:///{path}", poolclass=NullPool)


def copy_in(source: Connection, target: Connection) -> None:
    """Copy every row into an empty database, whose tables are made as they stood at the source's step."""
    to_step(target, step_of(source) or "")
    there = _tables(source)
    for table in _tables(target).sorted_tables:
        if table.name in there.tables and table.name != "alembic_version":
            _copy_table(source, there.tables[table.name], target, table)


def _tables(connection: Connection) -> MetaData:
    found = MetaData()
    found.reflect(connection)
    return found


def _copy_table(source: Connection, origin: Table, target: Connection, table: Table) -> None:
    names = [c.name for c in table.columns if c.computed is None]
    query = select(*(origin.c[name] for name in names)).execution_options(yield_per=AT_ONCE)
    for rows in source.execute(query).partitions(AT_ONCE):
        target.execute(insert(table), [{n: _utc(v) for n, v in zip(names, row, strict=True)} for row in rows])
    if target.dialect.name == "postgresql":
        for column in _counted(table):
            _go_on_counting(target, table, column)


def _utc(value: Any) -> Any:
    """SQLite keeps times without their zone, which is UTC throughout."""
    if not isinstance(value, datetime):
        return value
    return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def _counted(table: Table) -> Iterator[Column[Any]]:
    for column in table.primary_key.columns:
        if column.autoincrement is True or "nextval" in str(getattr(column.server_default, "arg", "")):
            yield column


def _go_on_counting(target: Connection, table: Table, column: Column[Any]) -> None:
    """New rows are numbered after those that came; PostgreSQL counts apart from the table."""
    query = text(
        "SELECT setval(pg_get_serial_sequence(:table, :column),"
        f' (SELECT coalesce(max("{column.name}"), 0) + 1 FROM "{table.name}"), false)'
    )
    target.execute(query, {"table": table.name, "column": column.name})
