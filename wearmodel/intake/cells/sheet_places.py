"""Every sheet and text file of a fleet folder, whatever it is called and whatever it holds."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from wearmodel.errors import InputError
from wearmodel.intake.cells.delimited_text import CellGrid, read_delimited
from wearmodel.intake.cells.folder_files import TEXT_FILES, FolderFiles
from wearmodel.intake.cells.workbook_cells import OpenWorkbook, sheet_grid, sheet_names
from wearmodel.intake.headings.header_names import match_headers
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.values.plain_text import plain

__all__ = ["SheetList", "SheetPlace", "list_sheets", "sheet_place"]


@dataclass(frozen=True)
class SheetPlace:
    """One sheet of a workbook, or one text file.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    sheet : str
        Sheet of a workbook; empty for a text file.
    label : str
        Name for people: the file, with the sheet where the workbook has several.
    workbook : OpenWorkbook or None
        The open workbook; None for a text file.
    """

    path: Path
    sheet: str
    label: str
    workbook: OpenWorkbook | None = field(default=None, repr=False, compare=False)

    def grid(self, *, score: Callable[[list[str]], int] | None = None) -> CellGrid:
        """All its cells as text.

        Parameters
        ----------
        score : callable, optional
            Number of headings recognised in a row of cells: decides between the delimiters of a text file.
            Default: the most that any canonical table recognises.

        Returns
        -------
        CellGrid
            Read anew at every call.

        Raises
        ------
        InputError
            The file cannot be read.
        """
        if self.workbook is None:
            return read_delimited(self.path, label=self.label, score=score or _most_headings)
        return sheet_grid(self.workbook, self.sheet, label=self.label)


@dataclass(frozen=True)
class SheetList:
    """The sheets of a folder.

    Parameters
    ----------
    places : tuple of SheetPlace
        In order of file name and place in the workbook.
    notes : tuple of str
        Files passed over, one sentence each.
    """

    places: tuple[SheetPlace, ...]
    notes: tuple[str, ...] = ()


def list_sheets(folder: Path) -> SheetList:
    """List every sheet and text file of a fleet folder.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.

    Returns
    -------
    SheetList
        Files that cannot be opened, links out of the folder and planner workbooks are left out with a note.

    Raises
    ------
    InputError
        The folder is missing, empty or cannot be listed.
    """
    files = FolderFiles(folder)
    places: list[SheetPlace] = []
    for path in files.paths:
        if files.is_passed_over(path):
            continue
        if path.suffix.casefold() in TEXT_FILES:
            places.append(sheet_place(files, path, ""))
            continue
        try:
            places += [sheet_place(files, path, sheet) for sheet in sheet_names(files.workbook(path))]
        except InputError as error:
            files.notes.append(f"{plain(path.name)} was passed over: {error.problems[0]}")
    return SheetList(tuple(places), tuple(files.notes))


def sheet_place(files: FolderFiles, path: Path, sheet: str) -> SheetPlace:
    """One sheet of a file under its name for people.

    Parameters
    ----------
    files : FolderFiles
        Of the fleet folder.
    path : pathlib.Path
        The file.
    sheet : str
        Sheet of a workbook; empty for a text file.

    Returns
    -------
    SheetPlace
        The workbook open.
    """
    name = plain(path.name)
    if path.suffix.casefold() in TEXT_FILES:
        return SheetPlace(path, "", name)
    workbook = files.workbook(path)
    several = len(sheet_names(workbook)) > 1
    return SheetPlace(path, sheet, f"{name} sheet {plain(sheet)}" if several else name, workbook)


def _most_headings(record: list[str]) -> int:
    """The most headings of a row that one canonical table recognises."""
    return max(len(match_headers(record, table=table).columns) for table in SCHEMA)
