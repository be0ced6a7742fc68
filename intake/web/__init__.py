"""The designer's desk."""
