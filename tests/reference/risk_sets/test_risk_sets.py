"""Curves without a model against published figures. Sources: README.md beside this file."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.survival.risk_sets import aalen_johansen, hazard_steps
from wearmodel.survival.turnbull import turnbull_curve

HERE = Path(__file__).parent
LATE = pd.read_csv(HERE.parent / "delayed_entry" / "delayed_entry_20.csv")
LOOKS = pd.read_csv(HERE.parent / "inspection_intervals" / "interval_inspect_16.csv")
MODES = pd.read_csv(HERE.parent / "life_distributions" / "shock_absorber_38.csv")
WHEELS = pd.read_csv(HERE.parent / "life_distributions" / "turbine_wheels_432.csv")
PATIENTS = pd.read_csv(HERE / "psychiatric_patients_26.csv")
COSMESIS = pd.read_csv(HERE / "cosmesis_rt_46.csv")


def test_late_entry():
    steps = hazard_steps(entry=LATE["entry"], stop=LATE["exit"], failed=LATE["failed"] == 1)
    expected = {41: 0.91666667, 49: 0.84615385, 62: 0.78106509, 77: 0.62166405, 104: 0.45190194, 133: 0.08069678}
    found = dict(zip(steps.age, steps.product_limit, strict=True))
    assert {age: found[age] for age in expected} == pytest.approx(expected, abs=1e-8)
    assert steps.hazard[-1] == pytest.approx(2.15173993, abs=1e-8)


def test_late_entry_of_patients():
    steps = hazard_steps(entry=PATIENTS["age"], stop=PATIENTS["age"] + PATIENTS["years"], failed=PATIENTS["died"] == 1)
    expected = {
        47: 0.95238095, 50: 0.90909091, 52: 0.86580087, 57: 0.78334364, 59: 0.69630546, 61: 0.60926728,
        63: 0.55387934, 67: 0.48464442, 69: 0.29078665, 76: 0.0,
    }  # fmt: skip
    found = dict(zip(steps.age, steps.product_limit, strict=True))
    assert {age: found[age] for age in expected} == pytest.approx(expected, abs=1e-8)


def test_handbook_product_limit():
    stop = np.array([10, 32, 56, 98, 122, 181, 50, 100, 125, 150, *[200] * 10])
    steps = hazard_steps(entry=np.zeros(20), stop=stop, failed=np.arange(20) < 6)
    expected = [0.95, 0.90, 0.84705882, 0.79411765, 0.73739496, 0.67035905]
    np.testing.assert_allclose(steps.product_limit, expected, atol=1e-8)


def test_two_modes():
    way = MODES["mode"].to_numpy() - 1
    ends = aalen_johansen(entry=np.zeros(38), stop=MODES["km"], way=way, ways=2)
    expected = {
        6700: (0.97368421, 0.02631579, 0.0), 9120: (0.94504644, 0.02631579, 0.02863777),
        14300: (0.82729426, 0.10620553, 0.06650021), 20900: (0.62863478, 0.14974734, 0.22161788),
        27490: (0.28737590, 0.49100622, 0.22161788),
    }  # fmt: skip
    for age, figures in expected.items():
        at = int(np.flatnonzero(ends.age == age)[0])
        np.testing.assert_allclose([ends.survival[at], *ends.share[at]], figures, atol=1e-8)


def test_each_mode_alone_is_overstated():
    for mode, naive, share in ((1, 0.6148062, 0.49100622), (2, 0.2539445, 0.22161788)):
        steps = hazard_steps(entry=np.zeros(38), stop=MODES["km"], failed=MODES["mode"] == mode)
        assert 1 - steps.product_limit[-1] == pytest.approx(naive, abs=1e-7)
        assert naive > share


def test_looks_at_shared_ages():
    curve = turnbull_curve(entry=np.zeros(16), stop_low=LOOKS["lower"], stop_high=LOOKS["upper"])
    np.testing.assert_array_equal(curve.high[:-1], [15, 30, 45, 60, 75, 90])
    np.testing.assert_allclose(
        curve.survival[:-1], [0.9200719, 0.7133646, 0.5674293, 0.4412582, 0.3341291, 0.2227528], atol=1e-6
    )
    assert curve.settled and curve.log_likelihood == pytest.approx(-24.15018219, abs=1e-6)


def test_cosmesis():
    curve = turnbull_curve(entry=np.zeros(46), stop_low=COSMESIS["lower"], stop_high=COSMESIS["upper"])
    expected = {
        (4, 5): 0.0463468, (6, 7): 0.0333634, (7, 8): 0.0886674, (11, 12): 0.0707529, (24, 25): 0.0926458,
        (33, 34): 0.0817858, (38, 40): 0.1208798, (46, 48): 0.4655581,
    }  # fmt: skip
    masses = {(low, high): mass for low, high, mass in zip(curve.low, curve.high, curve.mass, strict=True)}
    assert {ends: masses[ends] for ends in expected} == pytest.approx(expected, abs=2e-6)
    assert curve.log_likelihood == pytest.approx(-58.06002195, abs=1e-6)
    survival = dict(zip(curve.high, curve.survival, strict=True))
    printed = {5: 0.954, 7: 0.920, 8: 0.832, 12: 0.761, 25: 0.668, 34: 0.586, 40: 0.467}
    assert {age: survival[age] for age in printed} == pytest.approx(printed, abs=2e-3)


def test_wheels_seen_once():
    low = np.repeat(np.where(np.repeat([1, 0], len(WHEELS)) == 1, 0.0, np.tile(WHEELS["hundred_hours"], 2)),
                    np.concatenate([WHEELS["cracked"], WHEELS["inspected"] - WHEELS["cracked"]]))  # fmt: skip
    high = np.repeat(np.where(np.repeat([1, 0], len(WHEELS)) == 1, np.tile(WHEELS["hundred_hours"], 2), np.inf),
                     np.concatenate([WHEELS["cracked"], WHEELS["inspected"] - WHEELS["cracked"]]))  # fmt: skip
    curve = turnbull_curve(entry=np.zeros(len(low)), stop_low=low, stop_high=high)
    expected = {10: 6 / 86, 18: 7 / 73, 22: 5 / 30, 26: 18 / 81, 34: 6 / 13, 38: 43 / 74, 46: 21 / 36}
    found = dict(zip(curve.high, 1 - curve.survival, strict=True))
    assert {age: found[age] for age in expected} == pytest.approx(expected, abs=1e-5)
