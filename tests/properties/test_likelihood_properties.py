"""Laws the likelihood must obey, whatever the data."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wearmodel.survival.families import LOG_LOGISTIC, LOGNORMAL, WEIBULL
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data, build_stretched_life_data
from wearmodel.survival.likelihood import evaluate

FAMILIES = [WEIBULL, LOGNORMAL, LOG_LOGISTIC]
seeds = st.integers(0, 2**31)


def sample(seed, count=40):
    """Mixed lives: late entry, intervals, censoring, weights, two covariates, changing half-way."""
    rng = np.random.default_rng(seed)
    entry = rng.uniform(0.0, 0.5, count) * (rng.random(count) < 0.4)
    low = entry + rng.uniform(0.05, 2.0, count)
    kind = rng.integers(0, 3, count)
    high = np.select([kind == 0, kind == 1], [low, low + rng.uniform(0.05, 0.6, count)], np.inf)
    return {
        "entry": entry,
        "stop_low": low,
        "stop_high": high,
        "weight": rng.uniform(0.5, 2.0, count),
        "design": np.column_stack([np.ones(count), rng.normal(size=count), rng.integers(0, 2, count)]),
        "cluster": rng.integers(0, 8, count),
    }


def stretched(seed, count=40):
    """The same with a covariate that changes at a random age."""
    lives = sample(seed, count)
    rng = np.random.default_rng(seed + 1)
    cut = rng.uniform(0.2, 1.5, count)
    design = np.repeat(lives.pop("design"), 2, axis=0)
    design[1::2, 1] += 0.7
    return build_stretched_life_data(
        life=np.repeat(np.arange(count), 2),
        segment_from=np.column_stack([np.zeros(count), cut]).ravel(),
        segment_to=np.column_stack([cut, np.full(count, np.inf)]).ravel(),
        design=design,
        **lives,
    )


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
@settings(max_examples=15, deadline=None)
@given(seed=seeds)
def test_gradient_and_hessian_are_derivatives(family, seed):
    data = stretched(seed)
    at = np.array([0.3, 0.2, -0.1, 0.3])
    here = evaluate(data, at, family)
    step = 1e-5
    for index in range(4):
        move = np.zeros(4)
        move[index] = step
        up, down = evaluate(data, at + move, family), evaluate(data, at - move, family)
        assert (up.value - down.value) / (2 * step) == pytest.approx(
            here.gradient[index], rel=1e-5, abs=1e-5
        )
        np.testing.assert_allclose(
            (up.gradient - down.gradient) / (2 * step), here.hessian[index], rtol=1e-5, atol=1e-4
        )


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
@settings(max_examples=15, deadline=None)
@given(seed=seeds)
def test_splitting_a_life_leaves_the_likelihood_unchanged(family, seed):
    lives = sample(seed)
    whole = build_life_data(**lives)
    # Cut each life in the middle of what was seen: censored there, entered late there.
    middle = (lives["entry"] + lives["stop_low"]) / 2
    first = {**lives, "stop_low": middle, "stop_high": np.full(40, np.inf)}
    second = {**lives, "entry": middle}
    pieces = build_life_data(**{k: np.concatenate([first[k], second[k]]) for k in lives})
    at = np.array([0.1, -0.2, 0.3, 0.4])
    assert evaluate(pieces, at, family).value == pytest.approx(
        evaluate(whole, at, family).value, rel=1e-10
    )


@settings(max_examples=15, deadline=None)
@given(seed=seeds, factor=st.floats(1e-4, 1e6))
def test_scaling_distances_scales_only_the_scale(seed, factor):
    lives = sample(seed)
    fit = fit_lives(build_life_data(**lives), prior_precision=np.array([0.0, 1.0, 1.0]))
    scaled = {**lives} | {k: lives[k] * factor for k in ("entry", "stop_low", "stop_high")}
    other = fit_lives(build_life_data(**scaled), prior_precision=np.array([0.0, 1.0, 1.0]))
    np.testing.assert_allclose(other.values[1:], fit.values[1:], rtol=1e-6, atol=1e-7)
    assert other.values[0] - fit.values[0] == pytest.approx(np.log(factor), abs=1e-6)
    np.testing.assert_allclose(other.covariance, fit.covariance, rtol=1e-5, atol=1e-8)


@settings(max_examples=15, deadline=None)
@given(seed=seeds)
def test_row_order_and_doubled_rows(seed):
    lives = sample(seed)
    fit = fit_lives(build_life_data(**lives))
    order = np.random.default_rng(seed).permutation(40)
    shuffled = fit_lives(build_life_data(**{k: v[order] for k, v in lives.items()}))
    np.testing.assert_allclose(shuffled.values, fit.values, rtol=1e-7, atol=1e-9)
    # Entries are of the size of the two standard errors; covariances near 0 hold no more digits than those.
    error = np.sqrt(np.diag(fit.clustered_covariance))
    size = np.outer(error, error)
    np.testing.assert_allclose(shuffled.clustered_covariance / size, fit.clustered_covariance / size, atol=1e-6)
    twice = fit_lives(build_life_data(**{k: np.concatenate([v, v]) for k, v in lives.items()}))
    doubled = fit_lives(build_life_data(**{**lives, "weight": 2 * lives["weight"]}))
    np.testing.assert_allclose(twice.values, doubled.values, rtol=1e-7, atol=1e-9)
    assert twice.log_likelihood == pytest.approx(2 * fit.log_likelihood, rel=1e-9)


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
@pytest.mark.parametrize("shared", [False, True], ids=["each its own covariates", "covariates shared"])
@settings(max_examples=10, deadline=None)
@given(seed=seeds)
def test_equal_segments_equal_one_segment(family, shared, seed):
    """Lives of several segments know nothing of shared covariates, nor of the shorter way of those of one."""
    lives = sample(seed)
    design = lives.pop("design")
    if shared:
        design[:, 1] = design[:, 2]
    plain = build_life_data(design=design, **lives)
    cut = np.random.default_rng(seed).uniform(0.1, 2.0, 40)
    pieces = build_stretched_life_data(
        life=np.repeat(np.arange(40), 2),
        segment_from=np.column_stack([np.zeros(40), cut]).ravel(),
        segment_to=np.column_stack([cut, np.full(40, np.inf)]).ravel(),
        design=np.repeat(design, 2, axis=0),
        **lives,
    )
    at = np.array([0.2, 0.1, -0.3, 0.2])
    one, two = evaluate(plain, at, family), evaluate(pieces, at, family)
    assert two.value == pytest.approx(one.value, rel=1e-12)
    np.testing.assert_allclose(two.gradient, one.gradient, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(two.hessian, one.hessian, rtol=1e-8, atol=1e-8)
    by_life, of_pieces = one.by_life, two.by_life
    np.testing.assert_allclose(of_pieces.shape, by_life.shape, rtol=1e-8, atol=1e-9)
    of_pieces_by_life = of_pieces.segment.reshape(-1, 2).sum(axis=1)
    np.testing.assert_allclose(of_pieces_by_life, by_life.segment, rtol=1e-8, atol=1e-9)
