"""How sure a reading is, and whether it may be used without a person looking."""

from __future__ import annotations

from intake.reading.texts import ReadText
from intake.rules.decoding import Decision

_ENOUGH = 0.995


def certainty(text: ReadText, decision: Decision) -> float:
    """The chance from 0 to 1 that the reading is right."""
    return float(min(decision.probability, 0.999))


def accepted(sure: float) -> bool:
    return sure >= _ENOUGH
