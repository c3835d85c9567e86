"""Engine hours of each vehicle from hour meters and duty logs, and what is wrong with them."""

import numpy as np
import pandas as pd
import pytest

from wearmodel.history.age_clocks import build_age_clock, build_hour_clock, windows_on
from wearmodel.history.engine_hours import build_engine_hours
from wearmodel.history.lives import build_windows
from wearmodel.history.odometer import build_odometer_curves, days_since_epoch

BEGIN, END = pd.Timestamp("2019-01-01"), pd.Timestamp("2020-12-31")
DAYS = pd.date_range(BEGIN, END, freq="30D")
REPAIRS = pd.DataFrame(columns=["unit", "date", "odometer", "engine_hours", "file", "row"])
LOG_COLUMNS = ["unit", "month", "distance", "idle_hours", "mean_speed", "file", "row"]


def rows(frame, file):
    return frame.assign(file=file, row=range(2, len(frame) + 2))


def readings_of(hours, *, km=100.0):
    """Readings every 30 days of vehicles that run so many km a day; `hours` by unit, one for each day or none."""
    pieces = [
        pd.DataFrame(
            {"unit": unit, "date": DAYS, "odometer": km * np.arange(len(DAYS)) * 30.0,
             "engine_hours": np.nan if shown is None else shown}
        )
        for unit, shown in hours.items()
    ]  # fmt: skip
    return rows(pd.concat(pieces, ignore_index=True), "readings.csv")


def log_of(entries):
    frame = pd.DataFrame(entries, columns=LOG_COLUMNS[:-2])
    return rows(frame.assign(month=pd.to_datetime(frame["month"])), "duty_log.csv")[LOG_COLUMNS]


def hours_of(readings, *, log=(), unit="km", repairs=REPAIRS, duty="road", used=0.0):
    """Windows, and the engine hours that tables tell."""
    vehicles = rows(pd.DataFrame({"unit": readings["unit"].unique()}), "vehicles.csv").assign(
        in_service_date=BEGIN, in_service_odometer=used, records_from=pd.NaT, out_of_service_date=pd.NaT, duty=duty
    )
    odometers = build_odometer_curves(
        vehicles, readings=readings, repairs=repairs, inspections=REPAIRS.iloc[:0], distance_unit=unit
    )
    windows = build_windows(vehicles, curves=odometers.curves, as_of=END, distance_unit=unit)
    found = build_engine_hours(
        windows, curves=odometers.curves, readings=readings, repairs=repairs, duty_log=log_of(list(log)),
        distance_unit=unit,
    )  # fmt: skip
    return windows, found


def steady(a_day=5.0):
    return a_day * np.arange(len(DAYS)) * 30.0


def on(day):
    return float(days_since_epoch(pd.DatetimeIndex([day]))[0])


def test_a_meter_is_followed():
    windows, found = hours_of(readings_of({"A": steady(), "B": 1000.0 + steady(2.0)}))
    assert (found.known, found.vehicles, found.note, found.findings) == (2, 2, "", ())
    shown = found.curves.distance_at([0, 0, 1], [on(BEGIN), on("2019-06-15"), on("2019-06-15")])
    np.testing.assert_allclose(shown, [0.0, 5.0 * 165, 2.0 * 165])
    np.testing.assert_allclose(found.curves.daily, [5.0, 2.0], rtol=1e-6)
    # Nothing is read after 11 December: the vehicle goes on at its hours a distance.
    assert found.curves.distance_at(0, on(END)) == pytest.approx(5.0 * 730)
    clock = build_hour_clock(windows, found.curves)
    assert clock.hour_counts == pytest.approx(200.0 / 7.0)
    np.testing.assert_allclose(clock.a_day, [5.0 * 200 / 7, 2.0 * 200 / 7], rtol=1e-6)
    np.testing.assert_allclose(windows_on(windows, clock)["last_odometer"].sum(), windows["last_odometer"].sum())


def test_without_any_hours_there_is_nothing_to_say():
    _, found = hours_of(readings_of({"A": None}))
    assert (found.curves, found.known, found.note, found.findings) == (None, 0, "", ())


FAULTS = [
    # place of the figure, what it shows, what is said of it
    (7, 99999.0, "too high for A on 2019-07-30: its other readings say 1050"),
    (9, 0.0, "too low for A on 2019-09-28: its other readings say 1350"),
    (9, 135.0, "too low for A on 2019-09-28: its other readings say 1350"),
]


@pytest.mark.parametrize(("place", "shown", "problem"), FAULTS)
def test_typing_slips_are_found_and_do_no_harm(place, shown, problem):
    written = steady()
    written[place] = shown
    _, found = hours_of(readings_of({"A": written}))
    (finding,) = found.findings
    assert (finding.table, finding.file, finding.row, finding.column) == ("readings", "readings.csv", place + 2,
                                                                           "engine_hours")  # fmt: skip
    assert finding.problem.startswith(problem) and finding.used and not finding.waits
    np.testing.assert_allclose(found.curves.distance_at(0, days_since_epoch(DAYS)), steady(), atol=2.0)


def test_a_new_meter_goes_on_from_the_old_one():
    written = np.where(np.arange(len(DAYS)) < 12, 4000.0 + steady(), steady() - steady()[12])
    _, found = hours_of(readings_of({"A": written}))
    assert {finding.column for finding in found.findings} == {"engine_hours"} and len(found.findings) >= 12
    assert "clock" in found.findings[0].problem and found.findings[0].action.startswith("read as ")
    total = found.curves.distance_at(0, days_since_epoch(DAYS))
    np.testing.assert_allclose(total, steady(), atol=20.0)


def test_hours_that_run_backwards_never_make_a_part_younger():
    _, found = hours_of(readings_of({"A": steady()[::-1].copy(), "B": steady(), "C": steady()}))
    total = found.curves.distance_at(0, np.arange(on(BEGIN), on(END)))
    assert np.all(np.diff(total) >= 0.0) and len(found.findings) > 0


def test_more_than_a_day_of_hours_a_day_is_not_believed():
    """A meter that counts tenths of hours would run 50 hours a day."""
    written = steady()
    written[12:] = steady()[12:] * 10.0
    _, found = hours_of(readings_of({"A": written}))
    assert found.curves.distance_at(0, on(END)) < 24.0 * 730
    assert len(found.findings) >= len(DAYS) - 12


def test_repair_lines_tell_hours_too():
    lines = pd.DataFrame({"unit": "A", "date": DAYS[::4], "odometer": np.nan, "engine_hours": steady()[::4]})
    _, found = hours_of(readings_of({"A": None}), repairs=rows(lines, "repairs.csv"))
    assert found.known == 1
    assert found.curves.distance_at(0, on("2019-06-15")) == pytest.approx(5.0 * 165)


MONTHS = [f"{year}-{month:02d}" for year in (2019, 2020) for month in range(1, 13)]


def test_the_duty_log_tells_hours_where_no_meter_does():
    """3,000 km at 30 km/h and 20 hours idle are 120 hours a month."""
    _, found = hours_of(
        readings_of({"A": None, "B": steady()}),
        log=[(unit, month, 3000.0, 20.0, 30.0) for unit in "AB" for month in MONTHS],
    )
    assert (found.known, found.findings) == (2, ())
    total = found.curves.distance_at([0, 1], [on("2019-12-31"), on("2019-12-31")])
    np.testing.assert_allclose(total, [12 * 120.0, 5.0 * 364], rtol=0.01)


def test_a_month_that_stands_has_its_idle_hours():
    log = [("A", month, 0.0 if month == "2019-06" else 3000.0, 50.0, np.nan if month == "2019-06" else 30.0)
           for month in MONTHS]  # fmt: skip
    _, found = hours_of(readings_of({"A": None}), log=log)
    june = found.curves.distance_at([0, 0], [on("2019-05-31"), on("2019-06-30")])
    assert np.diff(june)[0] == pytest.approx(50.0)


def test_a_month_without_speed_or_idle_hours_tells_nothing():
    log = [("A", month, 3000.0, np.nan, 30.0) for month in MONTHS[:12]]
    log += [("A", month, 3000.0, 20.0, np.nan) for month in MONTHS[12:]]
    _, found = hours_of(readings_of({"A": None}), log=log)
    assert (found.curves, found.known) == (None, 0)


def test_more_hours_than_a_month_has_are_named_and_left_out():
    log = [("A", month, 3000.0, 20.0, 3.0 if month == "2019-06" else 30.0) for month in MONTHS]
    _, found = hours_of(readings_of({"A": None}), log=log)
    (finding,) = found.findings
    assert (finding.file, finding.row, finding.column, finding.value) == ("duty_log.csv", 7, "mean_speed", "3")
    assert finding.problem == "distance over mean speed and idle hours come to 1,020 hours, more than a month has"
    assert finding.used
    # The month is told by the hours a distance of the others.
    june = np.diff(found.curves.distance_at([0, 0], [on("2019-05-31"), on("2019-06-30")]))[0]
    assert june == pytest.approx(3000.0 * 120.0 / 3044.0, rel=0.02)


def test_vehicles_without_hours_run_those_of_their_duty():
    readings = readings_of({"A": steady(2.0), "B": steady(6.0), "C": None})
    _, found = hours_of(readings, duty=["road", "site", "site"])
    assert (found.known, found.vehicles) == (2, 3)
    assert found.note.startswith("Engine hours are on record for 2 of 3 vehicles (over at least half of their time")
    assert found.note.endswith("; the others are taken to run as many hours a distance as vehicles of their duty do.")
    np.testing.assert_allclose(found.curves.distance_at([2], [on(END)]), [6.0 * 730], rtol=1e-6)
    _, found = hours_of(readings, duty=["road", "site", "rough"])
    # Of a duty nobody tells: those of the fleet.
    np.testing.assert_allclose(found.curves.distance_at([2], [on(END)]), [4.0 * 730], rtol=1e-6)


def test_half_of_the_vehicles_and_half_of_the_time_are_needed():
    readings = readings_of({"A": steady(), "B": None, "C": None})
    _, found = hours_of(readings)
    assert found.curves is None
    assert found.note == (
        "Engine hours are on record for 1 of 3 vehicles (over at least half of their time under observation): hours "
        "are compared as a clock only from 50% of the vehicles on."
    )
    late = readings_of({"A": np.where(np.arange(len(DAYS)) < 14, np.nan, steady()), "B": steady()})
    _, found = hours_of(late)
    assert (found.known, found.vehicles) == (1, 2) and found.curves is not None
    # What A ran before its meter was read follows from its distance.
    assert found.curves.distance_at(0, on("2019-06-15")) == pytest.approx(5.0 * 165)


@pytest.mark.parametrize("unit", ["hours", "days"])
def test_hours_are_a_clock_beside_distance_alone(unit):
    _, found = hours_of(readings_of({"A": steady()}, km=0.9), unit=unit)
    assert found.curves is None


def test_a_vehicle_bought_used_begins_with_its_odometer():
    """As by time: parts of a used vehicle are as old as its distance, told in hours at the fleet's running."""
    readings = readings_of({"A": 3000.0 + steady()})
    readings["odometer"] += 60_000.0
    windows, found = hours_of(readings, used=60_000.0)
    for clock in (build_hour_clock(windows, found.curves), build_age_clock(windows)):
        np.testing.assert_allclose(clock.distance_at([0, 0], [on(BEGIN), on("2018-01-01")]), 60_000.0)
        assert clock.distance_at(0, on(END)) == pytest.approx(60_000.0 + 100.0 * 730, rel=1e-6)


def test_hours_that_stand_have_no_clock():
    windows, found = hours_of(readings_of({"A": np.zeros(len(DAYS))}))
    assert found.curves is None and found.known == 1
    with pytest.raises(ValueError, match="an hour cannot be told in distance"):
        still = hours_of(readings_of({"A": steady()}))[1].curves
        build_hour_clock(windows.assign(last_odometer=windows["first_odometer"]), still)


@pytest.mark.parametrize("seed", range(20))
def test_whatever_meters_show_curves_never_fall(seed):
    """Figures from nowhere: blanks, zeros, repeats, jumps of any size, one vehicle with two figures, one with one."""
    rng = np.random.default_rng(seed)
    kinds = (
        lambda: np.round(rng.uniform(0, 10 ** rng.integers(1, 7), len(DAYS)), 1),
        lambda: np.repeat(rng.integers(0, 5_000), len(DAYS)).astype(float),
        lambda: rng.permutation(steady()),
        lambda: np.where(rng.random(len(DAYS)) < 0.9, np.nan, steady()),
        lambda: np.where(np.arange(len(DAYS)) == 3, 700.0, np.nan),
        lambda: np.where(np.arange(len(DAYS)) % 20 == 3, 9e5 * rng.random(len(DAYS)), np.nan),
    )
    hours = {f"V{i}": kinds[rng.integers(len(kinds))]() for i in range(6)}
    windows, found = hours_of(readings_of({**hours, "X": steady(), "Y": steady(), "Z": steady()}))
    assert all(finding.used and finding.column == "engine_hours" for finding in found.findings)
    if found.curves is not None:
        day = np.arange(on(BEGIN), on(END) + 1)
        total = found.curves.distance_at(windows["vehicle"].to_numpy()[:, None], day[None, :])
        assert np.isfinite(total).all() and (np.diff(total, axis=1) >= 0.0).all()
        assert (found.curves.daily >= 0.0).all()
