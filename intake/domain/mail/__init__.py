"""Whose mail a message is, which job it belongs to, whether it may be answered, and when."""
