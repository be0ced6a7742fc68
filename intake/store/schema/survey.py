"""The tables of a job: whose it is, what was read of it, what was decided, and where its items stand."""

from __future__ import annotations

from typing import Any

from sqlalchemy import JSON, Column, ForeignKey, Index, Integer, String, Table, Text

from intake.store.folding import job_search
from intake.store.schema.columns import Moment, metadata


def _search(context: Any) -> str:
    row = context.get_current_parameters()
    return job_search(row.get("customer_name", ""), row["customer_email"], row["id"])


jobs = Table(
    "jobs",
    metadata,
    Column("id", String(16), primary_key=True),
    Column("room", String(16), nullable=False),
    Column("state", String(16), nullable=False),
    Column("customer_name", Text, nullable=False, default=""),
    Column("customer_email", String(320), nullable=False),
    Column("opened_at", Moment, nullable=False),
    Column("last_message_at", Moment, nullable=False),
    Column("merged_into", String(16)),
    Column("items_wanted", Integer, nullable=False, default=0),
    Column("items_settled", Integer, nullable=False, default=0),
    Column("item_states", JSON, nullable=False, default=dict, server_default="{}"),  # by item, in order
    Column("needs", JSON, nullable=False, default=list, server_default="[]"),  # what waits for a person
    Column("examined_at", Moment),
    Column("reminders", Integer, nullable=False, default=0),
    # A job whose material changed after it was examined has changed > examined.
    Column("changed", Integer, nullable=False, default=1),
    Column("examined", Integer, nullable=False, default=0),
    Column("failed_at", Moment),  # since when its examination fails for a fault of ours
    # How many workers began to examine it and neither ended nor failed: they may have died over it.
    Column("attempts", Integer, nullable=False, default=0, server_default="0"),
    Column("claimed_by", String(64)),
    Column("claimed_until", Moment),
    # What the desk's search looks in; filled when a job is opened.
    Column("search", Text, nullable=False, default=_search, server_default=""),
    Column(
        "designer", String(128), nullable=False, default="", server_default=""
    ),  # the account it is assigned to
    # What counts among its pictures, by the latest examination; NULL where it is to be counted.
    Column("photographs", Integer),
    Column("sketches", Integer),
)
Index("jobs_by_state", jobs.c.merged_into, jobs.c.state, jobs.c.last_message_at)
Index("jobs_by_time", jobs.c.merged_into, jobs.c.last_message_at)

Index("jobs_by_designer", jobs.c.designer, jobs.c.state, jobs.c.last_message_at)

job_addresses = Table(
    "job_addresses",
    metadata,
    Column("email", String(320), primary_key=True),
    Column("job", ForeignKey("jobs.id"), primary_key=True, index=True),
)

readings = Table(
    "readings",
    metadata,
    Column("picture", String(32), primary_key=True),
    Column("body", JSON, nullable=False),  # intake.store.records.READING
    Column("read_at", Moment, nullable=False),
)

panoramas = Table(
    "panoramas",
    metadata,
    Column("job", ForeignKey("jobs.id"), primary_key=True),
    Column("pictures", JSON, nullable=False),  # ids, in the order that `body` counts in
    Column("body", JSON, nullable=False),  # intake.store.records.PANORAMA
)

decisions = Table(
    "decisions",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("job", ForeignKey("jobs.id"), nullable=False, index=True),
    Column("kind", String(32), nullable=False),  # intake.store.words
    Column("target", String(128), nullable=False),
    Column("value", JSON, nullable=False),
    Column("by", String(128), nullable=False),
    Column("at", Moment, nullable=False),
    Column("undone_by", String(128)),
    Column("undone_at", Moment),
)

items = Table(
    "items",
    metadata,
    Column("job", ForeignKey("jobs.id"), primary_key=True),
    Column("item", String(64), primary_key=True),
    Column("position", Integer, nullable=False),
    Column("state", String(16), nullable=False),
    Column("body", JSON, nullable=False),  # intake.store.records.STANDING
)

Index("items_by_state", items.c.item, items.c.state, items.c.job)

events = Table(
    "events",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("job", ForeignKey("jobs.id"), nullable=False, index=True),
    Column("at", Moment, nullable=False),
    Column("kind", String(32), nullable=False),
    Column("text", Text, nullable=False),
    Column("by", String(128), nullable=False),
)
