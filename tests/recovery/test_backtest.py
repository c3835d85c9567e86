"""Forecasts from earlier days of a fleet with known truth: nothing later leaks in, and what came is counted rightly."""

import numpy as np
import pandas as pd
import pytest
from ageing_fleet import write_ageing_fleet

from wearmodel.backtest import build_backtest
from wearmodel.backtest_tables import BACKTEST_COLUMNS
from wearmodel.earlier_record import fleet_on
from wearmodel.errors import InputError
from wearmodel.forecast.scores import count_coverage
from wearmodel.intake.fleet import read_fleet

CODES = ("cv_boot_outboard", "cv_joint_outboard")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("backtest")


@pytest.fixture(scope="module")
def renewals(folder):
    return write_ageing_fleet(folder, vehicles=100, seed=5)


@pytest.fixture(scope="module")
def fleet(folder, renewals):
    return read_fleet(folder)


@pytest.fixture(scope="module")
def found(fleet):
    return build_backtest(fleet, months=12, seed=1)


def test_tables_have_their_columns_and_one_row_a_component_and_month(found):
    for name, columns in BACKTEST_COLUMNS.items():
        assert list(found.tables[name].columns) == list(columns)
    table = found.tables["backtest"]
    assert not table.duplicated(["component", "month"]).any()
    assert (table["chance_below"] <= table["chance_up_to"]).all()
    assert [f"{origin.day:%Y-%m-%d}" for origin in found.origins] == [
        "2022-06-30", "2022-12-31", "2023-06-30", "2023-12-31", "2024-06-30", "2024-12-31",
    ]  # fmt: skip


def test_what_came_is_what_was_taken(found, renewals):
    """Counted again from the simulation."""
    table = found.tables["backtest"].set_index(["component", "month"])["actual"]
    counted = renewals.groupby(["component", renewals["date"].dt.strftime("%Y-%m")]).size()
    for key, actual in table.items():
        assert actual == counted.get(key, 0), key
    totals = found.tables["backtest_totals"].query("origin == '2024-12-31'").set_index("component")["actual"]
    year = renewals[renewals["date"] > "2024-12-31"].groupby("component").size()
    assert totals["all"] == year.sum() and all(totals[code] == year[code] for code in CODES)


def test_nothing_that_came_later_leaks_in(found, folder, tmp_path_factory):
    """A fleet that never lived on: the same history up to a day, read from files that end there."""
    day = pd.Timestamp("2023-12-31")
    other = tmp_path_factory.mktemp("earlier")
    write_ageing_fleet(other, vehicles=100, seed=5, until=day)
    there, here = read_fleet(other), fleet_on(read_fleet(folder), day)
    assert here.as_of == there.as_of == day
    for name in ("vehicles", "readings", "repairs"):
        columns = [c for c in there.tables[name] if c not in ("file", "row", "order")]
        pd.testing.assert_frame_equal(
            here.tables[name][columns].reset_index(drop=True), there.tables[name][columns].reset_index(drop=True)
        )


def test_the_forecast_beats_rules_that_know_the_past_alone(found):
    """Over a year the law is worth more than the past counts; its ranges hold about what they promise."""
    scores = found.tables["backtest_scores"].set_index(["grain", "method"])
    assert scores.loc[("component, all months", "forecast"), "loss_ratio"] < 1.0
    rows = pd.concat([found.tables["backtest"]])
    covered = count_coverage(rows["chance_below"].to_numpy(), rows["chance_up_to"].to_numpy())
    # 84 counts: standard error about 4 %.
    assert covered.mean() == pytest.approx(0.8, abs=0.12)
    assert scores.loc[("component and month", "forecast"), "bias"] == pytest.approx(0.0, abs=0.12)


def test_the_same_seed_gives_the_same_tables(fleet, found):
    again = build_backtest(fleet, months=12, seed=1)
    for name, table in found.tables.items():
        pd.testing.assert_frame_equal(again.tables[name], table)


def test_a_short_record_is_refused_in_one_sentence(tmp_path):
    write_ageing_fleet(tmp_path, vehicles=20, seed=5, until=pd.Timestamp("2018-06-30"))
    with pytest.raises(InputError, match="too short to forecast 12 months") as caught:
        build_backtest(read_fleet(tmp_path), months=12, seed=1)
    assert len(caught.value.problems) == 1


def test_vehicles_that_joined_later_are_not_counted(fleet):
    vehicles = fleet.tables["vehicles"]
    late = fleet_on(fleet, pd.Timestamp("2017-06-30")).tables["vehicles"]
    joined = pd.to_datetime(vehicles["in_service_date"])
    assert len(late) == int((joined <= "2017-06-30").sum()) < len(vehicles)
    assert np.all(pd.to_datetime(late["in_service_date"]) <= "2017-06-30")
