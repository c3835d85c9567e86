"""Look-ups of the two-parameter Weibull life law, on one vehicle or over vehicles that wear unlike (numpy alone).

S(t) = exp(-u) with u = (t / scale)^shape. With `variance` theta above 0 every vehicle multiplies the hazard of its
parts by a frailty of its own, gamma over vehicles with mean 1 and that variance; the scale is that of a vehicle with
frailty 1, and the look-ups are of a part on a vehicle taken at random: S(t) = (1 + theta u)^(-1 / theta). Ages,
distances and scales share one unit, the fleet's own distance unit [distance]; everything broadcasts.
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.survival.incomplete_beta import complete_integral, lower_integral, scaled_upper_integral
from wearmodel.survival.incomplete_gamma import gamma_function, scaled_gamma_ratio, scaled_upper_gamma

__all__ = [
    "cumulative_hazard",
    "fail_within",
    "hazard",
    "integrated_survival",
    "life_at",
    "log_life_slopes",
    "mean_life",
    "mean_pace",
    "mean_remaining",
    "remaining",
    "survival",
]

Array = NDArray[Any]
#: Below this variance the slope in its logarithm is nothing to speak of.
_HARDLY_ANY = 1e-9


def _spent(age: ArrayLike, shape: ArrayLike, scale: ArrayLike) -> Array:
    """Cumulative hazard of a vehicle with frailty 1."""
    return np.power(np.asarray(age, dtype=float) / np.asarray(scale, dtype=float), shape)


def _over_vehicles(spent: Array, variance: ArrayLike) -> Array:
    """Cumulative hazard over all vehicles: log(1 + theta u) / theta, u at variance 0."""
    theta = np.asarray(variance, dtype=float)
    if not theta.any():
        return spent if theta.ndim == 0 or theta.shape == spent.shape else spent + np.zeros(theta.shape)
    some = np.where(theta > 0.0, theta, 1.0)
    return np.where(theta > 0.0, np.log1p(some * spent) / some, spent)


def _hazard_spent(chance: ArrayLike, variance: ArrayLike) -> Array:
    """Cumulative hazard of a vehicle with frailty 1 by which a fraction of all vehicles' parts has failed."""
    gone = -np.log1p(-np.asarray(chance, dtype=float))
    theta = np.asarray(variance, dtype=float)
    if not theta.any():
        return gone if theta.ndim == 0 or theta.shape == gone.shape else gone + np.zeros(theta.shape)
    some = np.where(theta > 0.0, theta, 1.0)
    return np.where(theta > 0.0, np.expm1(some * gone) / some, gone)


def cumulative_hazard(age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0) -> Array:
    """Cumulative hazard at an age.

    Parameters
    ----------
    age : array_like
        Age of the part, 0 or more [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance], above 0.
    variance : array_like
        Variance theta of the vehicles' frailty, 0 or more [-].

    Returns
    -------
    ndarray
        log(1 + theta u) / theta with u = (t / scale)^shape; u itself without frailty [-].
    """
    return _over_vehicles(_spent(age, shape, scale), variance)


def survival(age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0) -> Array:
    """Chance that a part is still good at an age.

    Parameters
    ----------
    age : array_like
        Age of the part, 0 or more [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    variance : array_like
        Variance of the vehicles' frailty [-].

    Returns
    -------
    ndarray
        S(t), 0 to 1.

    Examples
    --------
    >>> round(float(survival(60_000, shape=2.5, scale=100_000)), 9)
    0.75664976
    >>> round(float(survival(60_000, shape=2.5, scale=100_000, variance=0.5)), 9)
    0.770241088
    """
    return np.exp(-cumulative_hazard(age, shape=shape, scale=scale, variance=variance))


def hazard(age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0) -> Array:
    """Failure rate of a part that has reached an age.

    Parameters
    ----------
    age : array_like
        Age of the part [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    variance : array_like
        Variance of the vehicles' frailty [-].

    Returns
    -------
    ndarray
        h(t) = (shape / scale) (t / scale)^(shape - 1) / (1 + theta u) [1 / distance]; infinite at 0 for shapes
        below 1.
    """
    k = np.asarray(shape, dtype=float)
    eta = np.asarray(scale, dtype=float)
    theta = np.asarray(variance, dtype=float)
    start = np.asarray(age, dtype=float)
    with np.errstate(divide="ignore"):
        own = k / eta * np.power(start / eta, k - 1.0)
        if not theta.any():
            return own if theta.ndim == 0 else own + np.zeros(theta.shape)
        # Far out both the rate and its divisor grow without end; their inverses do not.
        return 1.0 / (1.0 / own + theta * start / k)


def life_at(fraction: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0) -> Array:
    """Distance by which a fraction has failed (0.1 gives the B10 life).

    Parameters
    ----------
    fraction : array_like
        Share failed, 0 to below 1.
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    variance : array_like
        Variance of the vehicles' frailty [-].

    Returns
    -------
    ndarray
        scale * (((1 - fraction)^(-theta) - 1) / theta)^(1 / shape) [distance]; without frailty
        scale * (-ln(1 - fraction))^(1 / shape).
    """
    spent = _hazard_spent(fraction, variance)
    return np.asarray(scale, dtype=float) * np.power(spent, 1.0 / np.asarray(shape, dtype=float))


def log_life_slopes(fraction: float, *, shape: float, variance: float) -> tuple[float, float, float]:
    """How the log of a Weibull marginal life moves with the parameters.

    Parameters
    ----------
    fraction : float
        Share failed, above 0 and below 1.
    shape : float
        Weibull shape [-].
    variance : float
        Variance of the frailty [-].

    Returns
    -------
    tuple of float
        Slope in the log scale (1), in the log shape, and in the log variance.

    Notes
    -----
    log t = log scale + (1 / shape) log(((1 - p)^(-theta) - 1) / theta): delta method of Meeker & Escobar, Statistical
    Methods for Reliability Data, 1998, sec. 8.4.
    """
    by_shape = -np.log(float(life_at(fraction, shape=shape, scale=1.0, variance=variance)))
    if variance < _HARDLY_ANY:
        return 1.0, float(by_shape), 0.0
    spent = variance * -np.log1p(-fraction)
    by_variance = (spent * np.exp(spent) / np.expm1(spent) - 1.0) / shape
    return 1.0, float(by_shape), float(by_variance)


def mean_life(*, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0) -> Array:
    """Mean life of a new part.

    Parameters
    ----------
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    variance : array_like
        Variance of the vehicles' frailty [-].

    Returns
    -------
    ndarray
        scale * Gamma(1 + 1 / shape) E[Z^(-1 / shape)] [distance], Z being the frailty; infinite where the variance
        is as large as the shape or larger.
    """
    k = np.asarray(shape, dtype=float)
    eta = np.asarray(scale, dtype=float)
    theta = np.asarray(variance, dtype=float)
    if not theta.any():
        mean = eta * gamma_function(1.0 + 1.0 / k)
        return mean if theta.ndim == 0 else mean + np.zeros(theta.shape)
    return eta / k * complete_integral(1.0 / k, theta)


def mean_pace(shape: ArrayLike, variance: ArrayLike) -> Array:
    """Mean over vehicles of how many times as fast as a vehicle with frailty 1 their parts wear.

    Parameters
    ----------
    shape : array_like
        Weibull shape k [-].
    variance : array_like
        Variance theta of the vehicles' frailty, 0 or more [-].

    Returns
    -------
    ndarray
        E[Z^(1 / k)] = theta^(1 / k) Gamma(1 / theta + 1 / k) / Gamma(1 / theta), 1 without frailty [-].

    Notes
    -----
    On a vehicle with frailty Z lives are Weibull with scale * Z^(-1 / k): in the long run it uses Z^(1 / k) times as
    many parts, and costs so many times as much per distance, as a vehicle with frailty 1 whose interval is Z^(1 / k)
    times as long.

    Examples
    --------
    >>> round(float(mean_pace(2.0, 0.5)), 6)
    0.939986
    """
    k, theta = np.broadcast_arrays(np.asarray(shape, dtype=float), np.asarray(variance, dtype=float))
    with np.errstate(divide="ignore"):
        return scaled_gamma_ratio(1.0 / theta, 1.0 / k)


def fail_within(
    age: ArrayLike, distance: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0
) -> Array:
    """Chance that a part that has reached an age fails within the next distance.

    Parameters
    ----------
    age, distance : array_like
        Present age and further distance, 0 or more [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    variance : array_like
        Variance of the vehicles' frailty [-]; that the part has lived so long speaks for its vehicle.

    Returns
    -------
    ndarray
        1 - S(age + distance) / S(age).
    """
    start = np.asarray(age, dtype=float)
    now = _spent(start, shape, scale)
    more = _spent(start + np.asarray(distance, dtype=float), shape, scale) - now
    return -np.expm1(-_over_vehicles(more / (1.0 + np.asarray(variance, dtype=float) * now), variance))


def remaining(
    age: ArrayLike,
    *,
    shape: ArrayLike,
    scale: ArrayLike,
    fraction: ArrayLike = 0.5,
    variance: ArrayLike = 0.0,
) -> Array:
    """Further distance by which a fraction of parts of that age has failed (0.5: the median).

    Parameters
    ----------
    age : array_like
        Present age [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    fraction : array_like
        Share failed, 0 to below 1.
    variance : array_like
        Variance of the vehicles' frailty [-].

    Returns
    -------
    ndarray
        scale [u + (1 + theta u) x]^(1 / shape) - age [distance] with u = (age / scale)^shape and
        x = ((1 - fraction)^(-theta) - 1) / theta, without frailty x = -ln(1 - fraction).
    """
    k = np.asarray(shape, dtype=float)
    eta = np.asarray(scale, dtype=float)
    start = np.asarray(age, dtype=float)
    now = _spent(start, k, eta)
    spent = now + (1.0 + np.asarray(variance, dtype=float) * now) * _hazard_spent(fraction, variance)
    return eta * np.power(spent, 1.0 / k) - start


def mean_remaining(age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0) -> Array:
    """Mean further distance of a part that has reached an age.

    Parameters
    ----------
    age : array_like
        Present age [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    variance : array_like
        Variance of the vehicles' frailty [-].

    Returns
    -------
    ndarray
        Integral of S from the age on, over S(age) [distance]; without frailty
        (scale / shape) Gamma(1 / shape, (age / scale)^shape) / S(age), with the upper incomplete gamma function.
        Infinite where the variance is as large as the shape or larger. Exact to about 12 digits, in the tail too.
    """
    k = np.asarray(shape, dtype=float)
    eta = np.asarray(scale, dtype=float)
    theta = np.asarray(variance, dtype=float)
    spent = _spent(age, k, eta)
    if not theta.any():
        left = eta / k * scaled_upper_gamma(1.0 / k, spent)
        return left if theta.ndim == 0 else left + np.zeros(theta.shape)
    return eta / k * scaled_upper_integral(1.0 / k, spent, theta)


def integrated_survival(limit: ArrayLike, *, shape: ArrayLike, scale: ArrayLike, variance: ArrayLike = 0.0) -> Array:
    """Mean distance a part runs when it is renewed at failure or at a limit, whichever comes first.

    Parameters
    ----------
    limit : array_like
        Replacement age; `inf` gives the mean life [distance].
    shape, scale : array_like
        Weibull shape [-] and scale [distance].
    variance : array_like
        Variance of the vehicles' frailty [-].

    Returns
    -------
    ndarray
        Integral of S from 0 to the limit [distance].
    """
    k = np.asarray(shape, dtype=float)
    eta = np.asarray(scale, dtype=float)
    theta = np.asarray(variance, dtype=float)
    spent = _spent(limit, k, eta)
    if theta.any():
        return eta / k * lower_integral(1.0 / k, spent, theta)
    spent = np.minimum(spent, 700.0)
    whole = eta / k * (gamma_function(1.0 / k) - np.exp(-spent) * scaled_upper_gamma(1.0 / k, spent))
    return whole if theta.ndim == 0 else whole + np.zeros(theta.shape)
