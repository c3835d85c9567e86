"""How well forecast counts did: pinball loss of quantiles, coverage of counts, bias."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["QUANTILES", "count_coverage", "drawn_chances", "pinball_loss", "poisson_quantiles"]

Array = NDArray[Any]
#: Quantiles that are scored.
QUANTILES = (0.1, 0.5, 0.9)


def pinball_loss(actual: ArrayLike, quantiles: Array) -> Array:
    """Mean pinball loss of the three quantiles.

    Parameters
    ----------
    actual : array_like, shape (...)
        Counts that came.
    quantiles : ndarray, shape (3, ...)
        Foreseen 10, 50 and 90 % quantiles.

    Returns
    -------
    ndarray, shape (...)
        Of each count, 0 for a forecast without error.

    References
    ----------
    Koenker & Bassett, Econometrica 46, 1978; Gneiting & Raftery, Journal of the American Statistical Association 102,
    2007, sec. 6.
    """
    came = np.asarray(actual, dtype=float)
    levels = np.array(QUANTILES).reshape(-1, *([1] * came.ndim))
    away = came - quantiles
    return np.asarray(np.maximum(levels * away, (levels - 1.0) * away).mean(axis=0))


def drawn_chances(actual: Array, draws: Array) -> tuple[Array, Array]:
    """Chances that a forecast gave to counts below, and up to, the one that came.

    Parameters
    ----------
    actual : ndarray, shape (n,)
        Counts that came.
    draws : ndarray, shape (n, n_draws)
        Drawn counts.

    Returns
    -------
    tuple of ndarray, shape (n,)
        F(y - 1) and F(y).
    """
    return (draws < actual[:, None]).mean(axis=1), (draws <= actual[:, None]).mean(axis=1)


def count_coverage(below: Array, up_to: Array, *, low: float = 0.1, high: float = 0.9) -> Array:
    """How far a central interval of a distribution of counts holds the count that came.

    Parameters
    ----------
    below, up_to : ndarray, shape (n,)
        F(y - 1) and F(y) of the forecast at the count that came.
    low, high : float
        Ends of the interval on the scale of chances.

    Returns
    -------
    ndarray, shape (n,)
        Share of [F(y - 1), F(y)] inside [low, high], 0 to 1: under the right law its mean is high - low exactly,
        without drawing a random number (the mean of the randomised probability integral transform: Smith, Journal of
        Forecasting 4, 1985; Czado, Gneiting & Held, Biometrics 65, 2009).
    """
    width = up_to - below
    inside = np.clip(np.minimum(up_to, high) - np.maximum(below, low), 0.0, None)
    at_a_point = ((up_to >= low) & (up_to <= high)).astype(float)
    return np.where(width > 0, inside / np.where(width > 0, width, 1.0), at_a_point)


def poisson_quantiles(mean: Array) -> Array:
    """10, 50 and 90 % quantiles of Poisson counts, for forecasts that give a mean alone.

    Parameters
    ----------
    mean : ndarray, shape (...)
        Foreseen means, 0 or more.

    Returns
    -------
    ndarray, shape (3, ...)
        Counts.
    """
    from scipy.special import pdtr

    out = np.empty((len(QUANTILES), *mean.shape))
    for row, level in zip(out, QUANTILES, strict=True):
        # The smallest count whose chance not to be exceeded reaches the level, searched for upwards.
        count = np.zeros(mean.shape)
        while (short := pdtr(count, mean) < level).any():
            count = np.where(short, count + 1.0, count)
        row[...] = count
    return out
