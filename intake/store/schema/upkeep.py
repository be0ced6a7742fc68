"""The tables of the installation itself: its duties, what is wrong, its restores and erasures."""

from __future__ import annotations

from sqlalchemy import Column, Integer, String, Table, Text

from intake.store.schema.columns import Moment, metadata

# The data folder bears the same mark; where it does not, the database came from elsewhere.
home = Table(
    "home",
    metadata,
    Column("id", Integer, primary_key=True),  # always 1
    Column("mark", String(64), nullable=False),
)

# Each time this database was restored from a backup; until `reconciled_at` nothing is sent.
restores = Table(
    "restores",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("taken_at", Moment, nullable=False),
    Column("restored_at", Moment, nullable=False),
    Column("reconciled_at", Moment),
)

# What the worker does on schedule (poll, send, purge): when it was last tried, when it last succeeded, and the
# fault since.
ticks = Table(
    "ticks",
    metadata,
    Column("name", String(16), primary_key=True),
    Column("tried_at", Moment, nullable=False),
    Column("good_at", Moment),
    Column("fault", Text, nullable=False, default="", server_default=""),
)

# What is wrong now, since when, and when the owner was told.
alarms = Table(
    "alarms",
    metadata,
    Column("what", String(32), primary_key=True),
    Column("since", Moment, nullable=False),
    Column("line", Text, nullable=False),
    Column("told_at", Moment),
)

# That a customer was erased, and how much; nothing of who.
erasures = Table(
    "erasures",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Moment, nullable=False),
    Column("by", String(128), nullable=False),
    Column("jobs", Integer, nullable=False),
    Column("messages", Integer, nullable=False),
    Column("pictures", Integer, nullable=False),
    Column("letters", Integer, nullable=False),
)
