"""Where a database is at home, and whether it was restored: a database that came from elsewhere knows too little of
what went out meanwhile."""

from __future__ import annotations

import os
import secrets
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, delete, insert, select, update

from intake.store import schema as t

MARK = "home"
"""The file of the data folder that bears the database's mark."""


@dataclass(frozen=True)
class Restore:
    """The database was restored at `restored_at` from a backup taken at `taken_at`."""

    taken_at: datetime
    restored_at: datetime


class Home:
    """The tables home and restores, within one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def mark(self) -> str:
        """The mark that the data folder should bear; "" before there is one."""
        return self.db.execute(select(t.home.c.mark)).scalar() or ""

    def take_mark(self) -> str:
        """Give the database a new mark; the data folder is to bear it as well."""
        mark = secrets.token_hex(16)
        self.db.execute(delete(t.home))
        self.db.execute(insert(t.home).values(id=1, mark=mark))
        return mark

    def note_restored(self, taken_at: datetime, now: datetime) -> None:
        self.db.execute(insert(t.restores).values(taken_at=taken_at, restored_at=now))

    def restored(self) -> Restore | None:
        """The latest restore that nobody has reconciled yet."""
        table = t.restores
        query = select(table.c.taken_at, table.c.restored_at).where(table.c.reconciled_at.is_(None))
        row = self.db.execute(query.order_by(table.c.id.desc())).first()
        return Restore(*row) if row is not None else None

    def note_reconciled(self, now: datetime) -> None:
        table = t.restores
        self.db.execute(update(table).where(table.c.reconciled_at.is_(None)).values(reconciled_at=now))


def mark_borne(folder: Path) -> str:
    """The mark that a data folder bears; "" where it bears none."""
    try:
        return (folder / MARK).read_text(encoding="ascii").strip()
    except FileNotFoundError:
        return ""


def bear_mark(folder: Path, mark: str) -> None:
    """Let a data folder bear a mark; after a power cut it bears the old one or the new."""
    part = folder / f"{MARK}.part"
    with part.open("w", encoding="ascii") as file:
        file.write(mark + "\n")
        file.flush()
        os.fsync(file.fileno())
    part.replace(folder / MARK)
