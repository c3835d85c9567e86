"""Maximum likelihood of lives with gamma frailty by vehicle."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.covariance import clustered_covariance
from wearmodel.survival.families import WEIBULL, Family
from wearmodel.survival.fit import LEAST_GAIN, Fit, fit_lives
from wearmodel.survival.frailty.likelihood import FrailtyLikelihood
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.newton import climb

__all__ = ["LARGEST_LOG_VARIANCE", "LEAST_LOG_VARIANCE", "FrailtyFit", "fit_frailty"]

Array = NDArray[Any]
#: Below this log variance vehicles differ by less than a tenth: it counts as none (measured: the plain
#: interval is right there).
LEAST_LOG_VARIANCE = -5.0
#: Beyond, most vehicles would hardly wear at all: too few failures for a frailty, and none is taken.
LARGEST_LOG_VARIANCE = math.log(10.0)
_LOWEST_LOG_VARIANCE = -7.0
_STARTS = (-1.0, -3.0)
_MOST_PASSES = 40


@dataclass(frozen=True)
class FrailtyFit:
    """Outcome of a fit with frailty.

    Parameters
    ----------
    values : ndarray, shape (n_parameters,)
        Coefficients of the log scale and log shape of a vehicle with frailty 1, then the log variance of the
        frailty (minus infinity when vehicles do not differ).
    covariance : ndarray, shape (n_parameters, n_parameters)
        Inverse observed information; 0 for the log variance when vehicles do not differ.
    clustered_covariance : ndarray, shape (n_parameters, n_parameters)
        Sandwich with scores by vehicle, as a diagnostic.
    log_likelihood : float
        At the estimate.
    frailty : ndarray, shape (n_vehicles,)
        Expected frailty of each vehicle given its record, in the order of the distinct values of `cluster`.
    passes : int
        Evaluations of the likelihood.
    converged : bool
        Information positive and nothing more to gain.
    """

    values: Array
    covariance: Array
    clustered_covariance: Array
    log_likelihood: float
    frailty: Array
    passes: int
    converged: bool

    @property
    def variance(self) -> float:
        """Variance of the frailty over vehicles."""
        return math.exp(self.values[-1])


def fit_frailty(
    data: LifeData,
    *,
    family: Family = WEIBULL,
    plain: Fit | None = None,
    prior_precision: Array | None = None,
    given_log_shape: float | None = None,
    selected: bool = False,
) -> FrailtyFit:
    """Fit a life law with gamma frailty by vehicle.

    Parameters
    ----------
    data : LifeData
        Lives; `cluster` is the vehicle; the first design column is the intercept.
    family : Family
        Life family of a vehicle with frailty 1.
    plain : Fit, optional
        Fit without frailty to begin from; made here when missing.
    prior_precision : ndarray, shape (n_coefficients,), optional
        Precision of a normal prior with mean 0 on each coefficient.
    given_log_shape : float, optional
        Holds the shape fixed.
    selected : bool
        See `FrailtyLikelihood`.

    Returns
    -------
    FrailtyFit
        The plain fit, with variance 0, where the likelihood falls with any frailty or has no sensible top.

    Raises
    ------
    ValueError
        If there is no failure among the lives.
    """
    base = plain or fit_lives(data, family=family, prior_precision=prior_precision, given_log_shape=given_log_shape)
    unit = math.exp(float(base.values[0]))
    scaled = data.in_units_of(unit)
    likelihood = FrailtyLikelihood(scaled, family=family, selected=selected)
    size = len(base.values) + 1
    free = np.ones(size, dtype=bool)
    free[-2] = given_log_shape is None
    precision = np.zeros((size, size))
    if prior_precision is not None:
        np.fill_diagonal(precision[:-2, :-2], prior_precision)
    # Where the likelihood does not rise from no frailty at all there is none to be found.
    passes = 1
    bottom = np.append(base.values, _LOWEST_LOG_VARIANCE)
    bottom[0] = 0.0
    rises = float(likelihood(bottom).gradient[-1]) > 0.0
    for log_variance in _STARTS if rises else ():
        start = np.append(base.values, log_variance)
        start[0] = 0.0
        top = climb(likelihood, start, precision=precision, free=free, most_passes=_MOST_PASSES)
        passes += top.passes
        if LEAST_LOG_VARIANCE < top.values[-1] <= LARGEST_LOG_VARIANCE:
            break
    else:
        return _without(base, likelihood, passes)
    sums = top.found
    inverse = np.zeros((size, size))
    information = -top.at_top.hessian[np.ix_(free, free)]
    inverse[np.ix_(free, free)] = np.linalg.pinv(information, hermitian=True)
    gradient = top.at_top.gradient[free]
    gain = float(gradient @ inverse[np.ix_(free, free)] @ gradient)
    values = top.values.copy()
    values[0] += math.log(unit)
    return FrailtyFit(
        values=values,
        covariance=inverse,
        clustered_covariance=clustered_covariance(inverse, sums.scores),
        # Densities are per unit of distance: undo the scaling.
        log_likelihood=sums.value - float(data.weight[data.exact].sum()) * math.log(unit),
        frailty=sums.frailty,
        passes=passes,
        converged=bool(np.linalg.eigvalsh(information).min() > 0) and gain < LEAST_GAIN,
    )


def _without(base: Fit, likelihood: FrailtyLikelihood, passes: int) -> FrailtyFit:
    """The plain fit as a fit with frailty of variance 0."""
    size = len(base.values) + 1
    covariance, clustered = np.zeros((size, size)), np.zeros((size, size))
    covariance[:-1, :-1] = base.covariance
    clustered[:-1, :-1] = base.clustered_covariance
    return FrailtyFit(
        values=np.append(base.values, -math.inf),
        covariance=covariance,
        clustered_covariance=clustered,
        log_likelihood=base.log_likelihood,
        frailty=np.ones(likelihood.vehicles),
        passes=passes,
        converged=base.converged,
    )
