"""A small simulated showroom with fixed seeds: what the large one (showroom.py) shows, in seconds."""

from __future__ import annotations

import numpy as np
from scipy.stats import binom

from tests.inspection.showroom import PROMISE, SHIPPED, truth, year


def test_intervals_hold_and_the_bar_comes_to_keep_the_promise() -> None:
    """Eight years of 600 jobs of a showroom whose hands are hard to read: the shipped bar lets five times as much pass
    as is promised."""
    true = truth("hard")
    assert true[SHIPPED] > 3 * PROMISE
    years = [year(seed, "hard", 600) for seed in range(8)]
    # Intervals at 95 in 100: of eight, three outside would be seen once in some hundred and seventy times.
    assert binom.sf(2, 8, 0.05) < 0.006
    assert sum(not each.always for each in years) <= 2
    held = [value for each in years for value in each.figures.values()]
    assert sum(not value for value in held) <= binom.ppf(0.999, len(held), 0.05)
    assert sum(each.broke for each in years) <= binom.ppf(0.99, 8, 0.1)
    passed = [true[each.bars[-1]] for each in years]
    assert np.median(passed) <= PROMISE
    assert all(each.bars[-1] > SHIPPED for each in years)


def test_evidence_lowers_a_bar_that_is_tighter_than_needed() -> None:
    """Three years of 2,500 jobs that are easy to read: the bar comes down in most, and what it lets pass stays within
    the promise."""
    years = [year(seed, "easy", 2500) for seed in (1, 2, 3)]
    assert all(each.always for each in years)
    assert sum(each.bars[-1] < SHIPPED for each in years) >= 2
    assert all(truth("easy")[each.bars[-1]] <= PROMISE for each in years)
