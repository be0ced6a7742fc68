"""What a length written on a plan may have been meant to say, for the inference: the catalogue of slips
(domain/room/catalogue) as arrays, each change with its log chance and how usual the length meant would be there."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from intake.domain.room.adjusting import Array
from intake.domain.room.catalogue import changes_of
from intake.domain.sketch.meaning import proportion_logs, usual_logs
from intake.model.reading import Role
from intake.model.room import Measurement

Meant = Array
"""Changes of one length, or of a sum of lengths, a column each (3 x n): what it adds (mm), its log chance, and the
variance that the length meant has beside the tape's (mm squared)."""


def meant_along(text: str, value: float, role: Role, drawn_mm: float) -> Meant:
    """What a section or an overall written as `text` and drawn `drawn_mm` long may have been meant to be."""
    adds, chance, loose = _changes(text, round(value))
    lengths = value + adds
    usual = usual_logs(role, lengths) + proportion_logs(lengths, drawn_mm)
    return np.stack([adds, chance + usual, loose])


@lru_cache(maxsize=4096)
def _changes(text: str, value_mm: int) -> tuple[Array, Array, Array]:
    found = changes_of(Measurement("", text, value_mm), [], [])
    table = np.array([(c.meant_mm - value_mm, c.prior, c.spread_mm**2) for c in found], np.float64)
    return table[:, 0], np.log(table[:, 1]), table[:, 2]
