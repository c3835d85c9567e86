"""What it costs to keep a part of some age instead of beginning with a new one, where visits come by on the way.

Only NumPy here. Lives follow a Weibull law of scale 1: ages are on the operational clock of the part. Keeping a part of
age u costs, against a new one, v(u) = E[cost of its next renewal] - g E[clock run until then], where g is the long-run
cost rate that makes v(0) = 0 (renewal-reward). Renewing it in a visit that is paid for anyway, at the cost c, saves
v(u) - c. The next renewal is a failure, the planned one at the limit, or a later visit at which v is above c again.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.policy.age_replacement import cost_rate

__all__ = ["KeepingValues", "keeping_values"]

Array = NDArray[Any]
_CELLS = 240
#: Cumulative hazard that next to no part reaches.
_ALL_FAILED = 30.0
_MOST_STEPS = 25
_CONVERGED = 1e-10


@dataclass(frozen=True)
class KeepingValues:
    """Relative cost of keeping a part, by its age; one row a case.

    Parameters
    ----------
    rate : ndarray, shape (n_cases,)
        Least long-run cost per unit of the clock [currency].
    end : ndarray, shape (n_cases,)
        Age of the last point: the limit, or an age that next to no part reaches [-].
    values : ndarray, shape (n_cases, n_points)
        v at equal steps of age from 0 to `end` [currency].
    """

    rate: Array
    end: Array
    values: Array

    def at(self, case: Array, age: Array) -> Array:
        """Cost of keeping parts, against new ones.

        Parameters
        ----------
        case : ndarray of int, shape (n,)
            Row of each part.
        age : ndarray, shape (n,)
            Operational age, 0 or more [-]; beyond the end the value there.

        Returns
        -------
        ndarray, shape (n,)
            v [currency].
        """
        cells = self.values.shape[1] - 1
        place = np.minimum(age / self.end[case], 1.0) * cells
        cell = np.minimum(place.astype(np.intp), cells - 1)
        low, high = self.values[case, cell], self.values[case, cell + 1]
        return low + (place - cell) * (high - low)

    def control_limit(self, cost: ArrayLike) -> Array:
        """Least age from which on renewing at a visit pays.

        Parameters
        ----------
        cost : array_like, shape (n_cases,)
            Cost of renewing at the visit [currency].

        Returns
        -------
        ndarray, shape (n_cases,)
            Operational age [-]; `inf` where it never does.
        """
        wanted = np.broadcast_to(np.asarray(cost, dtype=float), self.rate.shape)
        above = self.values > wanted[:, None]
        row, first = np.arange(len(wanted)), np.argmax(above, axis=1)
        before = np.maximum(first - 1, 0)
        low, high = self.values[row, before], self.values[row, first]
        with np.errstate(divide="ignore", invalid="ignore"):
            part = np.where(first > 0, (wanted - low) / (high - low), 0.0)
        age = (before + part) / (self.values.shape[1] - 1) * self.end
        return np.where(above.any(axis=1), age, np.inf)


@dataclass(frozen=True)
class _Steps:
    """Cells of the age grid, from 0 on: chance of lasting a cell, expected run in it, visits in half of it."""

    lasts: Array
    run: Array
    visited: Array


def keeping_values(
    *,
    shape: ArrayLike,
    planned_cost: ArrayLike,
    failed_cost: ArrayLike,
    limit: ArrayLike,
    visit_rates: ArrayLike = 0.0,
    visit_costs: ArrayLike = np.inf,
    cells: int = _CELLS,
) -> KeepingValues:
    """Relative cost of keeping parts at every age.

    Parameters
    ----------
    shape : array_like, shape (n_cases,)
        Weibull shape [-]; the scale is 1.
    planned_cost, failed_cost : array_like, shape (n_cases,)
        Cost of a planned renewal on its own and of a failure [currency].
    limit : array_like, shape (n_cases,)
        Age of the planned renewal, `inf` for running to failure [-].
    visit_rates : array_like, shape (n_cases,) or (n_cases, n_kinds)
        Visits that other parts cause, per unit of the clock; they come at random (Poisson).
    visit_costs : array_like, shape (n_cases,) or (n_cases, n_kinds)
        Cost of a renewal in such a visit [currency].
    cells : int
        Cells of the age grid.

    Returns
    -------
    KeepingValues
        One row a case.

    Notes
    -----
    v solves v' = g + h (v - failed) + sum_i rate_i max(v - cost_i, 0), v(limit) = planned, with g such that v(0) = 0:
    at each visit the part is renewed if that costs less than keeping it, which is the marginal cost rule. Backward over
    the grid, visits at the ends of each cell; v(0) is concave and falling in g (the least of linear functions of it),
    so that Newton steps are policy iteration. Without visits g is the cost rate of age replacement.

    References
    ----------
    Dekker & Dijkstra, Opportunity-based age replacement: exponentially distributed times between opportunities, Naval
    Research Logistics 39 (1992). Barlow & Proschan, Mathematical Theory of Reliability (1965), ch. 4.

    Examples
    --------
    Constant hazard: a new part is no better than the present one.

    >>> found = keeping_values(shape=[1.0], planned_cost=[40.0], failed_cost=[200.0], limit=[np.inf])
    >>> bool(np.abs(found.values).max() < 1e-9)
    True
    """
    k, planned, failed, until = (
        np.atleast_1d(a).astype(float) for a in np.broadcast_arrays(shape, planned_cost, failed_cost, limit)
    )
    rates, costs = (_by_kind(values, len(k)) for values in (visit_rates, visit_costs))
    end = np.where(np.isfinite(until), until, np.power(_ALL_FAILED, 1.0 / k))
    steps = _cells(k, end, rates, cells)
    rate = cost_rate(until, shape=k, scale=1.0, planned_cost=planned, failed_cost=failed)
    values = np.empty((cells + 1, len(k)))
    for _ in range(_MOST_STEPS):
        last = np.where(np.isfinite(until), planned, failed - rate * np.power(end, 1.0 - k) / k)
        slope = _backward(values, steps, rate=rate, last=last, failed=failed, costs=costs)
        step = -values[0] / slope
        rate = rate + step
        if np.all(np.abs(step) <= _CONVERGED * np.abs(rate)):
            break
    return KeepingValues(rate, end, values.T.copy())


def _by_kind(values: ArrayLike, count: int) -> Array:
    """Rates or costs with one row a kind of visit."""
    array = np.asarray(values, dtype=float)
    return np.broadcast_to(array.T if array.ndim == 2 else array, (array.shape[1] if array.ndim == 2 else 1, count))


def _cells(shape: Array, end: Array, rates: Array, cells: int) -> _Steps:
    """What each cell of the grid does to a part that reaches it."""
    step = end / cells
    edges = step * np.arange(cells + 1)[:, None]
    spent, middle = np.power(edges, shape), np.power(edges[:-1] + step / 2.0, shape)
    first, second = middle - spent[:-1], spent[1:] - middle
    # Constant hazard in each half cell: exact where parts do not age.
    run = step / 2.0 * (_mean_lasting(first) + np.exp(-first) * _mean_lasting(second))
    return _Steps(np.exp(-first - second), run, -np.expm1(-rates * step / 2.0))


def _mean_lasting(spent: Array) -> Array:
    """Mean chance of lasting over a stretch in which the cumulative hazard rises evenly by so much."""
    return np.where(spent > 0, -np.expm1(-spent) / np.where(spent > 0, spent, 1.0), 1.0)


def _backward(
    values: Array, steps: _Steps, *, rate: Array, last: Array, failed: Array, costs: Array
) -> Array:
    """Fill the values from the last age to 0; returns the slope of v(0) in the rate."""
    value, slope = last, np.zeros(len(last))
    values[-1] = value
    for cell in range(len(steps.lasts) - 1, -1, -1):
        value, slope = _visited(value, slope, steps.visited, costs)
        lasts, run = steps.lasts[cell], steps.run[cell]
        value = failed * (1.0 - lasts) + lasts * value - rate * run
        slope = lasts * slope - run
        value, slope = _visited(value, slope, steps.visited, costs)
        values[cell] = value
    return slope


def _visited(value: Array, slope: Array, chance: Array, costs: Array) -> "tuple[Array, Array]":
    """Value and slope before a chance of a visit at which the part may be renewed."""
    gained, kept = np.zeros_like(value), np.ones_like(slope)
    for share, cost in zip(chance, costs, strict=True):
        pays = value > cost
        gained = gained + np.where(pays, share * (value - np.where(pays, cost, 0.0)), 0.0)
        kept = kept - share * pays
    return value - gained, slope * kept
