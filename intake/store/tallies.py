"""What is counted of each job, kept as it changes, so that figures of years are made in a moment."""

from __future__ import annotations

from collections import Counter
from datetime import datetime, timedelta
from functools import cache
from importlib import import_module
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Executable,
    Select,
    String,
    bindparam,
    case,
    cast,
    func,
    select,
    update,
)

from intake.model.inspection import Cell, JobCounts, Shares, Tally, time_spent
from intake.store import schema as t
from intake.store.letters import COUNTED

_COUNTED = ("version", "paper", "lengths", "accepted", "added", "misplaced", "clauses", "unread")
_A_DAY = timedelta(days=1)
_c = t.tallies.c
_COMPLETE_AT = select(_c.complete_at).where(_c.job == bindparam("of"))
_DONE = case((_c.complete_at.is_not(None), 1), else_=0)
_SHARES = (
    (_c.accepted, _c.lengths, 1),
    (_c.lengths, _c.lengths + _c.added, _DONE),
    (_c.lengths - _c.misplaced, _c.lengths, _DONE),
    (_c.clauses - _c.unread, _c.clauses, 1),
)
"""Acceptance, recall, placed and understood: what is seen, of what, and of which jobs."""
_CELL = (_c.month, _c.version, _c.paper)
_STANDS = _c.job.not_in(select(t.jobs.c.id).where(t.jobs.c.merged_into.is_not(None)))
TENTH_OF_A_MINUTE = 6.0
"""Seconds."""


class Tallies:
    """The table of tallies, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def keep(self, job: str, tally: Tally) -> None:
        """Replace what an examination counts of a job."""
        counted: dict[str, Any] = {name: getattr(tally, name) for name in _COUNTED}
        gone = (tally.complete_at - tally.opened_at) / _A_DAY if tally.complete_at else None
        counted |= {
            "complete_at": tally.complete_at,
            "month": f"{tally.opened_at:%Y-%m}",
            "days": None if gone is None else round(gone, 1),
        }
        self.db.execute(_keep(self.db.dialect.name), {"job": job, "of": job} | counted)

    def complete_at(self, job: str) -> datetime | None:
        """When a job was first found complete, if it has been ever since."""
        return self.db.execute(_COMPLETE_AT, {"of": job}).scalar()

    def cells(self) -> dict[Cell, JobCounts]:
        """What is counted of all jobs that stand, by month, version of the readers, and paper."""
        sums = [
            func.count(),
            func.sum(_DONE),
            func.sum(_c.letters),
            func.sum(_c.letters * _DONE),
            func.sum(_c.asks),
        ]
        for seen, of, counts in _SHARES:
            parts: tuple[ColumnElement[int], ...] = (seen, of, seen * seen, seen * of, of * of)
            sums += [func.sum(part * counts) for part in parts]
        found = {}
        for month, version, paper, days, tenths, jobs, complete, *rest in self.db.execute(_of_each(*sums)):
            letters, letters_complete, asks, *shares = (int(n or 0) for n in rest)
            over = (jobs, complete, complete, jobs)
            acceptance, recall, placed, understood = (
                Shares(over[k], *shares[5 * k : 5 * k + 5]) for k in range(len(_SHARES))
            )
            found[month, version, paper] = JobCounts(
                jobs,
                complete,
                letters,
                letters_complete,
                asks,
                acceptance,
                recall,
                placed,
                understood,
                _spread(days),
                Counter({each / 10: n for each, n in _spread(tenths).items()}),
            )
        return found


@cache
def _keep(dialect: str) -> Executable:
    """Replaces what is counted; of a job that is counted for the first time, the letters that went out as well."""
    made: Any = import_module(f"sqlalchemy.dialects.{dialect}")  # the other one takes a while to import
    new = made.insert(t.tallies).values(COUNTED)
    replaced = {name: new.excluded[name] for name in (*_COUNTED, "complete_at", "month", "days")}
    query: Executable = new.on_conflict_do_update(index_elements=[_c.job], set_=replaced)
    return query


def _spread(values: str | None) -> Counter[float]:
    """How many jobs have each value."""
    return Counter({float(each): n for each, n in Counter((values or "").split()).items()})


def _of_each(*columns: Any) -> Select[Any]:
    """Of each cell its name, the days and the tenths of minutes of its complete jobs, one after another as text (rows
    of their own would take four times as long), and the columns."""
    tenths = func.round(_c.desk_seconds / TENTH_OF_A_MINUTE)
    lists = [
        func.aggregate_strings(cast(case((_c.complete_at.is_not(None), each)), String), " ")
        for each in (_c.days, tenths)
    ]
    return select(*_CELL, *lists, *columns).where(_STANDS).group_by(*_CELL)


def count_act(db: Connection, by: str, job: str, at: datetime) -> None:
    """Count what somebody is about to have done for a job as time at the desk; nothing where it is no job."""
    before = db.execute(
        select(t.audit.c.at).where(t.audit.c.by == by).order_by(t.audit.c.at.desc()).limit(1)
    ).scalar()
    seconds = time_spent(before, at).total_seconds()
    db.execute(update(t.tallies).where(_c.job == job).values(desk_seconds=_c.desk_seconds + seconds))
