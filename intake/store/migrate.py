"""Brings a database to the tables that this program knows.

`python -m intake.store.migrate "what changed"` writes the next step after a change of intake/store/schema.py.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, inspect, text

from intake.store.claims import one_at_a_time

HEAD = "0006"
"""The step that the tables of this program are at."""
MIGRATING = 7_300
"""The key of PostgreSQL's advisory lock: of several workers that start at once, one migrates."""


class NotOurs(Exception):
    """The database holds tables of these names that no migration of ours made."""


def migrate(engine: Engine) -> None:
    """Create the tables, or bring them up to date; one process at a time. Raises NotOurs."""
    with engine.connect() as connection:
        if _version(connection) == HEAD:
            return
    with engine.begin() as connection:
        one_at_a_time(connection, MIGRATING)
        version = _version(connection)
        if version == HEAD:
            return
        if version is None and inspect(connection).has_table("jobs"):
            raise NotOurs("it holds tables that were not made by this program's migrations")
        _alembic().upgrade(_configuration(connection), HEAD)


def _version(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


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
