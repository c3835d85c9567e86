"""Checks of the demo's life models: tables, sums, and that the last year is foretold from what was known before it."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.earlier_record import earlier_histories, fit_earlier, lives_since
from wearmodel.fleet_model import build_coded_fleet, fit_fleet
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import read_fleet
from wearmodel.model_checks import CHECK_COLUMNS, build_check_tables
from wearmodel.survival.checks.verdicts import CHECKS

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("name", CHECK_COLUMNS)
def test_columns(demo, name):
    assert tuple(demo.tables[name].columns) == CHECK_COLUMNS[name]
    assert len(demo.tables[name]) > 0


def test_every_fitted_component_has_every_check(demo):
    checks = demo.tables["model_checks"]
    fitted = {code for code, own in demo.model.components.items() if own.basis == "fitted"}
    for code in fitted:
        assert tuple(checks.loc[checks["component"] == code, "check"]) == CHECKS
    assert set(checks["result"]) <= {"fine", "look", "too few"}
    assert checks["sentence"].str.endswith(".").all()


def test_expected_failures_sum_to_about_those_seen(demo):
    """On lives of known age, while the curves rest on those that began before the record as well: within chance."""
    sums = demo.tables["calibration"].groupby("component")[["expected", "seen"]].sum()
    assert ((sums["expected"] - sums["seen"]).abs() < 1.65 * np.sqrt(sums["seen"])).all()
    for code, seen in sums["seen"].items():
        assert round(seen) == demo.model.components[code].dated_failures


@pytest.fixture(scope="module")
def year():
    fleet = read_fleet(ROOT / "data" / "demo")
    histories = build_histories(fleet)
    day = fleet.as_of - pd.DateOffset(years=1)
    return fleet, histories, day, earlier_histories(fleet, histories, day=day)


def test_nothing_after_the_day_changes_the_earlier_curves(year):
    fleet, histories, day, earlier = year
    later = fleet.tables["inspections"]
    later = later[(pd.to_datetime(later["date"]) <= day).to_numpy()]
    assert len(later) < len(fleet.tables["inspections"])
    known = histories.renewals.known
    cut = replace(histories.renewals, known=known[(pd.to_datetime(known["date"]) <= day).to_numpy()])
    blind = replace(fleet, tables={**fleet.tables, "inspections": later})
    again = earlier_histories(blind, replace(histories, renewals=cut), day=day)
    assert fit_earlier(blind, again, day=day) == fit_earlier(fleet, earlier, day=day)
    end = (day - pd.Timestamp("1970-01-01")).days
    assert earlier.lives["end_day"].max() <= max(end, earlier.windows["last_day"].max())
    failed = np.isfinite(earlier.lives["stop_high"])
    assert (earlier.lives.loc[failed, "end_day"] <= end).all()


def test_failures_of_the_year_are_those_of_lives_under_way(year):
    fleet, histories, day, earlier = year
    since = lives_since(histories, earlier, day=day, as_of=fleet.as_of)
    lives, cut = histories.lives, (day - pd.Timestamp("1970-01-01")).days
    mine = lives[lives["usable"] & (lives["start_day"] <= cut) & (lives["end_day"] > cut)]
    failed = np.isfinite(mine["stop_high"])
    assert failed.sum() > 50
    counted = since.lives[np.isfinite(since.lives["stop_high"])]
    assert set(counted["row"]) == set(mine.index[failed])
    assert (since.lives["entry"] <= since.lives["stop_low"]).all()
    assert (since.days > 0).all()
    assert (since.days <= since.horizon).all()


def test_influence_is_not_told_of_a_model_from_elsewhere(year):
    fleet, histories, _, _ = year
    coded = build_coded_fleet(fleet, histories)
    model = fit_fleet(fleet, coded)
    elsewhere = build_check_tables(fleet, histories, coded, replace(model, fingerprint="0" * 64))
    assert elsewhere["influence"].empty
    assert len(elsewhere["calibration"]) > 0
    assert "vehicles" not in set(elsewhere["model_checks"]["check"])
