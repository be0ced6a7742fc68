"""whom our mail server vouches for"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # In place: batch mode would drop the table on SQLite, which others refer to.
    op.add_column("messages", sa.Column("vouched", sa.Boolean(), nullable=False, server_default=sa.false()))
    # What might be answered without a person's word had been vouched for; of the rest nothing is known.
    op.execute("UPDATE messages SET vouched = (answering = 'may')")


def downgrade() -> None:
    with op.batch_alter_table("messages", schema=None) as batch_op:
        batch_op.drop_column("vouched")
