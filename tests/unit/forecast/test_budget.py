"""Savings between policies and first years, against sums worked event by event."""

import math
import statistics
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from wearmodel.forecast.budget import Prices, Spending, budget_saving, budget_year, build_budget
from wearmodel.forecast.long_run import build_transition
from wearmodel.forecast.planned_ages import PlannedAges

COSTS = pd.DataFrame(
    {
        "component": ["u_joint", "slip_spline"], "part_price": [40.0, math.nan], "planned_hours": [1.0, 2.0],
        "planned_downtime_hours": [2.0, 2.0], "failed_hours": [3.0, 3.0], "failed_downtime_hours": [9.0, 9.0],
        "failed_extra": [150.0, 150.0], "planned_cost": [190.0, math.nan], "road_cost": [760.0, math.nan],
    }
)  # fmt: skip
#: 40 + 1 h x 70 + 2 h x 40 = 190 planned; 40 + 3 h x 70 + 9 h x 40 + 150 = 760 on the road.
PLANNED, ROAD = 190.0, 760.0
DAYS = np.array([30.0, 31.0])


def drawn(rng, *, road, planned, months=2, draws=40):
    """Counts of two components; the second has no price."""
    counts = np.stack([rng.poisson(mean, (2, months, draws)) for mean in (road, 0.5, planned)], axis=1)
    return Spending(("u_joint", "slip_spline"), counts.astype(float))


def money_of_draw(spent, draw, *, growth):
    """One draw's money, month by month and event by event; the component without a price counts in no policy."""
    total = 0.0
    for month, middle in enumerate((15.0, 45.5)):
        road, found, planned = spent.counts[0, :, month, draw]
        total += (road * ROAD + (found + planned) * PLANNED) * (1.0 + growth) ** (middle / 365.25)
    return total


def test_savings_are_those_of_paired_draws():
    rng = np.random.default_rng(2)
    spending = {
        "run_to_failure": drawn(rng, road=3.0, planned=0.0), "planned": drawn(rng, road=1.0, planned=4.0),
        "own_policy": drawn(rng, road=1.0, planned=9.0),
    }  # fmt: skip
    prices = Prices(COSTS, 70.0, 40.0, growth=0.1)
    table = budget_saving(spending, prices=prices, days=DAYS).set_index(["policy", "against"])
    assert len(table) == 6
    for (policy, against), row in table.iterrows():
        saved = [
            money_of_draw(spending[against], draw, growth=0.1) - money_of_draw(spending[policy], draw, growth=0.1)
            for draw in range(40)
        ]
        tenths = statistics.quantiles(saved, n=10, method="inclusive")
        assert row["mean"] == pytest.approx(statistics.mean(saved))
        assert row[["p10", "p50", "p90"]].to_list() == pytest.approx([tenths[0], tenths[4], tenths[8]])
        # A cent is less than any event costs: below it the two cost the same.
        assert row["chance_saving"] == sum(s > 0.01 for s in saved) / 40
        back = table.loc[(against, policy)]
        assert (back["mean"], back["p10"]) == (pytest.approx(-row["mean"]), pytest.approx(-row["p90"]))
    monthly = build_budget(spending, prices=prices, months=("2026-07", "2026-08"), days=DAYS)
    own = [money_of_draw(spending["planned"], draw, growth=0.1) for draw in range(40)]
    assert monthly.loc[monthly["policy"] == "planned", "total"].sum() == pytest.approx(statistics.mean(own))


def test_the_same_money_summed_in_another_order_is_no_saving():
    """A renewal planned or found costs the same: which of the two it was saves nothing in any draw."""
    rng = np.random.default_rng(4)
    events = rng.poisson(2.0, (1, 24, 200)).astype(float)
    costs = COSTS.assign(part_price=[40.1, math.nan])
    prices, days = Prices(costs, 70.3, 40.7, growth=0.03), np.full(24, 30.4)
    nothing = np.zeros_like(events)
    spending = {
        "run_to_failure": Spending(("u_joint",), np.stack([events, events, nothing], axis=1)),
        "planned": Spending(("u_joint",), np.stack([events, nothing, events], axis=1)),
        "own_policy": Spending(("u_joint",), np.stack([events, events, nothing], axis=1)[:, :, ::-1]),
    }
    flat = replace(prices, growth=0.0)
    pairs = budget_saving(spending, prices=flat, days=days)
    assert (pairs["chance_saving"] == 0.0).all() and (pairs[["mean", "p05", "p95"]] == 0.0).all(axis=None)
    whole = budget_year(spending, prices=flat, days=days)
    assert (whole["chance_saving"] == 0.0).all() and (whole[["saving", "saving_p90"]] == 0.0).all(axis=None)
    dearer = budget_saving(spending, prices=prices, days=days).set_index(["policy", "against"])
    # With prices that grow it does matter when: turned round, the same events cost something else in every draw.
    turned = dearer.loc[[("own_policy", "planned"), ("planned", "own_policy")], "chance_saving"]
    assert turned.sum() == pytest.approx(1.0) and dearer.loc[("planned", "run_to_failure"), "chance_saving"] == 0.0


def test_the_months_add_up_to_the_year_whatever_prices_do():
    rng = np.random.default_rng(6)
    spending = {"run_to_failure": drawn(rng, road=3.0, planned=0.0), "planned": drawn(rng, road=1.0, planned=4.0)}
    for growth in (-0.3, 0.0, 0.3):
        prices = Prices(COSTS, 70.0, 40.0, growth=growth)
        monthly = build_budget(spending, prices=prices, months=("2026-07", "2026-08"), days=DAYS)
        whole = budget_year(spending, prices=prices, days=DAYS).set_index("policy")
        for head in ("parts", "labour", "downtime", "total"):
            sums = monthly.groupby("policy")[head].sum()
            assert sums.to_dict() == pytest.approx(whole[head].to_dict())


def yearly(road, planned, *, months=12):
    """The same events in every draw, all in the first month."""
    counts = np.zeros((1, 3, months, 5))
    counts[0, 0, 0], counts[0, 2, 0] = road, planned
    return Spending(("u_joint",), counts)


def transition(spending, lasting, *, late, months=12, spread_months=6.0):
    ages = PlannedAges(np.full(len(late), 1e5), np.zeros(len(late)), np.array(late))
    return build_transition(
        spending, prices=Prices(COSTS, 70.0, 40.0), days=np.full(months, 30.0), plans={"planned": {"u_joint": ages}},
        lasting=lasting, spread_months=spread_months,
    ).set_index("policy")  # fmt: skip


def test_a_dear_first_year_is_recovered_by_what_the_others_save():
    """4 failures are 3,040; 1 failure and 20 planned 4,560: 1,520 dearer, then 760 cheaper a year: even after 3."""
    spending = {"run_to_failure": yearly(4, 0), "planned": yearly(1, 20)}
    table = transition(spending, {"run_to_failure": 3200.0, "planned": 2440.0}, late=[True, True, False, True])
    row = table.loc["planned"]
    assert (row["months"], row["backlog"], row["backlog_cost"], row["spread_months"]) == (12, 3, 3 * PLANNED, 6.0)
    assert (row["first_year"], row["first_year_p10"], row["first_year_p90"]) == (4560.0, 4560.0, 4560.0)
    assert (row["long_run_year"], row["above_long_run"]) == (2440.0, 2120.0)
    balance, years = -1520.0, 1
    while balance < 0.0:
        balance, years = balance + 760.0, years + 1
    assert row["years_to_recover"] == pytest.approx(years) == 3
    base = table.loc["run_to_failure"]
    assert (base["backlog"], base["first_year"], base["above_long_run"]) == (0, 3040.0, -160.0)
    assert math.isnan(base["years_to_recover"]) and math.isnan(base["spread_months"])


def test_what_never_saves_is_never_recovered_and_what_saves_at_once_needs_no_time():
    dear = {"run_to_failure": yearly(4, 0), "planned": yearly(1, 20)}
    never = transition(dear, {"run_to_failure": 3200.0, "planned": 3300.0}, late=[True])
    assert math.isnan(never.loc["planned", "years_to_recover"])
    cheap = {"run_to_failure": yearly(4, 0), "planned": yearly(1, 2)}
    at_once = transition(cheap, {"run_to_failure": 3200.0, "planned": 1000.0}, late=[False])
    assert at_once.loc["planned", "years_to_recover"] == 0.0


def test_a_backlog_longer_than_the_first_year_has_no_time_to_recover():
    """What the first year costs more is not all of it: a figure from it alone would be too short."""
    spending = {"run_to_failure": yearly(4, 0), "planned": yearly(1, 20)}
    lasting = {"run_to_failure": 3200.0, "planned": 2440.0}
    assert transition(spending, lasting, late=[True], spread_months=12.0).loc["planned", "years_to_recover"] == 3.0
    longer = transition(spending, lasting, late=[True], spread_months=24.0).loc["planned"]
    assert math.isnan(longer["years_to_recover"]) and longer["long_run_year"] == 2440.0


def test_a_horizon_short_of_a_year_is_not_set_against_one():
    spending = {"run_to_failure": yearly(4, 0, months=6), "planned": yearly(1, 20, months=6)}
    table = transition(spending, {"run_to_failure": 3200.0, "planned": 2440.0}, late=[True], months=6)
    assert table["months"].tolist() == [6, 6]
    assert table[["long_run_year", "above_long_run", "years_to_recover"]].isna().all(axis=None)
