"""Least squares against published level nets, a published outlier, and SciPy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from intake.domain.room.adjusting import (
    Adjustment,
    Array,
    adjust,
    adjust_curved,
    closure_limit,
    critical_value,
    tau_critical,
    variance_bounds,
)
from tests.room.published import (
    COMPASS_FOUR_COURSES,
    GAMA_LOOP_TWICE,
    GHILANI_WOLF_LEVELS,
    MAHUN_LEVELS,
    NIST_OUTLIER,
    PURDUE_ASM215,
    STRANG_BORRE_LEVELS,
)


def level_net(fixed, observed, unknown: list[str], sigma: Array) -> Adjustment:
    """A level net as observation equations: height of the end minus height of the start."""
    design = np.zeros((len(observed), len(unknown)))
    values = np.zeros(len(observed))
    for row, (start, end, difference, *_) in enumerate(observed):
        values[row] = difference
        for point, sign in ((end, 1.0), (start, -1.0)):
            if point in fixed:
                values[row] -= sign * fixed[point]
            else:
                design[row, unknown.index(point)] = sign
    return adjust(design, values, sigma)


def test_mahun_level_net_unweighted() -> None:
    net, want = MAHUN_LEVELS, MAHUN_LEVELS["plain"]
    found = level_net(net["fixed"], net["observed"], ["Q", "R"], np.ones(8))
    assert found.unknowns == pytest.approx([want["Q"], want["R"]], abs=net["tolerance"])
    # The bench marks are worked back from the published answers, so the scatter is known to the tolerance only.
    assert found.unit_sd == pytest.approx(want["S0"], abs=net["tolerance"])
    assert found.unit_sd * found.unknown_sd == pytest.approx([want["sdQ"], want["sdR"]], abs=net["tolerance"])


def test_mahun_level_net_weighted_by_number_of_setups() -> None:
    """Weights 12 / set-ups: in proportion to the inverse of the set-ups, made whole (12 is their least common
    multiple)."""
    net, want = MAHUN_LEVELS, MAHUN_LEVELS["weighted"]
    setups = np.array([o[3] for o in net["observed"]], dtype=float)
    found = level_net(net["fixed"], net["observed"], ["Q", "R"], np.sqrt(setups / 12.0))
    assert found.unknowns == pytest.approx([want["Q"], want["R"]], abs=net["tolerance"])
    assert found.unit_sd == pytest.approx(want["S0"], abs=0.0006)


def test_strang_and_borre_level_net_with_chi_square() -> None:
    net = STRANG_BORRE_LEVELS
    km = np.array([o[3] for o in net["observed"]])
    found = level_net(net["fixed"], net["observed"], ["E", "F"], net["sigma_per_sqrt_km"] * np.sqrt(km))
    assert found.sum_of_squares == pytest.approx(net["sum_of_squares"], abs=0.0015)
    assert found.unit_sd == pytest.approx(net["error_factor"], abs=0.0006)
    assert variance_bounds(3) == pytest.approx(net["bounds"], abs=0.0006)
    assert found.unknowns == pytest.approx(list(net["heights"].values()), abs=0.0001)
    assert found.redundancy == pytest.approx(net["redundancy"], abs=0.0006)
    assert np.abs(found.standardised) == pytest.approx(net["standardised"], abs=0.001)
    assert found.freedom == pytest.approx(3.0)


def test_gnu_gama_loop_measured_there_and_back() -> None:
    net = GAMA_LOOP_TWICE
    found = level_net(net["fixed"], net["observed"], ["4", "3", "2"], np.full(8, net["sigma"]))
    assert found.unknowns == pytest.approx(list(net["heights"].values()), abs=0.00001)
    assert found.unknown_sd * 1000.0 == pytest.approx(list(net["sd_mm"].values()), abs=0.06)
    assert found.sum_of_squares * 25.0 == pytest.approx(net["sum_of_squares_mm2"], abs=0.01)
    assert found.unit_sd * 5.0 == pytest.approx(net["m0_mm"], abs=0.005)
    assert round(found.freedom) == net["redundancy"]
    number, size = net["largest"]
    normalised = np.abs(found.standardised)
    assert int(np.argmax(normalised)) + 1 == number
    assert normalised.max() == pytest.approx(size, abs=0.005)
    assert normalised.max() < net["critical"]


def test_ghilani_and_wolf_level_net() -> None:
    net = GHILANI_WOLF_LEVELS
    found = level_net(net["fixed"], net["observed"], ["A", "B", "C"], np.ones(7))
    assert found.unknowns == pytest.approx(list(net["heights"].values()), abs=0.0006)
    assert found.unit_sd == pytest.approx(net["S0"], abs=0.0006)


@pytest.mark.parametrize("axis", ["lat", "dep"])
def test_least_squares_with_variances_as_the_lengths_is_the_published_compass_rule(axis: str) -> None:
    """Bowditch's rule is the least-squares answer where a course's variance grows with its length (known identity)."""
    net = COMPASS_FOUR_COURSES
    closure = net["closure"][0 if axis == "lat" else 1]
    corrections = _spread_over_courses(np.array(net["length"]), closure)
    assert np.abs(corrections) == pytest.approx(net[f"correction_{axis}"], abs=0.0001)
    assert corrections.sum() == pytest.approx(-closure)


def test_purdue_traverse_by_the_compass_rule() -> None:
    net = PURDUE_ASM215
    lengths = np.array(net["length"])
    lat, dep = np.array(net["lat"]), np.array(net["dep"])
    lat = lat + _spread_over_courses(lengths, lat.sum())
    dep = dep + _spread_over_courses(lengths, dep.sum())
    north, east = 10000.0 + np.cumsum(lat), 10000.0 + np.cumsum(dep)
    for n, (want_north, want_east) in enumerate(net["coords_NE"][1:]):
        assert north[n] == pytest.approx(want_north, abs=net["tolerance"])
        assert east[n] == pytest.approx(want_east, abs=net["tolerance"])


def _spread_over_courses(lengths: Array, closure: float) -> Array:
    """Corrections of a closed chain's courses: all but the last are unknowns, the last closes the sum."""
    count = len(lengths)
    observed = np.full(count, closure / count)
    design = np.vstack([np.eye(count - 1), -np.ones((1, count - 1))])
    return adjust(design, observed, np.sqrt(lengths)).residuals


def test_a_single_loop_of_equal_weights_has_redundancy_one_over_n() -> None:
    """r = 1 / n (standard theory, from memory)."""
    count = 5
    design = np.vstack([np.eye(count - 1), -np.ones((1, count - 1))])
    found = adjust(design, np.zeros(count), np.full(count, 5.0))
    assert found.redundancy == pytest.approx([1 / count] * count)
    assert found.detectable == pytest.approx([4.132 * 5.0 * np.sqrt(count)] * count)


def test_one_outlier_by_the_tau_test() -> None:
    """A mean of equal observations is the simplest adjustment; Grubbs' G is the largest residual over s."""
    values = np.array(NIST_OUTLIER["values"])
    found = adjust(np.ones((8, 1)), values, np.ones(8))
    largest = np.abs(found.residuals).max() / found.unit_sd
    assert largest == pytest.approx(NIST_OUTLIER["G"], abs=0.0002)
    tau = np.abs(found.standardised).max() / found.unit_sd
    assert tau == pytest.approx(NIST_OUTLIER["tau"], abs=0.0002)
    critical = tau_critical(7, 0.05 / 8)
    assert critical == pytest.approx(NIST_OUTLIER["tau_critical_two_sided_05_bonferroni"], abs=0.0002)
    assert tau > critical
    # Grubbs' one-sided 5 % critical value is tau at 10 % / n two-sided times sqrt((n - 1) / n).
    cauchy = np.sqrt(2.0) * np.cos(np.pi * 0.05 / 2.0)
    assert tau_critical(2, 0.05) == pytest.approx(cauchy), "t with one degree of freedom is Cauchy's"
    grubbs = tau_critical(7, 0.10 / 8) * np.sqrt(7 / 8)
    assert grubbs == pytest.approx(NIST_OUTLIER["G_critical_one_sided_05"], abs=0.001)


def test_closure_limits_are_the_trade_tolerance_explained() -> None:
    """3.29 sigma sqrt n with sigma 0.5 cm: 2.3, 2.8, 3.3, 3.7, 4.0 cm for two to six readings (recomputed)."""
    limits = [closure_limit([0.5] * n) for n in range(2, 7)]
    assert [round(v, 1) for v in limits] == [2.3, 2.8, 3.3, 3.7, 4.0]


def test_critical_value_keeps_a_room_of_many_sums_from_false_alarms() -> None:
    assert critical_value(1) == pytest.approx(3.29)
    assert critical_value(5) == pytest.approx(3.29, abs=0.001)
    assert critical_value(50) == pytest.approx(3.891, abs=0.001)  # normal quantile of 1 - 0.005 / 100, tables


nets = st.integers(0, 10_000)


@given(nets)
def test_scipy_least_squares_agrees(seed: int) -> None:
    rng = np.random.default_rng(seed)
    design = rng.normal(size=(9, 4))
    observed, sigma = rng.normal(size=9) * 100, rng.uniform(1, 10, size=9)
    found = adjust(design, observed, sigma)
    weighed = (
        design / sigma[:, None]
    )  # given exactly: by differences the oracle itself is off by 1e-5 now and then
    oracle = least_squares(
        lambda x: weighed @ x - observed / sigma,
        np.zeros(4),
        lambda _: weighed,
        xtol=1e-14,
        ftol=1e-14,
        gtol=1e-14,
    )
    assert found.unknowns == pytest.approx(oracle.x, rel=1e-5, abs=1e-4)
    assert found.sum_of_squares == pytest.approx(2 * oracle.cost, rel=1e-8)
    assert found.redundancy.sum() == pytest.approx(5.0)


@given(nets)
def test_scipy_agrees_on_a_point_fixed_by_distances(seed: int) -> None:
    rng = np.random.default_rng(seed)
    stations, true = rng.uniform(0, 4000, size=(5, 2)), rng.uniform(500, 3500, size=2)
    observed = np.hypot(*(stations - true).T) + rng.normal(size=5) * 5
    sigma = np.full(5, 5.0)

    def model(x: Array) -> tuple[Array, Array]:
        away = x - stations
        distance = np.maximum(np.hypot(*away.T), 1e-9)
        return distance, away / distance[:, None]

    found = adjust_curved(model, true + rng.normal(size=2) * 100, observed, sigma)
    oracle = least_squares(
        lambda x: (model(x)[0] - observed) / sigma, true, xtol=1e-12, ftol=1e-12, gtol=1e-12
    )
    assert found.unknowns == pytest.approx(oracle.x, abs=0.05)
    assert found.sum_of_squares == pytest.approx(2 * oracle.cost, abs=1e-3)


@given(nets)
def test_one_more_observation_never_raises_an_adjusted_variance(seed: int) -> None:
    rng = np.random.default_rng(seed)
    design, sigma = rng.normal(size=(8, 3)), rng.uniform(1, 10, size=8)
    observed = rng.normal(size=8)
    fewer = adjust(design[:-1], observed[:-1], sigma[:-1])
    more = adjust(design, observed, sigma)
    assert np.all(more.unknown_sd <= fewer.unknown_sd * (1 + 1e-9))
    assert np.all(more.adjusted_sd[:-1] <= fewer.adjusted_sd * (1 + 1e-9))
