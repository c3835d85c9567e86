"""Between Calc and the workbook functions: what its cells hold turned into theirs, and back.

Rides inside the add-in, in the Python that comes with the spreadsheet program. Only the standard library is needed to
load it: numpy is looked for at the first call, so that a program without it says so in the cell.
"""

import importlib
import json
import math
import os
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from workbook.function_spec import FunctionSpec

__all__ = ["MODEL_KEY", "NUMPY_KEY", "PYTHON_KEY", "SETTINGS_FILE", "answer_in_calc"]

#: File with the settings of the installed add-in, beside its packages, and its keys.
SETTINGS_FILE = "calc_settings.json"
MODEL_KEY = "model"
NUMPY_KEY = "numpy_folder"
PYTHON_KEY = "python"

#: A range as Calc wants it: rows of cells, also for a single answer.
Grid = tuple[tuple[Any, ...], ...]


class _NoNumbersError(Exception):
    """Why the functions cannot be loaded in this Python: one line for the cell."""


def answer_in_calc(name: str, arguments: tuple[Any, ...]) -> Grid:
    """Answer of a workbook function to a call from Calc.

    Parameters
    ----------
    name : str
        The function, `WEAR_SURVIVAL` for example.
    arguments : tuple
        As Calc hands them over: numbers, texts, None where left out, tuples of rows for ranges.

    Returns
    -------
    tuple of tuple
        Rows of numbers and texts; an empty text for a blank answer.
    """
    try:
        function, spec = _function(name)
    except _NoNumbersError as problem:
        return ((str(problem),),)
    given: list[Any] = []
    for argument, value in zip(spec.arguments, arguments, strict=True):
        if value is None:
            given.append(None if argument.required else argument.default)
        elif isinstance(value, tuple):
            given.append([list(row) for row in value])
        else:
            # An empty cell arrives as the number 0, which no text can be.
            given.append(None if value == 0.0 and argument.kind == "text" else value)
    return _grid(function(*given))


def _grid(answer: Any) -> Grid:
    if type(answer) is float and math.isfinite(answer):
        return ((answer,),)
    if not isinstance(answer, list):
        return ((_cell(answer),),)
    return tuple(tuple(map(_cell, row)) for row in answer)


def _cell(value: Any) -> Any:
    """A value that Calc can show: whole numbers as plain ones, blank as an empty text."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    number = float(value)
    return "" if math.isnan(number) else number


@cache
def _function(name: str) -> "tuple[Callable[..., Any], FunctionSpec]":
    """A function and its row of the table, which need numpy."""
    settings = _settings()
    model = settings.get(MODEL_KEY)
    if model:
        os.environ.setdefault("WEAR_MODEL", model)
    _find_numpy(settings)
    table = importlib.import_module("workbook.function_list").FUNCTIONS
    return getattr(importlib.import_module("workbook.functions"), name), table[name]


@cache
def _settings() -> dict[str, str]:
    """Settings of the installed add-in; empty where there are none."""
    path = Path(__file__).parents[2] / SETTINGS_FILE
    return dict(json.loads(path.read_text(encoding="utf-8"))) if path.is_file() else {}


def _find_numpy(settings: dict[str, str]) -> None:
    """Make numpy importable: the program's own, or that of the Python which set the add-in up."""
    try:
        importlib.import_module("numpy")
    except ImportError:
        running = f"{sys.version_info.major}.{sys.version_info.minor}"
        folder = settings.get(NUMPY_KEY, "")
        if settings.get(PYTHON_KEY) == running and folder:
            # Last, so that nothing there comes before what belongs to the program.
            sys.path.append(folder)
            importlib.invalidate_caches()
        try:
            importlib.import_module("numpy")
        except ImportError:
            raise _NoNumbersError(
                f"numpy is missing in Calc's Python {running}: install it there, or run 'wearmodel functions --setup "
                f"calc' with a Python {running}"
            ) from None
