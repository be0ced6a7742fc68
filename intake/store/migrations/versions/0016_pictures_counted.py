"""how many pictures of a job count, for the list of jobs"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # Of a job that was examined before, it is counted when it is asked for, until the next examination.
    for name in ("photographs", "sketches"):
        op.add_column("jobs", sa.Column(name, sa.Integer(), nullable=True))


def downgrade() -> None:
    for name in ("sketches", "photographs"):
        with op.batch_alter_table("jobs", schema=None) as batch_op:
            batch_op.drop_column(name)
