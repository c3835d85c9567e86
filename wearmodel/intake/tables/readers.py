"""One table of the fleet folder as text cells under canonical column names."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.errors import InputError
from wearmodel.intake.cells.delimited_text import UNREADABLE, CellGrid
from wearmodel.intake.headings.header_names import HeaderMatch, match_headers
from wearmodel.intake.tables.body_rows import Body, RowRemark, check_body
from wearmodel.intake.tables.schema import SCHEMA, Table
from wearmodel.intake.tables.sources import FoundTable
from wearmodel.intake.tables.table_shape import header_place
from wearmodel.intake.values.distinct_rows import map_distinct
from wearmodel.intake.values.plain_text import plain

__all__ = ["LONGEST_CELL", "CellFault", "Part", "RawTable", "combined_raw_table", "read_table"]

LONGEST_CELL = 32_767
"""Longest text a spreadsheet cell holds [characters]; more is a sign of an open quotation mark."""

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
class Part:
    """The rows of a table that stand in one file.

    Parameters
    ----------
    label : str
        File (and sheet) for people.
    first : int
        Place of its first row among all rows of the table.
    headings : mapping of str to str
        Canonical name -> heading in the file.
    """

    label: str
    first: int
    headings: Mapping[str, str]

    def heading(self, name: str) -> str:
        """The column as headed in the file; its canonical name where the file lacks it."""
        return self.headings.get(name, name)


@dataclass(frozen=True)
class RawTable:
    """A table as it stands in its file or files, blank rows left out.

    Parameters
    ----------
    table : Table
        Which canonical table it is.
    cells : pandas.DataFrame
        Text under canonical column names, spaces trimmed; columns that no file has are missing here too. Rows
        that are no lines of the table are blank.
    rows : numpy.ndarray
        Row numbers as a spreadsheet shows them, shape (len(cells),).
    parts : tuple of Part
        The files, in order of their rows.
    units : mapping of str to str
        Canonical name -> unit its heading names; of a table in one file.
    faults : tuple of CellFault
        Rows that cannot be used whatever their values.
    remarks : tuple of RowRemark
        Rows that are no lines of the table, and rows completed from those above.
    delimiter : str
        Of a CSV file.
    date_system : int
        Year from which a workbook counts days, 1900 or 1904.
    notes : tuple of str
        Sentences on how the headings were read.
    """

    table: Table
    cells: pd.DataFrame
    rows: npt.NDArray[np.int64]
    parts: tuple[Part, ...]
    units: Mapping[str, str] = field(default_factory=dict)
    faults: tuple[CellFault, ...] = ()
    remarks: tuple[RowRemark, ...] = ()
    delimiter: str = ""
    date_system: int = 1900
    notes: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """The file for people, or all of them."""
        return " and ".join(part.label for part in self.parts)

    def heading(self, name: str) -> str:
        """The column as headed in the first file that has it; its canonical name where none does."""
        return next((part.headings[name] for part in self.parts if name in part.headings), name)

    def part_of(self, place: int) -> Part:
        """The file in which the row at a place stands."""
        if len(self.parts) == 1:
            return self.parts[0]
        return self.parts[bisect_right(self.parts, place, key=lambda part: part.first) - 1]

    def place_name(self, place: int) -> str:
        """The row at a place as people find it: `row 12`, with its file where the table has several."""
        row = f"row {self.rows[place]}"
        return row if len(self.parts) == 1 else f"{self.part_of(place).label} {row}"

    @property
    def part_lengths(self) -> tuple[int, ...]:
        """Number of rows in each file."""
        ends = [*(part.first for part in self.parts[1:]), len(self.rows)]
        return tuple(end - part.first for end, part in zip(ends, self.parts, strict=True))

    def part_numbers(self) -> npt.NDArray[np.int64]:
        """For each row, which part it stands in, shape (len(rows),)."""
        return np.repeat(np.arange(len(self.parts)), self.part_lengths)


def combined_raw_table(raws: Sequence[RawTable]) -> RawTable:
    """Several exports of one table as one.

    Parameters
    ----------
    raws : sequence of RawTable
        At least one, all of one canonical table.

    Returns
    -------
    RawTable
        The rows in the order given; faults and remarks stay with the parts.
    """
    if len(raws) == 1:
        return raws[0]
    names = [name for name in raws[0].table.names if any(name in raw.cells.columns for raw in raws)]
    lengths = [len(raw.rows) for raw in raws]
    firsts = np.cumsum([0, *lengths[:-1]]).tolist()
    frames = [raw.cells.reindex(columns=names, fill_value="") for raw in raws]
    parts = (replace(p, first=first + p.first) for raw, first in zip(raws, firsts, strict=True) for p in raw.parts)
    return RawTable(
        table=raws[0].table,
        cells=pd.concat(frames, ignore_index=True),
        rows=np.concatenate([raw.rows for raw in raws]),
        parts=tuple(parts),
    )


def read_table(found: FoundTable, *, table: str) -> RawTable:
    """Read a table's cells and name its columns.

    Parameters
    ----------
    found : FoundTable
        Where it is, and what `fleet.toml` says of it.
    table : str
        Canonical name.

    Returns
    -------
    RawTable
        Every row of the file below the headings that is not blank.

    Raises
    ------
    InputError
        The file cannot be read, or required columns are missing.
    """
    named = found.source.columns

    def score(record: list[str]) -> int:
        return len(match_headers(record, table=table, named=named).columns)

    return _named_columns(found.grid(score=score), found.label, table=SCHEMA[table], named=named)


def _named_columns(
    grid: CellGrid, label: str, *, table: Table, named: Mapping[str, tuple[str, ...]]
) -> RawTable:
    """The rows below the headings, their columns under canonical names."""
    place = header_place(grid, table=table.name, named=named)
    below = grid.cells.iloc[place.last + 1 :]
    match = match_headers(place.headings, table=table.name, named=named, sample=below)
    _check_headings(place.headings, match, label=label, table=table)
    names = {name: match.joined.get(name, (i,)) for name, i in match.columns.items()}
    coded = [_Coded(*pd.factorize(below.iloc[:, i].to_numpy(dtype=object))) for i in range(below.shape[1])]
    columns = tuple(column.trimmed() for column in coded)
    filled = np.zeros(len(below), dtype=bool)
    for column in columns:
        filled |= column != ""
    body = Body(columns, grid.rows[place.last + 1 :], names, place.lines, _titles(grid, place.first))
    remarks = check_body(body, table=table, filled=filled, merged=_below(grid.merged, place.last + 1))
    no_line = np.zeros(len(below), dtype=bool)
    for remark in remarks:
        if remark.kind == "left_out":
            no_line[remark.places] = True
    faults = _cell_faults(coded, names, table=table, delimiter=grid.delimiter)
    if grid.delimiter:
        faults += _overhang(columns, place.headings, delimiter=grid.delimiter)
    # Places so far count blank rows too.
    kept = np.cumsum(filled) - 1
    return RawTable(
        table=table,
        cells=_canonical_cells(body, table, filled=filled, no_line=no_line),
        rows=body.rows[filled],
        parts=(Part(label, 0, {name: _heading(place.headings, at) for name, at in names.items()}),),
        units=match.units,
        faults=tuple(replace(f, place=int(kept[f.place])) for f in faults if filled[f.place] and not no_line[f.place]),
        remarks=tuple(replace(remark, places=kept[remark.places]) for remark in remarks),
        delimiter=grid.delimiter,
        date_system=grid.date_system,
        notes=tuple(f"{label}: {note}." for note in (*match.notes, *_open_questions(match, table))),
    )


def _canonical_cells(
    body: Body, table: Table, *, filled: npt.NDArray[np.bool_], no_line: npt.NDArray[np.bool_]
) -> pd.DataFrame:
    """The filled rows under canonical names; those that are no lines blank."""
    cells: dict[str, npt.NDArray[np.object_]] = {}
    for name in table.names:
        if name in body.names:
            texts = _joined([body.columns[i] for i in body.names[name]])[filled]
            cells[name] = np.where(no_line[filled], "", texts) if no_line.any() else texts
    return pd.DataFrame(cells, index=range(int(filled.sum())), dtype=object)


def _below(merged: Sequence[tuple[int, int, int, int]], start: int) -> list[tuple[int, int, int, int]]:
    """Merged cells, their rows counted from the first one below the headings."""
    return [(first - start, left, last - start, right) for first, left, last, right in merged]


def _titles(grid: CellGrid, header: int) -> frozenset[tuple[str, ...]]:
    """The rows above the headings, their filled cells only."""
    rows = grid.cells.iloc[:header].to_numpy(dtype=object)
    one_line = [tuple(" ".join(str(cell).split()) for cell in row) for row in rows]
    return frozenset(tuple(cell for cell in row if cell) for row in one_line if any(row))


def _heading(headings: Sequence[str], places: Sequence[int]) -> str:
    return " + ".join(plain(headings[i], limit=60) for i in places)


def _joined(columns: Sequence[npt.NDArray[np.object_]]) -> npt.NDArray[np.object_]:
    """Wordings of several columns as one, in the order given; blank ones skipped."""
    if len(columns) == 1:
        return columns[0]

    def join(*texts: str) -> str:
        said = list(dict.fromkeys(text for text in texts if text))
        return ". ".join([*(text.rstrip(" .") for text in said[:-1]), *said[-1:]])

    return map_distinct(join, *columns)


def _open_questions(match: HeaderMatch, table: Table) -> list[str]:
    """Clauses on columns left unread because several headings could be them."""
    return [q.sentence for q in match.questions if not table.column(q.name).required]


def _check_headings(headers: Sequence[str], match: HeaderMatch, *, label: str, table: Table) -> None:
    """Refuse a table whose headings do not tell its required columns."""
    problems = [f"{label}: {problem}; correct it under [tables.{table.name}]." for problem in match.problems]
    asked = [question for question in match.questions if table.column(question.name).required]
    problems += [f"{label}: {question.sentence}." for question in asked]
    named_in_vain = {name for name in table.names if any(f"named for {name} " in p for p in match.problems)}
    missing = [c.name for c in table.columns if c.required and not {c.name, c.unless} & match.columns.keys()]
    missing = [name for name in missing if name not in named_in_vain | {question.name for question in asked}]
    seen = plain(", ".join(header.strip() for header in headers if header.strip()), limit=300)
    if not seen:
        problems.append(f"{label} is empty; its first row must hold the headings {', '.join(table.names)}.")
    elif missing:
        remedies = [match.hints[name] for name in missing if name in match.hints]
        if len(remedies) < len(missing):
            remedies.append(
                f"add it, or name the shop's heading for it under [tables.{table.name}] columns in fleet.toml"
            )
        lacking = " and no column ".join(missing)
        problems.append(f"{label} has no column {lacking} (found: {seen}); {'; '.join(remedies)}.")
    if problems:
        raise InputError(problems)


@dataclass(frozen=True)
class _Coded:
    """A column as the texts it holds and, for each row, which of them stands there."""

    codes: npt.NDArray[np.intp]
    distinct: npt.NDArray[np.object_]

    def trimmed(self) -> npt.NDArray[np.object_]:
        """The column's texts on one line each, without spaces around."""
        return np.array([" ".join(str(text).split()) for text in self.distinct], dtype=object)[self.codes]


def _cell_faults(
    coded: Sequence[_Coded], names: Mapping[str, tuple[int, ...]], *, table: Table, delimiter: str
) -> list[CellFault]:
    """Cells too long, swallowing further rows, or holding what cannot be text."""
    faults: list[CellFault] = []
    for name, column in ((name, coded[i]) for name, places in names.items() for i in places):
        is_note = table.column(name).kind == "note"
        odd = [
            (code, text)
            for code, text in enumerate(column.distinct)
            if len(text) > LONGEST_CELL or "\n" in text or UNREADABLE in text
        ]
        for code, text in odd:
            problem = _cell_problem(text, columns=len(names), delimiter=delimiter, is_note=is_note)
            if problem:
                shown = plain(text)
                faults += [CellFault(int(j), name, shown, problem) for j in np.flatnonzero(column.codes == code)]
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
