"""Cubic splines on uniform grids of one to three dimensions, with their derivatives, for many points at once."""

from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_banded

__all__ = ["SplineValues", "UniformSpline", "fit_uniform_splines"]

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
        axes, count = points.shape
        value, first, second = np.empty(count), np.empty((axes, count)), np.empty((axes, axes, count))
        for begin in range(0, count, _BLOCK):
            part = slice(begin, min(begin + _BLOCK, count))
            self._block(points[:, part], value[part], first[:, part], second[:, :, part])
        return SplineValues(value, first, second)

    def _block(self, points: Array, value: Array, first: Array, second: Array) -> None:
        """Contract the last axis, then the others, so that one gathering serves all derivatives."""
        axes = len(points)
        bases = [_basis(points[i] / step, self.coefficients.shape[i] - 3, step) for i, step in enumerate(self.steps)]
        strides = np.cumprod((1, *self.coefficients.shape[:0:-1]))[::-1]
        flat = self.coefficients.ravel()
        corner = sum(cell * int(stride) for (cell, _), stride in zip(bases, strides, strict=True))
        lines = [bases[-1][1][order] for order in range(3)]
        value[:], first[:], second[:] = 0.0, 0.0, 0.0
        for node in product(range(4), repeat=axes - 1):
            at = corner + sum(n * int(stride) for n, stride in zip(node, strides[:-1], strict=True))
            gathered = [flat[at + j] for j in range(4)]
            inner = [sum(line[j] * gathered[j] for j in range(4)) for line in lines]
            outer = [bases[i][1] for i in range(axes - 1)]
            value += _product(outer, node, {}) * inner[0]
            first[-1] += _product(outer, node, {}) * inner[1]
            second[-1, -1] += _product(outer, node, {}) * inner[2]
            for i in range(axes - 1):
                slope = _product(outer, node, {i: 1})
                first[i] += slope * inner[0]
                second[i, -1] += slope * inner[1]
                second[i, i] += _product(outer, node, {i: 2}) * inner[0]
                for j in range(i):
                    second[i, j] += _product(outer, node, {i: 1, j: 1}) * inner[0]
        for i in range(axes):
            for j in range(i):
                # Filled on one side only: with the last axis above the diagonal, the others below.
                if i == axes - 1:
                    second[i, j] = second[j, i]
                else:
                    second[j, i] = second[i, j]


def _product(bases: "list[Array]", node: "tuple[int, ...]", orders: "dict[int, int]") -> Any:
    """Product of the basis functions of all axes but the last, each to its order of derivative."""
    out: Any = 1.0
    for i, (basis, n) in enumerate(zip(bases, node, strict=True)):
        out = out * basis[orders.get(i, 0), n]
    return out


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
    rows = np.array(moved.reshape(len(moved), -1), order="F")
    count = len(rows)
    start = _END_SLOPE @ rows[:5]
    end = np.zeros_like(start) if flat_end else -_END_SLOPE @ rows[-1:-6:-1]
    rows[0] += start / 3.0
    rows[-1] -= end / 3.0
    bands = np.full((3, count), 1.0 / 6.0)
    bands[1] = 4.0 / 6.0
    bands[0, 1] = bands[2, -2] = 2.0 / 6.0
    inner = solve_banded((1, 1), bands, rows, overwrite_b=True, check_finite=False)
    whole = np.vstack([inner[1] - 2.0 * start, inner, inner[-2] + 2.0 * end])
    return np.moveaxis(whole.reshape(count + 2, *moved.shape[1:]), 0, axis)
