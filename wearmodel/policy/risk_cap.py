"""Longest replacement interval that keeps failures on the road down to what a fleet will bear.

Only NumPy here. Lives follow a Weibull law; a part is renewed at its interval or at failure, whichever comes first.
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.survival import weibull

__all__ = ["failures_per_distance", "longest_within"]

Array = NDArray[Any]
_BISECTIONS = 200


def failures_per_distance(
    interval: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0
) -> Array:
    """Failures per distance in the long run, of parts renewed at an interval or at failure.

    Parameters
    ----------
    interval : array_like
        Replacement interval of a usual vehicle, above 0; `inf` is running to failure [distance].
    shape, scale : array_like
        Weibull shape [-] and scale of a vehicle with frailty 1 [distance].
    variance : array_like
        Variance of the frailty over vehicles, each renewed the sooner or later as it wears [-].

    Returns
    -------
    ndarray
        F(T) / integral of S from 0 to T, the mean over vehicles [1 / distance].

    References
    ----------
    Barlow & Proschan, Mathematical Theory of Reliability (1965), ch. 4 (renewal-reward).

    Examples
    --------
    Constant hazard: renewing a part changes nothing.

    >>> round(float(failures_per_distance(30_000.0, shape=1.0, scale=50_000.0)), 9)
    2e-05
    """
    failed = -np.expm1(-weibull.cumulative_hazard(interval, shape=shape, scale=scale))
    run = weibull.integrated_survival(interval, shape=shape, scale=scale)
    return np.asarray(weibull.mean_pace(shape, variance) * failed / run, dtype=float)


def longest_within(
    most: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0
) -> Array:
    """Longest interval at which parts fail no oftener than a limit.

    Parameters
    ----------
    most : array_like
        Failures per distance that are allowed, 0 or more; NaN for no limit [1 / distance].
    shape, scale, variance : array_like
        As in `failures_per_distance`.

    Returns
    -------
    ndarray
        [distance]; `inf` where running to failure keeps to the limit, NaN where no interval does: parts that do not
        wear out (shape up to 1) fail at least as often when they are renewed.

    Notes
    -----
    For shapes above 1 failures per distance rise with the interval, from 0 on: they are a mean of the hazard up to it,
    weighted by the survival.
    """
    allowed, k, eta, spread = (
        part.ravel() for part in np.broadcast_arrays(*(np.asarray(v, float) for v in (most, shape, scale, variance)))
    )
    size = np.broadcast_shapes(*(np.shape(v) for v in (most, shape, scale, variance)))
    at_failure = failures_per_distance(np.full(k.shape, np.inf), shape=k, scale=eta, variance=spread)
    found = np.where(np.isnan(allowed) | (at_failure <= allowed), np.inf, np.nan)
    rows = np.flatnonzero(np.isnan(found) & (k > 1.0) & (allowed > 0.0))
    if not rows.size:
        return found.reshape(size)
    terms = {"shape": k[rows], "scale": eta[rows], "variance": spread[rows]}
    # Early on the rate is T^(k-1) / scale^k, so that the logarithm of T has to reach far down.
    with np.errstate(divide="ignore"):
        scaled = np.log(allowed[rows] * eta[rows] / weibull.mean_pace(k[rows], spread[rows]))
    low, high = np.minimum(scaled / (k[rows] - 1.0), 0.0) - 1.0, np.full(len(rows), 700.0)
    high = np.minimum(high, np.log(745.0) / k[rows] + 1.0)
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2.0
        within = failures_per_distance(np.exp(middle) * eta[rows], **terms) <= allowed[rows]
        low, high = np.where(within, middle, low), np.where(within, high, middle)
    found[rows] = np.exp(low) * eta[rows]
    return found.reshape(size)
