"""Excel on Windows: the macros of a planner workbook, and the settings that lead Excel to the functions.

The macros are xlwings' own, taken as they are from the workbook that it ships (BSD licence); its version and that of
the package have to agree, so they are read from the installed one.
"""

import importlib.util
import sys
import zipfile
from pathlib import Path

from wearmodel.errors import OutputError
from wearmodel.output_files import whole_file

__all__ = ["FUNCTION_MODULE", "IMPORT_MACRO", "macro_project", "write_excel_settings"]

#: Module that Excel imports the functions from, written by the set-up.
FUNCTION_MODULE = "wear_functions"
#: Macro of xlwings that makes the functions of the module known to a workbook.
IMPORT_MACRO = "ImportPythonUDFs"

_SHIPPED_WORKBOOK = "quickstart_standalone.xlsm"
_FOLDER = ".xlwings"
_SETTINGS_FILE = "xlwings.conf"


def macro_project() -> bytes:
    """Macros for a planner workbook.

    Returns
    -------
    bytes
        The VBA project of the workbook that xlwings ships.

    Raises
    ------
    OutputError
        If xlwings is not installed, or ships no such workbook.
    """
    found = importlib.util.find_spec("xlwings")
    if found is None or found.origin is None:
        raise OutputError("a workbook with macros needs xlwings; install it with pip install 'wearmodel[excel]'.")
    try:
        with zipfile.ZipFile(Path(found.origin).with_name(_SHIPPED_WORKBOOK)) as archive:
            return archive.read("xl/vbaProject.bin")
    except (OSError, KeyError, zipfile.BadZipFile):
        raise OutputError("the installed xlwings ships no workbook with macros; install another version.") from None


def write_excel_settings(home: Path, *, model: Path | None = None) -> Path:
    """Write what Excel needs to find the functions: a module, and the settings that name it.

    Parameters
    ----------
    home : Path
        The user's folder; the files go where xlwings looks for them below it.
    model : Path, optional
        Model file of the functions; without it they take that which the environment names.

    Returns
    -------
    Path
        The settings file. Settings of others in it are kept.

    Raises
    ------
    OutputError
        If a file cannot be written.
    """
    folder = home / _FOLDER
    target = folder / _SETTINGS_FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lines = target.read_text(encoding="utf-8").splitlines() if target.is_file() else []
    except (OSError, ValueError):
        raise OutputError(f"{target} cannot be read or made; look at it, or move it away.") from None
    own = {"INTERPRETER_WIN": sys.executable, "PYTHONPATH": str(folder), "UDF MODULES": FUNCTION_MODULE}
    kept = [line for line in lines if line.split(",")[0].strip().strip('"').upper() not in own]
    with whole_file(folder / f"{FUNCTION_MODULE}.py") as temporary:
        temporary.write_text(_module(model), encoding="utf-8")
    with whole_file(target) as temporary:
        settings = [f'"{key}","{value}"' for key, value in own.items()]
        temporary.write_text("\n".join([*kept, *settings]) + "\n", encoding="utf-8")
    return target


def _module(model: Path | None) -> str:
    """Text of the module: the functions, and the model file they take."""
    setting = f'os.environ.setdefault("WEAR_MODEL", {str(model.resolve())!r})\n\n' if model else ""
    return (
        '"""The workbook functions for Excel; written by \'wearmodel functions --setup excel\'."""\n\n'
        f"import os\n\n{setting}from workbook.functions import *  # noqa: E402, F403\n"
    )
