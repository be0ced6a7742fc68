"""Overalls in a key: "A = 276", "B = 305" under one another in a corner of the sheet, each letter again at its wall,
mostly in a ring. Which wall a letter is of is left to the sums; that these are walls' lengths the key itself says."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from string import ascii_uppercase

from intake.model.reading import Role, Stand
from intake.reading.numbers import Placed

_ENTRY = re.compile(r"\(?([A-Za-z])\)?[=:]")
_FEWEST = 2
"""So many letters in a row from A on make a key: one alone is another letter that people write, "H = 240"."""
_OVERALL = 0.9
"""How often a number of a key is a wall's overall (judgement)."""
_LEAST = 1e-9
"""A guard against division by 0."""


def with_keys(places: Sequence[Placed]) -> list[Placed]:
    """The numbers, those of a key as overalls of any of the walls."""
    letters = [
        found[1].upper() if (found := _ENTRY.fullmatch("".join(p.text.label.split()))) else "" for p in places
    ]
    count = next(n for n, letter in enumerate((*ascii_uppercase, "")) if letter not in letters or not letter)
    if count < _FEWEST:
        return list(places)
    key = set(ascii_uppercase[:count])
    return [_keyed(p) if letter in key else p for p, letter in zip(places, letters, strict=True)]


def _keyed(place: Placed) -> Placed:
    """A number of a key: its letter names a wall, and no role."""
    rest = sum(p for role, p in place.roles.items() if role is not Role.OVERALL)
    share = (1.0 - _OVERALL) / max(rest, _LEAST)
    roles = {role: p * share for role, p in place.roles.items()} | {Role.OVERALL: _OVERALL}
    stands = tuple(Stand(by.wall, 1.0 / len(place.by), (0.0, 1.0)) for by in place.by)
    return replace(place, roles=roles, stands=stands, named=None, keyed=True)
