"""Ages of parts now fitted where a line could have been about several positions."""

import numpy as np
import pandas as pd
import pytest
from open_lines_study import DAILY, END, SHAPE, _fleet

from wearmodel.fleet_model import fit_fleet
from wearmodel.history.histories import build_histories
from wearmodel.policy.fitted import age_points, build_fitted_parts, fail_probability
from wearmodel.settled_fleet import settle_fleet
from wearmodel.survival.vehicle_frailties import alike


def lines(rows):
    frame = pd.DataFrame(rows, columns=["unit", "date", "position"])
    return frame.assign(date=pd.to_datetime(frame["date"])).sort_values(["unit", "date"], ignore_index=True)


@pytest.fixture(scope="module")
def parts():
    """Twenty vehicles with known failures, and one with a single open line a year before the end."""
    rng = np.random.default_rng(1)
    rows = []
    for unit in range(1, 40):
        for joint in ("rear.joint_front", "rear.joint_centre", "rear.joint_rear"):
            day = int(800 * rng.weibull(SHAPE))
            if day < 2_000:
                rows.append((f"T{unit:03d}", pd.Timestamp("2018-01-01") + pd.Timedelta(days=day), joint))
    rows.append(("T000", END - pd.Timedelta(days=365), ""))
    fleet = _fleet(lines(rows), 40)
    settled = settle_fleet(fleet, build_histories(fleet))
    model = fit_fleet(fleet, settled.coded, lost=settled.lost).components["u_joint"]
    fitted = build_fitted_parts(
        settled.histories,
        model=model,
        traits=settled.coded.traits,
        frailties=alike(len(settled.histories.windows)),
    )
    return model, fitted, settled.histories


def test_one_row_a_position_and_the_oldest_age(parts):
    _, fitted, _ = parts
    mine = fitted.frame[fitted.frame["unit"] == "T000"]
    assert len(mine) == 3
    assert not mine["age_known"].any()
    np.testing.assert_allclose(mine["age"], DAILY * 2_200)
    assert (fitted.frame[fitted.frame["unit"] != "T000"]["age_known"]).all()


def test_the_mean_age_lies_between_and_the_chances_sum(parts):
    model, fitted, _ = parts
    values = np.array(model.values)
    points = age_points(fitted, values, other_rate=0.0)
    mine = np.flatnonzero((fitted.frame["unit"] == "T000").to_numpy())
    pace = fitted.pace(values)[mine]
    np.testing.assert_allclose(points.weight[mine].sum(axis=1), 1.0)
    # Same exposure, same part: each position has a third of the chance to hold the year-old part.
    expected = (2.0 * DAILY * 2_200 + DAILY * 365) / 3.0
    np.testing.assert_allclose(points.mean()[mine] / pace, expected, rtol=0.02)
    chance = fail_probability(
        points, shape=float(np.exp(values[-1])), ahead=fitted.pace(values) * 10_000.0, tail=np.zeros(len(fitted.frame))
    )
    assert ((chance[mine] > 0.0) & (chance[mine] < 1.0)).all()
