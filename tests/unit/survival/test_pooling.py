"""Pooled effects against the normal case, where the marginal likelihood is known exactly."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.stats import halfnorm, multivariate_normal

from wearmodel.survival.newton import Derivatives
from wearmodel.survival.pooling import PRIOR_SPREAD, fit_pooled

NOISE = 0.4


def normal_case(seed, groups=12, each=6, spread=0.5):
    """Values of groups that differ, with the design of their mean and effects."""
    rng = np.random.default_rng(seed)
    group = np.repeat(np.arange(groups), each)
    y = 1.0 + rng.normal(0, spread, groups)[group] + rng.normal(0, NOISE, len(group))
    return y, np.column_stack([np.ones(len(group)), np.eye(groups)[group]])


def normal_objective(y, design):
    def objective(values):
        residual = y - design @ values
        return Derivatives(
            float(-0.5 * residual @ residual / NOISE**2 - len(y) * math.log(NOISE * math.sqrt(2 * math.pi))),
            design.T @ residual / NOISE**2,
            -design.T @ design / NOISE**2,
        )

    return objective


def exact_marginal(y, design, log_spread):
    """Log density of the values with a flat mean, and the prior of the log spread; constants included."""
    spread = math.exp(log_spread)
    covariance = NOISE**2 * np.eye(len(y)) + spread**2 * design[:, 1:] @ design[:, 1:].T
    precision = np.linalg.inv(covariance)
    ones = np.ones(len(y))
    weight = float(ones @ precision @ ones)
    mean = float(ones @ precision @ y) / weight
    density = multivariate_normal(np.full(len(y), mean), covariance).logpdf(y)
    return density + 0.5 * math.log(2 * math.pi / weight) + halfnorm(scale=PRIOR_SPREAD).logpdf(spread) + log_spread


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_spread_is_the_top_of_the_exact_marginal(seed):
    y, design = normal_case(seed)
    fit = fit_pooled(normal_objective(y, design), np.zeros(13), kinds=[np.arange(1, 13)])
    best = minimize_scalar(
        lambda s: -exact_marginal(y, design, s), bounds=(math.log(0.02), math.log(2.5)), method="bounded"
    )
    assert fit.converged
    assert math.log(fit.spreads[0]) == pytest.approx(best.x, abs=0.02)


def test_effects_are_the_best_linear_predictions():
    y, design = normal_case(4)
    fit = fit_pooled(normal_objective(y, design), np.zeros(13), kinds=[np.arange(1, 13)])
    means = y.reshape(12, 6).mean(axis=1)
    share = fit.spreads[0] ** 2 / (fit.spreads[0] ** 2 + NOISE**2 / 6)
    np.testing.assert_allclose(fit.values[1:], share * (means - fit.values[0]), atol=1e-8)
    assert fit.values[0] == pytest.approx(means.mean(), abs=1e-8)


def test_a_group_without_a_value_borrows_everything():
    y, design = normal_case(5)
    empty = np.column_stack([design, np.zeros(len(y))])
    fit = fit_pooled(normal_objective(y, empty), np.zeros(14), kinds=[np.arange(1, 14)])
    assert fit.values[-1] == pytest.approx(0.0, abs=1e-9)
    assert fit.own_share[-1] == pytest.approx(0.0, abs=1e-9)
    assert (fit.own_share[1:-1] > 0.5).all() and fit.own_share[0] == 1.0
    assert fit.covariance[-1, -1] >= fit.spreads[0] ** 2 * 0.999


def test_alike_groups_have_a_small_spread_that_is_not_zero():
    y, design = normal_case(6, spread=0.0)
    fit = fit_pooled(normal_objective(y, design), np.zeros(13), kinds=[np.arange(1, 13)])
    assert 0.02 < fit.spreads[0] < 0.25


def test_uncertain_spreads_widen_the_intervals():
    y, design = normal_case(7, groups=4, each=3)
    objective = normal_objective(y, design)
    fit = fit_pooled(objective, np.zeros(5), kinds=[np.arange(1, 5)])
    precision = np.diag([0.0, *np.repeat(fit.spreads[0] ** -2, 4)])
    plain = np.linalg.inv(precision - objective(fit.values).hessian)
    assert (np.diag(fit.covariance) >= np.diag(plain) - 1e-12).all()
    assert np.diag(fit.covariance)[1:].sum() > 1.01 * np.diag(plain)[1:].sum()


@pytest.mark.parametrize("kinds", [[], [np.array([], dtype=int)]])
def test_nothing_to_pool(kinds):
    with pytest.raises(ValueError, match="at least one kind"):
        fit_pooled(normal_objective(*normal_case(8)), np.zeros(13), kinds=kinds)
