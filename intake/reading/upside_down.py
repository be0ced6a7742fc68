"""Which way up a number stands whose digits read as well upside down: 66 is 99 to whoever turns the sheet. Only the
writing round it can tell."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from intake.model.reading import Alternative, Box
from intake.reading.numbers import Placed

_EITHER_WAY = re.compile(r"[01689.,]+")
_OVER = str.maketrans("69", "96")
_ALIKE = 35.0
"""Two texts run the same way within so many degrees."""
_TURNED = 0.3
"""How often a number whose way nothing tells stands the other way up (judgement)."""
_SURE = 0.8
"""Numbers read less surely say nothing of the ways of others."""


def with_doubts_of_ways(places: Sequence[Placed]) -> list[Placed]:
    """The numbers; one that reads as well upside down has itself for a rival where others stand that way up, unless
    those of its own wall stand as it does, and where no other number tells."""
    plain = [p for p in places if not _reads_either_way(p) and p.text.strength > _SURE]
    return [_doubted(p) if _reads_either_way(p) and not _way_is_told(p, plain) else p for p in places]


def _reads_either_way(place: Placed) -> bool:
    text = place.text.numbers[0].text.replace(",", ".")
    return bool(_EITHER_WAY.fullmatch(text)) and text[::-1].translate(_OVER) != text


def _way_is_told(place: Placed, others: Sequence[Placed]) -> bool:
    """Whether the ways of other numbers bear out that of this one."""
    same = [p for p in others if _turn(place.box, p.box) < _ALIKE]
    over = [p for p in others if _turn(place.box, p.box) > 180 - _ALIKE]
    by_wall = any(_wall(p) == _wall(place) for p in same) and not any(_wall(p) == _wall(place) for p in over)
    return by_wall if over else bool(same)


def _wall(place: Placed) -> int | None:
    return place.by[0].wall if place.by else None


def _turn(a: Box, b: Box) -> float:
    """The angle between two texts' ways, 0 to 180 degrees."""
    one, other = (np.arctan2(box[1][1] - box[0][1], box[1][0] - box[0][0]) for box in (a, b))
    return float(abs((np.degrees(one - other) + 180) % 360 - 180))


def _doubted(place: Placed) -> Placed:
    """The number with itself for a rival, and what it says the other way up among what it may say: the sums know."""
    text = place.text
    first, *rest = text.numbers
    over = first.text[::-1].translate(_OVER)
    if over[0] not in "0.,":
        other = Alternative(over, first.confidence * _TURNED)
        first = replace(first, confidence=first.confidence * (1.0 - _TURNED))
        rest = [other, *(a for a in rest if a.text != over)]
    numbers = tuple(sorted((first, *rest), key=lambda a: -a.confidence))
    return replace(place, text=replace(text, numbers=numbers, rival=max(text.rival, text.strength)))
