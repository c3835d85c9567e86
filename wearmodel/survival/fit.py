"""Maximum likelihood by Newton's method on scaled ages."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.covariance import clustered_covariance, less_information, scores_by_cluster
from wearmodel.survival.families import WEIBULL, Family
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.likelihood import evaluate
from wearmodel.survival.newton import climb

__all__ = ["LEAST_GAIN", "Fit", "fit_lives"]

Array = NDArray[Any]
#: A fit has converged when another Newton step would gain less than this in log-likelihood.
LEAST_GAIN = 1e-8


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


def _start(data: LifeData, given_log_shape: float | None) -> Array:
    """Scale from exposure per failure, shape moderately wearing."""
    seen = np.add.reduceat(data.before_high - data.before_entry, data.start)
    exposure = float(seen @ data.weight)
    start = np.zeros(data.design.shape[1] + 1)
    start[0] = math.log(max(exposure, 1e-12) / data.failures)
    start[-1] = math.log(1.5) if given_log_shape is None else given_log_shape
    return start


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
    scaled = data.in_units_of(unit)
    size = data.design.shape[1] + 1
    precision = np.zeros((size, size))
    if prior_precision is not None:
        np.fill_diagonal(precision[:-1, :-1], prior_precision)
    free = np.ones(size, dtype=bool)
    free[-1] = given_log_shape is None
    start = _start(scaled, given_log_shape)
    top = climb(lambda at: evaluate(scaled, at, family), start, precision=precision, free=free)
    gradient, information = top.at_top.gradient, -top.at_top.hessian
    if lost_information is not None:
        information = less_information(information, lost_information)
    covariance = np.zeros((size, size))
    covariance[np.ix_(free, free)] = np.linalg.pinv(information[np.ix_(free, free)], hermitian=True)
    positive = bool(np.linalg.eigvalsh(information[np.ix_(free, free)]).min() > 0)
    gain = float(gradient[free] @ covariance[np.ix_(free, free)] @ gradient[free])
    clustered = clustered_covariance(covariance, scores_by_cluster(top.found.scores, scaled.cluster))
    values = top.values.copy()
    values[0] += math.log(unit)
    # Densities are per unit of distance: undo the scaling.
    exact = float(data.weight[data.exact].sum())
    return Fit(
        values=values,
        covariance=covariance,
        clustered_covariance=clustered,
        log_likelihood=top.found.value - exact * math.log(unit),
        passes=top.passes,
        converged=positive and gain < LEAST_GAIN,
    )
