"""Due list and visits of vehicles that a fleet plan names as leaving."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from wearmodel.intake.fleet_toml.settings_together import SharedWork
from wearmodel.policy.due import assess_parts
from wearmodel.policy.fitted import FittedParts
from wearmodel.policy.visits import VisitTerms, plan_visits
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.vehicle_frailties import alike
from workbook.example_model import EXAMPLE_MODEL

SCALE, SHAPE, DAILY = 100_000.0, 2.5, 100.0
AS_OF = pd.Timestamp("2026-06-30")
OWN = replace(EXAMPLE_MODEL.components["u_joint"], values=(np.log(SCALE), np.log(SHAPE)))
MODEL = replace(EXAMPLE_MODEL, components={"u_joint": OWN})
#: Due in a day, but done at the next service, 150 days away at 100 km a day; a young one; one found worn.
NEARLY, YOUNG = 61_900.0, 20_000.0
AGES = [NEARLY, YOUNG, NEARLY, YOUNG, NEARLY, YOUNG, NEARLY]
VEHICLES = np.array([0, 0, 1, 1, 2, 2, 3])
#: Stays; leaves before its next service; leaves after it; leaves in ten days with a worn joint.
LEAVE = np.array([np.inf, 100.0, 200.0, 10.0])
INTERVALS = pd.DataFrame({"component": ["u_joint"], "duty": "road", "lift": 0.0, "interval": 62_000.0, "advice": ""})


@pytest.fixture
def fitted():
    count = len(AGES)
    frame = pd.DataFrame(
        {
            "vehicle": VEHICLES, "unit": [f"T{v}" for v in VEHICLES],
            "position": ["rear.joint_front", "rear.joint_rear"] * 3 + ["rear.joint_front"],
            "component": "u_joint", "part_number": "UJ", "depot": "north", "vehicle_class": "van", "duty": "road",
            "lift": 0.0, "age_known": True, "condemned": [False] * 6 + [True], "end_day": 20_000.0, "age": AGES,
            "driven": AGES,
        }
    )  # fmt: skip
    none = np.zeros(count)
    return FittedParts(
        frame, np.arange(count), np.arange(count), np.ones((count, 1)), np.array(AGES), none, none, none, alike(count)
    )


def points():
    return AgePoints(psi=np.array(AGES)[:, None] / SCALE, weight=np.ones((len(AGES), 1)))


def assessed(fitted, leave=None):
    return assess_parts(
        {"u_joint": fitted}, points={"u_joint": points()}, unmodelled=fitted.frame.iloc[:0], model=MODEL,
        intervals=INTERVALS, daily=np.full(4, DAILY), levels=(0.0,), as_of=AS_OF, days=365.0, leave=leave,
    )  # fmt: skip


def by_part(frame):
    return frame.set_index(["unit", "position"]).sort_index()


def test_nothing_is_planned_from_the_day_a_vehicle_leaves(fitted):
    stay, go = by_part(assessed(fitted)), by_part(assessed(fitted, LEAVE))
    front = [(f"T{v}", "rear.joint_front") for v in range(4)]
    assert stay.loc[front, "action"].to_list() == ["replace at next service"] * 3 + ["replace now"]
    assert go.loc[front, "action"].to_list() == [
        "replace at next service", "no action yet", "replace at next service", "replace now",
    ]  # fmt: skip
    ends = [reason.rpartition(". ")[2] for reason in go.loc[front, "reason"]]
    assert ends[1:] == [f"The vehicle leaves in {month}." for month in ("2026-10", "2027-01", "2026-07")]
    assert "leaves" not in ends[0]


def test_a_part_can_fail_only_while_its_vehicle_is_there(fitted):
    go = by_part(assessed(fitted, LEAVE))
    for vehicle, days in enumerate([365.0, 100.0, 200.0]):
        for position, age in (("rear.joint_front", NEARLY), ("rear.joint_rear", YOUNG)):
            life = stats.weibull_min(SHAPE, scale=SCALE)
            chance = 1.0 - life.sf(age + days * DAILY) / life.sf(age)
            assert go.loc[(f"T{vehicle}", position), "fail_probability"] == pytest.approx(chance, rel=1e-9)


def test_no_visit_after_a_vehicle_has_left_and_nothing_renewed_early_on_one_that_leaves(fitted):
    costs = pd.DataFrame(
        {"component": ["u_joint"], "part_price": 40.0, "planned_hours": 1.4, "planned_downtime_hours": 2.0,
         "failed_hours": 2.6, "failed_downtime_hours": 10.0, "failed_extra": 180.0, "planned_cost": 218.0,
         "road_cost": 802.0}
    )  # fmt: skip
    terms = VisitTerms(SharedWork(), costs, {("u_joint", "van"): "UJ"}, {"UJ": 40.0}, 70.0, 40.0)
    tables = plan_visits(
        assessed(fitted, LEAVE), fitted={"u_joint": fitted}, points={"u_joint": points()}, model=MODEL, terms=terms,
        as_of=AS_OF, seed=1, leave=LEAVE,
    )  # fmt: skip
    visits, parts = tables["visits"].set_index("unit"), tables["visit_parts"]
    assert sorted(visits.index) == ["T0", "T2", "T3"]
    for vehicle in (2, 3):
        assert visits.loc[f"T{vehicle}", "date"] <= AS_OF + pd.Timedelta(days=LEAVE[vehicle])
    assert parts.groupby("unit").size().to_dict() == {"T0": 2, "T2": 1, "T3": 1}
    assert set(parts.loc[parts["unit"] != "T0", "role"]) == {"main"}
