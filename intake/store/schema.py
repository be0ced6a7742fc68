"""The tables. Times are aware UTC (SQLite keeps them as ISO text), structured values JSON."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    DateTime,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
    false,
)
from sqlalchemy.engine import Dialect

from intake.store.folding import job_search


class Moment(TypeDecorator[datetime]):
    """An aware UTC time on every database; SQLite itself would drop the zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return value.astimezone(UTC) if value is not None else None

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        return (
            None
            if value is None
            else value.replace(tzinfo=UTC)
            if value.tzinfo is None
            else value.astimezone(UTC)
        )


def _search(context: Any) -> str:
    row = context.get_current_parameters()
    return job_search(row.get("customer_name", ""), row["customer_email"], row["id"])


metadata = MetaData()

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

readings = Table(
    "readings",
    metadata,
    Column("picture", String(32), primary_key=True),
    Column("body", JSON, nullable=False),  # intake.store.records.READING
    Column("read_at", Moment, nullable=False),
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
    Column("held_because", Text),
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

panoramas = Table(
    "panoramas",
    metadata,
    Column("job", ForeignKey("jobs.id"), primary_key=True),
    Column("pictures", JSON, nullable=False),  # ids, in the order that `body` counts in
    Column("body", JSON, nullable=False),  # intake.store.records.PANORAMA
)

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
