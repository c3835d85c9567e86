"""Benchmarks: `pytest tests/benchmarks --benchmark-enable`; without the switch each runs once, untimed.

The table with ratios is printed by `python tests/benchmarks/measure.py`; what it holds stages against runs here too.
"""

import runpy
from pathlib import Path
from types import SimpleNamespace

import pytest

from wearmodel.fleet_model import build_coded_fleet, fit_fleet
from wearmodel.forecast_tables import build_forecast_tables
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import read_fleet
from wearmodel.look_ahead import look_ahead
from wearmodel.plan import build_plan
from workbook.planner import write_planner

DEMO = Path(__file__).parents[2] / "data" / "demo"


@pytest.fixture(scope="module")
def fleet():
    return read_fleet(DEMO)


@pytest.fixture(scope="module")
def histories(fleet):
    return build_histories(fleet)


def test_intake(benchmark):
    assert len(benchmark(read_fleet, DEMO).tables["repairs"]) > 1000


def test_histories(benchmark, fleet):
    assert len(benchmark(build_histories, fleet).lives) > 3000


def test_fits(benchmark, fleet, histories):
    coded = build_coded_fleet(fleet, histories)
    assert len(benchmark(fit_fleet, fleet, coded).components) == 8


def test_plan(benchmark, fleet):
    assert len(benchmark(build_plan, fleet, months=12, seed=1).tables["due"]) > 1000


def test_workbook(benchmark, fleet, tmp_path):
    plan = build_plan(fleet, months=12, seed=1)
    benchmark(write_planner, plan, tmp_path / "planner.xlsx")
    assert (tmp_path / "planner.xlsx").stat().st_size > 100_000


def test_due_list_and_visits_of_many_parts():
    """It works; how long it takes is measured by the module itself, as a slow machine is no fault."""
    figures = runpy.run_path(str(Path(__file__).with_name("visits_speed.py")))["measure"](100_000)
    assert figures["parts"] >= 100_000 and figures["visits"] > 1000
    assert figures["processor, due list [s]"] > 0.0 and figures["processor, visits [s]"] > 0.0


@pytest.fixture(scope="module")
def measure():
    return SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("measure.py"))))


def test_fits_take_a_fraction_of_lifelines_time_and_little_more_than_their_floor(measure, fleet, histories):
    """Processor time of both in one process; lifelines took 39 times as long when this was written."""
    against_lifelines, against_floor = measure.fit_rows(build_coded_fleet(fleet, histories), repeats=1)
    assert against_lifelines.other > 5.0 * against_lifelines.ours
    assert 0.0 < against_floor.other < against_floor.ours


def test_a_plain_loop_takes_longer_than_histories(measure, fleet):
    (row,) = measure.history_rows(fleet, repeats=1)
    assert row.other > row.ours


def test_the_plain_loop_reads_most_of_the_lives(measure, fleet, histories):
    """It leaves out lines without a position, and takes a kit for one part: 8 % of the demo's lives."""
    from plain_histories import plain_lives

    tables = fleet.tables
    plain = plain_lives(
        tables["vehicles"], tables["readings"], tables["repairs"], layouts=fleet.settings.layouts, as_of=fleet.as_of
    )
    assert 0.88 < len(plain) / float(histories.lives["chance"].sum()) <= 1.0
    failed = histories.lives["ended"].isin(["failed", "worn"])
    assert 0.88 < plain["failed"].sum() / float(histories.lives.loc[failed, "chance"].sum()) <= 1.0


def test_calls_of_one_cell(measure):
    rows = measure.function_rows(calls=20)
    assert {row.what.partition(",")[0] for row in rows} >= {"WEAR_SURVIVAL", "WEAR_INTERVAL"}


def test_forecast(benchmark, fleet, histories):
    coded = build_coded_fleet(fleet, histories)
    model = fit_fleet(fleet, coded)
    ahead = look_ahead(fleet, histories, coded, model, months=12)
    tables = benchmark(build_forecast_tables, fleet, histories, coded, model, ahead, months=12, seed=1)
    assert tables["forecast_total"]["mean"].max() > 100


def test_a_large_fleet_is_written_with_lines_about_other_work(tmp_path):
    large = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("large_plan.py"))))
    large.write_large_fleet(tmp_path / "fleet", vehicles=4, life_scale=0.5)
    lines = (tmp_path / "fleet" / "repairs.csv").read_text(encoding="utf-8").count("\n") - 1
    assert lines >= 4 * large.LINES_A_VEHICLE
