"""Every result table of the demo fleet: columns, sums, and laws that hold whatever the numbers."""

import json
import shutil
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

ROOT = Path(__file__).parents[2]
COLUMNS = {
    "lives": "unit, position, component, part_number, duty, lift, entry, stop_low, stop_high, ended, weight, "
    "vehicle_class, depot, start_date, end_date",
    "fits": "component, family, parameter, estimate, lower, upper, lives, failures",
    "curves": "component, duty, lift, distance, survival, lower, upper",
    "intervals": "component, duty, lift, failures, b10, b10_lower, median, mean, interval, interval_low, "
    "interval_high, cost_rate_interval, cost_rate_run_to_failure, advice",
    "due": "unit, position, component, part_number, depot, age, fail_probability, remaining_median, due_date, action",
    "compare": "component, lift_group, duty_mix, lives, failures, life_ratio, lower, upper, p_value, "
    "median_factory, median_raised, extra_cost_per_1000",
    "forecast": "part_number, component, depot, month, mean, p10, p50, p90",
    "stock": "part_number, depot, on_hand, on_order, reorder_point, order_up_to, order_now, service_level",
    "budget": "policy, month, parts, labour, downtime, total, p10, p90",
    "set_aside": "file, row, column, value, problem, action",
}
ENDS = {"failed", "worn", "planned", "collateral", "damage", "comeback", "retired", "in_service"}


@pytest.mark.parametrize("name", COLUMNS)
def test_columns(demo, name):
    wanted = COLUMNS[name].split(", ")
    assert list(demo.tables[name].columns[: len(wanted)]) == wanted
    assert len(demo.tables[name]) > 0


def test_lives_keep_their_invariant(demo):
    lives = demo.tables["lives"]
    assert set(lives["ended"]) <= ENDS
    assert (lives["entry"] >= 0).all()
    assert (lives["entry"] <= lives["stop_low"] + 1e-6).all()
    assert (lives["stop_low"] <= lives["stop_high"]).all()
    failed = lives["ended"].isin(["failed", "worn"])
    assert np.isfinite(lives.loc[failed, "stop_high"]).all()
    assert np.isinf(lives.loc[~failed, "stop_high"]).all()
    assert (pd.to_datetime(lives["start_date"]) <= pd.to_datetime(lives["end_date"])).all()


def test_a_raised_life_is_cut_and_carries_its_end_last(demo):
    lives = demo.tables["lives"]
    # Of lives a line could have ended at several positions, more than one can start on a day.
    lives = lives[lives["chance"] == 1.0]
    keys = ["unit", "position", "start_date"]
    cut = lives[lives.duplicated(keys, keep=False)]
    assert len(cut) > 20
    for _, pieces in cut.groupby(keys):
        assert (pieces["entry"].to_numpy()[1:] == pieces["stop_low"].to_numpy()[:-1]).all()
        assert set(pieces["ended"][:-1]) == {"in_service"}
        assert (np.diff(pieces["lift"]) != 0).all()


def test_counts_reconcile_to_the_row(demo):
    table = demo.tables["reconciliation"]
    parts = table[["used_as_given", "used_repaired", "set_aside"]]
    assert (parts >= 0).all().all()
    assert (parts.sum(axis=1) == table["rows_read"]).all()
    for row in table.itertuples():
        with (ROOT / "data" / "demo" / row.file).open(encoding="utf-8-sig") as stream:
            assert sum(1 for line in stream if line.strip()) - 1 == row.rows_read
    noted = demo.tables["set_aside"].query("used == False").groupby("table")["row"].nunique()
    assert dict(noted) == {t.table: t.set_aside for t in table.itertuples() if t.set_aside}


def test_curves_fall_from_one_inside_their_band(demo):
    for _, curve in demo.tables["curves"].groupby(["component", "duty", "lift"]):
        assert curve["survival"].iloc[0] == 1.0
        assert (np.diff(curve["survival"]) <= 0).all()
        assert ((curve["lower"] <= curve["survival"]) & (curve["survival"] <= curve["upper"])).all()


def test_intervals_cost_no_more_than_running_to_failure(demo):
    table = demo.tables["intervals"]
    known = table[table["interval"].notna()]
    assert len(known) > 20
    assert (known["cost_rate_interval"] < known["cost_rate_run_to_failure"]).all()
    assert (np.mod(known["interval"], 15_000.0) == 0).mean() > 0.9
    assert (known["interval_low"] <= known["interval"]).all()
    assert (known["b10_lower"] <= known["b10"]).all()


def test_due_list_is_sorted_and_reasoned(demo):
    due = demo.tables["due"]
    assert due["fail_probability"].between(0, 1).all()
    assert due["action"].iloc[0] == "replace now"
    assert (due["reason"].str.len() > 10).all()
    assert due["due_date"].notna().mean() > 0.9
    assert not due.duplicated(["unit", "position"]).any()


def test_money_at_stake_is_chance_times_extra_cost(demo):
    due, costs = demo.tables["due"], demo.tables["costs"].set_index("component")
    expected = [
        row.fail_probability * (costs.failed_cost[row.component] - costs.planned_cost[row.component])
        for row in due.itertuples()
    ]
    np.testing.assert_allclose(due["money_at_stake"], expected, rtol=1e-12)
    assert due["money_at_stake"].notna().all()


def test_forecast_sums_and_quantiles(demo):
    table = demo.tables["forecast"]
    assert sorted(table["month"].unique()) == list(demo.months)
    assert demo.months[0] == "2026-07"
    assert (table["p10"] <= table["p50"]).all()
    assert (table["p50"] <= table["p90"]).all()
    events = demo.tables["events"].query("policy == 'present_practice'")
    taken = events[["failures", "condition_finds", "planned"]].to_numpy().sum()
    assert table["mean"].sum() == pytest.approx(taken, rel=1e-9)


def test_budget_adds_up(demo):
    table = demo.tables["budget"]
    heads = table[["parts", "labour", "downtime"]].sum(axis=1)
    np.testing.assert_allclose(heads, table["total"], rtol=1e-9)
    assert (table["p10"] <= table["p90"]).all()
    costs, settings = demo.tables["costs"].set_index("component"), demo.settings
    events = demo.tables["events"].query("policy == 'planned'")
    labour = sum(
        (row.failures * costs.failed_hours[row.component]
         + (row.condition_finds + row.planned) * costs.planned_hours[row.component]) * settings.labour_rate
        for row in events.itertuples()
    )
    assert table.query("policy == 'planned'")["labour"].sum() == pytest.approx(labour, rel=1e-9)
    year = demo.tables["budget_year"].set_index("policy")
    np.testing.assert_allclose(
        table.groupby("policy")["total"].sum()[year.index], year["total"], rtol=1e-9
    )
    assert year.loc["planned", "long_run_year"] < year.loc["run_to_failure", "long_run_year"]


def test_stock_orders_only_what_falls_to_the_reorder_point(demo):
    table = demo.tables["stock"]
    position = table["on_hand"] + table["on_order"]
    assert (table.loc[position > table["reorder_point"], "order_now"] == 0).all()
    ordered = table[table["order_now"] > 0]
    assert (position[ordered.index] + ordered["order_now"] >= ordered["order_up_to"]).all()
    assert (table["service_level"] >= 0.95).all()


def test_true_parameters_lie_near_the_estimates(demo):
    """Estimates of components with 40 failures and more, in standard errors from the truth."""
    truth = json.loads((ROOT / "data" / "demo" / "truth.json").read_text(encoding="utf-8"))["components"]
    far = []
    for code, own in demo.model.components.items():
        if own.failures >= 40:
            error = own.covariance[-1][-1] ** 0.5
            far.append((own.values[-1] - np.log(truth[code]["shape"])) / error)
    assert len(far) == 6
    assert np.abs(far).max() < 3.0


def test_raised_vehicles_wear_faster_and_duty_explains_part_of_it(demo):
    table = demo.tables["compare"].query("lift_group == 'all raised' and failures >= 20")
    assert len(table) >= 3
    assert (table["upper"] < 1.0).all()
    assert (table["crude_ratio"] < table["life_ratio"] + 0.1).all()
    assert (table["median_raised"] < table["median_factory"]).all()


def test_same_seed_same_plan(demo, plan_of):
    from wearmodel.intake.fleet import read_fleet
    from wearmodel.plan import build_plan

    again = build_plan(read_fleet(ROOT / "data" / "demo"), months=12, seed=1)
    for name, table in demo.tables.items():
        pd.testing.assert_frame_equal(again.tables[name], table)


def test_one_visit_for_every_vehicle_with_something_due(demo):
    due, visits, parts = (demo.tables[name] for name in ("due", "visits", "visit_parts"))
    called = due[due["action"].isin(["replace now", "replace at next service", "plan replacement"])]
    assert sorted(visits["unit"]) == sorted(called["unit"].unique())
    assert visits["date"].is_monotonic_increasing
    assert set(parts["unit"]) == set(visits["unit"])
    assert len(parts) == due["unit"].isin(visits["unit"]).sum()
    now = due[due["action"] == "replace now"][["unit", "position"]].merge(parts, on=["unit", "position"])
    assert set(now["role"]) <= {"main", "due"}


def test_visits_add_up(demo):
    visits, parts, settings = demo.tables["visits"], demo.tables["visit_parts"], demo.settings
    costs = demo.tables["costs"].set_index("component")
    price = demo.tables["stock"].groupby("part_number")["unit_price"].first()
    np.testing.assert_allclose(visits["total"], visits[["parts_cost", "labour_cost", "downtime_cost"]].sum(axis=1))
    np.testing.assert_allclose(visits["labour_cost"], visits["hours"] * settings.labour_rate)
    taken = parts[parts["role"] != "stays"]
    single = taken["kit"] == ""
    alone = taken["hours"]
    np.testing.assert_allclose(alone[single], taken["component"].map(costs["planned_hours"])[single])
    by_unit = (alone - taken["hours_spared"]).groupby(taken["unit"]).sum()
    np.testing.assert_allclose(visits["hours"], visits["unit"].map(by_unit))
    assert (by_unit <= alone.groupby(taken["unit"]).sum() + 1e-9).all()
    np.testing.assert_allclose(taken["price"][single], taken["part_number"].map(price)[single])
    np.testing.assert_allclose(visits["parts_cost"], visits["unit"].map(taken.groupby("unit")["price"].sum()))
    # A kit is paid once at each place it is fitted.
    kits = taken[~single].assign(place=taken["position"].str.rpartition(".")[0])
    paid = kits.groupby(["unit", "kit", "place"]).agg(price=("price", "sum"), rows=("price", "size")).reset_index()
    assert len(paid) > 5 and (paid["rows"] > 1).all()
    np.testing.assert_allclose(paid["price"], paid["kit"].map(price))
    assert (visits.loc[visits["kits"] != "", "kit_saving"] > 0).all()
    np.testing.assert_allclose(visits["saving"], visits["unit"].map(taken.groupby("unit")["saving"].sum()), atol=1e-9)
    assert (visits["saving"] >= 0).all()
    assert taken.groupby("unit").size().to_dict() == visits.set_index("unit")["count"].to_dict()


def test_parts_that_join_save_and_those_that_stay_do_not(demo):
    parts = demo.tables["visit_parts"]
    joins, stays = (parts[(parts["role"] == role) & (parts["kit"] == "")] for role in ("joins", "stays"))
    assert len(joins) > 20 and len(stays) > 100
    assert (joins["saving"] > 0.03 * joins["planned_cost"]).all()
    assert not (stays["saving"] > 0.03 * stays["planned_cost"] + 1e-9).any()
    assert (joins["cost_in_visit"] < joins["planned_cost"]).all()


def test_group_policies_of_the_fleets_layouts(demo):
    table = demo.tables["group_policies"]
    keys = ["vehicle_class", "driveline", "group"]
    assert {"outboard joint and boot", "half shaft", "joints of the rear shaft"} <= set(table["group"])
    assert (table.groupby(keys)["best"].sum() == 1).all()
    singly = table[table["policy"] == "each on its own"].set_index(keys)
    assert not singly[["difference_per_1000", "difference_se"]].to_numpy().any()
    least = table.groupby(keys)["cost_per_1000"].min()
    assert (least <= singly["cost_per_1000"].reindex(least.index)).all()
    assert (table["cost_se"] < 0.02 * table["cost_per_1000"]).all()
    whole = table[table["policy"] == "complete half shaft"]
    assert set(whole["vehicle_class"]) == {"field_pickup", "service_van", "town_car"}


def test_impossible_costs_angles_and_shafts_are_a_sentence_each_and_the_rest_is_planned(tmp_path):
    from wearmodel.intake.fleet import read_fleet
    from wearmodel.plan import build_plan

    folder = tmp_path / "fleet"
    shutil.copytree(ROOT / "data" / "demo", folder)
    text = (folder / "fleet.toml").read_text(encoding="utf-8")
    for old, new in (
        ("failed_hours = 3.2\nfailed_downtime_hours = 11.0\nfailed_extra = 210.0",
         "failed_hours = 0.1\nfailed_downtime_hours = 0.1\nfailed_extra = 0.0"),
        ("planned_hours = 1.4", "planned_hours = -1.4"),
        ("rear.joint_angles = [1.5, 2.0, 2.5]", "rear.joint_angles = [1.5, 95.0, 2.5]"),
        ("rear.shaft_lengths = [690.0, 980.0]", "rear.shaft_lengths = [0.0, 980.0]"),
    ):  # fmt: skip
        assert old in text
        text = text.replace(old, new, 1)
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    plan = build_plan(read_fleet(folder), months=12, seed=1, checks=False)
    for word in (
        "cost.u_joint.planned_hours: -1.4 is out of range", "crew_truck.rear.joint_angles: 95 is out of range",
        "service_van.rear.shaft_lengths: 0 is out of range", "support_bearing: a failure on the road costs",
    ):  # fmt: skip
        assert sum(word in note for note in plan.notes) == 1, word
    intervals = plan.tables["intervals"].groupby("component")["interval"]
    assert intervals.count()["cv_joint_outboard"] > 0 and intervals.count()["support_bearing"] == 0
    assert (plan.tables["intervals"].query("component == 'u_joint'")["advice"] == "no costs given").all()
    assert plan.tables["forecast"]["mean"].sum() > 100 and len(plan.tables["visits"]) > 0
