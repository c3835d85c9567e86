"""Tables as CSV text, long ones in pieces that processes share."""

from collections.abc import Callable

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
        text = rows.to_csv(index=False, header=begin == 0, float_format=float_format, lineterminator="\n")
        return text.encode("utf-8")

    return each(piece, range(0, max(len(table), 1), _ROWS), near=True)
