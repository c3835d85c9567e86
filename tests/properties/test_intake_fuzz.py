"""Nothing in a file may bring more than an InputError of short printable sentences."""

import csv
import io
import tempfile
import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from wearmodel.errors import InputError
from wearmodel.intake.fleet import Fleet, read_fleet

FUZZ = settings(deadline=None, max_examples=100)

GOOD = {
    "vehicles": b"unit,driveline,in_service_date\nA1,rear_two_piece,2019-01-01\n",
    "repairs": b"order,date,unit,odometer,component,reason\nW1,2020-02-01,A1,9000,u_joint,failed\n",
    "parts": b"part_number,component,unit_price,lead_time_days\nP1,u_joint,10,3\n",
}
WORDS = st.sampled_from(
    [
        "unit", "driveline", "date", "odometer", "order", "component", "reason", "part_number", "in_service_date",
        "rear_two_piece", "A1",
        "2020-01-01", "1,5", '"', "\n", "\r\n", ",", ";", "\t", "=1+1", "\x00", "é", "9" * 400, "-", "sep=;", "1e999",
    ]
)  # fmt: skip
TEXTS = st.lists(WORDS | st.text(max_size=4), max_size=60).map("".join)


def read(folder):
    """The fleet or the sentences; anything else fails the test."""
    try:
        return read_fleet(folder)
    except InputError as error:
        assert error.problems and len(error.problems) <= 60
        for problem in error.problems:
            assert problem and len(problem) < 1500 and problem.isprintable(), repr(problem)
        return error.problems


def read_with(name, data):
    """Read the sound fleet with one file put in, in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        for table, content in GOOD.items():
            (Path(folder) / f"{table}.csv").write_bytes(content)
        (Path(folder) / name).write_bytes(data)
        return read(Path(folder))


@FUZZ
@given(name=st.sampled_from(["vehicles.csv", "repairs.csv", "parts.csv", "fleet.toml", "stock.xlsx"]), data=st.binary())
def test_random_bytes(name, data):
    read_with(name, data)


@FUZZ
@given(name=st.sampled_from([*GOOD, "readings", "stock", "duty_log"]), text=TEXTS)
def test_random_tables(name, text):
    read_with(f"{name}.csv", text.encode())


@FUZZ
@given(name=st.sampled_from(list(GOOD)), cells=st.lists(st.text(max_size=30), min_size=1, max_size=12))
def test_random_cells_under_sound_headings(name, cells):
    out = io.StringIO()
    csv.writer(out).writerow(cells)
    read_with(f"{name}.csv", GOOD[name] + out.getvalue().encode())


KEYS = st.sampled_from(
    [
        "distance_unit", "as_of", "cost", "u_joint", "geometry", "rear", "layouts", "tables", "repairs", "values",
        "reason", "x",
    ]
)  # fmt: skip
VALUES = st.recursive(
    st.sampled_from(["1", "-1e400", "nan", "2020-01-01", "07:30:00", "true", "'km'", "''", '"\\u0007"', "0xffff"]),
    lambda inner: st.lists(inner, max_size=3).map(lambda v: f"[{', '.join(v)}]")
    | st.dictionaries(KEYS, inner, max_size=2).map(lambda d: "{" + ", ".join(f"{k} = {v}" for k, v in d.items()) + "}"),
    max_leaves=6,
)


@FUZZ
@given(lines=st.lists(st.tuples(st.lists(KEYS, min_size=1, max_size=4), VALUES), max_size=5))
def test_random_settings(lines):
    read_with("fleet.toml", "".join(f"{'.'.join(keys)} = {value}\n" for keys, value in lines).encode())


@pytest.fixture(scope="module")
def workbook(tmp_path_factory):
    path = tmp_path_factory.mktemp("book") / "stock.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["part_number", "on_hand"])
    sheet.write_row(1, 0, ["P1", 3])
    book.close()
    return path.read_bytes()


@FUZZ
@given(place=st.integers(0, 10**6), data=st.binary(min_size=1, max_size=6))
def test_spoiled_archive(workbook, place, data):
    spoiled = bytearray(workbook)
    at = place % len(spoiled)
    spoiled[at : at + len(data)] = data
    read_with("stock.xlsx", spoiled)


@FUZZ
@given(place=st.integers(0, 10**6), data=st.binary(max_size=6) | st.sampled_from([b"<", b"&a;", b'"', b"<c r='ZZ99'>"]))
def test_spoiled_sheet(workbook, place, data):
    """The parts behind a sound archive: whatever the cell reader makes of them, no traceback."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook)) as old, zipfile.ZipFile(out, "w") as new:
        names = [name for name in old.namelist() if name.startswith("xl/") and name.endswith(".xml")]
        target = names[place % len(names)]
        for name in old.namelist():
            content = old.read(name)
            if name == target:
                at = place % max(len(content), 1)
                content = content[:at] + data + content[at + len(data) :]
            new.writestr(name, content)
    read_with("stock.xlsx", out.getvalue())


def test_the_sound_fleet_is_read(workbook):
    result = read_with("stock.xlsx", workbook)
    assert isinstance(result, Fleet) and len(result.tables["stock"]) == 1 and not result.findings
