"""Nodes of gamma laws for integrals over a vehicle's frailty."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import digamma, gammaln, polygamma

__all__ = ["GammaNodes", "StandardNodes", "laguerre_nodes"]

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
    log_value : ndarray, shape (n_laws, n_nodes)
        That logarithm.
    log_norm : ndarray, shape (n_laws,)
        Log of the integral of z^(shape - 1) exp(-speed z).
    """

    value: Array
    log_weight: Array
    log: Array
    log_square: Array
    log_value: Array
    log_norm: Array


class StandardNodes:
    """Nodes of gamma laws of rate 1; those of a shape that was asked for before are at hand."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[Array, tuple[Array, ...]]] = {}

    def __call__(self, shape: Array, count: int) -> tuple[Array, ...]:
        """Value, log weight, log, its square, log of the value, each of shape (n_nodes, n_laws); log norm.

        Parameters
        ----------
        shape : ndarray, shape (n_laws,)
            Shape of each law, above 0.
        count : int
            Nodes of each.

        Returns
        -------
        tuple of ndarray
            Node by node, so that sums over them run along memory.
        """
        values, index = np.unique(shape, return_inverse=True)
        known, tables = self._known.get(count, (np.zeros(0), None))
        new = values[~np.isin(values, known)]
        if tables is None or len(new):
            more = _standard_nodes(new, count)
            shapes = np.append(known, new)
            order = np.argsort(shapes)
            if tables is not None:
                more = tuple(np.concatenate(both, axis=-1) for both in zip(tables, more, strict=True))
            known, tables = shapes[order], tuple(table[..., order] for table in more)
            self._known[count] = known, tables
        place = np.searchsorted(known, values)[index]
        return tuple(table.take(place, axis=-1) for table in tables)


def laguerre_nodes(shape: Array, speed: Array, count: int, *, standard: StandardNodes | None = None) -> GammaNodes:
    """Nodes of several gamma laws.

    Parameters
    ----------
    shape, speed : ndarray, shape (n_laws,)
        Shape and rate of each law, above 0.
    count : int
        Nodes of each.
    standard : StandardNodes, optional
        Shared by calls that have shapes in common.

    Returns
    -------
    GammaNodes
        Weights of each law sum to 1.
    """
    value, log_weight, log, log_square, log_value, log_norm = (standard or StandardNodes())(shape, count)
    shift = np.log(speed)
    log_square -= 2.0 * shift * log
    log_square += shift**2
    log -= shift
    log_value -= shift
    value /= speed
    log_norm -= shape * shift
    return GammaNodes(value.T, log_weight.T, log.T, log_square.T, log_value.T, log_norm)


def _standard_nodes(shape: Array, count: int) -> tuple[Array, ...]:
    """Nodes of laws of rate 1, node by node.

    Nodes and weights from the Jacobi matrix (Golub & Welsch, Mathematics of Computation 23, 1969). Logarithms by
    product integration: the integral of x^(a - 1 + e) exp(-x) L_n(x) is Gamma(a + e) (-e)_n / n! (Abramowitz & Stegun
    1972, sec. 22.13), and its derivatives in e at 0 are the moments of log x.
    """
    order = np.arange(count)
    jacobi = np.zeros((len(shape), count, count))
    jacobi[:, order, order] = 2.0 * order + shape[:, None]
    beside = np.sqrt(order[1:] * (order[1:] - 1.0 + shape[:, None]))
    jacobi[:, order[1:], order[:-1]] = beside
    jacobi[:, order[:-1], order[1:]] = beside
    nodes, vectors = np.linalg.eigh(jacobi)
    vectors = vectors * np.where(vectors[:, :1, :] < 0, -1.0, 1.0)
    root = np.maximum(vectors[:, 0, :], 1e-150)
    first, second = _log_moments(shape, order)
    log_x = np.einsum("in,inj->ij", first, vectors) / root
    square_x = np.einsum("in,inj->ij", second, vectors) / root
    return nodes.T, 2.0 * np.log(root).T, log_x.T, square_x.T, np.log(nodes).T, np.asarray(gammaln(shape))


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
