"""Rows of a small frame as named tuples.

The stubs of pandas give every cell of `itertuples` the union of all types a cell can have; a
declared table is known better than that, so its rows are typed loosely here, in one place.
"""

from collections.abc import Iterator
from typing import Any

import pandas as pd

__all__ = ["frame_rows"]


def frame_rows(frame: pd.DataFrame) -> Iterator[Any]:
    """Rows of a frame, one named tuple each, without the index.

    Parameters
    ----------
    frame : pandas.DataFrame
        Column names must be identifiers.

    Yields
    ------
    namedtuple
        One field a column.
    """
    yield from frame.itertuples(index=False)
