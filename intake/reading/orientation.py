"""Which way up each text stands.

A single upside-down crop beats the true one now and then, so the page is asked as a whole: on a sheet held
the right way, most numbers run upright, some a quarter turned either way, hardly any upside down. The four
ways of holding the sheet are compared by what the reader then makes of every box.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from intake.reading.texts import ReadText

_HABIT = (0.62, 0.185, 0.01, 0.185)
"""How often a number runs upright, a quarter clockwise, upside down, a quarter back (common practice, no
source)."""

_HELD = (0.0, -1.5, -2.0, -1.5)
"""The log odds that a photograph comes turned although its orientation tag was applied (common practice, no
source)."""
_CLEAR = 0.4


def heading(text: ReadText) -> int:
    """The way the text runs, in quarters: 0 to the right, 1 down, 2 to the left (upside down), 3 up."""
    (ax, ay), (bx, by) = text.box[0], text.box[1]
    return round(math.atan2(by - ay, bx - ax) / (math.pi / 2)) % 4


def merit(text: ReadText) -> float:
    """How well the reader does with this way up, from 0 to 1; words count as well as numbers."""
    word = text.word
    worded = 0.9 * word.confidence**2 if len(word.text) > 1 and word.text.isascii() else 0.0
    return max(text.strength, worded, 1e-3)


def page_turn(texts: Sequence[Sequence[ReadText]]) -> int:
    """How many quarters clockwise the picture is turned: 0 to 3."""

    clear = [ways for ways in texts if max(map(merit, ways), default=0.0) > _CLEAR]

    def total(turn: int) -> float:
        return _HELD[turn] + sum(math.log(sum(_weighed(t, turn) for t in ways) + 1e-3) for ways in clear)

    return max(range(4), key=total)


def upright(texts: Sequence[Sequence[ReadText]], turn: int) -> list[ReadText]:
    """The best way up of each text, the page's turn being known."""
    chosen = [max(ways, key=lambda t: _weighed(t, turn)) for ways in texts]
    return [
        replace(best, rival=max((t.strength for t in ways if t is not best), default=0.0))
        for best, ways in zip(chosen, texts, strict=True)
    ]


def _weighed(text: ReadText, turn: int) -> float:
    return _HABIT[(heading(text) - turn) % 4] * merit(text)
