"""Lots, spot checks and looks, within one transaction."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, exists, func, insert, select

from intake.model.inspection import HandKind, Look, Lot, SpotCheck, Weighed
from intake.store import schema as t
from intake.store.claims import insert_new


class Inspection:
    """The tables of sampling inspection."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def draw(self, lot: Lot, numbers: Mapping[int, tuple[str, Weighed]]) -> bool:
        """Keep a lot with what was read of the numbers on which it fell; False where the sketch has had its lot."""
        row = {
            "picture": lot.picture,
            "at": lot.at,
            "version": lot.version,
            "paper": lot.paper,
            "hand": lot.hand,
            "unit": lot.unit,
            "share": lot.share,
            "numbers": [[n.confidence, n.accepted, n.eligible] for n in lot.numbers],
        }
        if not insert_new(self.db, t.lots, [row], t.lots.c.picture):
            return False
        rows = [
            {
                "picture": lot.picture,
                "number": number,
                "read": read,
                "confidence": weighed.confidence,
                "accepted": weighed.accepted,
                "eligible": weighed.eligible,
            }
            for number, (read, weighed) in numbers.items()
        ]
        if rows:
            self.db.execute(insert(t.spot_checks), rows)
        return True

    def lots(self, version: str | None = None) -> list[Lot]:
        """Every lot, or those of the readers of one version."""
        query = select(t.lots)
        if version is not None:
            query = query.where(t.lots.c.version == version)
        return [_lot(row) for row in self.db.execute(query)]

    def lot(self, picture: str) -> Lot | None:
        row = self.db.execute(select(t.lots).where(t.lots.c.picture == picture)).first()
        return _lot(row) if row is not None else None

    def checks(self, version: str | None = None) -> list[SpotCheck]:
        """Every spot check with its looks in order, or those of the readers of one version."""
        of = select(t.spot_checks.c.id)
        if version is not None:
            of = of.join(t.lots, t.lots.c.picture == t.spot_checks.c.picture).where(
                t.lots.c.version == version
            )
        return self._checks(of)

    def checks_on(self, pictures: Collection[str]) -> list[SpotCheck]:
        """The spot checks on certain sketches."""
        return self._checks(select(t.spot_checks.c.id).where(t.spot_checks.c.picture.in_(pictures)))

    def open_checks(self, since: datetime, most: int) -> list[SpotCheck]:
        """Spot checks drawn since then that may wait for a look: those begun whose looks all told something else than
        was read, then the oldest of those that nobody has looked at; few, however many there are."""
        c, told = t.spot_checks.c, t.looks.c
        looked = exists().where(told.spot_check == c.id)
        agreed = exists().where(told.spot_check == c.id, told.told == c.read)
        drawn = select(c.id).join(t.lots, t.lots.c.picture == c.picture).where(t.lots.c.at > since)
        begun = drawn.where(looked, ~agreed).order_by(t.lots.c.at).limit(most)
        new = drawn.where(~looked).order_by(t.lots.c.at, c.id).limit(most)
        return [*self._checks(begun), *self._checks(new)]

    def check(self, check_id: int) -> SpotCheck | None:
        found = self._checks(select(t.spot_checks.c.id).where(t.spot_checks.c.id == check_id))
        return found[0] if found else None

    def _checks(self, of: Select[Any]) -> list[SpotCheck]:
        seen: dict[int, list[Look]] = {}
        query = select(t.looks).where(t.looks.c.spot_check.in_(of)).order_by(t.looks.c.id)
        for row in self.db.execute(query):
            seen.setdefault(row.spot_check, []).append(Look(row.by, row.at, row.told))
        rows = self.db.execute(
            select(t.spot_checks).where(t.spot_checks.c.id.in_(of)).order_by(t.spot_checks.c.id)
        )
        return [_check(row, seen.get(row.id, ())) for row in rows]

    def look(self, check_id: int, look: Look, during: str) -> None:
        self.db.execute(
            insert(t.looks).values(spot_check=check_id, by=look.by, at=look.at, told=look.told, during=during)
        )

    def looks_during(self, job: str, by: str, since: datetime) -> int:
        """How many looks somebody has given on the page of a job."""
        c = t.looks.c
        query = select(func.count()).select_from(t.looks)
        return self.db.execute(query.where(c.during == job, c.by == by, c.at > since)).scalar_one()


def _lot(row: Row[Any]) -> Lot:
    return Lot(
        row.picture,
        row.at,
        row.version,
        row.paper,
        HandKind(row.hand),
        row.unit,
        row.share,
        tuple(Weighed(*number) for number in row.numbers),
    )


def _check(row: Row[Any], looks: Sequence[Look]) -> SpotCheck:
    weighed = Weighed(row.confidence, row.accepted, row.eligible)
    return SpotCheck(row.id, row.picture, row.number, row.read, weighed, tuple(looks))
