"""Running of the months ahead from odometer curves."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from wearmodel.forecast.usage import forecast_usage
from wearmodel.history.engine_hours import EngineHours
from wearmodel.history.odometer import OdometerCurves, days_since_epoch
from workbook.example_model import EXAMPLE_MODEL


def histories(factors, *, years=6, retired=False, growth=0.0):
    """Two vehicles with monthly readings whose running follows calendar-month factors."""
    dates = pd.date_range("2020-01-01", periods=years * 12 + 1, freq="MS")
    day = days_since_epoch(dates)
    season = np.array(factors)[dates.month[:-1] - 1] * np.exp(growth * (dates.year[:-1] - 2020))
    run = np.concatenate([[0.0], np.cumsum(np.diff(day) * 100.0 * season)])
    curves = OdometerCurves(
        units=("A", "B"),
        vehicle=np.repeat([0, 1], len(day)),
        day=np.tile(day, 2),
        odometer=np.concatenate([run, 2 * run]),
        daily=np.array([100.0, 200.0]),
    )
    windows = pd.DataFrame(
        {"first_day": day[0], "last_day": day[-1] - 1, "retired": [False, retired]}, index=[0, 1]
    )
    return SimpleNamespace(curves=curves, windows=windows, hours=EngineHours()), dates[-1] - pd.Timedelta(days=1)


FLAT = [1.0] * 12
WINTER = [1.3, 1.2, 1.1, 1.0, 0.9, 0.8, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2]


def test_flat_running_is_daily_running_times_days():
    record, as_of = histories(FLAT)
    usage = forecast_usage(record, as_of=as_of, months=12, distance_unit="km")
    assert usage.months[0] == "2026-01"
    np.testing.assert_allclose(usage.distance[0], 100.0 * usage.days, rtol=1e-6)
    np.testing.assert_allclose(usage.distance[1], 2 * usage.distance[0])
    assert usage.spread == pytest.approx(0.02)


def test_season_is_found():
    record, as_of = histories(WINTER)
    usage = forecast_usage(record, as_of=as_of, months=12, distance_unit="km")
    shape = usage.distance[0] / usage.days
    np.testing.assert_allclose(shape / shape.mean(), np.array(WINTER) / np.mean(WINTER), rtol=0.01)


def test_retired_vehicles_do_not_run():
    record, as_of = histories(FLAT, retired=True)
    assert forecast_usage(record, as_of=as_of, months=3, distance_unit="km").distance[1].sum() == 0.0


def test_year_on_year_changes_are_the_spread():
    record, as_of = histories(FLAT, growth=0.1)
    assert forecast_usage(record, as_of=as_of, months=3, distance_unit="km").spread == pytest.approx(0.1, rel=0.02)


def test_days_have_no_season_and_no_spread():
    record, as_of = histories(WINTER)
    usage = forecast_usage(record, as_of=as_of, months=12, distance_unit="days")
    assert usage.spread == 0.0
    np.testing.assert_allclose(usage.distance[0] / usage.days, 100.0)


def test_the_first_month_may_be_part_of_one():
    record, _ = histories(FLAT)
    usage = forecast_usage(record, as_of=pd.Timestamp("2025-12-20"), months=2, distance_unit="km")
    assert usage.months == ("2025-12", "2026-01")
    assert list(usage.days) == [11.0, 31.0]


def test_what_lies_ahead_on_each_clock():
    """In part of a winter: km and hours have its season and its spread, days have neither."""
    record, as_of = histories(WINTER, retired=True)
    shown = replace(record.curves, odometer=record.curves.odometer / 20.0, daily=np.array([5.0, 10.0]))
    record.hours = EngineHours(shown, 2, 2)
    usage = forecast_usage(record, as_of=as_of, months=3, distance_unit="km")
    own = EXAMPLE_MODEL.components["u_joint"]
    assert usage.on_clock(own) is usage
    by_hours = usage.on_clock(replace(own, hour_counts=24.0))
    np.testing.assert_allclose(by_hours.distance, usage.distance * 24.0 / 20.0)
    assert by_hours.distance[0].sum() > 0 == by_hours.distance[1].sum() and by_hours.spread == usage.spread > 0
    by_days = usage.on_clock(replace(own, day_counts=80.0))
    np.testing.assert_allclose(by_days.distance, [80.0 * usage.days, 0.0 * usage.days])
    assert by_days.spread == 0.0
