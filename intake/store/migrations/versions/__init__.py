"""One file a step, the number first."""
