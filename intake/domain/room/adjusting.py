"""Weighted least squares with its quality figures: what each reading is checked by, and how big a slip would show.

A room whose walls stand at right angles is two independent levelling nets, one an axis, so a published level net is an
exact oracle for this file. Model: l + v = A x, weights P = diag(1 / sigma^2), x = (A'PA)^-1 A'Pl (GNU Gama manual,
adjustment of observations); Qvv = P^-1 - A (A'PA)^-1 A', r_i = (Qvv P)_ii (standard theory, from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import special

Array = NDArray[np.float64]

CRITICAL = 3.29
"""Baarda's critical value of a standardised residual, alpha 0.001 two-sided."""
DETECTABLE = 4.132
"""Non-centrality for alpha 0.001 and power 0.80: 3.291 + 0.842."""
UNCHECKED = 1e-4
"""A redundancy below this is none: what is left is rounding and the weak guesses that keep a net solvable."""


@dataclass(frozen=True)
class Adjustment:
    """Arrays over unknowns (n) or observations (m), in the units of the observations.

    `residuals` are adjusted minus observed. `standardised` and `detectable` are NaN where `redundancy` is none.
    `cofactor` is the covariance of the unknowns at unit variance factor, `residual_cofactor` that of the residuals.
    """

    unknowns: Array
    residuals: Array
    redundancy: Array
    standardised: Array
    detectable: Array
    unknown_sd: Array
    adjusted_sd: Array
    sum_of_squares: float
    freedom: float
    design: Array
    weights: Array
    cofactor: Array
    residual_cofactor: Array

    @property
    def unit_sd(self) -> float:
        """Standard deviation of unit weight a posteriori, sqrt(v'Pv / (m - n)); NaN without redundancy."""
        return float(np.sqrt(self.sum_of_squares / self.freedom)) if self.freedom > 0.5 else float("nan")


def adjust(design: Array, observed: Array, sigma: Array) -> Adjustment:
    """Adjust `observed` (m) with standard deviations `sigma` (m) by the design matrix (m x n) of full column rank.

    Raises numpy.linalg.LinAlgError where the unknowns are not determined: the caller's fault, not the customer's.
    """
    weights = 1.0 / np.square(sigma)
    weighted = design * weights[:, None]
    normal = design.T @ weighted
    cofactor = np.asarray(np.linalg.inv(normal), dtype=np.float64)
    unknowns = cofactor @ (weighted.T @ observed)
    residuals = design @ unknowns - observed
    adjusted_cofactor = design @ cofactor @ design.T
    residual_cofactor = np.diag(np.square(sigma)) - adjusted_cofactor
    redundancy = np.clip(np.diag(residual_cofactor) * weights, 0.0, 1.0)
    return Adjustment(
        unknowns=unknowns,
        residuals=residuals,
        redundancy=redundancy,
        standardised=_over_root(residuals / sigma, redundancy),
        detectable=_over_root(DETECTABLE * sigma, redundancy),
        unknown_sd=np.sqrt(np.diag(cofactor)),
        adjusted_sd=np.sqrt(np.clip(np.diag(adjusted_cofactor), 0.0, None)),
        sum_of_squares=float(np.sum(weights * np.square(residuals))),
        freedom=float(np.sum(redundancy)),
        design=design,
        weights=weights,
        cofactor=cofactor,
        residual_cofactor=residual_cofactor,
    )


def joined(design: Array, observed: Array, sigma: Array, parts: list[NDArray[np.bool_]]) -> Adjustment:
    """The same where observations fall into `parts` (masks over them) that share no unknown, each by itself."""
    found = _empty(design, sigma)
    for rows in parts:
        unknowns = np.any(design[rows] != 0.0, axis=0)
        part = adjust(design[np.ix_(rows, unknowns)], observed[rows], sigma[rows])
        for name in ("unknowns", "unknown_sd"):
            getattr(found, name)[unknowns] = getattr(part, name)
        for name in ("residuals", "redundancy", "standardised", "detectable", "adjusted_sd"):
            getattr(found, name)[rows] = getattr(part, name)
        found.cofactor[np.ix_(unknowns, unknowns)] = part.cofactor
        found.residual_cofactor[np.ix_(rows, rows)] = part.residual_cofactor
    squares = float(np.sum(found.weights * np.square(found.residuals)))
    return replace(found, sum_of_squares=squares, freedom=float(np.sum(found.redundancy)))


def _empty(design: Array, sigma: Array) -> Adjustment:
    count, size = design.shape
    return Adjustment(
        unknowns=np.zeros(size),
        residuals=np.zeros(count),
        redundancy=np.zeros(count),
        standardised=np.zeros(count),
        detectable=np.zeros(count),
        unknown_sd=np.zeros(size),
        adjusted_sd=np.zeros(count),
        sum_of_squares=0.0,
        freedom=0.0,
        design=design,
        weights=1.0 / np.square(sigma),
        cofactor=np.zeros((size, size)),
        residual_cofactor=np.zeros((count, count)),
    )


def _over_root(value: Array, redundancy: Array) -> Array:
    checked = redundancy > UNCHECKED
    safe = np.where(checked, redundancy, 1.0)
    return np.where(checked, value / np.sqrt(safe), np.nan)


LEAST_STEP_MM = 1e-4
"""A step that moves nothing further than this is the last."""


def adjust_curved(
    model: Callable[[Array], tuple[Array, Array]],
    start: Array,
    observed: Array,
    sigma: Array,
    rounds: int = 20,
) -> Adjustment:
    """The same by Gauss-Newton, where `model(x)` gives the computed observations and their design matrix at x.

    `start` must be near enough for the steps to shrink; halves a step that makes the fit worse. The result is that of
    the last linearisation, with the unknowns themselves (not corrections).
    """

    def misfit(at: Array) -> float:
        return float(np.sum(np.square((model(at)[0] - observed) / sigma)))

    x, before = start, misfit(start)
    weights: Array = np.asarray(1.0 / np.square(sigma), dtype=np.float64)
    for _ in range(rounds):
        computed, design = model(x)
        weighted = design * weights[:, None]
        normal, pull = design.T @ weighted, weighted.T @ (observed - computed)
        step = np.asarray(np.linalg.solve(normal, pull), dtype=np.float64)
        step = _damped(misfit, before, x, step)
        x = x + step
        after = misfit(x)
        if np.max(np.abs(step), initial=0.0) < LEAST_STEP_MM or after > before * (1.0 - LEAST_GAIN):
            break
        before = after
    computed, design = model(x)
    # Linearised at the solution: observed - computed + design x is what a linear model would have observed.
    return adjust(design, observed - computed + design @ x, sigma)


LEAST_GAIN = 1e-7
"""A round that lowers the misfit by less, as a share of it, is the last."""


def _damped(misfit: Callable[[Array], float], before: float, x: Array, step: Array) -> Array:
    """The step, halved until the fit is no worse."""
    for _ in range(8):
        if misfit(x + step) <= before:
            break
        step = step / 2.0
    return step


def critical_value(tests: int, alpha: float = 0.005) -> float:
    """The standardised residual that `tests` tests together exceed by chance with probability `alpha` at most
    (Bonferroni), never below Baarda's 3.29."""
    return max(CRITICAL, -float(special.ndtri(alpha / (2 * max(tests, 1)))))


def tau_critical(freedom: int, alpha: float) -> float:
    """Pope's tau, two-sided, for a residual standardised by the variance estimated from the same residuals:
    tau = sqrt(nu) t / sqrt(nu - 1 + t^2), t with nu - 1 degrees of freedom (formula from memory)."""
    if freedom < 2:
        raise ValueError("tau needs two degrees of freedom at least")
    t = -float(special.stdtrit(freedom - 1, alpha / 2))
    return float(np.sqrt(freedom) * t / np.sqrt(freedom - 1 + t * t))


def variance_bounds(freedom: int, alpha: float = 0.05) -> tuple[float, float]:
    """Bounds of the error factor sqrt(v'Pv / nu) that chance keeps with probability 1 - alpha (chi-square test)."""
    low, high = (float(special.chdtri(freedom, p)) for p in (1 - alpha / 2, alpha / 2))
    return float(np.sqrt(low / freedom)), float(np.sqrt(high / freedom))


LEAST_FREEDOM = 3
"""With fewer redundant readings their scatter says too little of how closely somebody measures."""


CARELESS_ALPHA = 0.05
"""Chance that a careful customer is taken for a careless one."""


def careless_factor(adjustment: Adjustment) -> float:
    """By how much deviations are to be scaled where the residuals say that the readings are worse than was assumed: the
    standard deviation of unit weight where it is beyond what chance allows (chi-square, 5 % on that side), else 1."""
    freedom = round(adjustment.freedom)
    if freedom < LEAST_FREEDOM or adjustment.unit_sd <= variance_bounds(freedom, 2.0 * CARELESS_ALPHA)[1]:
        return 1.0
    return adjustment.unit_sd


def scaled(adjustment: Adjustment, factor: float) -> Adjustment:
    """The same with every deviation `factor` times as large; residuals and what is tested by them stay."""
    return replace(
        adjustment,
        cofactor=adjustment.cofactor * factor**2,
        unknown_sd=adjustment.unknown_sd * factor,
        adjusted_sd=adjustment.adjusted_sd * factor,
        detectable=adjustment.detectable * factor,
    )


def closure_limit(sigmas: Array | list[float], critical: float = CRITICAL) -> float:
    """What a sum of readings may miss by: 3.29 sigma sqrt n, with each reading's own sigma, same units as they are."""
    return critical * float(np.sqrt(np.sum(np.square(sigmas))))
