"""What the worker does on schedule, as all processes see it; and what is wrong now, with when the owner was told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, func, select, update

from intake.model.message import MessageState
from intake.store import schema as t
from intake.store.claims import insert_new


@dataclass(frozen=True)
class Tick:
    """One step of the schedule: when it was last tried and last succeeded, and the fault since ("" for none)."""

    name: str
    tried_at: datetime
    good_at: datetime | None
    fault: str


@dataclass(frozen=True)
class Alarm:
    """What is wrong, since when, in a line; and when the owner was told, if so."""

    what: str
    since: datetime
    line: str
    told_at: datetime | None


class Ticks:
    """The tables ticks and alarms, and counts for those who watch, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def note(self, name: str, now: datetime, fault: str = "") -> None:
        """A step has just been done, or failed with `fault`."""
        insert_new(self.db, t.ticks, [{"name": name, "tried_at": now, "fault": ""}], t.ticks.c.name)
        values: dict[str, Any] = {"tried_at": now, "fault": fault} | ({} if fault else {"good_at": now})
        self.db.execute(update(t.ticks).filter_by(name=name).values(**values))

    def all(self) -> dict[str, Tick]:
        return {row.name: Tick(*row) for row in self.db.execute(select(t.ticks))}

    def alarms(self) -> list[Alarm]:
        return [Alarm(*row) for row in self.db.execute(select(t.alarms).order_by(t.alarms.c.since))]

    def raise_alarms(self, lines: Mapping[str, str], now: datetime) -> None:
        """Note what is wrong now; what was noted before keeps its time."""
        rows = [{"what": what, "since": now, "line": line} for what, line in sorted(lines.items())]
        if rows:
            insert_new(self.db, t.alarms, rows, t.alarms.c.what)
        for row in rows:
            self.db.execute(update(t.alarms).filter_by(what=row["what"]).values(line=row["line"]))

    def take_to_tell(self, what: str, now: datetime) -> bool:
        """True for the one process that is to tell the owner of an alarm."""
        changed = self.db.execute(update(t.alarms).filter_by(what=what, told_at=None).values(told_at=now))
        return changed.rowcount == 1

    def tell_later(self, what: str) -> None:
        """The owner could not be told after all."""
        self.db.execute(update(t.alarms).filter_by(what=what).values(told_at=None))

    def end_alarm(self, what: str) -> bool:
        """True for the one process that ended it."""
        return self.db.execute(delete(t.alarms).filter_by(what=what)).rowcount == 1

    def counts(self, column: Any) -> dict[str, int]:
        """How many rows of the column's table have each of its values."""
        query = select(column, func.count()).group_by(column)
        return {str(value): count for value, count in self.db.execute(query)}

    def oldest_unread(self) -> datetime | None:
        """When the oldest message arrived that is taken and not looked into yet."""
        query = select(func.min(t.messages.c.received_at)).where(t.messages.c.state == MessageState.KEPT)
        return self.db.execute(query).scalar()

    def at_work(self, now: datetime) -> bool:
        """Somebody holds a message or a job just now."""
        for table in (t.messages, t.jobs):
            if self.db.execute(
                select(table.c.claimed_by).where(table.c.claimed_until > now).limit(1)
            ).first():
                return True
        return False

    def failed_sign_ins(self, since: datetime) -> int:
        query = select(func.count()).select_from(t.failed_sign_ins).where(t.failed_sign_ins.c.at > since)
        return self.db.execute(query).scalar_one()
