"""How sure intervals are: against curves drawn and optimised one by one with scipy."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, optimize, stats

from wearmodel.policy.intervals import plan_intervals
from workbook.example_model import EXAMPLE_MODEL

CELLS = pd.DataFrame(
    {"component": ["u_joint", "u_joint", "slip_spline"], "duty": ["highway", "site", "highway"],
     "lift": [0.0, 75.0, 0.0], "failures": [20, 28, 0]}
)  # fmt: skip


def spread(model, factor):
    joint = model.components["u_joint"]
    wide = tuple(tuple(factor * value for value in row) for row in joint.covariance)
    return replace(model, components={**model.components, "u_joint": replace(joint, covariance=wide)})


def rate(age, shape, scale):
    law = stats.weibull_min(shape, scale=scale)
    length = integrate.quad(law.sf, 0.0, min(age, 20.0 * scale), limit=200)[0]
    return (150.0 * law.sf(age) + 600.0 * law.cdf(age)) / length


def test_costs_and_chances_against_curves_taken_one_by_one():
    row = plan_intervals(EXAMPLE_MODEL, cells=CELLS, worn_shares={}).iloc[0]
    joint = EXAMPLE_MODEL.components["u_joint"]
    rng = np.random.default_rng(7)
    drawn = rng.multivariate_normal(joint.values, joint.covariance, 400)
    # Highway is the reference duty: its row is the intercept less nothing, at factory height.
    shapes, scales = np.exp(drawn[:, -1]), np.exp(drawn[:, 0])
    costs = np.array([rate(row["interval"], k, s) for k, s in zip(shapes, scales, strict=True)])
    least = np.array(
        [
            optimize.minimize_scalar(
                lambda x, k=k, s=s: rate(np.exp(x), k, s), bounds=(np.log(0.05 * s), np.log(5.0 * s)), method="bounded"
            ).fun
            for k, s in zip(shapes, scales, strict=True)
        ]
    )
    error = costs.std() / np.sqrt(200)
    assert row["cost_rate_mean"] == pytest.approx(costs.mean(), abs=4.0 * error)
    assert row["cost_rate_low"] == pytest.approx(np.quantile(costs, 0.1), rel=0.05)
    assert row["cost_rate_high"] == pytest.approx(np.quantile(costs, 0.9), rel=0.05)
    dearer = float((costs > 1.03 * least).mean())
    assert row["chance_dearer"] == pytest.approx(dearer, abs=4.0 * np.sqrt(dearer * (1.0 - dearer) / 200) + 0.01)


def test_a_curve_that_is_known_leaves_no_doubt():
    sure = plan_intervals(spread(EXAMPLE_MODEL, 1e-12), cells=CELLS, worn_shares={}).iloc[:2]
    assert (sure["chance_dearer"] == 0.0).all()
    np.testing.assert_allclose(sure["cost_rate_low"], sure["cost_rate_interval"], rtol=1e-4)
    np.testing.assert_allclose(sure["cost_rate_high"], sure["cost_rate_interval"], rtol=1e-4)


def test_more_doubt_widens_the_cost_and_blank_cells_stay_blank():
    usual, wide = (plan_intervals(m, cells=CELLS, worn_shares={}) for m in (EXAMPLE_MODEL, spread(EXAMPLE_MODEL, 4.0)))
    for table in (usual, wide):
        assert table.loc[2, ["cost_rate_low", "cost_rate_high", "chance_dearer"]].isna().all()
    width = [(t["cost_rate_high"] - t["cost_rate_low"])[:2] for t in (usual, wide)]
    assert (width[1] > width[0]).all()
    assert (wide["chance_dearer"][:2] > usual["chance_dearer"][:2]).all()
