"""XLSX workbooks, as text cells with the row numbers a spreadsheet shows."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import numpy as np
import pandas as pd
from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum

from wearmodel.errors import InputError
from wearmodel.intake.delimited_text import MOST_COLUMNS, UNREADABLE, CellGrid
from wearmodel.intake.plain_text import CONTROL_CHARACTERS, plain
from wearmodel.intake.workbook_bounds import bounded_archive

__all__ = ["open_workbook", "sheet_grid", "sheet_names"]

_Cell = int | float | str | bool | dt.time | dt.date | dt.datetime | dt.timedelta
_Answer = TypeVar("_Answer")
_MIDNIGHT = dt.time()


def open_workbook(path: Path, *, label: str) -> CalamineWorkbook:
    """Open a workbook once it is known to be within bounds.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    label : str
        Its name for error sentences.

    Returns
    -------
    python_calamine.CalamineWorkbook
        Open for reading.

    Raises
    ------
    InputError
        The file is no workbook, is damaged, protected or beyond the bounds.
    """
    archive = bounded_archive(path, label=label)
    return _sound(lambda: CalamineWorkbook.from_filelike(archive), label=label)


def sheet_names(workbook: CalamineWorkbook) -> list[str]:
    """Names of the sheets that hold cells, in workbook order.

    Parameters
    ----------
    workbook : python_calamine.CalamineWorkbook
        Open workbook.

    Returns
    -------
    list of str
        Charts and macro sheets are passed over.
    """
    return [sheet.name for sheet in workbook.sheets_metadata if sheet.typ == SheetTypeEnum.WorkSheet]


def sheet_grid(workbook: CalamineWorkbook, sheet: str, *, label: str) -> CellGrid:
    """Read all cells of a sheet.

    Parameters
    ----------
    workbook : python_calamine.CalamineWorkbook
        Open workbook.
    sheet : str
        Name of one of its sheets.
    label : str
        Name of file and sheet for error sentences.

    Returns
    -------
    CellGrid
        Numbers without a trailing `.0`, dates in ISO form, spreadsheet error values blank.

    Raises
    ------
    InputError
        The sheet is damaged or has too many columns.
    """
    rows = _sound(
        lambda: workbook.get_sheet_by_name(sheet).to_python(skip_empty_area=False),
        label=label,
    )
    width = max((len(row) for row in rows), default=0)
    if width > MOST_COLUMNS:
        raise InputError(f"{label} has {width:,} columns, more than {MOST_COLUMNS}; keep those that matter.")
    columns = (np.array([_cell_text(row[i]) for row in rows], dtype=object) for i in range(width))
    cells = pd.DataFrame(dict(enumerate(columns)), index=range(len(rows)), dtype=object)
    return CellGrid(cells, np.arange(1, len(cells) + 1, dtype=np.int64))


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
    except (CalamineError, OSError, ValueError, OverflowError) as error:
        raise InputError(
            f"{label} cannot be read as an .xlsx workbook ({plain(str(error), limit=120)}); save it anew."
        ) from error
    except BaseException as error:
        # The reader's own panics are not Exceptions and have no importable name.
        if type(error).__name__ != "PanicException":
            raise
        raise InputError(f"{label} is a damaged .xlsx workbook; save it anew.") from error
