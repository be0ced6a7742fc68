"""what is counted of each job, for the figures"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from intake.store.schema import Moment

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

COUNTED = ("lengths", "accepted", "added", "misplaced", "clauses", "unread")


def upgrade() -> None:
    op.create_table(
        "tallies",
        sa.Column("job", sa.String(length=16), sa.ForeignKey("jobs.id"), nullable=False),
        sa.Column("complete_at", Moment(timezone=True), nullable=True),
        sa.Column("version", sa.String(length=32), nullable=False),
        sa.Column("paper", sa.String(length=32), nullable=False),
        *(sa.Column(name, sa.Integer(), nullable=False) for name in COUNTED),
        sa.PrimaryKeyConstraint("job"),
    )


def downgrade() -> None:
    op.drop_table("tallies")
