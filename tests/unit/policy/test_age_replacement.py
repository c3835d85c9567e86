import numpy as np
import pytest
from scipy import integrate, optimize

from wearmodel.policy.age_replacement import (
    cost_rate,
    expected_cost_rate,
    flat_band,
    optimal_interval,
    recommended_interval,
    service_multiple,
)
from wearmodel.survival import weibull

TERMS = {"shape": 2.4, "scale": 60_000.0, "planned_cost": 150.0, "failed_cost": 600.0}


def many_cases(count: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(20260701)
    planned = rng.uniform(50.0, 200.0, count)
    return {
        "shape": rng.uniform(1.2, 6.0, count),
        "scale": rng.uniform(1e4, 1e5, count),
        "planned_cost": planned,
        "failed_cost": planned * rng.uniform(1.1, 12.0, count),
    }


def test_cost_rate_against_quadrature() -> None:
    for interval in (5_000.0, 40_000.0, 130_000.0):
        survival = float(weibull.survival(interval, shape=2.4, scale=60_000.0))
        run, _ = integrate.quad(lambda t: np.exp(-((t / 60_000.0) ** 2.4)), 0.0, interval, epsabs=1e-8)
        by_hand = (150.0 * survival + 600.0 * (1.0 - survival)) / run
        assert cost_rate(interval, **TERMS) == pytest.approx(by_hand, rel=1e-10)


def test_running_to_failure_costs_one_failure_a_mean_life() -> None:
    mean = weibull.mean_life(shape=2.4, scale=60_000.0)
    assert cost_rate(np.inf, **TERMS) == pytest.approx(600.0 / mean, rel=1e-12)


def test_interval_of_nothing_costs_without_end() -> None:
    assert np.isinf(expected_cost_rate(1.0, 0.0, planned_cost=1.0, failed_cost=2.0))
    assert np.isinf(cost_rate(0.0, **TERMS))


def test_best_interval_against_brute_force() -> None:
    cases = many_cases(25)
    best = optimal_interval(**cases)
    for row in range(25):
        terms = {name: float(values[row]) for name, values in cases.items()}
        scale = terms["scale"]
        # A grid first: the cost is flat far out, where a minimiser alone may end.
        grid = np.geomspace(1e-3, 6.0, 4_000)
        near = grid[np.argmin(cost_rate(grid * scale, **terms))]
        found = optimize.minimize_scalar(
            lambda u, t=terms, s=scale: float(cost_rate(u * s, **t)) * s,
            bounds=(near / 1.01, near * 1.01),
            method="bounded",
            options={"xatol": 1e-10},
        )
        assert float(cost_rate(best[row], **terms)) * scale <= found.fun * (1.0 + 1e-12)
        if best[row] < 4.0 * scale:
            # A minimiser finds the place to the square root of its precision.
            assert best[row] / scale == pytest.approx(found.x, rel=1e-5)


def test_best_interval_solves_the_optimality_equation() -> None:
    cases = many_cases(10_000)
    best = optimal_interval(**cases)
    law = {"shape": cases["shape"], "scale": cases["scale"]}
    left = weibull.hazard(best, **law) * weibull.integrated_survival(best, **law) + weibull.survival(best, **law)
    right = cases["failed_cost"] / (cases["failed_cost"] - cases["planned_cost"])
    assert best.shape == (10_000,)
    assert left / right == pytest.approx(np.ones(10_000), rel=1e-9)


@pytest.mark.parametrize(("shape", "failed_cost"), [(1.0, 900.0), (0.7, 900.0), (2.5, 150.0), (2.5, 100.0)])
def test_nothing_gained_runs_to_failure(shape: float, failed_cost: float) -> None:
    terms = TERMS | {"shape": shape, "failed_cost": failed_cost}
    assert np.isinf(optimal_interval(**terms))
    assert np.isinf(flat_band(**terms).high)
    assert np.isinf(recommended_interval(**terms, service_interval=15_000.0))
    # Later is cheaper all the way.
    rates = cost_rate(np.geomspace(1_000.0, 1e6, 200), **terms)
    assert np.all(np.diff(rates) <= 1e-12 * rates[:-1])


def test_an_interval_past_any_number_is_running_to_failure() -> None:
    assert np.isinf(optimal_interval(shape=1.001, scale=1.0, planned_cost=1.0, failed_cost=2.0))


def test_flat_band_ends_three_percent_above_the_least_cost() -> None:
    cases = many_cases(2_000)
    band, least = flat_band(**cases), cost_rate(optimal_interval(**cases), **cases)
    assert cost_rate(band.low, **cases) / least == pytest.approx(np.full(2_000, 1.03), rel=1e-9)
    closed = np.isfinite(band.high)
    assert 500 < closed.sum() < 2_000
    assert (cost_rate(band.high, **cases) / least)[closed] == pytest.approx(np.full(closed.sum(), 1.03), rel=1e-9)
    forever = cost_rate(np.full(2_000, np.inf), **cases)
    assert np.all((forever <= 1.03 * least) == ~closed)


def test_flat_band_of_a_part_that_does_not_wear_out() -> None:
    # By hand: shape 1 costs (planned S + failed (1 - S)) / (scale (1 - S)); 3 % above failed / scale.
    band = flat_band(shape=1.0, scale=1.0, planned_cost=1.0, failed_cost=3.0)
    gone = 1.0 / (1.0 + 0.03 * 3.0)
    assert band.low == pytest.approx(-np.log1p(-gone), rel=1e-9)
    assert np.isinf(band.high)


def test_service_multiple_is_the_cheapest_multiple_of_all() -> None:
    cases = many_cases(400)
    best = optimal_interval(**cases)
    found = service_multiple(best, service_interval=5_000.0, **cases)
    multiples = 5_000.0 * np.arange(1, 400)[:, None]
    rates = cost_rate(multiples, **cases)
    cheapest = rates.min(axis=0)
    usable = (cheapest <= 1.03 * cost_rate(best, **cases)) & (best < 1.9e6)
    assert usable.sum() > 100
    assert cost_rate(found[usable], **cases_at(cases, usable)) == pytest.approx(cheapest[usable], rel=1e-12)
    assert np.all(found[usable] % 5_000.0 == 0.0)


def cases_at(cases: dict[str, np.ndarray], rows: np.ndarray) -> dict[str, np.ndarray]:
    return {name: values[rows] for name, values in cases.items()}


def test_no_multiple_in_the_band_or_no_service_interval() -> None:
    best = optimal_interval(**TERMS)
    assert np.isnan(service_multiple(best, service_interval=np.nan, **TERMS))
    assert np.isnan(service_multiple(best, service_interval=0.0, **TERMS))
    assert np.isnan(service_multiple(best, service_interval=500_000.0, **TERMS))
    assert np.isnan(service_multiple(np.inf, service_interval=15_000.0, **TERMS))


def test_recommended_interval_moves_to_a_service_only_when_that_is_cheap() -> None:
    best = float(optimal_interval(**TERMS))
    assert recommended_interval(**TERMS) == best
    assert recommended_interval(**TERMS, service_interval=500_000.0) == best
    rounded = float(recommended_interval(**TERMS, service_interval=15_000.0))
    assert rounded == 30_000.0
    assert cost_rate(rounded, **TERMS) <= 1.03 * cost_rate(best, **TERMS)


def test_recommended_interval_gives_up_a_gain_inside_the_band() -> None:
    # Shape 1.5, failed twice as dear: the best interval saves 0.16 %.
    terms = {"shape": 1.5, "scale": 1.0, "planned_cost": 1.0, "failed_cost": 2.0}
    assert np.isfinite(optimal_interval(**terms))
    assert np.isinf(recommended_interval(**terms))
    assert np.isfinite(recommended_interval(**terms, tolerance=0.001))


def test_broadcasting() -> None:
    best = optimal_interval(shape=[[1.5], [2.5]], scale=1.0, planned_cost=1.0, failed_cost=[3.0, 5.0, 9.0])
    assert best.shape == (2, 3)
    assert np.all(np.diff(best, axis=1) < 0.0)


@pytest.mark.parametrize("terms", [{"planned_cost": 0.0}, {"failed_cost": -1.0}, {"shape": 0.0}, {"scale": -5.0}])
def test_refused_inputs(terms: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="above 0"):
        optimal_interval(**(TERMS | terms))


def test_refused_tolerance() -> None:
    with pytest.raises(ValueError, match="tolerance"):
        flat_band(**TERMS, tolerance=0.0)
