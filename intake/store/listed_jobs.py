"""All jobs as `intake jobs` and scripts list them, a row each; the desk's pages of them: lists.py."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, case, select

from intake.store import schema as t


@dataclass
class ListedJob:
    """One job as a list of all jobs tells it. `photographs` is None where they are to be counted anew."""

    id: str
    state: str
    room: str
    customer_name: str
    needs: list[dict[str, Any]]
    photographs: int | None
    sketches: int | None
    items: dict[str, str]
    addresses: list[str] = field(default_factory=list)
    messages: list[str] = field(default_factory=list)


def listed_jobs(db: Connection) -> list[ListedJob]:
    """Every job that was not merged away, the oldest first, in three queries whatever their number."""
    c, a, m = t.jobs.c, t.job_addresses.c, t.messages.c
    known = case((c.examined >= c.changed, c.photographs), else_=None)
    query = select(c.id, c.state, c.room, c.customer_name, c.needs, known, c.sketches, c.item_states)
    query = query.add_columns(c.customer_email)
    query = query.where(c.merged_into.is_(None)).order_by(c.opened_at, c.id)
    found, emails = {}, {}
    for *row, email in db.execute(query).all():
        found[row[0]], emails[row[0]] = ListedJob(*row), email
    for job, email in db.execute(select(a.job, a.email).order_by(a.email)).all():
        if job in found:
            found[job].addresses.insert(0 if email == emails[job] else len(found[job].addresses), email)
    keys = select(m.job, m.key).where(m.job.is_not(None)).order_by(m.at, m.sha256)
    for job, key in db.execute(keys).all():
        if job in found and key not in found[job].messages:
            found[job].messages.append(key)
    return list(found.values())
