"""lifelines as the independent answer: late entry, intervals, weights and covariates together."""

import warnings

import numpy as np
import pandas as pd
import pytest
from lifelines import WeibullAFTFitter

from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data


def drawn_lives(seed, count=1500):
    """Weibull lives with two covariates, 30 % late entry, a fifth of the failures known to an interval."""
    rng = np.random.default_rng(seed)
    design = np.column_stack([np.ones(count), rng.integers(0, 2, count), rng.normal(size=count)])
    scale = np.exp(design @ np.array([4.0, -0.5, 0.2]))
    life = scale * rng.weibull(2.2, count)
    entry = np.where(rng.random(count) < 0.3, rng.uniform(0, 30, count), 0.0)
    seen = life > entry
    life, entry, design = life[seen], entry[seen], design[seen]
    end = entry + rng.uniform(10, 90, len(life))
    failed = life <= end
    step = 8.0
    looked = failed & (rng.random(len(life)) < 0.25)
    low = np.where(looked, np.maximum(np.floor(life / step) * step, entry), np.where(failed, life, end))
    high = np.where(looked, np.minimum(np.ceil(life / step) * step, end), np.where(failed, life, np.inf))
    return {"entry": entry, "stop_low": low, "stop_high": high, "design": design}


def lifelines_fit(lives):
    frame = pd.DataFrame(lives["design"][:, 1:], columns=["heavy", "load"])
    frame["low"], frame["high"], frame["entry"] = lives["stop_low"], lives["stop_high"], lives["entry"]
    frame["low"] = frame["low"].clip(lower=1e-8)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fitter = WeibullAFTFitter()
        fitter.fit_interval_censoring(frame, lower_bound_col="low", upper_bound_col="high", entry_col="entry")
    return fitter


@pytest.mark.parametrize("seed", [1, 2])
def test_weibull_regression_equals_lifelines(seed):
    lives = drawn_lives(seed)
    mine = fit_lives(build_life_data(**lives))
    other = lifelines_fit(lives)
    table = other.params_
    expected = [
        table["lambda_", "Intercept"], table["lambda_", "heavy"], table["lambda_", "load"], table["rho_", "Intercept"],
    ]
    assert mine.converged
    np.testing.assert_allclose(mine.values, expected, rtol=2e-4, atol=2e-4)
    assert mine.log_likelihood >= other.log_likelihood_ - 1e-6
    assert mine.log_likelihood == pytest.approx(other.log_likelihood_, abs=0.02)
    errors = other.standard_errors_
    mine_errors = np.sqrt(np.diag(mine.covariance))
    np.testing.assert_allclose(mine_errors[1], errors["lambda_", "heavy"], rtol=0.02)
    np.testing.assert_allclose(mine_errors[3], errors["rho_", "Intercept"], rtol=0.02)


def test_truth_is_recovered():
    estimates = np.array([fit_lives(build_life_data(**drawn_lives(seed))).values for seed in range(20, 60)])
    mean, error = estimates.mean(axis=0), estimates.std(axis=0, ddof=1) / np.sqrt(len(estimates))
    assert np.all(np.abs(mean - [4.0, -0.5, 0.2, np.log(2.2)]) < 3.5 * error)


def test_wald_interval_covers():
    """90 % intervals of the shape over 200 samples: 19 times in 20 the count lies in 172..188 of 200 or near."""
    inside = 0
    for seed in range(200):
        fit = fit_lives(build_life_data(**drawn_lives(seed, count=300)))
        half = 1.6448536269514722 * np.sqrt(fit.covariance[-1, -1])
        inside += abs(fit.values[-1] - np.log(2.2)) < half
    assert 168 <= inside <= 192
