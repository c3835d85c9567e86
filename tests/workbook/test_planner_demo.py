"""The planner workbook of real plans: the demo fleet, and two published records that lack most tables."""

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from intervals_example import in_table_order
from recalculation import convert, differences, read_book

from wearmodel.backtest import with_earlier_forecasts
from wearmodel.backtest_sentences import last_forecast_sentence
from wearmodel.intake.fleet import read_fleet
from wearmodel.plan import Plan, build_plan
from workbook.planner import write_planner

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def demo_plan() -> Plan:
    fleet = read_fleet(DATA / "demo")
    return with_earlier_forecasts(build_plan(fleet, months=12, seed=1), fleet, origins=1)


@pytest.fixture(scope="module")
def demo_planner(demo_plan: Plan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "planner.xlsx"
    write_planner(demo_plan, path)
    return path


def first_table(sheet: Any, first_header: str) -> pd.DataFrame:
    """The first table of a sheet whose first header cell is this."""
    rows = list(sheet.iter_rows(values_only=True))
    top = next(i for i, row in enumerate(rows) if row[0] == first_header)
    header = [h for h in rows[top] if h is not None]
    bottom = next((i for i in range(top, len(rows)) if rows[i][0] is None), len(rows))
    return pd.DataFrame([row[: len(header)] for row in rows[top + 1 : bottom]], columns=header)


def test_demo_cached_values_are_what_a_spreadsheet_computes(demo_planner: Path, tmp_path: Path) -> None:
    assert differences(demo_planner, convert(demo_planner, to="xlsx", folder=tmp_path)) == []


def test_demo_live_budget_is_the_plan_s_own(demo_planner: Path, demo_plan: Plan) -> None:
    shown = first_table(read_book(demo_planner, values=True)["Budget"], "Policy")
    year = demo_plan.tables["budget_year"].set_index("policy")
    year = year.loc[["run_to_failure", "planned", "present_practice"]]
    for header, name in (
        ("Parts (EUR)", "parts"),
        ("Labour (EUR)", "labour"),
        ("Downtime and recovery (EUR)", "downtime"),
        ("Total (EUR)", "total"),
        ("Low, p10 (EUR)", "p10"),
        ("High, p90 (EUR)", "p90"),
    ):
        assert shown[header].to_numpy(dtype=float) == pytest.approx(year[name].to_numpy(), rel=1e-9), header
    saving = shown["Saving against run to failure (EUR)"].to_numpy(dtype=float)
    assert saving[1:] == pytest.approx(year["saving"].to_numpy()[1:], rel=1e-9)


def test_demo_live_cost_rates_are_the_plan_s_own(demo_planner: Path, demo_plan: Plan) -> None:
    intervals = demo_plan.tables["intervals"]
    labels = {code: spec.label for code, spec in demo_plan.settings.components.items()}
    shown = first_table(read_book(demo_planner, values=True)["Intervals"], "Component")
    shown = in_table_order(shown, intervals, labels)
    assert len(shown) == len(intervals)
    failure = pd.to_numeric(shown["Cost run to failure (EUR per 1000 km)"]).to_numpy(dtype=float) / 1000
    assert failure == pytest.approx(intervals["cost_rate_run_to_failure"].to_numpy(), rel=1e-9, nan_ok=True)
    replaced = intervals["interval"].notna().to_numpy()
    assert replaced.any()
    rate = pd.to_numeric(shown["Cost at the interval (EUR per 1000 km)"]).to_numpy(dtype=float) / 1000
    assert rate[replaced] == pytest.approx(intervals["cost_rate_interval"].to_numpy()[replaced], rel=1e-9)
    assert np.isnan(rate[~replaced]).all()


def test_demo_live_intervals_are_the_plan_s_own(demo_planner: Path, demo_plan: Plan) -> None:
    intervals = demo_plan.tables["intervals"]
    labels = {code: spec.label for code, spec in demo_plan.settings.components.items()}
    shown = first_table(read_book(demo_planner, values=True)["Intervals"], "Component")
    shown = in_table_order(shown, intervals, labels)
    for header, name in (
        ("Recommended interval (km)", "interval"),
        ("As good from (km)", "interval_low"),
        ("As good up to (km)", "interval_high"),
    ):
        live = pd.to_numeric(shown[header]).to_numpy(dtype=float)
        assert live == pytest.approx(intervals[name].to_numpy(), rel=1e-9, nan_ok=True), header
    assert shown["Advice"].tolist() == intervals["advice"].tolist()
    assert shown["Moved since the last run"].isna().all()


def test_demo_says_how_good_its_forecast_has_been(demo_planner: Path, demo_plan: Plan) -> None:
    book = read_book(demo_planner, values=True)
    totals = demo_plan.tables["backtest_totals"].set_index("component")
    told = last_forecast_sentence(demo_plan.tables["backtest_totals"])
    came = totals.loc["all", "actual"]
    assert came > 0 and f"; {came} came, " in told and "made on 2025-06-30" in told
    first = [str(row[0]) for row in book["Read first"].iter_rows(values_only=True)]
    assert told in first
    assert any(f"Data fingerprint: {demo_plan.fingerprint[:12]}" in text for text in first)
    rows = [row[7:12] for row in book["Overview"].iter_rows(values_only=True)]
    top = next(i for i, row in enumerate(rows) if row[0] == "Parts of")
    everything = rows[top + 1]
    assert everything == ("All", *(pytest.approx(totals.loc["all", n]) for n in ("mean", "p10", "p90", "actual")))
    record = first_table(book["Forecast and record"], "Component")
    assert record["Came"].tolist() == totals["actual"].tolist()


def test_demo_live_stock_is_the_plan_s_own(demo_planner: Path, demo_plan: Plan) -> None:
    stock = demo_plan.tables["stock"]
    shown = first_table(read_book(demo_planner, values=True)["Stock"], "Part number").iloc[: len(stock)]
    for header, name in (
        ("Lead time (days)", "lead_time_days"),
        ("Expected demand in the lead time (pieces)", "mean_lead_demand"),
        ("Reorder point (pieces)", "reorder_point"),
        ("Order up to (pieces)", "order_up_to"),
        ("Service level reached (%)", "service_level"),
        ("Order now (pieces)", "order_now"),
    ):
        live = pd.to_numeric(shown[header]).to_numpy(dtype=float)
        assert live == pytest.approx(stock[name].to_numpy(), rel=1e-12, abs=1e-12, nan_ok=True), header


def test_demo_model_checks_are_the_plan_s_own(demo_planner: Path, demo_plan: Plan) -> None:
    shown = first_table(read_book(demo_planner, values=True)["Model checks"], "Component")
    checks = demo_plan.tables["model_checks"]
    assert shown["Result"].tolist() == checks["result"].tolist()
    assert shown["In words"].tolist() == checks["sentence"].tolist()


@pytest.mark.parametrize("fleet", ["valve_seats", "braking_grids"])
def test_a_record_with_most_tables_missing(fleet: str, tmp_path: Path) -> None:
    plan = build_plan(read_fleet(DATA / "reference" / fleet), months=12, seed=1)
    path = tmp_path / "planner.xlsx"
    write_planner(plan, path)
    book = read_book(path, values=True)
    assert len(book.sheetnames) == 25
    notes = {str(row[0]) for row in book["Read first"].iter_rows(values_only=True)}
    assert all(any(note in shown for shown in notes) for note in plan.notes)
    shown = first_table(book["Mean replacements"], "Component")
    assert shown["Mean replacements per vehicle"].to_numpy(dtype=float) == pytest.approx(
        plan.tables["mcf"].sort_values(["component", "distance"])["mcf"].to_numpy()
    )
    assert differences(path, convert(path, to="xlsx", folder=tmp_path)) == []
