"""the letterhead that is set at the desk"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from intake.store.schema import Moment

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "letterhead",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("logo", sa.LargeBinary(), nullable=False),
        sa.Column("by", sa.String(length=128), nullable=False),
        sa.Column("at", Moment(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "logos",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("at", Moment(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("sha256"),
    )


def downgrade() -> None:
    op.drop_table("logos")
    op.drop_table("letterhead")
