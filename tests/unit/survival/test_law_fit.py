"""The law of a component: the closed form and the general quadrature agree, and groups count where they should."""

import math

import numpy as np
import pytest

from wearmodel.survival.law_fit import fit_law
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.unknown_ages.fit import fit_with_unknown_ages
from wearmodel.survival.unknown_ages.lives import no_unknown_ages

SHAPE, VARIANCE = 2.2, 0.5


def renewals(seed, *, vehicles=120, effects=(0.0, 0.0, 0.0), variance=VARIANCE):
    """Three positions a vehicle, renewed until a common end; the group of a vehicle shifts the log scale."""
    rng = np.random.default_rng(seed)
    low, high, cluster, group = [], [], [], []
    for vehicle in range(vehicles):
        z = rng.gamma(1 / variance, variance) if variance else 1.0
        mine = vehicle % len(effects)
        scale = math.exp(effects[mine]) * z ** (-1 / SHAPE)
        for _ in range(3):
            left = 2.0
            while left > 0:
                life = scale * rng.weibull(SHAPE)
                low.append(min(life, left))
                high.append(life if life < left else np.inf)
                cluster.append(vehicle)
                group.append(mine)
                left -= life
    design = np.column_stack([np.ones(len(low)), np.eye(len(effects))[group][:, 1:]])
    return build_life_data(entry=np.zeros(len(low)), stop_low=low, stop_high=high, design=design, cluster=cluster)


def law_of(data, *, tested=True, **kwargs):
    kinds = (np.arange(1, data.design.shape[1]),)
    none = no_unknown_ages(data.design.shape[1])
    return fit_law(data, none, pooled=kinds, tested=(tested,), fixed_precision=np.zeros(data.design.shape[1]), **kwargs)


def test_the_closed_form_equals_the_general_quadrature():
    data = renewals(1)
    fit = law_of(data)
    precision = fit.precision[:-1]
    general = fit_with_unknown_ages(data, no_unknown_ages(3), frailty=True, prior_precision=precision)
    assert fit.variance == pytest.approx(general.theta, rel=1e-5)
    assert fit.values == pytest.approx(general.values[:-1], abs=1e-5)
    assert fit.log_likelihood == pytest.approx(general.log_likelihood, abs=1e-6)
    assert 0.25 < fit.variance < 0.9
    assert math.exp(fit.values[-1]) == pytest.approx(SHAPE, rel=0.15)


def test_a_quick_fit_sees_vehicles_that_wear_unlike_unless_told_otherwise():
    data = renewals(4)
    whole, quick, alike = law_of(data), law_of(data, quick=True), law_of(data, quick=True, alike=True)
    # Spreads that are given in place of estimated ones move the law a little.
    assert quick.variance == pytest.approx(whole.variance, rel=0.05)
    assert quick.values[-1] == pytest.approx(whole.values[-1], abs=0.01)
    assert alike.variance == 0.0
    assert alike.values[-1] < quick.values[-1] - 0.1
    assert law_of(data, alike=True).values[-1] == pytest.approx(alike.values[-1], abs=0.01)


def test_information_lost_widens_the_law_and_the_variance_if_it_says_so():
    data = renewals(5)
    whole = law_of(data)
    information = np.linalg.inv(whole.covariance)
    lost = np.diag([0.0, 0.0, 0.0, 0.4 * information[3, 3]])
    of_law = law_of(data, lost_information=lost)
    assert of_law.covariance[3, 3] > 1.2 * whole.covariance[3, 3]
    with_variance = np.zeros((5, 5))
    with_variance[4, 4] = 0.3 / whole.variance_covariance[-1]
    of_variance = law_of(data, lost_information=with_variance)
    assert of_variance.variance_covariance[-1] > 1.2 * whole.variance_covariance[-1]


def test_groups_that_differ_count_and_groups_that_do_not_are_taken_as_alike():
    unlike = law_of(renewals(2, effects=(0.0, -0.5, 0.4)))
    assert unlike.values[1:3] == pytest.approx([-0.5, 0.4], abs=4 * unlike.covariance[1, 1] ** 0.5)
    assert unlike.own_share[1] > 0.5
    alike = law_of(renewals(3))
    assert np.abs(alike.values[1:3]).max() < 0.01
    assert alike.own_share[1] == 0.0
    # A kind that always counts keeps its effects, drawn towards each other.
    kept = law_of(renewals(3), tested=False)
    assert 0.0 < kept.own_share[1] < 1.0


def test_vehicles_alike_give_the_wider_of_two_covariances():
    fit = law_of(renewals(4, variance=0.0))
    assert fit.variance < 0.05
    assert fit.converged
    assert math.exp(fit.dated_alone.values[-1]) == pytest.approx(SHAPE, rel=0.15)


def test_a_shape_that_runs_away_is_refused():
    """All failures at one age: the shape would grow for ever."""
    data = build_life_data(
        entry=np.zeros(30), stop_low=np.full(30, 50.0), stop_high=np.where(np.arange(30) < 25, 50.0, np.inf)
    )
    with pytest.raises(ValueError, match="do not tell the shape"):
        fit_law(data, no_unknown_ages(1), pooled=(), tested=(), fixed_precision=np.zeros(1))
