"""Writes an invented fleet as a fleet folder: its tables, `fleet.toml` and `truth.json`."""

import json
import os
from pathlib import Path

from wearmodel.errors import OutputError
from wearmodel.output_files import staging_folder
from wearmodel.simulate.fleet import SimulatedFleet

__all__ = ["write_fleet"]


def write_fleet(fleet: SimulatedFleet, folder: Path, *, overwrite: bool = False) -> Path:
    """Write a fleet folder; all of it or nothing.

    Parameters
    ----------
    fleet : SimulatedFleet
        The fleet.
    folder : pathlib.Path
        Where to; made if missing, parents too.
    overwrite : bool, optional
        Whether files of the same names in a folder that is not empty may be replaced; others are left alone.

    Returns
    -------
    pathlib.Path
        The folder.

    Raises
    ------
    OutputError
        The folder is not empty and `overwrite` is not asked for, is a file, or cannot be written.
    """
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder}: this is a file; name a folder to write the fleet to.")
    try:
        if not overwrite and folder.is_dir() and any(folder.iterdir()):
            raise OutputError(f"{folder}: the folder is not empty; empty it or name another.")
        _write(fleet, folder.absolute())
    except OSError as error:
        reason = error.strerror or str(error)
        problem = f"{folder}: the fleet cannot be written there ({reason}); name another folder."
        raise OutputError(problem) from error
    return folder


def _write(fleet: SimulatedFleet, folder: Path) -> None:
    """Write beside the folder first, then move into place."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    with staging_folder(folder.parent) as partial:
        for name, frame in fleet.tables.items():
            frame.to_csv(partial / f"{name}.csv", index=False, lineterminator="\n", encoding="utf-8")
        (partial / "fleet.toml").write_text(fleet.settings, encoding="utf-8", newline="\n")
        truth = json.dumps(fleet.truth, indent=1, allow_nan=False)
        (partial / "truth.json").write_text(truth + "\n", encoding="utf-8", newline="\n")
        if not folder.exists():
            umask = os.umask(0o077)
            os.umask(umask)
            partial.chmod(0o777 & ~umask)
            os.replace(partial, folder)
            return
        for file in sorted(partial.iterdir()):
            os.replace(file, folder / file.name)
