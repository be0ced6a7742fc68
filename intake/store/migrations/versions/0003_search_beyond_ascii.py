"""search for names beyond ASCII

SQLite's lower() knows ASCII alone, so the column is filled by the program from here on.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from intake.store.folding import job_search

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

COMPUTED = "lower(customer_name || ' ' || customer_email || ' ' || id)"


def upgrade() -> None:
    # Not in batch mode, which on SQLite would drop the table that others refer to.
    op.drop_column("jobs", "search")
    op.add_column("jobs", sa.Column("search", sa.Text(), nullable=False, server_default=""))
    jobs = sa.table(
        "jobs", *(sa.column(name) for name in ("id", "customer_name", "customer_email", "search"))
    )
    connection = op.get_bind()
    rows = [
        {"job": job, "said": job_search(name, email, job)}
        for job, name, email in connection.execute(
            sa.select(jobs.c.id, jobs.c.customer_name, jobs.c.customer_email)
        )
    ]
    if rows:
        change = jobs.update().where(jobs.c.id == sa.bindparam("job")).values(search=sa.bindparam("said"))
        connection.execute(change, rows)


def downgrade() -> None:
    stored = op.get_bind().dialect.name != "sqlite"
    op.drop_column("jobs", "search")
    op.add_column("jobs", sa.Column("search", sa.Text(), sa.Computed(COMPUTED, persisted=stored)))
