"""where the database is at home, restores, ticks and erasures"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from intake.store.schema import Moment

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "home",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mark", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "restores",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("taken_at", Moment(timezone=True), nullable=False),
        sa.Column("restored_at", Moment(timezone=True), nullable=False),
        sa.Column("reconciled_at", Moment(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "ticks",
        sa.Column("name", sa.String(length=16), nullable=False),
        sa.Column("tried_at", Moment(timezone=True), nullable=False),
        sa.Column("good_at", Moment(timezone=True), nullable=True),
        sa.Column("fault", sa.Text(), nullable=False, server_default=""),
        sa.PrimaryKeyConstraint("name"),
    )
    op.create_table(
        "alarms",
        sa.Column("what", sa.String(length=32), nullable=False),
        sa.Column("since", Moment(timezone=True), nullable=False),
        sa.Column("line", sa.Text(), nullable=False),
        sa.Column("told_at", Moment(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("what"),
    )
    op.create_table(
        "erasures",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", Moment(timezone=True), nullable=False),
        sa.Column("by", sa.String(length=128), nullable=False),
        sa.Column("jobs", sa.Integer(), nullable=False),
        sa.Column("messages", sa.Integer(), nullable=False),
        sa.Column("pictures", sa.Integer(), nullable=False),
        sa.Column("letters", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )


def downgrade() -> None:
    for table in ("erasures", "alarms", "ticks", "restores", "home"):
        op.drop_table(table)
