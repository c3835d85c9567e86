"""The law of a part on a vehicle taken at random, by simulation and by differences."""

import math

import numpy as np
import pytest

from wearmodel.survival.weibull import life_at, log_life_slopes, survival


def test_survival_is_the_mean_over_vehicles():
    frailty = np.random.default_rng(1).gamma(1 / 0.5, 0.5, 400_000)
    for hazard in (0.1, 1.0, 3.0):
        good = float(survival(hazard, shape=1.0, scale=1.0, variance=0.5))
        assert good == pytest.approx(np.exp(-hazard * frailty).mean(), abs=2e-3)


@pytest.mark.parametrize("variance", [1e-4, 0.3, 1.2])
def test_slopes_are_derivatives(variance):
    def log_life(log_shape, log_variance):
        return math.log(float(life_at(0.1, shape=math.exp(log_shape), scale=1.0, variance=math.exp(log_variance))))

    at, step = (math.log(2.2), math.log(variance)), 1e-5
    slopes = log_life_slopes(0.1, shape=2.2, variance=variance)
    assert slopes[0] == 1.0
    by_shape = (log_life(at[0] + step, at[1]) - log_life(at[0] - step, at[1])) / (2 * step)
    by_variance = (log_life(at[0], at[1] + step) - log_life(at[0], at[1] - step)) / (2 * step)
    assert slopes[1] == pytest.approx(by_shape, rel=1e-6)
    assert slopes[2] == pytest.approx(by_variance, rel=1e-5, abs=1e-9)


def test_hardly_any_variance_has_the_slopes_of_none():
    assert log_life_slopes(0.1, shape=2.2, variance=0.0)[2] == 0.0
    assert log_life_slopes(0.1, shape=2.2, variance=1e-10)[1] == pytest.approx(
        log_life_slopes(0.1, shape=2.2, variance=0.0)[1], rel=1e-9
    )
