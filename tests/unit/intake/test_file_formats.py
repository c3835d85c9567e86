"""Old (.xls) and open (.ods) workbooks: the same cells as .xlsx, and what a hostile one is refused for."""

import csv
import datetime as dt
import struct
import time
import tracemalloc
import zipfile

import openpyxl
import pytest
import xlsxwriter
from recalculation import convert, open_book
from sample_workbooks import (
    ods_cell,
    ods_content,
    ods_rows,
    old_container,
    old_stream,
    record,
    write_ods,
)

from wearmodel.errors import InputError
from wearmodel.intake.cells import biff_records, ods_cells
from wearmodel.intake.cells.biff_texts import shared_parts, shared_texts
from wearmodel.intake.cells.compound_file import CompoundFileError, build_compound_file, stream_of
from wearmodel.intake.cells.workbook_cells import open_workbook, sheet_grid, sheet_names

ROWS = [
    ["unit", "date", "odometer", "text"],
    ["000123", dt.date(2024, 3, 5), 104500.5, "Gelenk für 45 €"],
    ["T-2", dt.date(1999, 12, 31), 7, "=1+1"],
    [None, None, None, None],
    ["T-3", None, 45123, True],
]
TEXTS = [
    ["unit", "date", "odometer", "text"],
    ["000123", "2024-03-05", "104500.5", "Gelenk für 45 €"],
    ["T-2", "1999-12-31", "7", "=1+1"],
    ["", "", "", ""],
    ["T-3", "", "45123", "TRUE"],
]


def grid(path, sheet=0):
    book = open_workbook(path, label=path.name)
    return sheet_grid(book, sheet_names(book)[sheet], label=path.name)


def cells(path, sheet=0):
    return grid(path, sheet).cells.to_numpy().tolist()


def refused(path):
    with pytest.raises(InputError) as caught:
        grid(path)
    (problem,) = caught.value.problems
    assert problem.isprintable() and problem.startswith(path.name) and problem.endswith(".")
    return problem


def file(path, data):
    path.write_bytes(data)
    return path


@pytest.fixture
def modern(tmp_path):
    """A workbook with a title over merged cells, a value merged down, and two sheets."""
    path = tmp_path / "t.xlsx"
    book = xlsxwriter.Workbook(path)
    day = book.add_format({"num_format": "dd/mm/yyyy"})
    moment = book.add_format({"num_format": "dd/mm/yyyy hh:mm"})
    sheet = book.add_worksheet("Lines")
    sheet.merge_range(0, 0, 0, 3, "Repairs of the year – ü €")
    sheet.write_row(2, 1, ["unit", "date", "odometer"])
    for i in range(4):
        sheet.write_string(3 + i, 1, f"{i:06d}")
        sheet.write_datetime(3 + i, 2, dt.datetime(2024, 2, 27 + i) if i < 3 else dt.datetime(2024, 3, 1), day)
        sheet.write_number(3 + i, 3, 1000.5 * i)
    sheet.merge_range(3, 0, 6, 0, "depot")
    sheet.write_datetime(8, 2, dt.datetime(2024, 3, 5, 14, 22), moment)
    sheet.write_formula(8, 3, "=2*21", value=42)
    book.add_worksheet("Other").write_string(0, 0, "x" * 5000)
    book.close()
    return path


@pytest.mark.parametrize("form", ["xls", "ods"])
def test_the_same_cells_as_saved_by_a_spreadsheet_program(modern, tmp_path, form):
    """LibreOffice turns the workbook into the other format; our readers find the same in both."""
    other = convert(modern, to=form, folder=tmp_path)
    for sheet in (0, 1):
        one, two = grid(modern, sheet), grid(other, sheet)
        assert one.cells.equals(two.cells) and list(one.rows) == list(two.rows)
        assert sorted(one.merged) == sorted(two.merged) and one.date_system == two.date_system == 1900
    assert grid(other).merged and cells(other)[8][2] == "2024-03-05T14:22:00"
    assert sheet_names(open_workbook(other, label="")) == ["Lines", "Other"]


@pytest.mark.parametrize("edition", [2, 3, 4, 5, 8])
def test_every_edition_of_xls(tmp_path, edition):
    rows = [*ROWS, [("ab",), (2.5,), (True,), ("",)]]
    stream = old_stream(edition, rows)
    path = file(tmp_path / "t.xls", stream if edition < 5 else old_container(stream))
    assert cells(path) == [*TEXTS, ["ab", "2.5", "TRUE", ""]]


def test_a_spreadsheet_program_reads_our_samples_alike(tmp_path):
    """So that the samples of old editions are not merely what our reader expects."""
    for edition in (2, 3, 4, 5):
        stream = old_stream(edition, ROWS[:3])
        path = file(tmp_path / f"{edition}.xls", stream if edition < 5 else old_container(stream))
        shown = open_book(convert(path, to="xlsx", folder=tmp_path), values=True).active
        assert [list(row) for row in shown.iter_rows(values_only=True)] == [
            ROWS[0],
            ["000123", dt.datetime(2024, 3, 5), 104500.5, "Gelenk für 45 €"],
            ["T-2", dt.datetime(1999, 12, 31), 7, "=1+1"],
        ]


def test_open_document_cells(tmp_path):
    rows = ods_rows(ROWS)
    path = write_ods(tmp_path / "t.ods", ods_content({"Lines": rows, "Empty": ""}))
    found = grid(path)
    assert found.cells.to_numpy().tolist() == TEXTS and list(found.rows) == [1, 2, 3, 4, 5] and found.merged == ()
    assert grid(path, 1).cells.shape == (0, 0)


CALCEXT = "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"


def test_open_document_kinds_of_cells(tmp_path):
    odd = [
        ods_cell("two\nlines"),
        '<table:table-cell office:value-type="percentage" office:value="0.35"><text:p>35%</text:p></table:table-cell>',
        '<table:table-cell office:value-type="currency" office:value="45.60"/>',
        '<table:table-cell office:value-type="time" office:time-value="PT07H30M00S"/>',
        '<table:table-cell office:value-type="date" office:date-value="2024-03-05T14:22:00"/>',
        '<table:table-cell office:value-type="date" office:date-value="2024-03-05T00:00:00"/>',
        '<table:table-cell office:value-type="string"><text:p>a<text:s text:c="2"/>b<text:tab/>c</text:p>'
        "</table:table-cell>",
        '<table:table-cell office:value-type="string"><office:annotation><text:p>a remark</text:p></office:annotation>'
        "<text:p>the <text:span>cell</text:span></text:p></table:table-cell>",
        f'<table:table-cell office:value-type="string" xmlns:calcext="{CALCEXT}" calcext:value-type="error">'
        "<text:p>#N/A</text:p></table:table-cell>",
        '<table:covered-table-cell table:number-columns-repeated="2"/>',
        ods_cell("twice", 'table:number-columns-repeated="2"'),
    ]  # fmt: skip
    deleted = f"<table:tracked-changes><table:table-row>{ods_cell('deleted')}</table:table-row></table:tracked-changes>"
    row = f"<table:table-row>{''.join(odd)}</table:table-row>"
    blank = '<table:table-row table:number-rows-repeated="3"><table:table-cell/></table:table-row>'
    same = f'<table:table-row table:number-rows-repeated="2">{ods_cell("same")}</table:table-row>'
    found = grid(write_ods(tmp_path / "t.ods", ods_content({"a": row + blank + same}, head=deleted)))
    texts = [
        "two\nlines", "0.35", "45.6", "7:30:00", "2024-03-05T14:22:00", "2024-03-05", "a  b\tc", "the cell", "", "", "",
        "twice", "twice",
    ]  # fmt: skip
    blank = [""] * 13
    assert found.cells.to_numpy().tolist() == [texts, blank, blank, blank, ["same", *blank[1:]], ["same", *blank[1:]]]


def test_merged_ranges_are_cut_at_the_edge_of_the_cells(tmp_path):
    tall = ods_cell("depot", 'table:number-columns-spanned="1" table:number-rows-spanned="900000"')
    pairs = ((tall, ods_cell("x")), (ods_cell(None), ods_cell("y")))
    rows = "".join(f"<table:table-row>{first}{second}</table:table-row>" for first, second in pairs)
    assert grid(write_ods(tmp_path / "t.ods", ods_content({"a": rows}))).merged == ((0, 0, 1, 0),)
    book = openpyxl.Workbook()
    book.active.append(["depot", "x"])
    book.active.append([None, "y"])
    book.active.merge_cells("A1:A9000")
    book.save(tmp_path / "t.xlsx")
    assert grid(tmp_path / "t.xlsx").merged == ((0, 0, 1, 0),)
    merged = record(0xE5, struct.pack("<HHHHH", 1, 0, 65535, 0, 0))
    path = file(tmp_path / "t.xls", old_container(old_stream(8, [["depot", "x"], [None, "y"]], merged=merged)))
    assert grid(path).merged == ((0, 0, 1, 0),)


def test_workbooks_that_count_days_from_1904(tmp_path):
    """True dates come out right in either system; for plain day numbers the system is told."""
    day = dt.date(2024, 3, 5)
    book = openpyxl.Workbook()
    book.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
    book.active.append([day, (day - dt.date(1904, 1, 1)).days])
    book.save(tmp_path / "t.xlsx")
    found = grid(tmp_path / "t.xlsx")
    assert found.cells.iloc[0].tolist() == ["2024-03-05", "43894"] and found.date_system == 1904
    shifted = dt.date(1899, 12, 30) + (day - dt.date(1904, 1, 1))
    found = grid(file(tmp_path / "t.xls", old_container(old_stream(5, [[shifted, 43894]], uses_1904=True))))
    assert found.cells.iloc[0].tolist() == ["2024-03-05", "43894"] and found.date_system == 1904
    head = '<table:calculation-settings><table:null-date table:date-value="1904-01-01"/></table:calculation-settings>'
    found = grid(write_ods(tmp_path / "t.ods", ods_content({"a": ods_rows([[day, 43894]])}, head=head)))
    assert found.cells.iloc[0].tolist() == ["2024-03-05", "43894"] and found.date_system == 1904


def test_the_format_is_told_by_the_content(modern, tmp_path):
    """Names say nothing: each format under the name of another."""
    expected = cells(modern)
    assert cells(file(tmp_path / "new.xls", modern.read_bytes())) == expected
    assert cells(file(tmp_path / "new.ods", modern.read_bytes())) == expected
    old = old_container(old_stream(8, ROWS), name="Workbook")
    assert cells(file(tmp_path / "old.xlsx", old)) == TEXTS
    open_one = write_ods(tmp_path / "open.ods", ods_content({"a": ods_rows(ROWS)}))
    assert cells(file(tmp_path / "open.xls", open_one.read_bytes())) == TEXTS


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "cp1252"])
def test_delimited_text_under_the_name_of_a_workbook(tmp_path, delimiter, encoding):
    """Many a shop system's export to .xls is a text."""
    path = tmp_path / "repairs.xls"
    with path.open("w", encoding=encoding, newline="") as out:
        csv.writer(out, delimiter=delimiter).writerows(TEXTS)
    book = open_workbook(path, label="repairs.xls")
    assert sheet_names(book) == ["repairs"]
    found = sheet_grid(book, "repairs", label="repairs.xls")
    assert found.cells.iloc[:, :4].to_numpy().tolist() == TEXTS and found.delimiter == delimiter


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"<html><table><tr><td>unit</td></tr></table>", "is a web page saved as .xls; save it as .xlsx or CSV."),
        (b"\xef\xbb\xbf \n<TABLE border=1><tr><td>unit", "is a web page saved as .xls; save it as .xlsx or CSV."),
        (b"MIME-Version: 1.0\n", "is a web archive saved as .xls; save it as .xlsx or CSV."),
        (
            b'<?xml version="1.0"?><ss:Workbook xmlns:ss="urn:schemas-microsoft-com:office:spreadsheet">',
            "is an XML spreadsheet of 2003 saved as .xls; save it as .xlsx or CSV.",
        ),
        (b"", "is not a sound workbook (damaged or another format); save it anew as .xlsx or CSV."),
        (b"some words, and\nno table\nat all\n", "is not a sound workbook (damaged or another format); save it anew"),
        (bytes(range(256)) * 20, "is not a sound workbook (damaged or another format); save it anew as .xlsx or CSV."),
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n", "is not a sound workbook (damaged or another format)"),
    ],
)  # fmt: skip
def test_what_is_no_workbook(tmp_path, data, said):
    assert f"t.xls {said}" in refused(file(tmp_path / "t.xls", data))


def test_protected_workbooks(tmp_path):
    encrypted = build_compound_file("EncryptedPackage", b"x" * 5000)
    assert "is protected by a password; save it without one" in refused(file(tmp_path / "a.xlsx", encrypted))
    stream = old_stream(8, ROWS)
    stream = stream[:20] + record(0x2F, b"\1\0\1\0") + stream[20:]
    assert "is protected by a password; save it without one" in refused(file(tmp_path / "b.xls", old_container(stream)))
    manifest = "<manifest:manifest><manifest:encryption-data/></manifest:manifest>"
    assert "is protected by a password; save it without one" in refused(
        write_ods(tmp_path / "c.ods", b"\x17\x99garbled", manifest=manifest)
    )
    data = bytearray(write_ods(tmp_path / "d.ods", ods_content({"a": ods_rows(ROWS)})).read_bytes())
    for place in range(len(data) - 4):
        if data[place : place + 4] in (b"PK\x01\x02", b"PK\x03\x04"):
            data[place + (8 if data[place + 2] == 1 else 6)] |= 1
    assert "is protected by a password; save it without one" in refused(file(tmp_path / "d.ods", data))


def test_binary_workbooks_are_refused_in_words(tmp_path):
    with zipfile.ZipFile(tmp_path / "t.xlsb", "w") as archive:
        archive.writestr("xl/workbook.bin", b"")
    assert refused(tmp_path / "t.xlsb") == "t.xlsb is a binary workbook (.xlsb); save it as .xlsx."


TYPES = [
    '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;">]>',
    '<!DOCTYPE x SYSTEM "http://192.0.2.1/x.dtd">',
    '<!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/hostname">]>',
]


@pytest.mark.parametrize("types", TYPES)
def test_document_types_are_refused(modern, tmp_path, types):
    path = write_ods(tmp_path / "t.ods", ods_content({"a": ods_rows(ROWS)}, before=types))
    assert "t.ods holds a document type definition" in refused(path)
    for part in ("xl/workbook.xml", "xl/sharedStrings.xml", "xl/worksheets/sheet2.xml", "xl/_rels/workbook.xml.rels"):
        with zipfile.ZipFile(modern) as old, zipfile.ZipFile(tmp_path / "x.xlsx", "w") as new:
            for name in old.namelist():
                content = old.read(name)
                new.writestr(name, content.replace(b"?>", b"?>" + types.encode(), 1) if name == part else content)
        assert "x.xlsx holds a document type definition" in refused(tmp_path / "x.xlsx")


def measured(path):
    """What the file is refused for; a file that took long or much memory would be an attack that works."""
    tracemalloc.start()
    start = time.process_time()
    problem = refused(path)
    seconds = time.process_time() - start
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert seconds < 10 and peak < 200 * 1024**2
    return problem


MANY = 'table:number-columns-repeated="{}"'
ROWS_MANY = '<table:table-row table:number-rows-repeated="{}">{}</table:table-row>'


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (ROWS_MANY.format(1_000_000, ods_cell("x", MANY.format(500))), "reaches to row 1,000,000 and column 500"),
        (ROWS_MANY.format(900_000_000, ods_cell("x")), "reaches to row 900,000,000 and column 1"),
        (ROWS_MANY.format(1, ods_cell("x", MANY.format(999_999_999))), "has 999,999,999 columns, more than 512"),
        (ROWS_MANY.format(1, ods_cell("x", MANY.format("9" * 30))), "is not a sound workbook"),
        (ROWS_MANY.format("-5", ods_cell("x")), "is not a sound workbook"),
        (ROWS_MANY.format(900_000, ods_cell("x")) * 3, "reaches to row 1,800,000 and column 1"),
        (ROWS_MANY.format(1_000_000, ods_cell("x" * 9_999)), "repeats very long texts beyond 1 GiB"),
        (
            ROWS_MANY.format(900_000, ods_cell(None))
            + ROWS_MANY.format(1, ods_cell(None, MANY.format(400)) + ods_cell(1)),
            "reaches to row 900,001 and column 401",
        ),
    ],
)
def test_repetitions_that_would_fill_the_memory(tmp_path, rows, said):
    assert said in measured(write_ods(tmp_path / "t.ods", ods_content({"a": rows})))


def test_repeated_blanks_cost_nothing(tmp_path):
    blanks = ROWS_MANY.format(1_000_000_00, ods_cell(None, MANY.format(100_000_000))) * 3
    content = ods_content({"a": ods_rows(ROWS) + blanks, "b": blanks})
    assert cells(write_ods(tmp_path / "t.ods", content)) == TEXTS


def test_expansion_of_open_documents(tmp_path):
    content = ods_content({"a": f"<table:table-row>{ods_cell('x' * 40_000_000)}</table:table-row>"})
    assert "would expand to 38 MiB in 3 parts" in measured(write_ods(tmp_path / "t.ods", content))


@pytest.mark.parametrize("cut", [1, 100, 2000])
def test_open_documents_that_break_off(tmp_path, cut):
    whole = ods_content({"a": ods_rows(ROWS)})
    assert "is not a sound workbook" in refused(write_ods(tmp_path / "a.ods", whole[:-cut]))
    data = write_ods(tmp_path / "b.ods", whole).read_bytes()
    assert "is not a sound workbook" in refused(file(tmp_path / "b.ods", data[: -min(cut, len(data) - 10)]))


def test_an_open_document_of_another_kind(tmp_path):
    assert "holds no spreadsheet" in refused(write_ods(tmp_path / "t.ods", "<office:text xmlns:office='x'/>"))


def far_cell(row, column, *, kind=0x203, tail=b"\0" * 8):
    return record(kind, struct.pack("<HHH", row, column, 0) + tail)


def with_records(extra, *, rows=ROWS):
    """A workbook of 1997 with further records at the end of its sheet."""
    stream = old_stream(8, rows)
    return old_container(stream[:-4] + extra + stream[-4:], name="Workbook")


def test_old_workbooks_that_claim_a_huge_extent(tmp_path):
    """The claimed extent is not believed, cells that truly stand far out are measured."""
    claim = record(0x200, struct.pack("<IIHHH", 0, 2**32 - 1, 0, 65_535, 0))
    assert cells(file(tmp_path / "a.xls", with_records(claim))) == TEXTS
    problem = measured(file(tmp_path / "b.xls", with_records(far_cell(65_535, 65_535))))
    assert "has a sheet that reaches to row 65,536 and column 65,536" in problem
    wide = struct.pack("<HH", 7, 65_530) + b"\0" * 36 + struct.pack("<H", 65_535)
    assert "has 65,536 columns" in measured(file(tmp_path / "c.xls", with_records(record(0xBD, wide))))
    assert "has 600 columns" in measured(file(tmp_path / "d.xls", with_records(far_cell(3, 599))))


def test_shared_texts_of_old_workbooks(tmp_path, monkeypatch):
    """The stated number of texts is not believed; a number beyond them is a blank cell."""
    texts = ["unit", "ü€" * 40, "x" * 9000, "", "\U0001f527" * 4000, *[f"text {i}" for i in range(9000)]]
    first, *further = shared_parts(texts)
    assert shared_texts([first, *further]) == texts and further
    lie = struct.pack("<II", 2**31 - 1, 2**31 - 1) + first[8:]
    stream = old_stream(8, [])
    at = stream.index(record(0x0A, b"")) - 18
    table = record(0xFC, lie) + b"".join(record(0x3C, part) for part in further)
    numbers = (0, 1, 4, 9004, 2**31)
    shared = b"".join(far_cell(0, i, kind=0xFD, tail=struct.pack("<I", n)) for i, n in enumerate(numbers))
    listed = stream[at : at + 18]
    moved = listed[:4] + struct.pack("<I", struct.unpack_from("<I", listed, 4)[0] + len(table)) + listed[8:]
    data = old_container(stream[:at] + table + moved + stream[at + 18 : -4] + shared + stream[-4:], name="Workbook")
    assert cells(file(tmp_path / "a.xls", data)) == [["unit", "ü€" * 40, "\U0001f527" * 4000, "text 8999"]]
    monkeypatch.setattr(biff_records, "_MOST_TEXT", 4_000)
    assert "repeats very long texts beyond 1 GiB" in refused(tmp_path / "a.xls")


def test_texts_cut_by_the_end_of_a_record():
    """A text may go on in the next record, there in characters of another width."""
    head = struct.pack("<II", 3, 3)
    one = head + struct.pack("<HB", 6, 0) + b"abc"
    two = b"\1" + "d€f".encode("utf-16-le") + struct.pack("<HBHI", 2, 12, 1, 5) + b"xy" + b"\0" * 4 + b"\0" * 2
    three = b"\0" * 3 + struct.pack("<HB", 1, 1) + "ß".encode("utf-16-le")
    assert shared_texts([one, two, three]) == ["abcd€f", "xy", "ß"]
    for cut in range(len(three)):
        assert shared_texts([one, two, three[:cut]]) in (["abcd€f"], ["abcd€f", "xy"])


def test_old_workbooks_with_a_chart_within_the_sheet(tmp_path):
    chart = record(0x809, struct.pack("<HH", 0x600, 0x20).ljust(16, b"\0")) + far_cell(9, 9) + record(0x0A, b"")
    after = far_cell(5, 0, tail=struct.pack("<d", 8.5))
    found = cells(file(tmp_path / "t.xls", with_records(chart + after)))
    assert found == [*TEXTS, ["8.5", "", "", ""]]


def test_many_sheets_that_are_one_and_the_same(tmp_path, monkeypatch):
    """A list of sheets that all point to one: their cells count each time."""
    stream = old_stream(8, ROWS)
    at = stream.index(record(0x0A, b"")) - 18
    listed = stream[at : at + 18]
    start = struct.unpack_from("<I", listed, 4)[0] + 18 * 999
    again = (listed[:4] + struct.pack("<I", start) + listed[8:]) * 1000
    path = file(tmp_path / "t.xls", old_container(stream[:at] + again + stream[at + 18 :], name="Workbook"))
    assert cells(path) == TEXTS
    monkeypatch.setattr(biff_records, "_MOST_RECORDS", 10_000)
    assert "has too many cells for a table of repairs" in refused(path)


@pytest.mark.parametrize("place", [(44, 4), (48, 4), (60, 4), (68, 4), (76, 4), (30, 2)])
@pytest.mark.parametrize("value", [0, 1, 7, 2**31, 2**32 - 2, 2**32 - 1])
def test_containers_with_rings_and_gaps(tmp_path, place, value):
    """Chains of sectors that lead to themselves or out of the file: an answer, and soon."""
    data = bytearray(old_container(old_stream(8, ROWS), name="Workbook"))
    data[place[0] : place[0] + place[1]] = value.to_bytes(8, "little")[: place[1]]
    path = file(tmp_path / "t.xls", data)
    try:
        assert cells(path) == TEXTS
    except InputError as error:
        assert "t.xls" in error.problems[0]


def test_a_ring_of_sectors():
    data = bytearray(old_container(b"x" * 5000))
    data[512 + 4 * 5 : 512 + 4 * 6] = (3).to_bytes(4, "little")
    with pytest.raises(CompoundFileError):
        stream_of(bytes(data), ["Book"])


@pytest.mark.parametrize("size", [0, 1, 4095, 4096, 4097, 70_000, 5_000_000])
def test_our_container_is_one(size):
    content = bytes(i * i % 251 for i in range(min(size, 1000))) * (size // 1000 + 1)
    data = build_compound_file("Workbook", content[:size])
    assert stream_of(data, ["BOOK", "workbook"]) == content[:size].ljust(4096, b"\0") and stream_of(data, ["x"]) is None


def test_bounds_of_time_for_large_sheets(tmp_path, monkeypatch):
    monkeypatch.setattr(ods_cells, "_MOST_CELLS", 100)
    rows = ods_rows([["x"] * 30] * 4)
    assert "reaches to row 4 and column 30" in refused(write_ods(tmp_path / "t.ods", ods_content({"a": rows})))
