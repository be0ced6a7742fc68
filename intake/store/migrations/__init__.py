"""The steps from each version of the tables to the next (Alembic)."""
