"""What a length written on a plan may have been meant to say, for the inference: the catalogue of slips
(domain/room/catalogue) as arrays, each change with its log chance and how usual the length meant would be there."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from intake.domain.room.adjusting import Array
from intake.domain.room.catalogue import changes_of
from intake.domain.room.drawn_lengths import proportion_logs
from intake.domain.sketch.meaning import usual_logs
from intake.model.examination import SlipKind
from intake.model.reading import Role
from intake.model.room import Measurement

Meant = Array
"""Changes of one length, or of a sum of lengths, a column each (3 x n): what it adds (mm), its log chance, and the
variance that the length meant has beside the tape's (mm squared)."""
NOTHING_MEANT: Meant = np.empty((3, 0))
WRITTEN = (
    SlipKind.TEN_TIMES,
    SlipKind.METRES,
    SlipKind.LOST_DIGIT,
    SlipKind.EXTRA_DIGIT,
    SlipKind.FEET,
    SlipKind.INCHES,
    SlipKind.SWAPPED,
    SlipKind.MISREAD,
    SlipKind.METRE_OUT,
)
"""The kinds that one length by itself may be."""
AS_SHIPPED: Mapping[str, float] = MappingProxyType({})
"""Slips as often as the catalogue has them."""


def meant_along(
    text: str, value: float, role: Role, drawn_mm: float, slips: Mapping[str, float] = AS_SHIPPED
) -> Meant:
    """What a section or an overall written as `text` and drawn `drawn_mm` long may have been meant to be; `slips` are
    how many times likelier each kind is here."""
    adds, chance, loose, lengths, kinds = _changes(text, value, role)
    if slips:
        chance = chance + np.log([slips.get(kind, 1.0) for kind in kinds])
    return np.stack([adds, chance + proportion_logs(lengths, drawn_mm), loose])


def kind_of(text: str, value_mm: int, meant_mm: int) -> str:
    """The kind of slip that makes what was meant into what stands there, the likeliest where several do; "" where it is
    as meant, OTHER for no kind that is known."""
    if value_mm == meant_mm:
        return ""
    near = [
        c
        for c in changes_of(Measurement("", text, value_mm), [], [])
        if abs(c.meant_mm - meant_mm) <= c.spread_mm
    ]
    return max(near, key=lambda c: c.prior).kind if near else SlipKind.OTHER


@lru_cache(maxsize=4096)
def _changes(text: str, value: float, role: Role) -> tuple[Array, Array, Array, Array, tuple[str, ...]]:
    """What each change adds, its log chance with how usual the length meant is, its variance; the lengths meant; its
    kind."""
    found = changes_of(Measurement("", text, round(value)), [], [])
    table = np.array([(c.meant_mm - round(value), c.prior, c.spread_mm**2) for c in found], np.float64)
    lengths = value + table[:, 0]
    kinds = tuple(c.kind for c in found)
    return table[:, 0], np.log(table[:, 1]) + usual_logs(role, lengths), table[:, 2], lengths, kinds
