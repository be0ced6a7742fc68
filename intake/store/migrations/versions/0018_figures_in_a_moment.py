"""what figures are made of is kept as it changes, and lots hold their numbers packed"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

OUT = ("claimed", "sent", "in-doubt")
WAITING, RIGHT, WRONG, UNTOLD = 1, 2, 3, 4


def upgrade() -> None:
    db = op.get_bind()
    op.add_column("letters", sa.Column("asked", sa.Integer(), nullable=False, server_default="0"))
    op.create_index("audit_by_person", "audit", ["by", "at"])
    op.add_column("tallies", sa.Column("month", sa.String(8), nullable=False, server_default=""))
    op.add_column("tallies", sa.Column("days", sa.Float(), nullable=True))
    for name in ("letters", "asks"):
        op.add_column("tallies", sa.Column(name, sa.Integer(), nullable=False, server_default="0"))
    op.add_column("tallies", sa.Column("desk_seconds", sa.Float(), nullable=False, server_default="0"))
    op.add_column("lots", sa.Column("month", sa.String(8), nullable=False, server_default=""))
    op.add_column("lots", sa.Column("packed", sa.LargeBinary(), nullable=False, server_default=""))
    op.add_column("lots", sa.Column("open", sa.Boolean(), nullable=False, server_default=sa.false()))
    _count_letters(db)
    _count_jobs(db)
    _count_acts(db)
    _pack_lots(db)
    op.drop_column("lots", "numbers")
    op.create_index("lots_by_time", "lots", ["at"])
    op.create_index("lots_open", "lots", ["open", "at"])


def downgrade() -> None:
    op.drop_index("lots_open", "lots")
    op.drop_index("lots_by_time", "lots")
    op.add_column("lots", sa.Column("numbers", sa.JSON(), nullable=False, server_default="[]"))
    lots = _table("lots", picture=sa.String, packed=sa.LargeBinary, numbers=sa.JSON)
    db = op.get_bind()
    for picture, packed in db.execute(sa.select(lots.c.picture, lots.c.packed)).all():
        words = [int.from_bytes(packed[n : n + 4], "little") for n in range(0, len(packed), 4)]
        numbers = [[(w & 0x3FFF) / 10_000, bool(w >> 15 & 1), bool(w >> 14 & 1)] for w in words]
        db.execute(sa.update(lots).where(lots.c.picture == picture).values(numbers=numbers))
    op.drop_index("audit_by_person", "audit")
    for table, names in (
        ("lots", ("open", "packed", "month")),
        ("tallies", ("desk_seconds", "asks", "letters", "days", "month")),
        ("letters", ("asked",)),
    ):
        for name in names:
            op.drop_column(table, name)


def _table(name: str, **columns: Any) -> sa.TableClause:
    return sa.table(name, *(sa.column(column, kind()) for column, kind in columns.items()))


def _count_letters(db: sa.Connection) -> None:
    letters = _table("letters", id=sa.Integer, job=sa.String, state=sa.String, asks=sa.JSON, asked=sa.Integer)
    tallies = _table("tallies", job=sa.String, letters=sa.Integer, asks=sa.Integer)
    sent: dict[str, tuple[int, int]] = {}
    columns = letters.c.id, letters.c.job, letters.c.state, letters.c.asks
    for key, job, state, asks in db.execute(sa.select(*columns)).all():
        db.execute(sa.update(letters).where(letters.c.id == key).values(asked=len(asks)))
        if state in OUT:
            count, asked = sent.get(job, (0, 0))
            sent[job] = count + 1, asked + len(asks)
    for job, (count, asked) in sent.items():
        db.execute(sa.update(tallies).where(tallies.c.job == job).values(letters=count, asks=asked))


def _count_jobs(db: sa.Connection) -> None:
    tallies = _table("tallies", job=sa.String, complete_at=sa.DateTime, month=sa.String, days=sa.Float)
    jobs = _table("jobs", id=sa.String, opened_at=sa.DateTime)
    query = sa.select(tallies.c.job, jobs.c.opened_at, tallies.c.complete_at)
    for job, opened, complete in db.execute(query.where(jobs.c.id == tallies.c.job)).all():
        days = None if complete is None else round((complete - opened) / timedelta(days=1), 1)
        found = {"month": f"{opened:%Y-%m}", "days": days}
        db.execute(sa.update(tallies).where(tallies.c.job == job).values(**found))


def _count_acts(db: sa.Connection) -> None:
    """The time at the desk, as intake.model.inspection.time_spent had it then."""
    audit = sa.table("audit", *(sa.column(c) for c in ("id", "by", "about")), sa.column("at", sa.DateTime()))
    tallies = _table("tallies", job=sa.String, desk_seconds=sa.Float)
    before: dict[str, datetime] = {}
    spent: dict[str, float] = {}
    for by, about, at in db.execute(
        sa.select(audit.c.by, audit.c.about, audit.c.at).order_by(audit.c.at, audit.c.id)
    ):
        gap = (at - before[by]).total_seconds() if by in before else 300.0
        spent[about] = spent.get(about, 0.0) + (gap if gap < 300 else 30.0)
        before[by] = at
    for job, seconds in spent.items():
        db.execute(sa.update(tallies).where(tallies.c.job == job).values(desk_seconds=seconds))


def _pack_lots(db: sa.Connection) -> None:
    """Each number as a word of 32 bits (intake/domain/inspection/packing.py, as it was then). A lot did not tell which
    number of the sketch each is: those that were drawn are found by their confidence."""
    lots = _table(
        "lots",
        picture=sa.String,
        at=sa.DateTime,
        month=sa.String,
        numbers=sa.JSON,
        packed=sa.LargeBinary,
        open=sa.Boolean,
    )
    drawn: dict[str, list[tuple[int, float, int, bool]]] = {}
    for picture, number, confidence, verdict, slip in _told(db):
        drawn.setdefault(picture, []).append((number, confidence, verdict, slip))
    for picture, at, numbers in db.execute(sa.select(lots.c.picture, lots.c.at, lots.c.numbers)).all():
        words, left = [], list(drawn.get(picture, ()))
        free = iter(n for n in range(4096) if n not in {number for number, *_ in left})
        for confidence, accepted, eligible in numbers:
            mine = next((d for d in left if abs(d[1] - confidence) < 1e-6), None)
            if mine is not None:
                left.remove(mine)
            index, _, verdict, slip = mine or (next(free), 0.0, 0, False)
            word = round(confidence * 10_000) | eligible << 14 | accepted << 15
            words.append(word | verdict << 16 | slip << 19 | index << 20)
        packed = b"".join(word.to_bytes(4, "little") for word in words)
        waits = any(verdict == WAITING for _, _, verdict, _ in drawn.get(picture, ()))
        found = {"packed": packed, "open": waits, "month": f"{at:%Y-%m}"}
        db.execute(sa.update(lots).where(lots.c.picture == picture).values(**found))


def _told(db: sa.Connection) -> Iterator[tuple[str, int, float, int, bool]]:
    """What looks say of each number drawn, told and read being compared as they are written."""
    checks = _table(
        "spot_checks", id=sa.Integer, picture=sa.String, number=sa.Integer, read=sa.Text, confidence=sa.Float
    )
    looks = _table("looks", id=sa.Integer, spot_check=sa.Integer, told=sa.Text)
    seen: dict[int, list[str]] = {}
    for check, told in db.execute(sa.select(looks.c.spot_check, looks.c.told).order_by(looks.c.id)):
        seen.setdefault(check, []).append(told)
    for row in db.execute(sa.select(checks)).all():
        verdict, slip = _verdict(row.read, seen.get(row.id, ()))
        yield row.picture, row.number, row.confidence, verdict, slip


def _verdict(read: str, told: Sequence[str]) -> tuple[int, bool]:
    agrees = [each.replace(",", ".") == read.replace(",", ".") for each in told]
    if any(agrees):
        return RIGHT, bool(told[0]) and not agrees[0]
    if sum(map(bool, told)) >= 2:
        return WRONG, False
    return (UNTOLD if len(told) - sum(map(bool, told)) >= 2 else WAITING), False
