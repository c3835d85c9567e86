"""Tables of how long a part lasts from a moment when nobody knows its age.

On the operational clock, in units of the scale, a part fails by wear with hazard k t^(k-1) and is renewed for other
reasons at a rate r. Its position was filled again and again, first new at 0; M is the expected number of renewals.
A distance a later observation begins. The part then fitted was fitted u before with weight

    m(a - u) exp(-r u - u^k)      or is still the first one: exp(-r a - a^k) at u = a,

and lasts x more without failing, or fails there, with (forward-recurrence law of a renewal process)

    G(a, x) = sum of weights * exp(u^k - (u + x)^k),    g(a, x) = the same times k (u + x)^(k-1).

A renewal for other reasons after a only ends what is seen of the life: its chance exp(-r x) holds nothing about wear
and is left out. One before a made the part younger: so r stays in the weights. (Cox, Renewal Theory, 1962, ch. 5.)
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from wearmodel.survival.unknown_ages.uniform_spline import (
    SplineValues,
    UniformSpline,
    fit_uniform_splines,
    values_of,
)

__all__ = ["LARGEST_RATE", "SHAPE_RANGE", "Curve", "RecurrenceGrid", "RecurrenceTable", "build_recurrence_table",
           "choose_grid", "log_hazards", "log_survivors"]  # fmt: skip

Array = NDArray[Any]
#: Shapes a table is offered for.
SHAPE_RANGE = (0.4, 12.0)
#: Other renewals per unit of scale beyond which the rate counts no further.
LARGEST_RATE = 9.0
#: Step of rate / (1 + rate) between tables.
_RATE_STEP = 0.1
#: Width of a cell times the shape: the density narrows with the shape.
_CELL = 0.08
#: Shapes share a grid up to the next power of this, so that the grid stays put while a fit converges.
_SHAPE_STEP = 1.25
#: Past this age, in units of the scale, the age at the start of observation has forgotten when the position was first
#: filled; later for high shapes, whose renewals keep step for longer.
_OLDEST, _OLDEST_UP_TO_SHAPE, _OLDEST_AT_ALL = 8.0, 3.5, 24.0
#: Longest distance since the start of observation; least and largest cumulative hazard there.
_LONGEST, _LEAST_SPENT, _MOST_SPENT, _LONGEST_AT_ALL = 5.0, 20.0, 600.0, 60.0
#: Ages beyond this cumulative hazard do not matter beside younger ones where the hazard rises.
_SPENT = 40.0
_FEWEST_CELLS = 12
#: Points of the distance before that are worked out together.
_STRIPE = 24
_LARGEST_LOG = 300.0


@dataclass(frozen=True)
class Curve:
    """A function of log a and log x with derivatives.

    Parameters
    ----------
    value : ndarray, shape (n,)
        Value.
    first : ndarray, shape (2, n)
        Derivatives in log a and log x.
    second : ndarray, shape (2, 2, n)
        Second derivatives.
    """

    value: Array
    first: Array
    second: Array


@dataclass(frozen=True)
class RecurrenceGrid:
    """Extent of a table, in units of the scale.

    Parameters
    ----------
    step : float
        Width of a cell of both axes.
    cells : tuple of int
        Cells of the distance before, and since, observation began.
    capped : bool
        Whether the distance before goes to where it no longer matters.
    rates : ndarray, shape (n_rates,)
        Other renewals per unit of the scale, 0 first.
    """

    step: float
    cells: tuple[int, int]
    capped: bool
    rates: Array


@dataclass(frozen=True)
class RecurrenceTable:
    """Splines of log G and of log(g / G) - (k - 1) log(a + x) for one shape, scale 1.

    Parameters
    ----------
    shape : float
        Weibull shape k [-].
    grid : RecurrenceGrid
        Extent.
    survivor, hazard : UniformSpline
        Axes rate / (1 + rate) where there are rates, a, x.
    """

    shape: float
    grid: RecurrenceGrid
    survivor: UniformSpline
    hazard: UniformSpline

    def log_survivor(self, log_a: Array, log_x: Array, renewals: Array) -> Curve:
        """Logarithm of G.

        Parameters
        ----------
        log_a, log_x : ndarray, shape (n,)
            Logarithm of the distance before and since observation began [-].
        renewals : ndarray, shape (n,)
            Expected renewals for other reasons in the distance before [-].

        Returns
        -------
        Curve
            Beyond the end c of the table log G(a, c) goes on as - constant * (x^k - c^k), with the slope of the
            table at c.
        """
        return log_survivors((self,), log_a, log_x, renewals)[0]

    def log_hazard(self, log_a: Array, log_x: Array, renewals: Array) -> Curve:
        """Logarithm of g / G; parameters and result as in `log_survivor`."""
        return log_hazards((self,), log_a, log_x, renewals)[0]

    def _with_singular(self, curve: Curve, log_a: Array, log_x: Array) -> Curve:
        """The logarithm of g / G out of its spline."""
        a, x = self._inside(log_a, log_x)
        # The part that is singular where both distances are 0 stands outside of the spline.
        share = np.stack([np.where(log_a < self._log_oldest, a, 0.0), x]) / (a + x)
        share[1, log_x > self._log_end] = 0.0
        power = self.shape - 1.0
        value = curve.value + power * np.log(a + x)
        first = curve.first + power * share
        second = curve.second - power * share[:, None] * share[None, :]
        second[0, 0] += power * share[0]
        second[1, 1] += power * share[1]
        far = log_x > self._log_end
        value += np.where(far, power * (log_x - self._log_end), 0.0)
        first[1] += np.where(far, power, 0.0)
        return Curve(value, first, second)

    def survivor_value(self, log_a: Array, log_x: Array, renewals: Array) -> Array:
        """Value alone of `log_survivor`, shape (n,)."""
        value = self.survivor.values(self._points(log_a, log_x, renewals))
        far = np.flatnonzero(log_x > self._log_end)
        if len(far):
            k, log_end = self.shape, self._log_end
            at_end = self.hazard_value(log_a[far], np.full(len(far), log_end), renewals[far])
            grown = np.exp(np.minimum(k * (log_x[far] - log_end), _LARGEST_LOG))
            value[far] -= np.exp(at_end + log_end) * ((grown - 1.0) / k)
        return value

    def hazard_value(self, log_a: Array, log_x: Array, renewals: Array) -> Array:
        """Value alone of `log_hazard`, shape (n,)."""
        a, x = self._inside(log_a, log_x)
        power = self.shape - 1.0
        value = self.hazard.values(self._points(log_a, log_x, renewals)) + power * np.log(a + x)
        value += np.where(log_x > self._log_end, power * (log_x - self._log_end), 0.0)
        return value

    def _points(self, log_a: Array, log_x: Array, renewals: Array) -> Array:
        """Places on the axes of the splines."""
        a, x = self._inside(log_a, log_x)
        if len(self.grid.rates) == 1:
            return np.stack([a, x])
        rate = np.minimum(renewals / np.exp(np.clip(log_a, -_LARGEST_LOG, _LARGEST_LOG)), float(self.grid.rates[-1]))
        return np.stack([rate / (1.0 + rate), a, x])

    @property
    def _log_oldest(self) -> float:
        return math.log(self.grid.step * self.grid.cells[0])

    @property
    def _log_end(self) -> float:
        return math.log(self.grid.step * self.grid.cells[1])

    def _inside(self, log_a: Array, log_x: Array) -> "tuple[Array, Array]":
        return np.exp(np.minimum(log_a, self._log_oldest)), np.exp(np.minimum(log_x, self._log_end))

    def _look_up(
        self, splines: Sequence[UniformSpline], log_a: Array, log_x: Array, renewals: Array
    ) -> list[Curve]:
        """Splines on this table's grid as functions of log a and log x."""
        a, x = self._inside(log_a, log_x)
        points = [a, x]
        slopes = [np.where(log_a < self._log_oldest, a, 0.0), np.where(log_x <= self._log_end, x, 0.0)]
        bends = slopes.copy()
        if len(self.grid.rates) > 1:
            # rate = renewals / a, so that the place among the rates moves with log a as well.
            rate = renewals / np.exp(np.clip(log_a, -_LARGEST_LOG, _LARGEST_LOG))
            largest = float(self.grid.rates[-1])
            place = np.minimum(rate, largest) / (1.0 + np.minimum(rate, largest))
            move = np.where(rate < largest, -place * (1.0 - place), 0.0)
            points.insert(0, place)
            slopes.insert(0, move)
            bends.insert(0, -(1.0 - 2.0 * place) * move)
        return [self._in_logs(found, slopes, bends) for found in values_of(splines, np.stack(points))]

    @staticmethod
    def _in_logs(found: SplineValues, slopes: list[Array], bends: list[Array]) -> Curve:
        """A spline's values and derivatives in log a and log x."""
        inner, curved = found.first, found.second
        # Every place but the last moves with log a alone, the last with log x alone.
        moves, last = slopes[:-1], slopes[-1]
        first = np.empty((2, len(last)))
        second = np.empty((2, 2, len(last)))
        first[0], first[1] = sum(inner[i] * move for i, move in enumerate(moves)), inner[-1] * last
        second[0, 0] = sum(inner[i] * bend for i, bend in enumerate(bends[:-1]))
        second[0, 0] += sum(
            curved[i, j] * moves[i] * moves[j] for i, j in product(range(len(moves)), repeat=2)
        )
        second[0, 1] = second[1, 0] = last * sum(curved[i, -1] * move for i, move in enumerate(moves))
        second[1, 1] = curved[-1, -1] * last**2 + inner[-1] * bends[-1]
        return Curve(found.value, first, second)

    def _lengthen(self, curve: Curve, far: Array, log_a: Array, log_x: Array, renewals: Array) -> None:
        """Put the Weibull tail in the place of what lies beyond the table."""
        k, log_end = self.shape, self._log_end
        at_end = self.log_hazard(log_a[far], np.full(len(far), log_end), renewals[far])
        grown = np.exp(np.minimum(k * (log_x[far] - log_end), _LARGEST_LOG))
        hazard = np.exp(at_end.value + log_end)
        length = (grown - 1.0) / k
        slope = at_end.first[0]
        curve.value[far] -= hazard * length
        curve.first[0, far] -= hazard * slope * length
        curve.first[1, far] = -hazard * grown
        curve.second[0, 0, far] -= hazard * (slope**2 + at_end.second[0, 0]) * length
        curve.second[0, 1, far] = curve.second[1, 0, far] = -hazard * slope * grown
        curve.second[1, 1, far] = -hazard * k * grown


def log_survivors(
    tables: Sequence[RecurrenceTable], log_a: Array, log_x: Array, renewals: Array
) -> list[Curve]:
    """Logarithm of G by several tables of one grid, of each what its `log_survivor` gives.

    Parameters
    ----------
    tables : sequence of RecurrenceTable
        Of shapes near each other.
    log_a, log_x, renewals : ndarray, shape (n,)
        As in `RecurrenceTable.log_survivor`.

    Returns
    -------
    list of Curve
        One a table.
    """
    curves = tables[0]._look_up([table.survivor for table in tables], log_a, log_x, renewals)
    far = np.flatnonzero(log_x > tables[0]._log_end)
    if len(far):
        for table, curve in zip(tables, curves, strict=True):
            table._lengthen(curve, far, log_a, log_x, renewals)
    return curves


def log_hazards(tables: Sequence[RecurrenceTable], log_a: Array, log_x: Array, renewals: Array) -> list[Curve]:
    """Logarithm of g / G by several tables of one grid.

    Parameters
    ----------
    tables : sequence of RecurrenceTable
        On one grid.
    log_a, log_x, renewals : ndarray
        As in `log_survivors`.

    Returns
    -------
    list of Curve
        One for each table.
    """
    curves = tables[0]._look_up([table.hazard for table in tables], log_a, log_x, renewals)
    return [table._with_singular(curve, log_a, log_x) for table, curve in zip(tables, curves, strict=True)]


def choose_grid(shape: float, *, oldest: float, longest: float, rate: float = 0.0) -> RecurrenceGrid:
    """Grid for a shape and what the data need of it.

    Parameters
    ----------
    shape : float
        Weibull shape, within `SHAPE_RANGE` [-].
    oldest, longest : float
        Largest distance before and since observation began, in units of the scale.
    rate : float
        Largest rate of other renewals per unit of the scale; 0 for none.

    Returns
    -------
    RecurrenceGrid
        The distances are capped: before at 8, above shape 3.5 at 8 (k / 3.5)^2 (24 at most), since at about 5.

    Raises
    ------
    ValueError
        If the shape is outside its range.
    """
    if not SHAPE_RANGE[0] <= shape <= SHAPE_RANGE[1]:
        raise ValueError(f"shape must be from {SHAPE_RANGE[0]:g} to {SHAPE_RANGE[1]:g}, not {shape:g}")
    upper = _rounded_up(shape)
    step = _CELL / upper
    cap = min(_OLDEST * max(1.0, upper / _OLDEST_UP_TO_SHAPE) ** 2, _OLDEST_AT_ALL)
    end = max(_LONGEST, _LEAST_SPENT ** (_SHAPE_STEP / upper))
    end = min(end, _MOST_SPENT ** (1.0 / upper), _LONGEST_AT_ALL)
    reach = (min(_rounded_up(oldest), cap), min(_rounded_up(longest), end))
    cells = (max(_FEWEST_CELLS, math.ceil(reach[0] / step)), max(_FEWEST_CELLS, math.ceil(reach[1] / step)))
    places = np.arange(1)
    if rate > 0.0:
        largest = min(rate, LARGEST_RATE)
        places = np.arange(max(4, math.ceil(largest / (1.0 + largest) / _RATE_STEP - 1e-9)) + 1)
    share = places * _RATE_STEP
    return RecurrenceGrid(step, cells, reach[0] >= cap, share / (1.0 - share))


def _rounded_up(value: float) -> float:
    """The next power of the step between grids, at least a little larger."""
    return float(_SHAPE_STEP ** math.ceil(math.log(max(value, 1e-3)) / math.log(_SHAPE_STEP) + 1e-3))


def build_recurrence_table(shape: float, grid: RecurrenceGrid) -> RecurrenceTable:
    """Table of one shape.

    Parameters
    ----------
    shape : float
        Weibull shape k [-].
    grid : RecurrenceGrid
        Extent; chosen for a shape near by.

    Returns
    -------
    RecurrenceTable
        Splines with every grid point a knot.

    Notes
    -----
    Midpoint recursion of the renewal equation; G and g by the same midpoints, as one matrix product of the renewals
    with S(u + x) for all pairs (a, x); both divided by G(a, 0), which is 1 but for rounding; their logarithms
    extrapolated from cells and half cells (Richardson). Error of log G about 1e-6 from shape 1.5 on, below 1e-3 at
    1.2; at 0.7 up to 0.01 where a or x is near 0.
    """
    return _table(shape, grid.step, grid.cells, grid.capped, tuple(grid.rates.tolist()))


# A fit, what is read off it and its checks come by the same tables again and again.
@lru_cache(maxsize=12)
def _table(
    shape: float, step: float, cells: tuple[int, int], capped: bool, rates: tuple[float, ...]
) -> RecurrenceTable:
    """The table itself."""
    grid = RecurrenceGrid(step, cells, capped, np.array(rates))
    coarse, fine = (_pairs(shape, grid, parts) for parts in (1, 2))
    # Log G and log(g / G), one after the other, at (rate, a, x).
    values = (4.0 * fine - coarse) / 3.0
    ages = grid.step * (np.arange(grid.cells[0] + 1)[:, None] + np.arange(grid.cells[1] + 1))
    ages[0, 0] = 1.0
    values[1] -= (shape - 1.0) * np.log(ages)
    # A part known to be new.
    values[1, :, 0] = math.log(shape)
    steps: tuple[float, ...] = (_RATE_STEP, grid.step, grid.step)
    flat: tuple[bool, ...] = (False, grid.capped, False)
    if len(grid.rates) == 1:
        values, steps, flat = values[:, 0], steps[1:], flat[1:]
    survivor, hazard = fit_uniform_splines(values, steps, flat_end=flat)
    return RecurrenceTable(shape, grid, survivor, hazard)


def _renewals(shape: float, rates: Array, step: float, cells: int) -> Array:
    """Renewals in each cell, shape (n_rates, cells)."""

    def fails(t: Array) -> Array:
        return -np.expm1(-np.power(t, shape) - rates[:, None] * t)

    whole = fails(step * np.arange(cells + 1))
    backwards = np.ascontiguousarray(fails(step * (np.arange(cells) + 0.5))[:, ::-1])
    first = backwards[:, -1]
    gains = np.zeros((len(rates), cells))
    count = np.zeros(len(rates))
    for i in range(1, cells + 1):
        past = np.einsum("rj,rj->r", gains[:, : i - 1], backwards[:, cells - i : cells - 1])
        grown = (whole[:, i] + past - count * first) / (1.0 - first)
        gains[:, i - 1] = grown - count
        count = grown
    return gains


def _pairs(shape: float, grid: RecurrenceGrid, parts: int) -> Array:
    """Log G and log(g / G) at all rates and pairs of grid points, the sums in cells of a part of the grid's."""
    step = grid.step / parts
    before, since = (parts * cells for cells in grid.cells)
    gains = _renewals(shape, grid.rates, step, before)
    lags = before
    if shape >= 1.0:
        lags = min(before, math.ceil(_SPENT ** (1.0 / shape) / step))
    # Row i of a rate: renewals in the cells 0, 1, ... before the start of observation at point i.
    padded = np.hstack([np.zeros((len(gains), lags)), gains])
    past = sliding_window_view(padded, lags, axis=1)[:, ::parts, ::-1]
    young = np.exp(-grid.rates[:, None] * step * (np.arange(lags) + 0.5))
    oldest = np.exp(-grid.rates[:, None] * grid.step * np.arange(grid.cells[0] + 1))[:, :, None]
    middles = [law(step * (np.arange(lags + since) + 0.5), shape) for law in (_survivor, _density)]
    later = np.hstack([sliding_window_view(one, since + 1)[:lags, ::parts] for one in middles])
    points = [law(grid.step * np.arange(sum(grid.cells) + 1), shape) for law in (_survivor, _density)]
    first = np.hstack([sliding_window_view(one, grid.cells[1] + 1) for one in points])
    sums = oldest * first
    for begin in range(0, grid.cells[0] + 1, _STRIPE):
        # No renewal is older than the position itself.
        stripe, reach = slice(begin, begin + _STRIPE), min((begin + _STRIPE) * parts, lags)
        weights = past[:, stripe, :reach] * young[:, None, :reach]
        sums[:, stripe] += (weights.reshape(-1, reach) @ later[:reach]).reshape(*weights.shape[:2], -1)
    good, fails = np.split(sums, 2, axis=2)
    return np.stack([np.log(good / good[..., :1]), np.log(np.maximum(fails, 1e-300) / good)])


def _survivor(age: Array, shape: float) -> Array:
    return np.exp(-np.power(age, shape))


def _density(age: Array, shape: float) -> Array:
    safe = np.maximum(age, 1e-12)
    return shape * np.power(safe, shape - 1.0) * np.exp(-np.power(safe, shape))
