"""The files of a fleet folder that may hold a table, opened once and only when they are safe to open."""

import stat
from pathlib import Path

from wearmodel.errors import InputError
from wearmodel.intake.cells.workbook_bounds import is_planner
from wearmodel.intake.cells.workbook_cells import OpenWorkbook, open_workbook
from wearmodel.intake.values.plain_text import plain

__all__ = ["TEXT_FILES", "WORKBOOKS", "FolderFiles", "listed_files"]

TEXT_FILES = (".csv", ".tsv", ".txt")
"""Endings of files read as delimited text."""

WORKBOOKS = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")
"""Endings of files read as workbooks."""

_LOCK_PREFIXES = ("~$", ".~lock", ".")
_OWN_FILES = ("corrections.csv", "fleet.toml")
_MOST_FILES = 2_000


def listed_files(folder: Path) -> list[Path]:
    """Files of a fleet folder that may hold a table, in order of their names.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.

    Returns
    -------
    list of pathlib.Path
        Without lock files, other kinds of files, and what the program itself keeps there.

    Raises
    ------
    InputError
        The folder is missing, empty or cannot be listed.
    """
    name = plain(str(folder))
    if not folder.exists():
        raise InputError(f"The folder {name!r} does not exist; give the folder that holds the fleet's tables.")
    if not folder.is_dir():
        raise InputError(f"{name!r} is a file; give the folder that holds the fleet's tables.")
    try:
        paths = sorted(folder.iterdir())
    except OSError as error:
        raise InputError(f"The folder {name!r} cannot be read ({error.strerror}); check its permissions.") from error
    if len(paths) > _MOST_FILES:
        raise InputError(f"The folder {name!r} holds more than {_MOST_FILES:,} files; give the fleet its own folder.")
    paths = [path for path in paths if not path.name.startswith(_LOCK_PREFIXES)]
    if not paths:
        raise InputError(f"The folder {name!r} is empty; put vehicles.csv and repairs.csv into it.")
    readable = [path for path in paths if path.suffix.casefold() in (*TEXT_FILES, *WORKBOOKS)]
    return [path for path in readable if path.name.casefold() not in _OWN_FILES]


class FolderFiles:
    """The files of one folder and the workbooks opened so far.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.paths = listed_files(folder)
        self.notes: list[str] = []
        self._open: dict[Path, OpenWorkbook] = {}

    def check_plain(self, path: Path) -> None:
        """Refuse links out of the folder, devices and pipes."""
        label = plain(path.name)
        try:
            inside = path.resolve(strict=True).is_relative_to(self.folder.resolve())
            regular = stat.S_ISREG(path.stat().st_mode)
        except (OSError, RuntimeError) as error:
            raise InputError(f"{label} leads nowhere; put the file itself into the fleet folder.") from error
        if not inside:
            raise InputError(f"{label} is a link that leads out of the fleet folder; put the file itself there.")
        if not regular:
            raise InputError(f"{label} is not a plain file; remove it or put the table there.")

    def workbook(self, path: Path) -> OpenWorkbook:
        """The open workbook of that path."""
        if path not in self._open:
            self._open[path] = open_workbook(path, label=plain(path.name))
        return self._open[path]

    def is_passed_over(self, path: Path) -> bool:
        """Whether a file nobody named is a result of this program or cannot be opened; then a note says so."""
        if path in self._open:
            return False
        label = plain(path.name)
        try:
            self.check_plain(path)
            if path.suffix.casefold() not in WORKBOOKS:
                return False
            if is_planner(path):
                self.notes.append(f"{label} is a planner workbook, a result; it was not read as a table.")
                return True
            self.workbook(path)
        except InputError as error:
            self.notes.append(f"{label} was passed over: {error.problems[0]}")
            return True
        return False
