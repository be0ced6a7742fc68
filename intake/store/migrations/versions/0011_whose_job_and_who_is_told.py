"""whose job it is, and whom a mail tells of it"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from intake.store.schema import Moment

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("jobs", sa.Column("designer", sa.String(128), nullable=False, server_default=""))
    op.create_index("jobs_by_designer", "jobs", ["designer", "state", "last_message_at"])
    op.add_column("accounts", sa.Column("email", sa.String(320), nullable=False, server_default=""))
    op.add_column("accounts", sa.Column("notices", sa.String(16), nullable=False, server_default=""))
    op.create_table(
        "notices",
        sa.Column("job", sa.String(16), sa.ForeignKey("jobs.id"), nullable=False),
        sa.Column("account", sa.Integer(), sa.ForeignKey("accounts.id"), nullable=False),
        sa.Column("about", Moment(timezone=True), nullable=False),
        sa.Column("told_at", Moment(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("job", "account"),
    )
    op.create_index("ix_notices_account", "notices", ["account"])


def downgrade() -> None:
    op.drop_table("notices")
    for name in ("notices", "email"):
        with op.batch_alter_table("accounts", schema=None) as batch_op:
            batch_op.drop_column(name)
    op.drop_index("jobs_by_designer", "jobs")
    with op.batch_alter_table("jobs", schema=None) as batch_op:
        batch_op.drop_column("designer")
