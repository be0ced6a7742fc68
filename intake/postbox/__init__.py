"""Letters from templates, and their sending."""
