"""How often to look: defects that can be seen for a while before they become failures.

Only NumPy here. A defect (a torn boot, a loose joint) arises at a constant rate, can be seen from then on,
and becomes a failure after a delay with an exponential law. Distances share one unit, costs one currency;
everything broadcasts.
"""

import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["inspect_every", "inspection_cost_rate", "missed_share"]

Array = NDArray[Any]

_MOST_STEPS = 200
_CONVERGED = 1e-14


def missed_share(every: ArrayLike, *, mean_delay: ArrayLike, find_chance: ArrayLike = 1.0) -> Array:
    """Share of the defects that become failures before an inspection finds them.

    Parameters
    ----------
    every : array_like
        Distance between inspections T, 0 or more; `inf` is never [distance].
    mean_delay : array_like
        Mean distance from a visible defect to the failure, above 0 [distance].
    find_chance : array_like
        Chance r that an inspection finds a defect that is there, 0 to 1.

    Returns
    -------
    ndarray
        0 to 1.

    Notes
    -----
    1 - (r / x)(1 - q) / (1 - (1 - r) q) with x = T / mean_delay, q = exp(-x); with a perfect inspection
    1 - (1 - q) / x.

    References
    ----------
    Christer & Waller, Delay Time Models of Industrial Inspection Maintenance Problems, J. Opl Res. Soc. 35
    (1984).

    Examples
    --------
    >>> round(float(missed_share(10.0, mean_delay=10.0)), 8)
    0.36787944
    """
    chance = np.asarray(find_chance, dtype=float)
    delays = np.asarray(every, dtype=float) / np.asarray(mean_delay, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        grown = -np.expm1(-delays)
        seen = grown / delays * chance / (chance + (1.0 - chance) * grown)
    # At 0 the ratio has no value of its own: looking all the time with any chance at all finds every defect.
    seen = np.where(delays == 0.0, np.where(chance > 0.0, 1.0, 0.0), seen)
    return np.where(np.isinf(delays), 1.0, 1.0 - seen)


def inspection_cost_rate(
    every: ArrayLike,
    *,
    defect_rate: ArrayLike,
    mean_delay: ArrayLike,
    inspection_cost: ArrayLike,
    found_cost: ArrayLike,
    failed_cost: ArrayLike,
    find_chance: ArrayLike = 1.0,
) -> Array:
    """Long-run cost per distance of inspections, of defects found by them and of failures.

    Parameters
    ----------
    every : array_like
        Distance between inspections T, above 0; `inf` is never [distance].
    defect_rate : array_like
        Defects that arise per distance k [1 / distance].
    mean_delay : array_like
        Mean distance from a visible defect to the failure [distance].
    inspection_cost, found_cost, failed_cost : array_like
        Cost of one inspection, of one defect put right in time, of one failure [currency].
    find_chance : array_like
        Chance that an inspection finds a defect that is there, 0 to 1.

    Returns
    -------
    ndarray
        inspection_cost / T + k (b failed_cost + (1 - b) found_cost), b the missed share
        [currency / distance].

    Examples
    --------
    >>> costs = {"inspection_cost": 20.0, "found_cost": 100.0, "failed_cost": 500.0}
    >>> round(float(inspection_cost_rate(5.0, defect_rate=0.1, mean_delay=10.0, **costs)), 6)
    22.522453
    """
    missed = missed_share(every, mean_delay=mean_delay, find_chance=find_chance)
    per_defect = missed * np.asarray(failed_cost) + (1.0 - missed) * np.asarray(found_cost)
    with np.errstate(divide="ignore"):
        looking = np.asarray(inspection_cost, dtype=float) / np.asarray(every, dtype=float)
    return np.asarray(looking + np.asarray(defect_rate) * per_defect, dtype=float)


def inspect_every(
    *,
    defect_rate: ArrayLike,
    mean_delay: ArrayLike,
    inspection_cost: ArrayLike,
    found_cost: ArrayLike,
    failed_cost: ArrayLike,
) -> Array:
    """Distance between inspections of the least long-run cost, for inspections that miss nothing.

    Parameters
    ----------
    defect_rate : array_like
        Defects that arise per distance k, above 0 [1 / distance].
    mean_delay : array_like
        Mean distance from a visible defect to the failure, above 0 [distance].
    inspection_cost, found_cost, failed_cost : array_like
        Cost of one inspection (above 0), of one defect put right in time, of one failure [currency].

    Returns
    -------
    ndarray
        [distance]; `inf` where inspections never pay.

    Raises
    ------
    ValueError
        If the inspection cost, the defect rate or the mean delay is not above 0.

    Notes
    -----
    With x = T / mean_delay, the root of 1 - (1 + x) exp(-x) = inspection_cost / (k (failed - found)
    mean_delay). The left side is below 1: if the right side is not, no inspection pays. On logarithms
    the left side is concave and starts below its small-x form x^2 / 2, so Newton steps from there
    approach the root from one side.

    Examples
    --------
    >>> costs = {"inspection_cost": 20.0, "found_cost": 100.0, "failed_cost": 500.0}
    >>> round(float(inspect_every(defect_rate=0.1, mean_delay=10.0, **costs)), 6)
    3.553615
    """
    delay, rate = np.asarray(mean_delay, dtype=float), np.asarray(defect_rate, dtype=float)
    look = np.asarray(inspection_cost, dtype=float)
    if np.any(delay <= 0.0) or np.any(rate <= 0.0) or np.any(look <= 0.0):
        raise ValueError("inspection cost, defect rate and mean delay must be above 0")
    gain = np.asarray(failed_cost, dtype=float) - np.asarray(found_cost, dtype=float)
    with np.errstate(divide="ignore"):
        share = np.where(gain > 0.0, look / (rate * np.abs(gain) * delay), np.inf)
    pays = share < 1.0
    goal = np.where(pays, share, 0.5)
    log_x = 0.5 * np.log(2.0 * goal)
    for _ in range(_MOST_STEPS):
        x = np.exp(log_x)
        left = _found_share(x)
        step = np.log(goal / left) * left / (x * x * np.exp(-x))
        log_x = log_x + step
        if np.all(np.abs(step) <= _CONVERGED):
            break
    return np.where(pays, np.exp(log_x) * delay, np.inf)


def _found_share(x: Array) -> Array:
    """1 - (1 + x) exp(-x), by its series where the difference would lose digits."""
    small = np.minimum(x, 0.1)
    series = np.zeros_like(small)
    for n in range(12, 1, -1):
        # Coefficient of x^n / n! is (-1)^n (n - 1).
        series = (1.0 if n % 2 == 0 else -1.0) * (n - 1) / math.factorial(n) + small * series
    direct = -np.expm1(-x) - x * np.exp(-x)
    return np.where(x < 0.1, small * small * series, direct)

