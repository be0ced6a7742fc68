"""where every item of a job stands is kept with the job as well, for the list of all jobs"""

from __future__ import annotations

from itertools import groupby

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("jobs", sa.Column("item_states", sa.JSON(), nullable=False, server_default="{}"))
    jobs = sa.table("jobs", sa.column("id", sa.String), sa.column("item_states", sa.JSON))
    items = sa.table("items", *(sa.column(name) for name in ("job", "item", "position", "state")))
    db = op.get_bind()
    query = sa.select(items.c.job, items.c.item, items.c.state).order_by(items.c.job, items.c.position)
    kept = [
        {"of": job, "states": {item: state for _, item, state in rows}}
        for job, rows in groupby(db.execute(query), lambda row: row.job)
    ]
    if kept:
        change = sa.update(jobs).where(jobs.c.id == sa.bindparam("of"))
        db.execute(change.values(item_states=sa.bindparam("states", type_=sa.JSON)), kept)


def downgrade() -> None:
    op.drop_column("jobs", "item_states")
