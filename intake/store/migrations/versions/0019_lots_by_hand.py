"""the lot drawn last of each kind of hand is found by an index"""

from __future__ import annotations

from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_index("lots_by_hand", "lots", ["hand", "at"])


def downgrade() -> None:
    op.drop_index("lots_by_hand", "lots")
