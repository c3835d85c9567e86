"""Maximum likelihood by Newton's method on scaled ages."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.ascent import Ascent, ascend
from wearmodel.survival.covariance import clustered_covariance, less_information, segment_scores_by_cluster
from wearmodel.survival.families import WEIBULL, Family
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.likelihood import Evaluation
from wearmodel.survival.runaway import runaways

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
        Evaluations of the likelihood of all lives on the way; those of a sample of the lives, from which the way
        begins where there are many, and those of the second start are not counted.
    converged : bool
        Information positive, another Newton step would gain less than 1e-8 in log-likelihood, and every
        parameter has a finite estimate of its own.
    agreed : bool
        A second start, away from the first, led to the same top (of a sample of the lives where there are many).
    separated : tuple of int
        Positions in `values` that run away: the likelihood rises for ever as they grow or fall. A level without
        a failure does so, or one all of whose lives failed before their first look.
    undetermined : tuple of int
        Positions in `values` whose columns say the same as others, so that no data could tell them apart.
    """

    values: Array
    covariance: Array
    clustered_covariance: Array
    log_likelihood: float
    passes: int
    converged: bool
    agreed: bool = True
    separated: tuple[int, ...] = ()
    undetermined: tuple[int, ...] = ()


def fit_lives(
    data: LifeData,
    *,
    family: Family = WEIBULL,
    prior_precision: Array | None = None,
    given_log_shape: float | None = None,
    lost_information: Array | None = None,
    clustered: bool = True,
) -> Fit:
    """Fit a life law to lives with late entry, intervals, censoring, weights and stretched clocks.

    Parameters
    ----------
    data : LifeData
        Lives; the first design column is the intercept.
    family : Family
        Weibull, lognormal or log-logistic.
    prior_precision : ndarray, shape (n_coefficients,), optional
        Precision of a normal prior with mean 0 on each coefficient; 0 for none.
    given_log_shape : float, optional
        Holds the shape fixed (too few failures for a shape of their own).
    lost_information : ndarray, shape (n_parameters, n_parameters), optional
        Taken from the information of the covariance: weights that are chances know less than they weigh.
    clustered : bool
        Whether the sandwich by vehicle is wanted; without it `clustered_covariance` is the plain one.

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
    way = ascend(data, family, prior_precision=prior_precision, given_log_shape=given_log_shape)
    free, at_top = way.free, way.top.at_top
    information = -at_top.hessian
    running = runaways(way, data)
    last_step = _on_free(information, free) @ at_top.gradient
    squares = np.outer(way.reach, way.reach)
    if lost_information is not None:
        information = less_information(information, lost_information / squares)
    inverse = _on_free(information, free)
    positive = bool(np.linalg.eigvalsh(information[np.ix_(free, free)]).min() > 0)
    converged = positive and way.top.gain_left < LEAST_GAIN and not running.separated and not running.undetermined
    # The last step doubles the digits of the estimates; what it gains is known without another pass.
    values = (way.top.values + last_step * converged) / way.reach
    last_gain = _gain(way.top.found, last_step * converged)
    values[0] += math.log(way.unit)
    covariance = inverse / squares
    return Fit(
        values=values,
        covariance=covariance,
        clustered_covariance=_sandwich(way, data, covariance) if clustered else covariance,
        log_likelihood=way.top.found.value + last_gain - _exact_weight(data) * math.log(way.unit),
        passes=way.top.passes,
        converged=converged,
        agreed=way.agreed,
        separated=running.separated,
        undetermined=running.undetermined,
    )


def _gain(found: Evaluation, step: Array) -> float:
    """What a short step adds to the log-likelihood."""
    return float(found.gradient @ step + 0.5 * step @ found.hessian @ step)


def _exact_weight(data: LifeData) -> float:
    """Weight of the failures seen to the distance: their densities are per unit."""
    return float(data.weight @ data.exact)


def _on_free(information: Array, free: Array) -> Array:
    """Inverse of an information, 0 for parameters that were held."""
    inverse = np.zeros_like(information)
    inverse[np.ix_(free, free)] = np.linalg.pinv(information[np.ix_(free, free)], hermitian=True)
    return inverse


def _sandwich(way: Ascent, data: LifeData, covariance: Array) -> Array:
    """Covariance by vehicle."""
    found = way.top.found.by_life
    scores = segment_scores_by_cluster(found.segment, data.design, found.shape, life=data.life, cluster=data.cluster)
    return clustered_covariance(covariance, scores)
