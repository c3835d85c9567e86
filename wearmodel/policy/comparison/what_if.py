"""What another ride height or another part costs over the present one, and how sure a life ratio is (NumPy alone)."""

from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.policy.age_replacement import cost_rate, recommended_interval
from wearmodel.survival.weibull import mean_pace

__all__ = ["extra_cost_rate", "ratio_limit"]

Array = NDArray[Any]


def extra_cost_rate(
    *,
    shape: ArrayLike,
    variance: ArrayLike,
    scale: ArrayLike,
    other_scale: ArrayLike,
    planned_cost: ArrayLike,
    failed_cost: ArrayLike,
    extra_price: ArrayLike = 0.0,
    service_interval: ArrayLike = np.nan,
) -> Array:
    """Long-run cost per distance of another life and price over the present ones, each at its own best interval.

    Parameters
    ----------
    shape, variance : array_like
        Weibull shape and variance of the frailty [-].
    scale, other_scale : array_like
        Weibull scales, the present and the other one [distance].
    planned_cost, failed_cost : array_like
        Of one replacement now [currency].
    extra_price : array_like
        What one replacement costs more with the other one; both costs stay above 0 [currency].
    service_interval : array_like
        Distance between services; NaN or 0 when there is none [distance].

    Returns
    -------
    ndarray
        Above 0 where the other one is dearer [currency / distance].

    Examples
    --------
    A part that lasts twice as long for twice the price of a replacement, run to failure: nothing lost, nothing gained.

    >>> float(extra_cost_rate(
    ...     shape=1.0, variance=0.0, scale=50_000.0, other_scale=100_000.0, planned_cost=100.0, failed_cost=100.0,
    ...     extra_price=100.0,
    ... ))
    0.0
    """
    rates = []
    for own_scale, more in ((scale, 0.0), (other_scale, extra_price)):
        terms: dict[str, Any] = {
            "shape": shape,
            "scale": own_scale,
            "planned_cost": np.asarray(planned_cost, dtype=float) + more,
            "failed_cost": np.asarray(failed_cost, dtype=float) + more,
        }
        rates.append(cost_rate(recommended_interval(**terms, service_interval=service_interval), **terms))
    return np.asarray(mean_pace(shape, variance) * (rates[1] - rates[0]))


def ratio_limit(ratio: ArrayLike, *, error: ArrayLike, chance: ArrayLike) -> Array:
    """Value below which a true life ratio lies with a chance.

    Parameters
    ----------
    ratio : array_like
        Estimate, above 0 [-].
    error : array_like
        Standard error of its logarithm [-].
    chance : array_like
        0.05 and 0.95 give the bounds of a 90 % interval; between 0 and 1.

    Returns
    -------
    ndarray
        Normal theory for the logarithm [-].

    Examples
    --------
    >>> round(float(ratio_limit(0.8, error=0.1, chance=0.05)), 4)
    0.6787
    """
    distinct, which = np.unique(np.asarray(chance, dtype=float), return_inverse=True)
    steps = np.array([NormalDist().inv_cdf(one) for one in distinct.tolist()])[which].reshape(np.shape(chance))
    return np.asarray(np.asarray(ratio) * np.exp(steps * np.asarray(error)))
