"""The database and the files beside it."""
