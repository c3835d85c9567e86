"""Caps on road failures: against event-by-event simulation, quadrature, and a search over intervals."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, stats

from wearmodel.policy.age_replacement import cost_rate, flat_band, optimal_interval, recommended_interval
from wearmodel.policy.intervals import CAPPED, plan_intervals
from wearmodel.policy.risk_cap import failures_per_distance, longest_within
from wearmodel.policy.yearly_running import add_yearly_running
from workbook.example_model import EXAMPLE_MODEL

LAW = {"shape": 2.4, "scale": 60_000.0}
COSTS = {"planned_cost": 150.0, "failed_cost": 600.0}
CELLS = pd.DataFrame(
    {"component": ["u_joint"] * 2, "duty": ["highway", "site"], "lift": [0.0, 75.0], "failures": [20, 28],
     "yearly_running": [90_000.0, 60_000.0]}
)  # fmt: skip


def simulated_failures(rng, *, interval, shape, scale, reach, vehicles):
    """Failures of each vehicle's position over a long reach, renewed at the interval or at failure, life by life."""
    at, failures = np.zeros(vehicles), np.zeros(vehicles)
    while (at < reach).any():
        life = scale * rng.weibull(shape, vehicles)
        end = at + np.minimum(life, interval)
        failures += (life < interval) & (end <= reach)
        at = end
    return failures


@pytest.mark.parametrize("interval", [20_000.0, 45_000.0, np.inf])
def test_failures_of_simulated_vehicles(interval):
    rng = np.random.default_rng(11)
    reach, vehicles = 4e6, 3_000
    seen = simulated_failures(rng, interval=interval, **LAW, reach=reach, vehicles=vehicles) / reach
    rate = float(failures_per_distance(interval, **LAW))
    error = seen.std() / np.sqrt(vehicles)
    # Over a finite reach the renewal function is off its long-run line by less than one part.
    assert seen.mean() == pytest.approx(rate, abs=4.0 * error + 1.0 / reach)


def test_failures_against_quadrature_and_over_unlike_vehicles():
    law = stats.weibull_min(LAW["shape"], scale=LAW["scale"])
    run = integrate.quad(law.sf, 0.0, 30_000.0)[0]
    assert failures_per_distance(30_000.0, **LAW) == pytest.approx(law.cdf(30_000.0) / run, rel=1e-9)
    # A vehicle of frailty w has its interval and its lives shortened alike, by w^(1/shape).
    frailty = stats.gamma(2.0, scale=0.5)
    mean_pace = integrate.quad(lambda w: w ** (1.0 / LAW["shape"]) * frailty.pdf(w), 0.0, 40.0)[0]
    unlike = failures_per_distance(30_000.0, **LAW, variance=0.5)
    assert unlike == pytest.approx(mean_pace * law.cdf(30_000.0) / run, rel=1e-6)


def test_longest_interval_is_the_last_of_a_search_that_keeps_to_the_limit():
    grid = np.linspace(200.0, 200_000.0, 999_001)
    rates = failures_per_distance(grid, **LAW)
    for most in (2e-6, 8e-6, 1.6e-5):
        assert longest_within(most, **LAW) == pytest.approx(grid[rates <= most].max(), abs=0.3)
    assert np.isinf(longest_within(rates[-1] * 1.5, **LAW)) and np.isinf(longest_within(np.nan, **LAW))
    far_down = float(longest_within(1e-12, **LAW))
    assert failures_per_distance(far_down, **LAW) == pytest.approx(1e-12, rel=1e-6)


def test_parts_that_do_not_wear_out_cannot_be_kept_to_a_limit_by_renewing():
    assert np.isnan(longest_within(1e-6, shape=[1.0, 0.7], scale=60_000.0)).all()
    assert np.isinf(longest_within(1.0, shape=[1.0, 0.7], scale=60_000.0)).all()


def test_capped_interval_costs_least_of_those_allowed():
    best = float(optimal_interval(**LAW, **COSTS))
    for cap in (0.5 * best, 0.9 * best, 1.5 * best):
        allowed = np.linspace(1_000.0, cap, 20_001)
        cheapest = allowed[np.argmin(cost_rate(allowed, **LAW, **COSTS))]
        assert recommended_interval(**LAW, **COSTS, at_most=cap) == pytest.approx(cheapest, rel=1e-3)
        served = float(recommended_interval(**LAW, **COSTS, at_most=cap, service_interval=400.0))
        assert served <= cap and served % 400.0 == pytest.approx(0.0, abs=1e-6)
        assert cost_rate(served, **LAW, **COSTS) <= 1.03 * cost_rate(cheapest, **LAW, **COSTS)
        band = flat_band(**LAW, **COSTS, at_most=cap)
        good = allowed[cost_rate(allowed, **LAW, **COSTS) <= 1.03 * cost_rate(cheapest, **LAW, **COSTS)]
        assert band.low == pytest.approx(good.min(), abs=3.0) and band.high == pytest.approx(good.max(), abs=3.0)
    # Where nothing is saved by planning, a cap still makes an interval.
    dear = {"planned_cost": 600.0, "failed_cost": 500.0}
    assert np.isinf(recommended_interval(**LAW, **dear))
    assert recommended_interval(**LAW, **dear, at_most=20_000.0) == 20_000.0


def test_table_with_a_cap():
    plain = plan_intervals(EXAMPLE_MODEL, cells=CELLS, worn_shares={"u_joint": 0.25})
    assert plain["road_failures_cap"].isna().all() and plain["interval_uncapped"].isna().all()
    for row in plain.itertuples():
        rate = failures_per_distance(row.interval, shape=row.shape, scale=row.scale, variance=row.frailty_variance)
        assert row.road_failures_year == pytest.approx(0.75 * row.yearly_running * rate)
    cap = 0.6 * plain["road_failures_year"].min()
    table = plan_intervals(EXAMPLE_MODEL, cells=CELLS, worn_shares={"u_joint": 0.25}, road_caps={"u_joint": cap})
    assert (table["road_failures_year"] <= cap * (1 + 1e-9)).all()
    assert (table["interval"] < plain["interval"]).all() and table["interval_uncapped"].equals(plain["interval"])
    assert table["cost_rate_uncapped"].to_numpy() == pytest.approx(plain["cost_rate_interval"].to_numpy())
    assert (table["cost_rate_interval"] > table["cost_rate_uncapped"]).all()
    assert table["road_failures_uncapped"].to_numpy() == pytest.approx(plain["road_failures_year"].to_numpy())
    assert table["advice"].str.endswith((CAPPED["shortened"], CAPPED["short"])).all()
    loose = plan_intervals(EXAMPLE_MODEL, cells=CELLS, worn_shares={"u_joint": 0.25}, road_caps={"u_joint": 50.0})
    assert loose["interval"].equals(plain["interval"]) and loose["advice"].equals(plain["advice"])


def test_a_cap_that_no_interval_keeps_is_said():
    joint = EXAMPLE_MODEL.components["u_joint"]
    random = replace(joint, values=(*joint.values[:-1], -0.1))
    model = replace(EXAMPLE_MODEL, components={"u_joint": random})
    table = plan_intervals(model, cells=CELLS, worn_shares={}, road_caps={"u_joint": 0.01})
    assert table["advice"].tolist() == [f"run to failure{CAPPED['unreachable']}"] * 2
    assert table["interval"].isna().all() and (table["road_failures_year"] > 0.01).all()


def test_running_of_all_parts_on_a_vehicle_of_the_cell():
    lives = pd.DataFrame(
        {"component": ["u_joint"] * 5 + ["boot"], "duty": ["town", "town", "town", "site", "site", "town"],
         "lift": [0.0, 0.0, 0.0, 48.0, 0.0, 0.0], "vehicle": [0, 0, 1, 2, 3, 0],
         "current": [True, True, True, True, False, True]}
    )  # fmt: skip
    keys = [("u_joint", "town", 0.0), ("u_joint", "site", 50.0), ("u_joint", "site", 0.0), ("boot", "town", 0.0)]
    cells = pd.DataFrame(keys, columns=["component", "duty", "lift"])
    daily = np.array([100.0, 40.0, 10.0, 500.0])
    a_day = {"boot": np.array([30.0, 1.0, 2.0, 3.0])}
    found = add_yearly_running(cells, lives=lives, daily=daily, levels=(0.0, 50.0), a_day=a_day)
    # Two joints of the first vehicle and one of the second; nobody is at site and factory height now.
    days = np.array([(2 * 100.0 + 40.0) / 2, 10.0, (200.0 + 40.0 + 10.0) / 3, 30.0])
    assert found["yearly_running"].to_numpy() == pytest.approx(365.25 * days)
    assert found["vehicles"].tolist() == [2, 1, 0, 1]


def test_saving_a_year_is_that_of_all_vehicles_of_the_cell():
    joint = EXAMPLE_MODEL.components["u_joint"]
    random = replace(joint, values=(*joint.values[:-1], -0.1))
    for model, gains in ((EXAMPLE_MODEL, True), (replace(EXAMPLE_MODEL, components={"u_joint": random}), False)):
        table = plan_intervals(model, cells=CELLS.assign(vehicles=[7, 0]), worn_shares={})
        per_vehicle = table["yearly_running"] * (table["cost_rate_run_to_failure"] - table["cost_rate_interval"])
        wanted = [7 * per_vehicle[0], 0.0] if gains else [np.nan, np.nan]
        assert table["saving_year"].tolist() == pytest.approx(wanted, nan_ok=True)
        assert not gains or table["saving_year"][0] > 0
