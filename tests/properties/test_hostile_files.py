"""Five formats of a repair table, each spoiled in hundreds of ways: the fleet, or a sentence, and nothing else."""

import contextlib
import csv
import datetime as dt
import io
import os
import sqlite3
import struct
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_workbooks import ods_content, ods_rows, old_container, old_stream, record, write_ods

from wearmodel.cli import main
from wearmodel.errors import InputError
from wearmodel.intake.fleet import Fleet, read_fleet

# 70 + 70 + 70 + 70 + 40 files through the intake, 30 more through the command line.
FUZZ = settings(deadline=None, max_examples=70)
FEWER = settings(deadline=None, max_examples=40)
BY_COMMAND = settings(deadline=None, max_examples=30)

VEHICLES = b"unit,driveline,in_service_date\nA1,rear_two_piece,2019-01-01\nA2,rear_one_piece,2019-02-01\n"
HEADINGS = ["order", "date", "unit", "odometer", "component", "position", "reason", "text"]
FIRST = dt.date(2020, 1, 6)
ROWS: list[list[object]] = [
    [f"W{i:03d}", FIRST + dt.timedelta(days=9 * i), f"A{1 + i % 2}", 9000.0 + 750 * i, "u_joint", "rear.joint_rear",
     "failed", "replaced rear u-joint"]
    for i in range(24)
]  # fmt: skip
DATABASE = """
[databases]
shop = "sqlite:///shop.db"
[tables.repairs]
database = "shop"
query = "SELECT * FROM jobs"
"""

PIECES = st.sampled_from(
    [
        b"\0", b"\0" * 600, b"\xff" * 9, b"=cmd|' /C calc'!A0", b'=HYPERLINK("http://192.0.2.1")', b"@SUM(1)", b"+1",
        "\U0001f527\U0001f44d\U0001f3fd".encode(), "\u202eabc\u200f\u2066".encode(), "ab".encode("utf-16"),
        b"x" * 40_000, b'"', b"'", b"\n", b"\r", b",,,,", b";", b"<", b"&amp;", b"]]>", b"<!DOCTYPE x>", b"<!--",
        b"-->", b"-1", b"9" * 400, b'table:number-columns-repeated="99999999"', b'<c r="XFD1048576"/>',
        b'<row r="99999999"/>', b"PK\x03\x04", b"1e999", struct.pack("<HH", 0x200, 14), struct.pack("<HH", 0xFC, 8),
        struct.pack("<HHHHH", 0x203, 14, 65_535, 65_535, 0), struct.pack("<I", 2**31),
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", b"SQLite format 3\0",
    ]
)  # fmt: skip
CHANGES = st.lists(
    st.tuples(
        st.sampled_from(["cut", "flip", "insert", "overwrite", "repeat", "drop"]),
        st.floats(0, 1, exclude_max=True),
        PIECES | st.binary(min_size=1, max_size=8),
    ),
    min_size=1,
    max_size=4,
)


def spoiled(data: bytes, changes: list[tuple[str, float, bytes]]) -> bytes:
    """The bytes after each change; places are shares of the length."""
    for kind, share, piece in changes:
        at = int(share * len(data))
        if kind == "cut":
            data = data[:at]
        elif kind == "flip" and data:
            data = data[:at] + bytes([data[at] ^ (piece[0] or 1)]) + data[at + 1 :]
        elif kind == "insert":
            data = data[:at] + piece + data[at:]
        elif kind == "overwrite":
            data = data[:at] + piece + data[at + len(piece) :]
        elif kind == "repeat":
            data = data[:at] + data[at : at + 400] * 30 + data[at:]
        else:
            data = data[:at] + data[at + len(piece) :]
    return data


@contextlib.contextmanager
def fleet_with(name: str, data: bytes) -> Iterator[Path]:
    """A fleet folder whose repairs are that file."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "vehicles.csv").write_bytes(VEHICLES)
        (Path(folder) / name).write_bytes(data)
        if name == "shop.db":
            (Path(folder) / "fleet.toml").write_text(DATABASE)
        yield Path(folder)


def read(name: str, data: bytes) -> Fleet | tuple[str, ...]:
    """The fleet or the sentences; anything else fails the test."""
    with fleet_with(name, data) as folder:
        try:
            return read_fleet(folder)
        except InputError as error:
            assert error.problems and len(error.problems) <= 60
            for problem in error.problems:
                assert problem and len(problem) < 1500 and problem.isprintable(), repr(problem)
            return error.problems


def csv_file() -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out).writerows([HEADINGS, *ROWS])
    return out.getvalue().encode()


def xlsx_file() -> bytes:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "default_date_format": "yyyy-mm-dd"})
    sheet = book.add_worksheet("repairs")
    for i, row in enumerate([HEADINGS, *ROWS]):
        sheet.write_row(i, 0, row)
    book.close()
    return out.getvalue()


def ods_file() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        rows = ods_rows([HEADINGS, *ROWS])
        return write_ods(Path(folder) / "t.ods", ods_content({"repairs": rows})).read_bytes()


def xls_stream(edition: int) -> bytes:
    return old_stream(edition, [HEADINGS, *ROWS], merged=record(0xE5, struct.pack("<HHHHH", 1, 1, 2, 0, 0)))


def database_file() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        connection = sqlite3.connect(Path(folder) / "shop.db")
        connection.execute(f"CREATE TABLE jobs ({', '.join(f'{name!r}' for name in HEADINGS)})")
        rows = [[cell.isoformat() if isinstance(cell, dt.date) else cell for cell in row] for row in ROWS]
        connection.executemany(f"INSERT INTO jobs VALUES ({', '.join('?' * len(HEADINGS))})", rows)
        connection.commit()
        connection.close()
        return (Path(folder) / "shop.db").read_bytes()


def repacked(data: bytes, packing: int) -> bytes:
    """The same parts, packed in another way."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", packing) as new:
        for name in old.namelist():
            new.writestr(name, old.read(name))
    return out.getvalue()


def with_part_spoiled(data: bytes, changes: list[tuple[str, float, bytes]], share: float) -> bytes:
    """One part of an archive spoiled, the archive around it sound."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        parts = [name for name in old.namelist() if name.endswith((".xml", ".rels"))]
        names = [name for name in parts if not name.startswith("docProps")]
        target = names[int(share * len(names))]
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, spoiled(content, changes) if name == target else content)
    return out.getvalue()


SAMPLES = {
    "repairs.csv": csv_file(),
    "repairs.xlsx": xlsx_file(),
    "repairs.ods": ods_file(),
    "repairs.xls": old_container(xls_stream(8), name="Workbook"),
    "shop.db": database_file(),
}
SHARES = st.floats(0, 1, exclude_max=True)


@pytest.mark.parametrize("name", SAMPLES)
def test_the_sound_files_are_read(name):
    """All five give the same repairs; else the tests below would spoil what was never read."""
    result = read(name, SAMPLES[name])
    expected = read("repairs.csv", SAMPLES["repairs.csv"])
    assert isinstance(result, Fleet) and isinstance(expected, Fleet)
    repairs, other = (fleet.tables["repairs"].drop(columns="file") for fleet in (result, expected))
    assert len(repairs) == 24 and repairs.equals(other) and result.findings == expected.findings


@FUZZ
@given(changes=CHANGES, encoding=st.sampled_from(["utf-8", "utf-16", "utf-16-le", "cp1252"]))
def test_spoiled_text(changes, encoding):
    read("repairs.csv", spoiled(SAMPLES["repairs.csv"].decode().encode(encoding), changes))


@pytest.mark.parametrize("name", ["repairs.xlsx", "repairs.ods"])
@pytest.mark.parametrize("packing", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_packed_as_no_workbook_is(name, packing):
    """The packer's own errors are no errors of a zip archive: a damaged stream of one went by uncaught."""
    data = repacked(SAMPLES[name], packing)
    assert read(name, data) == (f"{name} is packed in a way no workbook is; save it anew as .xlsx or CSV.",)
    for at in range(40, len(data), max(1, len(data) // 60)):
        assert isinstance(read(name, data[:at] + bytes([data[at] ^ 0xFF]) + data[at + 1 :]), tuple)


@FUZZ
@given(changes=CHANGES, share=SHARES, within=st.sampled_from([True, True, True, False]))
def test_spoiled_xlsx(changes, share, within):
    data = SAMPLES["repairs.xlsx"]
    read("repairs.xlsx", with_part_spoiled(data, changes, share) if within else spoiled(data, changes))


@FUZZ
@given(changes=CHANGES, share=SHARES, within=st.sampled_from([True, True, True, False]))
def test_spoiled_ods(changes, share, within):
    data = SAMPLES["repairs.ods"]
    read("repairs.ods", with_part_spoiled(data, changes, share) if within else spoiled(data, changes))


@FUZZ
@given(changes=CHANGES, edition=st.sampled_from([2, 3, 4, 5, 8]), within=st.booleans())
def test_spoiled_xls(changes, edition, within):
    stream = xls_stream(edition)
    if edition < 5:
        data = spoiled(stream, changes)
    elif within:
        data = old_container(spoiled(stream, changes), name="Workbook")
    else:
        data = spoiled(old_container(stream), changes)
    read("repairs.xls", data)


@FEWER
@given(changes=CHANGES)
def test_spoiled_database(changes):
    read("shop.db", spoiled(SAMPLES["shop.db"], changes))


@BY_COMMAND
@given(name=st.sampled_from(list(SAMPLES)), changes=CHANGES, share=SHARES)
def test_spoiled_files_at_the_command_line(name, changes, share):
    """Exit 0 or 2, sentences on standard error, no traceback."""
    is_archive = name.endswith((".xlsx", ".ods"))
    data = with_part_spoiled(SAMPLES[name], changes, share) if is_archive else spoiled(SAMPLES[name], changes)
    said, complained = io.StringIO(), io.StringIO()
    with fleet_with(name, data) as folder, contextlib.redirect_stdout(said), contextlib.redirect_stderr(complained):
        code = main(["check", str(folder)])
    assert code in (0, 2) and "Traceback" not in said.getvalue() + complained.getvalue()
    assert code == 0 or complained.getvalue().strip()


@pytest.mark.parametrize("name", SAMPLES)
def test_a_torn_file_in_a_process_of_its_own(name):
    """As a user runs it: the process ends by itself, with 2 and a sentence that names the file or database.

    A CSV file with a spoilt heading is still a table: its column is told by its contents, and shown as proposed.
    """
    with fleet_with(name, SAMPLES[name][: len(SAMPLES[name]) // 2].replace(b"unit", b"u\0it")) as folder:
        command = [sys.executable, "-m", "wearmodel", "check", str(folder)]
        run = subprocess.run(
            command, capture_output=True, text=True, timeout=60, check=False, env={**os.environ, "PYTHONUTF8": "1"}
        )
    assert "Traceback" not in run.stderr
    if name == "repairs.csv":
        assert "columns.unit" in run.stdout
        return
    assert run.returncode == 2
    assert ("database shop" if name == "shop.db" else name) in run.stderr
