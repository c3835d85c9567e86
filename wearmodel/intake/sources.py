"""Where each table of a fleet folder is: a file of its own, or a sheet of a workbook."""

import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from python_calamine import CalamineWorkbook

from wearmodel.errors import InputError
from wearmodel.intake.plain_text import plain
from wearmodel.intake.schema import SCHEMA
from wearmodel.intake.settings_sections import TableSource
from wearmodel.intake.toml_section import nearest_to
from wearmodel.intake.workbook_bounds import is_planner
from wearmodel.intake.workbook_cells import open_workbook, sheet_names

__all__ = ["FoundTable", "FoundTables", "find_tables"]

_TEXT_FILES = (".csv", ".tsv", ".txt")
_WORKBOOKS = (".xlsx", ".xlsm")
_LOCK_PREFIXES = ("~$", ".~lock", ".")
_MOST_FILES = 2_000


@dataclass(frozen=True)
class FoundTable:
    """Where one table is.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    label : str
        Its name for people, with the sheet where the workbook has several.
    sheet : str
        Sheet of a workbook; empty for CSV.
    workbook : python_calamine.CalamineWorkbook or None
        The open workbook; None for CSV.
    """

    path: Path
    label: str
    sheet: str = ""
    workbook: CalamineWorkbook | None = None


@dataclass(frozen=True)
class FoundTables:
    """Where the tables are, and what stood in the way.

    Parameters
    ----------
    tables : mapping of str to FoundTable
        By canonical name; a table that is nowhere has no entry.
    problems : tuple of str
        Sentences that stop the run.
    notes : tuple of str
        Files passed over.
    """

    tables: Mapping[str, FoundTable]
    problems: tuple[str, ...]
    notes: tuple[str, ...]


def find_tables(folder: Path, *, sources: Mapping[str, TableSource]) -> FoundTables:
    """Find every canonical table of a fleet folder.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.
    sources : mapping of str to TableSource
        What `fleet.toml` says of each table.

    Returns
    -------
    FoundTables
        A file named like the table comes before a sheet of that name.

    Raises
    ------
    InputError
        The folder is missing, empty or cannot be listed.
    """
    search = _Search(folder, _listed(folder))
    tables: dict[str, FoundTable] = {}
    for table in SCHEMA:
        try:
            found = search.table(table, sources.get(table, TableSource()))
        except InputError as error:
            search.problems.extend(error.problems)
            continue
        if found is not None:
            tables[table] = found
        elif SCHEMA[table].is_required:
            search.problems.append(
                f"The table {table} is missing: there is no {table}.csv, {table}.xlsx or sheet {table!r} in "
                f"{plain(folder.name)!r}; add it, or name its file under [tables.{table}] in fleet.toml."
            )
    return FoundTables(tables, tuple(search.problems), tuple(dict.fromkeys(search.notes)))


def _listed(folder: Path) -> list[Path]:
    """Files of the folder that may hold a table."""
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
    return [path for path in paths if path.suffix.casefold() in (*_TEXT_FILES, *_WORKBOOKS)]


class _Search:
    """The files of one folder and the workbooks opened so far."""

    def __init__(self, folder: Path, paths: list[Path]) -> None:
        self.folder = folder
        self.paths = paths
        self.problems: list[str] = []
        self.notes: list[str] = []
        self._open: dict[Path, CalamineWorkbook] = {}

    def table(self, table: str, source: TableSource) -> FoundTable | None:
        """Where that table is; None when it is nowhere."""
        if source.file:
            return self._named_file(table, source)
        if not source.sheet:
            files = [path for path in self.paths if path.stem.casefold() == table]
            if len(files) > 1:
                raise InputError(
                    f"The table {table} is there {len(files)} times ({', '.join(plain(f.name) for f in files)}); "
                    f"keep one, or name it under [tables.{table}] in fleet.toml."
                )
            if files:
                return self._in_file(files[0], table, "")
        return self._in_any_workbook(table, source.sheet)

    def _named_file(self, table: str, source: TableSource) -> FoundTable:
        path = self.folder / source.file
        where = f"fleet.toml, key tables.{table}.file: {source.file!r}"
        if Path(source.file).is_absolute() or ".." in Path(source.file).parts:
            raise InputError(f"{where} leads out of the fleet folder; put the file into it.")
        if not path.exists():
            alike = [p for p in self.paths if p.name.casefold() == source.file.casefold()]
            if len(alike) != 1:
                near = nearest_to(source.file, [p.name for p in self.paths])
                raise InputError(f"{where} is not in the fleet folder{near}; correct the name.")
            path = alike[0]
        if path.suffix.casefold() not in (*_TEXT_FILES, *_WORKBOOKS):
            raise InputError(f"{where} is neither CSV nor .xlsx; save the table as one of them.")
        return self._in_file(path, table, source.sheet)

    def _in_file(self, path: Path, table: str, sheet: str) -> FoundTable:
        label = plain(path.name)
        self._check_plain_file(path, label)
        if path.suffix.casefold() in _TEXT_FILES:
            return FoundTable(path, label)
        workbook = self._workbook(path)
        names = sheet_names(workbook)
        wanted = (sheet or table).casefold().strip()
        matches = [name for name in names if name.casefold().strip() == wanted]
        if not matches and not sheet:
            matches = names[:1]
        if not matches:
            near = nearest_to(sheet, names)
            raise InputError(f"{label} has no sheet {sheet or table!r}{near}; name it under [tables.{table}].")
        return self._sheet(path, matches[0])

    def _in_any_workbook(self, table: str, sheet: str) -> FoundTable | None:
        wanted = (sheet or table).casefold().strip()
        found: list[FoundTable] = []
        for path in self.paths:
            if path.suffix.casefold() not in _WORKBOOKS or self._is_passed_over(path):
                continue
            names = sheet_names(self._workbook(path))
            found += [self._sheet(path, name) for name in names if name.casefold().strip() == wanted]
        if len(found) > 1:
            raise InputError(
                f"A sheet {sheet or table!r} is there {len(found)} times ({'; '.join(f.label for f in found)}); "
                f"name the file of the table under [tables.{table}] in fleet.toml."
            )
        if sheet and not found:
            raise InputError(
                f"fleet.toml, key tables.{table}.sheet: no workbook of the folder has a sheet {sheet!r}; "
                "correct the name."
            )
        return found[0] if found else None

    def _is_passed_over(self, path: Path) -> bool:
        """Whether a workbook nobody named is a result of this program or cannot be opened."""
        if path in self._open:
            return False
        label = plain(path.name)
        try:
            self._check_plain_file(path, label)
            if is_planner(path):
                self.notes.append(f"{label} is a planner workbook, a result; it was not read as a table.")
                return True
            self._workbook(path)
        except InputError as error:
            self.notes.append(f"{label} was passed over: {error.problems[0]}")
            return True
        return False

    def _check_plain_file(self, path: Path, label: str) -> None:
        """Refuse links out of the folder, devices and pipes."""
        try:
            inside = path.resolve(strict=True).is_relative_to(self.folder.resolve())
            regular = stat.S_ISREG(path.stat().st_mode)
        except (OSError, RuntimeError) as error:
            raise InputError(f"{label} leads nowhere; put the file itself into the fleet folder.") from error
        if not inside:
            raise InputError(f"{label} is a link that leads out of the fleet folder; put the file itself there.")
        if not regular:
            raise InputError(f"{label} is not a plain file; remove it or put the table there.")

    def _workbook(self, path: Path) -> CalamineWorkbook:
        if path not in self._open:
            self._open[path] = open_workbook(path, label=plain(path.name))
        return self._open[path]

    def _sheet(self, path: Path, sheet: str) -> FoundTable:
        workbook = self._workbook(path)
        several = len(sheet_names(workbook)) > 1
        label = f"{plain(path.name)} sheet {plain(sheet)}" if several else plain(path.name)
        return FoundTable(path, label, sheet, workbook)
