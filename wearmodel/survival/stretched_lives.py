"""Likelihood of lives whose covariates change on the way: the stretched clock.

Each distance driven counts by exp(-x'b), so that the operational age at a bound is a sum over segments, and its
logarithm bends in the coefficients (Cox & Oakes, Analysis of Survival Data, 1984, sec. 5.2).
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.constant_lives import Sums
from wearmodel.survival.families import Family
from wearmodel.survival.life_data import LifeData, rows_of_runs
from wearmodel.survival.life_terms import LARGEST_Z, end_terms

__all__ = ["StretchedLives"]

Array = NDArray[Any]
_BLOCK = 4096


@dataclass(frozen=True)
class _Bound:
    """One bound of some lives of a block: which lives, their segments, and the distance in each until the bound."""

    lives: Array
    segments: Array
    owner: Array
    start: Array
    distance: Array


@dataclass(frozen=True)
class _Block:
    """Lives that are worked on together."""

    first_life: int
    first_segment: int
    end_segment: int
    low: _Bound
    entry: _Bound
    high: _Bound
    exact: Array
    is_exact: Array
    last: Array
    weight: Array


@dataclass(frozen=True)
class _Clock:
    """Log operational age, z, its slope in the coefficients, and the share of each segment."""

    z: Array
    log_psi: Array
    slope: Array
    share: Array


class StretchedLives:
    """Likelihood of lives of any number of segments.

    Parameters
    ----------
    data : LifeData
        Lives.
    family : Family
        Life family.
    log_unit : float
        Logarithm of the distance that ages are counted in [log distance].
    """

    def __init__(self, data: LifeData, family: Family, log_unit: float) -> None:
        self._family, self._design, self._log_unit = family, data.design, log_unit
        self._lives = data.lives
        edges = np.append(data.start, len(data.life))
        cuts = [0]
        while cuts[-1] < data.lives:
            reach = int(np.searchsorted(edges, edges[cuts[-1]] + _BLOCK, side="right")) - 1
            cuts.append(min(max(reach, cuts[-1] + 1), data.lives))
        self._blocks = [_block(data, edges, a, b) for a, b in pairwise(cuts)]

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
        size = len(parameters)
        by_segment, by_shape = np.zeros(len(self._design)), np.zeros(self._lives)
        hessian, gradient, value = np.zeros((size, size)), np.zeros(size), 0.0
        for block in self._blocks:
            x = np.ascontiguousarray(self._design[block.first_segment : block.end_segment])
            work = _Work(self._family, x, block, parameters, self._log_unit)
            value += work.value
            hessian += work.hessian
            gradient[:-1] += work.by_segment @ x
            gradient[-1] += work.by_shape.sum()
            by_segment[block.first_segment : block.end_segment] = work.by_segment
            by_shape[block.first_life : block.first_life + len(block.weight)] = work.by_shape
        hessian[-1, :-1] = hessian[:-1, -1]
        return Sums(value, gradient, hessian, by_segment, by_shape)


def _block(data: LifeData, edges: Array, begin: int, end: int) -> _Block:
    """Lives `begin` to `end`, with the segments of each kind of bound."""
    first, last = int(edges[begin]), int(edges[end])
    starts = edges[begin : end + 1] - first
    counts = np.diff(starts)

    def bound(lives: Array, distance: Array) -> _Bound:
        many = counts[lives]
        start = np.cumsum(many) - many
        owner = np.repeat(np.arange(len(lives)), many)
        segments = rows_of_runs(starts[:-1][lives], many)
        return _Bound(lives, segments, owner, start, distance[first:last][segments])

    at = slice(begin, end)
    return _Block(
        first_life=begin,
        first_segment=first,
        end_segment=last,
        low=bound(np.arange(end - begin), data.before_low),
        entry=bound(np.flatnonzero(data.entered[at]), data.before_entry),
        high=bound(np.flatnonzero(data.interval[at]), data.before_high),
        exact=np.flatnonzero(data.exact[at]),
        is_exact=data.exact[at],
        last=data.last[at] - first,
        weight=data.weight[at],
    )


class _Work:
    """Log-likelihood and derivatives of one block; the row of the log shape is filled in the last column only."""

    def __init__(self, family: Family, x: Array, block: _Block, parameters: Array, log_unit: float) -> None:
        self._x, self._block, self._log_unit = x, block, log_unit
        self._k = float(np.exp(parameters[-1]))
        predictor = x @ parameters[:-1]
        self._pace = np.exp(-predictor)
        self.hessian = np.zeros((len(parameters), len(parameters)))
        self.by_segment, self.by_shape = np.zeros(len(x)), np.zeros(len(block.weight))
        self._along = np.zeros(len(x))
        low, entry, high = (self._clock(bound) for bound in (block.low, block.entry, block.high))
        weight, exact, looked = block.weight, block.exact, block.high.lives
        at_low, at_entry, at_high = (family.hazard(clock.z) for clock in (low, entry, high))
        exactly = np.zeros_like(weight)
        exactly[exact] = weight[exact]
        ends = end_terms(
            family, low.z, at_low, at_high, exact=block.is_exact, interval=looked, weight=weight, failed=exactly
        )
        hazard, slope, curve = at_entry
        self.value = ends.value + float(hazard @ weight[block.entry.lives])
        density = parameters[-1] - low.log_psi[exact] - predictor[block.last[exact]]
        self.value += float(density @ weight[exact])
        self._add(block.low, low, ends.first * weight, ends.second * weight, exactly)
        self._add(block.entry, entry, slope * weight[block.entry.lives], curve * weight[block.entry.lives])
        self._add(block.high, high, ends.high_first * weight[looked], ends.high_second * weight[looked])
        self._add_cross(low.slope[looked], low.z[looked], high, ends.cross * weight[looked])
        self.by_segment[block.last[exact]] -= weight[exact]
        self.by_shape += exactly
        self.hessian[:-1, :-1] += x.T @ (self._along[:, None] * x)

    def _clock(self, bound: _Bound) -> _Clock:
        """Operational ages at a bound; one of 0 becomes a very small one."""
        run = self._pace[bound.segments] * bound.distance
        psi = np.maximum(_by_life(run, bound.start), np.finfo(float).tiny)
        share = run / psi[bound.owner]
        slope = -_by_life(share[:, None] * self._x[bound.segments], bound.start)
        log_psi = np.log(psi) - self._log_unit
        return _Clock(np.minimum(self._k * log_psi, LARGEST_Z), log_psi, slope, share)

    def _add(self, bound: _Bound, clock: _Clock, first: Array, second: Array, density: Array | None = None) -> None:
        """A bound's weighted derivatives in z, and the -log psi of a density."""
        k, u, z = self._k, clock.slope, clock.z
        pull = k * first if density is None else k * first - density
        bend = k * k * second
        self.by_segment[bound.segments] -= pull[bound.owner] * clock.share
        self._along[bound.segments] += pull[bound.owner] * clock.share
        self.by_shape[bound.lives] += first * z
        self.hessian[:-1, :-1] += u.T @ ((bend - pull)[:, None] * u)
        self.hessian[:-1, -1] += (k * (second * z + first)) @ u
        self.hessian[-1, -1] += float((second * z + first) @ z)

    def _add_cross(self, slope: Array, z: Array, high: _Clock, cross: Array) -> None:
        """Mixed second derivative of the two bounds of intervals."""
        k = self._k
        block = slope.T @ ((cross * k * k)[:, None] * high.slope)
        self.hessian[:-1, :-1] += block + block.T
        self.hessian[:-1, -1] += k * ((cross * high.z) @ slope + (cross * z) @ high.slope)
        self.hessian[-1, -1] += 2.0 * float(cross @ (z * high.z))


def _by_life(values: Array, start: Array) -> Array:
    if not len(start):
        return values[:0]
    return np.add.reduceat(values, start, axis=0)
