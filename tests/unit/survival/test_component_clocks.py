"""The table of clocks from the frames of a record: ages in days, the choice, and its sentences."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from clock_lives import DAYS, FIRST, DrawnLives, clock_lives, draw_lives, histories_of

from wearmodel.history.engine_hours import EngineHours
from wearmodel.history.odometer import OdometerCurves
from wearmodel.survival.clock_choice import compare_clocks
from wearmodel.survival.component_clocks import build_clock_lives, build_clocks
from wearmodel.survival.component_lives import build_component_lives

CODE = "cv_boot_outboard"


def coded_of(made):
    blank = {"angle": np.nan, "length": np.nan, "described": False, "duty": "road"}
    blank |= dict.fromkeys(("vehicle_class", "place", "make", "build", "greasing"), "")
    traits = pd.DataFrame(blank, index=made.lives.index)
    lives = made.lives.assign(silent=0.0, look_gap=0.0, age_known=True)
    return build_component_lives(
        CODE, lives=lives, segments=made.segments, traits=traits, lifts=(0.0,), other_rate=0.0
    )


def table_of(made, *, unit="km", clock=None):
    table = build_clocks(
        made, {CODE: coded_of(made)}, labels={CODE: "Outboard CV boot"}, set_clocks={CODE: clock or unit},
        distance_unit=unit,
    )  # fmt: skip
    return table.set_index("clock")


@pytest.fixture(scope="module")
def aged():
    return draw_lives(np.random.default_rng(12), share=1.0, looked=0.3)


def test_ages_in_days_are_those_of_the_calendar(aged):
    made = histories_of(aged)
    lives = build_clock_lives(coded_of(made), made)
    days, true = lives.days, clock_lives(aged).days
    assert days.lives == true.lives and np.array_equal(days.exact, true.exact)
    # A late entry is that of the vehicle's record: here of its first life under observation.
    np.testing.assert_array_equal(days.before_entry, true.before_entry)
    np.testing.assert_array_equal(days.before_low[~days.interval], true.before_low[~days.interval])
    np.testing.assert_array_equal(days.before_high[days.interval], true.before_high[days.interval])
    # Looks are dated by the odometer, which is read every 45 days here.
    off = np.abs(days.before_low - true.before_low)[days.interval]
    assert days.interval.sum() > 30 and off.max() < 45 and off.max() > 0


def test_ages_in_hours_are_those_of_the_hour_meter(aged):
    """An engine that runs 2.5 hours every day, read on two days of each vehicle."""
    made = histories_of(aged)
    count = len(made.curves.units)
    hours = OdometerCurves(
        units=made.curves.units, vehicle=np.repeat(np.arange(count), 2), day=FIRST + np.tile([0.0, DAYS], count),
        odometer=np.tile([0.0, 2.5 * DAYS], count), daily=np.full(count, 2.5),
    )  # fmt: skip
    made.hours = EngineHours(hours, count, count)
    lives = build_clock_lives(coded_of(made), made)
    for name in ("before_entry", "before_low", "before_high"):
        np.testing.assert_allclose(getattr(lives.hours, name), 2.5 * getattr(lives.days, name), atol=1e-6)
    np.testing.assert_array_equal(lives.hours.exact, lives.days.exact)
    np.testing.assert_allclose(lives.hour_pace, 2.5)


def test_pace_is_that_of_the_sixty_days_before(aged):
    made = histories_of(aged)
    pace = build_clock_lives(coded_of(made), made).pace
    checked = np.flatnonzero(aged.failed & ~aged.interval & (aged.end - aged.start > 60))
    assert len(checked) > 60 and (pace > 0).all()
    for row in checked:
        mine = made.curves.vehicle == aged.vehicle[row]
        days = made.lives.loc[row, "end_day"] - np.array([60.0, 0.0])
        before, at_end = np.interp(days, made.curves.day[mine], made.curves.odometer[mine])
        assert pace[row] == pytest.approx((at_end - before) / 60, rel=1e-9)


def test_a_vehicle_that_stands_keeps_a_pace_above_zero():
    run = np.array([np.minimum(np.arange(DAYS + 1) * 100.0, 50_000.0)])
    zero, end = np.array([0]), np.array([900])
    drawn = DrawnLives(zero, zero, zero, end, end, np.array([True]), np.array([False]), run)
    made = histories_of(drawn)
    lives = build_clock_lives(coded_of(made), made)
    assert lives.pace[0] == pytest.approx(0.1 * 50_000.0 / 900)


def test_segments_change_on_the_day_the_height_did(aged):
    made = histories_of(aged)
    raised = 40
    cut = 0.4 * float(made.lives.loc[raised, "end_odometer"] - made.lives.loc[raised, "start_odometer"])
    pieces = made.segments.copy()
    pieces.loc[raised, "age_to"] = cut
    extra = pd.DataFrame({"life": [raised], "age_from": [cut], "age_to": [np.inf], "lift": [50.0]})
    pieces = pd.concat([pieces, extra]).sort_values(["life", "age_from"], ignore_index=True)
    split = SimpleNamespace(**{**vars(made), "segments": pieces})
    days = build_clock_lives(coded_of(split), split).days
    mine = days.life == raised
    whole = build_clock_lives(coded_of(made), made).days
    assert days.before_low[mine].sum() == pytest.approx(whole.before_low[raised])
    day = made.curves.day_at(made.lives.loc[raised, "vehicle"], made.lives.loc[raised, "start_odometer"] + cut)
    assert days.before_low[mine][0] == pytest.approx(float(day) - made.lives.loc[raised, "start_day"])


def test_age_is_chosen_and_said(aged):
    table = table_of(histories_of(aged))
    assert table["chosen"].tolist() == [False, True, False]
    told = table.loc["age", "sentence"]
    assert "clearly better than distance" in told
    assert "so predictions go by time: by the plain fit a tenth are worn by" in told
    direct = compare_clocks(clock_lives(aged))
    assert table.loc["age", "difference"] == pytest.approx(direct.age - direct.distance, abs=3)
    # True law: Weibull with shape 2.5 and scale 6 years.
    assert table.loc["age", "median_years"] == pytest.approx(6 * np.log(2) ** 0.4, rel=0.1)
    assert table.loc["age", "b10_years"] == pytest.approx(6 * (-np.log(0.9)) ** 0.4, rel=0.15)


def test_distance_stays_and_is_said():
    table = table_of(histories_of(draw_lives(np.random.default_rng(1), share=0.0)))
    assert table["chosen"].tolist() == [True, False, False]
    assert table.loc["distance", "sentence"].startswith("Distance explains these ")
    assert table.loc["distance", "difference"] == 0.0 and table.loc["age", "difference"] < -2


def test_both_clocks_are_named():
    table = table_of(histories_of(draw_lives(np.random.default_rng(1), share=0.5)))
    assert table.loc["mixed", "sentence"].startswith("Both count: a clock of distance and ")
    # As many km a day count as the mean vehicle runs: the clock is half of each.
    assert table.loc["mixed", "rate"] == pytest.approx(90, rel=0.35)


def test_alike_vehicles_leave_distance():
    table = table_of(histories_of(draw_lives(np.random.default_rng(3), share=1.0, spread=0.0, months=0.0)))
    assert table["chosen"].tolist() == [True, False, False]
    assert "do not tell distance from time since fitting" in table.loc["distance", "sentence"]


def test_few_failures_are_not_compared():
    made = histories_of(draw_lives(np.random.default_rng(3), share=1.0, vehicles=6, positions=1))
    table = table_of(made)
    assert table["log_likelihood"].isna().all() and table["chosen"].tolist() == [True, False, False]
    assert "telling them apart needs 10: distance stays." in table.loc["distance", "sentence"]


def test_fleet_toml_has_the_last_word(aged):
    made = histories_of(aged)
    by_hours = table_of(made, clock="hours")
    assert not by_hours["chosen"].any()
    assert by_hours.loc["distance", "sentence"].startswith("fleet.toml sets hours as the clock of Outboard CV boot")
    by_days = table_of(histories_of(draw_lives(np.random.default_rng(1), share=0.0)), clock="days")
    assert by_days["chosen"].tolist() == [False, True, False]
    assert "predictions go by time: by the plain fit a tenth are worn" in by_days.loc["age", "sentence"]


def test_hours_are_called_running_hours(aged):
    assert "clearly better than running hours" in table_of(histories_of(aged), unit="hours").loc["age", "sentence"]


def test_a_record_in_days_has_one_clock_only(aged):
    assert table_of(histories_of(aged), unit="days").empty
