"""The database behind everything: one engine, short transactions."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.pool import NullPool

from intake.model.errors import IntakeError, SettingsError, StoreBusy, StoreFull
from intake.store import schema
from intake.store.claims import FILING, SENDING, holders, one_at_a_time, release
from intake.store.files import Files
from intake.store.home import Home, bear_mark, mark_borne
from intake.store.migrate import HEAD, MOVED, NotOurs, OtherVersion, prepare
from intake.store.shelf import Shelf

if TYPE_CHECKING:
    from intake.store.forget import Forget
    from intake.store.index import Index
    from intake.store.jobs import Jobs
    from intake.store.journal import Journal
    from intake.store.letters import Letters
    from intake.store.messages import Messages
    from intake.store.pictures import Pictures

DISK_FULL = (errno.ENOSPC, errno.EDQUOT)
BUSY_MS = 30_000
"""Milliseconds that a writer waits for another."""


class Tables:
    """The tables within one transaction. Each is imported where it is used: a list of jobs must not wait for all."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    @cached_property
    def jobs(self) -> Jobs:
        from intake.store.jobs import Jobs

        return Jobs(self.db)

    @cached_property
    def messages(self) -> Messages:
        from intake.store.messages import Messages

        return Messages(self.db)

    @cached_property
    def pictures(self) -> Pictures:
        from intake.store.pictures import Pictures

        return Pictures(self.db)

    @cached_property
    def letters(self) -> Letters:
        from intake.store.letters import Letters

        return Letters(self.db)

    @cached_property
    def index(self) -> Index:
        from intake.store.index import Index

        return Index(self.db)

    @cached_property
    def home(self) -> Home:
        return Home(self.db)

    @cached_property
    def forget(self) -> Forget:
        from intake.store.forget import Forget

        return Forget(self.db)

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

    def __init__(
        self,
        url: str,
        folder: Path,
        pictures_url: str = "",
        originals_url: str = "",
        waits_connected: bool = True,
    ) -> None:
        self.folder = folder
        try:
            make_private(folder)
            self.files = Files(
                folder, _shelf(pictures_url, "pictures_url"), _shelf(originals_url, "originals_url")
            )
            self.engine = open_engine(url, waits_connected)
            if prepare(self.engine):
                self.settle_here()
        except OSError as error:
            if error.errno in DISK_FULL:
                raise _full(error) from error
            raise SettingsError(
                f"The data folder {folder} cannot be used: {error}", "Correct --data"
            ) from error
        except NotOurs as error:
            raise SettingsError(f"The database cannot be used: {error}", "Name an empty one") from error
        except OtherVersion as error:
            raise SettingsError(*_other_version(error)) from error
        except (ArgumentError, DBAPIError, ModuleNotFoundError) as error:
            if isinstance(error, DBAPIError) and (plain := _known_cause(error)):
                raise plain from error
            line = str(error).splitlines()[0]
            raise SettingsError(f"The database cannot be used: {line}", "Correct database_url") from error

    @cached_property
    def journal(self) -> Journal:
        from intake.store.journal import Journal

        return Journal(self.folder / "handed-over.jsonl")

    def came_from_elsewhere(self) -> bool:
        """The data folder does not bear the database's mark: one of them was copied here without the other."""
        with self.reading() as tables:
            return tables.home.mark() != mark_borne(self.folder)

    def settle_here(self) -> None:
        """The database belongs to this data folder from now on, and to no other that it came from."""
        with self.transaction() as tables:
            bear_mark(self.folder, tables.home.take_mark())

    @contextmanager
    def transaction(self, durable: bool = True) -> Iterator[Tables]:
        """One transaction; committed at the end, rolled back on any exception. StoreFull where the disk is full.

        Not `durable`: a power cut may undo it (a killed process may not), so only for what would simply be done again.
        """
        try:
            with self.engine.connect().execution_options(durable=durable) as connection, connection.begin():
                yield Tables(connection)
        except DBAPIError as error:
            if plain := _known_cause(error):
                raise plain from error
            raise

    @contextmanager
    def reading(self) -> Iterator[Tables]:
        """A view that changes nothing, and so waits for no writer."""
        try:
            with self.engine.connect() as connection:
                yield Tables(connection.execution_options(reading=True))
        except DBAPIError as error:
            if plain := _known_cause(error):
                raise plain from error
            raise

    def scrub(self) -> None:
        """Let what was deleted be gone from the disk as well: databases only mark it as free at first."""
        if self.engine.dialect.name == "sqlite":
            raw = self.engine.raw_connection()
            try:
                # VACUUM writes every page anew, by way of the log; the log is emptied before and after.
                for statement in (
                    "PRAGMA wal_checkpoint(TRUNCATE)",
                    "VACUUM",
                    "PRAGMA wal_checkpoint(TRUNCATE)",
                ):
                    raw.cursor().execute(statement).fetchall()
            finally:
                raw.close()
            return
        with self.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("VACUUM")

    def close(self) -> None:
        self.engine.dispose()


def _known_cause(error: DBAPIError) -> IntakeError | None:
    """What a fault of the database comes from, where that is neither our fault nor a setting's."""
    said = str(error.orig)
    if "full" in said or "disk I/O" in said or "No space left" in said:
        return _full(error.orig)
    if "database is locked" in said or "database table is locked" in said:
        return StoreBusy(
            "Another process has held the database for half a minute",
            "It is tried again; if it stays so, see what else has it open",
        )
    return None


def _full(error: object) -> StoreFull:
    return StoreFull(f"The database could not write: {error}", "Free disk space and run again")


def _shelf(url: str, key: str) -> Shelf | None:
    return Shelf(url, key) if url else None


def make_private(folder: Path) -> None:
    """Make a folder that strangers on this machine cannot look into; one that is there is closed to them."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    found = folder.stat()
    if found.st_mode & 0o007 and found.st_uid == os.getuid():
        folder.chmod(found.st_mode & 0o770)


def open_engine(url: str, waits_connected: bool = True) -> Engine:
    """An engine whose SQLite transactions begin as ours do. Raises ArgumentError and ModuleNotFoundError."""
    engine = create_engine(url) if waits_connected else create_engine(url, poolclass=NullPool)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _sqlite_pragmas)
        event.listen(engine, "begin", _sqlite_begin)
    return engine


def _other_version(error: OtherVersion) -> tuple[str, str]:
    if str(error) == MOVED:
        return "This database was moved to another one", "Set database_url to where it went"
    if error.newer:
        return f"The database is of a newer version of the program (step {error}, this one knows {HEAD})", (
            "Install that version or a later one"
        )
    return f"The database is of an older version of the program (step {error} of {HEAD})", (
        "Stop the service and run `intake upgrade`"
    )


def _sqlite_pragmas(connection: Any, record: Any) -> None:
    connection.isolation_level = None  # SQLAlchemy's own recipe: the driver's implicit BEGIN comes too late
    for pragma in ("journal_mode=WAL", "foreign_keys=ON", f"busy_timeout={BUSY_MS}"):
        connection.execute(f"PRAGMA {pragma}")


def _sqlite_begin(connection: Connection) -> None:
    options = connection.get_execution_options()
    if options.get("reading", False):
        connection.exec_driver_sql("BEGIN")
        return
    # In WAL mode FULL flushes each commit to the disk and NORMAL only checkpoints (SQLite: PRAGMA synchronous).
    flushes = "FULL" if options.get("durable", True) else "NORMAL"
    if connection.info.get("synchronous") != flushes:  # kept with the driver's connection, as its pragma is
        connection.exec_driver_sql(f"PRAGMA synchronous={flushes}")
        connection.info["synchronous"] = flushes
    connection.exec_driver_sql("BEGIN IMMEDIATE")
