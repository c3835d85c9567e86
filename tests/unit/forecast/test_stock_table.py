"""The stock table against hand counts and Poisson theory."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from wearmodel.forecast.demand import Demand, forecast_parts, forecast_totals
from wearmodel.forecast.stock import plan_stock, stock_horizon_days

DRAWS = 4000
MONTHS = ("2026-07", "2026-08", "2026-09", "2026-10")


def poisson_demand(monthly, depots=("north",), seed=1):
    """Independent Poisson demand over four months of 30 days."""
    rng = np.random.default_rng(seed)
    keys = pd.DataFrame({"part_number": "A", "component": "u_joint", "depot": list(depots)})
    pieces = []
    for key in range(len(depots)):
        counts = rng.poisson(monthly * 4, DRAWS)
        draw = np.repeat(np.arange(DRAWS), counts)
        day = rng.uniform(0, 120, len(draw))
        pieces.append((np.full(len(draw), key), draw, (day // 30).astype(int), day))
    key, draw, month, day = (np.concatenate(column) for column in zip(*pieces, strict=True))
    return Demand(keys, key, draw, month, day, DRAWS)


def parts(lead=30.0, spread=0.0, pack=1.0):
    return pd.DataFrame(
        [("A", "u_joint", 12.5, lead, spread, pack), ("OLD", "u_joint", 9.0, lead, spread, pack)],
        columns=["part_number", "component", "unit_price", "lead_time_days", "lead_time_sd_days", "pack"],
    ).assign(superseded_by="", interchangeable_with="")


def stock(rows):
    return pd.DataFrame(rows, columns=["part_number", "depot", "on_hand", "on_order"])


def test_what_is_held_of_an_interchangeable_part_counts_before_ordering():
    demand = poisson_demand(4.0)
    alone = planned(demand, [("A", "north", 0.0, 0.0)])
    catalogue = parts().assign(interchangeable_with=["OLD", "A"])
    both = planned(demand, [("A", "north", 0.0, 0.0), ("OLD", "north", 500.0, 0.0)], catalogue)
    assert alone.loc[("A", "north"), "order_now"] > 0
    assert both.loc[("A", "north"), "order_now"] == 0
    assert both.loc[("OLD", "north"), "on_hand"] == 500.0


def planned(demand, rows, catalogue=None, level=0.95):
    table = plan_stock(
        demand, parts=parts() if catalogue is None else catalogue, stock=stock(rows), months=MONTHS,
        service_level=level, seed=1,
    )  # fmt: skip
    return table.set_index(["part_number", "depot"])


def test_reorder_point_is_the_poisson_quantile_of_lead_time_demand():
    row = planned(poisson_demand(3.0), [("A", "north", 4, 0)]).loc["A", "north"]
    assert row["reorder_point"] == stats.poisson.ppf(0.95, 3.0) == 6
    assert row["service_level"] == pytest.approx(stats.poisson.cdf(6, 3.0), abs=0.01)
    assert row["mean_lead_demand"] == pytest.approx(3.0, abs=0.1)
    assert row["order_up_to"] == 6 + 3
    assert row["order_now"] == 9 - 4
    assert row["shortage_date"] == "2026-08"


def test_more_lead_time_never_lowers_the_reorder_point():
    demand = poisson_demand(2.0)
    points = [planned(demand, [("A", "north", 0, 0)], parts(lead)).loc["A", "north"]["reorder_point"]
              for lead in (0.0, 10.0, 30.0, 60.0, 90.0)]  # fmt: skip
    assert points == sorted(points)
    assert points[0] == 0


def test_uncertain_lead_time_needs_no_less():
    demand = poisson_demand(2.0)
    steady, shaky = (
        planned(demand, [("A", "north", 0, 0)], parts(30.0, spread)).loc["A", "north"] for spread in (0.0, 15.0)
    )
    assert shaky["reorder_point"] >= steady["reorder_point"]
    assert shaky["mean_lead_demand"] == pytest.approx(steady["mean_lead_demand"], rel=0.05)


def test_orders_come_in_packs():
    row = planned(poisson_demand(3.0), [("A", "north", 1, 0)], parts(pack=10.0)).loc["A", "north"]
    assert row["order_now"] % 10 == 0
    assert row["order_now"] > 0


def test_enough_on_order_means_no_order():
    assert planned(poisson_demand(3.0), [("A", "north", 0, 50)]).loc["A", "north"]["order_now"] == 0


def test_without_a_stock_table_no_order_is_proposed():
    row = planned(poisson_demand(3.0), []).loc["A", "north"]
    assert np.isnan(row["on_hand"])
    assert np.isnan(row["order_now"])
    assert row["reorder_point"] == 6


def test_stock_without_depots_is_held_in_one_place():
    table = planned(poisson_demand(1.5, depots=("north", "south")), [("A", "", 2, 0)])
    assert list(table.index) == [("A", "all")]
    assert table.iloc[0]["mean_lead_demand"] == pytest.approx(3.0, abs=0.1)


def test_stock_that_nothing_asks_for_is_listed():
    row = planned(poisson_demand(1.0), [("A", "north", 9, 0), ("OLD", "south", 7, 0)]).loc["OLD", "south"]
    assert (row["on_hand"], row["reorder_point"], row["order_now"]) == (7, 0, 0)


def test_horizon_reaches_beyond_every_lead_time():
    assert stock_horizon_days(parts(90.0, 10.0)) > 130.0
    assert stock_horizon_days(parts().iloc[:0]) == 0.0


def test_forecast_means_add_up_and_total_quantiles_do_not():
    demand = poisson_demand(0.5, depots=("north", "south"))
    table, total = forecast_parts(demand, months=MONTHS), forecast_totals(demand, months=MONTHS)
    assert table["mean"].sum() == pytest.approx(len(demand.key) / DRAWS)
    whole = total.query("part_number == 'all' and month == 'all'").iloc[0]
    assert whole["mean"] == pytest.approx(table["mean"].sum())
    assert whole["p90"] == stats.poisson.ppf(0.9, 4.0)
    assert whole["p90"] < table["p90"].sum()
