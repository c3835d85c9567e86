"""Odometer curves: faults found and named, distances at dates."""

import numpy as np
import pandas as pd
import pytest

from wearmodel.history.odometer import build_odometer_curves, days_since_epoch


def frame(rows):
    out = pd.DataFrame(rows, columns=["unit", "date", "odometer"])
    out["date"] = pd.to_datetime(out["date"])
    out["odometer"] = out["odometer"].astype(float)
    out["file"], out["row"] = "r.csv", range(2, len(out) + 2)
    return out


def vehicles(*units):
    out = frame([(unit, "2020-01-01", 0.0) for unit in units])
    return out.rename(columns={"date": "in_service_date", "odometer": "in_service_odometer"})


def curves_of(rows, units=("A",), unit="km", repairs=(), **more):
    return build_odometer_curves(
        vehicles(*units),
        readings=frame(rows),
        repairs=frame(list(repairs)),
        inspections=frame([]),
        distance_unit=unit,
        **more,
    )


MONTHLY = [("A", date, 3000.0 * i) for i, date in enumerate(pd.date_range("2020-01-31", periods=24, freq="ME"), 1)]


def test_clean_readings_leave_nothing_to_say():
    result = curves_of(MONTHLY)
    assert result.findings == ()
    day = days_since_epoch(pd.DatetimeIndex([MONTHLY[5][1]]))
    assert result.curves.distance_at([0], day) == pytest.approx(18_000.0)


@pytest.mark.parametrize("wrong", [77.0, 180.0, 180_000.0, 1_800_000.0, 12_000.0])
def test_one_wrong_reading_costs_itself_only(wrong):
    """A reading that can be read as it was meant is used after the repair, another (77) is set aside."""
    rows = [*MONTHLY[:5], ("A", MONTHLY[5][1], wrong), *MONTHLY[6:]]
    result = curves_of(rows)
    read = [f.action.startswith("read as 18,000 km") for f in result.findings]
    assert [(f.row, f.used) for f in result.findings] == [(7, read[0])]
    assert read == [wrong in (180.0, 180_000.0, 1_800_000.0)]
    assert ("too low" in result.findings[0].problem) == (wrong < 18_000)
    day = days_since_epoch(pd.DatetimeIndex([MONTHLY[5][1]]))
    assert result.curves.distance_at([0], day)[0] == pytest.approx(18_000.0, rel=0.02)


def test_a_wrong_last_reading_is_found():
    result = curves_of([*MONTHLY[:-1], ("A", MONTHLY[-1][1], 720_000.0)])
    assert [f.row for f in result.findings] == [25]


def test_a_repair_with_a_wrong_odometer_is_used_with_the_curve():
    result = curves_of(MONTHLY, repairs=[("A", "2020-06-15", 99.0)])
    (finding,) = result.findings
    assert finding.table == "repairs"
    assert finding.used
    assert "from the vehicle's other readings" in finding.action


def test_running_goes_on_after_the_last_reading_and_stands_before_the_first():
    curves = curves_of(MONTHLY).curves
    last = days_since_epoch(pd.DatetimeIndex([MONTHLY[-1][1]]))[0]
    expected = 36_000.0 / (last - days_since_epoch(pd.DatetimeIndex([MONTHLY[11][1]]))[0])
    assert curves.daily[0] == pytest.approx(expected, rel=0.01)
    np.testing.assert_allclose(curves.distance_at([0], [last + 10]), 72_000.0 + 10 * curves.daily[0])
    assert curves.distance_at([0], [0.0])[0] == 0.0


def test_vehicles_do_not_mix():
    other = [("B", date, 10.0 * i) for i, (_, date, _) in enumerate(MONTHLY, 1)]
    curves = curves_of([*MONTHLY, *other], units=("A", "B")).curves
    day = days_since_epoch(pd.DatetimeIndex([MONTHLY[5][1]]))[0]
    np.testing.assert_allclose(curves.distance_at([0, 1], day), [18_000.0, 60.0])


def test_distance_never_falls():
    rng = np.random.default_rng(4)
    rows = [(unit, date, odo * rng.choice([1.0, 1.0, 1.0, 0.1, 10.0])) for unit, date, odo in MONTHLY]
    curves = curves_of(rows).curves
    path = curves.distance_at(np.zeros(800, dtype=int), np.arange(18_262, 19_062))
    assert (np.diff(path) >= 0).all()


def test_days_unit_allows_one_a_day():
    rows = [("A", "2020-01-11", 10.0), ("A", "2020-01-21", 20.0), ("A", "2020-01-31", 300.0)]
    assert [f.row for f in curves_of(rows, unit="days").findings] == [4]
