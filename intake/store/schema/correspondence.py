"""The tables of what is written to customers."""

from __future__ import annotations

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from intake.store.schema.columns import Because, Moment, metadata

letters = Table(
    "letters",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("job", ForeignKey("jobs.id"), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("kind", String(16), nullable=False),
    Column("state", String(16), nullable=False),
    Column("to", JSON, nullable=False),
    Column("recipient", String(320), nullable=False, index=True),
    Column("subject", Text, nullable=False),
    Column("message_id", String(255), nullable=False, unique=True),
    Column("in_reply_to", String(998), nullable=False, default=""),
    Column("asks", JSON, nullable=False),
    Column("asked", Integer, nullable=False, default=0),  # how many they are
    Column("body", JSON, nullable=False),  # intake.store.records.LETTER
    Column("text", Text, nullable=False),
    Column("html", Text, nullable=False),
    Column("raw", LargeBinary, nullable=False),
    Column("held_because", Because),
    Column("decided_at", Moment, nullable=False),
    Column("due_at", Moment),
    Column("claimed_by", String(64)),
    Column("claimed_until", Moment),
    Column("attempts", Integer, nullable=False, default=0),
    Column("answer", Text, nullable=False, default=""),
    Column("sent_at", Moment),
    Column("edited", Boolean, nullable=False, default=False),
    Column("handed_at", Moment),  # when it was last claimed for handing over
    Column("bounced_at", Moment),
    UniqueConstraint("job", "revision"),
)
Index("letters_by_recipient", letters.c.recipient, letters.c.handed_at)
Index("letters_by_state", letters.c.state, letters.c.due_at)
Index("letters_of_job", letters.c.job, letters.c.id)

# Letters that went out and that a database restored from a backup knows nothing of.
lost_letters = Table(
    "lost_letters",
    metadata,
    Column("message_id", String(255), primary_key=True),
    Column("job", String(16), nullable=False),
    Column("recipient", String(320), nullable=False, index=True),
    Column("in_reply_to", String(998), nullable=False, default=""),
    Column("handed_at", Moment, nullable=False),
    Column("attempt", Integer, nullable=False, default=1),
)

# The letterhead as an owner set it at the desk, over the settings: one row.
letterhead = Table(
    "letterhead",
    metadata,
    Column("id", Integer, primary_key=True),  # always 1
    Column("body", JSON, nullable=False),
    Column("logo", LargeBinary, nullable=False),
    Column("by", String(128), nullable=False),
    Column("at", Moment, nullable=False),
)

# Logos that letters of ours bore: what comes back with an answer is no customer's picture.
logos = Table(
    "logos",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("at", Moment, nullable=False),
)
