"""How many of the numbers accepted here are wrong, by lots: limits that hold however often they are looked at.

Each accepted number is looked at with a chance of its own, its share, that the program drew lots by; which are wrong
is taken as given, whatever hands they came from. For a wrong number of share s the factor (1 - c S / s) / (1 - c), S
being 1 where it was drawn, has the expectation 1 for every c up to the least share; the product over all K wrong
numbers so far is a non-negative martingale, which exceeds 1 / doubt with a chance of at most doubt, ever (Ville
1939). So the K for which it does are refuted: the upper limit. With -c in place of c, the lower one. The mean over
several c is such a martingale too. This is betting against a sampling design: Waudby-Smith and Ramdas, Estimating
means of bounded random variables by betting, J. R. Stat. Soc. B 86 (2024); for audits, Waudby-Smith, Stark and
Ramdas, RiLACS (2021); its ancestor is the sequential probability ratio test (Wald, Ann. Math. Stat. 16, 1945). All
from memory; tests/inspection checks the limits against SciPy's exact binomial ones and by drawing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv

from intake.model.inspection import Shares

Floats = NDArray[np.float64]
FLOOR = 0.05
"""The least share that any number is ever looked at with; fixed beforehand, as the upper limit needs it."""
DOUBT = 0.05
"""The chance that an interval does not hold."""
_UNDER = FLOOR * np.array([0.02, 0.04, 0.08, 0.13, 0.2, 0.3, 0.45, 0.6, 0.8, 0.9999])
_UNDER_WEIGHTS = np.array([0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.46])
"""The bets that are made at once; most on few wrong ones."""
_OVER = np.array([0.005, 0.01, 0.02, 0.04, 0.08, 0.16, 0.4, 1.0, 4.0])
_OVER_WEIGHTS = np.full(9, 1 / 9)


def most_wrong(shares: Sequence[float] | Floats, doubt: float) -> float:
    """The upper limit of how many are wrong, where those with these shares were drawn and found wrong."""
    with np.errstate(divide="ignore"):
        drawn = _summed(np.log1p(-_UNDER[:, None] / _row(shares)))
    return _first(lambda k: _log_mean(drawn - k * np.log1p(-_UNDER), _UNDER_WEIGHTS) >= -np.log(doubt))


def least_wrong(shares: Sequence[float] | Floats, doubt: float) -> float:
    """The lower limit of how many are wrong."""
    drawn = _summed(np.log1p(_OVER[:, None] / _row(shares)))
    limit = _first(lambda k: _log_mean(drawn - k * np.log1p(_OVER), _OVER_WEIGHTS) < -np.log(doubt))
    return max(limit, float(len(shares)))


def _row(shares: Sequence[float] | Floats) -> NDArray[np.float64]:
    return np.asarray(shares, float)[None, :]


def _summed(logs: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(logs.sum(axis=1))


def _log_mean(logs: NDArray[np.float64], weights: NDArray[np.float64]) -> float:
    return float(np.logaddexp.reduce(logs + np.log(weights)))


TO_WITHIN = 0.01
"""How near to its limit a bound is sought."""


def _first(reached: Callable[[float], bool]) -> float:
    """The least number from 0 on, to a hundredth, at which a test that goes on holding begins to hold."""
    low, high = 0.0, 1.0
    if reached(low):
        return low
    while not reached(high):
        low, high = high, 2 * high
    while high - low > TO_WITHIN:
        middle = (low + high) / 2
        low, high = (low, middle) if reached(middle) else (middle, high)
    return high


def looks_needed(share: float, promise: float, doubt: float = 0.1) -> float:
    """How many looks it takes, in the mean, to show that a share of wrong numbers lies on its side of the promise, by
    the best of all sequential tests with this doubt (Wald, Ann. Math. Stat. 16, 1945: the sample number that the log of
    the likelihood ratio expects); no plan of looks that is drawn by lot needs fewer."""
    if share == promise:
        return math.inf
    gained = (1 - share) * math.log((1 - share) / (1 - promise))
    return math.log(1 / doubt) / (gained + (share * math.log(share / promise) if share else 0.0))


@dataclass(frozen=True)
class Rate:
    """A share with its interval, all from 0 to 1; `seen` of `of` is what was counted. None where nothing was."""

    seen: int
    of: int
    estimate: float | None
    lower: float
    upper: float


def proportion(seen: int, of: int, doubt: float = DOUBT) -> Rate:
    """A share counted whole, with the limits of Clopper and Pearson (Biometrika 26, 1934)."""
    if not of:
        return Rate(0, 0, None, 0.0, 1.0)
    lower = float(betaincinv(seen, of - seen + 1, doubt / 2)) if seen else 0.0
    upper = float(betaincinv(seen + 1, of - seen, 1 - doubt / 2)) if seen < of else 1.0
    return Rate(seen, of, seen / of, lower, upper)


def proportion_by_job(counted: Shares, doubt: float = DOUBT) -> Rate:
    """A share counted over jobs: what one customer writes is alike, so that numbers of a few hands tell less than as
    many of many. The limits are those of Clopper and Pearson at the effective size, the variance of the ratio being
    taken between jobs (Korn and Graubard, Survey Methodology 24, 1998; from memory)."""
    seen, of, jobs = counted.seen, counted.of, counted.jobs
    whole = proportion(seen, of, doubt)
    ratio = whole.estimate
    if ratio is None or not 0 < ratio < 1 or jobs < 2:
        return whole
    squares = counted.seen_seen - 2 * ratio * counted.seen_of + ratio**2 * counted.of_of
    apart = squares * jobs / (jobs - 1) / of**2
    effective = min(ratio * (1 - ratio) / apart, float(of)) if apart > 0 else float(of)
    events = ratio * effective
    lower = float(betaincinv(events, effective - events + 1, doubt / 2))
    upper = float(betaincinv(events + 1, effective - events, 1 - doubt / 2))
    return Rate(seen, of, ratio, lower, upper)


@dataclass(frozen=True)
class Silent:
    """How many accepted numbers are wrong. `checked` were looked at, `wrong` of them wrong, `untold` neither; `among`
    is how many were accepted and had lots drawn. `estimate`, `lower` and `upper` are shares of these (0 to 1);
    `slips` of the `checked` first looks were the designer's own."""

    checked: int
    wrong: int
    untold: int
    among: int
    estimate: float | None
    lower: float
    upper: float
    slips: int


def silent(
    wrong: Sequence[float] | Floats,
    untold: Sequence[float] | Floats,
    checked: int,
    among: int,
    slips: int,
    doubt: float = DOUBT,
    one_sided: bool = False,
    slipped: tuple[int, int] | None = None,
) -> Silent:
    """The share of wrong ones among `among` accepted numbers, where looks at `checked` found those with the shares
    `wrong` wrong and could not tell those with the shares `untold`, which the upper limit counts as wrong.

    The designers' own slips: two in a row make a right reading wrong, and either of two may hide a wrong one. Their
    rate e is bounded by Clopper and Pearson, from `slipped` (so many slips of so many looked at) where more numbers
    than these tell it; the limits allow for e squared of the right ones and for 2 e of the wrong. One-sided, the whole
    doubt is spent on the upper limit.
    """
    if not among:
        return Silent(0, 0, 0, 0, None, 0.0, 1.0, 0)
    side = doubt if one_sided else doubt / 2
    slip = proportion(*(slipped or (slips, checked)), doubt).upper
    hidden = min(2 * slip, 0.5)
    least = max(0.0, least_wrong(wrong, side) - among * slip**2)
    most = most_wrong(np.concatenate([wrong, untold]), side) / (1 - hidden)
    estimate = float((1 / np.asarray(wrong, float)).sum()) / among if checked else None
    return Silent(
        checked,
        len(wrong),
        len(untold),
        among,
        None if estimate is None else min(estimate, 1.0),
        min(least / among, 1.0),
        min(most / among, 1.0),
        slips,
    )
