"""the first tables"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from intake.store import schema

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "accounts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=128), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("made_at", schema.Moment(), nullable=False),
        sa.Column("closed_at", schema.Moment(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("name"),
    )
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", schema.Moment(), nullable=False),
        sa.Column("by", sa.String(length=128), nullable=False),
        sa.Column("what", sa.String(length=32), nullable=False),
        sa.Column("about", sa.String(length=128), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    with op.batch_alter_table("audit", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_audit_about"), ["about"], unique=False)

    op.create_table(
        "deliveries",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account", sa.String(length=255), nullable=False),
        sa.Column("folder", sa.String(length=255), nullable=False),
        sa.Column("uidvalidity", sa.BigInteger(), nullable=False),
        sa.Column("uid", sa.String(length=255), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("taken_at", schema.Moment(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("account", "folder", "uidvalidity", "uid"),
    )
    with op.batch_alter_table("deliveries", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_deliveries_sha256"), ["sha256"], unique=False)

    op.create_table(
        "failed_sign_ins",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", schema.Moment(), nullable=False),
        sa.Column("name", sa.String(length=128), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    with op.batch_alter_table("failed_sign_ins", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_failed_sign_ins_at"), ["at"], unique=False)

    op.create_table(
        "jobs",
        sa.Column("id", sa.String(length=16), nullable=False),
        sa.Column("room", sa.String(length=16), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("customer_name", sa.Text(), nullable=False),
        sa.Column("customer_email", sa.String(length=320), nullable=False),
        sa.Column("opened_at", schema.Moment(), nullable=False),
        sa.Column("last_message_at", schema.Moment(), nullable=False),
        sa.Column("merged_into", sa.String(length=16), nullable=True),
        sa.Column("items_wanted", sa.Integer(), nullable=False),
        sa.Column("items_settled", sa.Integer(), nullable=False),
        sa.Column("stopped_because", sa.Text(), nullable=False),
        sa.Column("examined_at", schema.Moment(), nullable=True),
        sa.Column("reminders", sa.Integer(), nullable=False),
        sa.Column("changed", sa.Integer(), nullable=False),
        sa.Column("examined", sa.Integer(), nullable=False),
        sa.Column("claimed_by", sa.String(length=64), nullable=True),
        sa.Column("claimed_until", schema.Moment(), nullable=True),
        sa.Column(
            "search",
            sa.Text(),
            sa.Computed("lower(customer_name || ' ' || customer_email || ' ' || id)", persisted=True),
            nullable=True,
        ),
        sa.PrimaryKeyConstraint("id"),
    )
    with op.batch_alter_table("jobs", schema=None) as batch_op:
        batch_op.create_index("jobs_by_state", ["merged_into", "state", "last_message_at"], unique=False)
        batch_op.create_index("jobs_by_time", ["merged_into", "last_message_at"], unique=False)

    op.create_table(
        "lost_letters",
        sa.Column("message_id", sa.String(length=255), nullable=False),
        sa.Column("job", sa.String(length=16), nullable=False),
        sa.Column("recipient", sa.String(length=320), nullable=False),
        sa.Column("in_reply_to", sa.String(length=998), nullable=False),
        sa.Column("handed_at", schema.Moment(), nullable=False),
        sa.Column("attempt", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("message_id"),
    )
    with op.batch_alter_table("lost_letters", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lost_letters_recipient"), ["recipient"], unique=False)

    op.create_table(
        "readings",
        sa.Column("picture", sa.String(length=32), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("read_at", schema.Moment(), nullable=False),
        sa.PrimaryKeyConstraint("picture"),
    )
    op.create_table(
        "decisions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job", sa.String(length=16), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("target", sa.String(length=128), nullable=False),
        sa.Column("value", sa.JSON(), nullable=False),
        sa.Column("by", sa.String(length=128), nullable=False),
        sa.Column("at", schema.Moment(), nullable=False),
        sa.Column("undone_by", sa.String(length=128), nullable=True),
        sa.Column("undone_at", schema.Moment(), nullable=True),
        sa.ForeignKeyConstraint(
            ["job"],
            ["jobs.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
    )
    with op.batch_alter_table("decisions", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_decisions_job"), ["job"], unique=False)

    op.create_table(
        "events",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job", sa.String(length=16), nullable=False),
        sa.Column("at", schema.Moment(), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=128), nullable=False),
        sa.ForeignKeyConstraint(
            ["job"],
            ["jobs.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
    )
    with op.batch_alter_table("events", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_events_job"), ["job"], unique=False)

    op.create_table(
        "items",
        sa.Column("job", sa.String(length=16), nullable=False),
        sa.Column("item", sa.String(length=64), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["job"],
            ["jobs.id"],
        ),
        sa.PrimaryKeyConstraint("job", "item"),
    )
    with op.batch_alter_table("items", schema=None) as batch_op:
        batch_op.create_index("items_by_state", ["item", "state", "job"], unique=False)

    op.create_table(
        "job_addresses",
        sa.Column("email", sa.String(length=320), nullable=False),
        sa.Column("job", sa.String(length=16), nullable=False),
        sa.ForeignKeyConstraint(
            ["job"],
            ["jobs.id"],
        ),
        sa.PrimaryKeyConstraint("email", "job"),
    )
    with op.batch_alter_table("job_addresses", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_job_addresses_job"), ["job"], unique=False)

    op.create_table(
        "letters",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job", sa.String(length=16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("to", sa.JSON(), nullable=False),
        sa.Column("recipient", sa.String(length=320), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("message_id", sa.String(length=255), nullable=False),
        sa.Column("in_reply_to", sa.String(length=998), nullable=False),
        sa.Column("asks", sa.JSON(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("html", sa.Text(), nullable=False),
        sa.Column("raw", sa.LargeBinary(), nullable=False),
        sa.Column("held_because", sa.Text(), nullable=True),
        sa.Column("decided_at", schema.Moment(), nullable=False),
        sa.Column("due_at", schema.Moment(), nullable=True),
        sa.Column("claimed_by", sa.String(length=64), nullable=True),
        sa.Column("claimed_until", schema.Moment(), nullable=True),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("sent_at", schema.Moment(), nullable=True),
        sa.Column("edited", sa.Boolean(), nullable=False),
        sa.Column("handed_at", schema.Moment(), nullable=True),
        sa.Column("bounced_at", schema.Moment(), nullable=True),
        sa.ForeignKeyConstraint(
            ["job"],
            ["jobs.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("job", "revision"),
        sa.UniqueConstraint("message_id"),
    )
    with op.batch_alter_table("letters", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_letters_recipient"), ["recipient"], unique=False)
        batch_op.create_index("letters_by_recipient", ["recipient", "handed_at"], unique=False)
        batch_op.create_index("letters_by_state", ["state", "due_at"], unique=False)
        batch_op.create_index("letters_of_job", ["job", "id"], unique=False)

    op.create_table(
        "messages",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        sa.Column("key", sa.String(length=998), nullable=False),
        sa.Column("job", sa.String(length=16), nullable=True),
        sa.Column("rule", sa.String(length=64), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("offers", sa.JSON(), nullable=False),
        sa.Column("placed_by", sa.String(length=64), nullable=False),
        sa.Column("fixed", sa.Boolean(), nullable=False),
        sa.Column("sender_name", sa.Text(), nullable=False),
        sa.Column("sender_email", sa.String(length=320), nullable=False),
        sa.Column("credited", sa.String(length=320), nullable=False),
        sa.Column("via", sa.String(length=320), nullable=False),
        sa.Column("recipients", sa.JSON(), nullable=False),
        sa.Column("topic", sa.Text(), nullable=False),
        sa.Column("named", sa.JSON(), nullable=False),
        sa.Column("at", schema.Moment(), nullable=True),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("own_words", sa.Text(), nullable=False),
        sa.Column("room", sa.String(length=16), nullable=False),
        sa.Column("sent_at", schema.Moment(), nullable=True),
        sa.Column("received_at", schema.Moment(), nullable=False),
        sa.Column("answering", sa.String(length=10), nullable=False),
        sa.Column("answering_rule", sa.String(length=32), nullable=False),
        sa.Column("answering_why", sa.Text(), nullable=False),
        sa.Column("claimed_by", sa.String(length=64), nullable=True),
        sa.Column("claimed_until", schema.Moment(), nullable=True),
        sa.ForeignKeyConstraint(
            ["job"],
            ["jobs.id"],
        ),
        sa.PrimaryKeyConstraint("sha256"),
    )
    with op.batch_alter_table("messages", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_messages_job"), ["job"], unique=False)
        batch_op.create_index(batch_op.f("ix_messages_key"), ["key"], unique=False)
        batch_op.create_index(batch_op.f("ix_messages_state"), ["state"], unique=False)
        batch_op.create_index("messages_credited", ["credited", "at"], unique=False)
        batch_op.create_index("messages_to_file", ["state", "received_at"], unique=False)
        batch_op.create_index("messages_via", ["via", "at"], unique=False)

    op.create_table(
        "panoramas",
        sa.Column("job", sa.String(length=16), nullable=False),
        sa.Column("pictures", sa.JSON(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["job"],
            ["jobs.id"],
        ),
        sa.PrimaryKeyConstraint("job"),
    )
    op.create_table(
        "sessions",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("account", sa.Integer(), nullable=False),
        sa.Column("started_at", schema.Moment(), nullable=False),
        sa.Column("seen_at", schema.Moment(), nullable=False),
        sa.Column("ends_at", schema.Moment(), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(
            ["account"],
            ["accounts.id"],
        ),
        sa.PrimaryKeyConstraint("token_hash"),
    )
    with op.batch_alter_table("sessions", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sessions_account"), ["account"], unique=False)

    op.create_table(
        "sign_in_links",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("account", sa.Integer(), nullable=False),
        sa.Column("ends_at", schema.Moment(), nullable=False),
        sa.Column("used_at", schema.Moment(), nullable=True),
        sa.ForeignKeyConstraint(
            ["account"],
            ["accounts.id"],
        ),
        sa.PrimaryKeyConstraint("token_hash"),
    )
    op.create_table(
        "message_ids",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("message_id", sa.String(length=998), nullable=False),
        sa.Column("relation", sa.String(length=10), nullable=False),
        sa.ForeignKeyConstraint(
            ["sha256"],
            ["messages.sha256"],
        ),
        sa.PrimaryKeyConstraint("sha256", "message_id", "relation"),
    )
    with op.batch_alter_table("message_ids", schema=None) as batch_op:
        batch_op.create_index("message_ids_by_id", ["message_id", "relation"], unique=False)

    op.create_table(
        "pictures",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("message", sa.String(length=64), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("display_file", sa.Text(), nullable=False),
        sa.Column("reading_file", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["message"],
            ["messages.sha256"],
        ),
        sa.PrimaryKeyConstraint("id", "message"),
    )
    with op.batch_alter_table("pictures", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_pictures_message"), ["message"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("pictures", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_pictures_message"))

    op.drop_table("pictures")
    with op.batch_alter_table("message_ids", schema=None) as batch_op:
        batch_op.drop_index("message_ids_by_id")

    op.drop_table("message_ids")
    op.drop_table("sign_in_links")
    with op.batch_alter_table("sessions", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sessions_account"))

    op.drop_table("sessions")
    op.drop_table("panoramas")
    with op.batch_alter_table("messages", schema=None) as batch_op:
        batch_op.drop_index("messages_via")
        batch_op.drop_index("messages_to_file")
        batch_op.drop_index("messages_credited")
        batch_op.drop_index(batch_op.f("ix_messages_state"))
        batch_op.drop_index(batch_op.f("ix_messages_key"))
        batch_op.drop_index(batch_op.f("ix_messages_job"))

    op.drop_table("messages")
    with op.batch_alter_table("letters", schema=None) as batch_op:
        batch_op.drop_index("letters_of_job")
        batch_op.drop_index("letters_by_state")
        batch_op.drop_index("letters_by_recipient")
        batch_op.drop_index(batch_op.f("ix_letters_recipient"))

    op.drop_table("letters")
    with op.batch_alter_table("job_addresses", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_job_addresses_job"))

    op.drop_table("job_addresses")
    with op.batch_alter_table("items", schema=None) as batch_op:
        batch_op.drop_index("items_by_state")

    op.drop_table("items")
    with op.batch_alter_table("events", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_events_job"))

    op.drop_table("events")
    with op.batch_alter_table("decisions", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_decisions_job"))

    op.drop_table("decisions")
    op.drop_table("readings")
    with op.batch_alter_table("lost_letters", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_lost_letters_recipient"))

    op.drop_table("lost_letters")
    with op.batch_alter_table("jobs", schema=None) as batch_op:
        batch_op.drop_index("jobs_by_time")
        batch_op.drop_index("jobs_by_state")

    op.drop_table("jobs")
    with op.batch_alter_table("failed_sign_ins", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_failed_sign_ins_at"))

    op.drop_table("failed_sign_ins")
    with op.batch_alter_table("deliveries", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_deliveries_sha256"))

    op.drop_table("deliveries")
    with op.batch_alter_table("audit", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_audit_about"))

    op.drop_table("audit")
    op.drop_table("accounts")
