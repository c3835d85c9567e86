"""Part makes with known lives and prices."""

import math

import numpy as np
import pandas as pd
import pytest

from wearmodel.policy.age_replacement import cost_rate
from wearmodel.policy.comparison.part_makes import compare_makes, position_prices
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import ComponentLives, build_component_lives
from wearmodel.survival.model import LifeModel, ReplacementCost

CODE, SHAPE, BETTER = "u_joint", 2.2, 1.3
PARTS = pd.DataFrame(
    {
        "part_number": ["P1", "P2", "Q1"],
        "component": CODE,
        "build": ["sealed", "greasable", "sealed"],
        "renews": ["", "", ""],
        "unit_price": [40.0, 80.0, 60.0],
    }
)
COSTS = pd.DataFrame({"component": [CODE], "part_price": [50.0]})


def fleet_of(seed: int, count: int = 1_500, *, better: float = BETTER):
    """P2 lasts longer, but is mostly fitted where the work is hard; Q1 alone goes into vans."""
    rng = np.random.default_rng(seed)
    hard = rng.random(count) < 0.5
    van = rng.random(count) < 0.2
    second = rng.random(count) < np.where(hard, 0.8, 0.2)
    make = np.where(van, "Q1", np.where(second, "P2", "P1")).astype(object)
    life = np.exp(-0.5 * hard) * np.where(make == "P2", better, 1.0) * rng.weibull(SHAPE, count)
    end = rng.uniform(0.2, 1.6, count)
    stop = np.minimum(life, end)
    lives = pd.DataFrame(
        {
            "component": CODE, "vehicle": np.arange(count) // 3, "position": "rear", "start_day": 0.0, "entry": 0.0,
            "stop_low": stop, "stop_high": np.where(life <= end, stop, np.inf), "weight": 1.0, "chance": 1.0,
            "usable": True, "age_known": True, "silent": 0.0, "look_gap": 0.0,
        }
    )  # fmt: skip
    segments = pd.DataFrame({"life": np.arange(count), "age_from": 0.0, "age_to": np.inf, "lift": 0.0})
    traits = pd.DataFrame(
        {
            "duty": np.where(hard, "site", "highway"), "vehicle_class": np.where(van, "van", "truck"), "place": "rear",
            "make": make, "build": "", "greasing": "", "angle": np.nan, "length": np.nan, "described": False,
        }
    )  # fmt: skip
    mine = build_component_lives(
        CODE, lives=lives, segments=segments, traits=traits, lifts=(0.0,), other_rate=0.0
    )
    models = fit_components({CODE: mine}, labels={CODE: "Joint"}, clocks={CODE: "km"})
    costs = {CODE: ReplacementCost(150.0, 400.0)}
    return LifeModel(models, "km", "EUR", "2026-06-30", math.nan, 0.9, costs, ""), mine, traits


def table_of(model: LifeModel, mine: ComponentLives, traits: pd.DataFrame) -> pd.DataFrame:
    return compare_makes(model, coded={CODE: mine}, traits=traits, parts=PARTS, costs=COSTS, seed=1).set_index("make")


def test_the_dearer_part_is_found_to_last_longer_though_it_does_the_hard_work():
    logs, held = [], 0
    for seed in range(30):
        row = table_of(*fleet_of(seed)).loc[["P1", "P2"]].query("against != ''").iloc[0]
        # Which of the two is the commoner, and so held against, is chance.
        truth = BETTER if row.name == "P2" else 1.0 / BETTER
        logs.append(abs(math.log(row["life_ratio"] / truth)))
        held += row["lower"] < truth < row["upper"]
        assert abs(math.log(row["crude_ratio"] / truth)) > 0.12
    assert np.mean(logs) < 0.06
    # 90 % intervals: with 30 samples 22 to 30 inside has a chance of 99 %.
    assert held >= 22


def test_costs_are_those_of_the_price_and_the_life():
    model, mine, traits = fleet_of(2, count=6_000)
    table = table_of(model, mine, traits)
    first, second = table.loc["P1"], table.loc["P2"]
    assert first["position_price"] == 40.0
    assert second["position_price"] == 80.0
    # By hand, over the work of the trucks: half of it site, at the best intervals of the true law.
    truck = traits["vehicle_class"] == "truck"
    run = mine.dated.before_low
    site = float(run[truck & (traits["duty"] == "site")].sum() / run[truck].sum())
    rates = {}
    for make, life, price in (("P1", 1.0, 40.0), ("P2", BETTER, 80.0)):
        planned, failed = 150.0 - 50.0 + price, 400.0 - 50.0 + price
        ages = np.linspace(0.05, 4.0, 4_000)
        rates[make] = sum(
            share
            * cost_rate(ages, shape=SHAPE, scale=scale * life, planned_cost=planned, failed_cost=failed).min()
            for share, scale in ((site, math.exp(-0.5)), (1.0 - site, 1.0))
        )
        assert table.loc[make, "cost_per_1000"] == pytest.approx(1000.0 * rates[make], rel=0.05)
    other = "P2" if table.loc["P2", "against"] else "P1"
    sign = 1.0 if other == "P2" else -1.0
    expected = 1000.0 * sign * (rates["P2"] - rates["P1"])
    row = table.loc[other]
    assert row["extra_cost_per_1000_lower"] < expected < row["extra_cost_per_1000_upper"]
    assert 0.0 <= row["chance_cheaper"] <= 1.0
    assert f"Lasts {row['life_ratio']:.2f} times as long as" in row["sentence"]


def test_a_part_that_shares_no_class_cannot_be_told_from_its_vehicles():
    row = table_of(*fleet_of(3)).loc["Q1"]
    assert math.isnan(row["life_ratio"])
    assert row["sentence"].startswith("No other make is fitted to the same vehicle classes")


@pytest.mark.parametrize("count, failures", [(14, 4), (40, 5)])
def test_thin_makes_say_so(count, failures):
    """Below five failures the sentence counts them, from five on it does not."""
    model, mine, traits = fleet_of(4, count=count)
    row = table_of(model, mine, traits).loc["P2"]
    seen = (mine.dated.exact & (traits["make"] == "P2").to_numpy()).sum()
    assert row["failures"] == seen == failures
    assert row["sentence"].startswith(f"Lasts {row['life_ratio']:.2f} times as long as P1 for 2.00 times the price.")
    assert ("Only 4 failures of it." in row["sentence"]) == (failures == 4)
    assert "does not settle which lasts longer" in row["sentence"] and row["lower"] < 1.0 < row["upper"]


def test_makes_with_hardly_a_failure_are_not_compared():
    table = table_of(*fleet_of(4, count=6))
    failures = int(table["failures"].drop("Q1", errors="ignore").sum())
    assert failures < 5
    for make in ("P1", "P2"):
        assert math.isnan(table.loc[make, "life_ratio"])
        assert table.loc[make, "sentence"].startswith(f"Only {failures} failure")


def test_one_make_gives_no_table():
    model, mine, traits = fleet_of(5, count=200)
    assert table_of(model, mine, traits.assign(make="P1")).empty
    assert table_of(model, mine, traits.assign(make="")).empty


def test_prices_of_kits_are_shared_over_what_they_renew():
    parts = pd.DataFrame(
        {
            "part_number": ["J", "PAIR", "SHAFT"],
            "component": ["u_joint", "u_joint", "cv_joint_outboard"],
            "renews": ["", "rear.joint_front; rear.joint_rear", "cv_joint_outboard;cv_boot_outboard"],
            "unit_price": [40.0, 70.0, 300.0],
        }
    )
    prices = position_prices(parts, {"u_joint": 40.0, "cv_joint_outboard": 160.0, "cv_boot_outboard": 40.0})
    assert prices["J", "u_joint"] == 40.0
    assert prices["PAIR", "u_joint"] == 35.0
    assert prices["SHAFT", "cv_joint_outboard"] == pytest.approx(240.0)
    assert prices["SHAFT", "cv_boot_outboard"] == pytest.approx(60.0)
