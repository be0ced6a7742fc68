"""Which way up each text is read: as the sorter has it, as the recogniser does, or as the writing round it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from intake.reading.crops import turned
from intake.reading.readers import Grey
from intake.reading.texts import CropReaders, ReadText, same_number
from intake.reading.tidy import tidy
from intake.reading.votes import agreed, scaled

_TURNED = 0.5
"""The chance from which on the recogniser holds a text to lie another way."""
_OVER = 2
"""Quarters to a text that stands on its head."""
_NEIGHBOURS, _SAME_AXIS, _READ = 4, 0.82, 0.5
"""So many of the nearest texts along the same axis (the least cosine) tell which way up a text stands, those of them
that read more surely than the last. Half of these stand the other way by one in fifty of 8,885 numbers on 450 sheets of
nine drawers; of the fourteen numbers that were read on their heads, by eleven."""


def turned_upright(page: Grey, texts: Sequence[ReadText], eyes: CropReaders) -> list[ReadText]:
    """The texts, those that the recogniser holds to lie another way turned read that way as well, and on their heads
    those that others stand against; the worse way is the `rival`."""
    said = {id(t): q for t in texts if (q := int(np.argmax(t.own.turns))) and t.own.turns[q] > _TURNED}
    ways = [(t, said.get(id(t), _OVER)) for t in texts if id(t) in said or _against_others(t, texts)]
    again = eyes.look([tidy(page, turned(t.cutting.found, q)) for t, q in ways])
    other = {id(text): back for (text, _), back in zip(ways, again, strict=True)}
    return [likelier(text, other[id(text)]) if id(text) in other else text for text in texts]


def _against_others(text: ReadText, texts: Sequence[ReadText]) -> bool:
    """Whether half of a number's nearest neighbours along its axis stand the other way up."""
    along = [
        t for t in texts if t is not text and t.strength > _READ and abs(_way(t) @ _way(text)) > _SAME_AXIS
    ]
    near = sorted(along, key=lambda t: float(np.hypot(*(t.centre - text.centre))))[:_NEIGHBOURS]
    over = sum(bool(_way(t) @ _way(text) < 0) for t in near)
    return len(near) == _NEIGHBOURS and 2 * over >= _NEIGHBOURS


def _way(text: ReadText) -> NDArray[np.float64]:
    """Which way a text runs, of length 1."""
    run = np.subtract(text.box[1], text.box[0])
    return np.asarray(run / max(float(np.hypot(*run)), 1e-6))


def likelier(text: ReadText, other: ReadText) -> ReadText:
    """The likelier of two ways up, as sure of its own first text as before; what the other says is among the rest that
    it may say: the sums know (18.5 is 581)."""
    better, worse = (other, text) if other.strength > text.strength else (text, other)
    if not worse.strength:
        return better
    first = better.numbers[0]
    said = agreed([better.numbers, worse.numbers], [better.strength, worse.strength])
    rest = [a for a in said if not same_number(a.text, first.text)]
    left = (1.0 - first.confidence) / max(sum(a.confidence for a in rest), 1e-6)
    numbers = (first, *scaled(rest, min(left, 1.0)))
    return replace(better, numbers=numbers, rival=max(better.rival, worse.strength))
