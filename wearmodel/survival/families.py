"""Standardised life families on the logarithmic clock.

With z = shape * log(age / scale), each family gives the cumulative hazard H(z) and what Newton's
method needs of it. Only functions of z, no units.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["LOGNORMAL", "LOG_LOGISTIC", "WEIBULL", "Family", "Triple"]

Array = NDArray[Any]
#: A function of z and its first two derivatives, or three functions.
Triple = tuple[Array, Array, Array]


@dataclass(frozen=True)
class Family:
    """A log-location-scale family.

    Parameters
    ----------
    name : str
        Word used in tables.
    hazard : callable
        z -> (H, H', H''), each of the shape of z.
    log_hazard : callable
        z -> (log H', (log H')', (log H')''), each of the shape of z or a single number where it is constant.
    z_at : callable
        Share failed, between 0 and 1 -> z there.
    """

    name: str
    hazard: Callable[[Array], Triple]
    log_hazard: Callable[[Array], Triple]
    z_at: Callable[[float], float]

    def cumulative(self, z: Array) -> Array:
        """H(z), shape preserved."""
        return self.hazard(z)[0]

    def slopes(self, z: Array) -> Array:
        """H', H'', log H', (log H')', (log H')'' stacked on the first axis, shape (5, n)."""
        return np.stack(np.broadcast_arrays(*self.hazard(z)[1:], *self.log_hazard(z)))


_ZERO, _ONE = np.zeros(()), np.ones(())


def _weibull_hazard(z: Array) -> Triple:
    h = np.exp(z)
    return h, h, h


def _weibull_log_hazard(z: Array) -> Triple:
    return z, _ONE, _ZERO


def _log_mills(z: Array) -> Triple:
    """-log(1 - Phi(z)), the logarithm of the normal hazard, the hazard."""
    # Its import costs as much memory as a hundred thousand lives, and the other families do without.
    from scipy.special import log_ndtr

    cumulative = -np.asarray(log_ndtr(-z))
    log_mills = cumulative - 0.5 * z**2 - 0.5 * np.log(2.0 * np.pi)
    return cumulative, log_mills, np.exp(log_mills)


def _lognormal_hazard(z: Array) -> Triple:
    cumulative, _, h = _log_mills(z)
    return cumulative, h, h * (h - z)


def _lognormal_log_hazard(z: Array) -> Triple:
    _, log_mills, h = _log_mills(z)
    return log_mills, h - z, h * (h - z) - 1.0


def _odds_parts(z: Array) -> Triple:
    """log(1 + e^-|z|), and the shares e^z / (1 + e^z) and 1 / (1 + e^z), without overflow."""
    small = np.exp(-np.abs(z))
    larger = 1.0 / (1.0 + small)
    smaller = small * larger
    late = z > 0
    return np.log1p(small), np.where(late, larger, smaller), np.where(late, smaller, larger)


def _log_logistic_hazard(z: Array) -> Triple:
    rest, failed, alive = _odds_parts(z)
    return np.maximum(z, 0.0) + rest, failed, failed * alive


def _log_logistic_log_hazard(z: Array) -> Triple:
    rest, failed, alive = _odds_parts(z)
    return np.minimum(z, 0.0) - rest, alive, -failed * alive


#: Weibull: H(z) = exp(z); smallest extreme value law of log life.
WEIBULL = Family("weibull", _weibull_hazard, _weibull_log_hazard, lambda p: math.log(-math.log1p(-p)))
#: Lognormal: H(z) = -log(1 - Phi(z)); shape is 1 / sigma, scale is exp(mu).
LOGNORMAL = Family("lognormal", _lognormal_hazard, _lognormal_log_hazard, NormalDist().inv_cdf)
#: Log-logistic: H(z) = log(1 + exp(z)); the odds of failing grow as age^shape, scale is the median life.
LOG_LOGISTIC = Family(
    "log-logistic", _log_logistic_hazard, _log_logistic_log_hazard, lambda p: math.log(p) - math.log1p(-p)
)
