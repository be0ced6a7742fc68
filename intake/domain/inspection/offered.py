"""What is put beside a number that is looked at blind, to be said by one key: four texts that give its reading away to
nobody.

Two of its digits are each left, or changed for the one that looks like it. Of the four texts that come of it every one
might have been what was read: from each the same four would have been made. In one of five the reading is not among
them at all, so that "one of these" is never known to be right.
"""

from __future__ import annotations

import re

import numpy as np

LIKE = {"1": "7", "7": "1", "4": "9", "9": "4", "3": "8", "8": "3", "5": "6", "6": "5", "0": "2", "2": "0"}
"""Digits that are taken for one another, in pairs, so that neither tells which of them was read (docs/recogniser.md
names most; the rest set by hand)."""
NEVER_FIRST = "02"
"""A length begins with no 0, so neither it nor its like is changed there."""
ABSENT = 0.2
"""In how many the reading is not among the texts (set by hand): too few typed looks to tire anybody, enough for every
designer to have met it."""
_PLAIN = re.compile(r"(\d+)([.,]\d+)?")


def offered(read: str, seed: int) -> tuple[str, ...]:
    """Four texts in an order drawn by lot, always the same for the same number (`seed`); none where the reading has
    not two whole digits that can be changed, or is no plain number."""
    form, lot = _PLAIN.fullmatch(read), np.random.default_rng(seed)
    if form is None or len(form[1]) < 2 or (len(form[1]) == 2 and read[0] in NEVER_FIRST):
        return ()
    # Another first digit of three makes most rooms' lengths ones that no room has, which would tell.
    first, second = (0, 1) if len(form[1]) == 2 else (1, 2)
    if lot.random() < ABSENT:
        others = [
            d for d in LIKE if d not in (read[first], LIKE[read[first]]) and (first or d not in NEVER_FIRST)
        ]
        read = _with(read, first, others[int(lot.integers(len(others)))])
    four = [read, _with(read, first), _with(read, second), _with(_with(read, first), second)]
    return tuple(four[n] for n in lot.permutation(4))


def _with(text: str, place: int, digit: str = "") -> str:
    return text[:place] + (digit or LIKE[text[place]]) + text[place + 1 :]
