"""Components that age by time: the clock is chosen, its law recovered, and predictions go by each vehicle's use."""

import math

import numpy as np
import pandas as pd
import pytest
from ageing_fleet import BOOT_SCALE, BOOT_SHAPE, JOINT_SCALE, JOINT_SHAPE, write_ageing_fleet

from wearmodel.fleet_clocks import settle_on_clocks
from wearmodel.fleet_model import fit_fleet
from wearmodel.forecast import futures
from wearmodel.history.age_clocks import build_age_clock
from wearmodel.history.histories import build_histories, put_on_age
from wearmodel.history.lives import build_lives
from wearmodel.history.ride_heights import build_lift_changes, build_segments, lift_at_end
from wearmodel.intake.fleet import read_fleet
from wearmodel.look_ahead import DRAWS, drawn_futures, look_ahead
from wearmodel.plan import build_plan
from wearmodel.survival.store import model_from_json, model_to_json

AS_OF = pd.Timestamp("2024-12-31")
BOOT, JOINT = "cv_boot_outboard", "cv_joint_outboard"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("ageing")


@pytest.fixture(scope="module")
def renewals(folder):
    return write_ageing_fleet(folder, vehicles=120, seed=1, until=AS_OF)


@pytest.fixture(scope="module")
def fleet(folder, renewals):
    return read_fleet(folder)


@pytest.fixture(scope="module")
def plan(fleet):
    return build_plan(fleet, months=12, seed=1, checks=False)


def test_the_clock_of_each_component_is_chosen(plan):
    chosen = plan.tables["clocks"].query("chosen").set_index("component")["clock"]
    assert chosen[BOOT] == "age" and chosen[JOINT] == "distance"
    assert plan.model.components[BOOT].day_counts > 0 == plan.model.components[JOINT].day_counts
    assert any(BOOT in note and "by time" in note for note in plan.notes)


def test_both_laws_are_recovered(plan):
    """Truth of the simulation, within three standard errors."""
    boot, joint = plan.model.components[BOOT], plan.model.components[JOINT]
    for model, shape, scale in (
        (boot, BOOT_SHAPE, BOOT_SCALE * boot.day_counts),
        (joint, JOINT_SHAPE, JOINT_SCALE),
    ):
        error = np.sqrt(np.diag(model.covariance))
        away = np.array(model.values) - np.log([scale, shape])
        assert np.all(np.abs(away) < 3.0 * error), model.component
        assert np.all(error < 0.06)


def test_remaining_life_is_told_in_the_running_of_each_vehicle(plan, renewals):
    """Conditional median of a Weibull life in days, by hand, times what the vehicle runs a day."""
    model = plan.model.components[BOOT]
    shape, scale = math.exp(model.values[-1]), math.exp(model.values[0]) / model.day_counts
    last = renewals[(renewals["component"] == BOOT) & (renewals["date"] <= AS_OF)]
    fitted = last.groupby(["unit", "position"]).agg(date=("date", "max"), rate=("rate", "first"))
    due = plan.tables["due"].set_index(["unit", "position"]).join(fitted, how="inner")
    due = due[due["age_known"].astype(bool)]
    days = (AS_OF - due["date"]).dt.days.to_numpy(dtype=float)
    left = (days**shape + scale**shape * math.log(2.0)) ** (1.0 / shape) - days
    assert len(due) > 150
    np.testing.assert_allclose(due["remaining_median"], left * due["rate"], rtol=0.02)
    np.testing.assert_allclose(due["age"], days * due["rate"], rtol=0.02, atol=40.0)
    chance = 1.0 - np.exp((days / scale) ** shape - ((days + 365.0) / scale) ** shape)
    np.testing.assert_allclose(due["fail_probability"], chance, atol=2e-3)


def test_the_year_ahead_is_foreseen(plan, renewals):
    """What came of both components in the year after the record, within limits of four standard deviations."""
    came = renewals[renewals["date"] > AS_OF].groupby("component").size()
    total = plan.tables["forecast"].groupby("component")["mean"].sum()
    for code in (BOOT, JOINT):
        assert came[code] == pytest.approx(total[code], abs=4.0 * math.sqrt(total[code]))


def test_draws_worked_off_in_pieces_have_the_same_law(fleet, monkeypatch):
    """Pieces side by side: other chances of the same law, and the same ones each time."""
    clocked = settle_on_clocks(fleet, build_histories(fleet)).settled
    model = fit_fleet(fleet, clocked.coded, lost=clocked.lost)
    ahead = look_ahead(fleet, clocked.histories, clocked.coded, model, months=12)

    def events_of(rows):
        monkeypatch.setattr(futures, "_MOST_ROWS", rows)
        drawn = drawn_futures(ahead, model=model, worn_shares={}, policies=["present_practice"], seed=1)
        return drawn["present_practice"].events

    whole, pieces, again = events_of(10**9), events_of(7_000), events_of(7_000)
    for code, one in whole.items():
        counts = [np.bincount(events.draw, minlength=DRAWS) for events in (one, pieces[code])]
        assert all(len(count) == DRAWS for count in counts)
        assert not np.array_equal(counts[0], counts[1])
        error = math.sqrt(sum(count.var() for count in counts) / DRAWS)
        assert counts[0].mean() == pytest.approx(counts[1].mean(), abs=4.0 * error)
        np.testing.assert_array_equal(pieces[code].day, again[code].day)


def test_a_model_file_keeps_its_clocks(plan, fleet):
    model = model_from_json(model_to_json(plan.model))
    again = build_plan(fleet, months=12, seed=1, model=model, checks=False)
    pd.testing.assert_frame_equal(again.tables["due"], plan.tables["due"], rtol=1e-9)
    pd.testing.assert_frame_equal(again.tables["forecast"], plan.tables["forecast"])


def test_lives_are_listed_in_distance_driven(plan, renewals):
    """Between two boots on record the vehicle ran what its odometer says, whatever the clock of boots."""
    first = renewals[(renewals["component"] == BOOT) & (renewals["date"] <= AS_OF)]
    pairs = first.groupby(["unit", "position"])[["date", "odometer"]].head(2)
    ends = first.loc[pairs.index].groupby(["unit", "position"])
    ran = (ends["odometer"].last() - ends["odometer"].first())[ends.size() == 2]
    second = ends["date"].last().dt.strftime("%Y-%m-%d")
    lives = plan.tables["lives"].assign(end=lambda t: pd.to_datetime(t["end_date"]).dt.strftime("%Y-%m-%d"))
    lives = lives.set_index(["unit", "position", "end"])["stop_low"]
    for key, distance in list(ran.items())[:40]:
        assert lives[(*key, second[key])] == pytest.approx(distance, abs=2.0)


def test_where_all_vehicles_run_alike_both_clocks_are_one(fleet):
    """A clock that counts what every vehicle runs a day gives the ages its odometer gives."""
    histories = build_histories(fleet)
    alike = histories.curves
    alike = type(alike)(
        units=alike.units,
        vehicle=np.repeat(np.arange(len(alike.units)), 2),
        day=np.column_stack([_day_in_service(histories), np.full(len(alike.units), 30_000.0)]).ravel(),
        odometer=np.column_stack(
            [np.zeros(len(alike.units)), 100.0 * (30_000.0 - _day_in_service(histories))]
        ).ravel(),
        daily=np.full(len(alike.units), 100.0),
    )
    looks, heights = fleet.tables["inspections"], fleet.tables["ride_height"]
    vehicle = histories.windows["vehicle"].to_numpy()
    windows = histories.windows.assign(
        first_odometer=alike.distance_at(vehicle, histories.windows["first_day"]),
        last_odometer=alike.distance_at(vehicle, histories.windows["last_day"]),
    )
    lives = build_lives(histories.events, windows=windows, curves=alike, inspections=looks)
    segments = build_segments(lives, build_lift_changes(heights, alike))
    lives["lift"] = lift_at_end(segments)
    clock = build_age_clock(windows)
    assert clock.day_counts == pytest.approx(100.0)
    aged = put_on_age(histories, clocks={BOOT: clock}, inspections=looks, ride_height=heights)
    mine = (lives["component"] == BOOT).to_numpy()
    pd.testing.assert_frame_equal(aged.lives[mine], lives[mine], rtol=1e-9, atol=1e-6)
    pd.testing.assert_frame_equal(aged.lives[~mine], histories.lives[~mine])
    of_boots = aged.segments[mine[aged.segments["life"]]].reset_index(drop=True)
    pd.testing.assert_frame_equal(of_boots, segments[mine[segments["life"]]].reset_index(drop=True))
    pd.testing.assert_frame_equal(aged.by_distance().lives, histories.lives)


def _day_in_service(histories):
    dates = pd.to_datetime(histories.windows["in_service_date"])
    return (dates - pd.Timestamp("1970-01-01")).dt.days.to_numpy(dtype=float)
