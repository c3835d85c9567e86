"""Influence against fits without the vehicle, and the sentences with their rules."""

from dataclasses import replace

import numpy as np
import pytest
from check_lives import CODING, component, draw_lives, fitted, refitted

from wearmodel.survival.checks.counts import ExpectedCount
from wearmodel.survival.checks.influence import log_b10_error, vehicle_influence
from wearmodel.survival.checks.residuals import FarthestOff
from wearmodel.survival.checks.verdicts import (
    Pull,
    judge_calibration,
    judge_chances,
    judge_failures,
    judge_last_year,
    judge_order,
    judge_residuals,
    judge_vehicles,
)
from wearmodel.survival.frailty.fit import fit_frailty
from wearmodel.survival.life_data import build_life_data


def without(data, vehicle):
    """The same lives less those of one vehicle; one segment a life."""
    kept = data.cluster != vehicle
    top = np.where(data.exact | data.interval, data.before_high, np.inf)
    return build_life_data(
        entry=data.before_entry[kept], stop_low=data.before_low[kept], stop_high=top[kept], design=data.design[kept],
        cluster=data.cluster[kept],
    )  # fmt: skip


def log_b10(values):
    """At the fleet's mix of duties."""
    return values[0] + CODING.duty_weights[1] * values[1] + np.log(-np.log(0.9)) / np.exp(values[2])


def test_influence_is_what_leaving_out_does():
    data = draw_lives(np.random.default_rng(11), lives=300)
    model = fitted(data)
    assert model.frailty_variance == 0.0
    found = vehicle_influence(model, component(data))
    precision = np.array(model.prior_precision[:-1])
    real = np.array([log_b10(refitted(without(data, v), precision)) for v in found.vehicle]) - log_b10(model.values)
    assert np.corrcoef(found.b10, real)[0, 1] > 0.99
    assert np.abs(found.b10).argmax() == np.abs(real).argmax()
    most = np.argsort(-np.abs(real))[:10]
    np.testing.assert_allclose(found.b10[most], real[most], rtol=0.25)
    assert found.failures.sum() == pytest.approx(data.failures)
    assert found.lives.sum() == pytest.approx(data.lives)
    assert np.isnan(found.height).all()


def test_influence_with_vehicles_that_wear_unlike():
    """Refits with the frailty, and B10 of a part on a vehicle taken at random."""
    rng = np.random.default_rng(5)
    vehicle = np.repeat(np.arange(40), 12)
    z = rng.gamma(2.0, 0.5, 40)[vehicle]
    life, end = 100.0 * z ** (-1 / 2.2) * rng.weibull(2.2, 480), rng.uniform(60.0, 160.0, 480)
    design = np.column_stack([np.ones(480), rng.random(480) < 0.4])
    high = np.where(life <= end, life, np.inf)
    data = build_life_data(
        entry=np.zeros(480), stop_low=np.minimum(life, end), stop_high=high, design=design, cluster=vehicle
    )
    model = fitted(data)
    assert model.frailty_variance > 0.2
    found = vehicle_influence(model, component(data))
    most = np.argsort(-np.abs(found.b10))[:6]

    def marginal_log_b10(data):
        fit = fit_frailty(data, prior_precision=np.array(model.prior_precision[:-1]))
        spent = np.expm1(-fit.variance * np.log(0.9)) / fit.variance
        return fit.values[0] + CODING.duty_weights[1] * fit.values[1] + np.log(spent) / np.exp(fit.values[2])

    whole = marginal_log_b10(data)
    real = [marginal_log_b10(without(data, v)) - whole for v in found.vehicle[most]]
    np.testing.assert_allclose(found.b10[most], real, rtol=0.35)


def test_influences_square_to_the_variance_by_vehicle():
    data = draw_lives(np.random.default_rng(12), lives=600)
    model = fitted(data)
    squares = float((vehicle_influence(model, component(data)).b10 ** 2).sum())
    # The model's covariance is the wider of two, so that it may exceed the sum of squares but not fall below it.
    assert squares * 60 / 59 <= log_b10_error(model) ** 2 * (1 + 1e-3)
    assert squares > 0.3 * log_b10_error(model) ** 2


def test_the_sentences_of_the_brief():
    assert judge_failures([5.0, 4.0, 1.0, 1.0, 1.0, 1.0, 1.0]).sentence.startswith(
        "The curve rests on 14 failures, 9 of them from two vehicles"
    )
    assert judge_failures([5.0, 4.0, 1.0, 1.0, 1.0, 1.0, 1.0]).result == "look"
    verdict = judge_last_year(ExpectedCount(41.0, 4.0), seen=38.0, confidence=0.9)
    assert verdict.sentence == "Predicted 41 failures in the last year, 38 came: within what chance allows."
    assert verdict.result == "fine"


def test_rules_of_look_and_too_few():
    assert judge_failures([1.0] * 30).result == "fine"
    assert judge_failures([1.0] * 9).result == "too few"
    assert judge_last_year(ExpectedCount(41.0, 0.0), seen=70.0, confidence=0.9).result == "look"
    assert "edge" in judge_last_year(ExpectedCount(41.0, 0.0), seen=53.0, confidence=0.9).sentence
    assert judge_last_year(ExpectedCount(2.0, 0.0), seen=3.0, confidence=0.9).result == "too few"
    assert judge_last_year(ExpectedCount(0.5, 0.0), seen=9.0, confidence=0.9).result == "look"
    assert judge_last_year(None, seen=0.0, confidence=0.9).result == "too few"
    assert judge_residuals(FarthestOff(0.2, 0.5, 3.8), failures=40).result == "look"
    assert judge_residuals(FarthestOff(0.2, 0.25, -1.5), failures=40).result == "fine"
    assert judge_residuals(FarthestOff(np.nan, np.nan, 0.0), failures=40).result == "too few"
    assert judge_calibration(0.001, failures=40, worst=(10, 4.0, 12.0)).result == "look"
    assert judge_calibration(0.4, failures=40, worst=(10, 4.0, 6.0)).result == "fine"
    assert judge_calibration(np.nan, failures=40, worst=(10, 4.0, 6.0)).result == "too few"
    assert judge_chances(model=0.10, alike=0.05, error=0.01, seen=20).result == "look"
    assert judge_chances(model=0.06, alike=0.05, error=0.01, seen=20).result == "fine"
    assert judge_chances(model=0.04, alike=0.05, error=0.01, seen=4).result == "too few"
    assert judge_order(0.3, failures=40).result == "look"
    assert judge_order(0.45, failures=40).result == "fine"
    assert judge_order(0.9, failures=9).result == "too few"


def test_a_vehicle_is_named_where_it_moves_more_than_the_error():
    small = Pull("V-1", 2.0, 0.05, 0.1)
    assert judge_vehicles(life=small, height=None, failures=40).result == "fine"
    assert judge_vehicles(life=replace(small, change=0.15), height=None, failures=40).result == "look"
    assert judge_vehicles(life=small, height=replace(small, change=-0.2), failures=40).result == "look"
    assert judge_vehicles(life=replace(small, change=0.15), height=None, failures=8).result == "too few"
