"""The planner workbook recalculated by LibreOffice: cached values, changed inputs, published figures."""

import re
import subprocess
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from intervals_example import add_intervals
from planner_example import (
    MONTHS,
    POLICIES,
    PRICE_GROWTH,
    ExamplePlan,
    ExampleSettings,
    build_costs,
    build_example_plan,
    unit_costs,
)
from recalculation import convert, differences, formula_cells, open_book, read_book, require_program
from scipy import stats
from scipy.integrate import quad

from workbook.planner import write_planner
from workbook.planner.book import SHEETS
from workbook.planner.words import POLICY_LABELS

# Age replacement of a part with a Weibull life, scale 1, planned cost 1: best age, cost rate there and at run
# to failure. Optimality equation: Barlow & Hunter, "Optimum preventive maintenance policies", Operations
# Research 8 (1960); figures solved from it and again by direct integration, to 2e-6.
AGE_REPLACEMENT = [
    # shape, failure cost, best age, cost rate, run to failure
    (1.2, 10.0, 0.686086, 10.016120, 10.630880),
    (1.5, 5.0, 0.675492, 4.931299, 5.538661),
    (2.0, 2.0, 1.090797, 2.181594, 2.256758),
    (2.0, 5.0, 0.510655, 4.085242, 5.641896),
    (2.5, 5.0, 0.493047, 3.462043, 5.635302),
    (3.0, 10.0, 0.382456, 3.949350, 11.198465),
    (4.0, 5.0, 0.538402, 2.497125, 5.516313),
]


@pytest.fixture(scope="module")
def plan() -> ExamplePlan:
    return build_example_plan()


@pytest.fixture(scope="module")
def planner(plan: ExamplePlan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("planner") / "planner.xlsx"
    write_planner(plan, path)
    return path


def rows_below(sheet: Any, first_header: str, *, nth: int = 0) -> pd.DataFrame:
    """The nth table of a sheet whose first header cell is this, down to its first blank row."""
    rows = list(sheet.iter_rows(values_only=True))
    top = [i for i, row in enumerate(rows) if row[0] == first_header][nth]
    header = [h for h in rows[top] if h is not None]
    body: list[tuple[Any, ...]] = []
    for row in rows[top + 1 :]:
        if row[0] is None:
            break
        body.append(row[: len(header)])
    return pd.DataFrame(body, columns=header)


def set_named_input(book: Any, name: str, value: float) -> None:
    """Type a value into a named input cell."""
    sheet, cell = next(iter(book.defined_names[name].destinations))
    book[sheet][cell.replace("$", "")].value = value


def test_every_cached_value_is_what_a_spreadsheet_computes(planner: Path, tmp_path: Path) -> None:
    found = differences(planner, convert(planner, to="xlsx", folder=tmp_path))
    assert found == []
    assert sum(1 for _ in formula_cells(planner)) > 2000


def test_cached_values_hold_where_costs_and_bands_are_missing(plan: ExamplePlan, tmp_path: Path) -> None:
    costs = plan.tables["costs"].copy()
    costs.loc[0, "part_price"] = np.nan
    costs.loc[1, "failed_hours"] = np.nan
    costs.loc[2, "failed_extra"] = np.nan
    tables = {**plan.tables, "costs": costs.iloc[:-1]}
    for name in ("forecast_total", "budget_year"):
        tables[name] = tables[name].iloc[:0]
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables=tables), path)
    assert differences(path, convert(path, to="xlsx", folder=tmp_path)) == []


def test_a_tampered_cached_value_is_caught(planner: Path, tmp_path: Path) -> None:
    tampered = tmp_path / "tampered.xlsx"
    budget = f"xl/worksheets/sheet{SHEETS.index('Budget') + 1}.xml"
    with zipfile.ZipFile(planner) as source, zipfile.ZipFile(tampered, "w") as target:
        for item in source.infolist():
            data = source.read(item)
            if item.filename == budget:
                text, changed = re.subn(r"(</f><v>)([1-9][0-9.]+)(</v>)", r"\g<1>9\g<2>\g<3>", data.decode(), count=1)
                assert changed == 1
                data = text.encode()
            target.writestr(item, data)
    found = differences(tampered, convert(tampered, to="xlsx", folder=tmp_path))
    assert [d.sheet for d in found] == ["Budget"]


def expected_totals(plan: ExamplePlan, *, labour_rate: float, growth: float = PRICE_GROWTH) -> pd.Series:
    """Cost of each policy over the horizon, component by component, from the example's own tables."""
    costs = build_costs().set_index("component")
    unit = unit_costs(build_costs(), labour_rate=labour_rate, downtime_cost=ExampleSettings().downtime_cost)
    total = dict.fromkeys(POLICIES, 0.0)
    for event in plan.tables["events"].itertuples(index=False):
        mild = event.condition_finds + event.planned
        grown = (1.0 + growth) ** ((MONTHS.index(event.month) + 0.5) / 12.0)
        total[event.policy] += event.failures * unit.loc[event.component, "road"] * grown
        total[event.policy] += mild * unit.loc[event.component, "planned"] * grown
    assert set(costs.index) == set(unit.index)
    return pd.Series(total)


def expected_rate(row: Any, *, planned: float, failed: float) -> float:
    """Cost per 1000 at the row's interval, by numerical integration of the survival curve."""
    power = (row.interval / row.scale) ** row.shape
    length, _ = quad(lambda t: np.exp(-((t / row.scale) ** row.shape)), 0, row.interval, epsabs=0, epsrel=1e-12)
    return float(1000 * (planned * np.exp(-power) + failed * -np.expm1(-power)) / length)


def test_a_changed_labour_rate_moves_everything(planner: Path, plan: ExamplePlan, tmp_path: Path) -> None:
    before = expected_totals(plan, labour_rate=72.0)
    after = expected_totals(plan, labour_rate=95.5)
    book = open_book(planner, values=False)
    set_named_input(book, "labour_rate", 95.5)
    changed = tmp_path / "changed.xlsx"
    book.save(changed)
    new = read_book(convert(changed, to="xlsx", folder=tmp_path), values=True)
    old = read_book(planner, values=True)

    for shown, expected in ((old, before), (new, after)):
        budget = rows_below(shown["Budget"], "Policy")
        totals = budget["Total (EUR)"].to_numpy(dtype=float)
        assert totals == pytest.approx(expected[list(POLICIES)].to_numpy(), rel=1e-9)
        assert budget["High, p90 (EUR)"].to_numpy(dtype=float) == pytest.approx(totals * 1.09, rel=1e-9)
        saving = expected["run_to_failure"] - expected["planned"]
        assert budget["Saving against run to failure (EUR)"][1] == pytest.approx(saving, rel=1e-9)
        overview = rows_below(shown["Overview"], "Key figure").set_index("Key figure")["Expected"]
        assert overview["Saving of planned replacement (EUR)"] == pytest.approx(saving, rel=1e-9)

    unit = unit_costs(build_costs(), labour_rate=95.5, downtime_cost=38.0)
    rates = rows_below(new["Intervals"], "Component")["Cost at the interval (EUR per 1000 km)"]
    now = add_intervals(plan.tables["intervals"], unit, service=15000.0, caps={"u_joint": 0.25})
    for index, row in enumerate(now.itertuples(index=False)):
        if np.isnan(row.interval):
            assert rates[index] is None or np.isnan(rates[index])
            continue
        cost = unit.loc[row.component]
        assert rates[index] == pytest.approx(expected_rate(row, planned=cost.planned, failed=cost.average), rel=1e-9)


def test_a_changed_growth_of_prices_moves_the_budget(planner: Path, plan: ExamplePlan, tmp_path: Path) -> None:
    book = open_book(planner, values=False)
    set_named_input(book, "price_growth", 0.25)
    changed = tmp_path / "changed.xlsx"
    book.save(changed)
    new = read_book(convert(changed, to="xlsx", folder=tmp_path), values=True)
    expected = expected_totals(plan, labour_rate=72.0, growth=0.25)
    totals = rows_below(new["Budget"], "Policy")["Total (EUR)"].to_numpy(dtype=float)
    assert totals == pytest.approx(expected[list(POLICIES)].to_numpy(), rel=1e-9)


def test_the_budget_grows_as_the_written_table_does(planner: Path, plan: ExamplePlan) -> None:
    monthly = rows_below(read_book(planner, values=True)["Budget"], "Policy", nth=1)
    written = plan.tables["budget"].set_index(["policy", "month"])["total"]
    order = [(policy, month) for policy in POLICIES for month in MONTHS]
    assert monthly["Total (EUR)"].to_numpy(dtype=float) == pytest.approx(written[order].to_numpy(), rel=1e-12)


def test_savings_and_first_years_stand_as_written(planner: Path, plan: ExamplePlan) -> None:
    sheet = read_book(planner, values=True)["Budget"]
    saving = rows_below(sheet, "Saving of")
    pairs = list(zip(saving["Saving of"], saving["Against"], strict=True))
    assert len({frozenset(pair) for pair in pairs}) == len(pairs) == 6
    codes = {label: code for code, label in POLICY_LABELS.items()}
    written = plan.tables["budget_saving"].set_index(["policy", "against"])
    for row, pair in zip(saving.to_numpy(), pairs, strict=True):
        own = written.loc[tuple(codes[label] for label in pair)]
        assert list(row[2:]) == pytest.approx(own[["mean", "p10", "p50", "p90", "chance_saving"]].to_list())
    first = rows_below(sheet, "Transition to").set_index("Transition to")
    assert first["Backlog renewed"].to_dict() == {
        "Run to failure": "no backlog to renew", "Present practice": "no backlog to renew",
        "Planned replacement": "6 months", "Own policy": "6 months",
    }  # fmt: skip
    year = plan.tables["budget_year"].set_index("policy")["total"]
    assert first.loc["Planned replacement", "First year less long run (EUR)"] == pytest.approx(0.2 * year["planned"])
    assert first.loc["Own policy", "Years to recover"] is None or np.isnan(first.loc["Own policy", "Years to recover"])


def test_vehicles_joining_and_leaving_by_month(planner: Path) -> None:
    table = rows_below(read_book(planner, values=True)["Parts forecast"], "Month ahead")
    # Two classes at three depots: 20, 25 and 30 vehicles each, a quarter of a vehicle leaves a month, one joins.
    joins = [0.0, 0.0, 6.0, *[0.0] * 9]
    assert table["Joining (vehicles)"].iloc[:12].to_list() == pytest.approx(joins)
    assert table["Leaving (vehicles)"].iloc[:12].to_list() == pytest.approx([1.5] * 12)
    expected = 150.0 + np.cumsum(joins) - 1.5 * np.arange(1, 13)
    assert table["In service at its end"].iloc[:12].to_list() == pytest.approx(expected)
    assert table.iloc[12]["Month ahead"] == "All 12 months"
    assert list(table.iloc[12][["Joining (vehicles)", "Leaving (vehicles)"]]) == pytest.approx([6.0, 18.0])


def unlike_plan(plan: ExamplePlan) -> ExamplePlan:
    """The plan where vehicles wear unlike: much, hardly, next to nothing, not at all, and not known."""
    intervals = plan.tables["intervals"].copy()
    codes = intervals["component"].unique()
    variances = dict(zip(codes, (0.4, 0.05, 1e-7, 0.0, np.nan, 1.5), strict=True))
    intervals["frailty_variance"] = intervals["component"].map(variances)
    unit = unit_costs(build_costs(), labour_rate=72.0, downtime_cost=ExampleSettings().downtime_cost)
    intervals = add_intervals(intervals, unit, service=15000.0, caps={"u_joint": 0.25})
    return replace(plan, tables={**plan.tables, "intervals": intervals})


def test_live_cost_rates_where_vehicles_wear_unlike(plan: ExamplePlan, tmp_path: Path) -> None:
    unlike = unlike_plan(plan)
    path = tmp_path / "unlike.xlsx"
    write_planner(unlike, path)
    recalculated = convert(path, to="xlsx", folder=tmp_path)
    assert differences(path, recalculated) == []
    table = rows_below(read_book(recalculated, values=True)["Intervals"], "Component")
    unit = unit_costs(build_costs(), labour_rate=72.0, downtime_cost=ExampleSettings().downtime_cost)
    seen = set()
    for index, row in enumerate(unlike.tables["intervals"].itertuples(index=False)):
        cost = unit.loc[row.component]
        variance = 0.0 if np.isnan(row.frailty_variance) else row.frailty_variance
        assert table["Spread of wear between vehicles (variance)"][index] == variance
        pace = 1.0
        if variance > 1e-6:
            # Each vehicle costs as much as a usual one on a road Z^(1 / shape) times as long; mean over its gamma law.
            law = stats.gamma(1.0 / variance, scale=variance)
            pace = law.expect(lambda z, k=row.shape: z ** (1.0 / k), lb=0.0, ub=float(law.isf(1e-15)))
            seen.add(row.component)
        failure = 1000.0 * cost.average / stats.weibull_min.mean(row.shape, scale=row.scale) * pace
        cell = table["Cost run to failure (EUR per 1000 km)"][index]
        assert cell == pytest.approx(failure, rel=1e-6)
        if np.isfinite(row.interval):
            expected = pace * expected_rate(row, planned=cost.planned, failed=cost.average)
            assert table["Cost at the interval (EUR per 1000 km)"][index] == pytest.approx(expected, rel=1e-6)
    assert len(seen) == 3


def test_the_components_of_the_budget_add_up_after_a_change(planner: Path, tmp_path: Path) -> None:
    book = open_book(planner, values=False)
    set_named_input(book, "part_price_u_joint", 1000.0)
    changed = tmp_path / "changed.xlsx"
    book.save(changed)
    new = read_book(convert(changed, to="xlsx", folder=tmp_path), values=True)
    events = rows_below(new["Budget"], "Policy", nth=2)
    joints = events[events["Component"] == "Universal joint"]
    counts = joints[["Failures on the road", "Found worn at inspection", "Planned replacements"]].sum(axis=1)
    grown = (1.0 + PRICE_GROWTH) ** ((np.tile(np.arange(12), len(POLICIES)) + 0.5) / 12.0)
    expected = counts.astype(float).to_numpy() * 1000.0 * grown
    assert joints["Parts (EUR)"].astype(float).to_numpy() == pytest.approx(expected)
    whole = rows_below(new["Budget"], "Policy")
    assert whole["Parts (EUR)"].sum() == pytest.approx(events["Parts (EUR)"].sum(), rel=1e-9)


def age_replacement_plan(plan: ExamplePlan) -> ExamplePlan:
    """A plan of the published cases: one component each, planned cost 1."""
    codes = [f"case_{i}" for i in range(len(AGE_REPLACEMENT))]
    shape, failed, best, _, _ = (np.array(column) for column in zip(*AGE_REPLACEMENT, strict=True))
    costs = pd.DataFrame({"component": codes, "part_price": 1.0, "failed_extra": failed - 1.0, "source": "case"})
    hours = ("planned_hours", "planned_downtime_hours", "failed_hours", "failed_downtime_hours")
    costs = costs.assign(label=codes, worn_share=0.0, **dict.fromkeys(hours, 0.0))
    intervals = pd.DataFrame(
        {"component": codes, "duty": "any", "lift": 0.0, "shape": shape, "scale": 1.0, "interval": best}
    )
    return replace(plan, tables={"costs": costs, "intervals": intervals}, settings=ExampleSettings(components={}))


def test_live_cost_rates_match_published_age_replacement(plan: ExamplePlan, tmp_path: Path) -> None:
    path = tmp_path / "cases.xlsx"
    write_planner(age_replacement_plan(plan), path)
    table = rows_below(read_book(convert(path, to="xlsx", folder=tmp_path), values=True)["Intervals"], "Component")
    rate = table["Cost at the interval (EUR per 1000 km)"].to_numpy(dtype=float) / 1000
    failure = table["Cost run to failure (EUR per 1000 km)"].to_numpy(dtype=float) / 1000
    found = table["Recommended interval (km)"].to_numpy(dtype=float)
    assert found == pytest.approx([case[2] for case in AGE_REPLACEMENT], abs=2e-6)
    saving = table["Saving against run to failure (%)"].to_numpy(dtype=float)
    assert rate == pytest.approx([case[3] for case in AGE_REPLACEMENT], abs=2e-6)
    assert failure == pytest.approx([case[4] for case in AGE_REPLACEMENT], abs=2e-6)
    assert saving == pytest.approx([1 - case[3] / case[4] for case in AGE_REPLACEMENT], abs=2e-6)


def test_an_interval_of_ones_own_is_priced(plan: ExamplePlan, tmp_path: Path) -> None:
    # Shape 2.8, scale 60 000, costs 40 and 200: best at 29 839.889, cost rate 0.0021236820 (same equation).
    costs = pd.DataFrame({"component": ["case"], "part_price": 40.0, "failed_extra": 160.0, "worn_share": 0.0})
    hours = ("planned_hours", "planned_downtime_hours", "failed_hours", "failed_downtime_hours")
    intervals = pd.DataFrame({"component": ["case"], "duty": "any", "lift": 0.0, "shape": 2.8, "scale": 60000.0})
    tables = {"costs": costs.assign(label="Case", source="case", **dict.fromkeys(hours, 0.0)), "intervals": intervals}
    path = tmp_path / "own.xlsx"
    write_planner(replace(plan, tables=tables, settings=ExampleSettings(components={})), path)
    book = open_book(path, values=False)
    sheet = book["Intervals"]
    own = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Own interval to try (km)")
    sheet.cell(own.row + 1, own.column).value = 29839.889
    tried = tmp_path / "tried.xlsx"
    book.save(tried)
    table = rows_below(read_book(convert(tried, to="xlsx", folder=tmp_path), values=True)["Intervals"], "Component")
    assert table["Cost at own interval (EUR per 1000 km)"][0] == pytest.approx(2.1236820, abs=5e-8)
    # The tool moves it to a service, which costs next to nothing more.
    assert table["Recommended interval (km)"][0] == 30000.0
    assert table["Cost at the interval (EUR per 1000 km)"][0] == pytest.approx(2.1237, abs=2e-4)


def test_no_number_is_too_wide_for_its_cell_on_paper(planner: Path, tmp_path: Path) -> None:
    pdftotext = require_program("pdftotext")
    pdf = convert(planner, to="pdf", folder=tmp_path)
    text = subprocess.run([pdftotext, "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    assert "Driveline wear planner" in text
    assert "###" not in text
