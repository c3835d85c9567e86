"""Newton's method for log-likelihoods with an analytic gradient and Hessian."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

__all__ = ["Climb", "Derivatives", "Objective", "climb"]

Array = NDArray[Any]
_LARGEST_STEP = 2.0
_SHORTEST_STEP = 1e-6
_LONG_STEP = 0.5
_LEAST_RELATIVE_GAIN = 1e-13
# Of millions of lives the log-likelihood is a million: a gain of 1e-13 of that would still move a coefficient.
_LEAST_GAIN = 1e-10
# Newton's gains fall like squares once one is a thousandth of the one before; the next is foreseen, with room.
_FALLS_FAST, _ROOM = 1e-3, 1e3


@dataclass(frozen=True)
class Derivatives:
    """A log-likelihood with its derivatives at one parameter vector.

    Parameters
    ----------
    value : float
        Log-likelihood; minus infinity or NaN where the parameters are impossible.
    gradient : ndarray, shape (n_parameters,)
        First derivatives.
    hessian : ndarray, shape (n_parameters, n_parameters)
        Second derivatives.
    """

    value: float
    gradient: Array
    hessian: Array


Objective = Callable[[Array], Derivatives]
"""From a parameter vector to the log-likelihood there."""

Found = TypeVar("Found", bound=Derivatives)


@dataclass(frozen=True)
class Climb(Generic[Found]):
    """Where a climb ended.

    Parameters
    ----------
    values : ndarray, shape (n_parameters,)
        Parameters.
    at_top : Derivatives
        Log-likelihood and derivatives there, the prior included.
    found : Derivatives
        What the objective gave there, without the prior and with whatever else it holds.
    passes : int
        Evaluations of the log-likelihood.
    gain_left : float
        Twice what further steps would gain in log-likelihood after the Newton step from `values`, as far as
        that was foreseen; otherwise what that step itself would gain.
    """

    values: Array
    at_top: Derivatives
    found: Found
    passes: int
    gain_left: float


def climb(
    objective: Callable[[Array], Found],
    start: Array,
    *,
    precision: Array | None = None,
    free: Array | None = None,
    most_passes: int = 60,
    leave_last_step: bool = False,
    value: Callable[[Array], float] | None = None,
) -> Climb[Found]:
    """Maximise a log-likelihood, with a normal prior if wanted.

    Parameters
    ----------
    objective : Objective
        Log-likelihood.
    start : ndarray, shape (n_parameters,)
        Where to begin; a point with a finite value.
    precision : ndarray, shape (n_parameters, n_parameters), optional
        Precision matrix of a normal prior with mean 0; default none.
    free : ndarray of bool, shape (n_parameters,), optional
        Parameters that may move; default all.
    most_passes : int
        Evaluations, at most.
    leave_last_step : bool
        Stop where one more Newton step is foreseen to reach the top: the caller takes it, without an evaluation.
    value : callable, optional
        What the objective gives as its value, without derivatives, where that is much quicker: long steps, which are
        often lost, are tried with it first.

    Returns
    -------
    Climb
        The top, or where no step gained any more, or a step before the top.

    Notes
    -----
    Damped Newton: eigenvalues of the information are turned positive where the surface curves upwards, no
    parameter moves by more than 2 in one step, a step that loses is halved (Nocedal & Wright, Numerical
    Optimization, 2nd ed. 2006, sec. 3.4). Near the top full steps gain g, then about c g^2: two gains tell c, and
    with it the next (the same, theorem 3.5).
    """
    values = np.asarray(start, dtype=float).copy()
    prior = np.zeros((len(values), len(values))) if precision is None else precision
    moves = np.ones(len(values), dtype=bool) if free is None else free
    found = objective(values)
    here = _penalised(found, values, prior)
    passes, gain_before = 1, np.inf
    while True:
        step = np.zeros_like(values)
        step[moves] = _step(-here.hessian[np.ix_(moves, moves)], here.gradient[moves])
        gain = float(here.gradient @ step)
        least = min(_LEAST_RELATIVE_GAIN * max(1.0, abs(here.value)), _LEAST_GAIN)
        foreseen = _next_gain(gain_before, gain) if leave_last_step else gain
        if passes >= most_passes or gain < least or foreseen < least:
            return Climb(values, here, found, passes, foreseen)
        length = 1.0
        while True:
            trial = values + length * step
            least_value = here.value - 1e-12 * abs(here.value)
            passes += 1
            quick = value if float(np.abs(length * step).max()) > _LONG_STEP else None
            if quick is None or quick(trial) - 0.5 * float(trial @ (prior @ trial)) >= least_value:
                attempt = objective(trial)
                there = _penalised(attempt, trial, prior)
                if _is_finite(there) and there.value >= least_value:
                    break
            length *= 0.5
            if length < _SHORTEST_STEP or passes >= most_passes:
                return Climb(values, here, found, passes, gain)
        values, here, found = trial, there, attempt
        gain_before = gain if length == 1.0 else np.inf


def _next_gain(before: float, gain: float) -> float:
    """What the step after the next will gain, or `gain` itself while that cannot be told."""
    ratio = gain / before
    return gain * min(1.0, _ROOM * ratio**2) if 0.0 < ratio < _FALLS_FAST else gain


def _penalised(found: Derivatives, values: Array, precision: Array) -> Derivatives:
    pull = precision @ values
    return Derivatives(found.value - 0.5 * float(values @ pull), found.gradient - pull, found.hessian - precision)


def _is_finite(found: Derivatives) -> bool:
    return bool(np.isfinite(found.value) and np.isfinite(found.gradient).all() and np.isfinite(found.hessian).all())


def _step(information: Array, gradient: Array) -> Array:
    """Newton's step, uphill in every direction and not too long."""
    eigenvalues, vectors = np.linalg.eigh(information)
    floor = 1e-8 * max(1.0, float(np.abs(eigenvalues).max()))
    step: Array = vectors @ ((vectors.T @ gradient) / np.maximum(np.abs(eigenvalues), floor))
    longest = float(np.abs(step).max())
    return step if longest <= _LARGEST_STEP else step * (_LARGEST_STEP / longest)
