"""Pictures, prints and carried notes through the command line."""

import openpyxl
import pytest

from wearmodel.cli import main

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:openpyxl")


@pytest.fixture
def fleet(tmp_path):
    folder = tmp_path / "fleet"
    assert main(["simulate", str(folder), "--vehicles", "8", "--years", "4", "--seed", "11", "--clean"]) == 0
    return folder


def test_a_note_and_a_rate_go_into_the_next_workbook_and_pictures_are_drawn(fleet, tmp_path, capsys):
    out, charts = tmp_path / "planner.xlsx", tmp_path / "charts"
    assert main(["plan", str(fleet), "--out", str(out), "--months", "3", "--charts", str(charts)]) == 0
    assert all(path.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n" for path in charts.iterdir())
    assert (charts / "budget_by_month.png").exists()
    book = openpyxl.load_workbook(out)
    due = book["Due list"]
    heading = next(cell for row in due.iter_rows(max_row=12) for cell in row if cell.value == "Your note")
    unit = due.cell(heading.row + 1, 1).value
    due.cell(heading.row + 1, heading.column).value = "ask the driver"
    rate = next(cell for row in book["Assumptions"].iter_rows() for cell in row if cell.value == "Labour rate")
    book["Assumptions"].cell(rate.row, rate.column + 1).value = 81.5
    book.save(out)
    assert main(["plan", str(fleet), "--out", str(out), "--months", "3"]) == 0
    after = openpyxl.load_workbook(out)
    assert after["Assumptions"].cell(rate.row, rate.column + 1).value == 81.5
    notes = {(row[0].value, row[heading.column - 1].value) for row in after["Due list"].iter_rows()}
    assert (unit, "ask the driver") in notes


def test_a_print_of_another_ending_is_refused_before_the_work(fleet, tmp_path, capsys):
    capsys.readouterr()
    assert main(["plan", str(fleet), "--out", str(tmp_path / "p.xlsx"), "--pdf", str(tmp_path / "p.docx")]) == 2
    assert "does not end in .pdf" in capsys.readouterr().err
    assert not (tmp_path / "p.xlsx").exists()
