"""Rows in the order of what they say, so that answers do not hang on the order in which a shop exported them."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

__all__ = ["in_content_order"]


def in_content_order(frame: pd.DataFrame, names: Sequence[str]) -> pd.DataFrame:
    """The same rows, ordered by those columns; rows alike in all of them keep their order.

    Parameters
    ----------
    frame : pandas.DataFrame
        A table.
    names : sequence of str
        Columns to go by, the first one first.

    Returns
    -------
    pandas.DataFrame
        The rows under a new index.

    Notes
    -----
    Sums of floating-point numbers differ in their last digits when their terms change places, and drawn futures belong
    to rows: without this a sorted export gives another budget than an unsorted one, within what chance allows.
    """
    if len(frame) < 2 or not names:
        return frame.reset_index(drop=True)
    # Later columns decide between rows alike in the earlier ones; most tables are settled by unit and date.
    groups, order = np.zeros(len(frame), dtype=np.int64), np.arange(len(frame))
    for name in names:
        codes = pd.factorize(frame[name].to_numpy()[order], sort=True)[0]
        within = np.lexsort((codes, groups))
        order, codes, groups = order[within], codes[within], groups[within]
        new = np.r_[True, (np.diff(groups) != 0) | (np.diff(codes) != 0)]
        groups = np.cumsum(new)
        if groups[-1] == len(frame):
            break
    return frame.iloc[order].reset_index(drop=True)
