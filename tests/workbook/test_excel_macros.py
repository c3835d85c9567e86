"""The macro text that xlwings' importer writes for Excel, compiled and run in LibreOffice Basic from cells.

Cell, macro, xlwings' dispatcher and converters, function, cell. Stood in for: Excel's name of the calling cell, and the
way from xlwings' own macros to Python. Excel is not run. A value left out between two others reaches a macro as 0
when Calc's cell calls it, unlike Excel, so those calls are made from Basic.
"""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import recalculation
from excel_dispatcher import LEFT_OUT

from wearmodel.survival.store import write_model
from workbook import functions
from workbook.example_model import EXAMPLE_MODEL
from workbook.function_list import FUNCTIONS
from workbook.function_spec import FunctionSpec
from workbook.routes.excel_setup import FUNCTION_MODULE, write_excel_settings

HERE = Path(__file__).parent
OFFICE_PYTHON = "/usr/bin/python3"
SPECS = tuple(FUNCTIONS.values())
# A function that its module has no more, as the importer wrote it: what the dispatcher raises has to reach the cell.
LOST = f"""Function WEAR_NOT_THERE(one)
    If TypeOf Application.Caller Is Range Then On Error GoTo failed
    WEAR_NOT_THERE = XLPy.CallUDF("{FUNCTION_MODULE}", "WEAR_NOT_THERE", Array(one), ThisWorkbook, Application.Caller)
    Exit Function
failed:
    WEAR_NOT_THERE = Err.Description
End Function
"""


class Basic:
    """LibreOffice Basic with the macros of a module of functions in it."""

    def __init__(self, folder: Path, module_folder: Path) -> None:
        self.folder = folder
        self.module_folder = module_folder

    def run(
        self, module: str, cells: dict[str, str], read: list[str], *, ranges: dict[str, str], modules: dict[str, str]
    ) -> Any:
        """What the cells hold, the calls that came through, and the macro text."""
        task = {
            "soffice": recalculation.require_program("soffice"),
            "profile": (self.folder / "profile").as_uri(),
            "dispatcher": [sys.executable, str(HERE / "excel_dispatcher.py"), module],
            "cells": cells, "ranges": ranges, "read": read, "modules": modules,
        }  # fmt: skip
        (self.folder / "task.json").write_text(json.dumps(task), encoding="utf-8")
        result = self.folder / "result.json"
        result.unlink(missing_ok=True)
        path = os.pathsep.join(map(str, (HERE.parents[1], HERE, self.module_folder)))
        command = [OFFICE_PYTHON, str(HERE / "basic_driver.py"), str(self.folder / "task.json"), str(result)]
        environment = {key: value for key, value in os.environ.items() if key != "WEAR_MODEL"} | {"PYTHONPATH": path}
        done = subprocess.run(command, capture_output=True, text=True, timeout=180, check=False, env=environment)
        assert result.is_file(), done.stderr
        return json.loads(result.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def basic(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Basic]:
    recalculation.require_program("soffice")
    if subprocess.run([OFFICE_PYTHON, "-c", "import uno"], capture_output=True, check=False).returncode:
        reason = "LibreOffice's Python bridge is missing; Debian package: python3-uno"
        (pytest.fail if os.environ.get("CI") == "true" else pytest.skip)(reason)
    folder = tmp_path_factory.mktemp("basic")
    write_model(EXAMPLE_MODEL, folder / "model.json")
    settings = write_excel_settings(folder, model=folder / "model.json")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WEAR_MODEL", str(folder / "model.json"))
        yield Basic(folder, settings.parent)


# For arguments whose default is worked out from others.
PLAUSIBLE: dict[str, Any] = {
    "planned_cost": 300.0, "failed_cost": 900.0, "found_cost": 300.0, "most_failures": 0.5, "running_a_year": 30_000.0,
    "interval": "run to failure", "variance": 4.0, "component": "u_joint",
}  # fmt: skip


def typed(value: Any) -> str:
    return f'"{value}"' if isinstance(value, str) else repr(value)


def every_argument(spec: FunctionSpec) -> list[Any]:
    """A value for each: that of the example, else the default, else a plausible one."""
    more = spec.arguments[len(spec.example) :]
    return [*spec.example, *(PLAUSIBLE[a.name] if a.default is None else a.default for a in more)]


def with_gaps(spec: FunctionSpec) -> list[Any]:
    """The arguments that must be given, and the last; LEFT_OUT between them."""
    last = len(spec.arguments) - 1
    values = enumerate(zip(spec.arguments, every_argument(spec), strict=True))
    return [value if argument.required or place == last else LEFT_OUT for place, (argument, value) in values]


def markers(spec: FunctionSpec) -> list[float]:
    """A number of its own for every argument, to see where it arrives."""
    return [place + 0.25 for place in range(len(spec.arguments))]


def library(spec: FunctionSpec, given: list[Any]) -> Any:
    """The answer of the function called as Python."""
    defaults = [argument.default for argument in spec.arguments]
    return getattr(functions, spec.name)(
        *(default if value == LEFT_OUT else value for value, default in zip(given, defaults, strict=False))
    )


def same(found: Any, expected: Any) -> bool:
    """Whether a cell holds what the library answers; blank is an empty text."""
    while isinstance(expected, list):
        expected = expected[0]
    if isinstance(expected, str) or expected is None:
        return bool(found == (expected or ""))
    return bool(found == pytest.approx(expected, rel=1e-9))


def column_of(spec: FunctionSpec) -> list[Any]:
    """Cells of a range for the first argument: good, blank, faulty."""
    return [every_argument(spec)[0], None, "x"]


class Sheet:
    """Cells to fill and to read, by what they are for."""

    def __init__(self) -> None:
        self.cells: dict[str, str] = {}
        self.ranges: dict[str, str] = {}
        self.gaps = ""
        self.told: dict[tuple[str, str], str] = {}

    def add(self, row: int, spec: FunctionSpec) -> None:
        """The calls of one function, in a block of rows of its own."""
        top = 1 + 4 * row
        calls = {"A": spec.example, "B": every_argument(spec), "C": markers(spec)}
        for column, given in calls.items():
            self.cells[f"{column}{top}"] = f"={spec.name}({';'.join(map(typed, given))})"
            self.told[spec.name, column] = f"{column}{top}"
        between = ", ".join("" if value == LEFT_OUT else typed(value) for value in with_gaps(spec))
        macro = f"With_Gaps_{spec.name}"
        self.gaps += f"Function {macro}()\n  {macro} = {spec.name}({between})\nEnd Function\n"
        self.cells[f"D{top}"] = f"={macro}()"
        self.told[spec.name, "D"] = f"D{top}"
        if spec.arguments:
            for place, value in enumerate(column_of(spec)):
                self.cells[f"F{top + place}"] = "" if value is None else str(value)
            others = "".join(f";{typed(value)}" for value in every_argument(spec)[1:])
            block = f"G{top}:G{top + 2}"
            self.ranges[block] = f"={spec.name}(F{top}:F{top + 2}{others})"
            self.told[spec.name, "G"] = block


@pytest.fixture(scope="module")
def answers(basic: Basic) -> Any:
    """One run with all calls of all functions."""
    sheet = Sheet()
    for row, spec in enumerate(SPECS):
        sheet.add(row, spec)
    sheet.ranges["J1:N3"] = "=WEAR_COMPONENTS()"
    sheet.cells |= {
        "P1": "=WEAR_NOT_THERE(1)", "P2": '=WEAR_SURVIVAL("u_joint")', "P3": '=WEAR_SURVIVAL("u_joint";-1)',
        "P4": '=WEAR_COST_RATE("u_joint";"run to failure")',
    }  # fmt: skip
    read = [*sheet.told.values(), "J1:N3", "P1", "P2", "P3", "P4"]
    modules = {"Gaps": sheet.gaps, "Lost": LOST}
    found = basic.run(FUNCTION_MODULE, sheet.cells, read, ranges=sheet.ranges, modules=modules)
    found["told"] = {key: found["read"][address] for key, address in sheet.told.items()}
    return found


def test_importer_writes_a_macro_for_each_function(answers: Any) -> None:
    text = answers["text"]
    assert text.startswith('Attribute VB_Name = "xlwings_udfs"\n')
    assert text.count("End Function") == len(SPECS)


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name)
def test_cells_equal_the_library(answers: Any, spec: FunctionSpec) -> None:
    for column, given in {"A": list(spec.example), "B": every_argument(spec), "D": with_gaps(spec)}.items():
        found = answers["told"][spec.name, column][0][0]
        assert same(found, library(spec, given)), (column, given, found)


@pytest.mark.parametrize("spec", [spec for spec in SPECS if spec.arguments], ids=lambda spec: spec.name)
def test_ranges_go_in_and_come_out(answers: Any, spec: FunctionSpec) -> None:
    expected = library(spec, [[[value] for value in column_of(spec)], *every_argument(spec)[1:]])
    found = answers["told"][spec.name, "G"]
    assert [same(cell, value) for (cell,), (value,) in zip(found, expected, strict=True)] == [True] * 3, found


def test_table_spills(answers: Any) -> None:
    expected = functions.WEAR_COMPONENTS()
    assert answers["read"]["J1:N3"] == expected


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name)
def test_arguments_arrive_in_their_places(answers: Any, spec: FunctionSpec) -> None:
    given = [cells for name, cells in answers["calls"] if name == spec.name]
    left_out = [LEFT_OUT] * (len(spec.arguments) - len(spec.example))
    as_numbers = [float(v) if isinstance(v, int) else v for v in spec.example]
    assert markers(spec) in given
    assert [*as_numbers, *left_out] in given
    assert [float(v) if isinstance(v, int) and v != LEFT_OUT else v for v in with_gaps(spec)] in given


def test_what_goes_wrong_is_told_in_the_cell(answers: Any) -> None:
    read = {name: answers["read"][name][0][0] for name in ("P1", "P2", "P3", "P4")}
    assert read["P1"] == f"module '{FUNCTION_MODULE}' has no attribute 'WEAR_NOT_THERE'"
    assert "not optional" in read["P2"]
    assert read["P3"] == "distance must be 0 or more, not -1"
    assert same(read["P4"], functions.WEAR_COST_RATE("u_joint", "run to failure"))


def test_text_that_does_not_compile_is_noticed(basic: Basic) -> None:
    """What the run above would look like if a name of ours were a word of Basic: no answer from any macro."""
    modules = {"Bad": "Function Bad_one(next)\nEnd Function\n"}
    found = basic.run(FUNCTION_MODULE, {"A1": "=WEAR_SPEED_RIPPLE(20)"}, ["A1"], ranges={}, modules=modules)
    assert (found["read"]["A1"], found["calls"]) == ([[""]], [])
