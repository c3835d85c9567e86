"""What a table column is, and where a written table stands on its sheet."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from xlsxwriter.utility import quote_sheetname, xl_rowcol_to_cell

from workbook.planner.cell_text import clean_text

__all__ = ["Column", "Place", "cell_values"]

_TEXT_KINDS = frozenset({"text", "mixed"})
_SERIAL_ZERO = pd.Timestamp("1899-12-30")
_FIRST_SAFE_SERIAL = 61.0  # before March 1900 the spreadsheet calendar is a day off


@dataclass(frozen=True)
class Column:
    """One column of a table.

    Parameters
    ----------
    name : str
        Column of the frame.
    header : str
        Header with its unit.
    kind : str
        `text`, `mixed` (text or number, cell by cell) or a number kind of `formats`.
    role : str
        `body`, `input` or `live`.
    formula : str
        Formula of a live column; `{other}` stands for the cell of column `other` in the same row, or for
        the row's own entry of the table's `references`. The frame's value is its cached value.
    widest : int
        Text wider than this wraps [pixel].
    merge : int
        Sheet columns each cell is merged over, where a text has to fit below other tables.
    """

    name: str
    header: str
    kind: str = "text"
    role: str = "body"
    formula: str = ""
    widest: int = 420
    merge: int = 1

    @property
    def is_text(self) -> bool:
        """Whether cells may hold text from data."""
        return self.kind in _TEXT_KINDS


@dataclass(frozen=True)
class Place:
    """Where a table's rows stand; rows and columns count from 0.

    Parameters
    ----------
    sheet : str
        Sheet name.
    first_row, last_row : int
        Rows of data; `last_row < first_row` for an empty table.
    columns : mapping of str to int
        Sheet column of each table column.
    """

    sheet: str
    first_row: int
    last_row: int
    columns: Mapping[str, int]

    @property
    def rows(self) -> int:
        """Number of data rows."""
        return self.last_row - self.first_row + 1

    def cell(self, name: str, index: int) -> str:
        """Reference to one cell, from anywhere in the workbook."""
        address = xl_rowcol_to_cell(
            self.first_row + index, self.columns[name], row_abs=True, col_abs=True
        )
        return f"{quote_sheetname(self.sheet)}!{address}"

    def range(self, name: str, *, first: int = 0, last: int | None = None) -> str:
        """Reference to a stretch of one column, from anywhere in the workbook."""
        last = self.rows - 1 if last is None else last
        start = self.cell(name, first)
        end = xl_rowcol_to_cell(self.first_row + last, self.columns[name], row_abs=True, col_abs=True)
        return f"{start}:{end}"

    def series(self, name: str, *, first: int = 0, last: int | None = None) -> str:
        """The same stretch as a chart wants it."""
        return f"={self.range(name, first=first, last=last)}"


def _date_serials(values: "pd.Series[Any]") -> list[float | str]:
    """Spreadsheet serial numbers; NaN for no date, ISO text where a spreadsheet has no such date."""
    stamps = pd.to_datetime(values, errors="coerce")
    serials = ((stamps - _SERIAL_ZERO) / pd.Timedelta(days=1)).to_numpy(dtype=float)
    early = serials < _FIRST_SAFE_SERIAL
    out: list[float | str] = list(serials.tolist())
    for i in np.flatnonzero(early):
        out[i] = stamps.iloc[i].date().isoformat()
    return out


def _month_serials(values: "pd.Series[Any]") -> list[float | str]:
    """Serial of each month's first day; anything that is no month stays text."""
    serials = _date_serials(pd.to_datetime(values.astype("string"), format="%Y-%m", errors="coerce"))
    return [
        clean_text(text) if clean_text(text) and serial != serial else serial
        for text, serial in zip(values, serials, strict=True)
    ]


def _mixed(value: Any) -> float | str:
    """A number as a number, anything else as text."""
    if isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool):
        return float(value)
    return clean_text(value)


_CONVERTERS: Mapping[str, Callable[["pd.Series[Any]"], list[float | str]]] = {
    "text": lambda values: [clean_text(v) for v in values],
    "mixed": lambda values: [_mixed(v) for v in values],
    "date": _date_serials,
    "month": _month_serials,
}


def cell_values(values: "pd.Series[Any]", *, kind: str) -> list[float | str]:
    """Cell contents of a column: text, or numbers with NaN for nothing.

    Parameters
    ----------
    values : pandas.Series
        Column of a frame.
    kind : str
        Kind of the column.

    Returns
    -------
    list of float or str
        One entry a row.
    """
    if kind in _CONVERTERS:
        return _CONVERTERS[kind](values)
    numbers = pd.to_numeric(values, errors="coerce").to_numpy(dtype=float, na_value=np.nan)
    return [float(v) for v in np.where(np.isfinite(numbers), numbers, np.nan)]
