"""LibreOffice Calc: the workbook functions as an add-in (.oxt), built and installed."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import numpy as np

from wearmodel.errors import OutputError
from wearmodel.output_files import staging_folder, whole_file
from workbook.routes.calc_cells import MODEL_KEY, NUMPY_KEY, PYTHON_KEY, SETTINGS_FILE
from workbook.routes.calc_texts import EXTENSION, addin_texts

__all__ = ["build_addin", "install_addin"]

_PACKAGES = Path(__file__).parents[2]
_TIME_LIMIT = 180
# Every module that the functions and their way into Calc load, found by loading them alone.
_LOADED = """
import sys
import workbook.functions, workbook.routes.calc_cells
for name, module in sorted(sys.modules.items()):
    if name.partition(".")[0] in ("wearmodel", "workbook"):
        print(module.__file__)
"""
_PROGRAM_FOLDERS = (
    "C:/Program Files/LibreOffice/program",
    "/Applications/LibreOffice.app/Contents/MacOS",
    "/usr/lib/libreoffice/program",
)


def build_addin(path: Path, *, model: Path | None = None) -> None:
    """Write the add-in for LibreOffice Calc.

    Parameters
    ----------
    path : Path
        Target file (.oxt); its folder must exist.
    model : Path, optional
        Model file of the functions; without it they take that which the environment names.

    Raises
    ------
    OutputError
        If the file cannot be written; nothing is left behind then.

    Notes
    -----
    The add-in holds the functions themselves. It lacks only numpy, and takes that of Calc's own Python, or, where the
    two are of one version, that of the Python that builds it.
    """
    settings = {
        PYTHON_KEY: f"{sys.version_info.major}.{sys.version_info.minor}",
        NUMPY_KEY: str(Path(np.__file__).parents[1]),
    }
    if model is not None:
        settings[MODEL_KEY] = str(model.resolve())
    with whole_file(path) as temporary, zipfile.ZipFile(temporary, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in addin_texts().items():
            archive.writestr(name, text)
        archive.writestr(f"pythonpath/{SETTINGS_FILE}", json.dumps(settings, indent=1))
        for module in _module_files():
            archive.write(module, f"pythonpath/{module.relative_to(_PACKAGES).as_posix()}")


def _module_files() -> list[Path]:
    environment = {**os.environ, "PYTHONPATH": str(_PACKAGES)}
    command = [sys.executable, "-c", _LOADED]
    run = subprocess.run(
        command, env=environment, capture_output=True, text=True, check=True, timeout=_TIME_LIMIT
    )
    return [Path(line) for line in run.stdout.splitlines()]


def install_addin(*, model: Path | None = None, profile: Path | None = None) -> None:
    """Build the add-in and install it for this user.

    Parameters
    ----------
    model : Path, optional
        Model file of the functions.
    profile : Path, optional
        Folder of the program's settings; the user's own without it.

    Raises
    ------
    OutputError
        If LibreOffice is not found, or does not take the add-in.
    """
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        raise OutputError("LibreOffice installs no add-in for the administrator; run this as the user who needs it.")
    own = [] if profile is None else [f"-env:UserInstallation={profile.resolve().as_uri()}"]
    with staging_folder(Path(tempfile.gettempdir())) as folder:
        addin = folder / "wear_functions.oxt"
        build_addin(addin, model=model)
        done = _run([_program("unopkg"), "add", "--force", "--suppress-license", *own, str(addin)])
        listed = _run([_program("unopkg"), "list", *own])
        if EXTENSION not in listed:
            raise OutputError(f"LibreOffice did not take the add-in ({_last_line(done)}); close it and try again.")


def _run(command: list[str]) -> str:
    """What a program wrote; a failure shows in what it wrote or left undone."""
    try:
        run = subprocess.run(command, capture_output=True, text=True, check=False, timeout=_TIME_LIMIT)
    except (OSError, subprocess.TimeoutExpired):
        raise OutputError(f"{command[0]} could not be run to its end; close LibreOffice and try again.") from None
    return f"{run.stdout}\n{run.stderr}"


def _last_line(text: str) -> str:
    lines = text.split("\n")
    return next((line.strip() for line in reversed(lines) if line.strip()), "it said nothing")


def _program(name: str) -> str:
    places = (None, *_PROGRAM_FOLDERS)
    found = next(filter(None, (shutil.which(name, path=place) for place in places)), None)
    if found is None:
        raise OutputError(f"{name} of LibreOffice was not found; install LibreOffice Calc or put it on the PATH.")
    return found
