"""The add-in in LibreOffice Calc: installed for real, every example compared with the library."""

import datetime
import os
import re
import shutil
import subprocess
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pytest
import recalculation
import xlsxwriter
from calc_office import Office
from planner_example import build_example_plan

from wearmodel.cli import main
from wearmodel.survival.store import write_model
from workbook import functions
from workbook.example_model import EXAMPLE_MODEL
from workbook.function_list import FUNCTIONS
from workbook.planner import build, write_planner
from workbook.planner.book import Book
from workbook.routes.calc import build_addin
from workbook.routes.calc_texts import calc_name, stored_name

ROWS = 10_000


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Office:
    recalculation.require_program("unopkg")
    if subprocess.run(["/usr/bin/python3", "-c", "import numpy, uno"], capture_output=True, check=False).returncode:
        reason = "LibreOffice's Python lacks numpy; Debian packages: python3-uno python3-numpy"
        (pytest.fail if os.environ.get("CI") == "true" else pytest.skip)(reason)
    folder = tmp_path_factory.mktemp("calc")
    model = folder / "model.json"
    write_model(EXAMPLE_MODEL, model)
    office = Office(folder / "office")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WEAR_MODEL", str(model))
        office.install(patch, model=model)
        yield office


def typed(value: Any) -> str:
    return f'"{value}"' if isinstance(value, str) else repr(value)


@pytest.fixture(scope="module")
def example(office: Office) -> Path:
    """A workbook with every function's example, faulty and blank cells, a date, and a long range."""
    path = office.folder / "examples.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    for row, spec in enumerate(FUNCTIONS.values()):
        # Cached as 0, so that a cell that was not worked out anew would show.
        sheet.write_formula(row, 0, f"={stored_name(spec.name)}({','.join(map(typed, spec.example))})", None, 0)
    cells = [("u_joint", 60_000), ("u_joint", "x"), (None, None), ("u_joint", -1), ("u_joint", 80_000)]
    for row, (component, distance) in enumerate(cells):
        sheet.write(row, 3, component)
        sheet.write(row, 4, distance)
    sheet.write_array_formula("F1:F5", "{=WEAR.SURVIVAL(D1:D5,E1:E5)}", None, 0)
    sheet.write_formula("H1", "=WEAR.SURVIVAL(D3,E1)", None, 0)
    sheet.write_datetime("I2", datetime.datetime(2026, 6, 30))
    sheet.write_formula("H2", "=WEAR.SURVIVAL(D1,I2)", None, 0)
    sheet.write_formula("H3", "=WEAR.SURVIVAL(D1,E1,,75)", None, 0)
    sheet.write_formula("H4", "=WEAR.SURVIVAL(D1:D3,E1:E4)", None, 0)
    sheet.write_formula("H5", "=WEAR.SURVIVAL(D1,1/0)", None, 0)
    for row in range(ROWS):
        sheet.write(row, 10, 10.0 * row)
    sheet.write_array_formula(f"L1:L{ROWS}", f"{{=WEAR.SURVIVAL(D1,K1:K{ROWS})}}", None, 0)
    book.close()
    return path


def answers(path: Path) -> Any:
    book = openpyxl.load_workbook(path, data_only=True)
    return book.active


def check(sheet: Any) -> None:
    for row, spec in enumerate(FUNCTIONS.values(), start=1):
        expected = getattr(functions, spec.name)(*spec.example)
        while isinstance(expected, list):
            expected = expected[0]
        found = sheet.cell(row, 1).value
        assert found == (expected if isinstance(expected, str) else pytest.approx(expected, rel=1e-9)), spec.name
    at = functions.WEAR_SURVIVAL
    column = [sheet.cell(row, 6).value for row in range(1, 6)]
    assert column[0] == pytest.approx(at("u_joint", 60_000.0), rel=1e-9)
    assert column[1:4] == ["distance must be a number, not the text 'x'", None, "distance must be 0 or more, not -1"]
    assert column[4] == pytest.approx(at("u_joint", 80_000.0), rel=1e-9)
    assert sheet["H1"].value in (None, "")
    assert sheet["H2"].value == pytest.approx(at("u_joint", 46_203.0), rel=1e-9)
    assert sheet["H3"].value == pytest.approx(at("u_joint", 60_000.0, "fleet", 75.0), rel=1e-9)
    assert sheet["H4"].value.startswith("component is 3 x 1 cells, distance is 4 x 1 cells")
    assert sheet["H5"].value == "#DIV/0!"
    expected = at("u_joint", [[10.0 * row] for row in range(ROWS)])
    for row in range(ROWS):
        assert sheet.cell(row + 1, 12).value == pytest.approx(expected[row][0], rel=1e-9)


def test_every_example_in_calc_equals_the_library(office: Office, example: Path) -> None:
    check(answers(office.convert(example, to="xlsx")))


def test_published_ripple_of_a_universal_joint(office: Office) -> None:
    # 1 / cos b - cos b; Seherr-Thoss, Schmelz & Aucktor, Universal Joints and Driveshafts (2006), sec. 1.2.1.
    ripple = {1: 0.000305, 3: 0.002743, 5: 0.007625, 7: 0.014964, 10: 0.030619, 15: 0.06935, 20: 0.124485, 30: 0.288675}
    path = office.folder / "ripple.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    for row, angle in enumerate(ripple):
        sheet.write_formula(row, 0, f"=WEAR.SPEEDRIPPLE({angle})", None, 0)
    book.close()
    found = answers(office.convert(path, to="xlsx"))
    for row, (angle, value) in enumerate(ripple.items(), start=1):
        assert found.cell(row, 1).value == pytest.approx(value, abs=1e-6), angle


def test_saved_as_ods_and_opened_again(office: Office, example: Path) -> None:
    ods = office.convert(example, to="ods")
    with zipfile.ZipFile(ods) as archive:
        assert "wear.survival" in archive.read("content.xml").decode().lower()
    again = office.folder / "again.ods"
    shutil.copy(ods, again)
    check(answers(office.convert(again, to="xlsx")))


def test_saved_as_xlsx_and_opened_again(office: Office, example: Path) -> None:
    again = office.folder / "second.xlsx"
    shutil.copy(office.convert(example, to="xlsx"), again)
    check(answers(office.convert(again, to="xlsx")))


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
def test_planner_with_functions_saved_and_opened_again(
    office: Office, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody's own sheet with every function in a planner: both hold what they held, in either format."""
    path = office.folder / f"planner_{kind}.xlsx"

    def with_own_sheet(book: Book, only: Any) -> None:
        sheet = book.workbook.add_worksheet("Own")
        for row, spec in enumerate(FUNCTIONS.values()):
            sheet.write_formula(row, 0, f"={stored_name(spec.name)}({','.join(map(typed, spec.example))})", None, 0)

    monkeypatch.setattr(build, "_show_only", with_own_sheet)
    write_planner(build_example_plan(), path)
    again = office.folder / f"again_{kind}.{kind}"
    shutil.copy(office.convert(path, to=kind), again)
    back = office.convert(again, to="xlsx")
    own = recalculation.read_book(back, values=True)["Own"]
    for row, spec in enumerate(FUNCTIONS.values(), start=1):
        expected = getattr(functions, spec.name)(*spec.example)
        while isinstance(expected, list):
            expected = expected[0]
        found = own.cell(row, 1).value
        assert found == (expected if isinstance(expected, str) else pytest.approx(expected, rel=1e-9)), spec.name
    assert [found for found in recalculation.differences(path, back) if found.sheet != "Own"] == []


def test_wizard_has_every_text_of_the_table(tmp_path: Path) -> None:
    build_addin(tmp_path / "wear.oxt")
    with zipfile.ZipFile(tmp_path / "wear.oxt") as archive:
        root = ElementTree.fromstring(archive.read("CalcAddIns.xcu"))
        interface = archive.read("XWearFunctions.idl").decode()
    texts = [value.text for value in root.iter("value")]
    for spec in FUNCTIONS.values():
        assert calc_name(spec.name) in texts
        assert spec.description in texts
        for argument in spec.arguments:
            assert argument.name in texts
            assert argument.description in texts
    methods = re.findall(r"> > (\w+)\(", interface)
    assert len(set(methods)) == len(methods) == len(FUNCTIONS)
    assert "_" not in interface


def test_add_in_carries_only_what_the_functions_load(tmp_path: Path) -> None:
    build_addin(tmp_path / "wear.oxt")
    with zipfile.ZipFile(tmp_path / "wear.oxt") as archive:
        names = archive.namelist()
    assert "pythonpath/workbook/functions.py" in names
    assert not [name for name in names if "planner" in name or "intake" in name]


def test_command_writes_the_add_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "wear.oxt"
    assert main(["functions", "--setup", "calc", "--out", str(target)]) == 0
    assert zipfile.is_zipfile(target)
    assert main(["functions", "--setup", "calc", "--out", str(tmp_path / "wear.zip")]) == 2
    assert main(["functions", "--setup", "calc", "--model", str(tmp_path / "none.json")]) == 2
    assert main(["functions", "--out", str(target)]) == 2
    assert "Traceback" not in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["wear.oxt"]


def test_administrator_is_told_who_should_run_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("os.geteuid", lambda: 0)
    assert main(["functions", "--setup", "calc"]) == 2
    assert "run this as the user who needs it" in capsys.readouterr().err
