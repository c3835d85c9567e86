"""Means over gamma laws by quadrature, for many laws at once."""

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammainccinv, gammaincinv, ndtr

__all__ = ["gamma_nodes"]

Array = NDArray[Any]
#: Outermost normal score for each square root of the number of points, and at most.
_REACH, _FURTHEST = 1.34, 8.0


def gamma_nodes(shape: Array, *, nodes: int) -> "tuple[Array, Array]":
    """Points and weights of the mean over gamma laws of rate 1.

    Parameters
    ----------
    shape : ndarray, shape (n_laws,)
        Shapes of the gamma laws, above 0.
    nodes : int
        Points, 8 or more.

    Returns
    -------
    tuple of ndarray
        Points, shape (n_laws, nodes), and weights that sum to 1, shape (nodes,).

    Notes
    -----
    The gamma law's quantiles at equidistant normal scores, by the trapezoid rule, which converges geometrically on a
    normal density. Fractional powers of the variable are smooth in its normal score, unlike in the variable itself at
    0, where Gauss-Laguerre points converge slowly on them.

    References
    ----------
    Trefethen & Weideman, The Exponentially Convergent Trapezoidal Rule, SIAM Review 56 (2014).

    Examples
    --------
    >>> points, weights = gamma_nodes(np.array([2.5]), nodes=20)
    >>> (points**3 @ weights).round(5)  # 2.5 * 3.5 * 4.5
    array([39.375])
    """
    if nodes < 8:
        raise ValueError(f"a quadrature of {nodes} points is too coarse; at least 8 are needed")
    reach = min(_REACH * math.sqrt(nodes), _FURTHEST)
    score = np.linspace(-reach, reach, nodes)
    weight = np.exp(-0.5 * score**2)
    laws, index = np.unique(shape, return_inverse=True)
    lower = gammaincinv(laws[:, None], ndtr(score[score < 0]))
    upper = gammainccinv(laws[:, None], ndtr(-score[score >= 0]))
    points = np.maximum(np.hstack([lower, upper]), 1e-300)
    return points[index], weight / weight.sum()
