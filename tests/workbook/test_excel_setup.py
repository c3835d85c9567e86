"""What leads Excel to the functions: the macro workbook, the settings, the module that they name.

Excel itself is not run: xlwings' own generator, dispatcher and converters work here over stand-ins for the Windows
packages. test_excel_macros.py compiles and runs the macros that come out.
"""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from planner_example import build_example_plan
from recalculation import convert
from test_functions_in_excel import ON_WINDOWS

from wearmodel.cli import main
from wearmodel.errors import OutputError
from wearmodel.survival.store import write_model
from workbook.example_model import EXAMPLE_MODEL
from workbook.function_list import function_rows
from workbook.planner import write_planner
from workbook.routes.excel_setup import FUNCTION_MODULE, IMPORT_MACRO, macro_project, write_excel_settings


@pytest.fixture
def home(tmp_path: Path) -> Path:
    write_model(EXAMPLE_MODEL, tmp_path / "model.json")
    return tmp_path


def test_settings_keep_what_others_wrote(home: Path) -> None:
    settings = home / ".xlwings" / "xlwings.conf"
    settings.parent.mkdir()
    settings.write_text('"SHOW CONSOLE","True"\n"INTERPRETER_WIN","old.exe"\n', encoding="utf-8")
    for _ in range(2):
        assert write_excel_settings(home, model=home / "model.json") == settings
    lines = settings.read_text(encoding="utf-8").splitlines()
    assert lines == [
        '"SHOW CONSOLE","True"',
        f'"INTERPRETER_WIN","{sys.executable}"',
        f'"PYTHONPATH","{settings.parent}"',
        f'"UDF MODULES","{FUNCTION_MODULE}"',
    ]
    assert sorted(path.name for path in settings.parent.iterdir()) == ["wear_functions.py", "xlwings.conf"]


def test_every_function_through_the_module_that_was_written(home: Path) -> None:
    """xlwings' generator finds every function in it, and each gives its example with the model it names."""
    folder = write_excel_settings(home, model=home / "model.json").parent
    code = (
        "import os\nos.environ.pop('WEAR_MODEL', None)\n"
        + ON_WINDOWS
        + f"""
import io
sys.path.insert(0, {str(folder)!r})
import wear_functions
book, out = types.SimpleNamespace(Name="planner.xlsm"), io.StringIO()
udfs.generate_vba_wrapper("wear_functions", wear_functions, out, book)
assert out.getvalue().count("End Function") == len(FUNCTIONS)
for name, spec in FUNCTIONS.items():
    found = getattr(wear_functions, name)(*spec.example)
    while isinstance(found, list):
        found = found[0]
    if isinstance(spec.value, float):
        assert abs(found / spec.value - 1.0) < 1e-5, (name, found)
    else:
        assert found == (spec.value or "component"), (name, found)
print("all")
"""
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=False)
    assert done.stdout == "all\n", done.stderr


def test_planner_with_macros_has_them_and_its_button(tmp_path: Path) -> None:
    target = tmp_path / "planner.xlsm"
    write_planner(build_example_plan(), target, functions=function_rows(), macros=(macro_project(), IMPORT_MACRO))
    with zipfile.ZipFile(target) as archive:
        names = archive.namelist()
        assert archive.read("xl/vbaProject.bin") == macro_project()
        types = archive.read("[Content_Types].xml").decode()
        drawings = [archive.read(name).decode() for name in names if name.endswith(".vml")]
    assert "macroEnabled" in types
    assert any(IMPORT_MACRO in text and "Load the functions" in text for text in drawings)

    # LibreOffice takes the macros out of the binary project, and the button leads to one of them.
    with zipfile.ZipFile(convert(target, to="ods", folder=tmp_path)) as archive:
        assert f"\nSub {IMPORT_MACRO}()\n" in archive.read("Basic/VBAProject/xlwings.xml").decode()
        assert f"VBAProject.xlwings.{IMPORT_MACRO}?language=Basic" in archive.read("content.xml").decode()


def test_without_xlwings_a_macro_workbook_is_refused(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    with pytest.raises(OutputError, match="needs xlwings"):
        macro_project()


def test_command_writes_the_settings(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(Path, "home", lambda: home)
    assert main(["functions", "--setup", "excel", "--model", str(home / "model.json")]) == 0
    assert (home / ".xlwings" / "xlwings.conf").is_file()
    assert main(["functions", "--setup", "excel", "--out", str(home / "x.oxt")]) == 2
    assert "--setup calc" in capsys.readouterr().err


def test_xlwings_dispatcher_and_converters_answer_every_example(home: Path) -> None:
    """As Excel calls: ranges as rows of tuples, an argument left out as the number that stands for it."""
    code = f"""
import os, sys
sys.path.insert(0, {str(Path(__file__).parent)!r})
os.environ["WEAR_MODEL"] = {str(home / "model.json")!r}
from windows_stand_ins import xlwings_as_on_windows
udfs = xlwings_as_on_windows()
from workbook.function_list import FUNCTIONS
LEFT_OUT = -2147352572
def call(name, *cells):
    return udfs.call_udf("workbook.functions", name, cells)
for name, spec in FUNCTIONS.items():
    cells = [float(cell) if isinstance(cell, int) else cell for cell in spec.example]
    found = call(name, *cells, *[LEFT_OUT] * (len(spec.arguments) - len(cells)))[0][0]
    if isinstance(spec.value, float):
        assert abs(found / spec.value - 1.0) < 1e-5, (name, found)
    elif spec.value:
        assert found == spec.value, (name, found)
column = call("WEAR_SURVIVAL", "u_joint", ((60000.0,), (None,), ("x",), (-1.0,)), LEFT_OUT, LEFT_OUT)
assert abs(column[0][0] - 0.75664976) < 1e-8 and [row[0] for row in column[1:]] == [
    "", "distance must be a number, not the text 'x'", "distance must be 0 or more, not -1"], column
print("all")
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=False)
    assert done.stdout == "all\n", done.stderr
