"""The tables of what is measured of the program itself: lots, blind looks, bars, and the tallies of jobs."""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from intake.store.schema.columns import Moment, metadata

# Sketches whose numbers lots were drawn for, to be looked at blind (intake.model.inspection.Lot).
lots = Table(
    "lots",
    metadata,
    Column("picture", String(32), primary_key=True),
    Column("at", Moment, nullable=False),
    Column("version", String(32), nullable=False),
    Column("paper", String(32), nullable=False),
    Column("hand", String(16), nullable=False),
    Column("unit", String(8), nullable=False),
    Column("share", Float, nullable=False),
    Column("month", String(8), nullable=False),
    Column("packed", LargeBinary, nullable=False),  # the numbers that took part, as the domain packs them
    Column("open", Boolean, nullable=False),  # whether any of them waits for a look
)
Index("lots_by_version", lots.c.version)
Index("lots_by_time", lots.c.at)
Index("lots_by_hand", lots.c.hand, lots.c.at)
Index("lots_open", lots.c.open, lots.c.at)

# Those on which the lot fell.
spot_checks = Table(
    "spot_checks",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("picture", ForeignKey("lots.picture"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("read", Text, nullable=False),
    Column("confidence", Float, nullable=False),
    Column("accepted", Boolean, nullable=False),
    Column("eligible", Boolean, nullable=False),
    UniqueConstraint("picture", "number"),
)

# What designers saw in them without knowing the reading.
looks = Table(
    "looks",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("spot_check", ForeignKey("spot_checks.id"), nullable=False, index=True),
    Column("by", String(128), nullable=False),
    Column("at", Moment, nullable=False),
    Column("told", Text, nullable=False),
    Column("during", String(16), nullable=False),  # the job on whose page it was asked
)
Index("looks_during", looks.c.during, looks.c.by, looks.c.at)

# Bars that the owner took, for the readings of one version of the readers.
bars = Table(
    "bars",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Moment, nullable=False),
    Column("by", String(128), nullable=False),
    Column("version", String(32), nullable=False),
    Column("bar", Float, nullable=False),
    Column("limit", Float, nullable=False),
    Column("undone_by", String(128)),
    Column("undone_at", Moment),
)

# What is counted of each job (intake.model.inspection.Tally), as it was when last examined.
tallies = Table(
    "tallies",
    metadata,
    Column("job", ForeignKey("jobs.id"), primary_key=True),
    Column("complete_at", Moment),
    Column("version", String(32), nullable=False),
    Column("paper", String(32), nullable=False),
    Column("lengths", Integer, nullable=False),
    Column("accepted", Integer, nullable=False),
    Column("added", Integer, nullable=False),
    Column("misplaced", Integer, nullable=False),
    Column("clauses", Integer, nullable=False),
    Column("unread", Integer, nullable=False),
    Column("month", String(8), nullable=False),  # in which the job began
    Column("days", Float),  # from its first message until it was complete, in tenths
    Column("letters", Integer, nullable=False, default=0),  # that went out
    Column("asks", Integer, nullable=False, default=0),  # in them
    Column("desk_seconds", Float, nullable=False, default=0.0),
)
