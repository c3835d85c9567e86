"""Lives of unknown age: the likelihood against quadrature, its derivatives, and the laws it must obey."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from unknown_age_lives import AT, differences, ends, fleet, no_lives, simple

from wearmodel.survival.coding import Coding
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.families import WEIBULL
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.likelihood import evaluate
from wearmodel.survival.renewal import renewal_function
from wearmodel.survival.unknown_ages.fit import UnknownAgeLikelihood, fit_with_unknown_ages, frailty_objective
from wearmodel.survival.unknown_ages.lives import build_unknown_ages

CODING = Coding(("road", "site"), (1.0, 0.0), "none", 0.0, (0.0,), None)
seeds = st.integers(0, 2**31)


@pytest.mark.parametrize("other_rate", [0.0, 0.3])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_gradient_and_hessian_are_derivatives(seed, other_rate):
    objective = UnknownAgeLikelihood(*fleet(seed, other_rate=other_rate))
    here = objective(AT)
    gradient, hessian = differences(objective, AT)
    np.testing.assert_allclose(here.gradient, gradient, rtol=1e-7, atol=2e-6)
    np.testing.assert_allclose(here.hessian, hessian, rtol=1e-6, atol=2e-5)
    np.testing.assert_allclose(here.hessian, here.hessian.T, rtol=1e-12)


@pytest.mark.parametrize("seed", [1, 2])
def test_the_value_alone_is_the_value(seed):
    objective, beyond = UnknownAgeLikelihood(*fleet(seed)), np.append(AT[:-1], 9.0)
    assert objective.value(AT) == objective(AT).value
    assert objective.value(beyond) == objective(beyond).value == -np.inf


def test_vehicles_parted_in_two_say_together_what_they_say_at_once():
    data, unknown = fleet(5)
    mine = ComponentLives("joint", CODING, data, np.arange(40), unknown, np.arange(40, 100))
    parts = [mine.of_vehicles(np.arange(begin, begin + 8)) for begin in (0, 8)]
    assert sorted(np.concatenate([part.rows for part in parts])) == list(range(40))
    assert sorted(np.concatenate([part.undated_rows for part in parts])) == list(range(40, 100))
    whole, *halves = (UnknownAgeLikelihood(one.dated, one.unknown)(AT) for one in (mine, *parts))
    assert sum(half.value for half in halves) == pytest.approx(whole.value, rel=1e-9)
    np.testing.assert_allclose(sum(half.gradient for half in halves), whole.gradient, rtol=1e-7, atol=1e-7)
    assert mine.of_vehicles(np.array([99])).data is None


def test_against_direct_integration():
    """The sum over all unseen pasts, with the renewal function of another algorithm."""
    lives = simple(4, 30)
    scale, shape = 1.3, 2.1
    expected = 0.0
    for begin, low, high in zip(lives["observed_from"], lives["stop_low"], lives["stop_high"], strict=True):
        cuts = begin * np.linspace(0.0, 1.0, 4_001) ** 2
        weight = np.append(np.diff(renewal_function(cuts, shape=shape, scale=scale)), 1.0)
        fitted = np.append((cuts[1:] + cuts[:-1]) / 2.0, 0.0)

        def good(until, fitted=fitted, weight=weight):
            return weight @ np.exp(-(((until - fitted) / scale) ** shape))

        if high == low:
            age = (low - fitted) / scale
            likelihood = weight @ (shape / scale * age ** (shape - 1) * np.exp(-(age**shape)))
        else:
            likelihood = good(low) - (good(high) if np.isfinite(high) else 0.0)
        expected += np.log(likelihood)
    found = UnknownAgeLikelihood(no_lives(), build_unknown_ages(**lives))(np.log([scale, shape]))
    assert found.value == pytest.approx(expected, abs=1e-3)


def test_no_unseen_past_is_an_ordinary_life():
    rng = np.random.default_rng(5)
    low, high = ends(rng, np.zeros(40))
    ordinary = build_life_data(entry=np.zeros(40), stop_low=low, stop_high=high)
    first = build_unknown_ages(observed_from=np.zeros(40), stop_low=low, stop_high=high, other_rate=0.3)
    at = np.array([0.2, 0.8])
    found, expected = UnknownAgeLikelihood(no_lives(), first)(at), evaluate(ordinary, at, WEIBULL)
    assert found.value == pytest.approx(expected.value, abs=1e-4)
    np.testing.assert_allclose(found.gradient, expected.gradient, atol=2e-2)


def test_without_lives_of_unknown_age_it_is_the_plain_fit():
    data, _ = fleet(6)
    none = build_unknown_ages(observed_from=[], stop_low=[], stop_high=[], design=np.zeros((0, 2)), life=[],
                              segment_from=[], segment_to=[])  # fmt: skip
    fit, plain = fit_with_unknown_ages(data, none, frailty=False), fit_lives(data)
    np.testing.assert_allclose(fit.values, plain.values, rtol=1e-7, atol=1e-8)
    np.testing.assert_allclose(fit.covariance, plain.covariance, rtol=1e-6)
    assert fit.log_likelihood == pytest.approx(plain.log_likelihood, rel=1e-10)
    assert fit.theta == 0.0
    assert fit.converged


@settings(max_examples=3, deadline=None)
@given(seed=seeds)
def test_a_looked_at_life_splits_into_chances(seed):
    """Failed before the look, or good at it and failed or censored later: the chances add up."""
    rng = np.random.default_rng(seed)
    begin, look = rng.uniform(0.2, 3.0, 20), rng.uniform(0.05, 1.0, 20)

    def value(low, high):
        first = build_unknown_ages(observed_from=begin[i : i + 1], stop_low=[low], stop_high=[high])
        return np.exp(UnknownAgeLikelihood(no_lives(), first)(np.array([0.1, 0.8])).value)

    for i in range(20):
        at = begin[i] + look[i]
        parts = value(begin[i], at) + value(at, at + 0.3) + value(at + 0.3, np.inf)
        # Three tables, each as long as its life needs.
        assert parts == pytest.approx(1.0, abs=1e-8)


@pytest.mark.parametrize(("frailty", "factor"), [(False, 1e-5), (False, 1.6e5), (True, 1.6e5)])
def test_the_unit_of_distance_changes_only_the_intercept(frailty, factor):
    lives = simple(7, 120)
    fit = fit_with_unknown_ages(no_lives(), build_unknown_ages(**lives, other_rate=0.2), frailty=frailty)
    scaled = lives | {name: factor * lives[name] for name in ("observed_from", "stop_low", "stop_high")}
    other = fit_with_unknown_ages(no_lives(), build_unknown_ages(**scaled, other_rate=0.2 / factor), frailty=frailty)
    np.testing.assert_allclose(other.values[1:], fit.values[1:], atol=1e-6)
    assert other.values[0] - fit.values[0] == pytest.approx(np.log(factor), abs=1e-6)
    np.testing.assert_allclose(other.covariance, fit.covariance, rtol=1e-4, atol=1e-8)


@settings(max_examples=6, deadline=None)
@given(seed=seeds)
def test_row_order_and_doubled_rows(seed):
    lives = simple(seed)
    at = np.array([0.2, 0.7])
    order = np.random.default_rng(seed).permutation(60)
    whole = UnknownAgeLikelihood(no_lives(), build_unknown_ages(**lives))(at)
    shuffled = build_unknown_ages(**{name: values[order] for name, values in lives.items()})
    assert UnknownAgeLikelihood(no_lives(), shuffled)(at).value == pytest.approx(whole.value, rel=1e-12)
    twice = build_unknown_ages(**{name: np.concatenate([values, values]) for name, values in lives.items()})
    heavy = build_unknown_ages(**lives, weight=np.full(60, 2.0))
    for make in (UnknownAgeLikelihood, frailty_objective):
        where = at if make is UnknownAgeLikelihood else np.append(at, -0.5)
        one, two = make(no_lives(), twice)(where), make(no_lives(), heavy)(where)
        assert one.value == pytest.approx(two.value, rel=1e-12)
        np.testing.assert_allclose(one.gradient, two.gradient, rtol=1e-8, atol=1e-8)
        np.testing.assert_allclose(one.hessian, two.hessian, rtol=1e-7, atol=1e-6)


@settings(max_examples=6, deadline=None)
@given(seed=seeds)
def test_equal_segments_equal_one_segment(seed):
    lives = simple(seed)
    cut = np.random.default_rng(seed).uniform(0.1, 3.0, 60)
    pieces = build_unknown_ages(
        life=np.repeat(np.arange(60), 2),
        segment_from=np.column_stack([np.zeros(60), cut]).ravel(),
        segment_to=np.column_stack([cut, np.full(60, np.inf)]).ravel(),
        design=np.ones((120, 1)),
        **lives,
    )
    at = np.array([0.2, 0.7, -0.4])
    for make, where in ((UnknownAgeLikelihood, at[:2]), (frailty_objective, at)):
        one, two = make(no_lives(), build_unknown_ages(**lives))(where), make(no_lives(), pieces)(where)
        assert two.value == pytest.approx(one.value, rel=1e-11)
        np.testing.assert_allclose(two.gradient, one.gradient, rtol=1e-7, atol=1e-7)
        np.testing.assert_allclose(two.hessian, one.hessian, rtol=1e-6, atol=1e-5)


def test_recovers_covariates_of_a_large_fleet_with_other_renewals():
    """Positions simulated from new, worn and otherwise renewed parts; estimates within three standard errors."""
    rng = np.random.default_rng(8)
    count, shape, rate = 8_000, 2.2, 0.5
    truth = np.array([np.log(50_000.0), 0.3, np.log(shape)])
    x = rng.integers(0, 2, count).astype(float)
    scale = np.exp(truth[0] + truth[1] * x)
    service, fitted = rng.uniform(0.8, 3.0, count) * 50_000.0, np.zeros(count)
    begin = 0.6 * service

    def lasts(rows):
        return scale[rows] * rng.weibull(shape, len(rows)), 50_000.0 / rate * rng.exponential(size=len(rows))

    worn, other = lasts(np.arange(count))
    while (rows := np.flatnonzero(fitted + np.minimum(worn, other) < begin)).size:
        fitted[rows] += np.minimum(worn, other)[rows]
        worn[rows], other[rows] = lasts(rows)
    end = np.minimum(fitted + np.minimum(worn, other), service)
    failed = fitted + worn <= end
    lives = {"observed_from": begin, "stop_low": end, "stop_high": np.where(failed, end, np.inf),
             "design": np.column_stack([np.ones(count), x])}  # fmt: skip
    fit = fit_with_unknown_ages(no_lives(2), build_unknown_ages(**lives, other_rate=rate / 50_000.0), frailty=False)
    assert fit.converged
    errors = np.sqrt(np.diag(fit.covariance))
    assert (np.abs(fit.values - truth) < 3.0 * errors).all()
    np.testing.assert_allclose(np.sqrt(np.diag(fit.clustered_covariance)), errors, rtol=0.1)
    # The unseen renewals matter: taken as none, the parts look older and the scale too long.
    ignored = fit_with_unknown_ages(no_lives(2), build_unknown_ages(**lives), frailty=False)
    assert abs(ignored.values[0] - truth[0]) > 3.0 * errors[0]


def test_a_prior_pulls_a_coefficient_to_nothing():
    data, first = fleet(9)
    free = fit_with_unknown_ages(data, first, frailty=False)
    held = fit_with_unknown_ages(data, first, frailty=False, prior_precision=[0.0, 1e6])
    assert abs(held.values[1]) < 1e-3 < abs(free.values[1])
    assert held.log_likelihood < free.log_likelihood


def test_shapes_no_table_holds_are_no_answer():
    objective = UnknownAgeLikelihood(*fleet(1))
    assert objective(np.array([0.1, 0.2, 4.0])).value == -np.inf
    assert frailty_objective(*fleet(1))(np.array([0.1, 0.2, 4.0, -1.0])).value == -np.inf


def test_refusals():
    with pytest.raises(ValueError, match="no failure"):
        fit_with_unknown_ages(
            no_lives(), build_unknown_ages(observed_from=[1.0], stop_low=[2.0], stop_high=[np.inf]), frailty=False
        )
    with pytest.raises(ValueError, match="design columns"):
        fit_with_unknown_ages(no_lives(2), build_unknown_ages(**simple(1)), frailty=False)
    with pytest.raises(ValueError, match="0 or more and finite"):
        build_unknown_ages(observed_from=[1.0], stop_low=[2.0], stop_high=[2.0], other_rate=-1.0)
    with pytest.raises(ValueError, match="1 lives break"):
        build_unknown_ages(observed_from=[2.0], stop_low=[1.0], stop_high=[1.0])
