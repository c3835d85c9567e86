"""CSV files of every common dialect, checked against Python's own csv module and pandas."""

import codecs
import csv
import io

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearmodel.errors import InputError
from wearmodel.intake.cells.delimited_text import UNREADABLE, read_delimited
from wearmodel.intake.fleet import read_fleet


def grid(path, data):
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return read_delimited(path, label=path.name, score=lambda record: sum(cell.startswith("col") for cell in record))


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("quoting", [csv.QUOTE_MINIMAL, csv.QUOTE_ALL])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_dialects_of_python(tmp_path, delimiter, quoting, line_end):
    # Under a bare carriage return Python's writer leaves a line feed in a cell without quotes.
    cell = "one line" if line_end == "\r" else "two\nlines"
    rows = [["col_a", "col_b", "col_c"], ["1", 'say "x"', "a,b;c|d\te"], ["", cell, " spaced "], ["x", "y", ""]]
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, quoting=quoting, lineterminator=line_end).writerows(rows)
    found = grid(tmp_path / "t.csv", out.getvalue())
    assert found.delimiter == delimiter
    assert found.cells.iloc[:, :3].to_numpy().tolist() == rows
    assert (found.cells.iloc[:, 3:] == "").to_numpy().all()


TEXT = st.text(st.characters(exclude_categories=("C", "Z")) | st.sampled_from(' ,;|\t"\n'), max_size=8)


@given(rows=st.lists(st.lists(TEXT, min_size=3, max_size=3), max_size=8))
def test_any_table_written_by_python_comes_back(tmp_path_factory, rows):
    table = [["col_a", "col_b", "col_c"], *rows]
    out = io.StringIO()
    csv.writer(out).writerows(table)
    found = grid(tmp_path_factory.mktemp("csv") / "t.csv", out.getvalue())
    assert found.cells.iloc[:, :3].to_numpy().tolist() == table
    independent = pd.read_csv(io.StringIO(out.getvalue()), dtype=str, na_filter=False, skip_blank_lines=False)
    assert independent.to_numpy().tolist() == rows


@given(text=st.text(st.sampled_from('ab,"\n\r; '), max_size=60))
def test_broken_tables_are_cut_as_python_cuts_them(tmp_path_factory, text):
    """Open quotations, ragged rows and blank lines: cell for cell as csv.reader has them."""
    table = "col_a,col_b,col_c\n" + text
    expected = list(csv.reader(io.StringIO(table, newline="")))
    found = grid(tmp_path_factory.mktemp("csv") / "t.csv", table)
    assert found.delimiter == ","
    width = found.cells.shape[1]
    padded = [row + [""] * (width - len(row)) for row in expected]
    assert found.cells.to_numpy().tolist() == padded
    assert list(found.rows) == list(range(1, len(expected) + 1))


@pytest.mark.parametrize(
    ("encoding", "mark"),
    [
        ("utf-8", b""), ("utf-8", codecs.BOM_UTF8), ("utf-16-le", codecs.BOM_UTF16_LE),
        ("utf-16-be", codecs.BOM_UTF16_BE), ("cp1252", b""),
    ],
)  # fmt: skip
def test_encodings(fleet, encoding, mark):
    fleet.set("repairs", 2, "text", "Gelenk für Zapfwelle – 45 €")
    expected = fleet.read().tables
    (fleet.path / "repairs.csv").write_bytes(mark + fleet.text("repairs").encode(encoding))
    assert read_fleet(fleet.path).tables["repairs"].equals(expected["repairs"])


@pytest.mark.parametrize("delimiter", [";", "\t", "|"])
def test_a_fleet_in_another_delimiter(fleet, delimiter):
    fleet.set("repairs", 2, "text", "one, two, three, four; five | six")
    expected = fleet.read().tables
    for table in fleet.rows:
        (fleet.path / f"{table}.csv").write_text(fleet.text(table, delimiter), newline="")
    found = read_fleet(fleet.path).tables
    assert all(found[name].equals(expected[name]) for name in expected)


def test_decimal_commas_between_semicolons(fleet):
    expected = fleet.read().tables["repairs"]
    fleet.column("repairs", "parts_cost", lambda cell: cell.replace(".", ","))
    fleet.column("repairs", "odometer", lambda cell: f"{int(cell):,}".replace(",", "."))
    (fleet.path / "repairs.csv").write_text(fleet.text("repairs", ";"), newline="")
    result = read_fleet(fleet.path)
    assert result.tables["repairs"].equals(expected)
    assert any("'10.000' was read as 10000" in note for note in result.notes)


def test_separator_line(fleet):
    expected = fleet.read().tables["readings"]
    (fleet.path / "readings.csv").write_text("sep=;\r\n" + fleet.text("readings", ";"), newline="")
    assert read_fleet(fleet.path).tables["readings"].equals(expected)


def test_row_numbers_are_those_of_a_spreadsheet(fleet):
    """Blank lines count, line ends within a quoted cell do not."""
    lines = fleet.text("repairs").splitlines(keepends=True)
    lines[3] = lines[3].replace("WO002,", '"WO002",').replace(",,UJ-1", ',"two\r\nlines",UJ-1').replace(
        ",,0042", ',"two\r\nlines",0042'
    )
    fleet.write()
    (fleet.path / "repairs.csv").write_text("".join([lines[0], "\r\n", *lines[1:4], ",,,\r\n", *lines[4:]]), newline="")
    repairs = read_fleet(fleet.path).tables["repairs"]
    assert list(repairs["row"][:5]) == [3, 4, 5, 7, 8]
    assert repairs.loc[2, "text"] == "two lines"


def test_blank_rows_are_not_rows_read(fleet):
    fleet.write()
    with (fleet.path / "readings.csv").open("a", newline="") as file:
        file.write(",,\r\n\r\n , ,\r\n")
    counts = read_fleet(fleet.path).counts.set_index("table")
    assert counts.loc["readings", "rows_read"] == 40


def test_row_with_a_cell_too_many(fleet):
    fleet.write()
    lines = fleet.text("repairs").splitlines(keepends=True)
    lines[2] = lines[2].replace("\r\n", ",surplus\r\n")
    (fleet.path / "repairs.csv").write_text("".join(lines), newline="")
    (finding,) = read_fleet(fleet.path).findings
    assert (finding.row, finding.value, finding.used) == (3, "surplus", False)
    assert finding.problem.startswith("the row has 13 cells and the heading row 12; probably a ',' in a text")


@pytest.mark.parametrize("cells", [20, 3000])
def test_row_of_far_too_many_cells(fleet, cells):
    fleet.write()
    with (fleet.path / "readings.csv").open("a", newline="") as file:
        file.write("T-1,2020-01-01,5" + ",x" * cells + "\r\n")
    if cells == 20:
        (finding,) = read_fleet(fleet.path).findings
        assert finding.row == 42
    else:
        with pytest.raises(InputError, match=r"readings.csv has a line of more than 2,048 cells; repair that line"):
            read_fleet(fleet.path)


def test_open_quotation_mark_does_not_swallow_rows_in_silence(fleet):
    fleet.write()
    lines = fleet.text("repairs").splitlines(keepends=True)
    lines[37] = lines[37].replace(",,UJ-1", ',"open,UJ-1').replace(",,0042", ',"open,0042')
    (fleet.path / "repairs.csv").write_text("".join(lines), newline="")
    result = read_fleet(fleet.path)
    (finding,) = result.findings
    assert finding.row == 38 and "holds further rows of the table within one cell" in finding.problem
    assert len(result.tables["repairs"]) == 36


def test_characters_that_are_no_text(fleet):
    fleet.set("repairs", 2, "text", "bell\x07 and\u200b zero\x00")
    fleet.set("repairs", 3, "part_number", "UJ\x00-1")
    result = fleet.read()
    (finding,) = result.findings
    assert (finding.row, finding.column, finding.problem) == (3, "part_number", "holds characters that are not text")
    assert result.tables["repairs"].loc[0, "text"] == "bell and zero"
    assert UNREADABLE not in finding.value or finding.value.isprintable()


def test_formula_text_stays_text(fleet):
    formulas = ["=HYPERLINK(\"http://example.org\")", "+1+1", "@SUM(A1)", "-2+3", "=cmd|' /C calc'!A0"]
    for row, formula in enumerate(formulas, start=2):
        fleet.set("repairs", row, "text", formula)
    assert list(fleet.read().tables["repairs"]["text"][:5]) == formulas


def test_the_two_readers_agree_on_size(tmp_path):
    """A ragged last row sends the whole file through the patient reader: same cells either way."""
    body = "".join(f"{i},{i * i},text {i}\n" for i in range(2000))
    quick = grid(tmp_path / "a.csv", "col_a,col_b,col_c\n" + body)
    patient = grid(tmp_path / "b.csv", "col_a,col_b,col_c\n" + body + "1,2,3" + ",4" * 30 + "\n")
    assert np.array_equal(quick.cells.to_numpy(), patient.cells.to_numpy()[:-1])
