"""At which wall a fixed thing or an opening's height is, by what is drawn round its number: a chance for each wall.

Where the number stands, the thing drawn nearest and the number's own dimension line make one guess; each leader makes
another, which counts for more the more it looks like one. Numbers of one label are of one thing and share their guess.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

_Floats = NDArray[np.float64]
_LEAST_ODDS, _NEVER = 1e-4, 1e-4
"""No wall is less likely by where the number stands, and nothing is of a wall more surely than all but this."""
_DEEP, _HALF_HIGH = 0.2, 0.02
"""In diagonals of the room; half a number's height is no depth."""
_FAR = 0.3
"""A wall further than this from a thing counts as so far, in diagonals of the room."""
_FREE = 0.03
"""So far off all walls, in diagonals, a thing stands free."""


class Led(NamedTuple):
    """A stroke that may be a leader: `marks` are what tells (its gap, the log of its length, its head and whether it
    passes by; leaders.Leader), `apart` how far each wall lies from its end, in diagonals of the room."""

    marks: tuple[float, float, float, float]
    apart: _Floats


@dataclass(frozen=True)
class Surroundings:
    """What is drawn round one number. All lengths are in diagonals of the room, all arrays a number a wall.

    `label` is the line of writing that the number is part of. `odds` are those of each wall by where the number stands,
    `of_wall` the sorter's chance to be of any, `depth` how deep in the room it stands, `apart` how far each wall is.
    `thing` is how far the walls lie on average from the thing drawn nearest to the label, None where there is none, and
    `free` how far that stands off all walls where the label is in it. `line` is how far the number's own dimension line
    lies from the walls that it runs along, infinite for the others.
    """

    label: int
    odds: _Floats
    of_wall: float
    depth: float
    apart: _Floats
    thing: _Floats | None
    free: float
    line: _Floats
    leaders: tuple[Led, ...]


class AtAWall(NamedTuple):
    """How the chances of the walls follow: the powers of the odds, and what a diagonal to the number, to the thing and
    to the line costs, `along` what it tells that the line runs along a wall at all; the log odds to be of no wall, by
    themselves, by those of the sorter, by the depth, and where the thing stands free; the log odds of a leader."""

    odds: float
    apart: float
    thing: float
    along: float
    line: float
    none: float
    by_sorter: float
    by_depth: float
    by_free: float
    leader: float


class Leads(NamedTuple):
    """What tells a leader: its marks; and what a diagonal from its end to a wall costs."""

    gap: float
    length: float
    head: float
    passing: float
    end: float


LOST = 0.001
"""How often what a leader leads to is of no wall."""
THING = AtAWall(0.29, 5.33, 16.7, 3.04, 6.62, -4.27, -0.915, 31.8, 2.18, 0.184)
HEIGHT = AtAWall(0.636, 5.08, 0.0, 0.0, 0.0, -0.321, -0.959, 1.93, 0.0, -0.324)
LEADS = Leads(-6.81, 1.1, 1.47, -1.2, 80.8)
"""Fitted by `python -m fixtures.training.at_walls DIR` to 877 and 440 numbers of 233 crowded validation sheets (seeds
51000 to 51239)."""


def shared(some: Sequence[Surroundings], fit: AtAWall, leads: Leads = LEADS) -> list[_Floats]:
    """Of each number the chances of the walls and, last, of none; what is of one label is of one thing."""
    each = [_shares(one, fit, leads) for one in some]
    by_label: dict[int, list[_Floats]] = {}
    for one, shares in zip(some, each, strict=True):
        by_label.setdefault(one.label, []).append(shares)
    means: Mapping[int, _Floats] = {label: np.mean(found, axis=0) for label, found in by_label.items()}
    return [means[one.label] for one in some]


def _shares(one: Surroundings, fit: AtAWall, leads: Leads) -> _Floats:
    guesses, weights = [_by_place(one, fit)], [1.0]
    for led in one.leaders:
        guesses.append(np.append((1.0 - LOST) * _softmax(-leads.end * led.apart), LOST))
        weights.append(float(np.exp(fit.leader + np.dot(leads[:4], led.marks))))
    return np.asarray(np.average(guesses, axis=0, weights=weights))


def _by_place(one: Surroundings, fit: AtAWall) -> _Floats:
    """What the place of the number, the thing nearest and its dimension line say."""
    logs = fit.odds * np.log(np.maximum(one.odds, _LEAST_ODDS)) - fit.apart * one.apart
    if one.thing is not None:
        logs = logs - fit.thing * np.minimum(one.thing, _FAR)
    logs = logs + np.where(np.isfinite(one.line), fit.along - fit.line * np.minimum(one.line, 1.0), 0.0)
    sure = min(max(one.of_wall, _NEVER), 1.0 - _NEVER)
    depth = min(max(one.depth - _HALF_HIGH, 0.0), _DEEP)
    told = fit.none + fit.by_sorter * np.log(sure / (1.0 - sure)) + fit.by_depth * depth
    none = 1.0 / (1.0 + np.exp(-told - fit.by_free * min(one.free / _FREE, 1.0)))
    return np.append((1.0 - none) * _softmax(logs), none)


def _softmax(logs: _Floats) -> _Floats:
    powers = np.exp(logs - logs.max())
    return np.asarray(powers / powers.sum())
