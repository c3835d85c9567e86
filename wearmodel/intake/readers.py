"""One table of the fleet folder as text cells under canonical column names."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.errors import InputError
from wearmodel.intake.delimited_text import UNREADABLE, CellGrid, read_delimited
from wearmodel.intake.header_names import HeaderMatch, match_headers
from wearmodel.intake.plain_text import plain
from wearmodel.intake.schema import SCHEMA, Table
from wearmodel.intake.settings_sections import TableSource
from wearmodel.intake.sources import FoundTable
from wearmodel.intake.workbook_cells import sheet_grid

__all__ = ["LONGEST_CELL", "CellFault", "RawTable", "read_table"]

LONGEST_CELL = 32_767
"""Longest text a spreadsheet cell holds [characters]; more is a sign of an open quotation mark."""

_HEADER_ROWS = 20
_OPEN_QUOTE = "probably a quotation mark is not closed"


@dataclass(frozen=True)
class CellFault:
    """What makes a row unusable before any value is read.

    Parameters
    ----------
    place : int
        Place of the row among the rows read, from 0.
    column : str
        Canonical column name; empty when the whole row is meant.
    value : str
        The cell.
    problem : str
        What is wrong, one clause.
    """

    place: int
    column: str
    value: str
    problem: str


@dataclass(frozen=True)
class RawTable:
    """A table as it stands in its file, blank rows left out.

    Parameters
    ----------
    table : Table
        Which canonical table it is.
    label : str
        File (and sheet) for people.
    cells : pandas.DataFrame
        Text under canonical column names, spaces trimmed; columns the file lacks are missing here too.
    rows : numpy.ndarray
        Row numbers as a spreadsheet shows them, shape (len(cells),).
    headings : mapping of str to str
        Canonical name -> heading in the file.
    units : mapping of str to str
        Canonical name -> unit its heading names.
    faults : tuple of CellFault
        Rows that cannot be used whatever their values.
    delimiter : str
        Of a CSV file.
    notes : tuple of str
        Sentences on how the headings were read.
    """

    table: Table
    label: str
    cells: pd.DataFrame
    rows: npt.NDArray[np.int64]
    headings: Mapping[str, str]
    units: Mapping[str, str]
    faults: tuple[CellFault, ...] = ()
    delimiter: str = ""
    notes: tuple[str, ...] = ()

    def heading(self, name: str) -> str:
        """The column as headed in the file; its canonical name where the file lacks it."""
        return self.headings.get(name, name)


def read_table(found: FoundTable, *, table: str, source: TableSource) -> RawTable:
    """Read a table's cells and name its columns.

    Parameters
    ----------
    found : FoundTable
        Where it is.
    table : str
        Canonical name.
    source : TableSource
        What `fleet.toml` says of it.

    Returns
    -------
    RawTable
        Every row of the file below the headings that is not blank.

    Raises
    ------
    InputError
        The file cannot be read, or required columns are missing.
    """
    named = source.columns

    def score(record: list[str]) -> int:
        return len(match_headers(record, table=table, named=named).columns)

    if found.workbook is None:
        grid = read_delimited(found.path, label=found.label, score=score)
    else:
        grid = sheet_grid(found.workbook, found.sheet, label=found.label)
    return _named_columns(grid, found.label, table=SCHEMA[table], named=named)


def _named_columns(grid: CellGrid, label: str, *, table: Table, named: Mapping[str, str]) -> RawTable:
    """The rows below the headings, their columns under canonical names."""
    header = _header_row(grid, table=table, named=named)
    headers = [str(cell) for cell in grid.cells.iloc[header]] if len(grid.cells) else []
    match = match_headers(headers, table=table.name, named=named)
    _check_headings(headers, match, label=label, table=table)
    body = grid.cells.iloc[header + 1 :]
    trimmed = [_trimmed(body.iloc[:, i]) for i in range(body.shape[1])]
    filled = np.zeros(len(body), dtype=bool)
    for column in trimmed:
        filled |= column != ""
    cells = {name: trimmed[match.columns[name]][filled] for name in table.names if name in match.columns}
    body = body[filled]
    faults = _cell_faults(body, match, table=table, delimiter=grid.delimiter)
    if grid.delimiter:
        faults += _overhang([column[filled] for column in trimmed], headers, delimiter=grid.delimiter)
    return RawTable(
        table=table,
        label=label,
        cells=pd.DataFrame(cells, index=range(len(body)), dtype=object),
        rows=grid.rows[header + 1 :][filled],
        headings={name: plain(headers[i], limit=60) for name, i in match.columns.items()},
        units=match.units,
        faults=tuple(faults),
        delimiter=grid.delimiter,
        notes=tuple(f"{label}: {note}." for note in match.notes),
    )


def _header_row(grid: CellGrid, *, table: Table, named: Mapping[str, str]) -> int:
    """The first row in which most headings are recognised, among the first rows of the file."""
    best, best_score = 0, -1
    for i in range(min(len(grid.cells), _HEADER_ROWS)):
        headers = [str(cell) for cell in grid.cells.iloc[i]]
        score = len(match_headers(headers, table=table.name, named=named).columns)
        if score > best_score and any(header.strip() for header in headers):
            best, best_score = i, score
    return best


def _check_headings(headers: Sequence[str], match: HeaderMatch, *, label: str, table: Table) -> None:
    """Refuse a table whose headings do not tell its required columns."""
    problems = [f"{label}: {problem}; correct it under [tables.{table.name}]." for problem in match.problems]
    named_in_vain = {name for name in table.names if any(f"named for {name} " in p for p in match.problems)}
    missing = [c.name for c in table.columns if c.required and c.name not in match.columns]
    missing = [name for name in missing if name not in named_in_vain]
    seen = plain(", ".join(header.strip() for header in headers if header.strip()), limit=300)
    if not seen:
        problems.append(f"{label} is empty; its first row must hold the headings {', '.join(table.names)}.")
    elif missing:
        problems.append(
            f"{label} has no column {' and no column '.join(missing)} (found: {seen}); add it, or name the shop's "
            f"heading for it under [tables.{table.name}] columns in fleet.toml."
        )
    if problems:
        raise InputError(problems)


def _trimmed(column: "pd.Series[str]") -> npt.NDArray[np.object_]:
    """The column's texts on one line each, without spaces around."""
    codes, distinct = pd.factorize(column.to_numpy(dtype=object))
    return np.array([" ".join(str(text).split()) for text in distinct], dtype=object)[codes]


def _cell_faults(body: pd.DataFrame, match: HeaderMatch, *, table: Table, delimiter: str) -> list[CellFault]:
    """Cells too long, swallowing further rows, or holding what cannot be text."""
    faults: list[CellFault] = []
    for name, i in match.columns.items():
        codes, distinct = pd.factorize(body.iloc[:, i].to_numpy(dtype=object))
        is_note = table.column(name).kind == "note"
        for code, text in enumerate(distinct):
            problem = _cell_problem(str(text), columns=len(match.columns), delimiter=delimiter, is_note=is_note)
            if problem:
                shown = plain(str(text))
                faults += [CellFault(int(j), name, shown, problem) for j in np.flatnonzero(codes == code)]
    return faults


def _cell_problem(text: str, *, columns: int, delimiter: str, is_note: bool) -> str:
    if len(text) > LONGEST_CELL:
        return f"is a cell of {len(text):,} characters, a spreadsheet takes {LONGEST_CELL:,}; {_OPEN_QUOTE}"
    if delimiter and "\n" in text:
        further = text.split("\n")[1:]
        if any(line.count(delimiter) >= max(columns - 1, 2) for line in further):
            return f"holds further rows of the table within one cell; {_OPEN_QUOTE}"
    if UNREADABLE in text and not is_note:
        return "holds characters that are not text"
    return ""


def _overhang(
    trimmed: Sequence[npt.NDArray[np.object_]], headers: Sequence[str], *, delimiter: str
) -> list[CellFault]:
    """Rows with filled cells beyond the last heading."""
    width = max((i + 1 for i, header in enumerate(headers) if header.strip()), default=0)
    faults: dict[int, CellFault] = {}
    for i, column in enumerate(trimmed[width:], start=width + 1):
        mark = "tab" if delimiter == "\t" else repr(delimiter)
        problem = f"the row has {i} cells and the heading row {width}; probably a {mark} in a text without quotes"
        for j in np.flatnonzero(column != ""):
            faults[int(j)] = CellFault(int(j), "", str(column[j]), problem)
    return list(faults.values())
