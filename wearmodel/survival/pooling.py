"""Partial pooling: effects of groups that borrow from each other as much as the record says they are alike.

Each kind of group (duty, vehicle class, make, a cell of two) has effects with a common standard deviation. Effects are
penalised by it; it is set by the Laplace approximation of the marginal likelihood (Skaug & Fournier, Computational
Statistics & Data Analysis 51, 2006) with a half-normal prior, and its own uncertainty widens the intervals (Kass &
Steffey, Journal of the American Statistical Association 84, 1989): without that they are too narrow where failures are
few.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.newton import Climb, Derivatives, Objective, climb

__all__ = ["PRIOR_SPREAD", "SMALLEST_SPREAD", "PooledFit", "fit_pooled"]

Array = NDArray[Any]
#: Half-normal prior on each standard deviation, on the log scale of life: three vehicles in four stay within a
#: factor of 1.8 of the fleet.
PRIOR_SPREAD = 0.5
_FIRST_SPREAD = 0.3
#: Spread that counts as none.
SMALLEST_SPREAD = 0.01
_SMALLEST_LOG, _LARGEST_LOG = math.log(SMALLEST_SPREAD), math.log(3.0)
_STEP = 0.05
_ROUNDS = 30
_SETTLED = 1e-3


@dataclass(frozen=True)
class PooledFit:
    """Outcome of a fit with pooled effects.

    Parameters
    ----------
    values : ndarray, shape (n_parameters,)
        Parameters; pooled effects are drawn towards 0.
    covariance : ndarray, shape (n_parameters, n_parameters)
        Inverse penalised information, plus what the uncertainty of the spreads adds.
    spread_covariance : ndarray, shape (n_kinds, n_kinds)
        Of the logarithms of the spreads.
    spreads : ndarray, shape (n_kinds,)
        Standard deviation of the effects of each kind.
    support : ndarray, shape (n_kinds,)
        Log marginal likelihood that each kind adds, against groups of the kind that are alike (0.01).
    own_share : ndarray, shape (n_parameters,)
        How much of a pooled effect is its own: 1 = nothing borrowed, 0 = the record says nothing of it; 1 for
        parameters that are not pooled.
    log_likelihood : float
        At the estimate, without penalty.
    marginal : float
        Laplace marginal log-likelihood with the prior of the spreads.
    passes : int
        Evaluations of the likelihood.
    converged : bool
        Information positive at the top, and the spreads settled.
    """

    values: Array
    covariance: Array
    spread_covariance: Array
    spreads: Array
    support: Array
    own_share: Array
    log_likelihood: float
    marginal: float
    passes: int
    converged: bool


@dataclass(frozen=True)
class _Level:
    """The top at given spreads."""

    values: Array
    information: Array
    likelihood: float
    value: float


class _Marginal:
    """Laplace marginal log-likelihood of the log spreads.

    Between two climbs of the likelihood itself it is taken to be as curved as at the last top: spreads nearby then
    cost a solution of linear equations each.
    """

    def __init__(self, objective: Objective, start: Array, kinds: Sequence[Array], fixed: Array, free: Array) -> None:
        self._objective, self._kinds, self._fixed, self._free = objective, kinds, fixed, free
        self._values = np.asarray(start, dtype=float)
        self.passes = 0

    def precision(self, log_spreads: Array) -> Array:
        """Precision matrix of all priors."""
        precision = self._fixed.copy()
        for columns, log_spread in zip(self._kinds, log_spreads, strict=True):
            precision[columns, columns] += math.exp(-2.0 * log_spread)
        return precision

    def climb(self, log_spreads: Array) -> Climb[Derivatives]:
        """Find the top itself, beginning from the last one, and take its curvature from there."""
        top = climb(self._objective, self._values, precision=self.precision(log_spreads), free=self._free)
        self.passes += top.passes
        self._values, self._found = top.values, top.found
        return top

    def at(self, log_spreads: Array) -> _Level:
        """The top and the marginal near the spreads of the last climb."""
        free, here, found = self._free, self._values, self._found
        precision = self.precision(log_spreads)
        information = precision - found.hessian
        values = here.copy()
        pull = found.gradient - precision @ here
        values[free] += np.linalg.solve(information[np.ix_(free, free)], pull[free])
        step = values - here
        value = found.value + float(found.gradient @ step) + 0.5 * float(step @ found.hessian @ step)
        value -= 0.5 * float(values @ precision @ values)
        value -= 0.5 * float(np.linalg.slogdet(information[np.ix_(free, free)])[1])
        value -= sum(len(columns) * log_spread for columns, log_spread in zip(self._kinds, log_spreads, strict=True))
        # The prior's density counts on the log scale, which keeps the spread off 0.
        prior = sum(log_spread - 0.5 * (math.exp(log_spread) / PRIOR_SPREAD) ** 2 for log_spread in log_spreads)
        return _Level(values, information, value, value + prior)

    def support(self, log_spreads: Array) -> Array:
        """What each kind adds to the marginal likelihood."""
        here = self.at(log_spreads).likelihood
        kinds = np.arange(len(log_spreads))
        alike = (np.where(kinds == kind, _SMALLEST_LOG, log_spreads) for kind in kinds)
        return np.array([here - self.at(spreads).likelihood for spreads in alike])


def fit_pooled(
    objective: Objective,
    start: Array,
    *,
    kinds: Sequence[Array],
    fixed_precision: Array | None = None,
    free: Array | None = None,
) -> PooledFit:
    """Maximise a log-likelihood with pooled effects.

    Parameters
    ----------
    objective : Objective
        Log-likelihood with derivatives, of lives with or without frailty.
    start : ndarray, shape (n_parameters,)
        Where to begin.
    kinds : sequence of ndarray of int
        Columns of the effects of each kind of group; each effect in one kind.
    fixed_precision : ndarray, shape (n_parameters, n_parameters), optional
        Prior of other parameters.
    free : ndarray of bool, shape (n_parameters,), optional
        Parameters that may move; default all.

    Returns
    -------
    PooledFit
        Estimates with the uncertainty of the spreads in them.

    Raises
    ------
    ValueError
        If there is no kind, or a kind without an effect.
    """
    if not kinds or any(len(columns) == 0 for columns in kinds):
        raise ValueError("pooling needs at least one kind of group, each with effects")
    size = len(start)
    fixed = np.zeros((size, size)) if fixed_precision is None else fixed_precision
    moves = np.ones(size, dtype=bool) if free is None else free
    marginal = _Marginal(objective, start, kinds, fixed, moves)
    log_spreads, settled = np.full(len(kinds), math.log(_FIRST_SPREAD)), False
    top = marginal.climb(log_spreads)
    for _ in range(_ROUNDS):
        before = log_spreads
        log_spreads, curvature = _best_spreads(marginal, log_spreads)
        top = marginal.climb(log_spreads)
        settled = float(np.abs(log_spreads - before).max()) < _SETTLED
        if settled:
            break
    information = -top.at_top.hessian
    inverse = np.zeros((size, size))
    inverse[np.ix_(moves, moves)] = np.linalg.pinv(information[np.ix_(moves, moves)], hermitian=True)
    drift = _drift(marginal, log_spreads)
    spread_covariance = np.linalg.pinv(-curvature, hermitian=True)
    own = np.ones(size)
    for columns, log_spread in zip(kinds, log_spreads, strict=True):
        own[columns] = 1.0 - np.clip(np.diag(inverse)[columns] * math.exp(-2.0 * log_spread), 0.0, 1.0)
    positive = bool(np.linalg.eigvalsh(information[np.ix_(moves, moves)]).min() > 0)
    return PooledFit(
        values=top.values,
        covariance=inverse + drift @ spread_covariance @ drift.T,
        spread_covariance=spread_covariance,
        spreads=np.exp(log_spreads),
        support=marginal.support(log_spreads),
        own_share=own,
        log_likelihood=top.found.value,
        marginal=marginal.at(log_spreads).value,
        passes=marginal.passes,
        converged=positive and settled,
    )


def _best_spreads(marginal: _Marginal, start: Array) -> tuple[Array, Array]:
    """Spreads of the greatest marginal and its curvature there: Newton's method by differences."""
    now = start
    value = marginal.at(now).value
    for _ in range(_ROUNDS):
        gradient, curvature = _differences(marginal, now, value)
        eigenvalues, vectors = np.linalg.eigh(-curvature)
        step = vectors @ ((vectors.T @ gradient) / np.maximum(np.abs(eigenvalues), 0.05))
        step *= min(1.0, 1.0 / max(float(np.abs(step).max()), 1e-12))
        length = 1.0
        while length > 1e-3:
            trial = np.clip(now + length * step, _SMALLEST_LOG, _LARGEST_LOG)
            there = marginal.at(trial).value
            if there >= value:
                break
            length *= 0.5
        else:
            break
        moved = float(np.abs(trial - now).max())
        now, value = trial, there
        if moved < 1e-4:
            break
    return now, _definite(_differences(marginal, now, value)[1])


def _differences(marginal: _Marginal, at: Array, value: float) -> tuple[Array, Array]:
    """Gradient and curvature of the marginal by central differences."""
    count = len(at)
    gradient, curvature = np.zeros(count), np.zeros((count, count))
    unit = _STEP * np.eye(count)
    for i in range(count):
        up, down = marginal.at(at + unit[i]).value, marginal.at(at - unit[i]).value
        gradient[i] = (up - down) / (2.0 * _STEP)
        curvature[i, i] = (up - 2.0 * value + down) / _STEP**2
        for j in range(i):
            corners = [
                sign * marginal.at(at + a * unit[i] + b * unit[j]).value
                for a, b, sign in ((1, 1, 1.0), (1, -1, -1.0), (-1, 1, -1.0), (-1, -1, 1.0))
            ]
            curvature[i, j] = curvature[j, i] = sum(corners) / (4.0 * _STEP**2)
    return gradient, curvature


def _definite(curvature: Array) -> Array:
    """Curvature of a top: at least as bent as the prior makes it (a log spread known to about a factor of 4)."""
    eigenvalues, vectors = np.linalg.eigh(curvature)
    return np.asarray((vectors * np.minimum(eigenvalues, -0.5)) @ vectors.T)


def _drift(marginal: _Marginal, at: Array) -> Array:
    """How the parameters move with each log spread, shape (n_parameters, n_kinds)."""
    columns = []
    for i in range(len(at)):
        step = np.zeros(len(at))
        step[i] = _STEP
        up, down = marginal.at(at + step).values, marginal.at(at - step).values
        columns.append((up - down) / (2.0 * _STEP))
    return np.column_stack(columns)
