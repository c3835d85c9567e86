"""Forecasts of demand from its own past alone, which a life model has to beat.

All take monthly counts, one series a row, the oldest month first, and give the mean foreseen for each month ahead.
"""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["BASELINES", "SMOOTHING", "croston", "moving_average", "same_month_last_year", "sba", "tsb"]

Array = NDArray[Any]
#: Weight of the newest observation in all smoothing; common practice, no source.
SMOOTHING = 0.1
_WINDOW = 12


def moving_average(counts: Array) -> Array:
    """Mean of the last twelve months.

    Parameters
    ----------
    counts : ndarray, shape (n_series, n_months)
        Past demand.

    Returns
    -------
    ndarray, shape (n_series,)
        Mean a month; 0 without a past.
    """
    return counts[:, -_WINDOW:].mean(axis=1) if counts.shape[1] else np.zeros(len(counts))


def _smoothed(counts: Array, smoothing: float) -> tuple[Array, Array]:
    """Size of a demand and interval between demands, smoothed at each demand; NaN before the first."""
    size, interval = np.full(len(counts), np.nan), np.full(len(counts), np.nan)
    since = np.ones(len(counts))
    for month in counts.T:
        came = month > 0
        first = came & np.isnan(size)
        later = came & ~first
        size[later] += smoothing * (month[later] - size[later])
        interval[later] += smoothing * (since[later] - interval[later])
        size[first], interval[first] = month[first], since[first]
        since = np.where(came, 1.0, since + 1.0)
    return size, interval


def croston(counts: Array, *, smoothing: float = SMOOTHING) -> Array:
    """Croston's forecast of intermittent demand.

    Parameters
    ----------
    counts : ndarray, shape (n_series, n_months)
        Past demand.
    smoothing : float
        Weight of the newest size and interval, 0 to 1.

    Returns
    -------
    ndarray, shape (n_series,)
        Mean a month; 0 where nothing was ever taken.

    References
    ----------
    Croston, Operational Research Quarterly 23, 1972; begun with the first size and the first interval.
    """
    size, interval = _smoothed(counts, smoothing)
    return np.nan_to_num(size / interval)


def sba(counts: Array, *, smoothing: float = SMOOTHING) -> Array:
    """Croston's forecast with its bias taken out.

    Parameters
    ----------
    counts, smoothing
        As for `croston`.

    Returns
    -------
    ndarray, shape (n_series,)
        Mean a month.

    References
    ----------
    Syntetos & Boylan, International Journal of Forecasting 21, 2005: the factor 1 - smoothing / 2.
    """
    return (1.0 - smoothing / 2.0) * croston(counts, smoothing=smoothing)


def tsb(counts: Array, *, smoothing: float = SMOOTHING) -> Array:
    """Chance of a demand, smoothed every month, times its size, smoothed at each demand.

    Parameters
    ----------
    counts, smoothing
        As for `croston`.

    Returns
    -------
    ndarray, shape (n_series,)
        Mean a month; it falls while nothing is taken.

    References
    ----------
    Teunter, Syntetos & Babai, European Journal of Operational Research 214, 2011; begun with 1 over the first interval.
    """
    size, chance = np.full(len(counts), np.nan), np.full(len(counts), np.nan)
    for passed, month in enumerate(counts.T, start=1):
        came = month > 0
        first = came & np.isnan(size)
        begun = ~np.isnan(size)
        chance[begun] += smoothing * (came[begun] - chance[begun])
        later = came & begun
        size[later] += smoothing * (month[later] - size[later])
        size[first], chance[first] = month[first], 1.0 / passed
    return np.nan_to_num(size * chance)


def same_month_last_year(counts: Array, months: int) -> Array:
    """What was taken in the same month of the year before.

    Parameters
    ----------
    counts : ndarray, shape (n_series, n_months)
        Past demand, the last column the month before the first one ahead.
    months : int
        Months ahead.

    Returns
    -------
    ndarray, shape (n_series, months)
        The mean of the past where it is shorter than a year.
    """
    if counts.shape[1] < _WINDOW:
        return np.repeat(moving_average(counts)[:, None], months, axis=1)
    return counts[:, -_WINDOW:][:, np.arange(months) % _WINDOW].astype(float)


def _level(forecast: Callable[[Array], Array]) -> Callable[[Array, int], Array]:
    """The same for every month ahead."""

    def repeated(counts: Array, months: int) -> Array:
        return np.repeat(forecast(counts)[:, None], months, axis=1)

    return repeated


#: By the word that tables have for it: from past counts and a number of months to the means of those months.
BASELINES: Mapping[str, Callable[[Array, int], Array]] = {
    "moving average": _level(moving_average),
    "Croston": _level(croston),
    "Syntetos-Boylan": _level(sba),
    "Teunter-Syntetos-Babai": _level(tsb),
    "same month last year": same_month_last_year,
}
