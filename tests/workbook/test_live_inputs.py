"""Inputs typed into a planner: intervals, stock and look-ups follow in cells as the library gives them."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from intervals_example import add_intervals, in_table_order, wanted_savings
from planner_example import DUTIES, LABELS, SCALES, ExamplePlan, build_costs, build_example_plan, unit_costs
from recalculation import convert, differences, formula_cells, open_book, read_book
from scipy import stats
from test_planner_recalculation import rows_below, set_named_input

from wearmodel.survival import weibull
from workbook.planner import write_planner
from workbook.planner.typed import LOOK_UPS
from workbook.typed_cells import read_typed

RATES = {"labour_rate": 95.5, "service_interval": 20000.0, "service_level": 0.98}
COSTS = {
    ("part_price", "u_joint"): 20.0,
    ("worn_share", "u_joint"): 0.5,
    ("failed_extra", "support_bearing"): 2500.0,
    ("failed_downtime_hours", "cv_boot_outboard"): 0.0,
    ("failed_extra", "cv_boot_outboard"): 0.0,
    ("planned_hours", "cv_boot_outboard"): 9.0,
}
#: Lead times as multiples of the part's own: listed, between two listed ones, beyond the longest.
FACTORS = {"PN-001": 2.0, "PN-011": 1.35, "PN-021": 40.0}
LOOKED_UP = {
    "component": "Centre support bearing", "duty": "site", "lift": 50, "age": 70000, "ahead": 21000, "share": 0.25,
}  # fmt: skip


@pytest.fixture(scope="module")
def plan() -> ExamplePlan:
    return build_example_plan()


def cell_beside(sheet: Any, label: str, heading: str) -> Any:
    """The cell of a row under a heading, in the table that has the heading."""
    at = None
    for row in sheet.iter_rows():
        texts = [cell.value for cell in row]
        if heading in texts:
            at = texts.index(heading)
        elif at is not None and texts[0] == label:
            return row[at]
    raise AssertionError(f"no {heading} beside {label}")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("live")


@pytest.fixture(scope="module")
def changed(plan: ExamplePlan, folder: Path) -> Path:
    """The planner with changed inputs, recalculated."""
    write_planner(plan, folder / "first.xlsx")
    book = open_book(folder / "first.xlsx", values=False)
    for name, value in RATES.items():
        set_named_input(book, name, value)
    for (field, code), value in COSTS.items():
        set_named_input(book, f"{field}_{code}", value)
    for number, factor in FACTORS.items():
        cell = cell_beside(book["Assumptions"], number, "Lead time (days)")
        cell.value *= factor
    for name, value in LOOKED_UP.items():
        cell_beside(book["Life curves"], LOOK_UPS[name], "Your choice").value = value
    book.save(folder / "typed.xlsx")
    return convert(folder / "typed.xlsx", to="xlsx", folder=folder)


def costs_now() -> pd.DataFrame:
    costs = build_costs().set_index("component")
    for (field, code), value in COSTS.items():
        costs.loc[code, field] = value
    return costs.reset_index()


def numbers(table: pd.DataFrame, header: str) -> np.ndarray:
    return pd.to_numeric(table[header]).to_numpy(dtype=float)


def units_now() -> pd.DataFrame:
    return unit_costs(costs_now(), labour_rate=95.5, downtime_cost=38.0)


def intervals_now(plan: ExamplePlan) -> pd.DataFrame:
    """What the library recommends at the typed costs."""
    return add_intervals(plan.tables["intervals"], units_now(), service=20000.0, caps={"u_joint": 0.25})


def test_intervals_are_those_of_the_library_at_the_typed_costs(plan: ExamplePlan, changed: Path) -> None:
    shown = rows_below(read_book(changed, values=True)["Intervals"], "Component")
    shown = in_table_order(shown, plan.tables["intervals"], LABELS)
    expected = intervals_now(plan)
    for header, name in (
        ("Recommended interval (km)", "interval"),
        ("As good from (km)", "interval_low"),
        ("As good up to (km)", "interval_high"),
        ("Interval without the cap (km)", "interval_uncapped"),
    ):
        assert numbers(shown, header) == pytest.approx(expected[name].to_numpy(), rel=1e-9, nan_ok=True), header
    assert shown["Advice"].tolist() == expected["advice"].tolist()
    before = plan.tables["intervals"]["interval"].to_numpy()
    moved = ~np.isclose(expected["interval"], before, rtol=1e-9, equal_nan=True)
    assert (shown["Moved since the last run"] == "moved").tolist() == moved.tolist()
    # The case is worth its name: intervals appear, go, move and stay.
    assert 0 < moved.sum() < len(moved)
    assert (np.isfinite(expected["interval"]) & np.isnan(before)).any()
    assert {"u_joint", "support_bearing"} <= set(expected.loc[moved, "component"])


def test_the_largest_savings_follow_the_typed_costs(plan: ExamplePlan, changed: Path, folder: Path) -> None:
    expected = intervals_now(plan)
    expected["saving"] = wanted_savings(expected, units_now())
    shown = rows_below(read_book(changed, values=True)["Intervals"], "Component")
    shown = in_table_order(shown, expected, LABELS)
    header = "Saving in a long-run year, all of them (EUR)"
    assert numbers(shown, header) == pytest.approx(expected["saving"].to_numpy(), rel=1e-9, abs=1e-9, nan_ok=True)
    best = expected.sort_values("saving", ascending=False).head(3)
    overview = rows_below(read_book(changed, values=True)["Overview"], "Component")
    assert overview["Component"].tolist() == best["component"].map(LABELS).tolist()
    for heading, name in (("Lift (mm)", "lift"), ("Vehicles", "vehicles"), ("Replace at (km)", "interval"),
                          ("Saves a year (EUR)", "saving")):  # fmt: skip
        assert numbers(overview, heading) == pytest.approx(best[name].to_numpy(), rel=1e-9), heading
    # The inputs matter: other savings were the largest before.
    before = rows_below(read_book(folder / "first.xlsx", values=True)["Overview"], "Component")
    assert before["Component"].tolist() != overview["Component"].tolist()


def test_equal_savings_stand_side_by_side(plan: ExamplePlan, tmp_path: Path) -> None:
    intervals = plan.tables["intervals"].copy()
    best = intervals["component"].eq("u_joint") & intervals["lift"].eq(0)
    for name in ("shape", "scale", "vehicles"):
        intervals.loc[best, name] = intervals.loc[best, name].iloc[0]
    intervals.loc[best, "vehicles"] = 900.0
    intervals.loc[best, ["interval", "road_failures_cap"]] = np.nan
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={**plan.tables, "intervals": intervals}), path)
    new = read_book(convert(path, to="xlsx", folder=tmp_path), values=True)
    for book in (read_book(path, values=True), new):
        shown = rows_below(book["Overview"], "Component")
        assert shown["Component"].tolist() == [LABELS["u_joint"]] * 3
        assert shown["Duty"].nunique() == 3 and shown["Saves a year (EUR)"].nunique() == 1


def test_stock_is_that_of_the_demand_s_law(plan: ExamplePlan, changed: Path) -> None:
    shown = rows_below(read_book(changed, values=True)["Stock"], "Part number").iloc[: len(plan.tables["stock"])]
    stock = plan.tables["stock"]
    factor = stock["part_number"].map(FACTORS).fillna(1.0).to_numpy()
    assert {1.0, *FACTORS.values()} == set(factor)
    mean = stock["mean_lead_demand"].to_numpy() * factor
    exact = stats.poisson.ppf(0.98, mean)
    reorder = numbers(shown, "Reorder point (pieces)")
    assert np.isnan(reorder[factor == 40.0]).all()
    listed = (factor == 1.0) | (factor == 2.0)
    assert reorder[listed].tolist() == exact[listed].tolist()
    assert np.abs(reorder[factor == 1.35] - exact[factor == 1.35]).max() <= 1.0
    reached = numbers(shown, "Service level reached (%)")
    assert reached[listed] == pytest.approx(stats.poisson.cdf(exact, mean)[listed], abs=1e-9)
    between = numbers(shown, "Expected demand in the lead time (pieces)")[factor == 1.35]
    assert between == pytest.approx(mean[factor == 1.35], rel=1e-9)
    up_to = reorder + (stock["order_up_to"] - stock["reorder_point"]).to_numpy()
    position = (stock["on_hand"] + stock["on_order"] + stock["held_of_others"]).to_numpy()
    pack = stock["pack"].to_numpy()
    order = np.where(position <= reorder, np.ceil((up_to - position) / pack) * pack, 0.0)
    order[stock["mean_lead_demand"] == 0.0] = 0.0
    known = np.isfinite(reorder)
    assert numbers(shown, "Order now (pieces)")[known] == pytest.approx(order[known])
    value = numbers(shown, "Value of the order (EUR)")
    # A part without a price has no value: it is not one of nothing.
    worth = np.where(order == 0.0, 0.0, order * stock["unit_price"])
    assert np.isnan(worth[known]).any()
    assert value[known] == pytest.approx(worth[known], nan_ok=True)


def test_a_chosen_curve_is_read_as_the_library_reads_it(changed: Path) -> None:
    sheet = read_book(changed, values=True)["Life curves"]
    table = rows_below(sheet, "Figure").set_index("Figure")
    law = {"shape": 1.7, "scale": SCALES["support_bearing"] * DUTIES["site"] * 0.86, "variance": 0.4}
    unit = unit_costs(costs_now(), labour_rate=95.5, downtime_cost=38.0).loc["support_bearing"]
    pace = stats.gamma(2.5, scale=0.4).expect(lambda z: z ** (1 / 1.7), lb=0, ub=60)
    expected = {
        "A new part is still good at this age (%)": weibull.survival(70000, **law),
        "A part of this age fails in the distance ahead (%)": weibull.fail_within(70000, 21000, **law),
        "The share chosen has failed by (km)": weibull.life_at(0.25, **law),
        "Half of the parts of this age fail within (km)": weibull.remaining(70000, fraction=0.5, **law),
        "1 in 10 of the parts of this age fails within (km)": weibull.remaining(70000, fraction=0.1, **law),
        "Mean life of a new part (km)": weibull.mean_life(**law),
        "Cost run to failure (EUR per 1000 km)": 1000 * pace * unit["average"]
        / stats.weibull_min.mean(law["shape"], scale=law["scale"]),
    }  # fmt: skip
    for label, value in expected.items():
        assert table.loc[label, "Answer"] == pytest.approx(float(value), rel=1e-8), label
    low, high = (float(table.loc["The share chosen has failed by (km)", side]) for side in ("Low", "High"))
    assert np.sqrt(low * high) == pytest.approx(float(weibull.life_at(0.25, **law)), rel=1e-9)
    assert float(table.loc["A new part is still good at this age (%)", "Low"]) < float(weibull.survival(70000, **law))
    assert pd.isna(table.loc["What is missing", "Answer"])


def test_the_next_planner_shows_what_the_cells_showed(plan: ExamplePlan, changed: Path, folder: Path) -> None:
    """Every formula cell: the library's figures at the inputs typed, and what LibreOffice made of them."""
    write_planner(plan, folder / "next.xlsx", typed=read_typed(changed))
    found = [d for d in differences(folder / "next.xlsx", changed) if d.sheet != "Typed in"]
    assert found == []
    typed = read_book(folder / "next.xlsx", values=True)["Typed in"]
    states = rows_below(typed, "Input")["State"]
    count = len(RATES) + len(COSTS) + len(FACTORS)
    # Those that were changed stand first.
    assert states[:count].tolist() == ["changed here"] * count
    assert states[count:].isna().all()
    assert read_typed(folder / "next.xlsx") == read_typed(changed)


@pytest.mark.parametrize(
    ("duty", "lift", "missing"),
    [("towing", 75, "no curve at this ride height"), ("racing", 0, "no curve of this component in this duty")],
)
def test_a_curve_that_is_not_there_is_told(
    plan: ExamplePlan, folder: Path, tmp_path: Path, duty: str, lift: float, missing: str
) -> None:
    write_planner(plan, tmp_path / "first.xlsx")
    book = open_book(tmp_path / "first.xlsx", values=False)
    for name, value in {"duty": duty, "lift": lift}.items():
        cell_beside(book["Life curves"], LOOK_UPS[name], "Your choice").value = value
    book.save(tmp_path / "typed.xlsx")
    new = read_book(convert(tmp_path / "typed.xlsx", to="xlsx", folder=tmp_path), values=True)["Life curves"]
    table = rows_below(new, "Figure").set_index("Figure")
    assert table.loc["What is missing", "Answer"] == missing
    assert table["Answer"].drop("What is missing").isna().all()


def test_twenty_thousand_formulas_recalculate_without_difference(plan: ExamplePlan, tmp_path: Path) -> None:
    """A fleet with many duties, vehicles that wear unlike, and caps."""
    base = plan.tables["intervals"]
    pieces = [base.assign(duty=base["duty"] + f" {i}", scale=base["scale"] * (0.7 + 0.2 * i)) for i in range(3)]
    intervals = pd.concat(pieces, ignore_index=True)
    variances = dict(zip(LABELS, (0.4, 0.05, 1e-7, 0.0, np.nan, 1.5), strict=True))
    intervals["frailty_variance"] = intervals["component"].map(variances)
    unit = unit_costs(build_costs(), labour_rate=72.0, downtime_cost=38.0)
    intervals = add_intervals(intervals, unit, service=15000.0, caps={"u_joint": 0.25, "cv_joint_outboard": 0.05})
    path = tmp_path / "many.xlsx"
    write_planner(replace(plan, tables={**plan.tables, "intervals": intervals}), path)
    assert sum(1 for _ in formula_cells(path)) > 20_000
    assert differences(path, convert(path, to="xlsx", folder=tmp_path)) == []
    shown = in_table_order(rows_below(read_book(path, values=True)["Intervals"], "Component"), intervals, LABELS)
    assert numbers(shown, "Recommended interval (km)") == pytest.approx(
        intervals["interval"].to_numpy(), rel=1e-9, nan_ok=True
    )
    assert shown["Advice"].tolist() == intervals["advice"].tolist()
