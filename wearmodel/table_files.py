"""Result tables as CSV files that a spreadsheet program can open without harm."""

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from wearmodel.csv_text import csv_pieces
from wearmodel.errors import OutputError
from wearmodel.output_files import staging_folder, write_problem

__all__ = ["table_texts", "write_tables", "write_texts"]

# A cell that begins with one of these is taken for a formula by spreadsheet programs.
_FORMULA_MARKS = ("=", "+", "-", "@", "\t", "\r")
_NOTICE = "TABLES_OF_TWO_RUNS.txt"
_NOTICE_TEXT = (
    "A run of wearmodel was stopped while it put its tables here: some of these may still be of the run before. "
    "Run it again."
)


def _harmless(table: pd.DataFrame) -> pd.DataFrame:
    """Text that looks like a formula gets a leading apostrophe; dates become ISO text."""
    out = table.copy()
    for name in out.columns:
        column = out[name]
        if pd.api.types.is_datetime64_any_dtype(column):
            # Many rows share few days.
            place, days = pd.factorize(column)
            written = np.append(pd.DatetimeIndex(days).strftime("%Y-%m-%d").to_numpy(dtype=object), np.nan)
            out[name] = written[place]
        elif (column.dtype == object or pd.api.types.is_string_dtype(column)) and _has_formula_mark(column):
            text = column.astype(str)
            risky = text.str.startswith(_FORMULA_MARKS) & column.map(lambda cell: isinstance(cell, str))
            out[name] = column.where(~risky, "'" + text)
    return out


def _has_formula_mark(column: "pd.Series[Any]") -> bool:
    """Whether any text of a column looks like a formula; many rows share few texts."""
    return any(isinstance(cell, str) and cell.startswith(_FORMULA_MARKS) for cell in column.unique())


def table_texts(tables: Mapping[str, pd.DataFrame], *, names: tuple[str, ...]) -> dict[str, list[bytes]]:
    """Tables as the text of CSV files.

    Parameters
    ----------
    tables : mapping of str to pandas.DataFrame
        Result tables.
    names : tuple of str
        Which tables, in order; those that do not exist are passed over.

    Returns
    -------
    dict of str to list of bytes
        Pieces of each file, by the name of the table.
    """
    return {name: _text(tables[name]) for name in names if name in tables}


def _text(table: pd.DataFrame) -> list[bytes]:
    return csv_pieces(table, float_format="%.10g", prepare=_harmless)


def write_tables(tables: Mapping[str, pd.DataFrame], folder: Path, *, names: tuple[str, ...]) -> None:
    """Write tables as CSV, all of them or none.

    Every table is complete before the first takes the place of its predecessor.

    Parameters
    ----------
    tables : mapping of str to pandas.DataFrame
        Result tables.
    folder : Path
        Target folder; made when missing, its parent must exist.
    names : tuple of str
        Which tables, in order; those that do not exist are passed over.

    Raises
    ------
    OutputError
        If the folder cannot be written.
    """
    _write_files(((name, _text(tables[name])) for name in names if name in tables), folder)


def write_texts(texts: Mapping[str, list[bytes]], folder: Path) -> None:
    """Write tables whose texts are there, see `write_tables`.

    Parameters
    ----------
    texts : mapping of str to list of bytes
        From `table_texts`.
    folder : Path
        Target folder.

    Raises
    ------
    OutputError
        If the folder cannot be written.
    """
    _write_files(texts.items(), folder)


def _write_files(texts: Iterable[tuple[str, list[bytes]]], folder: Path) -> None:
    """Write one file a table beside the others, then put all in place."""
    written: list[str] = []
    try:
        folder.mkdir(exist_ok=True)
        with staging_folder(folder) as place:
            for name, pieces in texts:
                written.append(f"{name}.csv")
                with (place / written[-1]).open("wb") as file:
                    file.writelines(pieces)
                    file.flush()
                    os.fsync(file.fileno())
            _move_all(place, folder, written)
    except OSError as error:
        raise OutputError(write_problem(f"Tables cannot be written to {folder}", error)) from None


def _move_all(place: Path, folder: Path, names: Iterable[str]) -> None:
    """Put the new tables in the place of the old ones; where one cannot be moved, all old ones come back.

    Only a run that is killed during these few renames can leave tables of two runs: then the notice stays.
    """
    notice, before = folder / _NOTICE, place / "before"
    before.mkdir()
    named = set(notice.read_text(encoding="utf-8").splitlines()[1:]) if notice.is_file() else set()
    told = sorted({*named, *names})
    notice.write_text("\n".join([_NOTICE_TEXT, *told]) + "\n", encoding="utf-8")
    moved: list[str] = []
    try:
        for name in names:
            if (folder / name).exists():
                os.replace(folder / name, before / name)
            moved.append(name)
            os.replace(place / name, folder / name)
    except OSError:
        for name in moved:
            if (before / name).exists():
                os.replace(before / name, folder / name)
            else:
                (folder / name).unlink(missing_ok=True)
        if not named:
            notice.unlink()
        raise
    if named <= set(names):
        notice.unlink()
