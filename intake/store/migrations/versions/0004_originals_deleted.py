"""when a message's original was deleted"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from intake.store.schema import Moment

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("messages", schema=None) as batch_op:
        batch_op.add_column(sa.Column("purged_at", Moment(timezone=True), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("messages", schema=None) as batch_op:
        batch_op.drop_column("purged_at")
