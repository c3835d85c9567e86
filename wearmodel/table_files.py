"""Result tables as CSV files that a spreadsheet program can open without harm."""

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

import pandas as pd

from wearmodel.csv_text import csv_pieces
from wearmodel.errors import OutputError

__all__ = ["write_tables"]

# A cell that begins with one of these is taken for a formula by spreadsheet programs.
_FORMULA_MARKS = ("=", "+", "-", "@", "\t", "\r")


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
        with tempfile.TemporaryDirectory(dir=folder, prefix=".wearmodel-") as place:
            written = [name for name in names if name in tables]
            for name in written:
                pieces = csv_pieces(tables[name], float_format="%.10g", prepare=_harmless)
                (Path(place) / f"{name}.csv").write_bytes(b"".join(pieces))
            for name in written:
                os.replace(Path(place) / f"{name}.csv", folder / f"{name}.csv")
    except OSError as error:
        raise OutputError(
            f"Tables cannot be written to {folder}: {error.strerror or error}; choose another place."
        ) from None
