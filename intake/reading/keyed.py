"""Letters in a row from A on, each with an equals sign before its number.

Under one another in a corner of the sheet they are a key of overalls: "A = 276", "B = 305", each letter again at its
wall, mostly in a ring. Which wall a letter is of is left to the sums; that these are walls' lengths the key itself
says. Round the room, each at what it measures ("a=739", "b=275"), the letters only tell the pieces of wall apart: a
number is of where it stands, and its letter names no role, "h=240" no height.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from string import ascii_uppercase

import numpy as np

from intake.model.reading import Box, Role, Stand
from intake.reading.numbers import Placed

_ENTRY = re.compile(r"\(?([A-Za-z])\)?[=:]")
_FEWEST = 2
"""So many letters in a row from A on make a key: one alone is another letter that people write, "H = 240"."""
_SEEN = 0.75
"""So many of a row's letters are seen: one may be misread, and people leave out I or J (judgement)."""
_OVERALL = 0.9
"""How often a number of a key is a wall's overall (judgement)."""
_LEAST = 1e-9
"""A guard against division by 0."""


_DOWN, _ASIDE = 2.5, 2.0
"""Entries of a list stand at most so far under one another and out of line, in heights of their figures: on 450 sheets
of nine drawers four lists have steps of 1.3 to 1.7 and .2, letters round two rooms 2.2 or more."""


def with_keys(places: Sequence[Placed]) -> list[Placed]:
    """The numbers, those of a key as overalls of any of the walls, those lettered round the room without named role."""
    letters = [
        found[1].upper() if (found := _ENTRY.fullmatch("".join(p.text.label.split()))) else "" for p in places
    ]
    row = _row(set(letters))
    if len(row) < _FEWEST:
        return list(places)
    first = [places[letters.index(letter)] for letter in row]
    told = _keyed if _is_list(first) else _lettered
    return [told(p) if letter and letter in row else p for p, letter in zip(places, letters, strict=True)]


def _row(letters: set[str]) -> str:
    """The letters seen of the longest row from A and B on of which most are."""
    if not letters.issuperset(ascii_uppercase[:_FEWEST]):
        return ""
    rows = ["".join(c for c in ascii_uppercase[:n] if c in letters) for n in range(len(ascii_uppercase) + 1)]
    return max((row for n, row in enumerate(rows) if len(row) >= _SEEN * n), key=len)


def _is_list(entries: Sequence[Placed]) -> bool:
    """Whether most entries stand close under the one before, as the figures are read."""
    under = [_is_under(a.box, b.box) for a, b in pairwise(entries)]
    return 2 * sum(under) >= len(under)


def _is_under(above: Box, below: Box) -> bool:
    corner, right, _, down = np.asarray(above)
    step = np.asarray(below)[0] - corner
    along, across = right - corner, down - corner
    height = max(float(np.hypot(*across)), _LEAST)
    aside = float(step @ along) / max(float(np.hypot(*along)), _LEAST)
    return abs(aside) <= _ASIDE * height and 0.0 <= float(step @ across) <= _DOWN * height**2


def _lettered(place: Placed) -> Placed:
    """A number whose letter tells it from the others, and no more."""
    return replace(place, named=None, lettered=True)


def _keyed(place: Placed) -> Placed:
    """A number of a key: its letter names a wall, and no role."""
    rest = sum(p for role, p in place.roles.items() if role is not Role.OVERALL)
    share = (1.0 - _OVERALL) / max(rest, _LEAST)
    roles = {role: p * share for role, p in place.roles.items()} | {Role.OVERALL: _OVERALL}
    stands = tuple(Stand(by.wall, 1.0 / len(place.by), (0.0, 1.0)) for by in place.by)
    return replace(place, roles=roles, stands=stands, named=None, lettered=True, keyed=True)
