"""A small simulated showroom with fixed seeds: what the large one (showroom.py) shows, in seconds."""

from __future__ import annotations

from statistics import median

from scipy.stats import binom

from tests.inspection.showroom import PROMISE, SHIPPED, truth, year


def test_intervals_hold_and_the_bar_goes_up_where_hands_are_hard_to_read() -> None:
    """Four years of 500 jobs; the shipped bar lets five times as much pass as is promised. A few hundred jobs show of
    no bar that it keeps the promise, but that the shipped one breaks it."""
    true = truth("hard")
    assert true[SHIPPED] > 4 * PROMISE
    years = [year(seed, "hard", 500) for seed in range(4)]
    # Intervals at 95 in 100: of four, two outside would be seen once in seventy times.
    assert binom.sf(1, 4, 0.05) < 0.015
    assert sum(not each.always for each in years) <= 1
    held = [value for each in years for value in each.figures.values()]
    assert sum(not value for value in held) <= binom.ppf(0.999, len(held), 0.05)
    assert sum(each.broke for each in years) <= binom.ppf(0.99, 4, 0.1)
    assert all(true[each.bars[-1]] < true[SHIPPED] / 2 for each in years)


def test_evidence_lowers_a_bar_that_is_tighter_than_needed() -> None:
    """A year of 2,500 jobs that are easy to read: the bar comes down, and what it lets pass keeps the promise."""
    one = year(3, "easy", 2500)
    assert one.always
    assert one.bars[0] == SHIPPED > one.bars[-1]
    assert truth("easy")[one.bars[-1]] <= PROMISE


def test_the_bar_settles_at_the_promise_from_above() -> None:
    """Four years of 2,000 jobs each in three ordinary showrooms, of which the shipped bar breaks the promise."""
    true = truth("ordinary")
    assert true[SHIPPED] > PROMISE
    showrooms = [year(seed, "ordinary", 2000, weeks=208) for seed in range(3)]
    assert sum(not each.always for each in showrooms) <= 1
    held = [value for each in showrooms for value in each.figures.values()]
    assert sum(not value for value in held) <= binom.ppf(0.999, len(held), 0.05)
    # No bar that was said to keep the promise had broken it so far.
    assert sum(each.untrue for each in showrooms) <= binom.ppf(0.99, 3, 0.1)
    for each in showrooms:
        highest = each.bars.index(max(each.bars))
        # Once the shipped bar is shown to be too loose it rises, past what is needed; from there it only comes down.
        assert set(each.bars[:highest]) == {SHIPPED}
        assert true[each.bars[highest]] < PROMISE
        assert list(each.bars[highest:]) == sorted(each.bars[highest:], reverse=True)
    # What the bars let pass in the end is near the promise: one is drawn at a time, and some lie a little beyond it.
    assert 0.75 * PROMISE < median(true[each.bars[-1]] for each in showrooms) <= PROMISE
