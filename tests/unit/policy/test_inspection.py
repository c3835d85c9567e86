import numpy as np
import pytest
from scipy import integrate, optimize, stats

from wearmodel.policy.inspection import inspect_every, inspection_cost_rate, missed_share

TERMS = {
    "defect_rate": 1 / 40_000,
    "mean_delay": 12_000.0,
    "inspection_cost": 15.0,
    "found_cost": 120.0,
    "failed_cost": 700.0,
}


def test_missed_share_against_quadrature() -> None:
    for every in (0.5, 4.0, 30.0):
        missed, _ = integrate.quad(lambda h, t=every: (t - h) / t * np.exp(-h / 10.0) / 10.0, 0.0, every)
        assert missed_share(every, mean_delay=10.0) == pytest.approx(missed, rel=1e-10)


def test_imperfect_inspections_against_simulation() -> None:
    rng = np.random.default_rng(31)
    count = 400_000
    # A defect arises anywhere between two inspections; looks are counted until one finds it.
    first_look = 10.0 * rng.random(count)
    looks = rng.geometric(0.6, count)
    found_at = first_look + 10.0 * (looks - 1)
    missed = rng.exponential(8.0, count) < found_at
    error = 4.0 * missed.std() / np.sqrt(count)
    assert missed_share(10.0, mean_delay=8.0, find_chance=0.6) == pytest.approx(missed.mean(), abs=error)


def test_missed_share_at_its_ends() -> None:
    assert missed_share([0.0, np.inf], mean_delay=5.0).tolist() == [0.0, 1.0]
    assert missed_share([0.0, 3.0, np.inf], mean_delay=5.0, find_chance=0.0).tolist() == [1.0, 1.0, 1.0]
    shares = missed_share(np.linspace(0.0, 100.0, 300), mean_delay=5.0, find_chance=0.7)
    assert np.all(np.diff(shares) > 0.0)


def test_best_distance_against_brute_force() -> None:
    for cost in (0.5, 15.0, 60.0, 150.0):
        terms = TERMS | {"inspection_cost": cost}
        best = float(inspect_every(**terms))
        found = optimize.minimize_scalar(
            lambda t, terms=terms: float(inspection_cost_rate(t, **terms)),
            bounds=(best / 3.0, best * 3.0),
            method="bounded",
            options={"xatol": 1e-6},
        )
        assert inspection_cost_rate(best, **terms) <= found.fun * (1.0 + 1e-12)
        assert best == pytest.approx(found.x, rel=1e-4)


def test_best_distance_solves_its_equation_for_any_cost() -> None:
    share = np.append(np.geomspace(1e-18, 0.5, 60), 1.0 - np.geomspace(0.5, 1e-12, 40))
    x = inspect_every(
        defect_rate=1.0, mean_delay=1.0, inspection_cost=share, found_cost=0.0, failed_cost=1.0
    )
    # 1 - (1 + x) e^-x is the chance of two or more events of a Poisson law of mean x.
    assert stats.poisson.sf(1, x) == pytest.approx(share, rel=1e-9)


def test_running_without_inspections_costs_the_failures() -> None:
    assert inspection_cost_rate(np.inf, **TERMS) == pytest.approx(700.0 / 40_000.0)


def test_never_worth_it() -> None:
    assert np.isinf(inspect_every(**(TERMS | {"inspection_cost": 200.0})))
    assert np.isinf(inspect_every(**(TERMS | {"found_cost": 700.0})))
    assert np.isinf(inspect_every(**(TERMS | {"found_cost": 900.0})))


@pytest.mark.parametrize("name", ["defect_rate", "mean_delay", "inspection_cost"])
def test_refused_inputs(name: str) -> None:
    with pytest.raises(ValueError, match="above 0"):
        inspect_every(**(TERMS | {name: 0.0}))
