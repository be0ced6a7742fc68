"""Brings a database to the tables that this program knows.

`python -m intake.store.migrate "what changed"` writes the next step after a change of intake/store/schema/.
"""

from __future__ import annotations

import sys
from pathlib import Path
from threading import Lock
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, inspect, text

from intake.store.claims import one_at_a_time

HEAD = "0020"
"""The step that the tables of this program are at."""
MOVED = "moved"
"""The step of a database that was moved to another one: no version of the program knows it, so none works on it."""
MIGRATING = 7_300
"""The key of PostgreSQL's advisory lock: of several workers that start at once, one migrates."""


_one_thread = Lock()
"""Alembic keeps what it is at in globals of a module: two threads that open two databases would mix them up."""


class NotOurs(Exception):
    """The database holds tables of these names that no migration of ours made."""


class OtherVersion(Exception):
    """The database is at another step than this program: `newer`, or older and to be upgraded by a person."""

    def __init__(self, step: str) -> None:
        super().__init__(step)
        self.newer = step > HEAD


def prepare(engine: Engine) -> bool:
    """Create the tables in an empty database, one process at a time; True where this one did.

    Changes nothing that is there. Raises NotOurs, and OtherVersion where the database is at another step.
    """
    with engine.connect() as connection:
        step = step_of(connection)
    if step is None:
        with engine.begin() as connection:
            one_at_a_time(connection, MIGRATING)
            if step_of(connection) is None:
                to_step(connection)
                return True
            step = step_of(connection)
    if step != HEAD:
        raise OtherVersion(str(step))
    return False


def migrate(connection: Connection) -> str:
    """Bring the tables to this program's step within the connection's transaction; returns the step that they were at.

    Other processes wait meanwhile. Raises NotOurs, and OtherVersion for a newer database.
    """
    one_at_a_time(connection, MIGRATING)
    step = step_of(connection)
    if step is not None and step > HEAD:
        raise OtherVersion(step)
    if step != HEAD:
        to_step(connection)
    return step or ""


def to_step(connection: Connection, step: str = HEAD) -> None:
    """Bring the tables to a step, from nothing or from an earlier one. Raises NotOurs."""
    if step_of(connection) is None and inspect(connection).has_table("jobs"):
        raise NotOurs("it holds tables that were not made by this program's migrations")
    with _one_thread:
        _alembic().upgrade(_configuration(connection), step)


def step_of(connection: Connection) -> str | None:
    """The step that a database is at; None where it has none of our tables."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    step = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return str(step) if step is not None else None


def _configuration(connection: Connection) -> Any:
    from alembic.config import Config

    configuration = Config()
    configuration.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    configuration.attributes["connection"] = connection
    return configuration


def _alembic() -> Any:
    # A third of a second to import, and needed once in a database's life.
    from alembic import command

    return command


def main() -> None:
    """Compare the schema with what the steps so far make, and write the next one."""
    engine = create_engine("sqlite://")
    with engine.begin() as connection:
        configuration = _configuration(connection)
        _alembic().upgrade(configuration, "head")
        number = 1 + len(list((Path(__file__).parent / "migrations" / "versions").glob("0*.py")))
        _alembic().revision(configuration, message=sys.argv[1], autogenerate=True, rev_id=f"{number:04d}")


if __name__ == "__main__":
    main()
