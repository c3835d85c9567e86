"""Cubic splines on uniform grids of one to three dimensions, with their derivatives, for many points at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["SplineValues", "UniformSpline", "fit_uniform_splines", "values_of"]

Array = NDArray[Any]
#: Points are worked through in blocks that stay in the processor's cache.
_BLOCK = 16_384


@dataclass(frozen=True)
class SplineValues:
    """A spline at points.

    Parameters
    ----------
    value : ndarray, shape (n_points,)
        Value.
    first : ndarray, shape (n_axes, n_points)
        Derivatives.
    second : ndarray, shape (n_axes, n_axes, n_points)
        Second derivatives.
    """

    value: Array
    first: Array
    second: Array


@dataclass(frozen=True)
class UniformSpline:
    """A tensor product of cubic B-splines with a knot at every grid point.

    Parameters
    ----------
    coefficients : ndarray
        One more on either side of each axis than there are grid points.
    steps : tuple of float
        Width of a cell on each axis; the grids begin at 0.
    """

    coefficients: Array
    steps: tuple[float, ...]

    def at(self, points: Array) -> SplineValues:
        """Value and derivatives at points.

        Parameters
        ----------
        points : ndarray, shape (n_axes, n_points)
            Positions; outside the grid the outermost cell's cubic goes on.

        Returns
        -------
        SplineValues
            All derivatives to the second order.
        """
        return values_of((self,), points)[0]

    def values(self, points: Array) -> Array:
        """Values alone, the same as those of `at`: a fifth of its work.

        Parameters
        ----------
        points : ndarray, shape (n_axes, n_points)
            Positions.

        Returns
        -------
        ndarray, shape (n_points,)
            Values.
        """
        value = np.empty(points.shape[1])
        for begin in range(0, len(value), _BLOCK):
            part = slice(begin, min(begin + _BLOCK, len(value)))
            bases, around = self._around(points[:, part])
            gathered = self._gathered(around)
            for _, basis in reversed(bases):
                gathered = np.einsum("...kn,kn->...n", gathered, basis[0])
            value[part] = gathered
        return value

    def _around(self, points: Array) -> "tuple[list[tuple[Array, Array]], Array]":
        """Cells and B-splines of each axis, and where the coefficients around the points are, shape (4^n_axes, n)."""
        axes = len(points)
        bases = [_basis(points[i] / step, self.coefficients.shape[i] - 3, step) for i, step in enumerate(self.steps)]
        strides = [int(stride) for stride in np.cumprod((1, *self.coefficients.shape[:0:-1]))[::-1]]
        corner = sum(cell * stride for (cell, _), stride in zip(bases, strides, strict=True))
        nodes = np.array([sum(np.multiply(node, strides)) for node in product(range(4), repeat=axes)])
        return bases, nodes[:, None] + corner

    def _gathered(self, around: Array) -> Array:
        """Coefficients around the points, shape (4, ..., 4, n_points)."""
        return self.coefficients.ravel()[around].reshape(*[4] * len(self.steps), around.shape[1])

    def _block(
        self, bases: "list[tuple[Array, Array]]", around: Array, value: Array, first: Array, second: Array
    ) -> None:
        """Contract one axis after the other, the last first, so that one gathering serves all derivatives."""
        # By the orders of derivative on the axes contracted so far, two in all at most.
        found: dict[tuple[int, ...], Array] = {(): self._gathered(around)}
        for _, basis in reversed(bases):
            found = {
                (order, *orders): np.einsum("...kn,kn->...n", values, basis[order])
                for orders, values in found.items()
                for order in range(3 - sum(orders))
            }
        for orders, values in found.items():
            along = [i for i, order in enumerate(orders) for _ in range(order)]
            if not along:
                value[:] = values
            elif len(along) == 1:
                first[along[0]] = values
            else:
                second[along[0], along[1]] = second[along[1], along[0]] = values


def values_of(splines: Sequence[UniformSpline], points: Array) -> list[SplineValues]:
    """Values and derivatives of several splines on one grid at the same points, whose places are looked up once.

    Parameters
    ----------
    splines : sequence of UniformSpline
        With as many coefficients on each axis and the same steps.
    points : ndarray, shape (n_axes, n_points)
        Positions.

    Returns
    -------
    list of SplineValues
        Of each spline what its `at` gives.
    """
    axes, count = points.shape
    found = [SplineValues(np.empty(count), np.empty((axes, count)), np.empty((axes, axes, count))) for _ in splines]
    for begin in range(0, count, _BLOCK):
        part = slice(begin, min(begin + _BLOCK, count))
        bases, around = splines[0]._around(points[:, part])
        for spline, one in zip(splines, found, strict=True):
            spline._block(bases, around, one.value[part], one.first[:, part], one.second[:, :, part])
    return found


def _basis(position: Array, cells: int, step: float) -> "tuple[Array, Array]":
    """Cell of each point, and the four B-splines there: value and derivatives, shape (3, 4, n)."""
    cell = np.clip(position.astype(np.intp), 0, cells - 1)
    t = position - cell
    u = 1.0 - t
    out = np.empty((3, 4, len(t)))
    out[0] = (
        u**3 / 6.0,
        (t * t * (3.0 * t - 6.0) + 4.0) / 6.0,
        (u * u * (3.0 * u - 6.0) + 4.0) / 6.0,
        t**3 / 6.0,
    )
    out[1] = np.stack([-u * u, t * (3.0 * t - 4.0), u * (4.0 - 3.0 * u), t * t]) / (2.0 * step)
    out[2] = np.stack([u, 3.0 * t - 2.0, 3.0 * u - 2.0, t]) / step**2
    return cell, out


def fit_uniform_splines(
    values: Array, steps: "tuple[float, ...]", *, flat_end: "tuple[bool, ...]"
) -> "tuple[UniformSpline, ...]":
    """Splines through several sets of values on one uniform grid.

    Parameters
    ----------
    values : ndarray, shape (n_splines, ...)
        Then one axis for each variable, five points or more on each.
    steps : tuple of float
        Width of a cell on each axis.
    flat_end : tuple of bool
        Whether the slope is 0 at the far end of an axis, so that the value goes on unchanged beyond it.

    Returns
    -------
    tuple of UniformSpline
        Each passes through all its values; slopes at the ends from the five nearest values.

    References
    ----------
    de Boor, A Practical Guide to Splines, 1978, ch. IV and XVII.
    """
    coefficients = values
    for axis, flat in enumerate(flat_end):
        coefficients = _along(coefficients, axis + 1, flat)
    return tuple(UniformSpline(np.ascontiguousarray(one), tuple(steps)) for one in coefficients)


#: Slope at the first of five equidistant values, in cells.
_END_SLOPE = np.array([-25.0, 48.0, -36.0, 16.0, -3.0]) / 12.0


def _along(values: Array, axis: int, flat_end: bool) -> Array:
    """Coefficients along one axis: a tridiagonal system, the outermost ones from the slopes at the ends."""
    moved = np.moveaxis(values, axis, 0)
    count = len(moved)
    # Copied once, straight to where it is solved.
    whole = np.empty((count + 2, *moved.shape[1:]))
    whole[1:-1] = moved
    rows = whole.reshape(count + 2, -1)
    inner = rows[1:-1]
    start = _END_SLOPE @ inner[:5]
    end = np.zeros_like(start) if flat_end else -_END_SLOPE @ inner[-1:-6:-1]
    inner[0] += start / 3.0
    inner[-1] -= end / 3.0
    _solve(inner)
    rows[0] = inner[1] - 2.0 * start
    rows[-1] = inner[-2] + 2.0 * end
    return np.moveaxis(whole, 0, axis)


def _solve(rows: Array) -> None:
    """Solve (1 4 1) / 6, at the ends (4 2) / 6, in place: elimination whole rows at a time, as there are many columns.

    The diagonal outweighs the rest, so that no pivot is needed.
    """
    upper = np.empty(len(rows))
    beside, pivot = 2.0 / 6.0, 4.0 / 6.0
    work = np.empty(rows.shape[1])
    for i in range(len(rows) - 1):
        rows[i] /= pivot
        upper[i] = beside / pivot
        beside = 1.0 / 6.0
        below = beside if i < len(rows) - 2 else 2.0 / 6.0
        np.multiply(rows[i], below, out=work)
        rows[i + 1] -= work
        pivot = 4.0 / 6.0 - below * upper[i]
    rows[-1] /= pivot
    for i in range(len(rows) - 2, -1, -1):
        np.multiply(rows[i + 1], upper[i], out=work)
        rows[i] -= work
