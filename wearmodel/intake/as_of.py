"""The day the records are read for, and the day they begin, where nobody says."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

__all__ = ["earliest_date", "newest_date"]

_GAP = np.timedelta64(366, "D")
_STRAY_SHARE = 0.01


def newest_date(columns: Sequence[npt.NDArray[np.datetime64]]) -> pd.Timestamp | None:
    """The last day of the records, stray days far behind all others not counted.

    Parameters
    ----------
    columns : sequence of numpy.ndarray of datetime64
        Date columns of the record; NaT is passed over.

    Returns
    -------
    pandas.Timestamp or None
        None without any date.

    Notes
    -----
    A slip such as 2062 for 2026 must not move the whole record: days that more than a year separates from the
    rest, and that make up less than a hundredth of the rows, are stray.

    Examples
    --------
    >>> newest_date([np.array(["2026-06-01"] * 300 + ["2062-06-01"], dtype="M8[ns]")])
    Timestamp('2026-06-01 00:00:00')
    """
    days = _sorted_days(columns)
    return None if days.size == 0 else pd.Timestamp(days[: days.size - _stray(days[::-1])][-1])


def earliest_date(columns: Sequence[npt.NDArray[np.datetime64]]) -> pd.Timestamp | None:
    """The first day of the records, stray days far before all others not counted.

    Parameters
    ----------
    columns : sequence of numpy.ndarray of datetime64
        Date columns of the record; NaT is passed over.

    Returns
    -------
    pandas.Timestamp or None
        None without any date.
    """
    days = _sorted_days(columns)
    return None if days.size == 0 else pd.Timestamp(days[_stray(days) :][0])


def _sorted_days(columns: Sequence[npt.NDArray[np.datetime64]]) -> npt.NDArray[np.datetime64]:
    days = np.concatenate([np.asarray(column, dtype="M8[ns]") for column in columns] or [np.empty(0, dtype="M8[ns]")])
    return np.sort(days[~np.isnat(days)])


def _stray(days: npt.NDArray[np.datetime64]) -> int:
    """How many days at the beginning of an ordered array a wide gap parts from the rest."""
    candidates = int(days.size * _STRAY_SHARE)
    steps = np.abs(np.diff(days[: candidates + 1]))
    wide = np.flatnonzero(steps > _GAP)
    return int(wide[-1]) + 1 if wide.size else 0
