"""Expected number of replacements when every failed part is renewed and its successor ages in turn.

Only NumPy here. Lives follow a Weibull law. The renewal function is computed once per shape on a grid in
units of the scale and kept; look-ups are interpolation.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.survival import weibull

__all__ = ["expected_replacements", "renewal_function"]

Array = NDArray[Any]

#: Up to this age, in units of the scale, the power series is used; it needs few terms there.
_SERIES_END = 1.0
_SERIES_TERMS = 60
#: Least number of grid steps in one unit of scale, and per unit of shape: the density narrows with it.
_STEPS = 96
_STEPS_PER_SHAPE = 48
#: Longest table in mean lives. Past it the straight line is wrong by less than one in ten thousand for
#: shapes from 0.5 to 10 (far less from 0.7 to 7), by a few thousandths at the ends.
_MOST_LIVES = 60.0
_SHAPE_LOW, _SHAPE_HIGH = 0.4, 20.0
#: Paces over which the mean is taken where vehicles wear unlike, and where they do so beyond a variance of 1.
_PACES, _MANY_PACES = 32, 128
#: Age, as cumulative hazard, past which no part lives to the last digit of a double.
_ALL_FAILED = 40.0
#: So many values are worked on at once where there are fewer parts.
_FEW_VALUES = 4_096
_NODES, _WEIGHTS = (
    0.5 * (part + shift)
    for part, shift in zip(np.polynomial.legendre.leggauss(32), (1.0, 0.0), strict=True)
)


@dataclass(frozen=True)
class _Table:
    """Renewal function of one shape in units of the scale."""

    series: Array
    step: float
    values: Array
    slope: float
    offset: float

    @property
    def end(self) -> float:
        return self.step * (len(self.values) - 3)


def renewal_function(distance: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Expected number of failures by a distance of a position that starts with a new part.

    Parameters
    ----------
    distance : array_like
        Distance run, 0 or more [distance].
    shape, scale : array_like
        Weibull shape (0.4 to 20) [-] and scale [distance].

    Returns
    -------
    ndarray
        M(t), at least the chance of a first failure; repeats are what exceeds it.

    Raises
    ------
    ValueError
        If a shape is outside 0.4 to 20.

    Notes
    -----
    M(t) = F(t) + integral_0^t M(t - s) dF(s). Near 0 by its power series in t^shape; further by marching
    the equation with exact moments of F over cubic pieces of M; far out by the straight line
    t / mean + (variance - mean^2) / (2 mean^2). Each distinct shape costs a few milliseconds once.

    References
    ----------
    Smith & Leadbetter, On the Renewal Function for the Weibull Distribution, Technometrics 5 (1963).

    Examples
    --------
    >>> renewal_function([0.5, 3.0], shape=2.0, scale=1.0).round(7)
    array([0.2307939, 3.021745 ])
    """
    age, k, eta = np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in (distance, shape, scale)))
    scaled = age / eta
    out = np.empty(scaled.shape)
    for value in np.unique(k):
        rows = k == value
        out[rows] = _look_up(_table(float(value)), scaled[rows], float(value))
    return out


def expected_replacements(
    age: ArrayLike, distance: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0
) -> Array:
    """Expected number of failures in the next distance of a position whose part has reached an age.

    Parameters
    ----------
    age : array_like
        Age of the part now in place, 0 or more [distance].
    distance : array_like
        Distance ahead, 0 or more [distance].
    shape, scale : array_like
        Weibull shape (0.4 to 20) [-] and scale [distance].
    variance : array_like
        Variance theta of the vehicles' gamma frailty of mean 1 [-]; the vehicle is one taken at random of those whose
        part reached that age, and keeps its frailty over all successors.

    Returns
    -------
    ndarray
        Failures of the present part and of its successors.

    Raises
    ------
    ValueError
        If a shape is outside 0.4 to 20.

    Notes
    -----
    With G the law of the remaining life of the present part, G(d) + integral_0^d M(d - u) dG(u), by
    Gauss points in the chance of failure, drawn together at both ends. Given survival to the age the frailty is gamma
    with shape 1 / theta and rate 1 / theta + (age / scale)^shape; the mean over it is taken at Gauss
    points in Z^(1 / shape), wrong by less than 1e-5 of it for variances up to 1, 1e-4 up to 10.

    Examples
    --------
    >>> expected_replacements([0.0, 0.8], 1.0, shape=2.0, scale=1.0).round(4)
    array([0.7537, 1.2819])
    """
    parts = (np.asarray(v, dtype=float) for v in (age, distance, shape, scale, variance))
    start, ahead, k, eta, spread = np.broadcast_arrays(*parts)
    out = np.empty(start.shape)
    for theta in np.unique(spread):
        for value in np.unique(k[spread == theta]):
            rows = (k == value) & (spread == theta)
            out[rows] = _over_vehicles(start[rows] / eta[rows], ahead[rows] / eta[rows], float(value), float(theta))
    return out


@lru_cache(maxsize=64)
def _paces(shape: float, variance: float) -> tuple[Array, Array]:
    """Points and weights for means over Z^(1 / shape), Z gamma of mean 1, drawn together where its density has a pole.

    The number of failures is smooth in the pace, not in the frailty itself: Gauss-Legendre points in the pace.
    """
    order = 1.0 / variance
    # Hardly any vehicle lies outside (lower end: Wilson & Hilferty, Proc. National Academy of Sciences 17, 1931).
    low = max(0.0, 1.0 - 1.0 / (9.0 * order) - 2.5 / math.sqrt(order)) ** (3.0 / shape)
    high = (1.0 + 8.0 / math.sqrt(order) + 30.0 / order) ** (1.0 / shape)
    power = max(1.0, 4.0 / (shape * order)) if low == 0.0 else 1.0
    places, weights = np.polynomial.legendre.leggauss(_PACES if variance <= 1.0 else _MANY_PACES)
    places = 0.5 * (places + 1.0)
    pace = low + (high - low) * places**power
    log_frailty = shape * np.log(pace)
    # Density of the pace against that of the place, up to a factor.
    density = np.exp(order * (log_frailty - np.expm1(log_frailty))) / pace * places ** (power - 1.0)
    mass = weights * density
    return pace, mass / mass.sum()


def _over_vehicles(age: Array, distance: Array, shape: float, variance: float) -> Array:
    """Failures ahead in units of the scale, as a mean over the vehicles whose part reached the age."""
    if variance == 0.0:
        return _delayed(age, distance, shape)
    # That a part has lived so long speaks for its vehicle: the frailty keeps its law, on a smaller scale.
    slower = np.power(1.0 + variance * np.power(age, shape), -1.0 / shape)
    out = np.zeros(age.shape)
    for pace, weight in zip(*_paces(shape, variance), strict=True):
        out += weight * _delayed(age * (slower * pace), distance * (slower * pace), shape)
    return out


def _delayed(age: Array, distance: Array, shape: float) -> Array:
    """Failures ahead of parts of several ages, in units of the scale."""
    table = _table(shape)
    first = weibull.fail_within(age, distance, shape=shape, scale=1.0)
    share = _NODES**3 * (10.0 - 15.0 * _NODES + 6.0 * _NODES**2)
    weight = _WEIGHTS * 30.0 * (_NODES * (1.0 - _NODES)) ** 2
    later = np.zeros(age.shape)
    spent = np.power(age, shape)
    # Points are failures of the present part: all at once for a few parts, one after another keeps the memory small.
    together = max(1, _FEW_VALUES // max(age.size, 1))
    for start in range(0, len(share), together):
        points = slice(start, start + together)
        failed_at = np.power(spent - np.log1p(-first * share[points, None]), 1.0 / shape) - age
        repeats = _look_up(table, np.clip(distance - failed_at, 0.0, None), shape)
        for mass, row in zip(weight[points], repeats, strict=True):
            later += mass * row
    return np.where(age == 0.0, _look_up(table, distance, shape), first * (1.0 + later))


def _look_up(table: _Table, age: Array, shape: float) -> Array:
    """Renewal function at scaled ages: series, cubic between grid points, straight line."""
    position = np.minimum(age, table.end) / table.step
    cell = np.clip(position.astype(np.intp), 1, len(table.values) - 3)
    out = np.zeros(age.shape)
    for node, weight in enumerate(_cubic(position - cell)):
        out += weight * table.values[cell - 1 + node]
    early = age < 0.25
    if early.any():
        out[early] = _series_sum(table.series, np.power(age[early], shape))
    far = age > table.end
    if far.any():
        out[far] = table.slope * age[far] + table.offset
    return out


def _cubic(fraction: Array) -> "tuple[Array, Array, Array, Array]":
    """Lagrange weights of the grid points at -1, 0, 1, 2 for points at a fraction of a step past 0."""
    x = fraction
    return (
        -x * (x - 1.0) * (x - 2.0) / 6.0,
        (x + 1.0) * (x - 1.0) * (x - 2.0) / 2.0,
        -(x + 1.0) * x * (x - 2.0) / 2.0,
        (x + 1.0) * x * (x - 1.0) / 6.0,
    )


def _series(shape: float) -> Array:
    """Coefficients of the renewal function in powers of t^shape, from the first power on."""
    log_gamma = [math.lgamma(1.0 + n * shape) for n in range(_SERIES_TERMS + 1)]
    coefficients: list[float] = []
    for n in range(1, _SERIES_TERMS + 1):
        value = 1.0 / math.factorial(n)
        for j in range(1, n):
            share = math.exp(log_gamma[j] + log_gamma[n - j] - log_gamma[n])
            value -= share * coefficients[n - j - 1] / math.factorial(j)
        coefficients.append(value)
    return np.array([(-1.0) ** n * value for n, value in enumerate(coefficients)])


def _series_sum(series: Array, spent: Array) -> Array:
    total = np.zeros(spent.shape)
    for coefficient in series[::-1]:
        total = (total + coefficient) * spent
    return total


def _moments(shape: float, step: float, cells: int) -> Array:
    """Integrals of x^m dF over each grid cell, m = 0 to 3; x is the place in the cell, 0 to 1."""
    ages = step * (np.arange(1, cells)[:, None] + _NODES)
    density = weibull.hazard(ages, shape=shape, scale=1.0) * weibull.survival(ages, shape=shape, scale=1.0)
    powers = _NODES[:, None] ** np.arange(4) * (_WEIGHTS * step)[:, None]
    # The density may be infinite at 0: in the first cell the integral of its power series.
    n = np.arange(24)
    terms = np.cumprod(np.append(1.0, -(step**shape) / n[1:])) * step**shape
    first = [float((terms / (order / shape + 1.0 + n)).sum()) for order in range(4)]
    return np.vstack([first, density @ powers]).T


def _cell_weights(nodes: "tuple[int, ...]", moments: Array) -> Array:
    """Share of M's values at four grid points in the integral of its cubic over cells of F.

    The cubic is read backwards: place x in a cell of F falls on place 1 - x in the cell of M.
    """
    cubic = np.linalg.inv(np.vander(nodes, increasing=True).astype(float)).T
    backwards = np.array([[math.comb(p, m) * (-1.0) ** m for m in range(4)] for p in range(4)])
    return cubic @ backwards @ moments


def _early_part(shape: float, series: Array, ages: Array) -> Array:
    """Integral of M(v) f(t - v) over v from 0 to half of the series' range, where M bends sharply."""
    half = 0.5 * _SERIES_END
    places = half * _NODES**3
    weights = half * 3.0 * _NODES**2 * _WEIGHTS * _series_sum(series, places**shape)
    gaps = ages[:, None] - places
    density = weibull.hazard(gaps, shape=shape, scale=1.0) * weibull.survival(gaps, shape=shape, scale=1.0)
    return density @ weights


def _lives_until_straight(shape: float) -> float:
    """Mean lives until the renewal function is a straight line: late for waves and for long tails."""
    return min(_MOST_LIVES, 6.0 + shape**2 + 60.0 * max(0.0, 1.0 / shape - 1.0))


@lru_cache(maxsize=256)
def _table(shape: float) -> _Table:
    """Renewal function of a shape on a grid, far enough for the straight line to take over."""
    if not _SHAPE_LOW <= shape <= _SHAPE_HIGH:
        raise ValueError(f"shape must be from {_SHAPE_LOW:g} to {_SHAPE_HIGH:g}, not {shape:g}")
    mean = float(weibull.mean_life(shape=shape, scale=1.0))
    square = math.gamma(1.0 + 2.0 / shape)
    half = max(_STEPS, math.ceil(_STEPS_PER_SHAPE * shape)) // 2
    step = 0.5 * _SERIES_END / half
    size = math.ceil(mean * _lives_until_straight(shape) / step) + 1
    series = _series(shape)
    start = 2 * half + 1
    values = np.empty(max(size, start + 4))
    ages = step * np.arange(len(values))
    values[:start] = _series_sum(series, ages[:start] ** shape)
    _march(values, half, shape, _early_part(shape, series, ages[start:]), step)
    return _Table(series, step, values, 1.0 / mean, 0.5 * square / mean**2 - 1.0)


def _march(values: Array, half: int, shape: float, early: Array, step: float) -> None:
    """Fill the grid values after the series' range from the renewal equation, one after another."""
    start = 2 * half + 1
    cells = min(len(values), math.ceil(_ALL_FAILED ** (1.0 / shape) / step) + 1)
    moments = _moments(shape, step, cells)
    weights = np.pad(_cell_weights((-1, 0, 1, 2), moments), ((0, 0), (0, len(values) + 4 - cells)))
    newest = _cell_weights((-2, -1, 0, 1), moments[:, :1])[:, 0]
    # Weight of the value d steps back: from each of the four cells whose cubic rests on it.
    reach = cells + 3
    back = np.zeros(reach)
    for node in range(4):
        first = max(0, 3 - node)
        back[first:] += weights[node, first - 2 + node : reach - 2 + node]
    back[:4] += newest[::-1]
    ages = step * np.arange(start, len(values))
    known = -np.expm1(-(ages**shape)) + early
    # Cells before `half` belong to the early part, though their cubics rest on points counted here.
    for cell in range(half - 3, half):
        for node in range(half - cell, 4):
            places = np.arange(start, len(values)) - 1 - cell
            known -= weights[node, places] * values[cell - 1 + node]
    reversed_back = back[:0:-1].copy()
    own = 1.0 - back[0]
    for i in range(start, len(values)):
        count = min(reach - 1, i - half + 1)
        past = np.dot(reversed_back[reach - 1 - count :], values[i - count : i])
        values[i] = (known[i - start] + past) / own
