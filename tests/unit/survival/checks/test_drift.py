"""Moved curves and early failures by hand: chances, mixes of work, counts of groups."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from wearmodel.survival.checks.chances import adjusted_chances
from wearmodel.survival.checks.curve_change import build_moved_curves
from wearmodel.survival.checks.early_failures import early_failures_by_group
from wearmodel.survival.coding import GroupLevels
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.model import life_band
from workbook.example_model import EXAMPLE_MODEL

JOINT = EXAMPLE_MODEL.components["u_joint"]


def test_adjusted_chances_against_scipy():
    chances = np.random.default_rng(3).uniform(0.0, 1.0, 40) ** 3
    np.testing.assert_allclose(adjusted_chances(chances), stats.false_discovery_control(chances))
    with_gap = adjusted_chances([0.01, np.nan, 0.04])
    assert np.isnan(with_gap[1]) and with_gap[0] == pytest.approx(0.02) and with_gap[2] == pytest.approx(0.04)
    assert adjusted_chances([]).shape == (0,)


def shrunk(model, factor, *, longer=0.0, failures=None):
    """A model with its covariance shrunk and its lives longer by a step on the log scale."""
    covariance = tuple(tuple(factor * value for value in row) for row in model.covariance)
    values = (model.values[0] + longer, *model.values[1:])
    return replace(model, covariance=covariance, values=values, failures=failures or model.failures)


def table(before, now):
    return build_moved_curves(
        {"u_joint": before}, {"u_joint": now}, earlier_as_of="2025-06-30", confidence=0.9
    ).set_index("quantity")


def test_chance_is_that_of_what_the_new_lines_add():
    now = shrunk(JOINT, 0.5, longer=-0.1, failures=2 * JOINT.failures)
    found = table(JOINT, now)
    for quantity, fraction in (("life at 10 %", 0.1), ("median", 0.5)):
        bands = [life_band(model, fraction=fraction, confidence=0.9) for model in (JOINT, now)]
        errors = [math.log(band.high / band.low) / (2.0 * stats.norm.ppf(0.95)) for band in bands]
        left = math.sqrt(errors[0] ** 2 - errors[1] ** 2)
        row = found.loc[quantity]
        assert row["change"] == pytest.approx(math.exp(-0.1) - 1.0)
        law = stats.t(JOINT.vehicles - 1)
        assert row["chance"] == pytest.approx(2.0 * law.sf(0.1 / left))
        assert row["upper"] == pytest.approx(math.exp(-0.1 + law.ppf(0.95) * left) - 1.0)
    far = table(JOINT, shrunk(JOINT, 0.5, longer=-2.0, failures=2 * JOINT.failures))
    assert (far["result"] == "moved").all() and far["sentence"].str.contains("more than chance explains").all()


def test_a_variance_that_did_not_fall_is_not_taken_for_certainty():
    found = table(JOINT, shrunk(JOINT, 1.2, longer=-0.001, failures=JOINT.failures + 5))
    assert (found["result"] == "as before").all()


def test_both_are_told_at_todays_mix_of_work():
    coding = replace(JOINT.coding, duty_weights=(0.1, 0.9))
    found = table(JOINT, replace(JOINT, coding=coding, failures=JOINT.failures + 5))
    assert found["change"].to_numpy() == pytest.approx(0.0, abs=1e-12)


def test_what_cannot_be_compared_is_said():
    for before, word in (
        (replace(JOINT, basis="shape given"), "too few failures for a curve of its own then"),
        (replace(JOINT, day_counts=80.0), "another clock"),
        (replace(JOINT, hour_counts=28.0), "another clock"),
        (replace(JOINT, failures=19), "it rested on 19 failures, and a fair comparison needs 20"),
    ):
        found = table(before, JOINT).iloc[0]
        assert found["result"] == "cannot be told" and word in found["sentence"] and np.isnan(found["chance"])
    missing = build_moved_curves({}, {"u_joint": JOINT}, earlier_as_of="2025-06-30", confidence=0.9).iloc[0]
    assert "no such component" in missing["sentence"]


def plain_model():
    """Shape 2, scale 100, no covariates."""
    coding = replace(
        JOINT.coding, duties=("fleet",), duty_weights=(1.0,), height="none", swing=None, lifts=(0.0,), groups=()
    )
    zero = ((0.0, 0.0), (0.0, 0.0))
    return replace(JOINT, coding=coding, values=(math.log(100.0), math.log(2.0)), covariance=zero)


def lives(stops, failed, *, entry=0.0, lows=None):
    stops, failed = np.array(stops, dtype=float), np.array(failed, dtype=bool)
    low = stops if lows is None else np.array(lows, dtype=float)
    return build_life_data(
        entry=np.broadcast_to(entry, stops.shape).astype(float), stop_low=low,
        stop_high=np.where(failed, stops, np.inf), design=np.ones((len(stops), 1)), cluster=np.arange(len(stops)),
    )  # fmt: skip


LIMIT = 100.0 * math.sqrt(-math.log(0.9))


def test_counts_of_a_group_by_hand():
    stops = [10.0, 20.0, 30.0, LIMIT + 5.0, 90.0, 5.0]
    failed = [1, 0, 1, 1, 0, 0]
    found = early_failures_by_group(
        plain_model(), lives(stops, failed), rates=np.ones(6), groups={"part number": np.array(["A"] * 6, dtype=object)}
    ).iloc[0]
    run = np.minimum(np.array(stops), LIMIT)
    assert found["fittings"] == 6.0 and found["early_failures"] == 2.0
    assert found["expected"] == pytest.approx(((run / 100.0) ** 2).sum())
    assert found["chance"] == pytest.approx(stats.poisson.sf(1, found["expected"]))


def test_late_entry_vehicle_rates_and_failures_between_looks_count_as_they_should():
    data = lives([30.0] * 5, [0, 0, 0, 0, 1], entry=10.0, lows=[30.0] * 4 + [20.0])
    rates = np.array([1.0, 2.0, 1.0, 1.0, 1.0])
    found = early_failures_by_group(
        plain_model(), data, rates=rates, groups={"fitting month": np.array(["2025-01"] * 5, dtype=object)}
    ).iloc[0]
    each = 0.3**2 - 0.1**2
    gap = 0.3**2 - 0.2**2
    inside = 1.0 - gap / math.expm1(gap)
    # Twice the rate of failures brings the second vehicle past the early age.
    twice = -math.log(0.9) - 2.0 * 0.1**2
    assert found["expected"] == pytest.approx(3 * each + twice + (0.2**2 - 0.1**2) + inside)
    assert found["early_failures"] == 1.0


def test_a_group_is_held_against_the_others_where_those_fail_early_too():
    stops, failed = [20.0] * 40, [1] * 30 + [0] * 10
    names = np.array(["A"] * 20 + ["B"] * 20, dtype=object)
    found = early_failures_by_group(
        plain_model(), lives(stops, failed), rates=np.ones(40), groups={"part number": names}
    ).set_index("value")
    assert found.loc["A", "expected"] == pytest.approx(20 * 0.04 * 10.0 / (20 * 0.04))
    assert found.loc["B", "expected"] == pytest.approx(20 * 0.04 * 20.0 / (20 * 0.04))


def test_what_the_model_makes_of_a_part_number_does_not_excuse_it():
    plain = plain_model()
    coding = replace(plain.coding, groups=(GroupLevels("make", ("A", "B"), (0.5, 0.5)),))
    wide = tuple(tuple(0.0 for _ in range(3)) for _ in range(3))
    model = replace(plain, coding=coding, values=(math.log(100.0), -1.0, math.log(2.0)), covariance=wide)
    design = np.column_stack([np.ones(10), np.repeat([0.0, 1.0], 5)])
    data = replace(lives([10.0] * 10, [0] * 10), design=design)
    names = np.repeat(np.array(["A", "B"], dtype=object), 5)
    found = early_failures_by_group(model, data, rates=np.ones(10), groups={"part number": names})
    assert found["expected"].to_numpy() == pytest.approx(5 * (0.1 * math.exp(0.5)) ** 2)


def test_small_and_unnamed_groups_are_left_out():
    names = np.array(["A"] * 4 + [""] * 6, dtype=object)
    found = early_failures_by_group(
        plain_model(), lives([10.0] * 10, [0] * 10), rates=np.ones(10), groups={"part number": names}
    )
    assert found.empty
