"""Weibull with delayed entry. Source: README.md beside this file."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.survival.families import LOGNORMAL
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.nonparametric import nonparametric_curve

TABLE = pd.read_csv(Path(__file__).parent / "delayed_entry_20.csv")
STOP = TABLE["exit"].to_numpy(dtype=float)
HIGH = np.where(TABLE["failed"] == 1, STOP, np.inf)


def fitted(entry, **options):
    return fit_lives(build_life_data(entry=entry, stop_low=STOP, stop_high=HIGH), **options)


def test_weibull_uses_entry():
    fit = fitted(TABLE["entry"])
    np.testing.assert_allclose(np.exp(fit.values), [109.54597028, 2.96434838], rtol=1e-6)
    assert fit.log_likelihood == pytest.approx(-71.52712947, abs=1e-6)


def test_ignoring_entry_is_another_answer():
    fit = fitted(np.zeros(len(TABLE)))
    np.testing.assert_allclose(np.exp(fit.values), [113.27902456, 3.42411943], rtol=1e-6)


def test_lognormal_uses_entry():
    fit = fitted(TABLE["entry"], family=LOGNORMAL)
    np.testing.assert_allclose([fit.values[0], np.exp(-fit.values[1])], [4.53281041, 0.43218615], rtol=1e-6)
    assert fit.log_likelihood == pytest.approx(-72.06537052, abs=1e-6)


def test_nonparametric_curve_ends_at_the_nelson_aalen_figure():
    lives = pd.DataFrame({"entry": TABLE["entry"], "stop_low": STOP, "stop_high": HIGH, "weight": 1.0})
    curve = nonparametric_curve(lives.astype(float))
    assert -np.log(curve["survival"].iloc[-1]) == pytest.approx(2.1517399267, abs=1e-9)
