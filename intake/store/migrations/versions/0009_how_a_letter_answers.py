"""how a letter answers a message"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # Of what was filed before, it is told by the original, at the next examination.
    op.add_column("messages", sa.Column("thread", sa.JSON(), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("messages", schema=None) as batch_op:
        batch_op.drop_column("thread")
