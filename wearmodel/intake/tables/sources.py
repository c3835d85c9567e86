"""Where each table of a fleet folder is: files of its own, sheets of workbooks, or queries of databases."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from wearmodel.errors import InputError
from wearmodel.intake.cells.delimited_text import CellGrid
from wearmodel.intake.cells.folder_files import TEXT_FILES, WORKBOOKS, FolderFiles
from wearmodel.intake.cells.sheet_places import SheetList, SheetPlace, list_sheets, sheet_place
from wearmodel.intake.cells.workbook_cells import sheet_names
from wearmodel.intake.fleet_toml.toml_section import nearest_to
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.tables.table_sources import TableSource
from wearmodel.intake.values.plain_text import plain

__all__ = ["FoundTable", "FoundTables", "SheetList", "SheetPlace", "find_tables", "list_sheets"]


@dataclass(frozen=True)
class FoundTable:
    """Where one table, or one part of it, is.

    Parameters
    ----------
    label : str
        Its name for people: file, with the sheet where the workbook has several, or database.
    source : TableSource
        What `fleet.toml` says of it.
    place : SheetPlace or None
        Its sheet or text file; None for a query of a database.
    folder : pathlib.Path
        The fleet folder, which a database's file is looked for in.
    url : str
        Of the database; it may hold a password and is never shown.
    """

    label: str
    source: TableSource
    place: SheetPlace | None = None
    folder: Path = field(default_factory=Path)
    url: str = field(default="", repr=False)

    def grid(self, *, score: Callable[[list[str]], int]) -> CellGrid:
        """All its cells as text.

        Parameters
        ----------
        score : callable
            Number of headings recognised in a row of cells.

        Returns
        -------
        CellGrid
            The heading row included.

        Raises
        ------
        InputError
            The file or database cannot be read.
        """
        if self.place is not None:
            return self.place.grid(score=score)
        # Only fleets that keep their records in a database pay for loading its driver.
        from wearmodel.intake.cells.database_tables import read_database_table

        return read_database_table(url=self.url, query=self.source.query, folder=self.folder, label=self.label)


@dataclass(frozen=True)
class FoundTables:
    """Where the tables are, and what stood in the way.

    Parameters
    ----------
    tables : mapping of str to tuple of FoundTable
        By canonical name, one entry for each export of it; a table that is nowhere has no entry.
    problems : tuple of str
        Sentences that stop the run.
    notes : tuple of str
        Files passed over.
    """

    tables: Mapping[str, tuple[FoundTable, ...]]
    problems: tuple[str, ...]
    notes: tuple[str, ...]


def find_tables(
    folder: Path, *, sources: Mapping[str, tuple[TableSource, ...]], databases: Mapping[str, str] | None = None
) -> FoundTables:
    """Find every canonical table of a fleet folder.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.
    sources : mapping of str to tuple of TableSource
        What `fleet.toml` says of each table.
    databases : mapping of str to str, optional
        Name -> URL of the databases of `fleet.toml`.

    Returns
    -------
    FoundTables
        A file named like the table comes before a sheet of that name.

    Raises
    ------
    InputError
        The folder is missing, empty or cannot be listed.
    """
    search = _Search(FolderFiles(folder), databases or {})
    tables: dict[str, tuple[FoundTable, ...]] = {}
    for table in SCHEMA:
        found: list[FoundTable] = []
        said = sources.get(table) or (TableSource(),)
        unread = len(search.problems)
        for source in said:
            try:
                one = search.table(table, source)
            except InputError as error:
                search.problems.extend(error.problems)
                continue
            found += [] if one is None else [one]
        if found:
            tables[table] = _distinct(found, table, search.problems)
        elif SCHEMA[table].is_required and len(search.problems) == unread:
            search.problems.append(
                f"The table {table} is missing: there is no {table}.csv, {table}.xlsx or sheet {table!r} in "
                f"{plain(folder.name)!r}; add it, or name its file under [tables.{table}] in fleet.toml."
            )
    return FoundTables(tables, tuple(search.problems), tuple(dict.fromkeys(search.files.notes)))


def _distinct(found: list[FoundTable], table: str, problems: list[str]) -> tuple[FoundTable, ...]:
    """The parts of a table under names of their own; the same sheet named twice is a problem."""
    parts: list[FoundTable] = []
    for part in found:
        same = [p for p in parts if p.label == part.label]
        if same and part.place is not None:
            problems.append(f"fleet.toml names {part.label} twice under [tables.{table}]; name it once.")
            continue
        used = sum(1 for p in parts if p.url and p.url == part.url)
        parts.append(replace(part, label=f"{part.label} query {used + 1}") if part.url and used else part)
    return tuple(parts)


class _Search:
    """Looks for tables in the files of one folder and in its databases."""

    def __init__(self, files: FolderFiles, databases: Mapping[str, str]) -> None:
        self.files = files
        self.databases = databases
        self.problems: list[str] = []

    def table(self, table: str, source: TableSource) -> FoundTable | None:
        """Where that table is; None when it is nowhere."""
        if source.database:
            return self._in_database(table, source)
        place = self._place(table, source)
        return None if place is None else FoundTable(place.label, source, place, self.files.folder)

    def _in_database(self, table: str, source: TableSource) -> FoundTable:
        if source.database not in self.databases:
            raise InputError(
                f"fleet.toml, key tables.{table}.database: {source.database!r} is not named under [databases]"
                f"{nearest_to(source.database, self.databases)}; add its URL there."
            )
        url = self.databases[source.database]
        return FoundTable(f"database {source.database}", source, None, self.files.folder, url)

    def _place(self, table: str, source: TableSource) -> SheetPlace | None:
        if source.file:
            return self._named_file(table, source)
        if not source.sheet:
            files = [path for path in self.files.paths if path.stem.casefold() == table]
            if len(files) > 1:
                raise InputError(
                    f"The table {table} is there {len(files)} times ({', '.join(plain(f.name) for f in files)}); "
                    f"keep one, or name it under [tables.{table}] in fleet.toml."
                )
            if files:
                return self._in_file(files[0], table, "")
        return self._in_any_workbook(table, source.sheet)

    def _named_file(self, table: str, source: TableSource) -> SheetPlace:
        path = self.files.folder / source.file
        where = f"fleet.toml, key tables.{table}.file: {source.file!r}"
        if Path(source.file).is_absolute() or ".." in Path(source.file).parts:
            raise InputError(f"{where} leads out of the fleet folder; put the file into it.")
        if not path.exists():
            names = [p.name for p in self.files.paths]
            alike = [p for p in self.files.paths if p.name.casefold() == source.file.casefold()]
            if len(alike) != 1:
                near = nearest_to(source.file, names)
                raise InputError(f"{where} is not in the fleet folder{near}; correct the name.")
            path = alike[0]
        if path.suffix.casefold() not in (*TEXT_FILES, *WORKBOOKS):
            kinds = ", ".join(WORKBOOKS)
            raise InputError(f"{where} is neither CSV nor a workbook ({kinds}); save the table as one of them.")
        return self._in_file(path, table, source.sheet)

    def _in_file(self, path: Path, table: str, sheet: str) -> SheetPlace:
        self.files.check_plain(path)
        if path.suffix.casefold() in TEXT_FILES:
            return sheet_place(self.files, path, "")
        names = sheet_names(self.files.workbook(path))
        wanted = (sheet or table).casefold().strip()
        matches = [name for name in names if name.casefold().strip() == wanted]
        if not matches and not sheet:
            matches = names[:1]
        if not matches:
            near = nearest_to(sheet, names)
            label = plain(path.name)
            raise InputError(f"{label} has no sheet {sheet or table!r}{near}; name it under [tables.{table}].")
        return sheet_place(self.files, path, matches[0])

    def _in_any_workbook(self, table: str, sheet: str) -> SheetPlace | None:
        wanted = (sheet or table).casefold().strip()
        found: list[SheetPlace] = []
        for path in self.files.paths:
            if path.suffix.casefold() in WORKBOOKS and not self.files.is_passed_over(path):
                names = sheet_names(self.files.workbook(path))
                found += [sheet_place(self.files, path, n) for n in names if n.casefold().strip() == wanted]
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
