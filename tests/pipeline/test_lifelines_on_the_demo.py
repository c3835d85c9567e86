"""lifelines as second answer on the demo's own lives."""

import warnings

import numpy as np
import pandas as pd
import pytest
from lifelines import WeibullAFTFitter, WeibullFitter

from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data


def usable(lives, component):
    """Pieces of one component that have weight, as rows of their own."""
    return lives[(lives["component"] == component) & (lives["weight"] > 0)]


@pytest.mark.parametrize("component", ["u_joint", "cv_boot_outboard", "cv_joint_inboard", "support_bearing"])
def test_regression_on_duty_and_lift(demo, component):
    rows = usable(demo.tables["lives"], component)
    duties = sorted(rows["duty"].unique())[1:]
    frame = pd.DataFrame({duty: (rows["duty"] == duty).astype(float) for duty in duties})
    frame["lift"] = rows["lift"] / 100.0
    design = np.column_stack([np.ones(len(frame)), frame.to_numpy()])
    mine = fit_lives(
        build_life_data(
            entry=rows["entry"], stop_low=rows["stop_low"], stop_high=rows["stop_high"], design=design
        )
    )
    unit = 100_000.0
    frame["low"] = (rows["stop_low"] / unit).clip(lower=1e-9)
    frame["high"], frame["entry"] = rows["stop_high"] / unit, rows["entry"] / unit
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        other = WeibullAFTFitter().fit_interval_censoring(
            frame, lower_bound_col="low", upper_bound_col="high", entry_col="entry"
        )
    table = other.params_
    expected = [table["lambda_", "Intercept"] + np.log(unit)]
    expected += [table["lambda_", name] for name in [*duties, "lift"]] + [table["rho_", "Intercept"]]
    np.testing.assert_allclose(mine.values, expected, rtol=1e-3, atol=1e-3)
    exact = (rows["stop_low"] == rows["stop_high"]).sum()
    assert mine.log_likelihood + exact * np.log(unit) >= other.log_likelihood_ - 1e-6


def test_plain_weibull_with_late_entry(demo):
    rows = usable(demo.tables["lives"], "u_joint")
    mine = fit_lives(build_life_data(entry=rows["entry"], stop_low=rows["stop_low"], stop_high=rows["stop_high"]))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        other = WeibullFitter().fit(
            rows["stop_low"] / 1e5, np.isfinite(rows["stop_high"]), entry=rows["entry"] / 1e5
        )
    np.testing.assert_allclose(np.exp(mine.values), [other.lambda_ * 1e5, other.rho_], rtol=1e-3)
