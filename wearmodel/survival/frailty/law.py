"""Life of a fresh part on a vehicle taken at random, where vehicles wear unlike (numpy alone).

A vehicle with frailty Z has cumulative hazard Z H(t); with Z gamma of mean 1 and variance theta over vehicles the
survival of a part on a random vehicle is (1 + theta H(t))^(-1 / theta).
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["log_life_slopes", "marginal_hazard_at", "marginal_survival"]

Array = NDArray[Any]
#: Below this variance the limit without frailty is used; the difference is of its order.
_NONE = 1e-9


def marginal_survival(hazard: ArrayLike, *, variance: float) -> Array:
    """Survival over all vehicles.

    Parameters
    ----------
    hazard : array_like
        Cumulative hazard of a vehicle with frailty 1, 0 or more [-].
    variance : float
        Variance of the frailty, 0 or more [-].

    Returns
    -------
    ndarray
        (1 + variance * hazard)^(-1 / variance), exp(-hazard) at variance 0.

    Examples
    --------
    >>> round(float(marginal_survival(1.0, variance=0.5)), 4)
    0.4444
    """
    total = np.asarray(hazard, dtype=float)
    if variance < _NONE:
        return np.exp(-total)
    return np.exp(-np.log1p(variance * total) / variance)


def marginal_hazard_at(fraction: ArrayLike, *, variance: float) -> Array:
    """Cumulative hazard of a vehicle with frailty 1 by which a fraction of all vehicles' parts has failed.

    Parameters
    ----------
    fraction : array_like
        Share failed, 0 to below 1.
    variance : float
        Variance of the frailty [-].

    Returns
    -------
    ndarray
        ((1 - fraction)^(-variance) - 1) / variance [-], the inverse of `marginal_survival`.
    """
    spent = -np.log1p(-np.asarray(fraction, dtype=float))
    if variance < _NONE:
        return spent
    return np.expm1(variance * spent) / variance


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
    hazard = float(marginal_hazard_at(fraction, variance=variance))
    by_shape = -np.log(hazard) / shape
    if variance < _NONE:
        return 1.0, float(by_shape), 0.0
    spent = variance * -np.log1p(-fraction)
    by_variance = (spent * np.exp(spent) / np.expm1(spent) - 1.0) / shape
    return 1.0, float(by_shape), float(by_variance)
