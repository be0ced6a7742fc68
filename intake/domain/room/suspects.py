"""One change of a room's readings that may make its sums come out."""

from __future__ import annotations

from dataclasses import dataclass

from intake.domain.room.adjusting import Array
from intake.model.examination import SlipKind

UNKNOWN_REACH_MM = 4000.0
LEAST_MM, MOST_MM = 15, 12_000
"""No length that a slip is said to have been lies outside these (common practice, no source)."""
SURE_SIZE_MM = 5
"""Changes of unknown size are proposed to the half centimetre."""


@dataclass
class Suspect:
    """One change and its weight. `bias` is c over the rows of the net, `size` d in mm (reading minus truth)."""

    kind: SlipKind
    wall: int | None
    reading: str
    bias: Array
    size: float
    would_be_mm: int | None
    log_weight: float
    probability: float = 0.0


def of_a_room(would_be_mm: int | None) -> bool:
    """Whether a room may have such a length; None: it is left out."""
    return would_be_mm is None or LEAST_MM <= would_be_mm <= MOST_MM


def to_half(value: float) -> int:
    """A length to the half centimetre, mm."""
    return round(value / SURE_SIZE_MM) * SURE_SIZE_MM
