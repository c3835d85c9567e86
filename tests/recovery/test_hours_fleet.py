"""Components that wear by engine hours: clock chosen, law recovered, predictions by each vehicle's use."""

import math
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hours_fleet import BOOT_SCALE, BOOT_SHAPE, JOINT_HOURS, JOINT_KM, JOINT_SHAPE, write_hours_fleet

from wearmodel.backtest import build_backtest
from wearmodel.cli import main
from wearmodel.errors import InputError, ModelError
from wearmodel.fleet_clocks import settle_on_clocks
from wearmodel.history.age_clocks import build_hour_clock
from wearmodel.history.histories import build_histories, put_on_age
from wearmodel.intake.fleet import read_fleet
from wearmodel.plan import build_plan
from wearmodel.survival.component_clocks import components_by
from wearmodel.survival.store import model_from_json, model_to_json

AS_OF = pd.Timestamp("2024-12-31")
BOOT, JOINT = "cv_boot_outboard", "cv_joint_outboard"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("hours")


@pytest.fixture(scope="module")
def renewals(folder):
    return write_hours_fleet(folder, vehicles=120, seed=1, until=AS_OF)


@pytest.fixture(scope="module")
def fleet(folder, renewals):
    return read_fleet(folder)


@pytest.fixture(scope="module")
def plan(fleet):
    return build_plan(fleet, months=12, seed=1, checks=False)


def clocks_of(folder):
    """The table of clocks of a fleet folder."""
    fleet = read_fleet(folder)
    return settle_on_clocks(fleet, build_histories(fleet)).clocks


def test_the_clock_of_each_component_is_chosen(plan):
    clocks = plan.tables["clocks"]
    assert components_by(clocks, "hours") == (JOINT,) and BOOT in components_by(clocks, "distance")
    joint, boot = plan.model.components[JOINT], plan.model.components[BOOT]
    assert (joint.ages_by, boot.ages_by) == ("hours", "distance") and joint.hour_counts > 0 == joint.day_counts
    rows = clocks.set_index(["component", "clock"])
    told = rows.loc[(JOINT, "hours")]
    assert told["difference"] > 100 and told["z"] > 5 and told["rate"] == joint.hour_counts
    assert "so predictions go by each vehicle's engine hours: by the plain fit a tenth are worn" in told["sentence"]
    assert "Engine hours stand at -" in rows.loc[(BOOT, "distance"), "sentence"]
    assert any(JOINT in note and "engine hours rather than by distance" in note for note in plan.notes)


def test_an_hour_counts_as_the_fleet_runs_in_it(plan, fleet):
    """All running over all engine hours, from the readings alone."""
    last = fleet.tables["readings"].groupby("unit")[["odometer", "engine_hours"]].max().sum()
    assert plan.model.components[JOINT].hour_counts == pytest.approx(last["odometer"] / last["engine_hours"], rel=0.01)


def test_both_laws_are_recovered(plan):
    """Truth of the simulation, within three standard errors."""
    boot, joint = plan.model.components[BOOT], plan.model.components[JOINT]
    for model, shape, scale in (
        (joint, JOINT_SHAPE, JOINT_HOURS * joint.hour_counts),
        (boot, BOOT_SHAPE, BOOT_SCALE),
    ):
        error = np.sqrt(np.diag(model.covariance))
        away = np.array(model.values) - np.log([scale, shape])
        assert np.all(np.abs(away) < 3.0 * error), model.component
        assert np.all(error < 0.06)


def test_predictions_go_by_the_hours_of_each_vehicle(plan, renewals):
    """Conditional Weibull in engine hours, by hand: chance of a year, median in the vehicle's own km, day it is due."""
    model = plan.model.components[JOINT]
    shape, scale = math.exp(model.values[-1]), math.exp(model.values[0]) / model.hour_counts
    last = renewals[(renewals["component"] == JOINT) & (renewals["date"] <= AS_OF)]
    places = last.sort_values("date").groupby(["unit", "position"])
    fitted = places[["date", "rate", "a_day"]].last().rename(columns={"date": "day"})
    due = plan.tables["due"].set_index(["unit", "position"]).join(fitted, how="inner")
    due = due[due["age_known"].astype(bool)]
    days = (AS_OF - due["day"]).dt.days.to_numpy(dtype=float)
    age, a_day = days * due["a_day"], due["a_day"]
    assert len(due) > 150
    left = (age**shape + scale**shape * math.log(2.0)) ** (1.0 / shape) - age
    np.testing.assert_allclose(due["remaining_median"], left / a_day * due["rate"], rtol=0.03)
    np.testing.assert_allclose(due["age"], days * due["rate"], rtol=0.02, atol=40.0)
    np.testing.assert_allclose(due["equivalent_age"], age * model.hour_counts, rtol=0.03, atol=200.0)
    chance = 1.0 - np.exp((age / scale) ** shape - ((age + 365.0 * a_day) / scale) ** shape)
    np.testing.assert_allclose(due["fail_probability"], chance, atol=5e-3)
    cell = plan.tables["intervals"].query("component == @JOINT").iloc[0]
    ahead = due[due["action"].isin(["plan replacement", "no action yet"]) & due["due_date"].notna()]
    until = (cell["interval"] / model.hour_counts - age[ahead.index]) / a_day[ahead.index]
    assert len(ahead) > 50 and f"{cell['interval'] / model.hour_counts:,.0f} engine hours" in cell["advice"]
    np.testing.assert_allclose((ahead["due_date"] - AS_OF).dt.days, until, rtol=0.03, atol=4.0)
    assert ahead["reason"].str.contains("engine hours is on its way to the interval of ").all()


def test_the_year_ahead_is_foreseen(plan, renewals):
    """What came of both components in the year after the record, within limits of four standard deviations."""
    came = renewals[renewals["date"] > AS_OF].groupby("component").size()
    total = plan.tables["forecast"].groupby("component")["mean"].sum()
    for code in (BOOT, JOINT):
        assert came[code] == pytest.approx(total[code], abs=4.0 * math.sqrt(total[code]))


def test_by_distance_the_same_vehicles_are_told_wrongly(plan, renewals, folder):
    """What hours are for: the year that came was likelier by hours than by distance, by three standard errors."""
    came = renewals[(renewals["date"] > AS_OF) & (renewals["component"] == JOINT)]
    failed = came.groupby(["unit", "position"]).size()
    fleet = read_fleet(folder)
    blind = replace(fleet, tables={**fleet.tables, "readings": fleet.tables["readings"].assign(engine_hours=np.nan)})
    by_distance = build_plan(blind, months=12, seed=1, checks=False)
    scores = []
    for made in (plan, by_distance):
        due = made.tables["due"].query("component == @JOINT").set_index(["unit", "position"])
        happened = pd.Series(due.index.isin(failed.index), index=due.index)
        chance = due["fail_probability"].to_numpy()
        scores.append(pd.Series(np.log(np.where(happened, chance, 1.0 - chance)), index=due.index))
    gain = (scores[0] - scores[1]).groupby("unit").sum()
    assert gain.sum() > 3.0 * math.sqrt(float((gain**2).sum()))


def test_a_model_file_keeps_its_clocks(plan, fleet):
    model = model_from_json(model_to_json(plan.model))
    assert model == plan.model
    again = build_plan(fleet, months=12, seed=1, model=model, checks=False)
    pd.testing.assert_frame_equal(again.tables["due"], plan.tables["due"], rtol=1e-9)
    pd.testing.assert_frame_equal(again.tables["forecast"], plan.tables["forecast"])


def test_a_model_by_hours_needs_hours(plan, fleet):
    blind = replace(fleet, tables={**fleet.tables, "readings": fleet.tables["readings"].assign(engine_hours=np.nan)})
    with pytest.raises(ModelError, match="goes by engine hours, which are on record for 0 of 120 vehicles here"):
        build_plan(blind, months=12, seed=1, model=plan.model, checks=False)


def test_earlier_forecasts_go_by_hours_too(fleet):
    """The forecasts of earlier days cover what came as they do by other clocks."""
    made = build_backtest(fleet, months=6, seed=1)
    rows = made.tables["backtest"].query("component == @JOINT")
    assert len(made.origins) >= 4 and not any("No forecast" in note for note in made.notes)
    assert rows["mean"].sum() == pytest.approx(rows["actual"].sum(), abs=4.0 * math.sqrt(rows["mean"].sum()))


def test_where_all_vehicles_run_alike_an_hour_both_clocks_are_one(fleet):
    """A clock of hours that are a fixed share of the odometer gives the ages the odometer gives."""
    histories = build_histories(fleet)
    curves = histories.curves
    hours = replace(curves, odometer=curves.odometer / 25.0, daily=curves.daily / 25.0)
    clock = build_hour_clock(histories.windows, hours)
    assert clock.hour_counts == pytest.approx(25.0)
    np.testing.assert_allclose(clock.a_day, curves.daily)
    tables = {"inspections": fleet.tables["inspections"], "ride_height": fleet.tables["ride_height"]}
    aged = put_on_age(histories, clocks={JOINT: clock}, **tables)
    pd.testing.assert_frame_equal(aged.lives, histories.lives, rtol=1e-9, atol=1e-6)
    pd.testing.assert_frame_equal(aged.segments, histories.segments, rtol=1e-9, atol=1e-6)
    pd.testing.assert_frame_equal(aged.by_distance().lives, histories.lives)


@pytest.mark.parametrize("seed", range(6))
def test_where_distance_is_true_hours_are_not_chosen(tmp_path, seed):
    write_hours_fleet(tmp_path, vehicles=40, seed=seed, joints="distance")
    clocks = clocks_of(tmp_path)
    assert components_by(clocks, "hours") == ()
    rows = clocks.set_index(["component", "clock"])["difference"]
    assert rows[JOINT, "hours"] < 0 and rows[BOOT, "hours"] < 0


@pytest.mark.parametrize("seed", range(3))
def test_hours_of_the_duty_log_are_enough(tmp_path, seed):
    write_hours_fleet(tmp_path, vehicles=40, seed=seed, metered=0.0, logged=True)
    assert components_by(clocks_of(tmp_path), "hours") == (JOINT,)


def test_vehicles_without_a_meter_are_named(tmp_path):
    write_hours_fleet(tmp_path, vehicles=60, seed=2, metered=0.8)
    fleet = read_fleet(tmp_path)
    histories = build_histories(fleet)
    assert histories.hours.note.startswith("Engine hours are on record for 48 of 60 vehicles (over at least half of")
    assert "as many hours a distance as vehicles of their duty do" in histories.hours.note
    assert components_by(settle_on_clocks(fleet, histories).clocks, "hours") == (JOINT,)


def test_below_half_of_the_vehicles_hours_are_no_clock(tmp_path):
    write_hours_fleet(tmp_path, vehicles=60, seed=2, metered=0.4)
    plan = build_plan(read_fleet(tmp_path), months=3, seed=1, checks=False)
    assert "hours" not in set(plan.tables["clocks"]["clock"])
    assert (
        "Engine hours are on record for 24 of 60 vehicles (over at least half of their time under observation): hours "
        "are compared as a clock only from 50% of the vehicles on."
    ) in plan.notes


def test_fleet_toml_has_the_last_word(tmp_path):
    write_hours_fleet(tmp_path, vehicles=40, seed=3, joints="distance")
    settings = (tmp_path / "fleet.toml").read_text()
    (tmp_path / "fleet.toml").write_text(f'{settings}\n[components.{JOINT}]\nclock = "hours"\n')
    clocks = clocks_of(tmp_path)
    assert components_by(clocks, "hours") == (JOINT,)
    told = clocks.set_index(["component", "clock"]).loc[(JOINT, "hours"), "sentence"]
    assert "sets hours as the clock of" in told and "predictions go by engine hours: by the plain fit" in told


def test_hours_as_a_clock_without_hours_are_refused(tmp_path, capsys):
    write_hours_fleet(tmp_path, vehicles=10, seed=3, metered=0.0)
    settings = (tmp_path / "fleet.toml").read_text()
    (tmp_path / "fleet.toml").write_text(f'{settings}\n[components.{JOINT}]\nclock = "hours"\n')
    fleet = read_fleet(tmp_path)
    with pytest.raises(InputError) as refused:
        build_plan(fleet, months=3, seed=1, checks=False)
    (sentence,) = refused.value.problems
    assert sentence == (
        f'fleet.toml, [components.{JOINT}]: clock = "hours", but engine hours are on record for 0 of 10 vehicles and '
        "are needed for 50%; give them in the column engine_hours of readings or repairs, or set clock = \"km\"."
    )
    assert main(["plan", str(tmp_path), "--tables", str(tmp_path / "out")]) == 2
    assert capsys.readouterr().err.strip().endswith(sentence)


def test_hours_of_a_component_no_vehicle_has_change_nothing(tmp_path):
    write_hours_fleet(tmp_path, vehicles=10, seed=3, metered=0.0)
    own = '[components.pto_joint]\nclock = "hours"\n\n[layouts]\npto_shaft = { "pto.joint_front" = "pto_joint" }\n'
    (tmp_path / "fleet.toml").write_text(f'{(tmp_path / "fleet.toml").read_text()}\n{own}')
    assert components_by(clocks_of(tmp_path), "hours") == ()


def test_joints_by_distance_keep_their_law_beside_hours(tmp_path):
    """Hours on record change nothing of what wears by distance."""
    write_hours_fleet(tmp_path, vehicles=60, seed=4, joints="distance")
    fleet = read_fleet(tmp_path)
    model = build_plan(fleet, months=3, seed=1, checks=False).model.components[JOINT]
    error = np.sqrt(np.diag(model.covariance))
    assert model.ages_by == "distance"
    assert np.all(np.abs(np.array(model.values) - np.log([JOINT_KM, JOINT_SHAPE])) < 3.0 * error)
