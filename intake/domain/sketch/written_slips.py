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
NOTHING_MEANT: Meant = np.empty((3, 0))


def meant_along(text: str, value: float, role: Role, drawn_mm: float) -> Meant:
    """What a section or an overall written as `text` and drawn `drawn_mm` long may have been meant to be."""
    adds, chance, loose, lengths = _changes(text, value, role)
    return np.stack([adds, chance + proportion_logs(lengths, drawn_mm), loose])


@lru_cache(maxsize=4096)
def _changes(text: str, value: float, role: Role) -> tuple[Array, Array, Array, Array]:
    """What each change adds, its log chance with how usual the length meant is, its variance; the lengths meant."""
    found = changes_of(Measurement("", text, round(value)), [], [])
    table = np.array([(c.meant_mm - round(value), c.prior, c.spread_mm**2) for c in found], np.float64)
    lengths = value + table[:, 0]
    return table[:, 0], np.log(table[:, 1]) + usual_logs(role, lengths), table[:, 2], lengths
