"""Demand by lead time against the stock table drawn with it, and Poisson theory."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from wearmodel.forecast.demand import Demand
from wearmodel.forecast.lead_demand import LEAD_FACTORS, LEAST_LEVEL, build_lead_demand
from wearmodel.forecast.order_policy import StockTerms
from wearmodel.forecast.stock import plan_stock

DRAWS = 4000
MONTHS = ("2026-07", "2026-08", "2026-09", "2026-10")


def poisson_demand(monthly, depots=("north",)):
    """Independent Poisson demand over four months of 30 days."""
    rng = np.random.default_rng(1)
    counts = rng.poisson(monthly * 4, (len(depots), DRAWS))
    key, draw = (np.repeat(at.ravel(), counts.ravel()) for at in np.indices(counts.shape))
    day = rng.uniform(0, 120, len(key))
    keys = pd.DataFrame({"part_number": "A", "component": "u_joint", "depot": list(depots)})
    return Demand(keys, key, draw, (day // 30).astype(int), day, DRAWS)


def parts(lead, spread=0.0):
    columns = ["part_number", "component", "unit_price", "lead_time_days", "lead_time_sd_days", "pack"]
    return pd.DataFrame([("A", "u_joint", 12.5, lead, spread, 1.0)], columns=columns).assign(
        superseded_by="", interchangeable_with=""
    )


def stock(rows):
    return pd.DataFrame(rows, columns=["part_number", "depot", "on_hand", "on_order"])


def both(demand, rows, catalogue, level):
    arguments = {"parts": catalogue, "stock": stock(rows), "seed": 1}
    terms = StockTerms(service_level=level)
    table = plan_stock(demand, **arguments, months=MONTHS, horizon=len(MONTHS), terms=terms)
    return table, build_lead_demand(demand, **arguments, days=120.0)


@pytest.mark.parametrize("level", [0.5, 0.95, 0.999])
@pytest.mark.parametrize("rows", [[("A", "north", 4, 0)], [("A", "", 2, 0)], []])
def test_at_its_own_lead_time_a_part_has_the_reorder_point_of_the_stock_table(rows, level):
    demand = poisson_demand(2.0, depots=("north", "south"))
    table, levels = both(demand, rows, parts(lead=20.0, spread=6.0), level)
    own = levels[levels["lead_time_days"] == 20.0]
    assert len(table) == len(own.groupby(["part_number", "depot"]))
    for row in table.itertuples(index=False):
        mine = own[own["depot"] == row.depot].sort_values("pieces")
        first = mine[mine["chance"] >= level].iloc[0]
        assert (first["pieces"], first["chance"]) == (row.reorder_point, row.service_level)
        assert mine["mean"].unique().tolist() == [row.mean_lead_demand]


@pytest.mark.parametrize("spread", [0.0, 4.0])
def test_other_lead_times_have_the_demand_of_their_length(spread):
    levels = both(poisson_demand(3.0), [], parts(lead=16.0, spread=spread), 0.9)[1]
    for lead, mine in levels.groupby("lead_time_days"):
        mean = 3.0 * lead / 30.0
        assert mine["mean"].iloc[0] == pytest.approx(mean, abs=4 * np.sqrt((mean + 0.2) / DRAWS) + 0.02 * mean)
        if spread == 0.0:
            law = stats.poisson.cdf(mine["pieces"], mean)
            assert mine["chance"].to_numpy() == pytest.approx(law, abs=4 * np.sqrt(0.25 / DRAWS))


def test_longer_lead_times_never_need_less():
    levels = both(poisson_demand(3.0), [], parts(lead=12.0, spread=5.0), 0.9)[1]
    reached = levels[levels["chance"] >= 0.95].groupby("lead_time_days")["pieces"].min()
    assert reached.is_monotonic_increasing


def test_lead_times_end_where_demand_does_and_chances_at_certainty():
    levels = both(poisson_demand(3.0), [], parts(lead=16.0, spread=4.0), 0.9)[1]
    leads = levels["lead_time_days"].unique()
    assert leads.tolist() == [16.0 * factor for factor in LEAD_FACTORS if 16.0 * factor + 16.0 <= 120.0]
    ends = levels.groupby("lead_time_days")["chance"].agg(["min", "max"])
    assert (ends["max"] == 1.0).all()
    assert (ends["min"] >= LEAST_LEVEL).all()


def test_a_part_without_a_lead_time_is_listed_in_days():
    levels = both(poisson_demand(3.0), [], parts(lead=0.0), 0.9)[1]
    assert levels["lead_time_days"].unique().tolist() == [0.0, 3.5, 7.0, 14.0, 28.0, 56.0]


def test_parts_without_a_catalogue_row_have_none():
    demand = poisson_demand(3.0)
    catalogue = parts(30.0).iloc[:0]
    assert build_lead_demand(demand, parts=catalogue, stock=stock([]), days=120.0, seed=1).equals(
        pd.DataFrame(columns=["part_number", "depot", "lead_time_days", "mean", "pieces", "chance"])
    )
