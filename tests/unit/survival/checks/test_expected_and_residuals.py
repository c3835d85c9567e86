"""Expected failures, residuals, calibration and counts: identities, published values, chance under a right law."""

from dataclasses import replace

import numpy as np
import pytest
from check_lives import component, draw_lives, fitted, true_model
from scipy.integrate import quad
from scipy.stats import chi2, nbinom, poisson

from wearmodel.survival.checks.calibration import calibrate, calibration_chance, poisson_limits
from wearmodel.survival.checks.counts import ExpectedCount, count_limits, expected_count
from wearmodel.survival.checks.hazards import expected_failures, had_it_gone_on, life_hazards
from wearmodel.survival.checks.residuals import farthest_off, residual_curve
from wearmodel.survival.checks.verdicts import MOST_ERRORS
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.risk_sets import hazard_steps
from wearmodel.survival.vehicle_frailties import vehicle_frailties


def test_interval_failure_expects_the_mean_hazard_within_it():
    data = build_life_data(entry=[20.0], stop_low=[40.0], stop_high=[130.0], design=[[1.0, 1.0]])
    hazards = life_hazards(true_model(), data)
    h0, a, b = hazards.entry[0], hazards.low[0], hazards.high[0]
    mean = quad(lambda h: h * np.exp(-h), a, b)[0] / quad(lambda h: np.exp(-h), a, b)[0]
    assert expected_failures(hazards, data)[0] == pytest.approx(mean - h0, rel=1e-10)
    assert h0 == pytest.approx((20.0 / (100.0 * np.exp(-0.6))) ** 2.2, rel=1e-12)


def test_a_fit_expects_as_many_failures_as_were_seen():
    data = draw_lives(np.random.default_rng(1))
    hazards = life_hazards(fitted(data), data)
    assert data.interval.sum() > 50
    assert data.weight @ expected_failures(hazards, data) == pytest.approx(data.failures, rel=1e-5)


def test_expected_failures_are_unbiased_however_lives_are_looked_at():
    for share in (0.0, 1.0):
        data = draw_lives(np.random.default_rng(2), lives=40_000, interval_share=share)
        off = (data.exact | data.interval) - expected_failures(life_hazards(true_model(), data), data)
        assert abs(off.sum()) < 3.0 * np.sqrt((off**2).sum())
        to_the_end = life_hazards(true_model(), data)
        if share:
            naive = (data.exact | data.interval) - (to_the_end.high - to_the_end.entry)
            assert naive.sum() < -10.0 * np.sqrt((off**2).sum())


def test_residuals_without_intervals_are_nelson_aalen_of_the_hazard_run():
    data = draw_lives(np.random.default_rng(6), interval_share=0.0)
    hazards = life_hazards(fitted(data), data)
    run = hazards.low - hazards.entry
    steps = hazard_steps(entry=np.zeros(len(run)), stop=run, failed=data.exact)
    curve = residual_curve(hazards, data)
    np.testing.assert_allclose(curve["residual"], steps.age, rtol=1e-12)
    np.testing.assert_allclose(curve["cumulative_hazard"], steps.hazard, rtol=1e-9)
    assert (curve["lower"] < curve["cumulative_hazard"]).all()
    assert (curve["upper"] > curve["cumulative_hazard"]).all()


def _checked(data):
    model = fitted(data)
    # Where vehicles wear unlike, each life counts at the rate its vehicle's record tells.
    rates = vehicle_frailties(component(data), model, vehicles=60).mean
    hazards = life_hazards(model, data, rates=rates)
    ahead = had_it_gone_on(replace(data, before_high=data.before_entry), np.full(data.lives, 50.0))
    foreseen = life_hazards(model, ahead)
    table = calibrate(
        # Observed further than any failure: the risk does not know how the life ended.
        risk=foreseen.low - foreseen.entry,
        expected=expected_failures(hazards, data),
        seen=data.exact | data.interval,
        weight=data.weight,
    )
    return abs(farthest_off(residual_curve(hazards, data)).errors), calibration_chance(table)


def test_a_right_law_is_seldom_named_and_a_wrong_one_is():
    rng = np.random.default_rng(7)
    right = np.array([_checked(draw_lives(rng, lives=200)) for _ in range(150)])
    # Each check should name 1 in 100 at most: 6 or more of 150 have a chance below 0.5 %.
    assert (right[:, 0] > MOST_ERRORS).sum() < 6
    assert (right[:, 1] < 0.01).sum() < 6

    def two_kinds(rng, scale):
        return np.where(rng.random(len(scale)) < 0.25, 0.1, 1.3) * scale * rng.weibull(4.0, len(scale))

    wrong = np.array([_checked(draw_lives(rng, law=two_kinds)) for _ in range(10)])
    assert (wrong[:, 0] > MOST_ERRORS).all()


def test_tenths_share_out_lives_and_ties_stay_together():
    rng = np.random.default_rng(8)
    risk = rng.random(1000)
    table = calibrate(risk=risk, expected=risk, seen=risk > 0.5, weight=np.ones(1000))
    assert table["lives"].tolist() == [100.0] * 10
    assert table["expected"].is_monotonic_increasing
    assert table["seen"].sum() == (risk > 0.5).sum()
    tied = calibrate(risk=np.ones(50), expected=risk[:50], seen=risk[:50] > 0.5, weight=np.ones(50))
    assert len(tied) == 1


def test_poisson_limits_of_the_tables():
    # Garwood's limits as quoted in any table of exact Poisson limits: 3 seen, 95 %: 0.6187 to 8.7673.
    low, high = poisson_limits([0.0, 3.0], confidence=0.95)
    np.testing.assert_allclose(low, [0.0, 0.6187], atol=5e-5)
    np.testing.assert_allclose(high, [3.6889, 8.7673], atol=5e-5)
    assert poisson_limits(7.0)[1] == pytest.approx(chi2.ppf(0.95, 16) / 2, rel=1e-12)


def test_limits_of_a_count_are_those_of_its_law():
    for mean in (0.3, 4.0, 41.0, 900.0):
        expected = [int(poisson.ppf(q, mean)) for q in (0.05, 0.95)]
        assert list(count_limits(ExpectedCount(mean, 0.0), confidence=0.9)) == expected
        size = 1.0 / 0.2**2
        expected = [int(nbinom.ppf(q, size, size / (size + mean))) for q in (0.05, 0.95)]
        assert list(count_limits(ExpectedCount(mean, 0.2 * mean), confidence=0.9)) == expected


def test_error_of_an_expected_count_is_that_of_drawn_parameters():
    data = draw_lives(np.random.default_rng(9))
    model = fitted(data)
    rng = np.random.default_rng(10)
    draws = rng.multivariate_normal(model.values, np.array(model.covariance) / 100.0, size=4000)
    means = [
        data.weight @ expected_failures(life_hazards(replace(model, values=tuple(row)), data), data) for row in draws
    ]
    # A tenth of the uncertainty, so that the law is straight over it.
    assert 10.0 * np.std(means) == pytest.approx(expected_count(model, data).error, rel=0.05)
