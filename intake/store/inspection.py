"""Lots, spot checks and looks, within one transaction."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, delete, exists, func, insert, select, type_coerce, update
from sqlalchemy.types import NullType

from intake.model.inspection import CountedLot, HandKind, Look, Lot, SpotCheck, Weighed
from intake.store import schema as t
from intake.store.claims import insert_new
from intake.store.words import ON_A_NUMBER


class Inspection:
    """The tables of sampling inspection."""

    def __init__(self, connection: Connection) -> None:
        self.db = connection

    def draw(self, lot: Lot, numbers: bytes, drawn: Mapping[int, tuple[str, Weighed]]) -> bool:
        """Keep a lot with its packed numbers, and with what was read of those on which it fell; False where the sketch
        has had its lot."""
        row = asdict(lot) | {"month": lot.month, "packed": numbers, "open": bool(drawn)}
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
            for number, (read, weighed) in drawn.items()
        ]
        if rows:
            self.db.execute(insert(t.spot_checks), rows)
        return True

    def lot(self, picture: str) -> Lot | None:
        row = self.db.execute(select(t.lots).where(t.lots.c.picture == picture)).first()
        return _lot(row) if row is not None else None

    def hold(self, picture: str) -> bytes:
        """A lot's packed numbers, which nobody else changes until this transaction ends."""
        query = select(t.lots.c.packed).where(t.lots.c.picture == picture)
        return bytes(self.db.execute(query.with_for_update()).scalar_one())

    def settle(self, picture: str, numbers: bytes, open_: bool) -> None:
        """Replace a lot's packed numbers; `open_`: whether any of them waits for a look."""
        self.db.execute(update(t.lots).where(t.lots.c.picture == picture).values(packed=numbers, open=open_))

    def counted(
        self, since: datetime | None = None, before: datetime | None = None, version: str | None = None
    ) -> list[CountedLot]:
        """The lots drawn from one time on and before another; of the readers of one version, or of all."""
        c = t.lots.c
        # As the driver gives it: looking at the type of fifty thousand values takes as long as reading them.
        query = select(c.version, c.paper, c.month, c.hand, c.share, type_coerce(c.packed, NullType))
        if since is not None:
            query = query.where(c.at >= since)
        if before is not None:
            query = query.where(c.at < before)
        if version is not None:
            query = query.where(c.version == version)
        return list(map(CountedLot._make, self.db.execute(query)))

    def open_lots(self, since: datetime, version: str | None = None) -> list[tuple[datetime, bytes]]:
        """When the lots since then were drawn of which a number waits, with their packed numbers, the oldest first."""
        c = t.lots.c
        query = select(c.at, c.packed).where(c.open, c.at > since).order_by(c.at)
        if version is not None:
            query = query.where(c.version == version)
        return [(at, numbers) for at, numbers in self.db.execute(query)]

    def latest_shares(self) -> dict[HandKind, float]:
        """The share that was drawn with last, of each kind of hand."""
        found = {}
        for hand in HandKind:
            query = select(t.lots.c.share).where(t.lots.c.hand == hand).order_by(t.lots.c.at.desc()).limit(1)
            if (share := self.db.execute(query).scalar()) is not None:
                found[hand] = share
        return found

    def checks(self) -> list[SpotCheck]:
        """Every spot check with its looks in order."""
        return self._checks(select(t.spot_checks.c.id))

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

    def labels(self, most: int) -> int:
        """Of how many numbers a designer's last word, or a look that bore the reading out, tells what their ink says;
        found among so many words and so many looks, the oldest."""
        w, c, told = t.decisions.c, t.spot_checks.c, t.looks.c
        words = select(w.target, w.value).where(
            w.kind == ON_A_NUMBER, w.undone_at.is_(None), w.target.not_like("%#+%")
        )
        last = {row.target: row.value for row in self.db.execute(words.order_by(w.id).limit(most))}
        struck = {target for target, value in last.items() if value.get("not_a_number")}
        agreed = select(c.picture, c.number).where(
            exists().where(told.spot_check == c.id, told.told == c.read)
        )
        looked = {f"{picture}#{n}" for picture, n in self.db.execute(agreed.order_by(c.id).limit(most))}
        said = {target for target, value in last.items() if value.get("text") or value.get("confirmed")}
        return len(said | (looked - struck))

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

    def last_during(self, job: str, by: str, since: datetime) -> tuple[int, str] | None:
        """The spot check that somebody looked at last on the page of a job since then, and what they told."""
        c = t.looks.c
        query = select(c.spot_check, c.told).where(c.during == job, c.by == by, c.at > since)
        row = self.db.execute(query.order_by(c.id.desc()).limit(1)).first()
        return (row.spot_check, row.told) if row is not None else None

    def forget_last(self, check_id: int, by: str) -> None:
        """Delete the last look that somebody gave at a number."""
        c = t.looks.c
        last = select(func.max(c.id)).where(c.spot_check == check_id, c.by == by).scalar_subquery()
        self.db.execute(delete(t.looks).where(c.id == last))

    def looks_during(self, job: str, by: str, since: datetime) -> int:
        """How many looks somebody has given on the page of a job."""
        c = t.looks.c
        query = select(func.count()).select_from(t.looks)
        return self.db.execute(query.where(c.during == job, c.by == by, c.at > since)).scalar_one()


def _lot(row: Row[Any]) -> Lot:
    return Lot(row.picture, row.at, row.version, row.paper, HandKind(row.hand), row.unit, row.share)


def _check(row: Row[Any], looks: Sequence[Look]) -> SpotCheck:
    weighed = Weighed(row.confidence, row.accepted, row.eligible)
    return SpotCheck(row.id, row.picture, row.number, row.read, weighed, tuple(looks))
