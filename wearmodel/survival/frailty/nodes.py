"""Nodes of gamma laws for integrals over a vehicle's frailty."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import digamma, gammaln, polygamma

__all__ = ["GammaNodes", "laguerre_nodes"]

Array = NDArray[Any]


@dataclass(frozen=True)
class GammaNodes:
    """Gauss-Laguerre nodes of some gamma laws.

    Parameters
    ----------
    value, log_weight : ndarray, shape (n_laws, n_nodes)
        The mean of f(z) is the weighted sum of f, exact for polynomials of degree below twice the count.
    log, log_square : ndarray, shape (n_laws, n_nodes)
        The weighted sum of these times f is the mean of log(z) f(z) and of log(z)^2 f(z), exact for polynomials f of
        degree below the count; the logarithm of the node would not do near 0.
    """

    value: Array
    log_weight: Array
    log: Array
    log_square: Array


def laguerre_nodes(shape: Array, speed: Array, count: int) -> GammaNodes:
    """Nodes of several gamma laws.

    Parameters
    ----------
    shape, speed : ndarray, shape (n_laws,)
        Shape and rate of each law, above 0.
    count : int
        Nodes of each.

    Returns
    -------
    GammaNodes
        Weights of each law sum to 1.

    Notes
    -----
    Nodes and weights from the Jacobi matrix (Golub & Welsch, Mathematics of Computation 23, 1969). Logarithms by
    product integration: the integral of x^(a - 1 + e) exp(-x) L_n(x) is Gamma(a + e) (-e)_n / n! (Abramowitz & Stegun
    1972, sec. 22.13), and its derivatives in e at 0 are the moments of log x.
    """
    values, index = np.unique(shape, return_inverse=True)
    order = np.arange(count)
    jacobi = np.zeros((len(values), count, count))
    jacobi[:, order, order] = 2.0 * order + values[:, None]
    beside = np.sqrt(order[1:] * (order[1:] - 1.0 + values[:, None]))
    jacobi[:, order[1:], order[:-1]] = beside
    jacobi[:, order[:-1], order[1:]] = beside
    nodes, vectors = np.linalg.eigh(jacobi)
    vectors = vectors * np.where(vectors[:, :1, :] < 0, -1.0, 1.0)
    root = np.maximum(vectors[:, 0, :], 1e-150)
    first, second = _log_moments(values, order)
    log_x = np.einsum("in,inj->ij", first, vectors) / root
    square_x = np.einsum("in,inj->ij", second, vectors) / root
    shift = np.log(speed)[:, None]
    own = log_x[index]
    return GammaNodes(
        value=nodes[index] / speed[:, None],
        log_weight=2.0 * np.log(root)[index],
        log=own - shift,
        log_square=square_x[index] - 2.0 * shift * own + shift**2,
    )


def _log_moments(shape: Array, order: Array) -> tuple[Array, Array]:
    """Means of log x and of its square times the orthonormal polynomials of each law."""
    n = order[1:]
    a = shape[:, None]
    level = digamma(a)
    sums = np.concatenate([[0.0], np.cumsum(1.0 / n)])[:-1]
    first = np.column_stack([level, np.broadcast_to(-1.0 / n, (len(shape), len(n)))])
    second = np.column_stack([level**2 + polygamma(1, a), -2.0 * level / n + 2.0 * sums / n])
    size = np.exp(0.5 * (gammaln(order + a) - gammaln(order + 1.0) - gammaln(a)))
    sign = np.where(order % 2 == 0, 1.0, -1.0)
    return first * sign / size, second * sign / size
