"""The bars that the owner took in place of the shipped one, within one transaction."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, insert, select, update

from intake.store import schema as t


@dataclass(frozen=True)
class TakenBar:
    """A bar for the readings of one version of the readers; `limit` is the share of wrong ones that it was shown to
    stay under when it was taken."""

    id: int
    at: datetime
    by: str
    version: str
    bar: float
    limit: float


class Bars:
    """The table of bars. What is undone is as if it had never been taken."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def take(self, bar: TakenBar) -> None:
        values = {"at": bar.at, "by": bar.by, "version": bar.version, "bar": bar.bar, "limit": bar.limit}
        self.db.execute(insert(t.bars).values(values))

    def in_force(self) -> dict[str, TakenBar]:
        """The latest that stands, by version of the readers."""
        columns = [getattr(t.bars.c, name) for name in TakenBar.__dataclass_fields__]
        query = select(*columns).where(t.bars.c.undone_at.is_(None)).order_by(t.bars.c.id)
        return {row.version: TakenBar(*row) for row in self.db.execute(query)}

    def bars(self) -> dict[str, float]:
        """The bars in force alone, by version of the readers."""
        return {version: taken.bar for version, taken in self.in_force().items()}

    def undo(self, version: str, by: str, at: datetime) -> bool:
        """Undo the latest of a version; False where there is none."""
        taken = self.in_force().get(version)
        if taken is None:
            return False
        query = update(t.bars).where(t.bars.c.id == taken.id, t.bars.c.undone_at.is_(None))
        return self.db.execute(query.values(undone_by=by, undone_at=at)).rowcount == 1
