"""Replace at failure or at a set age, whichever comes first: cost per distance and best age.

Only NumPy here. Lives follow a Weibull law; distances share the unit of its scale, costs one currency.
Everything broadcasts. An interval of `inf` is running to failure.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.survival import weibull

__all__ = [
    "FLAT_TOLERANCE",
    "FlatBand",
    "cost_rate",
    "expected_cost_rate",
    "flat_band",
    "optimal_interval",
    "recommended_interval",
    "service_multiple",
]

Array = NDArray[Any]

#: Intervals this much dearer than the best count as equally good; common practice, no source.
FLAT_TOLERANCE = 0.03
_MOST_STEPS = 80
_CONVERGED = 4e-15
#: Cumulative hazard by which every part has failed, to the last digit of a double.
_ALL_FAILED = 745.0
#: Logarithm of the largest scaled age that a double holds, with room for powers of it.
_LARGEST_LOG = 650.0


@dataclass(frozen=True)
class FlatBand:
    """Intervals that cost nearly as little as the best one.

    Parameters
    ----------
    low : ndarray
        Shortest such interval [distance].
    high : ndarray
        Longest one; `inf` when running to failure is as good [distance].
    """

    low: Array
    high: Array


@dataclass(frozen=True)
class _Case:
    """Broadcast inputs, flat: shape, scale and the two costs."""

    shape: Array
    scale: Array
    planned: Array
    failed: Array

    def rate(self, age: Array) -> Array:
        """Cost per unit of the scale at an age in units of the scale."""
        return cost_rate(age, shape=self.shape, scale=1.0, planned_cost=self.planned, failed_cost=self.failed)

    def only(self, rows: Array) -> "_Case":
        """Some of the rows."""
        return _Case(self.shape[rows], self.scale[rows], self.planned[rows], self.failed[rows])


def expected_cost_rate(
    survival: ArrayLike, integrated_survival: ArrayLike, *, planned_cost: ArrayLike, failed_cost: ArrayLike
) -> Array:
    """Long-run cost per distance of renewing at failure or at an interval, for any life law.

    Parameters
    ----------
    survival : array_like
        Chance S(T) that a part reaches the interval, 0 to 1.
    integrated_survival : array_like
        Mean distance a part runs, the integral of S from 0 to T [distance].
    planned_cost, failed_cost : array_like
        Cost of one planned and of one failed replacement [currency].

    Returns
    -------
    ndarray
        (planned_cost S + failed_cost (1 - S)) / integral of S [currency / distance].

    References
    ----------
    Barlow & Hunter, Optimum Preventive Maintenance Policies, Operations Research 8 (1960).

    Examples
    --------
    Life uniform on 0 to 40,000 km, interval 30,000 km:

    >>> round(float(expected_cost_rate(0.25, 18_750.0, planned_cost=100.0, failed_cost=200.0)), 7)
    0.0093333
    """
    reached = np.asarray(survival, dtype=float)
    per_part = np.asarray(planned_cost) * reached + np.asarray(failed_cost) * (1.0 - reached)
    with np.errstate(divide="ignore"):
        return np.asarray(per_part / np.asarray(integrated_survival, dtype=float), dtype=float)


def cost_rate(
    interval: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, planned_cost: ArrayLike, failed_cost: ArrayLike
) -> Array:
    """Long-run cost per distance of replacing at failure or at an interval.

    Parameters
    ----------
    interval : array_like
        Replacement interval, above 0; `inf` is running to failure [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    planned_cost, failed_cost : array_like
        Cost of one planned and of one failed replacement [currency].

    Returns
    -------
    ndarray
        [currency / distance]; infinite at interval 0.

    Examples
    --------
    >>> law = {"shape": 2.8, "scale": 60_000.0}
    >>> round(float(cost_rate(29_839.889, **law, planned_cost=40.0, failed_cost=200.0)), 9)
    0.002123682
    """
    with np.errstate(over="ignore"):
        return expected_cost_rate(
            weibull.survival(interval, shape=shape, scale=scale),
            weibull.integrated_survival(interval, shape=shape, scale=scale),
            planned_cost=planned_cost,
            failed_cost=failed_cost,
        )


def optimal_interval(
    *, shape: ArrayLike, scale: ArrayLike, planned_cost: ArrayLike, failed_cost: ArrayLike
) -> Array:
    """Replacement interval of the least long-run cost.

    Parameters
    ----------
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    planned_cost, failed_cost : array_like
        Cost of one planned and of one failed replacement, above 0 [currency].

    Returns
    -------
    ndarray
        Interval [distance]; `inf` (run to failure) for shapes up to 1, which do not wear out, and where
        a failed replacement costs no more than a planned one.

    Raises
    ------
    ValueError
        If a cost is not above 0.

    Notes
    -----
    Root of h(T) * integral_0^T S + S(T) = failed / (failed - planned), whose left side rises with T, by
    Newton steps on logarithms of the scaled age, kept inside a bracket. The cost curve itself is flat far
    out, so that a direct search may end there.

    References
    ----------
    Barlow & Proschan, Mathematical Theory of Reliability (1965), ch. 4.

    Examples
    --------
    >>> best = optimal_interval(shape=2.8, scale=60_000.0, planned_cost=40.0, failed_cost=200.0)
    >>> round(float(best), 2)
    29839.89
    """
    case, size = _broadcast(shape, scale, planned_cost, failed_cost)
    return (_optimal_age(case) * case.scale).reshape(size)


def flat_band(
    *,
    shape: ArrayLike,
    scale: ArrayLike,
    planned_cost: ArrayLike,
    failed_cost: ArrayLike,
    tolerance: float = FLAT_TOLERANCE,
    at_most: ArrayLike = np.inf,
) -> FlatBand:
    """All intervals whose cost per distance is within a tolerance of the least.

    Parameters
    ----------
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    planned_cost, failed_cost : array_like
        Cost of one planned and of one failed replacement, above 0 [currency].
    tolerance : float
        Share of the least cost, above 0 (0.03: 3 %).
    at_most : array_like
        Longest interval that is allowed: the least cost is that of intervals up to it, above 0 [distance].

    Returns
    -------
    FlatBand
        `low` and `high`; `high` is `inf` when running to failure lies within the band.

    Raises
    ------
    ValueError
        If a cost or the tolerance is not above 0.

    Notes
    -----
    The cost falls up to the best interval and rises after it, so the band has no holes.
    """
    if not tolerance > 0.0:
        raise ValueError("the tolerance must be above 0")
    case, size = _broadcast(shape, scale, planned_cost, failed_cost)
    cap = np.broadcast_to(np.asarray(at_most, dtype=float), size).ravel() / case.scale
    best = np.minimum(_optimal_age(case), cap)
    target = np.log(case.rate(best) * (1.0 + tolerance))
    end = np.minimum(np.log(_ALL_FAILED) / case.shape, _LARGEST_LOG)
    with np.errstate(divide="ignore"):
        log_best = np.minimum(np.log(best), end)
    # The cost is at least the cheaper replacement over the interval: a point surely left of the band.
    start = np.minimum(np.log(np.minimum(case.planned, case.failed)) - target, log_best)
    low = _solve(lambda rows: _falling_cost(case.only(rows), target[rows]), start, log_best)
    high = np.full(best.shape, np.inf)
    dear = np.flatnonzero(np.log(case.rate(np.full(best.shape, np.inf))) > target)
    if dear.size:
        part, goal = case.only(dear), target[dear]
        log_high = _solve(lambda rows: _rising_cost(part.only(rows), goal[rows]), log_best[dear], end[dear])
        high[dear] = np.exp(log_high)
    return FlatBand(
        low=(np.exp(low) * case.scale).reshape(size),
        high=(np.minimum(high, cap) * case.scale).reshape(size),
    )


def service_multiple(
    interval: ArrayLike,
    *,
    service_interval: ArrayLike,
    shape: ArrayLike,
    scale: ArrayLike,
    planned_cost: ArrayLike,
    failed_cost: ArrayLike,
    tolerance: float = FLAT_TOLERANCE,
) -> Array:
    """Multiple of the service interval that costs least, if it is within the flat band.

    Parameters
    ----------
    interval : array_like
        Best interval, from `optimal_interval` [distance].
    service_interval : array_like
        Distance between services, above 0; NaN when there is none [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    planned_cost, failed_cost : array_like
        Cost of one planned and of one failed replacement, above 0 [currency].
    tolerance : float
        Width of the flat band as a share of the least cost.

    Returns
    -------
    ndarray
        [distance]; NaN where no multiple lies in the band, where there is no service interval, and where
        the best interval is running to failure.

    Notes
    -----
    The cost has one minimum, so the cheapest multiple is one of the two beside the best interval.
    """
    best, step = np.broadcast_arrays(np.asarray(interval, dtype=float), np.asarray(service_interval, dtype=float))
    usable = np.isfinite(best) & (step > 0.0)
    safe_step = np.where(usable, step, 1.0)
    below = np.floor(np.where(usable, best, 1.0) / safe_step) * safe_step

    def rate(age: Array) -> Array:
        return cost_rate(age, shape=shape, scale=scale, planned_cost=planned_cost, failed_cost=failed_cost)

    above = below + safe_step
    with np.errstate(invalid="ignore"):
        rate_below, rate_above = np.where(below > 0.0, rate(np.maximum(below, 1e-300)), np.inf), rate(above)
    cheapest = np.where(rate_below <= rate_above, below, above)
    limit = rate(np.where(usable, best, 1.0)) * (1.0 + tolerance)
    return np.where(usable & (np.minimum(rate_below, rate_above) <= limit), cheapest, np.nan)


def recommended_interval(
    *,
    shape: ArrayLike,
    scale: ArrayLike,
    planned_cost: ArrayLike,
    failed_cost: ArrayLike,
    service_interval: ArrayLike = np.nan,
    tolerance: float = FLAT_TOLERANCE,
    at_most: ArrayLike = np.inf,
) -> Array:
    """Interval to work by: the best one, moved to a service where that costs next to nothing.

    Parameters
    ----------
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    planned_cost, failed_cost : array_like
        Cost of one planned and of one failed replacement, above 0 [currency].
    service_interval : array_like
        Distance between services; NaN when there is none [distance].
    tolerance : float
        What counts as next to nothing, a share of the least cost.
    at_most : array_like
        Longest interval that is allowed, above 0 [distance].

    Returns
    -------
    ndarray
        `inf` where running to failure is within the tolerance of the least cost; else the cheapest
        multiple of the service interval within it; else the best interval as it is [distance]. Where that is longer
        than is allowed, the best allowed one, moved to the service before it by the same rule.
    """
    case, size = _broadcast(shape, scale, planned_cost, failed_cost)
    best = _optimal_age(case)
    forever = case.rate(np.full(best.shape, np.inf))
    worth = forever > case.rate(best) * (1.0 + tolerance)
    interval = np.where(worth, best, np.inf).reshape(size) * np.asarray(scale, dtype=float)
    rounded = service_multiple(
        interval,
        service_interval=service_interval,
        shape=shape,
        scale=scale,
        planned_cost=planned_cost,
        failed_cost=failed_cost,
        tolerance=tolerance,
    )
    chosen = np.where(np.isnan(rounded), interval, rounded)
    cap = np.broadcast_to(np.asarray(at_most, dtype=float), chosen.shape)
    longest = np.minimum(best.reshape(size) * np.asarray(scale, dtype=float), cap)
    return np.where(chosen > cap, _before(longest, case, size, service_interval, tolerance), chosen)


def _before(
    longest: Array, case: _Case, size: "tuple[int, ...]", service_interval: ArrayLike, tolerance: float
) -> Array:
    """The last service up to an interval if it costs next to nothing more, else the interval."""
    step = np.broadcast_to(np.asarray(service_interval, dtype=float), size)
    usable = np.isfinite(longest) & (step > 0.0)
    last = np.floor(np.where(usable, longest, 1.0) / np.where(usable, step, 1.0)) * np.where(usable, step, 1.0)
    scale = case.scale.reshape(size)
    cost_last, cost = (
        case.rate((age / scale).ravel()).reshape(size) for age in (np.maximum(last, 1e-300), longest)
    )
    return np.where(usable & (last > 0.0) & (cost_last <= cost * (1.0 + tolerance)), last, longest)


def _broadcast(
    shape: ArrayLike, scale: ArrayLike, planned_cost: ArrayLike, failed_cost: ArrayLike
) -> "tuple[_Case, tuple[int, ...]]":
    """Inputs as flat arrays of one length, and the shape to give back."""
    full = np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in (shape, scale, planned_cost, failed_cost)))
    case = _Case(*(part.ravel() for part in full))
    if np.any(case.planned <= 0.0) or np.any(case.failed <= 0.0):
        raise ValueError("costs must be above 0")
    if np.any(case.shape <= 0.0) or np.any(case.scale <= 0.0):
        raise ValueError("shape and scale must be above 0")
    return case, full[0].shape


def _optimal_age(case: _Case) -> Array:
    """Best interval in units of the scale."""
    age = np.full(case.shape.shape, np.inf)
    rows = np.flatnonzero((case.shape > 1.0) & (case.failed > case.planned))
    if not rows.size:
        return age
    part = case.only(rows)
    excess = part.planned / (part.failed - part.planned)
    # Bounds of the root: the integral of S is at most the age, and at least exp(-1) from age 1 on.
    start = np.log(excess / part.shape) / part.shape
    end = np.maximum(0.0, (1.0 + np.log1p(excess) - np.log(part.shape)) / (part.shape - 1.0))
    reachable = start < _LARGEST_LOG
    start, end = np.minimum(start, _LARGEST_LOG), np.minimum(end, _LARGEST_LOG)
    log_age = _solve(lambda some: _optimality(part.shape[some], excess[some]), start, end)
    age[rows] = np.where(reachable & (log_age < _LARGEST_LOG - 1.0), np.exp(log_age), np.inf)
    return age


Equation = Callable[[Array], "tuple[Array, Array]"]


def _optimality(shape: Array, excess: Array) -> Equation:
    """Logarithm of the optimality equation's left side less 1, against its right side less 1."""

    def equation(log_age: Array) -> "tuple[Array, Array]":
        with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
            age = np.exp(log_age)
            spent = np.power(age, shape)
            risen = shape * np.power(age, shape - 1.0) * weibull.integrated_survival(age, shape=shape, scale=1.0)
            left = risen + np.expm1(-spent)
            return np.log(left / excess), (shape - 1.0) * risen / left

    return equation


def _log_cost(case: _Case, log_age: Array) -> "tuple[Array, Array]":
    """Logarithm of the cost rate and its slope in the logarithm of the scaled age."""
    with np.errstate(over="ignore", under="ignore"):
        age = np.exp(log_age)
        reached = weibull.survival(age, shape=case.shape, scale=1.0)
        run = weibull.integrated_survival(age, shape=case.shape, scale=1.0)
        rate = expected_cost_rate(reached, run, planned_cost=case.planned, failed_cost=case.failed)
        died = case.shape * np.power(age, case.shape) * reached
        slope = (case.failed - case.planned) * died / (rate * run) - age * reached / run
    return np.log(rate), slope


def _rising_cost(case: _Case, target: Array) -> Equation:
    def equation(log_age: Array) -> "tuple[Array, Array]":
        value, slope = _log_cost(case, log_age)
        return value - target, slope

    return equation


def _falling_cost(case: _Case, target: Array) -> Equation:
    def equation(log_age: Array) -> "tuple[Array, Array]":
        value, slope = _log_cost(case, log_age)
        return target - value, -slope

    return equation


def _solve(equation: Callable[[Array], Equation], low: Array, high: Array) -> Array:
    """Roots of rising functions, row by row: Newton steps, halving where a step leaves the bracket."""
    low, high = low.copy(), high.copy()
    point = 0.5 * (low + high)
    open_rows = np.arange(point.size)
    for _ in range(_MOST_STEPS):
        here = point[open_rows]
        value, slope = equation(open_rows)(here)
        low[open_rows] = np.where(value <= 0.0, here, low[open_rows])
        high[open_rows] = np.where(value >= 0.0, here, high[open_rows])
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            step = here - value / slope
        inside = (step > low[open_rows]) & (step < high[open_rows])
        middle = 0.5 * (low[open_rows] + high[open_rows])
        point[open_rows] = np.where(inside, step, middle)
        width = _CONVERGED * (1.0 + np.abs(here))
        done = (np.abs(point[open_rows] - here) <= width) | (high[open_rows] - low[open_rows] <= width)
        open_rows = open_rows[~done]
        if not open_rows.size:
            break
    return point
