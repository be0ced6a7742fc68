"""The use cases and the commands."""
