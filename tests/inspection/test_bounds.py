"""The limits of silent errors: against SciPy's exact binomial ones, and by drawing with looks at any time."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import beta, binom, binomtest, entropy

from intake.domain.inspection.bounds import (
    FLOOR,
    Rate,
    Silent,
    least_wrong,
    looks_needed,
    most_wrong,
    proportion,
    proportion_by_job,
    silent,
)
from intake.model.inspection import Shares


@pytest.mark.parametrize("share", [FLOOR, 0.1, 0.25])
@pytest.mark.parametrize("found", [0, 1, 4, 20])
def test_the_limits_contain_those_of_one_look_and_are_not_much_wider(share: float, found: int) -> None:
    """Of K wrong numbers each drawn with the share s, binomially many are found: the exact limits of K for one look at
    a fixed time are where SciPy's distribution function crosses the doubt. Limits that hold at any time are wider."""
    doubt = 0.025
    wrong = np.arange(found, 6000)
    exact_most = wrong[binom.cdf(found, wrong, share) > doubt][-1]
    exact_least = wrong[binom.sf(found - 1, wrong, share) > doubt][0]
    most, least = most_wrong([share] * found, doubt), least_wrong([share] * found, doubt)
    assert exact_most <= most
    assert least <= exact_least
    # At the least share the price of looking at any time is about a half; the more is drawn the more it is.
    assert most < 2.8 * exact_most + 90


def test_a_wrong_number_more_moves_both_limits_up() -> None:
    limits = [(least_wrong([0.1] * n, 0.05), most_wrong([0.1] * n, 0.05)) for n in range(30)]
    assert limits == sorted(limits)
    assert all(low <= n / 0.1 <= high for n, (low, high) in enumerate(limits))


def test_the_limits_hold_at_every_look_at_once_for_hands_that_err_in_bursts() -> None:
    """Two hundred showrooms with 3,000 accepted numbers each, wrong ones bunched in few hands, shares that change with
    what was found: in at most one in twenty may the truth ever leave its interval at any of sixty looks."""
    rng = np.random.default_rng(5)
    left = 0
    for _ in range(200):
        rate = np.repeat(rng.choice([0.001, 0.08], 250, p=[0.93, 0.07]), 12)
        wrong = rng.random(len(rate)) < rate
        found: list[float] = []
        out = False
        for start in range(0, len(wrong), 50):
            share = max(FLOOR, 0.2 / (1 + len(found)))
            batch = wrong[start : start + 50]
            found += [share] * int((rng.random(batch.sum()) < share).sum())
            truth = int(wrong[: start + 50].sum())
            out |= not least_wrong(found, 0.025) <= truth <= most_wrong(found, 0.025)
        left += out
    assert left <= binom.ppf(0.99, 200, 0.05)


def test_shares_counted_whole_have_scipys_exact_interval() -> None:
    for seen, of in ((0, 10), (2, 1204), (50, 50), (7, 9)):
        exact = binomtest(seen, of).proportion_ci(0.95, "exact")
        found = proportion(seen, of)
        assert (found.lower, found.upper) == pytest.approx((exact.low, exact.high))
    assert proportion(0, 0) == Rate(0, 0, None, 0.0, 1.0), (
        "of nothing nothing is seen, and it may be anything"
    )


def test_the_limits_of_jobs_are_the_exact_ones_at_the_effective_size() -> None:
    """Four customers with ten numbers each; the variance of the ratio between jobs (Korn and Graubard) is taken by its
    definition, the limits at the size that it leaves from SciPy's beta distribution."""
    jobs = [(2, 10), (4, 10), (1, 10), (5, 10)]
    ratio = 12 / 40
    apart = sum((seen - ratio * of) ** 2 for seen, of in jobs) * 4 / 3 / 40**2
    size = ratio * (1 - ratio) / apart
    found = proportion_by_job(Shares.over(jobs), 0.05)
    assert size < 40 and found.estimate == pytest.approx(ratio)
    assert found.lower == pytest.approx(beta.ppf(0.025, ratio * size, (1 - ratio) * size + 1))
    assert found.upper == pytest.approx(beta.ppf(0.975, ratio * size + 1, (1 - ratio) * size))


def test_the_looks_needed_are_the_best_sequential_tests() -> None:
    """Wald 1945: the log of one in the doubt, over what a look tells in the mean, which is SciPy's relative entropy.
    Where nothing is wrong, as many as would be all right by chance as seldom as the doubt."""
    for share in (0.002, 0.05):
        told = entropy([share, 1 - share], [0.01, 0.99])
        assert looks_needed(share, 0.01, 0.1) == pytest.approx(np.log(10) / told)
    assert (1 - 0.01) ** looks_needed(0.0, 0.01, 0.05) == pytest.approx(0.05)
    assert looks_needed(0.01, 0.01) == np.inf


def test_two_slips_in_a_row_make_a_right_number_wrong_and_either_of_two_hides_a_wrong_one() -> None:
    wrong, among = [0.1] * 20, 12_000
    slip = binomtest(50, 1000).proportion_ci(0.95, "exact").high
    found = silent(wrong, [], 1200, among, 0, 0.05, slipped=(50, 1000))
    assert found.upper == pytest.approx(most_wrong(wrong, 0.025) / (1 - 2 * slip) / among)
    assert found.lower == pytest.approx(max(0.0, least_wrong(wrong, 0.025) / among - slip**2))


def test_designers_slips_widen_the_interval() -> None:
    careful = silent([0.1, 0.1], [], 1200, 12_000, 0)
    careless = silent([0.1, 0.1], [], 1200, 12_000, 60)
    assert careless.upper > careful.upper
    assert careless.lower < careful.lower
    assert careful.lower <= careful.estimate <= careful.upper
    assert careful.estimate == pytest.approx(20 / 12_000)


def test_half_of_the_doubt_is_spent_on_each_limit_and_all_of_it_on_one_alone() -> None:
    """Of designers who hardly ever slip, so that nothing is added for it."""
    wrong, among = [0.1] * 3, 12_000
    both = silent(wrong, [], 10**9, among, 0, 0.05)
    assert both.lower == pytest.approx(least_wrong(wrong, 0.025) / among)
    assert both.upper == pytest.approx(most_wrong(wrong, 0.025) / among)
    one = silent(wrong, [], 10**9, among, 0, 0.05, one_sided=True)
    assert one.upper == pytest.approx(most_wrong(wrong, 0.05) / among)
    assert one.upper < both.upper


def test_what_nobody_could_tell_counts_as_wrong_for_the_upper_limit_alone() -> None:
    told, untold = silent([0.1], [], 500, 5000, 2), silent([0.1], [0.1, 0.1], 500, 5000, 2)
    assert untold.lower == told.lower
    assert untold.upper > told.upper
    assert untold.untold == 2


def test_nothing_looked_at_says_nothing() -> None:
    nothing = silent([], [], 0, 0, 0)
    assert nothing == Silent(0, 0, 0, 0, None, 0.0, 1.0, 0)
    few = silent([], [], 0, 40, 0)
    assert few.estimate is None
    assert few.upper == 1.0


def test_shares_of_jobs_that_are_alike_have_scipys_interval_and_wider_ones_where_they_are_not() -> None:
    """At one number a job the effective size is, but for the n - 1 of a variance, that of the count."""
    alike = proportion_by_job(Shares.over([(1, 1)] * 180 + [(0, 1)] * 20))
    exact = binomtest(180, 200).proportion_ci(0.95, "exact")
    assert (alike.lower, alike.upper) == pytest.approx((exact.low, exact.high), abs=0.002)
    bunched = proportion_by_job(Shares.over([(10, 10)] * 18 + [(0, 10)] * 2))
    assert bunched.lower < exact.low - 0.1
    assert bunched.upper > exact.high
    assert proportion_by_job(Shares()).estimate is None
    assert proportion_by_job(Shares.over([(5, 5)] * 3)) == proportion(15, 15)
    assert proportion_by_job(Shares.over([(0, 5)] * 3)) == proportion(0, 15)
