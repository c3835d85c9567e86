"""The stock table against hand counts and Poisson theory."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from wearmodel.forecast.demand import Demand, forecast_parts, forecast_totals
from wearmodel.forecast.order_policy import StockTerms
from wearmodel.forecast.stock import plan_pooling, plan_stock, stock_horizon_days

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


CYCLE = StockTerms(0.95)


def planned(demand, rows, catalogue=None, terms=CYCLE):
    table = plan_stock(
        demand, parts=parts() if catalogue is None else catalogue, stock=stock(rows), months=MONTHS, horizon=4,
        terms=terms, seed=1,
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


def mixed_demand(seed, draws=DRAWS, depots=("north", "south"), rates=(1.5, 4.0)):
    """Demand of depots whose rate is itself uncertain and common to both: more spread than Poisson."""
    rng = np.random.default_rng(seed)
    factor = rng.gamma(16.0, 1.0 / 16.0, draws)
    keys = pd.DataFrame({"part_number": "A", "component": "u_joint", "depot": list(depots)})
    pieces = []
    for key, rate in enumerate(rates):
        counts = rng.poisson(rate * 4 * factor)
        draw = np.repeat(np.arange(draws), counts)
        day = rng.uniform(0, 120, len(draw))
        pieces.append((np.full(len(draw), key), draw, (day // 30).astype(int), day))
    key, draw, month, day = (np.concatenate(column) for column in zip(*pieces, strict=True))
    return Demand(keys, key, draw, month, day, draws)


def delivered(row, demand, key, seed):
    """Cycle service and fill rate of a row of the table over lead times drawn afresh."""
    spread = 8.0
    shape, rng = (30.0 / spread) ** 2, np.random.default_rng(seed)
    lead = rng.gamma(shape, 30.0 / shape, demand.draws)
    mine = (demand.key == key) & (demand.day <= lead[demand.draw])
    during = np.bincount(demand.draw[mine], minlength=demand.draws)
    # Of the parts of one order those wait that are asked for beyond what was there when it was placed.
    over = [np.maximum(during - start, 0).mean() for start in (row["reorder_point"], row["order_up_to"])]
    return (during <= row["reorder_point"]).mean(), 1.0 - (over[0] - over[1]) / row["order_quantity"]


@pytest.mark.parametrize("level", [0.8, 0.9, 0.95])
def test_the_service_promised_is_delivered(level):
    """40,000 lead times drawn afresh at each of two depots: within a point of the promise."""
    terms = StockTerms(level, order_cost=3.0)
    table = planned(mixed_demand(1, draws=40_000), [("A", "north", 0, 0)], parts(30.0, 8.0), terms)
    again = mixed_demand(2, draws=40_000)
    for key, depot in enumerate(("north", "south")):
        row = table.loc["A", depot]
        cycle, fill = delivered(row, again, key, seed=3)
        assert row["service_level"] >= level
        assert cycle == pytest.approx(row["service_level"], abs=0.01)
        assert fill == pytest.approx(row["fill_rate"], abs=0.01)


def test_as_few_draws_as_a_plan_has_promise_what_is_delivered():
    """The least point whose drawn chance is enough could promise too much: 40 plans of 400 draws, 10,000 lead times."""
    again, promised, came = mixed_demand(2, draws=10_000), [], []
    for seed in range(20):
        table = planned(mixed_demand(100 + seed, draws=400), [("A", "north", 0, 0)], parts(30.0, 8.0))
        for key, depot in enumerate(("north", "south")):
            row = table.loc["A", depot]
            promised.append((row["service_level"], row["fill_rate"]))
            came.append(delivered(row, again, key, seed=3))
    np.testing.assert_allclose(np.mean(came, axis=0), np.mean(promised, axis=0), atol=0.01)


def test_a_fill_rate_asks_for_less_than_the_same_cycle_service():
    demand, rows = mixed_demand(1), [("A", "north", 0, 0)]
    cycle, fill = (planned(demand, rows, terms=StockTerms(0.95, measure=name)) for name in ("cycle", "fill"))
    assert (fill["reorder_point"] <= cycle["reorder_point"]).all()
    assert fill["reorder_point"].sum() < cycle["reorder_point"].sum()
    assert (fill["fill_rate"] >= 0.95).all()


def test_a_dearer_standing_vehicle_never_lowers_the_reorder_point():
    demand, rows = mixed_demand(1), [("A", "north", 0, 0)]
    points = [
        planned(demand, rows, terms=StockTerms(0.95, measure="standing", standing_cost=cost))["reorder_point"].sum()
        for cost in (0.01, 0.1, 1.0, 100.0)
    ]
    assert points == sorted(points) and points[0] < points[-1]


def test_where_nobody_knows_what_a_standing_vehicle_costs_cycle_service_counts():
    demand, rows = mixed_demand(1), [("A", "north", 0, 0)]
    unknown, cycle = (planned(demand, rows, terms=StockTerms(0.95, measure=name)) for name in ("standing", "cycle"))
    pd.testing.assert_frame_equal(unknown, cycle)


def test_orders_are_larger_where_they_cost_more_and_parts_less():
    demand, rows = poisson_demand(3.0), [("A", "north", 0, 0)]
    sizes = [
        planned(demand, rows, terms=StockTerms(0.95, order_cost=cost)).loc["A", "north"]["order_quantity"]
        for cost in (0.0, 2.0, 20.0, 2000.0)
    ]
    # A month's demand, sqrt(2 x 2 x 36 / 2.5) and sqrt(2 x 20 x 36 / 2.5), a year's demand at the most.
    assert sizes == [pytest.approx(size, abs=1) for size in (3, 8, 24, 36)]


def test_dead_stock_is_what_the_horizon_will_hardly_use():
    row = planned(poisson_demand(3.0), [("A", "north", 30, 4)]).loc["A", "north"]
    assert row["horizon_p90"] == pytest.approx(stats.poisson.ppf(0.9, 12.0), abs=1)
    assert row["dead_stock"] == 34 - row["horizon_p90"]
    assert row["dead_stock_value"] == 12.5 * row["dead_stock"]
    assert planned(poisson_demand(3.0), [("A", "north", 10, 0)]).loc["A", "north"]["dead_stock"] == 0
    assert np.isnan(planned(poisson_demand(3.0), []).loc["A", "north"]["dead_stock"])


def test_stock_of_a_superseded_number_is_dead_and_that_of_an_interchangeable_one_is_not():
    rows = [("A", "north", 0, 0), ("OLD", "north", 7, 0)]
    assert planned(poisson_demand(3.0), rows).loc[("OLD", "north"), "dead_stock"] == 7
    superseded = parts().assign(superseded_by=["", "A"])
    assert planned(poisson_demand(3.0), rows, superseded).loc[("OLD", "north"), "dead_stock"] == 7
    serves = parts().assign(interchangeable_with=["OLD", "A"])
    assert planned(poisson_demand(3.0), rows, serves).loc[("OLD", "north"), "dead_stock"] == 0


def test_one_store_for_all_depots_needs_less():
    """Poisson demand of two depots is Poisson of the sum."""
    apart = poisson_demand(2.5, depots=("north", "south"))
    row = plan_pooling(apart, parts=parts(), months=MONTHS, terms=CYCLE, seed=1).iloc[0]
    assert row["depots"] == 2
    assert row["reorder_points"] == 2 * stats.poisson.ppf(0.95, 2.5)
    assert row["pooled_reorder_point"] == stats.poisson.ppf(0.95, 5.0)
    assert row["pieces_spared"] == row["reorder_points"] - row["pooled_reorder_point"]
    assert row["value_spared"] == 12.5 * row["pieces_spared"]
    assert row["pooled_service_level"] >= 0.95
    alone = poisson_demand(2.0)
    assert plan_pooling(alone, parts=parts(), months=MONTHS, terms=CYCLE, seed=1).empty
