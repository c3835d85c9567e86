"""What the record itself shows, with no curve assumed."""

import warnings
from typing import Any

import numpy as np
import pandas as pd
from lifelines import NelsonAalenFitter
from numpy.typing import NDArray

__all__ = ["mean_cumulative_function", "nonparametric_curve"]

Array = NDArray[Any]


def nonparametric_curve(lives: pd.DataFrame) -> pd.DataFrame:
    """Breslow-Fleming-Harrington survival curve with late entry.

    Parameters
    ----------
    lives : pandas.DataFrame
        Lives of one component with `entry, stop_low, stop_high, weight` (0 to 1).

    Returns
    -------
    pandas.DataFrame
        Columns `distance, survival, at_risk`, a step at each failure; empty without a failure.

    Notes
    -----
    exp(-Nelson-Aalen) from lifelines. A failure known to an interval counts at its middle: good
    enough to look at beside a curve, not to estimate from.
    """
    used = lives[lives["weight"] > 0]
    low, high = used["stop_low"].to_numpy(), used["stop_high"].to_numpy()
    failed = np.isfinite(high)
    stop = np.where(failed, (low + np.where(failed, high, 0.0)) / 2.0, low)
    entry = used["entry"].to_numpy()
    seen = stop > entry
    if not (failed & seen).any():
        return pd.DataFrame({"distance": [], "survival": [], "at_risk": []}, dtype=float)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fitter = NelsonAalenFitter(nelson_aalen_smoothing=False)
        fitter.fit(stop[seen], failed[seen], entry=entry[seen], weights=used["weight"].to_numpy()[seen])
    table = fitter.event_table
    steps = table[table["observed"] > 0]
    hazard = fitter.cumulative_hazard_.iloc[:, 0].reindex(steps.index)
    return pd.DataFrame(
        {
            "distance": steps.index.to_numpy(dtype=float),
            "survival": np.exp(-hazard.to_numpy(dtype=float)),
            "at_risk": steps["at_risk"].to_numpy(dtype=float),
        }
    )


def mean_cumulative_function(
    *, unit: Array, age: Array, entry: Array, exit_age: Array
) -> pd.DataFrame:
    """Mean cumulative number of replacements per unit, with robust standard errors.

    Parameters
    ----------
    unit : ndarray of int, shape (n_events,)
        Unit index of each replacement.
    age : ndarray, shape (n_events,)
        Age of the unit at each replacement [distance].
    entry, exit_age : ndarray, shape (n_units,)
        Ages between which each unit was observed [distance].

    Returns
    -------
    pandas.DataFrame
        Columns `distance, at_risk, mcf, se`, one row a distinct replacement age.

    References
    ----------
    Nelson (1995), Technometrics 37; variance of Lawless & Nadeau (1995), Technometrics 37, eq. 2.4.
    """
    times, where = np.unique(age, return_inverse=True)
    if len(times) == 0:
        return pd.DataFrame({"distance": [], "at_risk": [], "mcf": [], "se": []}, dtype=float)
    # Observed over (entry, exit]: a replacement at the very end still counts.
    starts, ends = np.sort(entry), np.sort(exit_age)
    at_risk = np.searchsorted(starts, times, side="left") - np.searchsorted(ends, times, side="left")
    at_risk = np.maximum(at_risk, 1)
    step = np.bincount(where) / at_risk
    mcf = np.cumsum(step)
    variance = _robust_variance(unit, where, entry, exit_age, times, at_risk, step)
    return pd.DataFrame({"distance": times, "at_risk": at_risk, "mcf": mcf, "se": np.sqrt(variance)})


def _robust_variance(
    unit: Array, where: Array, entry: Array, exit_age: Array, times: Array, at_risk: Array, step: Array
) -> Array:
    """Sum over units of the squared difference between their own count and the mean count."""
    own = np.zeros(len(times))
    expected = np.concatenate([[0.0], np.cumsum(step / at_risk)])
    order = np.argsort(unit, kind="stable")
    first = np.searchsorted(unit[order], np.arange(len(entry)))
    last = np.searchsorted(unit[order], np.arange(len(entry)), side="right")
    low = np.searchsorted(times, entry, side="right")
    high = np.searchsorted(times, exit_age, side="right")
    reached = np.arange(1, len(times) + 1)
    for index in range(len(entry)):
        at = where[order[first[index] : last[index]]]
        counted = np.bincount(at, minlength=len(times)) / at_risk if len(at) else 0.0
        upto = np.clip(reached, low[index], max(high[index], low[index]))
        own += (np.cumsum(counted) - (expected[upto] - expected[low[index]])) ** 2
    return own
