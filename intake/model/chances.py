"""Chances as one says them: nobody is shown percentages."""

from __future__ import annotations

_CHANCES = ((0.95, "almost surely"), (0.7, "probably"), (0.3, "perhaps"), (0.0, "hardly"))


def chance(share: float) -> str:
    """A chance (0 to 1) as one says it."""
    return next(word for least, word in _CHANCES if share >= least)
