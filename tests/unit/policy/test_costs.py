"""Costs of a replacement, worked out by hand."""

import numpy as np
import pandas as pd
import pytest

from wearmodel.intake.fleet_toml.settings import ComponentCost, read_settings
from wearmodel.policy.costs import build_costs, replacement_costs


def catalogue(rows):
    frame = pd.DataFrame(rows, columns=["part_number", "component", "unit_price", "superseded_by"])
    return frame.astype({"unit_price": float}).assign(interchangeable_with="")


PARTS = catalogue(
    [("A1", "u_joint", 10.0, "A2"), ("A2", "u_joint", 20.0, "A3"), ("A3", "u_joint", 30.0, ""),
     ("B1", "u_joint", 60.0, ""), ("C1", "boot", 5.0, "")]
)  # fmt: skip


@pytest.fixture
def settings(tmp_path):
    from dataclasses import replace

    cost = ComponentCost(1.0, 2.0, 3.0, 10.0, 100.0, is_default=False)
    return replace(read_settings(tmp_path), labour_rate=50.0, downtime_cost=10.0, costs={"u_joint": cost})


def costs_of(settings, lines, ended):
    own = pd.DataFrame(lines, columns=["component", "date", "part_number"])
    own["date"] = pd.to_datetime(own["date"])
    lives = pd.DataFrame({"component": "u_joint", "ended": ended, "chance": 1.0})
    table = build_costs(
        {"u_joint": "Universal joint", "boot": "Boot"}, settings=settings, own_lines=own, parts=PARTS, lives=lives,
        as_of=pd.Timestamp("2026-06-30"),
    )  # fmt: skip
    return table.set_index("component")


def test_price_is_that_of_the_parts_fitted_lately_at_todays_number(settings):
    lines = [("u_joint", "2026-01-01", "A1"), ("u_joint", "2025-01-01", "B1"), ("u_joint", "2019-01-01", "B1")]
    row = costs_of(settings, lines, ["failed", "worn", "worn", "failed", "planned"]).loc["u_joint"]
    assert row["part_price"] == pytest.approx((30.0 + 60.0) / 2)
    assert row["planned_cost"] == pytest.approx(45.0 + 50.0 + 20.0)
    assert row["road_cost"] == pytest.approx(45.0 + 150.0 + 100.0 + 100.0)
    assert row["worn_share"] == 0.5
    assert row["failed_cost"] == pytest.approx((115.0 + 395.0) / 2)
    assert row["source"] == "fleet.toml"


def test_without_a_past_the_catalogue_speaks_and_missing_hours_stay_missing(settings):
    table = costs_of(settings, [], ["failed"])
    assert table.loc["u_joint", "part_price"] == pytest.approx(45.0)
    assert table.loc["boot", "part_price"] == 5.0
    assert np.isnan(table.loc["boot", "planned_cost"])
    assert table.loc["boot", "source"] == "not given"
    assert set(replacement_costs(table.reset_index())) == {"u_joint"}
