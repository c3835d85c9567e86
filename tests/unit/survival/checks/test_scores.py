"""Harrell's c and the Brier score against published and library values and against their definitions."""

import numpy as np
import pytest
from check_lives import draw_lives, fitted
from lifelines.utils import concordance_index

from wearmodel.survival.checks.scores import brier_score, concordance, model_concordance

# The survival set and its values: scikit-survival 0.22 (concordance_index_censored, brier_score), and by hand.
TIME = np.arange(10.0, 90.0, 10.0)
EVENT = np.array([1, 0, 1, 1, 0, 1, 1, 0], dtype=bool)
RISK = np.array([2.0, 1.1, 1.5, 1.6, 0.3, 0.9, 0.2, 0.4])


def by_definition(entry, stop, failed, risk, weight):
    """Every pair looked at on its own."""
    pairs = foretold = 0.0
    for i in np.flatnonzero(failed):
        for j in range(len(stop)):
            if entry[j] < stop[i] <= stop[j] and not (failed[j] and stop[j] == stop[i]):
                pairs += weight[i] * weight[j]
                foretold += weight[i] * weight[j] * ((risk[i] > risk[j]) + 0.5 * (risk[i] == risk[j]))
    return foretold / pairs


def test_survival_set_of_the_reference():
    assert concordance(stop=TIME, failed=EVENT, risk=RISK) == pytest.approx(17 / 19, abs=1e-12)
    for horizon, value in ((25.0, 0.12007921), (45.0, 0.10193647), (65.0, 0.10257153)):
        chance = 1.0 - np.exp(-np.exp(RISK - 1.0) * horizon / 60.0)
        assert brier_score(time=TIME, failed=EVENT, chance=chance, horizon=horizon) == pytest.approx(value, abs=1e-8)


def test_without_late_entry_it_is_that_of_lifelines():
    rng = np.random.default_rng(3)
    stop, failed, risk = rng.uniform(1, 9, 200), rng.random(200) < 0.6, rng.integers(0, 8, 200).astype(float)
    assert concordance(stop=stop, failed=failed, risk=risk) == pytest.approx(
        concordance_index(stop, -risk, failed), abs=1e-12
    )


def test_late_entry_ties_and_weights_by_definition():
    rng = np.random.default_rng(4)
    entry = rng.integers(0, 6, 120).astype(float)
    stop = entry + rng.integers(1, 8, 120)
    failed, risk, weight = rng.random(120) < 0.5, rng.integers(0, 5, 120), rng.uniform(0.1, 1, 120)
    found = concordance(entry=entry, stop=stop, failed=failed, risk=risk, weight=weight)
    assert found == pytest.approx(by_definition(entry, stop, failed, risk, weight), abs=1e-12)
    assert found != pytest.approx(concordance(stop=stop, failed=failed, risk=risk, weight=weight), abs=1e-3)


def test_a_model_is_scored_by_the_risk_of_its_covariates():
    data = draw_lives(np.random.default_rng(5), interval_share=0.5)
    middle = (data.before_low + data.before_high) / 2.0
    found = model_concordance(fitted(data), data)
    expected = by_definition(data.before_entry, middle, data.exact | data.interval, data.design[:, 1], data.weight)
    assert found == pytest.approx(expected, abs=1e-12)
    assert found > 0.55


def test_a_weight_of_two_is_a_life_twice_in_the_brier_score():
    weight = np.array([1, 2, 1, 1, 1, 2, 1, 1])
    twice = np.repeat(np.arange(8), weight)
    chance = 1.0 - np.exp(-np.exp(RISK - 1.0))
    one = brier_score(time=TIME, failed=EVENT, chance=chance, horizon=60.0, weight=weight)
    assert one == pytest.approx(
        brier_score(time=TIME[twice], failed=EVENT[twice], chance=chance[twice], horizon=60.0), abs=1e-12
    )
