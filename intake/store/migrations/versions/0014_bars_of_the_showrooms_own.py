"""bars that the owner took in place of the shipped one"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from intake.store.schema import Moment

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "bars",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", Moment(timezone=True), nullable=False),
        sa.Column("by", sa.String(length=128), nullable=False),
        sa.Column("version", sa.String(length=32), nullable=False),
        sa.Column("bar", sa.Float(), nullable=False),
        sa.Column("limit", sa.Float(), nullable=False),
        sa.Column("undone_by", sa.String(length=128), nullable=True),
        sa.Column("undone_at", Moment(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id"),
    )


def downgrade() -> None:
    op.drop_table("bars")
