"""Tables as CSV text, long ones in pieces that processes share."""

from collections.abc import Callable

import numpy as np
import pandas as pd

from wearmodel.processes import each

__all__ = ["csv_pieces"]

#: Rows that are written together.
_ROWS = 50_000


def csv_pieces(
    table: pd.DataFrame,
    *,
    float_format: str | None = None,
    prepare: Callable[[pd.DataFrame], pd.DataFrame] | None = None,
) -> list[bytes]:
    """A table as CSV text without its index, lines ending in a line feed.

    Parameters
    ----------
    table : pandas.DataFrame
        The table; its dates are days.
    float_format : str, optional
        Of numbers; default as many digits as tell them apart.
    prepare : callable, optional
        Makes the rows that are written out of rows of the table, each by itself.

    Returns
    -------
    list of bytes
        UTF-8; one after the other they are the file.
    """

    def piece(begin: int) -> bytes:
        rows = table.iloc[begin : begin + _ROWS]
        rows = rows if prepare is None else prepare(rows)
        if float_format is not None:
            rows = _with_written_numbers(rows, float_format)
        text = rows.to_csv(index=False, header=begin == 0, lineterminator="\n")
        return text.encode("utf-8")

    return each(piece, range(0, max(len(table), 1), _ROWS), near=True)


def _with_written_numbers(rows: pd.DataFrame, float_format: str) -> pd.DataFrame:
    """Rows with their numbers as text: pandas takes three times as long to write the same."""
    written = {
        str(name): [float_format % number if number == number else "" for number in column.tolist()]
        for name, column in rows.items()
        if column.dtype in (np.float64, np.float32)
    }
    return rows.assign(**written) if written else rows
