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
_BEYOND = 2
"""A row goes on beyond one letter that is misread, or left out as I or J often are, where so many behind it are seen:
an H or a D a letter further is a height or a door (judgement)."""
_OVERALL = 0.9
"""How often a number of a key is a wall's overall (judgement)."""
_LEAST = 1e-9
"""A guard against division by 0."""


_DOWN, _ASIDE = 2.5, 2.0
"""Entries of a list stand at most so far under one another and out of line, in heights of their figures: on 450 sheets
of nine drawers four lists have steps of 1.3 to 1.7 and .2, letters round two rooms 2.2 or more."""
_ONE_LINE, _GAP = 0.5, 4.0
"""Entries of a list in one line are so little out of it, and so far apart, the next letter between (by eye)."""


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
    """The letters seen of the row from A and B on: it goes on beyond one that is not seen where the next two are."""
    if not letters.issuperset(ascii_uppercase[:_FEWEST]):
        return ""
    at = _FEWEST
    while at < len(ascii_uppercase):
        here, beyond = ascii_uppercase[at], set(ascii_uppercase[at + 1 : at + 1 + _BEYOND])
        if here not in letters and not (len(beyond) == _BEYOND and beyond <= letters):
            break
        at += 1
    return "".join(c for c in ascii_uppercase[:at] if c in letters)


def _is_list(entries: Sequence[Placed]) -> bool:
    """Whether most entries stand close under the one before or behind it in one line, as the figures are read."""
    near = [_is_under(a.box, b.box) or _is_behind(a.box, b.box) for a, b in pairwise(entries)]
    return 2 * sum(near) >= len(near)


def _is_under(above: Box, below: Box) -> bool:
    aside, down, _ = _step(above, below)
    return abs(aside) <= _ASIDE and 0.0 <= down <= _DOWN


def _is_behind(before: Box, behind: Box) -> bool:
    aside, down, wide = _step(before, behind)
    return abs(down) < _ONE_LINE and 0.0 < aside - wide <= _GAP


def _step(first: Box, second: Box) -> tuple[float, float, float]:
    """From one number to the other along its line and across it, and how wide it is; in its heights."""
    corner, right, _, foot = np.asarray(first)
    along, across, step = right - corner, foot - corner, np.asarray(second)[0] - corner
    wide, high = (max(float(np.hypot(*v)), _LEAST) for v in (along, across))
    return float(step @ along) / (wide * high), float(step @ across) / high**2, wide / high


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
