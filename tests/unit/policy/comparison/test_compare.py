"""Raised against factory height on confounded lives with a known ratio."""

import math

import numpy as np
import pandas as pd
import pytest

from wearmodel.policy.comparison.compare import compare_ride_heights
from wearmodel.survival.coding import Coding
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.model import LifeModel, ReplacementCost

RATIO = 0.7
HEAVY = 0.6


def confounded(seed, count=600):
    """Raised vehicles do the heavy work four times in five; the lift itself costs 30 % of life."""
    rng = np.random.default_rng(seed)
    raised = rng.random(count) < 0.4
    heavy = rng.random(count) < np.where(raised, 0.8, 0.2)
    scale = 100.0 * np.where(heavy, HEAVY, 1.0) * np.where(raised, RATIO, 1.0)
    life = scale * rng.weibull(2.5, count)
    end = rng.uniform(20, 150, count)
    stop, failed = np.minimum(life, end), life <= end
    coding = Coding(("light", "heavy"), (0.5, 0.5), "lift", 0.0, (0.0, 100.0), None)
    data = build_life_data(
        entry=np.zeros(count),
        stop_low=stop,
        stop_high=np.where(failed, stop, np.inf),
        design=np.column_stack([np.ones(count), heavy, raised]).astype(float),
    )
    pieces = pd.DataFrame(
        {
            "life": np.arange(count),
            "component": "u_joint",
            "duty": np.where(heavy, "heavy", "light"),
            "lift": np.where(raised, 100.0, 0.0),
            "distance": stop,
            "failed_here": failed,
            "weight": 1.0,
            "usable": True,
            "age": stop,
        }
    )
    return ComponentLives("u_joint", coding, data, np.arange(data.lives)), pieces


def traits_of(pieces):
    """What the lives' parts are, as far as duty tells."""
    first = pieces.drop_duplicates("life")
    blank = dict.fromkeys(["vehicle_class", "place", "make", "build", "greasing"], "")
    return pd.DataFrame({"duty": first["duty"].to_numpy(), **blank, "angle": np.nan, "length": np.nan})


def compared(mine, pieces, costs=None):
    models = fit_components({"u_joint": mine}, labels={"u_joint": "U"}, clocks={"u_joint": "km"})
    fleet = LifeModel(models, "km", "EUR", "2026-06-30", 10.0, 0.9, costs or {}, "")
    return compare_ride_heights(
        fleet, coded={"u_joint": mine}, pieces=pieces, levels=(0.0, 100.0), traits=traits_of(pieces)
    )


def test_adjusted_ratio_is_near_the_truth_and_the_crude_one_is_not():
    adjusted, crude, covered = [], [], 0
    for seed in range(40):
        row = compared(*confounded(seed)).iloc[0]
        adjusted.append(math.log(row["life_ratio"] / RATIO))
        crude.append(math.log(row["crude_ratio"] / RATIO))
        covered += row["lower"] < RATIO < row["upper"]
    assert abs(np.mean(adjusted)) < 0.25 * abs(np.mean(crude))
    assert np.mean(crude) < -0.15
    # 90 % intervals: with 40 samples 31 to 40 inside has a chance of 99 %.
    assert covered >= 31


def test_row_by_hand():
    mine, pieces = confounded(1)
    row = compared(mine, pieces, {"u_joint": ReplacementCost(100.0, 500.0)}).iloc[0]
    raised = pieces[pieces["lift"] > 0]
    assert row["lift_group"] == "100 mm"
    assert row["lives"] == len(raised)
    assert row["failures"] == raised["failed_here"].sum()
    share = raised.loc[raised["duty"] == "heavy", "distance"].sum() / raised["distance"].sum()
    assert row["duty_mix"] == f"heavy {share:.0%}, light {1 - share:.0%}"
    assert row["median_raised"] == pytest.approx(row["median_factory"] * row["life_ratio"], rel=1e-6)
    assert row["extra_cost_per_1000"] > 0
    assert row["p_value"] < 0.01


def test_groups_that_hardly_overlap_are_warned_of():
    mine, pieces = confounded(1)
    apart = pieces.assign(duty=np.where(pieces["lift"] > 0, "heavy", "light"))
    assert "Warning" in compared(mine, apart).iloc[0]["note"]
    assert "Warning" not in compared(mine, pieces).iloc[0]["note"]


def test_no_raised_vehicle_no_row():
    mine, pieces = confounded(1)
    assert compared(mine, pieces.assign(lift=0.0)).empty
