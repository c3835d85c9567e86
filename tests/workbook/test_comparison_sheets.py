"""Sheets "Raised and factory" and "Part makes": tables and sentences are those of the plan."""

from pathlib import Path

import pytest
from planner_example import HOSTILE, build_example_plan, without_tables
from recalculation import open_book

from workbook.planner import write_planner

SHEET = "Raised and factory"


@pytest.fixture(scope="module")
def planner(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("planner") / "planner.xlsx"
    write_planner(build_example_plan(), path)
    return path


def rows_of(path: Path, sheet: str) -> list[tuple[object, ...]]:
    return list(open_book(path, values=True)[sheet].iter_rows(values_only=True))


def body(rows: list[tuple[object, ...]], header: str) -> list[dict[str, object]]:
    """Rows of the table that has this heading, by heading."""
    start = next(i for i, row in enumerate(rows) if header in row)
    names = rows[start]
    found = []
    for row in rows[start + 1 :]:
        if row[0] is None:
            break
        found.append({str(name): value for name, value in zip(names, row, strict=True) if name is not None})
    return found


def test_lives_as_they_are_and_at_factory_height(planner: Path) -> None:
    compare = build_example_plan().tables["compare"]
    table = body(rows_of(planner, SHEET), "At factory height (km)")
    widest = compare.drop_duplicates("component", keep="last").dropna(subset=["life_ratio"])
    assert len(table) == 2 * len(widest)
    first = widest.iloc[0]
    assert table[0]["Figure"] == "Mean life"
    assert table[0]["Of lives"] == f"up to {first['mean_limit']:,.0f} km"
    assert table[0]["Raised (km)"] == pytest.approx(first["mean_raised"])
    assert table[1]["At factory height (km)"] == pytest.approx(first["median_factory"])


def test_extra_cost_stands_with_its_bounds(planner: Path) -> None:
    compare = build_example_plan().tables["compare"]
    table = body(rows_of(planner, SHEET), "Extra cost of raised (EUR per 1000 km)")
    found = [row["Extra cost of raised (EUR per 1000 km)"] for row in table]
    assert found == pytest.approx(compare["extra_cost_per_1000"].tolist())


def test_why_the_crude_ratio_differs_is_said(planner: Path) -> None:
    said = [str(row[0]) for row in rows_of(planner, SHEET) if row[0]]
    assert any(text.endswith("Crude 0.61: they do the harder work.") for text in said)
    assert "No raised vehicle does town work." in said


def test_the_return_is_told_with_all_together_last(planner: Path) -> None:
    table = body(rows_of(planner, SHEET), "Saving a year (EUR)")
    wanted = build_example_plan().tables["return_to_factory"]
    assert [row["Saving a year (EUR)"] for row in table] == wanted["saving"].tolist()
    assert table[-1]["Component"] == "All together"
    assert table[-1]["In words"] == "Saves 2,950 EUR a year"
    assert table[1]["In words"] == "Costs 50 EUR a year"
    assert table[0]["Saving, p90 (EUR)"] == 1_700.0


def test_second_answer_balance_and_steps(planner: Path) -> None:
    rows, tables = rows_of(planner, SHEET), build_example_plan().tables
    weighted = body(rows, "Life ratio, weighted")
    assert weighted[0]["Life ratio, weighted"] == 0.82
    assert weighted[1]["Life ratio, weighted"] is None
    assert [row["Note"] for row in weighted] == tables["compare_weighted"]["note"].tolist()
    balance = body(rows, "Difference, weighted (sd)")
    assert [row["Level"] for row in balance] == ["town", HOSTILE, "north"]
    steps = body(rows, "Life ratio, by steps")
    assert [row["Of"] for row in steps] == ["Lift (mm)", "Lift (mm)", "Joint angle (deg)", "Joint angle (deg)"]
    assert steps[1]["Life ratio, by steps"] == 0.74


def test_makes(planner: Path) -> None:
    table = body(rows_of(planner, "Part makes"), "Held against")
    wanted = build_example_plan().tables["compare_makes"]
    assert [row["Part number"] for row in table] == wanted["make"].tolist()
    assert table[1]["Extra cost (EUR per 1000 km)"] == -0.17
    assert table[1]["In words"] == "Lasts 1.21 times as long as 100-A."
    assert table[0]["Life ratio"] is None


def test_no_formula_comes_from_the_record(planner: Path) -> None:
    book = open_book(planner, values=False)
    for name in (SHEET, "Part makes"):
        cells = [cell for row in book[name].iter_rows() for cell in row if cell.data_type == "f"]
        assert cells == []


def test_without_raised_vehicles_the_sheet_says_so_and_no_more(tmp_path: Path) -> None:
    names = ("compare", "compare_weighted", "balance", "overlap", "dose_response", "return_to_factory")
    path = tmp_path / "planner.xlsx"
    write_planner(without_tables(build_example_plan(), *names), path)
    said = " ".join(str(row[0]) for row in rows_of(path, SHEET) if row[0])
    assert "No comparison can be made" in said
    for heading in ("Why the crude", "A second answer", "went back", "in steps"):
        assert heading not in said
