import numpy as np
import pytest
from scipy import integrate, stats

from wearmodel.survival import weibull
from wearmodel.survival.renewal import expected_replacements, renewal_function


def simulated_counts(age: float, distance: float, *, shape: float, scale: float, runs: int) -> np.ndarray:
    """Failures in the next distance of positions whose part has reached an age, one number a run."""
    rng = np.random.default_rng(977)
    spent = (age / scale) ** shape + rng.exponential(size=runs)
    at = scale * spent ** (1.0 / shape) - age
    counts = np.zeros(runs, dtype=int)
    while (running := at <= distance).any():
        counts[running] += 1
        at[running] += scale * rng.weibull(shape, running.sum())
    return counts


@pytest.mark.parametrize(
    ("age", "distance", "shape"), [(0.0, 120_000.0, 2.2), (45_000.0, 90_000.0, 3.5), (10_000.0, 200_000.0, 0.8)]
)
def test_expected_replacements_against_simulation(age: float, distance: float, shape: float) -> None:
    counts = simulated_counts(age, distance, shape=shape, scale=50_000.0, runs=200_000)
    error = 4.0 * counts.std() / np.sqrt(len(counts))
    found = expected_replacements(age, distance, shape=shape, scale=50_000.0)
    assert found == pytest.approx(counts.mean(), abs=error)


def test_simulation_also_bears_out_the_whole_number_law() -> None:
    # The chance of at least one failure is what the conditional law says, the rest are repeats.
    counts = simulated_counts(45_000.0, 90_000.0, shape=3.5, scale=50_000.0, runs=200_000)
    first = float(weibull.fail_within(45_000.0, 90_000.0, shape=3.5, scale=50_000.0))
    assert (counts > 0).mean() == pytest.approx(first, abs=4.0 * np.sqrt(first * (1 - first) / 200_000) + 1e-9)
    assert expected_replacements(45_000.0, 90_000.0, shape=3.5, scale=50_000.0) > first


@pytest.mark.parametrize("shape", [0.6, 1.4, 2.3, 4.5, 9.0])
def test_renewal_equation_holds(shape: float) -> None:
    for age in (0.2, 0.9, 1.7, 3.1):
        again, _ = integrate.quad(
            lambda p, t=age: float(
                renewal_function(t - (-np.log1p(-p)) ** (1.0 / shape), shape=shape, scale=1.0)
            ),
            0.0,
            -np.expm1(-(age**shape)),
            epsabs=1e-9,
            limit=200,
        )
        first = -np.expm1(-(age**shape))
        assert renewal_function(age, shape=shape, scale=1.0) == pytest.approx(first + again, abs=2e-7)


@pytest.mark.parametrize("shape", [0.8, 1.5, 2.0, 3.0, 6.0])
def test_delayed_start_against_quadrature(shape: float) -> None:
    for age in (0.01, 0.6, 1.5):
        for distance in (0.1, 1.2, 5.0):
            chance = float(weibull.fail_within(age, distance, shape=shape, scale=1.0))

            def later(p: float, age: float = age, distance: float = distance) -> float:
                left = distance - float(weibull.remaining(age, fraction=p, shape=shape, scale=1.0))
                return float(renewal_function(max(left, 0.0), shape=shape, scale=1.0))

            repeats, _ = integrate.quad(later, 0.0, chance, epsabs=1e-9, limit=300)
            found = expected_replacements(age, distance, shape=shape, scale=1.0)
            assert found == pytest.approx(chance + repeats, abs=3e-7)


def test_large_distances_follow_the_straight_line() -> None:
    # By hand: t / mean + (variance - mean^2) / (2 mean^2).
    mean = float(weibull.mean_life(shape=2.0, scale=1.0))
    line = 50.0 / mean + 1.0 / (2.0 * mean**2) - 1.0
    assert renewal_function(50.0, shape=2.0, scale=1.0) == pytest.approx(line, abs=1e-8)


def test_curve_is_joined_where_the_methods_meet() -> None:
    for shape in (0.7, 1.3, 2.5, 5.0):
        distance = np.linspace(0.0, 60.0, 120_001)
        renewals = renewal_function(distance, shape=shape, scale=1.0)
        steps = np.diff(renewals)
        assert np.all(steps > -1e-12)
        assert np.abs(np.diff(steps[400:])).max() < 4e-5


def test_nothing_ahead_needs_nothing() -> None:
    assert expected_replacements([0.0, 3.0], 0.0, shape=2.0, scale=1.0).tolist() == [0.0, 0.0]
    assert renewal_function(0.0, shape=0.9, scale=1.0) == 0.0


def test_lives_without_memory() -> None:
    found = expected_replacements([0.0, 2.0, 30.0], [1.0, 4.0, 9.0], shape=1.0, scale=2.0)
    assert found == pytest.approx([0.5, 2.0, 4.5], abs=1e-7)


def test_old_parts_of_a_wearing_kind_need_more() -> None:
    found = expected_replacements(np.linspace(0.0, 3.0, 50), 0.5, shape=3.0, scale=1.0)
    assert np.all(np.diff(found) > 0.0)


def test_scaling_and_broadcasting() -> None:
    unit = expected_replacements([[0.2], [0.9]], [0.5, 1.0, 2.0], shape=2.0, scale=1.0)
    large = expected_replacements([[2e4], [9e4]], [5e4, 1e5, 2e5], shape=2.0, scale=1e5)
    assert unit.shape == (2, 3)
    assert large == pytest.approx(unit, rel=1e-12)
    several = expected_replacements(0.3, 1.0, shape=[1.5, 2.5], scale=[1.0, 2.0])
    assert several == pytest.approx(
        [
            float(expected_replacements(0.3, 1.0, shape=1.5, scale=1.0)),
            float(expected_replacements(0.3, 1.0, shape=2.5, scale=2.0)),
        ]
    )


@pytest.mark.parametrize("shape", [0.1, 30.0])
def test_refused_shapes(shape: float) -> None:
    with pytest.raises(ValueError, match=r"shape must be from 0\.4 to 20"):
        renewal_function(1.0, shape=shape, scale=1.0)


def mean_over_vehicles(age: float, distance: float, *, shape: float, variance: float) -> float:
    """Expected replacements of vehicles with a gamma frailty, by panels in its logarithm."""
    frailty = stats.gamma(1.0 / variance, scale=1.0 / (1.0 / variance + age**shape))
    ends = np.linspace(np.log(max(frailty.ppf(1e-14), 1e-60)), np.log(frailty.isf(1e-16)), 121)
    points, weights = np.polynomial.legendre.leggauss(12)
    width = np.diff(ends)[:, None]
    logs = (ends[:-1, None] + width * (points + 1.0) / 2.0).ravel()
    mass = (width * weights / 2.0).ravel() * np.exp(frailty.logpdf(np.exp(logs)) + logs)
    pace = np.exp(logs / shape)
    return float(mass @ expected_replacements(age * pace, distance * pace, shape=shape, scale=1.0))


@pytest.mark.parametrize("shape", [0.6, 1.4, 2.2, 5.0, 9.0])
@pytest.mark.parametrize(("variance", "tolerance"), [(0.05, 1e-5), (0.4, 1e-5), (1.0, 1e-5), (4.0, 1e-4), (10.0, 1e-4)])
def test_mean_over_unlike_vehicles_against_quadrature(shape: float, variance: float, tolerance: float) -> None:
    for age in (0.0, 0.7):
        for distance in (0.5, 2.0, 8.0):
            expected = mean_over_vehicles(age, distance, shape=shape, variance=variance)
            found = expected_replacements(age, distance, shape=shape, scale=1.0, variance=variance)
            assert found == pytest.approx(expected, rel=tolerance)


def test_few_replacements_over_unlike_vehicles_are_first_failures() -> None:
    first = weibull.fail_within([0.2, 0.7], 0.001, shape=2.0, scale=1.0, variance=0.4)
    found = expected_replacements([0.2, 0.7], 0.001, shape=2.0, scale=1.0, variance=0.4)
    assert found == pytest.approx(first, rel=1e-4)


def test_a_vanishing_variance_leaves_the_number_as_it_was() -> None:
    ages, ahead = np.array([0.0, 0.4, 1.1]), np.array([0.5, 2.0, 6.0])
    plain = expected_replacements(ages, ahead, shape=2.2, scale=1.0)
    for variance in (1e-12, 1e-8):
        found = expected_replacements(ages, ahead, shape=2.2, scale=1.0, variance=variance)
        assert found == pytest.approx(plain, rel=1e-6)
    mixed = expected_replacements(ages, ahead, shape=2.2, scale=1.0, variance=[0.0, 0.4, 0.0])
    assert mixed[[0, 2]] == pytest.approx(plain[[0, 2]], rel=0.0)
    assert mixed[1] != pytest.approx(plain[1], rel=1e-3)
