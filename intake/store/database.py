"""The database behind everything: one engine, short transactions."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, create_engine, event
from sqlalchemy.exc import ArgumentError, DBAPIError

from intake.model.errors import SettingsError, StoreFull
from intake.store import schema
from intake.store.claims import FILING, SENDING, holders, one_at_a_time, release
from intake.store.files import Files
from intake.store.index import Index
from intake.store.jobs import Jobs
from intake.store.journal import Journal
from intake.store.letters import Letters
from intake.store.messages import Messages
from intake.store.migrate import NotOurs, migrate
from intake.store.pictures import Pictures
from intake.store.shelf import Shelf


class Tables:
    """The tables within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection
        self.jobs = Jobs(connection)
        self.messages = Messages(connection)
        self.pictures = Pictures(connection)
        self.letters = Letters(connection)
        self.index = Index(connection)

    def release_claims(self, ended: Callable[[str], bool]) -> None:
        """Give back the messages and jobs that ended workers still hold."""
        for table in (schema.messages, schema.jobs):
            for worker in filter(ended, holders(self.db, table)):
                release(self.db, table, worker)

    def place_alone(self) -> None:
        """Until this transaction ends, no other worker places a message: two could open two jobs for one customer."""
        one_at_a_time(self.db, FILING)

    def claim_alone(self) -> None:
        """Until this transaction ends, no other worker claims a letter: the brake must count every one."""
        one_at_a_time(self.db, SENDING)


class Store:
    """The database and the files beside it."""

    def __init__(self, url: str, folder: Path, pictures_url: str = "") -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self.files = Files(folder, Shelf(pictures_url) if pictures_url else None)
            self.journal = Journal(folder / "handed-over.jsonl")
            self.engine = create_engine(url)
            if self.engine.dialect.name == "sqlite":
                event.listen(self.engine, "connect", _sqlite_pragmas)
                event.listen(self.engine, "begin", _sqlite_begin)
            migrate(self.engine)
        except OSError as error:
            raise SettingsError(
                f"The data folder {folder} cannot be used: {error}", "Correct --data"
            ) from error
        except NotOurs as error:
            raise SettingsError(f"The database cannot be used: {error}", "Name an empty one") from error
        except (ArgumentError, DBAPIError, ModuleNotFoundError) as error:
            line = str(error).splitlines()[0]
            raise SettingsError(f"The database cannot be used: {line}", "Correct database_url") from error

    @contextmanager
    def transaction(self, durable: bool = True) -> Iterator[Tables]:
        """One transaction; committed at the end, rolled back on any exception. StoreFull where the disk is full.

        Not `durable`: a power cut may undo it (a killed process may not), so only for what would simply be done again.
        """
        try:
            with self.engine.connect().execution_options(durable=durable) as connection, connection.begin():
                yield Tables(connection)
        except DBAPIError as error:
            if "full" in str(error.orig) or "disk I/O" in str(error.orig):
                raise StoreFull(
                    f"The database could not write: {error.orig}", "Free disk space and run again"
                ) from error
            raise

    @contextmanager
    def reading(self) -> Iterator[Tables]:
        """A view that changes nothing, and so waits for no writer."""
        with self.engine.connect() as connection:
            yield Tables(connection.execution_options(reading=True))

    def close(self) -> None:
        self.engine.dispose()


def _sqlite_pragmas(connection: Any, record: Any) -> None:
    connection.isolation_level = None  # SQLAlchemy's own recipe: the driver's implicit BEGIN comes too late
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "busy_timeout=30000"):
        connection.execute(f"PRAGMA {pragma}")


def _sqlite_begin(connection: Connection) -> None:
    options = connection.get_execution_options()
    # In WAL mode FULL flushes each commit to the disk and NORMAL only checkpoints (SQLite: PRAGMA synchronous).
    connection.exec_driver_sql(f"PRAGMA synchronous={'FULL' if options.get('durable', True) else 'NORMAL'}")
    connection.exec_driver_sql("BEGIN" if options.get("reading", False) else "BEGIN IMMEDIATE")
