"""Demand while an order is under way, and the stock that covers it (one part asked for at a time).

Only NumPy here. Demand is a whole number with a given mean and, if known, variance:

- Poisson without a variance, or with one equal to the mean;
- negative binomial above it: demand in bursts, or a mean that is itself uncertain;
- below it: a sum of independent yes-or-no demands, all of one chance but for a last smaller one. That is a
  binomial whose number of trials need not be whole, and it matches mean and variance exactly.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "LARGEST_MEAN",
    "demand_cdf",
    "expected_backorders",
    "expected_on_hand",
    "fill_rate",
    "ready_rate",
    "stock_level",
]

Array = NDArray[Any]

#: Largest mean, and largest ratio of variance to mean, that is worked out part by part.
LARGEST_MEAN = 100_000.0
_LARGEST_RATIO = 1_000.0
#: A variance nearer to the mean than this, as a share of it, counts as equal: Poisson.
_NEARLY_EQUAL = 1e-7
#: Largest chance of a single demand; at 1 the recursion over the counts would divide by 0.
_NEARLY_SURE = 1.0 - 1e-13
#: Most numbers held at once; more rows are worked off in pieces.
_MOST_CELLS = 2_000_000


@dataclass(frozen=True)
class _Demand:
    """Recursion of the law: P(x) / P(x - 1) = slope + lift / x; `last` is the chance of the odd demand."""

    start: Array
    slope: Array
    lift: Array
    last: Array


def demand_cdf(counts: ArrayLike, *, mean: ArrayLike, variance: ArrayLike | None = None) -> Array:
    """Chance that demand is at most a count.

    Parameters
    ----------
    counts : array_like
        Parts; below 0 the chance is 0.
    mean : array_like
        Mean demand, 0 to 100,000.
    variance : array_like, optional
        Variance of the demand, up to 1,000 times the mean; NaN or None is Poisson. Whole numbers cannot
        vary less than f (1 - f), f the fraction of the mean past a whole number: lower values count as that.

    Returns
    -------
    ndarray
        P(D <= count).

    Raises
    ------
    ValueError
        If mean or variance is out of range.

    Examples
    --------
    >>> demand_cdf([3, 8], mean=3.0).round(6)
    array([0.647232, 0.996197])
    >>> float(demand_cdf(8, mean=3.0, variance=6.0).round(4))
    0.9673
    """
    stock, average, spread = _inputs(counts, mean, variance)
    whole = np.floor(stock)
    # Past this many parts nothing is left: the tail falls off at the pace of the variance over the mean.
    ratio = np.maximum(1.0, _over(spread, average))
    most = np.ceil(average + 40.0 * np.maximum(np.sqrt(np.maximum(spread, average)), ratio)) + 40.0
    places = np.clip(whole, 0.0, most).astype(np.intp)

    def pick(law: Array, rows: Array) -> Array:
        return law[np.arange(rows.size), places.ravel()[rows]]

    found = _by_rows(average.ravel(), spread.ravel(), places.ravel() + 1, pick).reshape(average.shape)
    return np.where(whole < 0.0, 0.0, found)


def stock_level(
    mean: ArrayLike, *, service_level: ArrayLike, variance: ArrayLike | None = None
) -> Array:
    """Least stock that meets the demand with a given chance.

    Parameters
    ----------
    mean : array_like
        Mean demand while an order is under way, 0 to 100,000.
    service_level : array_like
        Wanted chance that demand is at most the stock, 0 to below 1.
    variance : array_like, optional
        Variance of that demand; NaN or None is Poisson.

    Returns
    -------
    ndarray
        Smallest whole S with P(D <= S) >= service_level, as float.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    Because stock is whole, the chance reached is usually higher than the one asked for.

    Examples
    --------
    >>> stock_level([0.0, 3.0], service_level=0.95)
    array([0., 6.])
    """
    wanted, average, spread = _inputs(service_level, mean, variance)
    if np.any((wanted < 0.0) | (wanted >= 1.0)):
        raise ValueError("the service level must be 0 or more and below 1")
    goal, flat_mean, flat_spread = wanted.ravel(), average.ravel(), spread.ravel()
    width = np.ceil(flat_mean + 6.0 * np.sqrt(np.maximum(flat_spread, flat_mean))).astype(np.intp) + 8
    out = np.full(average.size, np.nan)
    while (open_rows := np.flatnonzero(np.isnan(out))).size:
        out[open_rows] = _first_reaching(
            goal[open_rows], flat_mean[open_rows], flat_spread[open_rows], width[open_rows]
        )
        width[open_rows] *= 2
    return out.reshape(average.shape)


def ready_rate(stock: ArrayLike, *, mean: ArrayLike, variance: ArrayLike | None = None) -> Array:
    """Chance that nothing is on back-order.

    Parameters
    ----------
    stock : array_like
        Base stock S: on hand and on order, less back-orders.
    mean, variance : array_like
        Of the demand while an order is under way, as in `demand_cdf`.

    Returns
    -------
    ndarray
        P(D <= S).
    """
    return demand_cdf(stock, mean=mean, variance=variance)


def fill_rate(stock: ArrayLike, *, mean: ArrayLike, variance: ArrayLike | None = None) -> Array:
    """Share of the demand that is met from the shelf.

    Parameters
    ----------
    stock : array_like
        Base stock S.
    mean, variance : array_like
        Of the demand while an order is under way, as in `demand_cdf`.

    Returns
    -------
    ndarray
        P(D <= S - 1): a demand is met at once when fewer than S parts are on order. Exact for Poisson
        demand whatever the law of the lead time (Palm), near enough otherwise.

    References
    ----------
    Sherbrooke, Optimal Inventory Modeling of Systems (2004), ch. 2; cited from memory.
    """
    return demand_cdf(np.asarray(stock, dtype=float) - 1.0, mean=mean, variance=variance)


def expected_on_hand(stock: ArrayLike, *, mean: ArrayLike, variance: ArrayLike | None = None) -> Array:
    """Mean number of parts on the shelf.

    Parameters
    ----------
    stock : array_like
        Base stock S, 0 to 1,000,000.
    mean, variance : array_like
        Of the demand while an order is under way, as in `demand_cdf`.

    Returns
    -------
    ndarray
        E max(S - D, 0), the sum of P(D <= x) over x below S.
    """
    base, average, spread = _inputs(stock, mean, variance)
    if np.any((base < 0.0) | (base > 10.0 * LARGEST_MEAN)):
        raise ValueError("the stock must be from 0 to 1,000,000")
    levels = np.floor(base).astype(np.intp).ravel()

    def total(law: Array, rows: Array) -> Array:
        return np.where(np.arange(law.shape[1]) < levels[rows][:, None], law, 0.0).sum(axis=1)

    return _by_rows(average.ravel(), spread.ravel(), np.maximum(levels, 1), total).reshape(average.shape)


def expected_backorders(stock: ArrayLike, *, mean: ArrayLike, variance: ArrayLike | None = None) -> Array:
    """Mean number of demands that wait for a part.

    Parameters
    ----------
    stock : array_like
        Base stock S, 0 to 1,000,000.
    mean, variance : array_like
        Of the demand while an order is under way, as in `demand_cdf`.

    Returns
    -------
    ndarray
        E max(D - S, 0) = mean - S + E max(S - D, 0).
    """
    on_hand = expected_on_hand(stock, mean=mean, variance=variance)
    short = np.asarray(mean, dtype=float) - np.floor(np.asarray(stock, dtype=float)) + on_hand
    return np.maximum(short, 0.0)


def _first_reaching(goal: Array, mean: Array, variance: Array, widths: Array) -> Array:
    """Least count whose chance reaches the goal; NaN where it lies beyond the width looked at."""

    def first(law: Array, rows: Array) -> Array:
        # Rounding may leave the whole law a hair below 1: once it no longer grows, its top is certainty.
        top = law[:, -1]
        full = (top > 0.5) & (top == law[:, -2])
        enough = law >= np.where(full, np.minimum(goal[rows], top), goal[rows])[:, None]
        return np.where(enough[:, -1], enough.argmax(axis=1).astype(float), np.nan)

    return _by_rows(mean, variance, widths, first)


def _over(top: Array, bottom: Array) -> Array:
    """Ratio that is 0 where the bottom is."""
    return np.divide(top, bottom, out=np.zeros(bottom.shape), where=bottom > 0.0)


def _inputs(first: ArrayLike, mean: ArrayLike, variance: ArrayLike | None) -> "tuple[Array, Array, Array]":
    """Broadcast inputs; a variance that is not given becomes the mean."""
    given = np.nan if variance is None else variance
    full = np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in (first, mean, given)))
    average = full[1]
    spread = np.where(np.isnan(full[2]), average, full[2])
    if not np.all((average >= 0.0) & (average <= LARGEST_MEAN)):
        raise ValueError(f"the mean demand must be from 0 to {LARGEST_MEAN:,.0f}")
    if not np.all((spread >= 0.0) & (spread <= _LARGEST_RATIO * average)):
        raise ValueError(f"the variance must be from 0 to {_LARGEST_RATIO:,.0f} times the mean demand")
    return full[0], average, spread


def _law(mean: Array, variance: Array) -> _Demand:
    """Law with these moments, row by row: Poisson, negative binomial or binomial with an odd demand."""
    excess = variance - mean
    above, below = excess > _NEARLY_EQUAL * mean, excess < -_NEARLY_EQUAL * mean
    slope, lift, start, last = np.zeros(mean.shape), mean.copy(), -mean, np.zeros(mean.shape)
    kept = mean[above] / variance[above]
    size = mean[above] * kept / (1.0 - kept)
    slope[above] = 1.0 - kept
    lift[above] = (size - 1.0) * (1.0 - kept)
    start[above] = size * np.log(kept)
    # Chances p of n equal demands and q of a last one: n p + q = mean, n p^2 + q^2 = mean - variance.
    average = mean[below]
    squares = np.maximum(-excess[below], 0.0)
    trials = np.ceil(average**2 / squares * (1.0 - 1e-12))
    equal = np.maximum(trials - 1.0, 0.0)
    rest = np.maximum((squares * trials - average**2) / np.maximum(equal, 1.0), 0.0)
    chance = np.where(equal > 0.0, (average + np.sqrt(rest)) / np.maximum(trials, 1.0), 0.0)
    # A chance above 1 means too small a variance for whole numbers: the narrowest law takes its place.
    equal = np.where(chance > 1.0, np.floor(average), equal)
    chance = np.minimum(chance, _NEARLY_SURE)
    last[below] = np.clip(average - equal * chance, 0.0, 1.0)
    odds = chance / (1.0 - chance)
    slope[below] = -odds
    lift[below] = (equal + 1.0) * odds
    start[below] = equal * np.log1p(-chance)
    return _Demand(start, slope, lift, last)


def _cumulative(law: _Demand, width: int) -> Array:
    """P(D <= x) for x = 0 .. width - 1, one row a law."""
    counts = np.arange(1, width)
    ratio = np.maximum(law.slope[:, None] + law.lift[:, None] / counts, 0.0)
    with np.errstate(divide="ignore"):
        log_chance = np.cumsum(np.column_stack([law.start, np.log(ratio)]), axis=1)
    total = np.cumsum(np.exp(log_chance), axis=1)
    shifted = np.column_stack([np.zeros(len(total)), total[:, :-1]])
    mixed = total + law.last[:, None] * (shifted - total)
    return np.minimum(mixed, 1.0)


def _by_rows(mean: Array, variance: Array, widths: Array, answer: Callable[[Array, Array], Array]) -> Array:
    """Answers read off the cumulative law of each row, similar widths together to bound the memory."""
    out = np.empty(mean.size)
    order = np.argsort(widths, kind="stable")
    done = 0
    while done < order.size:
        # Rows up to twice as wide as the narrowest go together, as many as the memory allows.
        narrowest = int(widths[order[done]])
        fits = int(np.searchsorted(widths[order], 2 * narrowest, side="right"))
        most = done + max(1, _MOST_CELLS // (2 * narrowest))
        rows = order[done : min(fits, most)]
        law = _cumulative(_law(mean[rows], variance[rows]), int(widths[rows].max()))
        out[rows] = answer(law, rows)
        done += rows.size
    return out
