"""why a job's letters are stopped stands in the decisions alone"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.drop_column("jobs", "stopped_because")


def downgrade() -> None:
    op.add_column("jobs", sa.Column("stopped_because", sa.Text(), nullable=False, server_default=""))
