"""Likelihood of lives whose covariates stay constant: each life enters through one number x'b.

All ages of a life share the stretch exp(-x'b), so that a life's log-likelihood is a function of x'b and the log
shape. Its derivatives are gathered per life first; the covariates are touched once, block by block, so that a
block stays in the processor's cache.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import Family
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.life_terms import LARGEST_Z, end_terms

__all__ = ["ConstantLives", "Sums"]

Array = NDArray[Any]
_BLOCK = 4096


@dataclass(frozen=True)
class Sums:
    """Log-likelihood of some lives with derivatives.

    Parameters
    ----------
    value : float
        Log-likelihood.
    gradient : ndarray, shape (n_parameters,)
        In the coefficients, then the log shape.
    hessian : ndarray, shape (n_parameters, n_parameters)
        Second derivatives.
    by_segment : ndarray, shape (n_segments,)
        Derivative in the x'b of each segment, weighted.
    by_shape : ndarray, shape (n_lives,)
        Derivative of each life in the log shape, weighted.
    """

    value: float
    gradient: Array
    hessian: Array
    by_segment: Array
    by_shape: Array


@dataclass(frozen=True)
class _Kind:
    """Lives of one kind, ascending, with the logarithm of an age of theirs."""

    rows: Array
    log_age: Array

    def within(self, begin: int, end: int) -> "_Kind":
        """Those of a block, counted from its beginning."""
        low, high = np.searchsorted(self.rows, (begin, end))
        return _Kind(self.rows[low:high] - begin, self.log_age[low:high])


def _kind(rows: Array, age: Array, log_unit: float) -> _Kind:
    return _Kind(rows, _log(age[rows]) - log_unit)


def _log(age: Array) -> Array:
    """Logarithm; an age of 0, at which nothing can have failed yet, becomes a very small one."""
    out = np.maximum(age, np.finfo(float).tiny)
    return np.log(out, out=out)


class ConstantLives:
    """Likelihood of lives of one segment each.

    Parameters
    ----------
    data : LifeData
        Lives, each of one segment.
    family : Family
        Life family.
    log_unit : float
        Logarithm of the distance that ages are counted in [log distance].
    """

    def __init__(self, data: LifeData, family: Family, log_unit: float) -> None:
        self._family, self._design, self._weight = family, data.design, data.weight
        self._low = _log(data.before_low)
        self._low -= log_unit
        self._entry = _kind(np.flatnonzero(data.entered), data.before_entry, log_unit)
        self._interval = _kind(np.flatnonzero(data.interval), data.before_high, log_unit)
        self._exact = data.exact
        self._failed_exactly = float(np.sum(self._weight, where=data.exact))

    def __call__(self, parameters: Array) -> Sums:
        """Log-likelihood and derivatives.

        Parameters
        ----------
        parameters : ndarray, shape (n_coefficients + 1,)
            Coefficients, then the log shape.

        Returns
        -------
        Sums
            Of all lives.
        """
        n, columns = self._design.shape
        work = _Work(parameters, np.empty((columns, _BLOCK)), np.empty((columns + 2, _BLOCK)), n)
        for begin in range(0, n, _BLOCK):
            self._add(work, begin, min(begin + _BLOCK, n))
        value = work.value + self._failed_exactly * float(parameters[-1])
        return work.sums(value, self._failed_exactly)

    def _add(self, work: "_Work", begin: int, end: int) -> None:
        """Terms of the lives of a block."""
        x = work.design[:, : end - begin]
        np.copyto(x, self._design[begin:end].T)
        predictor = work.coefficients @ x
        weight = self._weight[begin:end]
        entry, interval = (kind.within(begin, end) for kind in (self._entry, self._interval))
        exact = np.flatnonzero(self._exact[begin:end])

        def z_of(log_age: Array, stretch: Array) -> Array:
            z = log_age - stretch
            z *= work.shape
            return np.minimum(z, LARGEST_Z, out=z)

        z = z_of(self._low[begin:end], predictor)
        z_high = z_of(interval.log_age, predictor[interval.rows])
        z_entry = z_of(entry.log_age, predictor[entry.rows])
        ends = end_terms(self._family, z, exact, interval.rows, z_high)
        hazard, slope, curve = self._family.hazard(z_entry)
        rows = _Rows(ends.first, ends.second, ends.first * z, ends.second * z)
        square = float((rows.curve_z * z) @ weight)
        square += rows.add(entry.rows, slope, curve, z_entry) @ weight[entry.rows]
        square += rows.add(interval.rows, ends.high_first, ends.high_second, z_high) @ weight[interval.rows]
        square += rows.cross(interval.rows, ends.cross, z[interval.rows], z_high) @ weight[interval.rows]
        work.value += float(ends.value @ weight) + float(hazard @ weight[entry.rows])
        work.gather(x, rows, weight, square, begin)
        # Of a density's log shape - log psi - x'b only the log shape depends on a parameter.
        work.value -= float(self._low[begin:end][exact] @ weight[exact])
        work.by_shape[begin:end][exact] += weight[exact]


@dataclass(frozen=True)
class _Rows:
    """Sums over the bounds of each life of f', f'', f' z and f'' z, f being a bound's term in z."""

    slope: Array
    curve: Array
    slope_z: Array
    curve_z: Array

    def add(self, rows: Array, first: Array, second: Array, z: Array) -> Array:
        """A bound of some lives; returns f'' z^2."""
        bent = second * z
        self.slope[rows] += first
        self.curve[rows] += second
        self.slope_z[rows] += first * z
        self.curve_z[rows] += bent
        return bent * z

    def cross(self, rows: Array, mixed: Array, z: Array, other: Array) -> Array:
        """The mixed derivative of two bounds; returns twice its product with both z."""
        self.curve[rows] += 2.0 * mixed
        self.curve_z[rows] += mixed * (z + other)
        return 2.0 * mixed * z * other


class _Work:
    """Running sums over blocks, with room for a block."""

    def __init__(self, parameters: Array, design: Array, beside: Array, rows: int) -> None:
        self.coefficients, self.log_shape = parameters[:-1], float(parameters[-1])
        self.shape = float(np.exp(parameters[-1]))
        self.design, self._beside = design, beside
        self.value = self._own = self._curve = 0.0
        self._products = np.zeros((len(design) + 2, len(design)))
        self.by_segment, self.by_shape = np.empty(rows), np.empty(rows)

    def gather(self, x: Array, rows: _Rows, weight: Array, square: float, begin: int) -> None:
        """Weight the rows of a block and multiply them with its covariates."""
        end, k = begin + x.shape[1], self.shape
        beside = self._beside[:, : end - begin]
        slope, own = beside[-2], self.by_shape[begin:end]
        np.multiply(rows.slope, weight, out=slope)
        slope *= -k
        self.by_segment[begin:end] = slope
        np.multiply(rows.slope_z, weight, out=own)
        np.multiply(rows.curve_z, weight, out=beside[-1])
        beside[-1] *= -k
        beside[-1] += slope
        curve = rows.curve * weight
        curve *= k * k
        np.multiply(x, curve, out=beside[:-2])
        self._products += beside @ x.T
        total = float(own.sum())
        self._own += total
        self._curve += total + square

    def sums(self, value: float, failed_exactly: float) -> Sums:
        """The gathered sums; the log shape of each exact failure counts 1 in its own derivative."""
        size = len(self.design) + 1
        hessian = np.empty((size, size))
        hessian[:-1, :-1] = self._products[:-2]
        hessian[-1, :-1] = hessian[:-1, -1] = self._products[-1]
        hessian[-1, -1] = self._curve
        gradient = np.append(self._products[-2], self._own + failed_exactly)
        return Sums(value, gradient, hessian, self.by_segment, self.by_shape)
