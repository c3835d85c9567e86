"""What the record itself shows, with no curve assumed."""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.survival.risk_sets import hazard_steps
from wearmodel.survival.turnbull import turnbull_curve

__all__ = ["mean_cumulative_function", "nonparametric_curve"]

Array = NDArray[Any]
#: Beyond so many lives known to intervals ages are told to steps of a grid.
_MANY_LIVES, _GRID_STEPS = 2_000, 500
_COLUMNS = ("distance", "survival", "lower", "upper", "at_risk")


def nonparametric_curve(lives: pd.DataFrame, *, confidence: float = 0.9) -> pd.DataFrame:
    """Survival curve of the record with late entry, and its band.

    Parameters
    ----------
    lives : pandas.DataFrame
        Lives of one component with `entry, stop_low, stop_high, weight` (0 to 1).
    confidence : float
        Of the pointwise band, two-sided.

    Returns
    -------
    pandas.DataFrame
        Columns `distance, survival, lower, upper, at_risk`, a step at each failure; empty without a failure.

    Notes
    -----
    Breslow-Fleming-Harrington where every failure is seen to the distance; where some are known to an interval,
    Turnbull's curve; of more than 2,000 lives with ages told to a five-hundredth of the largest, which is finer than
    can be drawn and settles where ages as they are would not in 20,000 rounds. The band is the
    Breslow-Fleming-Harrington one with such failures at the middle of their intervals, moved onto the curve:
    pointwise, and lives taken as independent.
    """
    used = lives[lives["weight"] > 0]
    low, high = used["stop_low"].to_numpy(dtype=float), used["stop_high"].to_numpy(dtype=float)
    entry, weight = used["entry"].to_numpy(dtype=float), used["weight"].to_numpy(dtype=float)
    failed = np.isfinite(high)
    stop = np.where(failed, (low + np.where(failed, high, 0.0)) / 2.0, low)
    seen = stop > entry
    if not (failed & seen).any():
        return pd.DataFrame({name: [] for name in _COLUMNS}, dtype=float)
    steps = hazard_steps(entry=entry[seen], stop=stop[seen], failed=failed[seen], weight=weight[seen])
    at, survival, place = steps.age, steps.survival, np.arange(len(steps.age))
    if (high[failed] > low[failed]).any():
        ages = (entry, low, high, weight) if len(low) <= _MANY_LIVES else _on_a_grid(entry, low, high, weight)
        curve = turnbull_curve(entry=ages[0], stop_low=ages[1], stop_high=ages[2], weight=ages[3])
        ends = np.isfinite(curve.high) & (curve.survival > 0)
        at, survival = curve.high[ends], curve.survival[ends]
        place = np.clip(np.searchsorted(steps.age, at, side="right") - 1, 0, len(place) - 1)
    spread = steps.spread(confidence)[place]
    columns = (at, survival, survival**spread, survival ** (1.0 / spread), steps.at_risk[place])
    return pd.DataFrame(dict(zip(_COLUMNS, columns, strict=True)))


def _on_a_grid(entry: Array, low: Array, high: Array, weight: Array) -> tuple[Array, Array, Array, Array]:
    """Lives with ages told to the nearest step of a grid, equal ones counted once with the sum of their weights.

    Looks at one age stay at one age: intervals that are widened instead overlap, and share what lies between them.
    """
    failed = np.isfinite(high)
    step = float(np.where(failed, high, low).max()) / _GRID_STEPS
    begin, good = np.rint(entry / step), np.rint(low / step)
    bad = np.where(failed, np.maximum(np.rint(high / step), begin + 1.0), np.inf)
    rows, row = np.unique(np.column_stack([begin, good, bad]), axis=0, return_inverse=True)
    ages = rows * step
    return ages[:, 0], ages[:, 1], ages[:, 2], np.bincount(row.reshape(-1), weight)


def mean_cumulative_function(*, unit: Array, age: Array, entry: Array, exit_age: Array) -> pd.DataFrame:
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
    """Sum over units of the squared difference between their own count and the mean count, at each distinct age.

    The square of a unit's count less what was expected of it is taken apart, and each part summed over units by
    running sums over ages: after age number i a unit has met X[c] - X[low] with c = i + 1 between its entry and its
    exit, X[high] - X[low] later.
    """
    size = len(times) + 1
    mean = np.concatenate([[0.0], np.cumsum(step / at_risk)])
    low = np.searchsorted(times, entry, side="right")
    high = np.maximum(np.searchsorted(times, exit_age, side="right"), low)

    def running(start: Array, value: Array) -> Array:
        return np.cumsum(np.bincount(start, value, minlength=size + 1))[:size]

    def between(start: Array, stop: Array, value: Array) -> Array:
        return running(start, value) - running(stop, value)

    begun = mean[low]
    met = mean[high] - begun
    expected = between(low, high, np.ones(len(low))) * mean**2 - 2.0 * mean * between(low, high, begun)
    expected += between(low, high, begun**2) + running(high, met**2)
    order = np.lexsort((where, unit))
    of, at = unit[order], where[order] + 1
    jump = 1.0 / at_risk[at - 1]
    total = np.cumsum(jump)
    first = np.searchsorted(of, of, side="left")
    before = total - jump - (total[first] - jump[first])
    own = running(at, jump * (jump + 2.0 * before))
    start = np.maximum(at, low[of])
    stop = np.maximum(high[of], start)
    both = mean * between(start, stop, jump) - between(start, stop, jump * begun[of]) + running(stop, jump * met[of])
    return np.asarray(np.maximum(own - 2.0 * both + expected, 0.0)[1:])
