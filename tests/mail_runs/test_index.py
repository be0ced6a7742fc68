"""The look-ups that grouping asks for go by their indexes, so that they cost the same however many jobs there are."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import event

from intake.store.database import Store
from tests.mail_runs.grouping import _fill


def test_every_look_up_goes_by_an_index_of_its_own(tmp_path: Path) -> None:
    """By SQLite's own account of its plan: no table is scanned, and the index of states is not walked."""
    store = Store(f"sqlite:///{tmp_path / 'x.sqlite3'}", tmp_path)
    _fill(store, 0, 50)
    asked: list[tuple[str, Any]] = []
    event.listen(store.engine, "before_cursor_execute", lambda c, cur, s, p, ctx, many: asked.append((s, p)))
    with store.reading() as tables:
        assert len(tables.index.of_sender("c5@x.example", 300)) == 2
        assert len(tables.index.of_job("R5", 300)) == 2
        assert len(tables.index.linked({"<5.1@x.example>"}, {"<new@x.example>"}, 300)) == 1
        assert tables.index.jobs({"R5"}) == {"R5": "R5"}
        assert tables.index.letters({"<none@x.example>"}) == {}
    steps = []
    with store.engine.connect() as connection:
        for statement, parameters in [a for a in asked if a[0].startswith("SELECT")]:
            plan = connection.exec_driver_sql("EXPLAIN QUERY PLAN " + statement, parameters)
            steps += [str(row[3]) for row in plan]
    store.close()
    assert len(steps) >= 8
    # SQLite calls it SCAN as well when it hands on the rows of a sub-query ("anon") that went by an index.
    scans = [s for s in steps if s.startswith("SCAN") and not s.startswith("SCAN anon")]
    assert not [s for s in steps if s in scans or "messages_to_file" in s or "state" in s], steps
