"""Workbooks: the same tables as CSV, and what a hostile one is refused for."""

import datetime as dt
import io
import re
import zipfile

import openpyxl
import pandas as pd
import pytest
import xlsxwriter

from wearmodel.errors import InputError
from wearmodel.intake.cells import workbook_bounds
from wearmodel.intake.cells.workbook_bounds import PLANNER_MARK, is_planner
from wearmodel.intake.cells.workbook_cells import open_workbook, sheet_grid, sheet_names
from wearmodel.intake.fleet import read_fleet


def without_place(frame):
    return frame.drop(columns="file")


def test_a_workbook_says_the_same_as_csv(fleet, tmp_path):
    expected = fleet.read()
    fleet.path = tmp_path / "book"
    result = read_fleet(fleet.write_workbook())
    for name, table in expected.tables.items():
        assert without_place(result.tables[name]).equals(without_place(table)), name
    assert set(result.tables["repairs"]["file"]) == {"fleet.xlsx sheet repairs"}
    assert (result.as_of, result.findings) == (expected.as_of, expected.findings)


def test_one_workbook_a_table(fleet, tmp_path):
    expected = fleet.read()
    fleet.path = tmp_path / "books"
    fleet.path.mkdir()
    for name in fleet.rows:
        book = openpyxl.Workbook()
        for row in [fleet.headers[name], *fleet.rows[name]]:
            book.active.append(row)
        book.save(fleet.path / f"{name.upper()}.XLSX")
    result = read_fleet(fleet.path)
    for name, table in expected.tables.items():
        assert without_place(result.tables[name]).equals(without_place(table)), name
    assert set(result.tables["stock"]["file"]) == {"STOCK.XLSX"}


def test_named_sheet_of_a_named_workbook(fleet):
    expected = without_place(fleet.read().tables["repairs"])
    rows, headers = fleet.rows.pop("repairs"), fleet.headers["repairs"]
    (fleet.path / "repairs.csv").unlink()
    book = openpyxl.Workbook()
    book.active.title = "Front page"
    sheet = book.create_sheet("Lines")
    for row in [headers, *rows]:
        sheet.append(row)
    book.save(fleet.path / "workorders.xlsx")
    for file, sheet in (("workorders.xlsx", "lines"), ("", "Lines"), ("WorkOrders.xlsx", "Lines")):
        named = f"file = '{file}'\n" if file else ""
        result = fleet.read(f"[tables.repairs]\n{named}sheet = '{sheet}'\n")
        assert without_place(result.tables["repairs"]).equals(expected)
    (problem,) = fleet.problems('[tables.repairs]\nfile = "workorders.xlsx"\nsheet = "Line"\n')
    assert problem == "workorders.xlsx has no sheet 'Line' (nearest: 'Lines'); name it under [tables.repairs]."
    (problem,) = fleet.problems('[tables.repairs]\nsheet = "Rows"\n')
    assert problem.startswith("fleet.toml, key tables.repairs.sheet: no workbook of the folder has a sheet 'Rows'")


def cells(path, sheet=0):
    book = open_workbook(path, label=path.name)
    return sheet_grid(book, sheet_names(book)[sheet], label=path.name).cells


def test_cells_of_every_kind(tmp_path):
    path = tmp_path / "t.xlsx"
    book = openpyxl.Workbook()
    moment = dt.datetime(2026, 6, 30, 14, 5)
    book.active.append(["000123", 123, 123.0, 1.5, True, dt.date(2026, 6, 30), moment, 1e20, "=1+1", None, "#N/A"])
    book.active["A4"] = "below"
    book.create_chartsheet("Chart")
    book.save(path)
    found = cells(path)
    assert found.iloc[0].tolist() == [
        "000123", "123", "123", "1.5", "TRUE", "2026-06-30", "2026-06-30T14:05:00", "1e+20", "", "", "",
    ]  # fmt: skip
    assert found.iloc[:, 0].tolist() == ["000123", "", "", "below"]
    assert sheet_names(open_workbook(path, label="")) == ["Sheet"]


def test_day_numbers_without_a_date_format(fleet, tmp_path):
    fleet.read()
    expected = fleet.read().tables["readings"]["date"]
    fleet.column("readings", "date", lambda d: str((dt.date.fromisoformat(d) - dt.date(1899, 12, 30)).days))
    fleet.path = tmp_path / "book"
    assert read_fleet(fleet.write_workbook()).tables["readings"]["date"].equals(expected)


def test_formula_text_and_cached_results(tmp_path):
    """Text that looks like a formula stays text; of a formula only its stored result is read."""
    path = tmp_path / "t.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    sheet.write_string(0, 0, "=1+1")
    sheet.write_formula(0, 1, "=1+1", value=7)
    book.close()
    assert cells(path).iloc[0].tolist() == ["=1+1", "7"]


def test_row_numbers_are_those_of_the_sheet(fleet, tmp_path):
    fleet.drop("readings")
    fleet.path = tmp_path / "book"
    fleet.write_workbook()
    book = openpyxl.Workbook()
    book.active.title = "readings"
    book.active["C5"], book.active["D5"], book.active["E5"] = "unit", "date", "odometer"
    book.active["C9"], book.active["D9"], book.active["E9"] = "T-1", "2020-01-01", 10000
    book.active["C11"], book.active["D11"], book.active["E11"] = "T-2", "2020-02-01", 11000
    book.save(fleet.path / "readings.xlsx")
    assert list(read_fleet(fleet.path).tables["readings"]["row"]) == [9, 11]


def test_two_files_for_one_table(fleet):
    fleet.write()
    fleet.write_workbook("repairs.xlsx")
    with pytest.raises(InputError, match=r"The table repairs is there 2 times \(repairs.csv, repairs.xlsx\); keep one"):
        read_fleet(fleet.path)


def test_two_sheets_for_one_table(fleet):
    fleet.write_workbook("a.xlsx")
    fleet.write_workbook("b.xlsx")
    with pytest.raises(InputError) as caught:
        read_fleet(fleet.path)
    assert len(caught.value.problems) == 9
    assert "(a.xlsx sheet stock; b.xlsx sheet stock); name the file of the table" in caught.value.problems[2]


def test_a_planner_workbook_is_no_input(fleet):
    fleet.drop("stock")
    path = fleet.write() / "planner.xlsx"
    book = xlsxwriter.Workbook(path)
    book.set_properties({"category": PLANNER_MARK})
    book.add_worksheet("Stock").write(0, 0, "order now")
    book.close()
    assert is_planner(path)
    result = read_fleet(fleet.path)
    assert result.tables["stock"].empty
    assert "planner.xlsx is a planner workbook, a result; it was not read as a table." in result.notes


def test_a_stray_file_that_is_no_workbook_is_passed_over(fleet):
    fleet.drop("stock")
    (fleet.write() / "notes.xlsx").write_bytes(b"not a workbook")
    (fleet.path / "~$lock.xlsx").write_bytes(b"")
    result = read_fleet(fleet.path)
    (note,) = [note for note in result.notes if "passed over" in note]
    assert note.startswith("notes.xlsx was passed over: notes.xlsx is not a sound workbook")


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"\xd0\xcf\x11\xe0" + b"\0" * 600])
def test_damaged_workbook_of_a_table(fleet, data):
    (fleet.write() / "stock.csv").unlink()
    (fleet.path / "stock.xlsx").write_bytes(data)
    with pytest.raises(InputError, match=r"stock.xlsx is not a sound workbook"):
        read_fleet(fleet.path)


def edited(source, target, change):
    """A copy of a workbook with the text of its first sheet changed."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, change(content) if name == "xl/worksheets/sheet1.xml" else content)
    return target


@pytest.fixture
def small(tmp_path):
    path = tmp_path / "small.xlsx"
    book = xlsxwriter.Workbook(path)
    book.add_worksheet().write_row(0, 0, ["unit", "date", "odometer"])
    book.close()
    return path


@pytest.mark.parametrize(
    "far",
    [
        b'<c r="XFD1048576"', b'<c r="C900000"/><c r="XFD1"', b"<c r='XFD900000'", b'<c\tr="XFD900000"',
        b'<c s="0" r = "xfd900000"', b'<!-- <c r="A1"> --><c  r="XFD900000"',
    ],
)  # fmt: skip
def test_a_cell_in_the_far_corner(small, tmp_path, far):
    """Laid out in memory the sheet would take hundreds of gigabytes and end the program."""
    path = edited(small, tmp_path / "far.xlsx", lambda content: content.replace(b'<c r="C1"', far))
    with pytest.raises(InputError, match=r"far.xlsx has a sheet that reaches to row [\d,]+ and column 16,[34]"):
        open_workbook(path, label="far.xlsx")


def test_attributes_in_another_order_are_in_order(fleet, tmp_path):
    """Some programs write the style before the reference, or line breaks between attributes."""
    expected = fleet.read().tables["repairs"]
    path = with_styles_first(fleet, tmp_path)
    assert without_place(read_fleet(path).tables["repairs"]).equals(without_place(expected))


def with_styles_first(fleet, tmp_path):
    fleet.path = tmp_path / "source"
    source = fleet.write_workbook() / "fleet.xlsx"
    folder = tmp_path / "target"
    folder.mkdir()
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(folder / "fleet.xlsx", "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            if name.startswith("xl/worksheets/sheet"):
                content = re.sub(rb'<c r="([A-Z]+[0-9]+)" t="s"', rb'<c t="s"\n r = "\1"', content)
            new.writestr(name, content)
    return folder


def test_rows_and_cells_without_references(small, tmp_path):
    """Columns counted from a long row, rows from empty ones: the same trap without a single reference."""

    def change(content):
        cells = b"<row>" + b"<c><v>1</v></c>" * 40_000 + b"</row>" + b"<row/>" * 40_000 + b"<row><c><v>1</v></c></row>"
        return re.sub(rb"<sheetData>.*</sheetData>", b"<sheetData>" + cells + b"</sheetData>", content)

    with pytest.raises(InputError, match=r"has a sheet that reaches to row 40,002 and column"):
        open_workbook(edited(small, tmp_path / "t.xlsx", change), label="t.xlsx")


def test_a_long_narrow_sheet_is_in_order(tmp_path):
    path = tmp_path / "long.xlsx"
    book = xlsxwriter.Workbook(path, {"constant_memory": True})
    sheet = book.add_worksheet()
    for i in range(120_000):
        sheet.write_number(i, 0, i)
    book.close()
    assert cells(path).shape == (120_000, 1)


def test_zip_bomb(tmp_path):
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * 40 * 1024**2)
    with pytest.raises(InputError, match=r"bomb.xlsx would expand to 40 MiB in 1 parts, more than a table"):
        open_workbook(path, label="bomb.xlsx")


def test_expanded_size_has_a_bound(small, monkeypatch):
    monkeypatch.setattr(workbook_bounds, "_LARGEST_EXPANDED", 1000)
    with pytest.raises(InputError, match=r"small.xlsx would expand to "):
        open_workbook(small, label="small.xlsx")


def test_an_archive_that_lies_about_its_size(small, tmp_path):
    """The stated size of a part is less than it holds: no more than stated may be expanded."""
    data = bytearray(small.read_bytes())
    with zipfile.ZipFile(small) as archive:
        entry = archive.getinfo("xl/worksheets/sheet1.xml")
    place = data.rindex(entry.filename.encode()) - 46
    assert data[place : place + 4] == b"PK\x01\x02"
    data[place + 24 : place + 28] = (10).to_bytes(4, "little")
    (tmp_path / "lie.xlsx").write_bytes(data)
    with pytest.raises(InputError, match=r"lie.xlsx is not a sound workbook"):
        open_workbook(tmp_path / "lie.xlsx", label="lie.xlsx")


def test_many_parts(tmp_path):
    path = tmp_path / "many.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        for i in range(5001):
            archive.writestr(f"xl/{i}.xml", b"")
    with pytest.raises(InputError, match=r"in 5,001 parts"):
        open_workbook(path, label="many.xlsx")


def test_one_long_text_in_every_cell(tmp_path, monkeypatch):
    path = tmp_path / "repeat.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    for i in range(100):
        sheet.write_string(i, 0, "x" * 32_000)
        sheet.write_string(i, 1, "short")
    book.close()
    assert cells(path).shape == (100, 2)
    monkeypatch.setattr(workbook_bounds, "_MOST_TEXT", 3_000_000)
    with pytest.raises(InputError, match=r"repeat.xlsx repeats very long texts"):
        open_workbook(path, label="repeat.xlsx")
    monkeypatch.setattr(workbook_bounds, "_MOST_TEXT", 3_300_000)
    assert cells(path).shape == (100, 2)


BILLION = (
    b'<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">'
    b'<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;"><!ENTITY f SYSTEM "file:///etc/hostname">]>'
)


@pytest.mark.parametrize("entity", [b"&c;", b"&f;"])
def test_entities_are_refused(small, tmp_path, entity):
    def change(content):
        content = content.replace(b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>', BILLION)
        cell = b'<c r="A1" t="inlineStr"><is><t>' + entity + b"</t></is></c>"
        return re.sub(rb'<c r="A1".*?</c>', cell, content)

    path = edited(small, tmp_path / "entity.xlsx", change)
    assert BILLION in zipfile.ZipFile(path).read("xl/worksheets/sheet1.xml")
    with pytest.raises(InputError, match=r"entity.xlsx holds a document type definition"):
        cells(path)


def test_too_many_columns(tmp_path):
    path = tmp_path / "wide.xlsx"
    book = openpyxl.Workbook()
    book.active.append(list(range(513)))
    book.save(path)
    with pytest.raises(InputError, match=r"wide.xlsx has 513 columns, more than 512"):
        cells(path)


def test_other_archives_are_no_workbooks(tmp_path):
    path = tmp_path / "t.xlsx"
    frame = io.BytesIO()
    with zipfile.ZipFile(frame, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", "<office:document-content/>")
    path.write_bytes(frame.getvalue())
    with pytest.raises(InputError, match=r"t.xlsx is not a sound workbook"):
        cells(path)
    assert not is_planner(path)


def test_control_characters_in_a_workbook(tmp_path, fleet):
    fleet.set("repairs", 2, "text", "zero\u200bwidth")
    fleet.path = tmp_path / "book"
    result = read_fleet(fleet.write_workbook())
    assert result.tables["repairs"].loc[0, "text"] == "zerowidth"
    assert isinstance(result.as_of, pd.Timestamp)
