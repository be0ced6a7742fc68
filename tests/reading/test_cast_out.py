"""A number that looks like a section of a wall is told to be something else only where that is much likelier."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from intake.domain.sketch.meaning import Meaning
from intake.domain.sketch.what_numbers_measure import _first
from intake.model.reading import Alternative, Role, Sighting


def looks(like: Role, chance: float) -> Sighting:
    return Sighting((Alternative("120", 0.99),), {like: chance, Role.SILL: 1.0 - chance})


@pytest.mark.parametrize("like", [Role.SECTION, Role.OPENING])
@pytest.mark.parametrize(
    ("chance", "weights", "along"),
    [
        (0.95, (6.0, 4.0), True),
        (0.95, (4.0, 6.0), True),
        (0.95, (7.0, 3.0), False),
        (0.85, (6.0, 4.0), False),
    ],
)
def test_it_is_one_where_that_is_fairly_likely(
    like: Role, chance: float, weights: tuple[float, float], along: bool
) -> None:
    """Two states of one number: a sill in the first, a section in the other."""
    offered = [[Meaning(0, 1200.0, role, 0, None, None, 0.0) for role in (Role.SILL, Role.SECTION)]]
    search: Any = SimpleNamespace(offered=offered)
    states = np.array([[0], [1]])
    assert _first(search, [looks(like, chance)], states, np.array(weights)) == ((1,) if along else (0,))


def test_of_two_that_are_not_fairly_likely_together_the_likeliest_state_stays() -> None:
    """Each is a section in .4 of the weight, but never both: then nothing is gained by asking for both."""
    offered = [[Meaning(0, 1200.0, r, 0, None, None, 0.0) for r in (Role.SILL, Role.SECTION)]] * 2
    search: Any = SimpleNamespace(offered=offered)
    states, weights = np.array([[0, 0], [1, 0], [0, 1]]), np.array([2.0, 4.0, 4.0])
    found = _first(search, [looks(Role.SECTION, 0.95)] * 2, states, weights)
    assert found == (0, 0)
