"""Frailty of vehicles whose failures were all seen to the distance: gamma again, in closed form."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import digamma, gammaln, polygamma

__all__ = ["FailureCounts", "Moments", "log_gamma_norm"]

Array = NDArray[Any]
_MOST_STEPS = 10_000


@dataclass(frozen=True)
class Moments:
    """What is known of each vehicle's frailty z given the record.

    Parameters
    ----------
    value : ndarray, shape (n_vehicles,)
        Log of the integral over z, without the densities' part.
    mean, variance : ndarray, shape (n_vehicles,)
        Of z.
    steep, cross, bend : ndarray, shape (n_vehicles,)
        Mean of log z - z, its covariance with z, its variance.
    """

    value: Array
    mean: Array
    variance: Array
    steep: Array
    cross: Array
    bend: Array


class FailureCounts:
    """Functions of the vehicles' numbers of failures at one rate, worked out once for each distinct number.

    Parameters
    ----------
    failures : ndarray, shape (n_vehicles,)
        Weighted numbers.
    """

    def __init__(self, failures: Array) -> None:
        self._distinct, self._place = np.unique(failures, return_inverse=True)
        self._failures = failures

    def moments(self, rate: float, exposure: Array) -> Moments:
        """Moments of z, which given the record is gamma(rate + failures, rate + exposure).

        Parameters
        ----------
        rate : float
            1 / variance of the frailty.
        exposure : ndarray, shape (n_vehicles,)
            Cumulative hazard seen.

        Returns
        -------
        Moments
            Of each vehicle.
        """
        after = rate + self._distinct
        of_count = np.stack([_log_rising(rate, self._distinct), digamma(after), polygamma(1, after)])
        rising, mean_log, variance_log = of_count.take(self._place, axis=1)
        power, speed = rate + self._failures, rate + exposure
        mean = power / speed
        variance = mean / speed
        cross = 1.0 / speed
        return Moments(
            value=rising - power * np.log1p(exposure / rate),
            mean=mean,
            variance=variance,
            steep=mean_log - np.log(speed) - mean,
            cross=cross - variance,
            bend=variance_log - 2.0 * cross + variance,
        )


def _log_rising(rate: float, failures: Array) -> Array:
    """Log of Gamma(rate + D) / (Gamma(rate) rate^D), without cancellation for small whole D."""
    whole = np.round(failures)
    most = int(whole.max(initial=0))
    if most <= _MOST_STEPS and np.array_equal(whole, failures):
        steps = np.concatenate([[0.0], np.cumsum(np.log1p(np.arange(most) / rate))])
        return np.asarray(steps[whole.astype(np.intp)])
    return np.asarray(gammaln(rate + failures) - gammaln(rate) - failures * np.log(rate))


def log_gamma_norm(rate: float) -> float:
    """Log of the integral of z^(rate - 1) exp(-rate z).

    Parameters
    ----------
    rate : float
        Above 0.

    Returns
    -------
    float
        Log of Gamma(rate) / rate^rate.
    """
    return float(gammaln(rate) - rate * np.log(rate))
