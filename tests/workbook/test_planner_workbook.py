"""The planner workbook as a file: sheets, cached values, hostile text, units, print setup, refusals."""

import re
import zipfile
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from planner_example import ExamplePlan, ExampleSettings, build_example_plan
from python_calamine import CalamineWorkbook
from questions_example import HOSTILE
from recalculation import formula_cells, read_book

from wearmodel.errors import OutputError
from workbook.planner import write_planner

SHEETS = [
    *("Read first", "Overview", "Due list", "Visits", "Intervals", "Life curves", "How lives end"),
    *("Raised and factory", "Part makes", "Ride height and angles", "Parts forecast", "Stock", "Budget"),
    *("Forecast and record", "Assumptions", "Mean replacements", "Model checks", "Set aside", "To settle", "Typed in"),
    *("Interval workings", "Lead-time demand", "Curve laws", "Chart data", "Lists"),
]
FUNCTIONS = [
    {
        "name": "WEAR_SURVIVAL",
        "arguments": "component, age",
        "answer": "Share still good at an age.",
        "example": '=WEAR_SURVIVAL("u_joint", 100000)',
    }
]
# Each is computed by Excel 2016 and by LibreOffice 7.
KNOWN_FUNCTIONS = {
    "RANK",
    *("IF", "COUNT", "COUNTA", "ISNUMBER", "SUM", "SUMIFS", "COUNTIF", "DATE", "N", "EXP", "GAMMALN"),
    *("ABS", "AND", "OR", "NOT", "EXACT", "INDEX", "INT", "LN", "LOG10", "MATCH", "MAX", "MIN", "ROW", "ROWS", "SQRT"),
    "SUMPRODUCT",
    "_xlfn.GAMMA.DIST",
}


@pytest.fixture(scope="module")
def plan() -> ExamplePlan:
    return build_example_plan()


@pytest.fixture(scope="module")
def planner(plan: ExamplePlan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("planner") / "planner.xlsx"
    write_planner(plan, path)
    return path


def all_text(path: Path, sheet: str) -> str:
    rows = read_book(path, values=True)[sheet].iter_rows(values_only=True)
    return "\n".join(str(value) for row in rows for value in row if value is not None)


def test_sheets_stand_in_order(planner: Path) -> None:
    assert read_book(planner, values=True).sheetnames == SHEETS


def test_functions_get_a_sheet_only_when_given(plan: ExamplePlan, tmp_path: Path) -> None:
    path = tmp_path / "planner.xlsx"
    write_planner(plan, path, functions=FUNCTIONS)
    book = read_book(path, values=False)
    assert book.sheetnames == [*SHEETS[:-5], "Functions", *SHEETS[-5:]]
    examples = [cell for row in book["Functions"].iter_rows() for cell in row if cell.value == FUNCTIONS[0]["example"]]
    assert [cell.data_type for cell in examples] == ["s"]


def test_every_formula_has_a_cached_value(planner: Path) -> None:
    values = read_book(planner, values=True)
    formulas = list(formula_cells(planner))
    assert len(formulas) > 2000
    # Only a formula that can answer with an empty text may have nothing to show.
    bare = [f for f in formulas if values[f[0]][f[1]].value is None and '""' not in f[2]]
    assert bare == []


def test_no_cached_value_is_an_error(planner: Path) -> None:
    values = read_book(planner, values=True)
    cached = [values[sheet][cell].value for sheet, cell, _ in formula_cells(planner)]
    assert [v for v in cached if isinstance(v, str) and v.startswith("#")] == []


def test_only_functions_that_both_spreadsheet_programs_know(planner: Path) -> None:
    used = {name for _, _, f in formula_cells(planner) for name in re.findall(r"([A-Za-z_.]+)\(", f)}
    assert used <= KNOWN_FUNCTIONS
    assert "_xlfn.GAMMA.DIST" in used


def test_text_that_looks_like_a_formula_stays_text(planner: Path) -> None:
    book = read_book(planner, values=False)
    found = {"=1+1": 0, HOSTILE: 0, "@SUM(A1:A9)": 0}
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value in found:
                    found[cell.value] += 1
                    assert cell.data_type == "s"
                    assert cell.quotePrefix
    assert min(found.values()) >= 1
    assert not any("HYPERLINK" in formula for _, _, formula in formula_cells(planner))


def test_a_hostile_label_reaches_no_chart_as_a_reference(plan: ExamplePlan, tmp_path: Path) -> None:
    bad = "=[evil.xlsx]Sheet1!$A$1"
    components = {"u_joint": SimpleNamespace(code="u_joint", label=bad, clock="=km")}
    settings = ExampleSettings(components=components, currency="=EUR", distance_unit="=km")
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, settings=settings, folder_name="&A=1"), path)
    with zipfile.ZipFile(path) as archive:
        charts = [archive.read(n).decode() for n in archive.namelist() if n.startswith("xl/charts/chart")]
    references = [r for chart in charts for r in re.findall(r"<c:f>(.*?)</c:f>", chart)]
    assert len(charts) >= 15
    assert [r for r in references if not re.match(r"'?(Chart data|Budget)'?!", r)] == []
    assert any(bad.replace("!", "! ") in chart for chart in charts)


def test_an_oversized_text_is_cut_and_says_so(planner: Path) -> None:
    longest = max(
        (str(v) for row in read_book(planner, values=True)["Set aside"].iter_rows(values_only=True) for v in row),
        key=len,
    )
    assert len(longest) == 32767
    assert longest.endswith("(cut: the cell limit is 32,767 characters)")


def test_text_that_is_no_valid_unicode_is_written(plan: ExamplePlan, tmp_path: Path) -> None:
    rows = plan.tables["set_aside"].head(2).assign(value=["\ud800 lone", "\x00\x07 control"])
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={**plan.tables, "set_aside": rows}), path)
    assert "\ufffd lone" in all_text(path, "Set aside")


def test_identifiers_keep_their_zeros(planner: Path, plan: ExamplePlan) -> None:
    cells = [row[0] for row in read_book(planner, values=True)["Due list"].iter_rows(min_row=6, values_only=True)]
    assert sorted(c for c in cells if c is not None) == sorted(plan.tables["due"]["unit"])


def test_due_list_can_be_sorted_by_money_at_stake(planner: Path, plan: ExamplePlan) -> None:
    sheet = read_book(planner, values=True)["Due list"]
    headers = [str(cell.value) for cell in sheet[5]]
    at = headers.index("Money at stake within 12 months (EUR)")
    first, last = sheet.auto_filter.ref.split(":")
    assert sheet[first].column <= at + 1 <= sheet[last].column
    shown = [row[at] for row in sheet.iter_rows(min_row=6, values_only=True)]
    np.testing.assert_allclose(shown, plan.tables["due"]["money_at_stake"])


def test_visits_by_date_with_their_sums(planner: Path, plan: ExamplePlan) -> None:
    sheet = read_book(planner, values=True)["Visits"]
    rows = list(sheet.iter_rows(values_only=True))
    top = next(i for i, row in enumerate(rows) if row[0] == "Unit")
    assert "replaced on its condition" in str(rows[2][0])
    visits = plan.tables["visits"]
    shown = rows[top + 1 : top + 1 + len(visits)]
    dates = [row[1] for row in shown]
    assert dates == sorted(dates) and dates == [stamp.to_pydatetime() for stamp in visits["date"]]
    total = rows[top + 1 + len(visits)]
    assert total[0] == "All visits"
    saving = next(i for i, head in enumerate(rows[top]) if str(head).startswith("Saved against separate"))
    assert total[saving] == pytest.approx(visits["saving"].sum())
    below = [str(row[0]) for row in rows[top + 2 + len(visits) :] if row[0]]
    assert "What renewing together is worth in the long run" in below


def test_due_list_keeps_the_order_of_urgency(planner: Path, plan: ExamplePlan) -> None:
    sheet = read_book(planner, values=True)["Due list"]
    header = [cell.value for cell in sheet[5]]
    column = header.index("Due date")
    dates = [row[column] for row in sheet.iter_rows(min_row=6, values_only=True)]
    assert dates == plan.tables["due"]["due_date"].tolist()


def test_headers_carry_units(planner: Path) -> None:
    book = read_book(planner, values=True)
    expected = {
        "Due list": ["Age (km)", "Lift (mm)", "Chance of failing within 12 months (%)"],
        "Intervals": ["Recommended interval (km)", "Cost at the interval (EUR per 1000 km)", "Lift (mm)"],
        "Raised and factory": ["Joint angle (deg)", "Extra cost of raised (EUR per 1000 km)"],
        "Ride height and angles": ["Lift (mm)", "Angle (deg)", "Critical speed (rpm)", "Torsional stress (MPa)"],
        "Stock": ["Lead time (days)", "Value of the order (EUR)"],
        "Budget": ["Parts (EUR)", "Total (EUR)", "Saving (%)"],
        "Assumptions": ["Part price (EUR)", "Planned: labour (h)"],
    }
    for sheet, headers in expected.items():
        cells = {value for row in book[sheet].iter_rows(values_only=True) for value in row}
        assert set(headers) <= cells, sheet


def test_safety_cautions_come_first(planner: Path) -> None:
    text = all_text(planner, "Read first").casefold()
    for words in ("worn, noisy or loose", "rated stands", "rotating shafts", "ride height", "local codes"):
        assert words in text


def test_reconciliation_is_checked_live(planner: Path, plan: ExamplePlan, tmp_path: Path) -> None:
    assert all_text(planner, "Read first").split("\n").count("agrees") == 4
    wrong = plan.tables["reconciliation"].assign(set_aside=[120, 3, 0, 0])
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={**plan.tables, "reconciliation": wrong}), path)
    assert "DIFFERS" in all_text(path, "Read first")


def test_inputs_are_named_and_guarded(planner: Path) -> None:
    book = read_book(planner, values=False)
    names = set(book.defined_names)
    rates = {"labour_rate", "downtime_cost", "price_growth", "service_interval", "service_level"}
    assert rates | {"part_price_u_joint", "failed_hours_support_bearing"} <= names
    assert len(book["Assumptions"].data_validations.dataValidation) >= 9
    assert len(book["Intervals"].data_validations.dataValidation) == 1


def test_hostile_component_codes_still_get_valid_names(plan: ExamplePlan, tmp_path: Path) -> None:
    codes = {"u_joint": "a b!", "cv_joint_outboard": "A_B!", "support_bearing": ""}
    tables = {
        name: frame.assign(component=frame["component"].replace(codes)) if "component" in frame else frame
        for name, frame in plan.tables.items()
    }
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables=tables), path)
    names = [n.casefold() for n in read_book(path, values=False).defined_names]
    assert len(names) == len(set(names)) == 5 + 6 * 10


def test_sheets_print_landscape_with_repeated_headers(planner: Path) -> None:
    book = read_book(planner, values=False)
    upright = {sheet.title for sheet in book.worksheets if sheet.page_setup.orientation != "landscape"}
    assert upright == {"Read first"}
    assert book["Overview"].sheet_properties.pageSetUpPr.fitToPage
    assert book["Due list"].print_title_rows == "$5:$5"
    assert book["Due list"].freeze_panes == "C6"
    assert book["Due list"].auto_filter.ref.startswith("A5:")


@pytest.mark.parametrize(
    ("table", "sheet", "sentence"),
    [
        ("due", "Due list", "No part can be listed as due"),
        ("visits", "Visits", "No visit is planned"),
        ("intervals", "Intervals", "No replacement interval can be given"),
        ("curves", "Life curves", "No life curve can be drawn"),
        ("endings", "How lives end", "No way that lives end can be shown"),
        ("comebacks", "How lives end", "No comebacks can be counted"),
        ("clocks", "How lives end", "No clocks can be compared"),
        ("compare", "Raised and factory", "No comparison can be made"),
        ("angles", "Raised and factory", "No joint angles can be shown"),
        ("compare_makes", "Part makes", "No makes can be compared"),
        ("ride_heights", "Ride height and angles", "No joint angles can be shown"),
        ("shaft_checks", "Ride height and angles", "No shaft can be checked"),
        ("forecast", "Parts forecast", "No parts can be forecast"),
        ("stock", "Stock", "No stock advice can be given"),
        ("events", "Budget", "No budget can be given"),
        ("costs", "Assumptions", "There are no costs to edit"),
        ("mcf", "Mean replacements", "No mean can be shown"),
        ("set_aside", "Set aside", "Every input row was used as given"),
        ("review", "To settle", "Nothing is left to settle"),
        ("reconciliation", "Read first", "no counts of input rows"),
        ("assumptions", "Assumptions", "no further assumptions"),
    ],
)
def test_an_empty_table_leaves_a_sentence(
    plan: ExamplePlan, tmp_path: Path, table: str, sheet: str, sentence: str
) -> None:
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={**plan.tables, table: plan.tables[table].iloc[:0]}), path)
    book = CalamineWorkbook.from_path(str(path))
    assert book.sheet_names == SHEETS
    assert sentence in "\n".join(str(cell) for row in book.get_sheet_by_name(sheet).to_python() for cell in row)


@pytest.mark.parametrize("table", ["forecast_total", "budget", "budget_year", "fits", "laws", "lead_demand"])
def test_a_table_that_only_adds_may_be_missing(plan: ExamplePlan, tmp_path: Path, table: str) -> None:
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={k: v for k, v in plan.tables.items() if k != table}), path)
    assert CalamineWorkbook.from_path(str(path)).sheet_names == SHEETS


def test_a_plan_of_nothing_is_still_a_workbook(plan: ExamplePlan, tmp_path: Path) -> None:
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={}, notes=(), months=()), path)
    assert read_book(path, values=True).sheetnames == SHEETS
    assert all_text(path, "Overview").split("\n").count("not known") == 4


def test_nothing_known_is_blank(plan: ExamplePlan, tmp_path: Path) -> None:
    stock = plan.tables["stock"].head(1).assign(lead_time_days=np.nan, shortage_date="", unit_price=np.inf)
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={**plan.tables, "stock": stock}), path)
    sheet = read_book(path, values=True)["Stock"]
    shown = dict(zip([c.value for c in sheet[5]], [c.value for c in sheet[6]], strict=True))
    for header in ("Lead time (days)", "Runs short in (month)", "Unit price (EUR)"):
        assert shown[header] is None


def test_components_without_a_price_are_counted_as_left_out(plan: ExamplePlan, tmp_path: Path) -> None:
    costs = plan.tables["costs"].copy()
    costs.loc[[0, 3], "part_price"] = np.nan
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={**plan.tables, "costs": costs}), path)
    rows = list(read_book(path, values=True)["Budget"].iter_rows(min_row=1, max_row=8, values_only=True))
    line = next(row for row in rows if row[0] and str(row[0]).startswith("Components left out"))
    assert line[4] == 2


def test_a_component_without_costs_is_named(plan: ExamplePlan, tmp_path: Path) -> None:
    costs = plan.tables["costs"].iloc[1:]
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={**plan.tables, "costs": costs}), path)
    assert "no costs are given: Universal joint" in all_text(path, "Budget")


def test_the_same_plan_gives_the_same_file(plan: ExamplePlan, tmp_path: Path, planner: Path) -> None:
    path = tmp_path / "again.xlsx"
    write_planner(plan, path)
    assert path.read_bytes() == planner.read_bytes()


def test_a_missing_folder_is_refused(plan: ExamplePlan, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="cannot be written"):
        write_planner(plan, tmp_path / "absent" / "planner.xlsx")


def test_a_folder_as_target_is_refused(plan: ExamplePlan, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="is a folder"):
        write_planner(plan, tmp_path)


def test_a_failed_run_leaves_the_old_file_and_no_other(plan: ExamplePlan, tmp_path: Path) -> None:
    path = tmp_path / "planner.xlsx"
    path.write_bytes(b"old")
    broken = replace(plan, model=None)
    with pytest.raises(AttributeError):
        write_planner(broken, path)
    assert [p.name for p in tmp_path.iterdir()] == ["planner.xlsx"]
    assert path.read_bytes() == b"old"
