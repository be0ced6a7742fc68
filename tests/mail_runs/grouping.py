"""What placing one message costs as jobs grow: `python -m tests.mail_runs.grouping [JOBS]`, 100,000 by default.

Prints milliseconds a message at a thousandth, a tenth and all of the jobs, on SQLite with its real indexes.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import insert

from intake.domain.mail.grouping import place
from intake.model.card import Card
from intake.model.checklist import RoomKind
from intake.store import schema as t
from intake.store.database import Store

START = datetime(2026, 3, 2, 9, tzinfo=UTC)


def cost(jobs: int, tries: int = 200) -> dict[int, float]:
    """Median milliseconds to place one message, by the number of jobs there are."""
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        store = Store(f"sqlite:///{folder}/x.sqlite3", Path(folder))
        filled = 0
        for size in (max(jobs // 1000, 10), jobs // 10, jobs):
            _fill(store, filled, size)
            filled = size
            found[size] = _median(store, size, tries)
        store.close()
    return found


def _fill(store: Store, first: int, last: int) -> None:
    """A customer with two messages for each job."""
    for start in range(first, last, 5000):
        numbers = range(start, min(start + 5000, last))
        with store.transaction(durable=False) as tables:
            tables.db.execute(insert(t.jobs), [_job(n) for n in numbers])
            tables.db.execute(insert(t.messages), [_message(n, k) for n in numbers for k in range(2)])
            tables.db.execute(
                insert(t.message_ids), [i for n in numbers for k in range(2) for i in _ids(n, k)]
            )


def _job(n: int) -> dict[str, object]:
    at = START + timedelta(minutes=n)
    return {
        "id": f"R{n}", "room": "kitchen", "state": "asked", "customer_email": f"c{n}@x.example", "opened_at": at,
        "last_message_at": at,
    }  # fmt: skip


def _message(n: int, k: int) -> dict[str, object]:
    at = START + timedelta(minutes=n + k)
    return {
        "sha256": f"{n:032x}{k:032x}", "state": "filed", "job": f"R{n}", "credited": f"c{n}@x.example", "at": at,
        "received_at": at, "room": "kitchen", "topic": "kitchen", "key": f"<{n}.{k}@x.example>",
    }  # fmt: skip


def _ids(n: int, k: int) -> list[dict[str, str]]:
    sha256 = f"{n:032x}{k:032x}"
    own = {"sha256": sha256, "message_id": f"<{n}.{k}@x.example>", "relation": "is"}
    return [own, {"sha256": sha256, "message_id": f"<{n}.0@x.example>", "relation": "refers"}] if k else [own]


def _median(store: Store, jobs: int, tries: int) -> float:
    spent = []
    for number in range(tries):
        n = number * 7919 % jobs
        card = Card(
            "f" * 64, "<new@x.example>", (f"<{n}.1@x.example>",), f"c{n}@x.example", "", (), RoomKind.UNKNOWN,
            "kitchen", (), START + timedelta(minutes=n + 5),
        )  # fmt: skip
        with store.reading() as tables:
            started = time.perf_counter()
            found = place(card, tables.index)
            spent.append(time.perf_counter() - started)
        assert found.job == f"R{n}", found
    return statistics.median(spent) * 1000


if __name__ == "__main__":
    for size, milliseconds in cost(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000).items():
        print(f"{size:>8} jobs  {milliseconds:.2f} ms a message")
