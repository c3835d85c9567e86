"""A plain function applied to tables of any length by calling it once for each distinct row."""

from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

__all__ = ["map_distinct"]


def map_distinct(function: Callable[..., object], *columns: npt.NDArray[Any]) -> npt.NDArray[np.object_]:
    """Results of a function of one row, for every row.

    Parameters
    ----------
    function : callable
        Takes one value of each column; called once for each distinct combination.
    *columns : numpy.ndarray
        Columns of hashable values, all of one length.

    Returns
    -------
    numpy.ndarray of object
        In the order of the rows.
    """
    if not columns or len(columns[0]) == 0:
        return np.empty(0, dtype=object)
    combined = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        codes, distinct = pd.factorize(column, use_na_sentinel=False)
        # Renumbered at every step, so that the product of the counts cannot overflow.
        combined, _ = pd.factorize(combined * max(len(distinct), 1) + codes)
    # They are numbered as they appear: a row is the first of its kind where the highest number so far goes up.
    first = np.flatnonzero(np.diff(np.maximum.accumulate(combined), prepend=-1))
    results = np.fromiter(map(function, *(column[first] for column in columns)), dtype=object, count=len(first))
    return results[combined]
