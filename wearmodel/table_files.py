"""Result tables as CSV files that a spreadsheet program can open without harm."""

import os
from collections.abc import Iterable, Mapping
from pathlib import Path

import pandas as pd

from wearmodel.csv_text import csv_pieces
from wearmodel.errors import OutputError
from wearmodel.output_files import staging_folder, write_problem

__all__ = ["write_tables"]

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
            out[name] = column.dt.strftime("%Y-%m-%d")
        elif column.dtype == object or pd.api.types.is_string_dtype(column):
            text = column.astype(str)
            risky = text.str.startswith(_FORMULA_MARKS) & column.map(lambda cell: isinstance(cell, str))
            out[name] = column.where(~risky, "'" + text)
    return out


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
    try:
        folder.mkdir(exist_ok=True)
        with staging_folder(folder) as place:
            written = [f"{name}.csv" for name in names if name in tables]
            for name in written:
                pieces = csv_pieces(tables[name.removesuffix(".csv")], float_format="%.10g", prepare=_harmless)
                with (place / name).open("wb") as file:
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
