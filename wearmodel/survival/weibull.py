"""Look-ups of the two-parameter Weibull life law (numpy alone).

S(t) = exp(-(t / scale)^shape). Ages, distances and scales share one unit, the fleet's own
distance unit [distance]; everything broadcasts.
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.survival.incomplete_gamma import gamma_function, scaled_upper_gamma

__all__ = [
    "cumulative_hazard",
    "fail_within",
    "hazard",
    "integrated_survival",
    "life_at",
    "mean_life",
    "mean_remaining",
    "remaining",
    "survival",
]

Array = NDArray[Any]


def cumulative_hazard(age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Cumulative hazard at an age.

    Parameters
    ----------
    age : array_like
        Age of the part, 0 or more [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance], above 0.

    Returns
    -------
    ndarray
        H(t) = (t / scale)^shape [-].
    """
    return np.power(np.asarray(age, dtype=float) / np.asarray(scale, dtype=float), shape)


def survival(age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Chance that a part is still good at an age.

    Parameters
    ----------
    age : array_like
        Age of the part, 0 or more [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].

    Returns
    -------
    ndarray
        S(t), 0 to 1.

    Examples
    --------
    >>> round(float(survival(60_000, shape=2.5, scale=100_000)), 9)
    0.75664976
    """
    return np.exp(-cumulative_hazard(age, shape=shape, scale=scale))


def hazard(age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Failure rate of a part that has reached an age.

    Parameters
    ----------
    age : array_like
        Age of the part [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].

    Returns
    -------
    ndarray
        h(t) = (shape / scale) (t / scale)^(shape - 1) [1 / distance]; infinite at 0 for shapes below 1.
    """
    k = np.asarray(shape, dtype=float)
    eta = np.asarray(scale, dtype=float)
    with np.errstate(divide="ignore"):
        return k / eta * np.power(np.asarray(age, dtype=float) / eta, k - 1.0)


def life_at(fraction: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Distance by which a fraction has failed (0.1 gives the B10 life).

    Parameters
    ----------
    fraction : array_like
        Share failed, 0 to below 1.
    shape, scale : array_like
        Weibull shape [-] and scale [distance].

    Returns
    -------
    ndarray
        scale * (-ln(1 - fraction))^(1 / shape) [distance].
    """
    spent = -np.log1p(-np.asarray(fraction, dtype=float))
    return np.asarray(scale, dtype=float) * np.power(spent, 1.0 / np.asarray(shape, dtype=float))


def mean_life(*, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Mean life of a new part.

    Parameters
    ----------
    shape, scale : array_like
        Weibull shape [-] and scale [distance].

    Returns
    -------
    ndarray
        scale * Gamma(1 + 1 / shape) [distance].
    """
    return np.asarray(scale, dtype=float) * gamma_function(1.0 + 1.0 / np.asarray(shape, dtype=float))


def fail_within(age: ArrayLike, distance: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Chance that a part that has reached an age fails within the next distance.

    Parameters
    ----------
    age, distance : array_like
        Present age and further distance, 0 or more [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].

    Returns
    -------
    ndarray
        1 - S(age + distance) / S(age).
    """
    start = np.asarray(age, dtype=float)
    ahead = cumulative_hazard(start + np.asarray(distance, dtype=float), shape=shape, scale=scale)
    return -np.expm1(cumulative_hazard(start, shape=shape, scale=scale) - ahead)


def remaining(age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, fraction: ArrayLike = 0.5) -> Array:
    """Further distance by which a fraction of parts of that age has failed (0.5: the median).

    Parameters
    ----------
    age : array_like
        Present age [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    fraction : array_like
        Share failed, 0 to below 1.

    Returns
    -------
    ndarray
        scale [(age / scale)^shape - ln(1 - fraction)]^(1 / shape) - age [distance].
    """
    k = np.asarray(shape, dtype=float)
    eta = np.asarray(scale, dtype=float)
    start = np.asarray(age, dtype=float)
    spent = np.power(start / eta, k) - np.log1p(-np.asarray(fraction, dtype=float))
    return eta * np.power(spent, 1.0 / k) - start


def mean_remaining(age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Mean further distance of a part that has reached an age.

    Parameters
    ----------
    age : array_like
        Present age [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].

    Returns
    -------
    ndarray
        (scale / shape) Gamma(1 / shape, (age / scale)^shape) / S(age) [distance], with the upper
        incomplete gamma function.
    """
    k = np.asarray(shape, dtype=float)
    eta = np.asarray(scale, dtype=float)
    spent = np.power(np.asarray(age, dtype=float) / eta, k)
    return eta / k * scaled_upper_gamma(1.0 / k, spent)


def integrated_survival(limit: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Mean distance a part runs when it is renewed at failure or at a limit, whichever comes first.

    Parameters
    ----------
    limit : array_like
        Replacement age; `inf` gives the mean life [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].

    Returns
    -------
    ndarray
        Integral of S from 0 to the limit [distance].
    """
    k = np.asarray(shape, dtype=float)
    eta = np.asarray(scale, dtype=float)
    spent = np.minimum(np.power(np.asarray(limit, dtype=float) / eta, k), 700.0)
    return eta / k * (gamma_function(1.0 / k) - np.exp(-spent) * scaled_upper_gamma(1.0 / k, spent))
