"""Maximum likelihood of lives with gamma frailty by vehicle."""

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.covariance import clustered_covariance, numbered
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
# A sample of one vehicle in this many, of not too few lives.
_ONE_IN, _SMALLEST_SAMPLE = 16, 1_500
_ERRORS_CLEAR = 4.0


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
        Expected frailty of each vehicle given its record, in the order of the distinct values of `cluster`; of
        many lives at the last step before the estimate, as the covariances are, which moves them by less
        than a part in a thousand.
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
    terms = _Terms(family, prior_precision, given_log_shape, selected)
    search, found, passes = None, None, 0
    begun = _of_a_sample(data, terms, plain)
    if begun is not None:
        search = _Search(data, terms, unit=math.exp(begun[0]))
        found = search.fit(begun)
        passes = found.passes
        if found.converged and _stands_clear(found):
            return found
    base = plain or fit_lives(data, family=family, prior_precision=prior_precision, given_log_shape=given_log_shape)
    search = search or _Search(data, terms, unit=math.exp(base.values[0]))
    # Where the likelihood does not rise from no frailty at all there is none to be found.
    passes += 1
    first = search.first_variance(base.values)
    if first is None:
        return _without(base, search.likelihood.vehicles, passes)
    if found is not None and found.converged and _is_sensible(found):
        return replace(found, passes=passes)
    for log_variance in (first, *_STARTS):
        found = search.fit(np.append(base.values, log_variance))
        passes += found.passes
        if _is_sensible(found):
            return replace(found, passes=passes)
        if found.converged and found.values[-1] <= LEAST_LOG_VARIANCE:
            break
    return _without(base, search.likelihood.vehicles, passes)


@dataclass(frozen=True)
class _Terms:
    """What is fitted, whatever the lives."""

    family: Family
    prior_precision: Array | None
    given_log_shape: float | None
    selected: bool

    def held_by(self, precision: Array) -> "_Terms":
        """The same with a further prior on the coefficients."""
        own = 0.0 if self.prior_precision is None else self.prior_precision
        return replace(self, prior_precision=precision + own)


def _of_a_sample(data: LifeData, terms: _Terms, plain: Fit | None) -> Array | None:
    """Estimates from a sample of the vehicles, so near those of all that few passes over these are left.

    Nothing where there are few lives, or where the sample's vehicles do not differ. The sample is drawn by a fixed
    seed; it decides where the way begins, not where it ends.
    """
    if not _are_many(data):
        return None
    vehicle = numbered(data.cluster)
    chosen = np.random.default_rng(0).random(int(vehicle.max()) + 1) < 1.0 / _ONE_IN
    lives = np.flatnonzero(chosen[vehicle])
    sample = data.subset(lives)
    if len(lives) < _SMALLEST_SAMPLE / 2 or sample.failures <= 0:
        return None
    # A slight prior keeps a coefficient at hand whose level has no failure in the sample.
    held = terms.held_by(np.var(sample.design, axis=0))
    found = fit_frailty(
        sample, family=held.family, plain=plain, prior_precision=held.prior_precision,
        given_log_shape=held.given_log_shape, selected=held.selected,
    )  # fmt: skip
    return found.values if _is_sensible(found) else None


def _are_many(data: LifeData) -> bool:
    """Whether there are enough lives for a sample of them."""
    return data.lives >= _ONE_IN * _SMALLEST_SAMPLE


def _is_sensible(found: FrailtyFit) -> bool:
    """Whether the variance of the frailty is one that vehicles can have."""
    return bool(LEAST_LOG_VARIANCE < found.values[-1] <= LARGEST_LOG_VARIANCE)


def _stands_clear(found: FrailtyFit) -> bool:
    """Whether the variance is so many errors above 0 that a fit without frailty need not be compared."""
    return _is_sensible(found) and bool(found.covariance[-1, -1] < _ERRORS_CLEAR**-2)


class _Search:
    """The climb to the top of one set of lives, ages counted in a unit."""

    def __init__(self, data: LifeData, terms: _Terms, *, unit: float) -> None:
        self._log_unit, self._many = math.log(unit), _are_many(data)
        self._exact_weight = float(np.sum(data.weight, where=data.exact))
        self.likelihood = FrailtyLikelihood(data.in_units_of(unit), family=terms.family, selected=terms.selected)
        size = data.design.shape[1] + 2
        self._free = np.ones(size, dtype=bool)
        self._free[-2] = terms.given_log_shape is None
        self._precision = np.zeros((size, size))
        if terms.prior_precision is not None:
            np.fill_diagonal(self._precision[:-2, :-2], terms.prior_precision)

    def _scaled(self, values: Array) -> Array:
        out = values.copy()
        out[0] -= self._log_unit
        return out

    def first_variance(self, plain: Array) -> float | None:
        """Log variance that one step of scoring from none leads to; nothing where the likelihood falls at once."""
        found = self.likelihood(self._scaled(np.append(plain, _LOWEST_LOG_VARIANCE)))
        if found.gradient[-1] <= 0.0:
            return None
        step = float(found.gradient[-1]) / float(found.by_log_variance @ found.by_log_variance)
        return min(_LOWEST_LOG_VARIANCE + math.log1p(step), _STARTS[0])

    def fit(self, start: Array) -> FrailtyFit:
        """Climb from a start; of many lives the last step is taken without a pass over them."""
        free = self._free
        top = climb(
            self.likelihood, self._scaled(start), precision=self._precision, free=free, most_passes=_MOST_PASSES,
            leave_last_step=self._many,
        )  # fmt: skip
        information = -top.at_top.hessian[np.ix_(free, free)]
        inverse = np.zeros_like(self._precision)
        inverse[np.ix_(free, free)] = np.linalg.pinv(information, hermitian=True)
        step = inverse @ top.at_top.gradient
        gain_left = top.gain_left if self._many else float(top.at_top.gradient @ step)
        converged = bool(np.linalg.eigvalsh(information).min() > 0) and gain_left < LEAST_GAIN
        step *= self._many and converged
        values = top.values + step
        values[0] += self._log_unit
        gain = float(top.found.gradient @ step + 0.5 * step @ top.found.hessian @ step)
        return FrailtyFit(
            values=values,
            covariance=inverse,
            clustered_covariance=clustered_covariance(inverse, top.found.scores),
            # Densities are per unit of distance: undo the scaling.
            log_likelihood=top.found.value + gain - self._exact_weight * self._log_unit,
            frailty=top.found.frailty,
            passes=top.passes,
            converged=converged,
        )


def _without(base: Fit, vehicles: int, passes: int) -> FrailtyFit:
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
        frailty=np.ones(vehicles),
        passes=passes,
        converged=base.converged,
    )
