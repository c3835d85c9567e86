"""Fails before the work, not after it, where a result cannot be written or would replace what is not ours."""

import argparse
import json
import os
from pathlib import Path

from wearmodel.errors import OutputError

__all__ = ["check_folder", "check_inputs_are_safe", "check_model_target", "check_target", "workbook_target"]

_LARGEST_MODEL = 64 * 1024 * 1024


def check_target(path: Path) -> None:
    """Refuse a file that cannot be written.

    Parameters
    ----------
    path : Path
        Target.

    Raises
    ------
    OutputError
        One sentence.
    """
    folder = path.parent
    if path.is_dir():
        raise OutputError(f"{path} is a folder; name a file for the result.")
    if not folder.is_dir():
        raise OutputError(f"{path} cannot be written: the folder {folder} does not exist; make it or choose another.")
    if not os.access(folder, os.W_OK) or (path.exists() and not os.access(path, os.W_OK)):
        raise OutputError(f"{path} cannot be written: permission denied; choose another place.")
    if path.exists() and not path.is_file():
        raise OutputError(f"{path} is not a plain file; name another file for the result.")


def check_folder(path: Path) -> None:
    """Refuse a folder of results that cannot be written; it is made where it is missing.

    Parameters
    ----------
    path : Path
        Target.

    Raises
    ------
    OutputError
        One sentence.
    """
    if path.exists():
        if not path.is_dir():
            raise OutputError(f"{path} is a file; name a folder for the results.")
        if not os.access(path, os.W_OK):
            raise OutputError(f"{path} cannot be written: permission denied; choose another folder.")
    else:
        check_target(path)


def workbook_target(given: Path | None, name: str, *, macros: bool = False) -> Path:
    """The workbook to write.

    Parameters
    ----------
    given : Path or None
        What the user named.
    name : str
        Its name without that.
    macros : bool
        Whether it may hold macros.

    Returns
    -------
    Path
        The target.

    Raises
    ------
    OutputError
        If it cannot be written, or is somebody's own workbook.
    """
    target = given or Path(name)
    check_target(target)
    if target.suffix.casefold() not in ((".xlsx", ".xlsm") if macros else (".xlsx",)):
        raise OutputError(f"{target} does not end in .xlsx and would open as something else; name it so.")
    if _holds_something(target):
        from wearmodel.intake.cells.workbook_bounds import is_planner

        if not is_planner(target):
            raise OutputError(
                f"{target} exists and is no workbook that wearmodel wrote; name another file, or remove it if you do "
                "not need it."
            )
    return target


def check_model_target(path: Path) -> None:
    """Refuse a model file that cannot be written, or a file of another kind in its place.

    Parameters
    ----------
    path : Path
        Target.

    Raises
    ------
    OutputError
        One sentence.
    """
    check_target(path)
    if _holds_something(path) and not _is_model(path):
        raise OutputError(
            f"{path} exists and is not a model file that wearmodel wrote; name another file, or remove it if you do "
            "not need it."
        )


def check_inputs_are_safe(arguments: argparse.Namespace) -> None:
    """Refuse results that would replace tables of the fleet, or of another: result and input tables share names.

    Parameters
    ----------
    arguments : argparse.Namespace
        Of a command that reads a fleet folder.

    Raises
    ------
    OutputError
        One sentence.
    """
    fleet = Path(os.path.realpath(arguments.fleet))
    if arguments.tables:
        if Path(os.path.realpath(arguments.tables)) == fleet:
            raise OutputError(
                f"--tables {arguments.tables} is the fleet folder itself: its stock table would be overwritten; name "
                "another folder."
            )
        if any((arguments.tables / name).exists() for name in ("fleet.toml", "vehicles.csv", "vehicles.xlsx")):
            raise OutputError(
                f"--tables {arguments.tables} is the folder of a fleet: its stock table would be overwritten; name "
                "another folder."
            )
        check_folder(arguments.tables)
    target = arguments.out
    if target and target.exists() and Path(os.path.realpath(target)).parent == fleet:
        from wearmodel.intake.cells.workbook_bounds import is_planner

        if not is_planner(target):
            raise OutputError(
                f"--out {target} is a file of the fleet folder and not a planner workbook; name another file."
            )
    model = arguments.model if arguments.command == "fit" else None
    if model and model.exists() and Path(os.path.realpath(model)).parent == fleet and model.suffix.lower() != ".json":
        raise OutputError(f"--model {model} is a file of the fleet folder and not a model file; name another file.")


def _holds_something(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


def _is_model(path: Path) -> bool:
    """Whether a file is a life model, of whatever version."""
    from wearmodel.survival.store import SCHEMA

    try:
        if path.stat().st_size > _LARGEST_MODEL:
            return False
        body = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return False
    return isinstance(body, dict) and body.get("schema") == SCHEMA
