"""What the databases add up, against what is added up here of the same rows."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from sqlalchemy import select

from intake.model.inspection import JobCounts, Shares
from intake.store import schema as t
from intake.store.database import Store
from intake.store.inspection import Inspection
from intake.store.tallies import Tallies
from tests.inspection.many import fill
from tests.servers.postgres import postgres, why_not

JOBS = 300


def added_up(store: Store) -> JobCounts:
    """Of every complete job, as all are here: the rows one by one."""
    total = JobCounts()
    with store.reading() as tables:
        for row in tables.db.execute(select(t.tallies)):
            total += JobCounts(
                1, 1, row.letters, row.letters, row.asks,
                Shares.over([(row.accepted, row.lengths)]), Shares.over([(row.lengths, row.lengths + row.added)]),
                Shares.over([(row.lengths - row.misplaced, row.lengths)]),
                Shares.over([(row.clauses - row.unread, row.clauses)]),
                Counter([row.days]), Counter([round(row.desk_seconds / 6) / 10]),
            )  # fmt: skip
    return total


def test_the_database_adds_up_what_the_rows_hold(tmp_path: Path) -> None:
    store = Store(f"sqlite:///{tmp_path}/here.db", tmp_path)
    fill(store, JOBS)
    with store.reading() as tables:
        cells = Tallies(tables.db).cells()
        first, last = min(cells), max(cells)
    assert sum(cells.values(), JobCounts()) == added_up(store)
    assert len(cells) > 100 and first[0] < last[0]
    with store.transaction() as tables:
        tables.jobs.change("J000001", merged_into="J000002")
    with store.reading() as tables:
        assert sum(Tallies(tables.db).cells().values(), JobCounts()).jobs == JOBS - 1
    store.close()


@pytest.mark.postgresql
@pytest.mark.skipif(bool(why_not()), reason=why_not())
def test_postgresql_adds_up_alike(tmp_path: Path) -> None:
    here = Store(f"sqlite:///{tmp_path}/here.db", tmp_path)
    fill(here, JOBS)
    with postgres() as url:
        there = Store(url, tmp_path / "there")
        fill(there, JOBS)
        found = []
        for store in (here, there):
            with store.reading() as tables:
                rows = Inspection(tables.db)
                found.append((Tallies(tables.db).cells(), sorted(rows.counted()), rows.latest_shares()))
            store.close()
    assert found[0] == found[1]
