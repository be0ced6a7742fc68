"""Sampling inspection: how often what the readers accept is wrong here, found by blind looks at a few numbers."""
