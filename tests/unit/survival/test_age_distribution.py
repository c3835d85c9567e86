"""Parts of unknown age, against simulated pasts and the accurate renewal function."""

import numpy as np
import pytest

from wearmodel.survival.age_distribution import age_distribution, renewal_counts
from wearmodel.survival.renewal import renewal_function


@pytest.mark.parametrize("shape", [0.8, 1.5, 2.5, 4.0])
def test_counts_without_other_renewals_are_the_renewal_function(shape):
    counts = renewal_counts(shape=shape, rate=0.0, limit=8.0)
    expected = renewal_function(np.linspace(0, 8, 321), shape=shape, scale=1.0)
    np.testing.assert_allclose(counts, expected, atol=3e-3)


def test_constant_rates_alone_add_up():
    """Shape 1 and another rate: a Poisson process of rate 1 + rate."""
    counts = renewal_counts(shape=1.0, rate=0.5, limit=8.0)
    # The midpoint rule on this grid is good to about 6e-5.
    np.testing.assert_allclose(counts, 1.5 * np.linspace(0, 8, 321), rtol=1e-4)


@pytest.mark.parametrize("rate", [0.0, 0.8])
def test_against_a_simulated_past(rate):
    """A position seen from 2.5 on, unbroken for 0.4: its age as a simulated past has it."""
    rng = np.random.default_rng(3)
    count = 400_000
    start = np.zeros(count)

    def draw(size):
        other = rng.exponential(1.0 / rate, size) if rate else np.full(size, np.inf)
        return np.minimum(rng.weibull(2.5, size), other)

    life = draw(count)
    while (start + life < 2.5).any():
        done = start + life < 2.5
        start[done] += life[done]
        life[done] = draw(done.sum())
    ages = (2.9 - start)[start + life > 2.9]
    points = age_distribution(
        before=np.array([2.5]), since=np.array([0.4]), shape=2.5, rate=np.array([rate])
    )
    assert points.weight.sum() == pytest.approx(1.0)
    assert points.mean()[0] == pytest.approx(ages.mean(), rel=0.01)
    spread = np.sqrt((points.weight[0] * (points.psi[0] - points.mean()[0]) ** 2).sum())
    assert spread == pytest.approx(ages.std(), rel=0.05)


def test_a_memoryless_part_tells_nothing():
    """Shape 1: the age is exponential up to the start of the position, whatever was seen since."""
    points = age_distribution(before=np.array([30.0]), since=np.array([0.5]), shape=1.0, rate=np.zeros(1))
    assert points.mean()[0] == pytest.approx(1.5, abs=0.02)
