"""Lives of unknown age with frailty: against closed forms, quadrature and the plain likelihood."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import gamma
from unknown_age_lives import AT, differences, ends, fleet, no_lives, simple

from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.unknown_ages import mixed_frailty
from wearmodel.survival.unknown_ages.fit import UnknownAgeLikelihood, fit_with_unknown_ages, frailty_objective
from wearmodel.survival.unknown_ages.lives import build_unknown_ages

NONE = build_unknown_ages(observed_from=[], stop_low=[], stop_high=[])


@pytest.mark.parametrize("log_variance", [-4.0, -0.7, 0.7])
@pytest.mark.parametrize("other_rate", [0.0, 0.3])
def test_gradient_and_hessian_are_derivatives(other_rate, log_variance):
    objective = frailty_objective(*fleet(1, other_rate=other_rate))
    at = np.append(AT, log_variance)
    here = objective(at)
    gradient, hessian = differences(objective, at)
    np.testing.assert_allclose(here.gradient, gradient, rtol=1e-6, atol=1e-5)
    np.testing.assert_allclose(here.hessian, hessian, rtol=1e-5, atol=1e-4)


@pytest.mark.parametrize("log_variance", [-3.0, -0.7, 0.9])
def test_lives_of_known_age_have_the_closed_form(log_variance):
    """sum log h + sum_j log(1 + j theta) - (D + 1 / theta) log(1 + theta A) by vehicle, late entry within a life."""
    rng = np.random.default_rng(2)
    count, theta = 90, np.exp(log_variance)
    entry = rng.uniform(0.0, 0.5, count) * (rng.random(count) < 0.3)
    stop = entry + rng.uniform(0.1, 1.5, count)
    failed, vehicle = rng.random(count) < 0.6, rng.integers(0, 25, count)
    data = build_life_data(entry=entry, stop_low=stop, stop_high=np.where(failed, stop, np.inf), cluster=vehicle)
    scale, shape = 1.2, 1.9
    hazard = np.log(shape / scale * (stop / scale) ** (shape - 1))[failed].sum()
    spent = np.bincount(vehicle, (stop / scale) ** shape - (entry / scale) ** shape, minlength=25)
    failures = np.bincount(vehicle[failed], minlength=25)
    expected = hazard + sum(np.log1p(theta * np.arange(d)).sum() for d in failures)
    expected -= ((failures + 1 / theta) * np.log1p(theta * spent)).sum()
    objective = frailty_objective(data, NONE)
    at = np.array([np.log(scale), np.log(shape), log_variance])
    assert objective(at).value == pytest.approx(expected, abs=1e-9)
    gradient, hessian = differences(objective, at)
    np.testing.assert_allclose(objective(at).gradient, gradient, rtol=1e-6, atol=1e-5)
    np.testing.assert_allclose(objective(at).hessian, hessian, rtol=1e-5, atol=1e-4)


@pytest.mark.parametrize("theta", [0.1, 0.6, 2.0])
def test_against_adaptive_quadrature(theta):
    """One vehicle after another, the plain likelihood at scale e z^(-1/k) integrated over z; weights are chances."""
    rng = np.random.default_rng(3)
    begin = rng.uniform(0.4, 2.0, 9)
    low, high = ends(rng, begin)
    looked_low, looked_high = ends(rng, np.zeros(6))
    weight, light = rng.uniform(0.2, 1.0, 9), rng.uniform(0.2, 1.0, 6)
    scale, shape = 1.1, 2.2

    def vehicle(i):
        mine, known = slice(3 * i, 3 * i + 3), slice(2 * i, 2 * i + 2)
        first = build_unknown_ages(
            observed_from=begin[mine], stop_low=low[mine], stop_high=high[mine], weight=weight[mine],
            cluster=np.zeros(3, dtype=int),
        )  # fmt: skip
        data = build_life_data(
            entry=np.zeros(2), stop_low=looked_low[known], stop_high=looked_high[known], weight=light[known],
            cluster=np.zeros(2, dtype=int),
        )  # fmt: skip
        return data, first

    for i in range(3):
        plain = UnknownAgeLikelihood(*vehicle(i))

        def integrand(log_z, plain=plain):
            z = np.exp(log_z)
            value = plain(np.array([np.log(scale) - log_z / shape, np.log(shape)])).value
            return np.exp(value) * gamma.pdf(z, 1 / theta, scale=theta) * z

        expected = np.log(quad(integrand, -25.0, 3.5, points=[-3.0, 0.0, 1.0], epsabs=0.0, epsrel=1e-7, limit=200)[0])
        at = np.array([np.log(scale), np.log(shape), np.log(theta)])
        found = frailty_objective(*vehicle(i))(at).value
        assert found == pytest.approx(expected, abs=2e-4 if theta > 1 else 2e-5)


def test_more_nodes_change_nothing():
    for log_variance in (-4.0, -1.0, 0.0):
        at = np.append(AT, log_variance)
        coarse, fine = (frailty_objective(*fleet(4, other_rate=0.2), nodes=n)(at) for n in (20, 60))
        assert coarse.value == pytest.approx(fine.value, abs=2e-5)
        np.testing.assert_allclose(coarse.gradient, fine.gradient, atol=2e-4)


def test_no_variance_is_the_plain_likelihood():
    lives = fleet(5)
    plain, near = UnknownAgeLikelihood(*lives)(AT), frailty_objective(*lives)
    gaps = [near(np.append(AT, log_variance)).value - plain.value for log_variance in (-5.0, -7.0, -9.0)]
    # Proportional to the variance: another e^-2 each time.
    assert gaps[1] / gaps[0] == pytest.approx(np.exp(-2.0), rel=0.05)
    assert gaps[2] / gaps[1] == pytest.approx(np.exp(-2.0), rel=0.05)
    floor = near(np.append(AT, -30.0))
    assert floor.value == near(np.append(AT, -9.0)).value
    assert floor.gradient[-1] == 0.0


def test_vehicles_alike_are_fitted_without_frailty():
    rng = np.random.default_rng(6)
    vehicle = np.repeat(np.arange(60), 3)
    begin, left = rng.uniform(0.8, 2.0, 180), rng.uniform(0.5, 1.2, 180)
    # Remaining lives more even within vehicles than chance would have them.
    lasts = np.tile([0.2, 0.45, 0.8], 60)
    end, failed = begin + np.minimum(lasts, left), lasts < left
    first = build_unknown_ages(
        observed_from=begin, stop_low=end, stop_high=np.where(failed, end, np.inf), cluster=vehicle
    )
    fit = fit_with_unknown_ages(no_lives(), first, frailty=True)
    plain = fit_with_unknown_ages(no_lives(), first, frailty=False)
    assert fit.theta == 0.0
    np.testing.assert_array_equal(fit.values, plain.values)
    assert fit.converged


def test_row_order_never_matters():
    lives = simple(7, 120)
    order = np.random.default_rng(7).permutation(120)
    fits = [
        fit_with_unknown_ages(no_lives(), build_unknown_ages(**chosen), frailty=True)
        for chosen in (lives, {name: values[order] for name, values in lives.items()})
    ]
    np.testing.assert_allclose(fits[0].values, fits[1].values, atol=1e-7)
    np.testing.assert_allclose(fits[0].clustered_covariance, fits[1].clustered_covariance, rtol=1e-5, atol=1e-9)


@pytest.mark.parametrize("at_once", [1, 3, 7])
def test_blocks_of_vehicles_add_up(at_once, monkeypatch):
    """The same sums whatever number of vehicles is worked out together, in the order of the vehicles."""
    at = np.append(AT, -0.7)
    data, unknown = fleet(1, other_rate=0.3)
    whole = mixed_frailty.MixedFrailtyLikelihood(data, unknown, nodes=20)
    expected, told = whole.evaluate(at), whole.posterior(at)
    monkeypatch.setattr(mixed_frailty, "_VEHICLES_AT_ONCE", at_once)
    parts = mixed_frailty.MixedFrailtyLikelihood(data, unknown, nodes=20)
    found = parts.evaluate(at)
    assert len(parts._blocks) > 2
    assert found.value == pytest.approx(expected.value, rel=1e-13)
    for name in ("gradient", "hessian", "scores", "frailty", "frailty_spread"):
        np.testing.assert_allclose(getattr(found, name), getattr(expected, name), rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(parts.posterior(at).frailty, told.frailty, rtol=1e-12)


def test_without_derivatives_the_same_to_the_last_bit():
    at = np.append(AT, -0.7)
    likelihood = mixed_frailty.MixedFrailtyLikelihood(*fleet(2, other_rate=0.3), nodes=20)
    told, found = likelihood.posterior(at), likelihood.evaluate(at)
    assert told.value == found.value
    assert (told.frailty == found.frailty).all()
    assert (told.frailty_spread == found.frailty_spread).all()
