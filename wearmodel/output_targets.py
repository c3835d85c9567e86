"""Where results may be written, looked at before the work begins."""

import argparse
import os
from pathlib import Path

from wearmodel.errors import OutputError

__all__ = ["check_folder", "check_inputs_are_safe", "check_target", "workbook_target"]


def check_target(path: Path) -> None:
    """Fail before the work, not after it, when a result cannot be written.

    Parameters
    ----------
    path : Path
        File to write.

    Raises
    ------
    OutputError
        If it is a folder, or its folder cannot be written.
    """
    folder = path.parent
    if path.is_dir():
        raise OutputError(f"{path} is a folder; name a file for the result.")
    if not folder.is_dir():
        raise OutputError(f"{path} cannot be written: the folder {folder} does not exist; make it or choose another.")
    if not os.access(folder, os.W_OK) or (path.exists() and not os.access(path, os.W_OK)):
        raise OutputError(f"{path} cannot be written: permission denied; choose another place.")


def check_folder(path: Path) -> None:
    """The same for a folder of results, which is made where it is missing.

    Parameters
    ----------
    path : Path
        The folder.

    Raises
    ------
    OutputError
        If it is a file, or cannot be written.
    """
    if path.exists():
        if not path.is_dir():
            raise OutputError(f"{path} is a file; name a folder for the results.")
        if not os.access(path, os.W_OK):
            raise OutputError(f"{path} cannot be written: permission denied; choose another folder.")
    else:
        check_target(path)


def workbook_target(given: Path | None, name: str, *, macros: bool = False) -> Path:
    """The workbook to write, checked before the work begins.

    Parameters
    ----------
    given : Path, optional
        What the user named.
    name : str
        File taken otherwise.
    macros : bool
        Whether it may hold macros.

    Returns
    -------
    Path
        Ends in .xlsx, or in .xlsm where it may.

    Raises
    ------
    OutputError
        If it cannot be written or has another ending.
    """
    target = given or Path(name)
    check_target(target)
    if target.suffix.casefold() not in ((".xlsx", ".xlsm") if macros else (".xlsx",)):
        raise OutputError(f"{target} does not end in .xlsx and would open as something else; name it so.")
    return target


def check_inputs_are_safe(arguments: argparse.Namespace) -> None:
    """No result may replace a table of the fleet: result and input tables share names.

    Parameters
    ----------
    arguments : argparse.Namespace
        Of a command on a fleet folder.

    Raises
    ------
    OutputError
        If one would.
    """
    fleet = arguments.fleet.resolve()
    if arguments.tables:
        if arguments.tables.resolve() == fleet:
            raise OutputError(
                f"--tables {arguments.tables} is the fleet folder itself: its stock table would be overwritten; name "
                "another folder."
            )
        check_folder(arguments.tables)
    target = arguments.out
    if target and target.exists() and target.resolve().parent == fleet:
        from wearmodel.intake.cells.workbook_bounds import is_planner

        if not is_planner(target):
            raise OutputError(
                f"--out {target} is a file of the fleet folder and not a planner workbook; name another file."
            )
    model = arguments.model if arguments.command == "fit" else None
    if model and model.exists() and model.resolve().parent == fleet and model.suffix.lower() != ".json":
        raise OutputError(f"--model {model} is a file of the fleet folder and not a model file; name another file.")
