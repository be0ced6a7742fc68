"""What scripts and the console see of all jobs, a row each: no reader and no rule is loaded for it."""

from __future__ import annotations

from typing import Any

from intake.model.checklist import SETTLED
from intake.store.as_json import phrase_of
from intake.store.database import Store, Tables
from intake.store.listed_jobs import ListedJob, listed_jobs
from intake.wording.desk import worded


def jobs(store: Store) -> list[dict[str, Any]]:
    """One row a job, the oldest first: in a fixed number of queries, but for jobs of which more is to be counted."""
    with store.reading() as tables:
        rows = listed_jobs(tables.db)
        return [_row(row) if row.photographs is not None else _counted(tables, row.id) for row in rows]


def _counted(tables: Tables, job: str) -> dict[str, Any]:
    from intake.work.report import job_row

    return job_row(tables, job)


def _row(row: ListedJob) -> dict[str, Any]:
    return {
        "job": row.id,
        "state": row.state,
        "room": row.room,
        "customer": {"name": row.customer_name, "addresses": row.addresses},
        "messages": row.messages,
        "photographs": row.photographs,
        "sketches": row.sketches,
        "items": row.items,
        "needs_person": [
            {key: need[key] for key in ("kind", "text", "message")} | {"why": worded(phrase_of(need["why"]))}
            for need in row.needs
        ],
    }


def job_line(row: dict[str, Any]) -> list[str]:
    """The row of one job as cells for the console."""
    settled = sum(state in SETTLED for state in row["items"].values())
    who = row["customer"]["name"] or ", ".join(row["customer"]["addresses"])
    counts = f"{row['photographs']} + {row['sketches']} plan" + ("s" if row["sketches"] != 1 else "")
    settled_of = f"{settled} of {len(row['items'])}"
    return [row["job"], row["state"], row["room"], who, str(len(row["messages"])), counts, settled_of]
