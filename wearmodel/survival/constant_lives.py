"""Likelihood of lives whose covariates stay constant: each life enters through one number x'b.

All ages of a life share the stretch exp(-x'b), so that a life's log-likelihood is a function of x'b and the log
shape. Its derivatives are gathered per life first; the covariates are touched once, block by block, so that what is
made of a block stays in the processor's cache. Where lives share their covariates, derivatives are summed over equal
rows first and the covariates of each distinct row are touched once.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import Family
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.life_terms import LARGEST_Z, end_terms

__all__ = ["ConstantLives", "Sums", "block_length", "log_age"]

Array = NDArray[Any]
_ROW_SHARED_BY = 0.125
_SEEN_FREED = 6 << 20
_LOOKED_AT, _UNLIKE = 1024, 0.9
# Shorter blocks spend their time between the steps; longer ones leave the cache.
_LONGEST_BLOCK, _SHORTEST_BLOCK, _MOST_CELLS = 16_000, 256, 160_000


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
class _Block:
    """Which lives of a block are of which kind, counted from its beginning.

    `beside` holds the lives that entered late, then those that failed between two looks; `log_age` the logarithms
    of the ages at entry of the former and at stop_high of the latter. `rows` holds the distinct covariates where
    they are few, `row` which of them each life has.
    """

    begin: int
    end: int
    rows: Array | None
    row: Array | None
    entered: int
    beside: Array
    log_age: Array


def block_length(columns: int) -> int:
    """Number of lives whose covariates and what is made of them stay in the cache.

    Parameters
    ----------
    columns : int
        Number of covariates.

    Returns
    -------
    int
        At least 256.
    """
    return min(max(_MOST_CELLS // columns, _SHORTEST_BLOCK), _LONGEST_BLOCK)


def _blocks(data: LifeData, log_unit: float) -> Iterator[_Block]:
    """Cut the lives into blocks."""
    length = block_length(data.design.shape[1])
    few = True
    for begin in range(0, data.lives, length):
        at = slice(begin, begin + length)
        # Measures that differ from life to life do so from the first block on: the others are not searched.
        rows, row = _distinct(data.design[at]) if few else (None, None)
        few = rows is not None
        entered, interval = np.flatnonzero(data.entered[at]), np.flatnonzero(data.interval[at])
        ages = np.concatenate([data.before_entry[at][entered], data.before_high[at][interval]])
        yield _Block(
            begin=begin,
            end=min(begin + length, data.lives),
            rows=rows,
            row=row,
            entered=len(entered),
            beside=np.concatenate([entered, interval]),
            log_age=log_age(ages) - log_unit,
        )


def _distinct(design: Array) -> tuple[Array | None, Array | None]:
    """Distinct rows, column by column, and the number of each row among them; nothing where they are many."""
    factors = np.cos(np.arange(1.0, design.shape[1] + 1.0))
    # Rows drawn from so few that to share them pays would not look so unlike.
    if len(np.unique(design[:_LOOKED_AT] @ factors)) > _UNLIKE * min(len(design), _LOOKED_AT):
        return None, None
    key = design @ factors
    _, first, row = np.unique(key, return_index=True, return_inverse=True)
    rows = design[first]
    # Rows that differ may have one key, by chance.
    if len(first) > _ROW_SHARED_BY * len(design) or not np.array_equal(rows[row], design):
        return None, None
    return np.ascontiguousarray(rows.T), row


def log_age(age: Array) -> Array:
    """Logarithm of ages; one of 0, at which nothing can have failed yet, becomes a very small one.

    Parameters
    ----------
    age : ndarray, shape (n_lives,)
        Ages, 0 or above [distance].

    Returns
    -------
    ndarray, shape (n_lives,)
        [log distance].
    """
    out = np.maximum(age, np.finfo(float).tiny)
    return np.log(out, out=out)


def _keep_freed_memory() -> None:
    """Let freed memory stay with the process, as far as a block needs it again at once.

    Fresh memory costs as much as what is worked out in it. The C library of Linux gives freed memory back beyond twice
    the largest piece it has ever seen freed (GNU C library manual, "Malloc Tunable Parameters": the thresholds are
    dynamic); a piece that is never written to costs nothing. Elsewhere this does no harm.
    """
    np.empty(_SEEN_FREED, dtype=np.uint8)


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
        self._family, self._design, self._weight, self._exact = family, data.design, data.weight, data.exact
        self._low = log_age(data.before_low)
        self._low -= log_unit
        self._blocks = list(_blocks(data, log_unit))
        _keep_freed_memory()
        # Written anew at each call: fresh memory of this size costs as much as a sum over it.
        self._by_segment, self._by_shape = np.empty(len(self._low)), np.empty(len(self._low))

    def __call__(self, parameters: Array) -> Sums:
        """Log-likelihood and derivatives.

        Parameters
        ----------
        parameters : ndarray, shape (n_coefficients + 1,)
            Coefficients, then the log shape.

        Returns
        -------
        Sums
            Of all lives; its arrays hold until the next call.
        """
        work = _Work(parameters, self._by_segment, self._by_shape)
        for block in self._blocks:
            self._add(work, block)
        return work.sums()

    def _add(self, work: "_Work", block: _Block) -> None:
        """Terms of the lives of a block."""
        begin, end, beside = block.begin, block.end, block.beside
        many, entered = end - begin, block.entered
        x = self._design[begin:end].T if block.rows is None else block.rows
        predictor = work.coefficients @ x
        if block.row is not None:
            predictor = predictor[block.row]
        log_low, weight, exact = self._low[begin:end], self._weight[begin:end], self._exact[begin:end]
        failed = weight * exact
        z = np.empty(many + len(beside))
        np.subtract(log_low, predictor, out=z[:many])
        np.subtract(block.log_age, predictor[beside], out=z[many:])
        z *= work.shape
        np.minimum(z, LARGEST_Z, out=z)
        hazard = self._family.hazard(z)
        low = (hazard[0][:many], hazard[1][:many], hazard[2][:many])
        entry, high = (
            (hazard[0][at], hazard[1][at], hazard[2][at])
            for at in (slice(many, many + entered), slice(many + entered, None))
        )
        z_low, z_beside, interval = z[:many], z[many:], beside[entered:]
        ends = end_terms(
            self._family, z_low, low, high, exact=exact, interval=interval, weight=weight, failed=failed
        )
        # Of a density's log shape - log psi - x'b only the log shape depends on a parameter.
        work.value += ends.value + work.log_shape * float(failed.sum()) - float(log_low @ failed)
        work.value += float(entry[0] @ weight[beside[:entered]])
        first = np.concatenate([entry[1], ends.high_first])
        second = np.concatenate([entry[2], ends.high_second])
        bent = second * z_beside
        square = bent * z_beside
        # The mixed derivative of an interval's two bounds.
        z_looked, z_high = z_low[interval], z_beside[entered:]
        second[entered:] += 2.0 * ends.cross
        bent[entered:] += ends.cross * (z_looked + z_high)
        square[entered:] += 2.0 * ends.cross * z_looked * z_high

        def by_life(own: Array, more: Array) -> Array:
            own += np.bincount(beside, weights=more, minlength=many)
            return own

        bent_low = ends.second * z_low
        total = float(square @ weight[beside]) + float((bent_low * z_low) @ weight)
        work.gather(
            x, block, weight, failed, total,
            slope_z=by_life(ends.first * z_low, first * z_beside),
            slope=by_life(ends.first, first),
            curve_z=by_life(bent_low, bent),
            curve=by_life(ends.second, second),
        )  # fmt: skip


class _Work:
    """Running sums over blocks, with room for a block."""

    def __init__(self, parameters: Array, by_segment: Array, by_shape: Array) -> None:
        self.coefficients, self.log_shape = parameters[:-1], float(parameters[-1])
        self.shape = float(np.exp(parameters[-1]))
        columns = len(parameters) - 1
        room = min(block_length(columns), len(by_segment))
        self._beside = np.empty((columns + 2, room))
        self.value = self._own = self._curve = 0.0
        self._products = np.zeros((columns + 2, columns))
        self.by_segment, self.by_shape = by_segment, by_shape

    def gather(
        self, x: Array, block: _Block, weight: Array, failed: Array, square: float, *,
        slope: Array, curve: Array, slope_z: Array, curve_z: Array,
    ) -> None:  # fmt: skip
        """Weight the sums over each life's bounds of f', f'', f' z and f'' z, multiply them with the covariates."""
        k, at = self.shape, slice(block.begin, block.end)
        own, along = self.by_shape[at], self.by_segment[at]
        np.multiply(slope, weight, out=along)
        along *= -k
        np.multiply(slope_z, weight, out=own)
        curve_z *= weight
        curve_z *= -k
        curve_z += along
        curve *= weight
        curve *= k * k
        beside = self._beside[:, : x.shape[1]]
        if block.row is None:
            beside[-2], beside[-1] = along, curve_z
        else:
            beside[-2], beside[-1], curve = (
                np.bincount(block.row, weights=each, minlength=x.shape[1]) for each in (along, curve_z, curve)
            )
        np.multiply(x, curve, out=beside[:-2])
        self._products += beside @ x.T
        self._curve += float(own.sum()) + square
        own += failed
        self._own += float(own.sum())

    def sums(self) -> Sums:
        """The gathered sums."""
        size = len(self.coefficients) + 1
        hessian = np.empty((size, size))
        hessian[:-1, :-1] = self._products[:-2]
        hessian[-1, :-1] = hessian[:-1, -1] = self._products[-1]
        hessian[-1, -1] = self._curve
        gradient = np.append(self._products[-2], self._own)
        return Sums(self.value, gradient, hessian, self.by_segment, self.by_shape)
