"""What a person types into a planner comes back in the next one, clashes are told, and bad figures are refused."""

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from planner_example import ExamplePlan, build_example_plan
from recalculation import convert, differences, open_book

from wearmodel.errors import InputError
from workbook.planner import write_planner
from workbook.typed_cells import read_typed

TYPED = [
    # sheet, headings of the row, heading typed under, what is typed
    ("Assumptions", ("Rate",), "Value", 99.5),
    ("Due list", ("Unit", "Position"), "Your note", '=HYPERLINK("x") look at it'),
    ("Stock", ("Part number", "Depot"), "Your note", "supplier late"),
    ("To settle", ("Key",), "Your note", "ask the shop"),
    ("Intervals", ("Component", "Duty"), "Own interval to try", 60000),
    ("Life curves", ("Look up",), "Your choice", "Inboard CV joint"),
]


@pytest.fixture(scope="module")
def plan() -> ExamplePlan:
    return build_example_plan()


def first_row(sheet: Any, keys: tuple[str, ...], heading: str) -> tuple[Any, Any]:
    """The cells that tell the first row of a table, and the cell under the heading in it."""
    rows = sheet.iter_rows()
    for row in rows:
        texts = [str(cell.value or "") for cell in row]
        at = next((i for i, text in enumerate(texts) if text.startswith(heading)), None)
        if at is not None and all(key in texts for key in keys):
            below = next(rows)
            return [below[texts.index(key)].value for key in keys], below[at]
    raise AssertionError(f"no column {heading} beside {keys}")


def typed_into(source: Path, target: Path, entries: list[tuple[str, tuple[str, ...], str, Any]]) -> Path:
    book = open_book(source, values=False)
    for sheet, keys, heading, value in entries:
        _, cell = first_row(book[sheet], keys, heading)
        cell.value = value
        if isinstance(value, str):
            cell.data_type = "s"
    book.save(target)
    return target


@pytest.fixture(scope="module")
def edited(plan: ExamplePlan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("typed")
    write_planner(plan, folder / "first.xlsx")
    return typed_into(folder / "first.xlsx", folder / "edited.xlsx", TYPED)


def test_everything_typed_stands_in_the_next_workbook(plan: ExamplePlan, edited: Path, tmp_path: Path) -> None:
    assert write_planner(plan, tmp_path / "next.xlsx", typed=read_typed(edited)) == ()
    before, after = open_book(edited, values=False), open_book(tmp_path / "next.xlsx", values=False)
    for sheet, keys, heading, value in TYPED:
        row, cell = first_row(after[sheet], keys, heading)
        assert row == first_row(before[sheet], keys, heading)[0]
        assert cell.value == value
        assert cell.data_type == ("s" if isinstance(value, str) else "n")
    assert read_typed(tmp_path / "next.xlsx") == read_typed(edited)


def test_an_edited_planner_recalculates_without_difference(plan: ExamplePlan, edited: Path, tmp_path: Path) -> None:
    write_planner(plan, tmp_path / "next.xlsx", typed=read_typed(edited))
    assert differences(tmp_path / "next.xlsx", convert(tmp_path / "next.xlsx", to="xlsx", folder=tmp_path)) == []


def test_a_clash_with_the_fleet_folder_is_told_and_the_typed_figure_stays(
    plan: ExamplePlan, edited: Path, tmp_path: Path
) -> None:
    changed = replace(plan, settings=replace(plan.settings, labour_rate=111.0))
    (conflict,) = write_planner(changed, tmp_path / "next.xlsx", typed=read_typed(edited))
    assert "99.5 was typed" in conflict
    assert "from 72 to 111" in conflict
    book = open_book(tmp_path / "next.xlsx", values=False)
    assert first_row(book["Assumptions"], ("Rate",), "Value")[1].value == 99.5
    assert conflict in [cell.value for row in book["Typed in"].iter_rows() for cell in row]


def test_an_input_nobody_touched_follows_the_fleet_folder(plan: ExamplePlan, edited: Path, tmp_path: Path) -> None:
    changed = replace(plan, settings=replace(plan.settings, downtime_cost=4321.0))
    assert write_planner(changed, tmp_path / "next.xlsx", typed=read_typed(edited)) == ()
    assert read_typed(tmp_path / "next.xlsx").inputs["downtime_cost"].value == 4321.0


def test_a_note_whose_row_is_gone_is_kept_and_finds_its_row_again(
    plan: ExamplePlan, edited: Path, tmp_path: Path
) -> None:
    typed = read_typed(edited)
    empty = {name: plan.tables[name].iloc[:0] for name in ("due", "stock")}
    gone = replace(plan, tables={**plan.tables, **empty})
    write_planner(gone, tmp_path / "gone.xlsx", typed=typed)
    kept = read_typed(tmp_path / "gone.xlsx")
    assert kept.notes == typed.notes
    write_planner(plan, tmp_path / "again.xlsx", typed=kept)
    book = open_book(tmp_path / "again.xlsx", values=False)
    assert first_row(book["Stock"], ("Part number", "Depot"), "Your note")[1].value == "supplier late"


@pytest.mark.parametrize("value", ["cheap", -5, "1,000"])
def test_a_figure_that_is_none_is_refused_with_its_cell(edited: Path, tmp_path: Path, value: object) -> None:
    path = typed_into(edited, tmp_path / "bad.xlsx", [("Assumptions", ("Rate",), "Value", value)])
    with pytest.raises(InputError, match="sheet Assumptions, row 'Labour rate', column 'Value'"):
        read_typed(path)


@pytest.mark.parametrize(
    ("sheet", "keys", "heading", "value", "rule"),
    [
        ("Assumptions", ("Part number",), "Lead time (days)", -3, "a number of days from 0 to 3,650"),
        ("Assumptions", ("Part number",), "Lead time (days)", "two weeks", "a number of days from 0 to 3,650"),
    ],
)
def test_a_lead_time_that_is_none_is_refused_with_its_cell(
    edited: Path, tmp_path: Path, sheet: str, keys: tuple[str, ...], heading: str, value: object, rule: str
) -> None:
    path = typed_into(edited, tmp_path / "bad.xlsx", [(sheet, keys, heading, value)])
    with pytest.raises(InputError, match=f"sheet {sheet}, row 'PN-001', column .+: '.+' is not {rule}"):
        read_typed(path)


@pytest.mark.parametrize(
    ("row", "value", "rule"),
    [
        ("Age of the part", "old", "a number of 0 or more"),
        ("Distance ahead", -1, "a number of 0 or more"),
        ("Share failed", 10, "a share from 0.001 to 0.999"),
        ("Ride height above factory (mm)", "high", "a height in millimetres"),
    ],
)
def test_a_look_up_of_no_figure_is_refused_with_its_cell(
    edited: Path, tmp_path: Path, row: str, value: object, rule: str
) -> None:
    book = open_book(edited, values=False)
    cell = next(cells[1] for cells in book["Life curves"].iter_rows() if cells[0].value == row)
    cell.value = value
    book.save(tmp_path / "bad.xlsx")
    with pytest.raises(InputError, match=f"sheet Life curves, row '{re.escape(row)}', .+ is not {rule}"):
        read_typed(tmp_path / "bad.xlsx")


def test_a_service_level_that_is_none_is_refused(edited: Path, tmp_path: Path) -> None:
    book = open_book(edited, values=False)
    sheet, cell = next(iter(book.defined_names["service_level"].destinations))
    book[sheet][cell.replace("$", "")].value = 95
    book.save(tmp_path / "bad.xlsx")
    with pytest.raises(InputError, match=r"row 'Service level of the stock', .+ is not a chance from 0.01 to 0.9999"):
        read_typed(tmp_path / "bad.xlsx")


def test_a_choice_that_is_offered_no_more_gives_way(plan: ExamplePlan, edited: Path, tmp_path: Path) -> None:
    laws = plan.tables["laws"]
    fewer = laws[laws["component"] != "cv_joint_inboard"]
    path = tmp_path / "next.xlsx"
    write_planner(replace(plan, tables={**plan.tables, "laws": fewer}), path, typed=read_typed(edited))
    offered = set(fewer["component"].map({c: spec.label for c, spec in plan.settings.components.items()}))
    assert first_row(open_book(path, values=False)["Life curves"], ("Look up",), "Your choice")[1].value in offered


@pytest.mark.parametrize("value", ["soon", 0, -60000, "60 000", "inf"])
def test_an_own_interval_that_is_none_is_refused_with_its_cell(edited: Path, tmp_path: Path, value: object) -> None:
    keys, heading = ("Component", "Duty"), "Own interval to try"
    path = typed_into(edited, tmp_path / "bad.xlsx", [("Intervals", keys, heading, value)])
    with pytest.raises(InputError, match=f"sheet Intervals, row '.+', column '{heading}': '.+' is not a number above"):
        read_typed(path)
