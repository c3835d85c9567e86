"""Curves without a model: identities, another program's answer, and the same answer whatever the order."""

import warnings

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lifelines import AalenJohansenFitter, NelsonAalenFitter

from wearmodel.survival.nonparametric import mean_cumulative_function, nonparametric_curve
from wearmodel.survival.risk_sets import aalen_johansen, hazard_steps
from wearmodel.survival.turnbull import turnbull_curve


def drawn(seed, count=400):
    rng = np.random.default_rng(seed)
    life, entry = 60 * rng.weibull(2.2, count), np.where(rng.random(count) < 0.4, rng.uniform(0, 30, count), 0.0)
    end = entry + rng.uniform(10, 60, count)
    seen = life > entry
    life, entry, end = life[seen], entry[seen], end[seen]
    return entry, np.round(np.minimum(life, end) + 0.5), life <= end


def test_hazard_equals_lifelines():
    entry, stop, failed = drawn(1)
    mine = hazard_steps(entry=entry, stop=stop, failed=failed)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        other = NelsonAalenFitter(nelson_aalen_smoothing=False).fit(stop, failed, entry=entry)
    hazard = other.cumulative_hazard_.iloc[:, 0]
    np.testing.assert_allclose(mine.hazard, hazard.reindex(mine.age), rtol=1e-12)


def test_shares_equal_lifelines():
    rng = np.random.default_rng(2)
    _, stop, failed = drawn(2)
    stop = stop + rng.uniform(0, 0.4, len(stop))
    way = np.where(failed, rng.integers(0, 3, len(stop)), -1)
    mine = aalen_johansen(entry=np.zeros(len(stop)), stop=stop, way=way, ways=3)
    np.testing.assert_allclose(mine.survival + mine.share.sum(axis=1), 1.0, atol=1e-12)
    for kind in range(3):
        other = AalenJohansenFitter(calculate_variance=False).fit(stop, way + 1, event_of_interest=kind + 1)
        expected = other.cumulative_density_.iloc[:, 0].reindex(mine.age)
        np.testing.assert_allclose(mine.share[:, kind], expected, atol=1e-12)


@given(st.integers(0, 10**6))
def test_the_order_of_rows_does_not_matter(seed):
    entry, stop, failed = drawn(3, 60)
    weight = np.random.default_rng(4).uniform(0.1, 1, len(stop))
    order = np.random.default_rng(seed).permutation(len(stop))
    one = hazard_steps(entry=entry, stop=stop, failed=failed, weight=weight)
    two = hazard_steps(entry=entry[order], stop=stop[order], failed=failed[order], weight=weight[order])
    np.testing.assert_allclose(one.hazard, two.hazard, rtol=1e-12)


def test_weight_two_is_two_rows():
    entry, stop, failed = drawn(5, 50)
    weight = np.ones(len(stop))
    weight[7] = 2.0
    twice = [np.concatenate([column, column[7:8]]) for column in (entry, stop, failed)]
    one = hazard_steps(entry=entry, stop=stop, failed=failed, weight=weight)
    two = hazard_steps(entry=twice[0], stop=twice[1], failed=twice[2])
    np.testing.assert_allclose(one.hazard, two.hazard, rtol=1e-12)


def test_the_band_holds_the_truth_as_often_as_it_says():
    held = []
    for seed in range(300):
        entry, stop, failed = drawn(seed, 150)
        steps = hazard_steps(entry=entry, stop=stop - 0.5, failed=failed)
        at = int(np.searchsorted(steps.age, 50.0, side="right")) - 1
        spread, survival = steps.spread(0.9)[at], steps.survival[at]
        held.append(survival**spread <= np.exp(-((50.0 / 60.0) ** 2.2)) <= survival ** (1 / spread))
    assert 0.84 <= np.mean(held) <= 0.95


def test_a_chance_of_a_failure_leaves_a_sensible_band():
    """A life that weighs a hundredth must not draw the lower limit to 0 where thousands are at risk."""
    frame = pd.DataFrame({"entry": 0.0, "stop_low": [5.0, *[9.0] * 50], "stop_high": [5.0, *[np.inf] * 50]})
    curve = nonparametric_curve(frame.assign(weight=[0.01, *[1.0] * 50]))
    assert curve["survival"].iloc[0] == pytest.approx(1.0, abs=1e-3)
    assert 0.99 < curve["lower"].iloc[0] < curve["survival"].iloc[0] < curve["upper"].iloc[0] <= 1.0


def test_failures_seen_to_the_distance_give_the_product_limit():
    """Without intervals the non-parametric maximum is Kaplan-Meier's, late entry or not."""
    entry, stop, failed = drawn(6, 80)
    steps = hazard_steps(entry=entry, stop=stop, failed=failed)
    curve = turnbull_curve(entry=entry, stop_low=stop, stop_high=np.where(failed, stop, np.inf))
    finite = np.isfinite(curve.high)
    assert curve.settled
    at = np.searchsorted(steps.age, curve.high[finite])
    np.testing.assert_allclose(curve.survival[finite], steps.product_limit[at], atol=1e-4)


def test_a_curve_of_intervals_lies_near_the_truth():
    entry, _, _ = drawn(7, 3000)
    rng = np.random.default_rng(8)
    life = 60 * rng.weibull(2.2, len(entry))
    seen = life > entry
    entry, life = entry[seen], life[seen]
    low = np.maximum(np.floor(life / 10) * 10, entry)
    frame = pd.DataFrame({"entry": entry, "stop_low": low, "stop_high": np.floor(life / 10) * 10 + 10, "weight": 1.0})
    curve = nonparametric_curve(frame[frame["stop_high"] > frame["stop_low"]])
    inside = curve[curve["distance"].between(15, 95)]
    truth = np.exp(-((inside["distance"] / 60) ** 2.2))
    assert np.abs(inside["survival"] - truth).max() < 0.03
    assert (inside["lower"] <= inside["survival"]).all() and (inside["survival"] <= inside["upper"]).all()


def test_a_mass_that_a_long_step_would_wipe_out_comes_back():
    """A set on which long steps took masses away for good, and the rounds ended 0.004 below the top."""
    rng = np.random.default_rng(4)
    life = 60 * rng.weibull(2.2, 700)
    entry = np.where(rng.random(700) < 0.4, rng.uniform(0, 40, 700), 0.0)
    life, entry = life[life > entry], entry[life > entry]
    end, gap, phase = entry + rng.uniform(5, 70, len(life)), rng.uniform(3, 12, len(life)), rng.uniform(0, 1, len(life))
    low = np.maximum((np.floor(life / gap - phase) + phase) * gap, entry)
    high, low = np.where(low >= end, np.inf, low + gap), np.minimum(low, end)
    curve = turnbull_curve(entry=entry, stop_low=low, stop_high=high)
    assert curve.settled
    # Plain rounds of self-consistency alone, 200,000 of them, end at -815.2408.
    assert curve.log_likelihood == pytest.approx(-815.2408, abs=2e-4)


def test_many_lives_on_a_grid_give_the_curve_of_the_ages_as_they_are():
    entry, stop, failed = drawn(11, 6000)
    rng = np.random.default_rng(12)
    looked = failed & (rng.random(len(stop)) < 0.3)
    stop = np.maximum(stop + rng.uniform(-0.4, 0.4, len(stop)), entry + 0.01)
    low = np.where(looked, np.maximum(stop - rng.uniform(0.5, 6.0, len(stop)), entry), stop)
    high = np.where(looked, stop + rng.uniform(0.5, 6.0, len(stop)), np.where(failed, stop, np.inf))
    curve = nonparametric_curve(pd.DataFrame({"entry": entry, "stop_low": low, "stop_high": high, "weight": 1.0}))
    plain = turnbull_curve(entry=entry, stop_low=low, stop_high=high)
    finite = np.isfinite(plain.high)
    # Beyond, masses are so far apart that a curve between them is anybody's guess.
    at = np.linspace(15.0, 75.0, 30)
    ours, theirs = (
        survival[np.searchsorted(ages, at, side="right") - 1]
        for ages, survival in ((curve["distance"].to_numpy(), curve["survival"].to_numpy()),
                               (plain.high[finite], plain.survival[finite]))
    )  # fmt: skip
    np.testing.assert_allclose(ours, theirs, atol=0.012)


@given(st.integers(0, 2**31))
def test_errors_of_mean_replacements_are_their_definition(seed):
    """Lawless & Nadeau (1995), Technometrics 37, eq. 2.4, unit by unit."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 25))
    entry = rng.integers(0, 20, count) * (rng.random(count) < 0.5)
    leave = entry + rng.integers(1, 40, count)
    unit = np.repeat(np.arange(count), 2)
    age = entry[unit] + 1 + np.floor(rng.random(len(unit)) * (leave - entry)[unit])
    found = mean_cumulative_function(unit=unit, age=age, entry=entry.astype(float), exit_age=leave.astype(float))
    times = found["distance"].to_numpy()
    seen = (entry[:, None] < times) & (times <= leave[:, None])
    own = np.array([[np.sum(age[unit == u] == t) for t in times] for u in range(count)])
    residual = seen * (own - own.sum(axis=0) / seen.sum(axis=0)) / seen.sum(axis=0)
    np.testing.assert_allclose(found["se"], np.sqrt((np.cumsum(residual, axis=1) ** 2).sum(axis=0)), atol=1e-9)


def test_no_failure_no_curve():
    frame = pd.DataFrame({"entry": [0.0], "stop_low": [5.0], "stop_high": [np.inf], "weight": [1.0]})
    assert nonparametric_curve(frame).empty
    assert turnbull_curve(entry=[0.0], stop_low=[5.0], stop_high=[np.inf]).survival == pytest.approx([0.0])
