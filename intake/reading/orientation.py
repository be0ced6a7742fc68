"""Which way up each text stands.

A single upside-down crop beats the true one now and then, so the page is asked as a whole: on a sheet held
the right way, numbers run upright or turned a quarter either way, never upside down. The four ways of
holding the sheet are compared by the sum of what the reader then makes of every box.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from intake.reading.texts import ReadText


def heading(text: ReadText) -> int:
    """The way the text runs, in quarters: 0 to the right, 1 down, 2 to the left (upside down), 3 up."""
    (ax, ay), (bx, by) = text.box[0], text.box[1]
    return int(round(math.atan2(by - ay, bx - ax) / (math.pi / 2))) % 4


def merit(text: ReadText) -> float:
    """The log of how well the reader does with this way up, words counting as well as numbers."""
    best = max(text.strength, 0.8 * text.word.confidence if len(text.word.text) > 1 else 0.0)
    return math.log(max(best, 1e-3))


def page_turn(texts: Sequence[Sequence[ReadText]]) -> int:
    """How many quarters clockwise the picture is turned: 0 to 3."""

    def total(turn: int) -> float:
        return sum(
            max((merit(t) for t in ways if (heading(t) - turn) % 4 != 2), default=-7.0) for ways in texts
        )

    return max(range(4), key=lambda turn: (total(turn), -turn))


def upright(texts: Sequence[Sequence[ReadText]], turn: int) -> list[ReadText]:
    """The best way up of each text among those that the page's turn allows."""
    chosen = []
    for ways in texts:
        allowed = [t for t in ways if (heading(t) - turn) % 4 != 2] or list(ways)
        chosen.append(max(allowed, key=lambda t: merit(t) + (0.3 if heading(t) == turn else 0.0)))
    return chosen
