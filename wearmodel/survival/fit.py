"""Maximum likelihood by Newton's method on scaled ages."""

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import WEIBULL, Family
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.likelihood import Evaluation, evaluate

__all__ = ["Fit", "fit_lives", "wider_covariance"]

Array = NDArray[Any]
_LARGEST_STEP = 2.0
_MOST_PASSES = 60
_LEAST_GAIN = 1e-8
_FEWEST_CLUSTERS = 20
_LEAST_KEPT = 0.01


@dataclass(frozen=True)
class Fit:
    """Outcome of a maximum likelihood fit.

    Parameters
    ----------
    values : ndarray, shape (n_parameters,)
        Coefficients of the log scale, then the log shape.
    covariance : ndarray, shape (n_parameters, n_parameters)
        Inverse observed information (penalised where a prior was given).
    clustered_covariance : ndarray, shape (n_parameters, n_parameters)
        Sandwich with scores summed by vehicle; the plain one below 20 vehicles.
    log_likelihood : float
        At the estimate, without the prior.
    passes : int
        Evaluations of the likelihood.
    converged : bool
        Information positive, and another Newton step would gain less than 1e-8 in log-likelihood.
    """

    values: Array
    covariance: Array
    clustered_covariance: Array
    log_likelihood: float
    passes: int
    converged: bool


def _scaled(data: LifeData, unit: float) -> LifeData:
    return replace(
        data,
        before_entry=data.before_entry / unit,
        before_low=data.before_low / unit,
        before_high=data.before_high / unit,
    )


def _start(data: LifeData, given_log_shape: float | None) -> Array:
    """Scale from exposure per failure, shape moderately wearing."""
    seen = np.add.reduceat(data.before_high - data.before_entry, data.start)
    exposure = float(seen @ data.weight)
    start = np.zeros(data.design.shape[1] + 1)
    start[0] = math.log(max(exposure, 1e-12) / data.failures)
    start[-1] = math.log(1.5) if given_log_shape is None else given_log_shape
    return start


def _penalised(result: Evaluation, values: Array, precision: Array) -> tuple[float, Array, Array]:
    """Log-likelihood, gradient and information with the normal prior on the coefficients."""
    objective = result.log_likelihood - 0.5 * float(precision @ values**2)
    return objective, result.gradient - precision * values, np.diag(precision) - result.hessian


def _newton_step(information: Array, gradient: Array) -> Array:
    """Step of Newton's method; eigenvalues are turned positive where the surface curves upwards."""
    eigenvalues, vectors = np.linalg.eigh(information)
    floor = 1e-8 * max(1.0, float(np.abs(eigenvalues).max()))
    step = vectors @ ((vectors.T @ gradient) / np.maximum(np.abs(eigenvalues), floor))
    longest = float(np.abs(step).max())
    return step if longest <= _LARGEST_STEP else step * (_LARGEST_STEP / longest)


def _clustered(data: LifeData, scores: Array, covariance: Array, free: Array) -> Array:
    """Sandwich covariance with scores summed by vehicle, small-sample factor G / (G - 1)."""
    _, index = np.unique(data.cluster, return_inverse=True)
    groups = int(index.max()) + 1
    if groups < _FEWEST_CLUSTERS:
        return covariance
    sums = np.zeros((groups, len(free)))
    np.add.at(sums, index, scores)
    sums = sums[:, free]
    inner = covariance[np.ix_(free, free)]
    out = np.zeros_like(covariance)
    out[np.ix_(free, free)] = inner @ (sums.T @ sums) @ inner * (groups / (groups - 1.0))
    return out


def wider_covariance(one: Array, other: Array) -> Array:
    """Covariance that is at least as wide as each of two, in every direction.

    Parameters
    ----------
    one, other : ndarray, shape (n, n)
        Symmetric, not negative.

    Returns
    -------
    ndarray, shape (n, n)
        `other` plus the positive part of `one` - `other`. With few clusters the sandwich is too narrow,
        with vehicles that fail alike the plain inverse information is: neither is trusted to be the
        narrower one.
    """
    eigenvalues, vectors = np.linalg.eigh(one - other)
    return other + (vectors * np.maximum(eigenvalues, 0.0)) @ vectors.T


def fit_lives(
    data: LifeData,
    *,
    family: Family = WEIBULL,
    prior_precision: Array | None = None,
    given_log_shape: float | None = None,
    lost_information: Array | None = None,
) -> Fit:
    """Fit a life law to lives with late entry, intervals, censoring, weights and stretched clocks.

    Parameters
    ----------
    data : LifeData
        Lives; the first design column is the intercept.
    family : Family
        Weibull or lognormal.
    prior_precision : ndarray, shape (n_coefficients,), optional
        Precision of a normal prior with mean 0 on each coefficient; 0 for none.
    given_log_shape : float, optional
        Holds the shape fixed (too few failures for a shape of their own).
    lost_information : ndarray, shape (n_parameters, n_parameters), optional
        Taken from the information of the covariance: weights that are chances know less than they weigh.

    Returns
    -------
    Fit
        Estimates and covariances.

    Raises
    ------
    ValueError
        If there is no failure among the lives.
    """
    if data.failures <= 0:
        raise ValueError("no failure among the lives: a curve cannot be fitted, only a bound")
    ends = np.add.reduceat(data.before_high, data.start)
    unit = float(np.exp(np.average(np.log(ends), weights=np.maximum(data.weight, 1e-12))))
    scaled = _scaled(data, unit)
    size = data.design.shape[1] + 1
    precision = np.zeros(size)
    if prior_precision is not None:
        precision[:-1] = prior_precision
    free = np.ones(size, dtype=bool)
    free[-1] = given_log_shape is None
    values, result, passes = _climb(scaled, _start(scaled, given_log_shape), family, precision, free)
    _, gradient, information = _penalised(result, values, precision)
    if lost_information is not None:
        information = _less(information, lost_information)
    covariance = np.zeros((size, size))
    covariance[np.ix_(free, free)] = np.linalg.pinv(information[np.ix_(free, free)], hermitian=True)
    positive = bool(np.linalg.eigvalsh(information[np.ix_(free, free)]).min() > 0)
    gain = float(gradient[free] @ covariance[np.ix_(free, free)] @ gradient[free])
    clustered = _clustered(scaled, result.scores, covariance, free)
    values = values.copy()
    values[0] += math.log(unit)
    # Densities are per unit of distance: undo the scaling.
    exact = float(data.weight[data.exact].sum())
    return Fit(
        values=values,
        covariance=covariance,
        clustered_covariance=clustered,
        log_likelihood=result.log_likelihood - exact * math.log(unit),
        passes=passes,
        converged=positive and gain < _LEAST_GAIN,
    )


def _less(information: Array, lost: Array) -> Array:
    """Information without what was lost; what is lost in full stays as a trace, so that it can be inverted."""
    eigenvalues, vectors = np.linalg.eigh(information)
    root = (vectors * np.sqrt(np.maximum(eigenvalues, 0.0))) @ vectors.T
    back = (vectors / np.sqrt(np.maximum(eigenvalues, 1e-300))) @ vectors.T
    share, axes = np.linalg.eigh(np.eye(len(information)) - back @ lost @ back)
    kept = (axes * np.clip(share, _LEAST_KEPT, 1.0)) @ axes.T
    return np.asarray(root @ kept @ root)


def _climb(
    data: LifeData, values: Array, family: Family, precision: Array, free: Array
) -> tuple[Array, Evaluation, int]:
    """Newton steps with halving until the gain is below rounding."""
    result = evaluate(data, values, family)
    objective, gradient, information = _penalised(result, values, precision)
    passes = 1
    while passes < _MOST_PASSES:
        step = np.zeros_like(values)
        step[free] = _newton_step(information[np.ix_(free, free)], gradient[free])
        gain = float(gradient @ step)
        if gain < 1e-13 * max(1.0, abs(objective)):
            break
        length = 1.0
        while True:
            trial = values + length * step
            attempt = evaluate(data, trial, family)
            passes += 1
            reached = _penalised(attempt, trial, precision)
            finite = all(np.isfinite(part).all() for part in reached)
            if finite and reached[0] >= objective - 1e-12 * abs(objective):
                break
            length *= 0.5
            if length < 1e-6:
                return values, result, passes
        values, result = trial, attempt
        objective, gradient, information = reached
    return values, result, passes
