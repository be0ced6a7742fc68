"""The tables of who works at the desk, and of what they did."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Integer, String, Table, Text

from intake.store.schema.columns import Moment, metadata

accounts = Table(
    "accounts",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(128), nullable=False, unique=True),
    Column("password_hash", Text, nullable=False),
    Column("role", String(16), nullable=False),  # designer, owner
    Column("made_at", Moment, nullable=False),
    Column("closed_at", Moment),
    Column("email", String(320), nullable=False, default="", server_default=""),
    Column("notices", String(16), nullable=False, default="", server_default=""),  # intake.store.notices
)

# Of which message of a job's customer somebody was told last.
notices = Table(
    "notices",
    metadata,
    Column("job", ForeignKey("jobs.id"), primary_key=True),
    Column("account", ForeignKey("accounts.id"), primary_key=True, index=True),
    Column("about", Moment, nullable=False),
    Column("told_at", Moment, nullable=False),
)

sessions = Table(
    "sessions",
    metadata,
    Column("token_hash", String(64), primary_key=True),  # SHA-256 of what the browser holds
    Column("account", ForeignKey("accounts.id"), nullable=False, index=True),
    Column("started_at", Moment, nullable=False),
    Column("seen_at", Moment, nullable=False),
    Column("ends_at", Moment, nullable=False),
    Column("address", String(64), nullable=False, default=""),
)

sign_in_links = Table(
    "sign_in_links",
    metadata,
    Column("token_hash", String(64), primary_key=True),
    Column("account", ForeignKey("accounts.id"), nullable=False),
    Column("ends_at", Moment, nullable=False),
    Column("used_at", Moment),
)

failed_sign_ins = Table(
    "failed_sign_ins",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Moment, nullable=False, index=True),
    Column("name", String(128), nullable=False),
    Column("address", String(64), nullable=False),
)

audit = Table(
    "audit",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Moment, nullable=False),
    Column("by", String(128), nullable=False),
    Column("what", String(32), nullable=False),
    Column("about", String(128), nullable=False, index=True),  # a job, an account, a letter
    Column("text", Text, nullable=False),
    Column("address", String(64), nullable=False, default=""),
)
Index("audit_by_person", audit.c.by, audit.c.at)
