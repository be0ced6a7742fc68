"""lots drawn for numbers, and what was seen of them blind"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from intake.store.schema import Moment

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "lots",
        sa.Column("picture", sa.String(length=32), nullable=False),
        sa.Column("at", Moment(timezone=True), nullable=False),
        sa.Column("version", sa.String(length=32), nullable=False),
        sa.Column("paper", sa.String(length=32), nullable=False),
        sa.Column("hand", sa.String(length=16), nullable=False),
        sa.Column("unit", sa.String(length=8), nullable=False),
        sa.Column("share", sa.Float(), nullable=False),
        sa.Column("numbers", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("picture"),
    )
    op.create_index("lots_by_version", "lots", ["version"])
    op.create_table(
        "spot_checks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("picture", sa.String(length=32), sa.ForeignKey("lots.picture"), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("read", sa.Text(), nullable=False),
        sa.Column("confidence", sa.Float(), nullable=False),
        sa.Column("accepted", sa.Boolean(), nullable=False),
        sa.Column("eligible", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("picture", "number"),
    )
    op.create_table(
        "looks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("spot_check", sa.Integer(), sa.ForeignKey("spot_checks.id"), nullable=False),
        sa.Column("by", sa.String(length=128), nullable=False),
        sa.Column("at", Moment(timezone=True), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("during", sa.String(length=16), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_looks_spot_check", "looks", ["spot_check"])
    op.create_index("looks_during", "looks", ["during", "by", "at"])


def downgrade() -> None:
    for table in ("looks", "spot_checks", "lots"):
        op.drop_table(table)
