"""Marginal life over vehicles that differ, by simulation and by differences."""

import math

import numpy as np
import pytest

from wearmodel.survival.frailty.law import log_life_slopes, marginal_hazard_at, marginal_survival


@pytest.mark.parametrize("variance", [0.0, 0.2, 1.5])
def test_quantile_inverts_survival(variance):
    fractions = np.array([0.01, 0.1, 0.5, 0.9])
    hazard = marginal_hazard_at(fractions, variance=variance)
    np.testing.assert_allclose(marginal_survival(hazard, variance=variance), 1 - fractions, rtol=1e-12)


def test_survival_is_the_mean_over_vehicles():
    frailty = np.random.default_rng(1).gamma(1 / 0.5, 0.5, 400_000)
    for hazard in (0.1, 1.0, 3.0):
        assert marginal_survival(hazard, variance=0.5) == pytest.approx(np.exp(-hazard * frailty).mean(), abs=2e-3)


def test_hardly_any_variance_is_none():
    np.testing.assert_allclose(marginal_survival(0.7, variance=1e-8), math.exp(-0.7), rtol=1e-8)


@pytest.mark.parametrize("variance", [1e-4, 0.3, 1.2])
def test_slopes_are_derivatives(variance):
    def log_life(log_shape, log_variance):
        return math.log(float(marginal_hazard_at(0.1, variance=math.exp(log_variance)))) / math.exp(log_shape)

    at, step = (math.log(2.2), math.log(variance)), 1e-5
    slopes = log_life_slopes(0.1, shape=2.2, variance=variance)
    assert slopes[0] == 1.0
    by_shape = (log_life(at[0] + step, at[1]) - log_life(at[0] - step, at[1])) / (2 * step)
    by_variance = (log_life(at[0], at[1] + step) - log_life(at[0], at[1] - step)) / (2 * step)
    assert slopes[1] == pytest.approx(by_shape, rel=1e-6)
    assert slopes[2] == pytest.approx(by_variance, rel=1e-5, abs=1e-9)
