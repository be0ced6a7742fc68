"""How Alembic runs here: on the connection that intake.store.migrate gives it."""

from __future__ import annotations

from typing import Any

from alembic import context

from intake.store import schema


def _render(kind: str, thing: Any, autogen: Any) -> Any:
    return "schema.Moment()" if isinstance(thing, schema.Moment) else False


context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=schema.metadata,
    render_item=_render,
    render_as_batch=True,  # SQLite changes a table by copying it
)
context.run_migrations()
