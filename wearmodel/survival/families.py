"""Standardised life families on the logarithmic clock.

With z = shape * log(age / scale), each family gives the cumulative hazard H(z) and what Newton's
method needs of it. Only functions of z, no units.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

__all__ = ["LOGNORMAL", "WEIBULL", "Family"]

Array = NDArray[Any]


@dataclass(frozen=True)
class Family:
    """A log-location-scale family.

    Parameters
    ----------
    name : str
        Word used in tables.
    cumulative : callable
        H(z), shape preserved.
    slopes : callable
        z -> (H', H'', log H', (log H')', (log H')'') stacked on the first axis, shape (5, n).
    """

    name: str
    cumulative: Callable[[Array], Array]
    slopes: Callable[[Array], Array]


def _weibull_slopes(z: Array) -> Array:
    h = np.exp(z)
    return np.stack([h, h, z, np.ones_like(z), np.zeros_like(z)])


def _lognormal_cumulative(z: Array) -> Array:
    return -np.asarray(log_ndtr(-z))


def _lognormal_slopes(z: Array) -> Array:
    log_density = -0.5 * z**2 - 0.5 * np.log(2.0 * np.pi)
    log_mills = log_density - log_ndtr(-z)
    h = np.exp(log_mills)
    slope = h * (h - z)
    return np.stack([h, slope, log_mills, h - z, slope - 1.0])


#: Weibull: H(z) = exp(z); smallest extreme value law of log life.
WEIBULL = Family("weibull", np.exp, _weibull_slopes)
#: Lognormal: H(z) = -log(1 - Phi(z)); shape is 1 / sigma, scale is exp(mu).
LOGNORMAL = Family("lognormal", _lognormal_cumulative, _lognormal_slopes)
