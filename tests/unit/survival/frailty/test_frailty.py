"""Frailty likelihood against quadrature, fits against the truth they were drawn from."""

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import gamma

from wearmodel.survival.families import LOGNORMAL, WEIBULL
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.frailty import fit as frailty_fit
from wearmodel.survival.frailty.fit import fit_frailty
from wearmodel.survival.frailty.likelihood import FrailtyLikelihood
from wearmodel.survival.frailty.nodes import laguerre_nodes
from wearmodel.survival.life_data import build_life_data, build_stretched_life_data

SHAPE, EFFECT = 2.2, 0.3
AT = np.array([0.1, 0.2, 0.7, -0.6])


def drawn(seed, vehicles, *, variance, positions=4, renewals=3, looks=0.3, entries=True):
    """Renewals of parts on vehicles followed for a while, some found at a look, some seen late."""
    rng = np.random.default_rng(seed)
    rows = []
    for vehicle in range(vehicles):
        frailty = rng.gamma(1 / variance, variance) if variance else 1.0
        heavy = float(rng.integers(0, 2))
        for _ in range(positions):
            left = rng.uniform(0.5, 2.5)
            for _ in range(renewals):
                life = math.exp(EFFECT * heavy) * (rng.exponential() / frailty) ** (1 / SHAPE)
                entry = rng.uniform(0, 0.3) if entries and rng.random() < 0.2 else 0.0
                end = min(life, left)
                left -= end
                if end <= entry:
                    break
                low = high = end
                if end < life:
                    high = np.inf
                elif rng.random() < looks:
                    low, high = max(entry, end - rng.uniform(0, 0.2)), end + rng.uniform(0.01, 0.2)
                rows.append((vehicle, heavy, entry, low, high))
                if left <= 0 or end < life:
                    break
    table = np.array(rows)
    return {
        "cluster": table[:, 0].astype(int), "design": np.column_stack([np.ones(len(table)), table[:, 1]]),
        "entry": table[:, 2], "stop_low": table[:, 3], "stop_high": table[:, 4],
    }  # fmt: skip


def by_quadrature(lives, weight, family, vehicle, *, selected):
    """Log-likelihood of one vehicle by adaptive integration over its frailty."""
    mine = lives["cluster"] == vehicle
    coefficients, shape, variance = AT[:2], math.exp(AT[2]), math.exp(AT[3])
    predictor = lives["design"][mine] @ coefficients

    def clock(age):
        return shape * (np.log(np.maximum(age, 1e-300)) - predictor)

    low, high, entry = (lives[name][mine] for name in ("stop_low", "stop_high", "entry"))
    exact, between = low == high, np.isfinite(high) & (high > low)
    h_low, h_entry = family.cumulative(clock(low)), family.cumulative(clock(entry))
    gap = np.where(between, family.cumulative(clock(np.where(between, high, 1.0))) - h_low, 1.0)
    density = family.slopes(clock(low))[2] + AT[2] - np.log(low)
    own = weight[mine]

    def integrand(z, *, seen):
        if not seen:
            return math.exp(-z * float(own @ h_entry)) * gamma.pdf(z, 1 / variance, scale=variance)
        terms = np.where(exact, math.log(z) + density - z * h_low, -z * h_low)
        terms += np.where(between, np.log(-np.expm1(-z * gap)), 0.0)
        terms += 0.0 if selected else z * h_entry
        return math.exp(float(own @ terms)) * gamma.pdf(z, 1 / variance, scale=variance)

    def integral(seen):
        pieces = [1e-12, 0.1, 0.5, 1.0, 2.0, 4.0, 60.0]
        return math.fsum(
            quad(lambda z: integrand(z, seen=seen), a, b, epsabs=0, epsrel=1e-12, limit=200)[0]
            for a, b in itertools.pairwise(pieces)
        )

    return math.log(integral(True)) - (math.log(integral(False)) if selected else 0.0)


@pytest.mark.parametrize("family", [WEIBULL, LOGNORMAL], ids=lambda f: f.name)
@pytest.mark.parametrize("selected", [False, True])
def test_value_equals_quadrature(family, selected):
    lives = drawn(1, 15, variance=0.5)
    weight = np.random.default_rng(2).choice([1.0, 1.0, 0.4], len(lives["entry"]))
    data = build_life_data(**lives, weight=weight)
    found = FrailtyLikelihood(data, family=family, selected=selected)(AT).values
    expected = [
        by_quadrature(lives, weight, family, vehicle, selected=selected) for vehicle in np.unique(lives["cluster"])
    ]
    np.testing.assert_allclose(found, expected, atol=1e-8)


def test_value_equals_quadrature_where_looks_are_far_apart():
    lives = drawn(12, 40, variance=0.5, looks=0.6)
    between = np.isfinite(lives["stop_high"]) & (lives["stop_high"] > lives["stop_low"])
    earlier = np.maximum(np.maximum(lives["entry"], lives["stop_low"] - 0.8), 0.01)
    lives["stop_low"] = np.where(between, earlier, lives["stop_low"])
    lives["stop_high"] = lives["stop_high"] + 0.8 * between
    weight = np.ones(len(between))
    expected = [by_quadrature(lives, weight, WEIBULL, v, selected=False) for v in np.unique(lives["cluster"])]
    found = FrailtyLikelihood(build_life_data(**lives))(AT).values
    np.testing.assert_allclose(found, expected, atol=1e-8)


@pytest.mark.parametrize("family", [WEIBULL, LOGNORMAL], ids=lambda f: f.name)
@pytest.mark.parametrize("selected", [False, True])
@pytest.mark.parametrize("log_variance", [-4.0, -0.6, 0.7])
def test_derivatives(family, selected, log_variance):
    lives = drawn(3, 25, variance=0.5)
    objective = FrailtyLikelihood(build_life_data(**lives), family=family, selected=selected)
    at = np.append(AT[:-1], log_variance)
    here, step = objective(at), 1e-5
    sides = [(objective(at + step * e), objective(at - step * e)) for e in np.eye(len(at))]
    slopes = [(up.value - down.value) / (2 * step) for up, down in sides]
    bends = [(up.gradient - down.gradient) / (2 * step) for up, down in sides]
    np.testing.assert_allclose(here.gradient, slopes, atol=2e-7 * abs(here.value))
    np.testing.assert_allclose(here.hessian, bends, atol=2e-7 * np.abs(here.hessian).max())


def test_cutting_a_life_into_segments_changes_nothing():
    lives = drawn(4, 20, variance=0.5)
    n = len(lives["entry"])
    cut = build_stretched_life_data(
        life=np.repeat(np.arange(n), 2),
        segment_from=np.tile([0.0, 0.4], n),
        segment_to=np.tile([0.4, np.inf], n),
        design=np.repeat(lives["design"], 2, axis=0),
        **{name: lives[name] for name in ("entry", "stop_low", "stop_high", "cluster")},
    )
    whole, cut_up = FrailtyLikelihood(build_life_data(**lives))(AT), FrailtyLikelihood(cut)(AT)
    assert cut_up.value == pytest.approx(whole.value, abs=1e-9)
    np.testing.assert_allclose(cut_up.gradient, whole.gradient, atol=1e-8)
    np.testing.assert_allclose(cut_up.hessian, whole.hessian, atol=1e-7)


@pytest.mark.parametrize("variance", [0.0, 0.3, 0.8])
def test_the_truth_is_found_again(variance):
    data = build_life_data(**drawn(5, 3000, variance=variance, entries=False))
    fit = fit_frailty(data)
    errors = np.sqrt(np.diag(fit.covariance))
    truth = np.array([0.0, EFFECT, math.log(SHAPE)])
    assert fit.converged
    assert (np.abs(fit.values[:3] - truth) < 4 * errors[:3]).all()
    if variance == 0:
        assert fit.variance < 0.03
    else:
        assert abs(fit.values[3] - math.log(variance)) < 4 * errors[3]
        # Taken as alike, vehicles that differ flatten the shape.
        assert fit_lives(data).values[-1] < math.log(SHAPE) - 0.05
        assert fit.log_likelihood > fit_lives(data).log_likelihood + 10


def test_expected_frailties_rise_with_the_failures_of_a_vehicle():
    lives = drawn(6, 300, variance=0.6)
    fit = fit_frailty(build_life_data(**lives))
    failures = np.bincount(lives["cluster"], np.isfinite(lives["stop_high"]), minlength=300)
    present = np.unique(lives["cluster"])
    assert np.corrcoef(fit.frailty, failures[present])[0, 1] > 0.5
    assert fit.frailty.mean() == pytest.approx(1.0, abs=0.1)


@pytest.mark.parametrize("variance", [0.0, 0.02, 0.5])
def test_a_sample_of_the_vehicles_decides_where_the_way_begins_not_where_it_ends(monkeypatch, variance):
    data = build_life_data(**drawn(11, 6000, variance=variance))
    assert data.lives > 16 * 1500
    begun = fit_frailty(data)
    monkeypatch.setattr(frailty_fit, "_SMALLEST_SAMPLE", 10**9)
    whole = fit_frailty(data)
    assert begun.converged and whole.converged
    # The last step is taken without a pass where there are many lives.
    assert begun.log_likelihood == pytest.approx(whole.log_likelihood, abs=1e-8)
    errors = np.sqrt(np.diag(whole.covariance))
    assert (np.isfinite(begun.values) == np.isfinite(whole.values)).all()
    seen = np.isfinite(whole.values)
    assert (np.abs(begun.values[seen] - whole.values[seen]) < 1e-4 * errors[seen]).all()
    np.testing.assert_allclose(np.sqrt(np.diag(begun.covariance)), errors, rtol=1e-3)
    np.testing.assert_allclose(begun.frailty, whole.frailty, rtol=1e-3)
    if variance == 0.5:
        assert begun.passes < whole.passes


def test_the_unit_of_distance_moves_only_the_intercept():
    lives = drawn(7, 150, variance=0.5)
    far = {name: lives[name] * 1e5 if name in ("entry", "stop_low", "stop_high") else lives[name] for name in lives}
    near, other = fit_frailty(build_life_data(**lives)), fit_frailty(build_life_data(**far))
    moved = other.values - near.values
    assert moved[0] == pytest.approx(math.log(1e5), abs=1e-7)
    np.testing.assert_allclose(moved[1:], 0.0, atol=1e-7)


def test_two_equal_lives_are_one_of_weight_two():
    lives = drawn(8, 40, variance=0.5)
    weight = np.ones(len(lives["entry"]))
    weight[3] = 2.0
    twice = {name: np.concatenate([column, column[3:4]]) for name, column in lives.items()}
    one, two = FrailtyLikelihood(build_life_data(**lives, weight=weight)), FrailtyLikelihood(build_life_data(**twice))
    assert one(AT).value == pytest.approx(two(AT).value, abs=1e-9)


def test_a_strong_prior_draws_an_effect_to_nothing():
    data = build_life_data(**drawn(10, 200, variance=0.5))
    free, held = fit_frailty(data), fit_frailty(data, prior_precision=np.array([0.0, 1e8]))
    assert abs(free.values[1]) > 0.1 and abs(held.values[1]) < 1e-3
    assert held.covariance[1, 1] == pytest.approx(1e-8, rel=1e-3)


def test_a_given_shape_stays():
    fit = fit_frailty(build_life_data(**drawn(9, 100, variance=0.5)), given_log_shape=math.log(2.0))
    assert fit.values[-2] == pytest.approx(math.log(2.0)) and fit.covariance[-2, -2] == 0.0


@pytest.mark.parametrize("shape", [0.7, 3.0, 40.0])
def test_nodes_integrate_polynomials_and_logarithms(shape):
    nodes = laguerre_nodes(np.array([shape]), np.array([2.0]), 14)
    law, weight, z = gamma(shape, scale=0.5), np.exp(nodes.log_weight[0]), nodes.value[0]
    assert weight.sum() == pytest.approx(1.0, abs=1e-12)
    assert weight @ z**5 == pytest.approx(law.moment(5), rel=1e-10)
    for values, power in ((nodes.log[0], 1), (nodes.log_square[0], 2)):
        expected = quad(
            lambda u, p=power: u**p * math.exp(2 * u) * law.pdf(math.exp(u)) * math.exp(u), -60, 6, limit=500
        )[0]
        assert weight @ (values * z**2) == pytest.approx(expected, rel=1e-8)
