"""What a return to factory height saves, worked out part by part."""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from wearmodel.policy.age_replacement import cost_rate, recommended_interval
from wearmodel.policy.comparison.return_to_factory import COST_SPREAD, build_return_to_factory
from wearmodel.survival.model import LifeModel, law
from wearmodel.survival.vehicle_frailties import alike
from workbook.example_model import EXAMPLE_MODEL

RUN = np.array([20_000.0, 30_000.0, 10_000.0, 40_000.0])


@dataclass
class Parts:
    """What the table reads of the parts now fitted."""

    frame: pd.DataFrame
    frailties: object


def built(fleet: LifeModel = EXAMPLE_MODEL, *, lift=(75.0, 0.0, 40.0, 75.0), spread=0.05, seed=1):
    duty = np.array(["highway", "site", "site", "site"], dtype=object)
    frame = pd.DataFrame({"vehicle": [0, 1, 2, 0], "lift": lift, "duty": duty})
    lives = pd.DataFrame({"component": ["u_joint", "slip_spline", "u_joint", "u_joint", "u_joint"], "current": True})
    # The parts are the current lives of the component, in their order.
    traits = pd.DataFrame({"duty": ["highway", "highway", "site", "site", "site"]})
    traits[["vehicle_class", "place", "make", "build", "greasing"]] = ""
    return build_return_to_factory(
        fleet, fitted={"u_joint": Parts(frame, alike(4))}, lives=lives, traits=traits,
        yearly={"u_joint": RUN}, usage_spread=spread, seed=seed,
    ).set_index("component")  # fmt: skip


def yearly(duty, lift):
    own = law(EXAMPLE_MODEL.components["u_joint"], duty=duty, lift=lift)
    terms = {"shape": own.shape, "scale": own.scale, "planned_cost": 150.0, "failed_cost": 600.0}
    return float(cost_rate(recommended_interval(**terms, service_interval=15_000.0), **terms))


def test_sums_are_those_of_the_parts_on_raised_vehicles():
    table = built()
    raised = [(20_000.0, "highway", 75.0), (10_000.0, "site", 40.0), (40_000.0, "site", 75.0)]
    row = table.loc["u_joint"]
    assert row["cost_year_raised"] == pytest.approx(sum(run * yearly(duty, lift) for run, duty, lift in raised))
    assert row["cost_year_factory"] == pytest.approx(sum(run * yearly(duty, 0.0) for run, duty, lift in raised))
    assert row["saving"] == pytest.approx(row["cost_year_raised"] - row["cost_year_factory"])
    assert row["p10"] < row["saving"] < row["p90"]
    assert (row["vehicles"], row["parts"], row["distance_year"]) == (2, 3, 70_000.0)
    assert table.loc["all", "saving"] == pytest.approx(row["saving"])


def test_running_and_prices_alone_spread_as_their_factors_do():
    known = EXAMPLE_MODEL.components["u_joint"]
    still = tuple((0.0,) * 4 for _ in range(4))
    model = SimpleNamespace(**{**known.__dict__, "covariance": still, "names": known.names})
    fleet = SimpleNamespace(**{**EXAMPLE_MODEL.__dict__, "components": {"u_joint": model}})
    row = built(fleet, spread=0.3).loc["u_joint"]
    width = np.hypot(0.3, COST_SPREAD) * 1.2815516
    assert row["p10"] == pytest.approx(row["saving"] * np.exp(-width), rel=0.07)
    assert row["p90"] == pytest.approx(row["saving"] * np.exp(width), rel=0.07)
    assert row["chance_saving"] == 1.0


def test_answers_repeat_and_no_raised_vehicle_gives_no_row():
    pd.testing.assert_frame_equal(built(), built())
    assert built(lift=(0.0, 0.0, 0.0, 0.0)).empty
