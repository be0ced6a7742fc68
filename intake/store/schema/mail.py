"""The tables of what arrives: deliveries, messages and their pictures."""

from __future__ import annotations

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    String,
    Table,
    Text,
    UniqueConstraint,
    false,
)

from intake.store.schema.columns import Moment, metadata

deliveries = Table(
    "deliveries",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("account", String(255), nullable=False),
    Column("folder", String(255), nullable=False),
    Column("uidvalidity", BigInteger, nullable=False),
    Column("uid", String(255), nullable=False),
    Column("sha256", String(64), nullable=False, index=True),
    Column("taken_at", Moment, nullable=False),
    UniqueConstraint("account", "folder", "uidvalidity", "uid"),
)

messages = Table(
    "messages",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column(
        "state", String(16), nullable=False, index=True
    ),  # kept, filed, apart (belongs to no job), set-aside
    Column("why", Text, nullable=False, default=""),
    Column("file", Text, nullable=False, default=""),
    Column("key", String(998), nullable=False, default="", index=True),
    Column("job", ForeignKey("jobs.id"), index=True),
    Column("rule", String(64), nullable=False, default=""),
    Column("reason", Text, nullable=False, default=""),
    Column("offers", JSON, nullable=False, default=list),
    Column("placed_by", String(64), nullable=False, default="intake"),
    Column("fixed", Boolean, nullable=False, default=False),
    Column("sender_name", Text, nullable=False, default=""),
    Column("sender_email", String(320), nullable=False, default=""),
    # What the grouping rules ask of it (intake.model.card.Card)
    Column("credited", String(320), nullable=False, default=""),
    Column("via", String(320), nullable=False, default=""),
    Column("recipients", JSON, nullable=False, default=list),
    Column("topic", Text, nullable=False, default=""),
    Column("named", JSON, nullable=False, default=list),
    Column("at", Moment),
    Column("subject", Text, nullable=False, default=""),
    Column("own_words", Text, nullable=False, default=""),
    Column("room", String(16), nullable=False, default="unknown"),
    Column("sent_at", Moment),
    Column("received_at", Moment, nullable=False),
    Column("answering", String(10), nullable=False, default=""),
    Column("answering_rule", String(32), nullable=False, default=""),
    Column("answering_why", Text, nullable=False, default=""),
    # Our mail server vouches for who wrote it
    Column("vouched", Boolean, nullable=False, default=False, server_default=false()),
    # What a letter in answer to it needs; none where an older version filed it
    Column("thread", JSON(none_as_null=True)),  # intake.store.records.THREAD
    Column("attempts", Integer, nullable=False, default=0),
    Column("claimed_by", String(64)),
    Column("claimed_until", Moment),
    # When the original was deleted because its time was over.
    Column("purged_at", Moment),
)
Index("messages_to_file", messages.c.state, messages.c.received_at)
Index("messages_credited", messages.c.credited, messages.c.at)
Index("messages_via", messages.c.via, messages.c.at)

message_ids = Table(
    "message_ids",
    metadata,
    Column("sha256", ForeignKey("messages.sha256"), primary_key=True),
    Column("message_id", String(998), primary_key=True),
    Column("relation", String(10), primary_key=True),  # "is" or "refers"
)
Index("message_ids_by_id", message_ids.c.message_id, message_ids.c.relation)

pictures = Table(
    "pictures",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("message", ForeignKey("messages.sha256"), primary_key=True, index=True),
    Column("position", Integer, nullable=False),
    Column("body", JSON, nullable=False),  # intake.store.records.PICTURE
    Column("display_file", Text, nullable=False, default=""),
    Column("reading_file", Text, nullable=False, default=""),
)
