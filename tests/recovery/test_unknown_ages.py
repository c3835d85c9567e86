"""A short form of the study of fleets whose records begin late (`unknown_age_study.py`)."""

import numpy as np
import pytest
from unknown_age_study import study


@pytest.fixture(scope="module")
def frail():
    """Thirty fleets of vehicles that differ, with and without the frailty in the fit."""
    return study(fleets=30, vehicles=150, variance=0.5, treatments=("unknown age", "unknown age and frailty"), seed=11)


def test_with_frailty_shape_and_early_life_are_recovered(frail):
    fit = frail.loc["unknown age and frailty"]
    # Three Monte Carlo standard errors of the mean; the spread of 30 fleets is about 0.06 and 0.08.
    assert abs(fit["shape bias"]) < 3.0 * fit["shape sd"] / np.sqrt(30)
    assert abs(fit["B10 bias"]) < 3.0 * fit["B10 sd"] / np.sqrt(30)
    assert fit["shape sd"] < 0.09
    assert fit["B10 sd"] < 0.11
    # 90 % intervals: at least 22 of 30 hold the truth with a chance of 0.99.
    assert fit["shape cover"] >= 22 / 30
    assert fit["B10 cover"] >= 22 / 30
    assert fit["theta"] == pytest.approx(0.5, abs=0.12)
    assert fit["converged"] == 1.0


def test_ignoring_frailty_bends_the_curve(frail):
    assert frail.loc["unknown age", "shape bias"] < -0.1
    assert frail.loc["unknown age", "B10 bias"] < -0.05


def test_vehicles_alike_need_no_frailty():
    table = study(fleets=60, vehicles=150, variance=0.0, treatments=("left out", "unknown age"), seed=12)
    fit, less = table.loc["unknown age"], table.loc["left out"]
    assert abs(fit["shape bias"]) < 3.0 * fit["shape sd"] / np.sqrt(60)
    assert abs(fit["B10 bias"]) < 3.0 * fit["B10 sd"] / np.sqrt(60)
    # 48 of 60 or more with a chance of 0.99.
    assert fit["shape cover"] >= 48 / 60
    # What the lives of unknown age are worth: a quarter of the shape's spread.
    assert fit["shape sd"] < 0.85 * less["shape sd"]


def test_looks_and_other_renewals_do_no_harm():
    fit = study(
        fleets=40, vehicles=150, variance=0.0, treatments=("unknown age",), seed=13, other_rate=0.4, inspected=0.4
    ).loc["unknown age"]
    assert abs(fit["shape bias"]) < 3.0 * fit["shape sd"] / np.sqrt(40)
    assert abs(fit["B10 bias"]) < 3.0 * fit["B10 sd"] / np.sqrt(40)
    assert fit["shape cover"] >= 30 / 40
