"""Workbooks of every common format, as text cells with the row numbers a spreadsheet shows."""

import datetime as dt
import io
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import numpy as np
import pandas as pd
from python_calamine import CalamineError, CalamineWorkbook, PasswordError, SheetTypeEnum

from wearmodel.errors import InputError
from wearmodel.intake.cells import biff_records, workbook_bounds
from wearmodel.intake.cells.compound_file import COMPOUND_FILE, build_compound_file, stream_of
from wearmodel.intake.cells.delimited_text import MOST_COLUMNS, UNREADABLE, CellGrid, looks_delimited, read_delimited
from wearmodel.intake.cells.ods_cells import OdsSheet, read_ods_sheets
from wearmodel.intake.cells.text_encoding import what_it_is_instead
from wearmodel.intake.values.plain_text import CONTROL_CHARACTERS, plain

__all__ = ["OpenWorkbook", "open_workbook", "sheet_grid", "sheet_names"]

_Cell = int | float | str | bool | dt.time | dt.date | dt.datetime | dt.timedelta
_Answer = TypeVar("_Answer")
_MIDNIGHT = dt.time()
_BEGINNING = 1 << 16
_LARGEST_OLD = 128 * 1024**2
_MOST_CELLS = 30_000_000
_MOST_MERGED = 200_000
_ARCHIVES = (b"PK\x03\x04", b"PK\x05\x06")
_STREAMS = ("Workbook", "Book")
_PROTECTED_STREAM = "EncryptedPackage"


@dataclass(frozen=True)
class OpenWorkbook:
    """A workbook whose sheets can be read.

    Parameters
    ----------
    names : tuple of str
        Sheets that hold cells.
    read : callable
        From a sheet and its label to its cells.
    """

    names: tuple[str, ...]
    read: Callable[[str, str], CellGrid]


def open_workbook(path: Path, *, label: str) -> OpenWorkbook:
    """Open a workbook once it is known to be within bounds.

    Parameters
    ----------
    path : pathlib.Path
        The file. Its first bytes tell the format, not its name: .xlsx and .xlsm, .xls of any edition, .ods, or
        delimited text under the name of a workbook, which many programs write.
    label : str
        Its name for error sentences.

    Returns
    -------
    OpenWorkbook
        Open for reading.

    Raises
    ------
    InputError
        The file is no workbook, is damaged, protected or beyond the bounds.
    """
    try:
        if path.exists() and not path.is_file():
            # A pipe that nobody writes to would be waited for without end.
            raise InputError(f"{label} is not a plain file; name a workbook.")
        with path.open("rb") as file:
            beginning = file.read(_BEGINNING)
    except FileNotFoundError as error:
        raise InputError(f"{label} does not exist; check its name and its folder.") from error
    except OSError as error:
        raise InputError(f"{label} cannot be read ({error.strerror}); check its permissions.") from error
    try:
        if beginning.startswith(_ARCHIVES):
            with zipfile.ZipFile(path) as archive:
                return _from_archive(archive, label=label)
        if beginning.startswith((COMPOUND_FILE, *biff_records.BIFF_STARTS)):
            return _from_old(path, label=label)
    except (OSError, *workbook_bounds.DAMAGED_ARCHIVE) as error:
        # A damaged archive sends its reader to places before the file's beginning: an OSError too.
        raise InputError(
            f"{label} is not a sound workbook (damaged or another format); save it anew as .xlsx or CSV."
        ) from error
    return _from_text(path, beginning, label=label)


def sheet_names(workbook: OpenWorkbook) -> list[str]:
    """Names of the sheets that hold cells, in workbook order.

    Parameters
    ----------
    workbook : OpenWorkbook
        Open workbook.

    Returns
    -------
    list of str
        Charts and macro sheets are passed over.
    """
    return list(workbook.names)


def sheet_grid(workbook: OpenWorkbook, sheet: str, *, label: str) -> CellGrid:
    """Read all cells of a sheet.

    Parameters
    ----------
    workbook : OpenWorkbook
        Open workbook.
    sheet : str
        Name of one of its sheets.
    label : str
        Name of file and sheet for error sentences.

    Returns
    -------
    CellGrid
        Numbers without a trailing `.0`, dates in ISO form, spreadsheet error values blank. Merged ranges are
        given for every format but .xlsb; the value of a range stands in its first cell.

    Raises
    ------
    InputError
        The sheet is damaged or has too many columns.
    """
    return workbook.read(sheet, label)


def _from_archive(archive: zipfile.ZipFile, *, label: str) -> OpenWorkbook:
    """A workbook that is a zip archive: OpenDocument or Open XML."""
    names = {name.casefold() for name in archive.namelist()}
    if "content.xml" in names:
        return _from_open_document(archive, label=label)
    if "xl/workbook.bin" in names:
        raise InputError(f"{label} is a binary workbook (.xlsb); save it as .xlsx.")
    parts = workbook_bounds.bounded_archive(archive, label=label)
    return _from_calamine(parts, label=label, date_system=1904 if workbook_bounds.uses_1904(parts) else 1900)


def _from_open_document(archive: zipfile.ZipFile, *, label: str) -> OpenWorkbook:
    wanted = [e for e in archive.infolist() if e.filename in ("content.xml", "META-INF/manifest.xml")]
    workbook_bounds.check_expansion(archive, wanted, label=label)
    content = read_ods_sheets(archive, label=label)
    if not content.sheets:
        raise InputError(f"{label} holds no spreadsheet; save its table as .xlsx or CSV.")
    sheets = {sheet.name: sheet for sheet in content.sheets}

    def read(name: str, label: str) -> CellGrid:
        return _ods_grid(sheets[name], label=label, date_system=content.date_system)

    return OpenWorkbook(tuple(sheets), read)


def _from_old(path: Path, *, label: str) -> OpenWorkbook:
    """A workbook of binary records, in a container or bare."""
    if path.stat().st_size > _LARGEST_OLD:
        raise InputError(f"{label} is larger than {_LARGEST_OLD // 1024**2} MiB; save its table as CSV.")
    data = path.read_bytes()
    stream: bytes | None = data
    if data.startswith(COMPOUND_FILE):
        if stream_of(data, [_PROTECTED_STREAM]) is not None:
            raise InputError(f"{label} is protected by a password; save it without one.")
        stream = stream_of(data, _STREAMS)
    if stream is None:
        raise InputError(f"{label} is an old office document without a workbook; save its table as .xlsx or CSV.")
    measured = biff_records.rebuilt_stream(stream, label=label)
    container = io.BytesIO(build_compound_file(_STREAMS[0], measured))
    return _from_calamine(container, label=label, date_system=1904 if biff_records.uses_1904(measured) else 1900)


def _from_text(path: Path, beginning: bytes, *, label: str) -> OpenWorkbook:
    """Delimited text under the name of a workbook."""
    suffix = plain(path.suffix, limit=10)
    if instead := what_it_is_instead(beginning):
        raise InputError(f"{label} is {instead} saved as {suffix}; save it as .xlsx or CSV.")
    if not looks_delimited(beginning):
        raise InputError(f"{label} is not a sound workbook (damaged or another format); save it anew as .xlsx or CSV.")

    def read(_: str, label: str) -> CellGrid:
        return read_delimited(path, label=label, score=lambda record: 0)

    return OpenWorkbook((path.stem,), read)


def _from_calamine(measured: io.BytesIO, *, label: str, date_system: int) -> OpenWorkbook:
    book = _sound(lambda: CalamineWorkbook.from_filelike(measured), label=label)
    names = tuple(sheet.name for sheet in book.sheets_metadata if sheet.typ == SheetTypeEnum.WorkSheet)

    def read(name: str, label: str) -> CellGrid:
        sheet = _sound(lambda: book.get_sheet_by_name(name), label=label)
        rows = _sound(lambda: sheet.to_python(skip_empty_area=False), label=label)
        merged = _sound(lambda: sheet.merged_cell_ranges, label=label) or []
        width = max((len(row) for row in rows), default=0)
        _check_width(width, label=label)
        columns = (np.array([_cell_text(row[i]) for row in rows], dtype=object) for i in range(width))
        cells = pd.DataFrame(dict(enumerate(columns)), index=range(len(rows)), dtype=object)
        return _grid(cells, [(*first, *last) for first, last in merged], date_system)

    return OpenWorkbook(names, read)


def _ods_grid(sheet: OdsSheet, *, label: str, date_system: int) -> CellGrid:
    _check_width(sheet.columns, label=label)
    height = max(sheet.rows, default=-1) + 1
    if height * sheet.columns > _MOST_CELLS:
        raise InputError(
            f"{label} reaches to row {height:,} and column {sheet.columns:,}; delete the cells far from the table, or "
            "save the table as CSV."
        )
    table = np.full((height, sheet.columns), "", dtype=object)
    clean: dict[str, str] = {}
    for place, line in sheet.rows.items():
        for i, text in enumerate(line):
            if text:
                table[place, i] = clean.get(text) or clean.setdefault(text, CONTROL_CHARACTERS.sub(UNREADABLE, text))
    return _grid(pd.DataFrame(table, dtype=object), sheet.merged, date_system)


def _grid(cells: pd.DataFrame, merged: Sequence[tuple[int, int, int, int]], date_system: int) -> CellGrid:
    """The cells with their row numbers, merged ranges cut at their edge."""
    height, width = cells.shape
    within = tuple(
        (top, left, min(bottom, height - 1), min(right, width - 1))
        for top, left, bottom, right in merged[:_MOST_MERGED]
        if top < height and left < width and bottom >= top and right >= left
    )
    rows = np.arange(1, height + 1, dtype=np.int64)
    return CellGrid(cells, rows, merged=within, date_system=date_system)


def _check_width(width: int, *, label: str) -> None:
    if width > MOST_COLUMNS:
        raise InputError(f"{label} has {width:,} columns, more than {MOST_COLUMNS}; keep those that matter.")


def _cell_text(cell: _Cell) -> str:
    if isinstance(cell, str):
        return CONTROL_CHARACTERS.sub(UNREADABLE, cell)
    if isinstance(cell, bool):
        return str(cell).upper()
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, dt.datetime):
        return cell.date().isoformat() if cell.time() == _MIDNIGHT else cell.isoformat()
    if isinstance(cell, dt.date | dt.time):
        return cell.isoformat()
    return str(cell)


def _sound(call: Callable[[], _Answer], *, label: str) -> _Answer:
    """The answer of the cell reader, its refusals as one sentence."""
    try:
        return call()
    except PasswordError as error:
        raise InputError(f"{label} is protected by a password; save it without one.") from error
    except (CalamineError, OSError, ValueError, OverflowError) as error:
        raise InputError(
            f"{label} cannot be read as a workbook ({plain(str(error), limit=120)}); save it anew."
        ) from error
    except BaseException as error:
        # The reader's own panics are not Exceptions and have no importable name.
        if type(error).__name__ != "PanicException":
            raise
        raise InputError(f"{label} is a damaged workbook; save it anew.") from error
