"""Weibull with interval-censored failures. Source: README.md beside this file."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data

TABLE = pd.read_csv(Path(__file__).parent / "interval_inspect_16.csv")


def test_weibull_between_looks():
    fit = fit_lives(build_life_data(entry=np.zeros(16), stop_low=TABLE["lower"], stop_high=TABLE["upper"]))
    np.testing.assert_allclose(np.exp(fit.values), [68.33135758, 1.46912685], rtol=1e-6)
    assert fit.log_likelihood == pytest.approx(-24.3151954, abs=1e-6)
    b10 = np.exp(fit.values[0]) * (-np.log(0.9)) ** (1 / np.exp(fit.values[1]))
    assert b10 == pytest.approx(14.76998099, rel=1e-6)


def test_the_upper_end_taken_as_failure_date_is_another_answer():
    finite = np.isfinite(TABLE["upper"])
    exact = np.where(finite, TABLE["upper"], TABLE["lower"])
    fit = fit_lives(
        build_life_data(entry=np.zeros(16), stop_low=exact, stop_high=np.where(finite, exact, np.inf))
    )
    assert np.exp(fit.values[1]) > 1.6
