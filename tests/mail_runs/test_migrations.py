"""The tables by Alembic's steps are those that the program means, on both databases."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import Engine, create_engine, text

from intake.model.errors import SettingsError
from intake.store import schema
from intake.store.database import Store
from intake.store.migrate import prepare
from tests.servers.postgres import postgres, why_not


@pytest.fixture(scope="module")
def postgres_url() -> Iterator[str]:
    if reason := why_not():
        pytest.skip(reason)
    with postgres() as url:
        yield url


def differences(engine: Engine) -> list[object]:
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        return [
            d
            for d in compare_metadata(context, schema.metadata)
            if d[0] != "remove_table" or d[1].name != "alembic_version"
        ]


def test_on_sqlite(tmp_path: Path) -> None:
    engine = create_engine(f"sqlite:///{tmp_path / 'x.sqlite3'}")
    prepare(engine)
    assert differences(engine) == []
    prepare(engine)


@pytest.mark.postgresql
def test_on_postgresql_by_several_workers_at_once(postgres_url: str) -> None:
    faults: list[BaseException] = []

    def start() -> None:
        try:
            prepare(create_engine(postgres_url))
        except BaseException as fault:
            faults.append(fault)

    threads = [threading.Thread(target=start) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    assert differences(create_engine(postgres_url)) == []


def test_a_database_with_other_peoples_tables_is_refused(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'x.sqlite3'}"
    with create_engine(url).begin() as connection:
        connection.execute(text("CREATE TABLE jobs (id TEXT)"))
    with pytest.raises(SettingsError, match="not made by this program"):
        Store(url, tmp_path)
