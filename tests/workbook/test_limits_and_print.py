"""Sheets of a large fleet say what they leave out; every sheet prints legibly, on few pages."""

import re
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from openpyxl.utils import range_boundaries
from planner_example import ExamplePlan, build_example_plan
from recalculation import convert, differences, read_book, require_program

from workbook.function_list import function_rows
from workbook.planner import due_list, how_lives_end, mean_replacements, records, visits, write_planner
from workbook.planner.typed import TypedIn
from workbook.print_out import write_pdf
from workbook.typed_cells import read_typed

#: A4 across between the margins, and upright, at full size [pixel of 1/96 inch].
ACROSS, UPRIGHT = 1045, 717
#: Of a font of 10 points, with the longest texts of a hostile record; of the widest sheets, with a cap on road failures
#: and questions of every kind.
LEAST_SCALE, LEAST_OF_WIDEST = 0.55, 0.52


@pytest.fixture(scope="module")
def plan() -> ExamplePlan:
    return build_example_plan()


@pytest.fixture(scope="module")
def planner(plan: ExamplePlan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("print") / "planner.xlsx"
    write_planner(plan, path, functions=function_rows())
    return path


@pytest.fixture
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    """Limits so low that the example is a large fleet."""
    for module, name, most in (
        (due_list, "MOST_DUE", 4), (visits, "MOST_VISITS", 2), (records, "MOST_SET_ASIDE", 3),
        (how_lives_end, "_MOST_PARTS", 2), (mean_replacements, "_FULL_TABLE", 4), (mean_replacements, "_ROWS_EACH", 2),
    ):  # fmt: skip
        monkeypatch.setattr(module, name, most)


def lines(path: Path, sheet: str) -> list[str]:
    """What stands in the first column."""
    return [str(row[0]) for row in read_book(path, values=True)[sheet].iter_rows(values_only=True) if row[0]]


def body(path: Path, sheet: str, heading: str) -> list[tuple[Any, ...]]:
    """Rows below a heading of the first column, to the next blank one."""
    rows = list(read_book(path, values=True)[sheet].iter_rows(values_only=True))
    top = next(i for i, row in enumerate(rows) if row[0] == heading)
    return rows[top + 1 : next((i for i in range(top + 1, len(rows)) if rows[i][0] is None), len(rows))]


@pytest.mark.parametrize("folder", ["", "results/june"])
@pytest.mark.usefixtures("short")
def test_each_limited_sheet_says_how_many_and_where_the_rest_is(
    plan: ExamplePlan, tmp_path: Path, folder: str
) -> None:
    path = tmp_path / "planner.xlsx"
    write_planner(plan, path, tables_folder=Path(folder) if folder else None)
    shown = {
        ("Due list", "due"): (4, len(plan.tables["due"]), "the most urgent first"),
        ("Visits", "visits"): (2, len(plan.tables["visits"]), "by date"),
        ("Set aside", "set_aside"): (3, len(plan.tables["set_aside"]), "table by table and row by row"),
    }
    where = "All of them are in {}.csv in the folder results/june." if folder else (
        "All of them come in {}.csv when 'wearmodel plan' is given --tables and a folder."
    )
    for (sheet, table), (some, all_rows, order) in shown.items():
        assert all_rows > some
        said = f"Shown: {some:,} of {all_rows:,} rows, {order}. {where.format(table)}"
        assert said in lines(path, sheet), (sheet, lines(path, sheet)[:6])
    for sheet, table in (("How lives end", "comebacks"), ("Mean replacements", "mcf")):
        said = rf"Shown: [\d,]+ of [\d,]+ rows, [^.]+\. {re.escape(where.format(table))}"
        assert any(re.fullmatch(said, line) for line in lines(path, sheet)), sheet
    assert len(body(path, "Due list", "Unit")) == 4
    assert len(body(path, "Set aside", "File")) == 3
    assert body(path, "Visits", "Unit")[2][0] == "Visits shown"


@pytest.mark.usefixtures("short")
def test_a_cut_list_changes_no_figure_and_loses_no_note(plan: ExamplePlan, tmp_path: Path) -> None:
    due = plan.tables["due"]
    last = due.iloc[-1]
    typed = TypedIn(notes={("Due list", (str(last["unit"]), str(last["position"]))): "ask the driver"})
    path = tmp_path / "planner.xlsx"
    write_planner(plan, path, typed=typed)
    overview = {row[0]: row[1] for row in read_book(path, values=True)["Overview"].iter_rows(values_only=True)}
    for label, action in (("now", "replace now"), ("at the next service", "replace at next service")):
        assert overview[f"Parts to replace {label}"] == (due["action"] == action).sum()
    assert (due["action"] == "replace at next service").sum() > 4 - (due["action"] == "replace now").sum()
    assert "ask the driver" in read_typed(path).notes.values()
    assert differences(path, convert(path, to="xlsx", folder=tmp_path)) == []


def test_a_fleet_within_the_limits_is_told_nothing(planner: Path) -> None:
    for sheet in ("Due list", "Visits", "Set aside", "To settle"):
        assert not [line for line in lines(planner, sheet) if line.startswith("Shown:")]


def printed(sheet: Any) -> tuple[int, int, int, int]:
    """First column, first row, last column, last row on paper."""
    area = str(sheet.print_area or sheet.dimensions).rpartition("!")[2].replace("$", "")
    return range_boundaries(area)


def test_every_sheet_is_legible_on_paper(planner: Path) -> None:
    for sheet in read_book(planner, values=False).worksheets:
        left, _, right, _ = printed(sheet)
        widths: dict[int, float] = {}
        for found in sheet.column_dimensions.values():
            widths |= dict.fromkeys(range(found.min, found.max + 1), 0.0 if found.hidden else 7.0 * found.width)
        across = sum(widths.get(column, 64.0) for column in range(left, right + 1))
        scale = (ACROSS if sheet.page_setup.orientation == "landscape" else UPRIGHT) / across
        if not sheet.sheet_properties.pageSetUpPr or not sheet.sheet_properties.pageSetUpPr.fitToPage:
            scale = min(scale, sheet.page_setup.scale / 100.0)
        least = LEAST_OF_WIDEST if sheet.title == "To settle" else LEAST_SCALE
        assert scale >= least, (sheet.title, across)


def test_paper_holds_what_is_to_be_done(planner: Path, plan: ExamplePlan) -> None:
    book = read_book(planner, values=True)
    due = book["Due list"]
    _, _, right, bottom = printed(due)
    heads = [cell.value for cell in due[5]][:right]
    assert {"Unit", "Action", "Due date", "Reason", "Your note"} <= set(heads)
    action = heads.index("Action")
    on_paper = [row[action] for row in due.iter_rows(min_row=6, max_row=bottom, values_only=True)]
    wanted = plan.tables["due"]["action"]
    assert on_paper == wanted[wanted != "no action yet"].tolist()
    for name in ("Chart data", "Lists"):
        assert printed(book[name])[3] == 2
    months = [row[0] for row in book["Budget"].iter_rows(max_row=printed(book["Budget"])[3], values_only=True)]
    assert "Month by month" in months
    assert not [text for text in months if str(text).startswith("Workings")]


def test_pdf_holds_overview_and_due_list_alone(plan: ExamplePlan, tmp_path: Path) -> None:
    require_program("soffice")
    program = require_program("pdftotext")
    write_pdf(plan, tmp_path / "two.pdf")
    text = subprocess.run(
        [program, "-layout", str(tmp_path / "two.pdf"), "-"], check=True, capture_output=True, text=True
    ).stdout
    sheets = [re.findall(r"as of 2026-\d\d-\d\d +(.*?) +Page \d+ of", page) for page in text.split("\f")[:-1]]
    assert {sheet for (sheet,) in sheets} == {"Overview", "Due list"}
    assert "Reason" in text


def test_a_column_that_no_question_asks_for_is_hidden(plan: ExamplePlan, tmp_path: Path) -> None:
    review = plan.tables["review"]
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables={"review": review[review["kind"] == "position"]}), path)
    sheet = read_book(path, values=False)["To settle"]
    heads = {cell.value: cell.column_letter for row in sheet.iter_rows(max_row=12) for cell in row if cell.value}
    assert not sheet.column_dimensions[heads["Position"]].hidden
    assert sheet.column_dimensions[heads["Reason"]].hidden
