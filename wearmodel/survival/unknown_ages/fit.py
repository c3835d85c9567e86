"""Fitting lives of known and unknown age together.

With a the operational distance before records began and x since, a life of unknown fitting date adds log G(a, x) if
censored, log g(a, x) - x'b if failed, log(G(a, x low) - G(a, x high)) if failed between two looks
(`wearmodel.survival.unknown_ages.recurrence_table`). A position's later lives start at a seen failure and are ordinary
lives.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.one_thread import one_thread
from wearmodel.survival.covariance import clustered_covariance, scores_by_cluster
from wearmodel.survival.families import WEIBULL
from wearmodel.survival.fit import LEAST_GAIN
from wearmodel.survival.frailty.fit import LARGEST_LOG_VARIANCE, LEAST_LOG_VARIANCE
from wearmodel.survival.life_clocks import Clock, curvature, run_clock, slopes_by_life
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.likelihood import Evaluation, LifeLikelihood
from wearmodel.survival.newton import Climb, Derivatives, climb
from wearmodel.survival.unknown_ages.lives import UnknownAges
from wearmodel.survival.unknown_ages.mixed_frailty import FleetDerivatives, MixedFrailtyLikelihood
from wearmodel.survival.unknown_ages.recurrence_terms import (
    RecurrenceTables,
    Terms,
    build_recurrence_tables,
    recurrence_terms,
)

__all__ = [
    "UnknownAgeEvaluation",
    "UnknownAgeFit",
    "UnknownAgeLikelihood",
    "fit_with_unknown_ages",
    "frailty_objective",
]

Array = NDArray[Any]
_START_LOG_SHAPE, _START_LOG_VARIANCE = math.log(1.5), math.log(0.3)
#: The likelihood is followed down to this log variance of the frailty.
_FLOOR = -9.0
#: Variance from which vehicles must differ more for a frailty to be looked for.
_LOW_LOG_VARIANCE = -6.0


@dataclass(frozen=True)
class UnknownAgeFit:
    """Outcome of a fit of lives of known and unknown age.

    Parameters
    ----------
    values : ndarray, shape (n_parameters,)
        Coefficients of the log scale, log shape and, where `theta` is above 0, log frailty variance.
    covariance : ndarray, shape (n_parameters, n_parameters)
        Inverse observed information, a prior included.
    clustered_covariance : ndarray, shape (n_parameters, n_parameters)
        Sandwich with scores summed by vehicle, a diagnostic; the plain one below 20 vehicles.
    log_likelihood : float
        At the estimate, without the prior.
    passes : int
        Evaluations of the likelihood.
    converged : bool
        Information positive, and another Newton step would gain less than 1e-8 in log-likelihood.
    theta : float
        Variance of the gamma frailty of a vehicle; 0 if none was fitted or the vehicles are alike (below e^-5).
    """

    values: Array
    covariance: Array
    clustered_covariance: Array
    log_likelihood: float
    passes: int
    converged: bool
    theta: float


@dataclass(frozen=True)
class UnknownAgeEvaluation(Derivatives):
    """Log-likelihood with derivatives in the coefficients and the log shape.

    Parameters
    ----------
    known : Evaluation or None
        Of the lives of known age; None where there are none.
    undated : ndarray, shape (n_undated_lives, n_parameters)
        Gradient of each life of unknown age.
    """

    known: Evaluation | None
    undated: Array

    @property
    def scores(self) -> Array:
        """Gradient of the lives of known age, then of those of unknown age."""
        return self.undated if self.known is None else np.vstack([self.known.scores, self.undated])


class UnknownAgeLikelihood:
    """Log-likelihood of lives of known and unknown age, vehicles alike.

    Parameters
    ----------
    data : LifeData
        Lives of known age; may be empty.
    unknown : UnknownAges
        Lives of unknown age, with the same coefficients; may be empty.
    """

    def __init__(self, data: LifeData, unknown: UnknownAges) -> None:
        self._known = LifeLikelihood(data, WEIBULL) if data.lives else None
        self._unknown = unknown

    def __call__(self, values: Array) -> UnknownAgeEvaluation:
        """Log-likelihood and derivatives.

        Parameters
        ----------
        values : ndarray, shape (n_coefficients + 1,)
            Coefficients of the log scale, then the log shape.

        Returns
        -------
        UnknownAgeEvaluation
            Minus infinity where no table can be made.
        """
        size = len(values)
        value, gradient, hessian = 0.0, np.zeros(size), np.zeros((size, size))
        known = None if self._known is None else self._known(values)
        if known is not None:
            value, gradient, hessian = known.value, known.gradient, known.hessian
        undated = np.zeros((self._unknown.lives, size))
        if self._unknown.lives:
            with np.errstate(over="ignore", invalid="ignore"):
                found = _recurrences(self._unknown, values)
            if found is None:
                return UnknownAgeEvaluation(-math.inf, np.zeros(size), np.zeros((size, size)), known, undated)
            value, hessian, undated = value + found[0], hessian + found[1], found[2]
        return UnknownAgeEvaluation(value, gradient + undated.sum(axis=0), hessian, known, undated)

    def value(self, values: Array) -> float:
        """The log-likelihood alone: one table for three.

        Parameters
        ----------
        values : ndarray, shape (n_coefficients + 1,)
            Coefficients of the log scale, then the log shape.

        Returns
        -------
        float
            Minus infinity where no table can be made.
        """
        value = 0.0 if self._known is None else self._known(values).value
        if not self._unknown.lives:
            return value
        with np.errstate(over="ignore", invalid="ignore"):
            seen = _seen(self._unknown, values)
            return -math.inf if seen is None else value + _value(self._unknown, seen, seen.terms(self._unknown))


def frailty_objective(
    data: LifeData, unknown: UnknownAges, *, nodes: int = 20
) -> Callable[[Array], FleetDerivatives]:
    """Log-likelihood with a gamma frailty of each vehicle, integrated by quadrature.

    Parameters
    ----------
    data : LifeData
        Lives of known age; may be empty. Late entry conditions each life on the same frailty and is no evidence about
        it (no entry term of the vehicle).
    unknown : UnknownAges
        Lives of unknown age; may be empty.
    nodes : int
        Points of the quadrature for each vehicle.

    Returns
    -------
    Objective
        Of the coefficients of the log scale, the log shape and the log variance of the frailty. A variance below e^-9
        counts as e^-9, next to vehicles that are alike.
    """
    likelihood = MixedFrailtyLikelihood(data, unknown, nodes=nodes)

    def objective(values: Array) -> FleetDerivatives:
        found = likelihood.evaluate(np.append(values[:-1], max(float(values[-1]), _FLOOR)))
        if values[-1] > _FLOOR:
            return found
        gradient, hessian = found.gradient.copy(), found.hessian.copy()
        gradient[-1], hessian[-1], hessian[:, -1] = 0.0, 0.0, 0.0
        return replace(found, gradient=gradient, hessian=hessian)

    return objective


@dataclass(frozen=True)
class _Seen:
    """Lives of unknown age at one parameter vector."""

    predictor: Array
    clocks: "list[Clock]"
    logs: Array
    tables: RecurrenceTables

    def terms(self, unknown: UnknownAges) -> Terms:
        return recurrence_terms(
            self.tables, self.logs, unknown.renewals, exact=unknown.exact, interval=unknown.interval
        )


def _seen(unknown: UnknownAges, values: Array) -> _Seen | None:
    """Clocks of the lives, and the table of the shape; None where none can be made."""
    predictor = unknown.design @ values[:-1]
    pace = np.exp(-predictor)
    clocks = [run_clock(unknown, pace, distance) for distance in (unknown.before, unknown.to_low, unknown.to_high)]
    logs = np.stack([clock.log_psi for clock in clocks])
    a = np.exp(logs[0])
    tables = build_recurrence_tables(
        float(values[-1]),
        oldest=float(a.max()),
        longest=float(np.exp(logs[1:].max())),
        rate=float((unknown.renewals / a).max()),
    )
    return None if tables is None else _Seen(predictor, clocks, logs, tables)


def _value(unknown: UnknownAges, seen: _Seen, terms: Terms) -> float:
    """Log-likelihood of the lives."""
    failed = np.where(unknown.exact, unknown.weight, 0.0)
    return float(terms.value @ unknown.weight - seen.predictor[unknown.last] @ failed)


def _recurrences(unknown: UnknownAges, values: Array) -> "tuple[float, Array, Array] | None":
    """Log-likelihood, Hessian and scores of lives of unknown age."""
    seen = _seen(unknown, values)
    if seen is None:
        return None
    terms = replace(seen, tables=seen.tables.with_neighbours()).terms(unknown)
    weight, failed = unknown.weight, np.where(unknown.exact, unknown.weight, 0.0)
    first, second = terms.first * weight, terms.second * weight
    scores = slopes_by_life(seen.clocks, first)
    scores[:, :-1] -= failed[:, None] * unknown.design[unknown.last]
    return _value(unknown, seen, terms), curvature(unknown, seen.clocks, first, second), scores


def fit_with_unknown_ages(
    data: LifeData,
    unknown: UnknownAges,
    *,
    frailty: bool,
    prior_precision: ArrayLike | None = None,
    nodes: int = 20,
    start: ArrayLike | None = None,
) -> UnknownAgeFit:
    """Fit a Weibull law to lives of known and unknown age.

    Parameters
    ----------
    data : LifeData
        Lives of known age; the first design column is the intercept.
    unknown : UnknownAges
        Lives of unknown age, with the same design columns and vehicle indices.
    frailty : bool
        Whether vehicles differ by a gamma frailty of the hazard.
    prior_precision : array_like, shape (n_coefficients,), optional
        Precision of a normal prior with mean 0 on each coefficient, distances in units of the geometric mean distance
        seen of a life; 0 for none.
    nodes : int
        Points of the frailty's quadrature for each vehicle.
    start : array_like, shape (n_coefficients + 1,), optional
        Where to begin: coefficients and log shape, of a fit to the lives of known age; default from exposure.

    Returns
    -------
    UnknownAgeFit
        Estimates and covariances; the scale is that of a vehicle with frailty 1.

    Raises
    ------
    ValueError
        If there is no failure among the lives, they do not tell the shape, or their design columns differ in number.

    Notes
    -----
    Damped Newton on distances scaled by their geometric mean; with frailty it starts from the fit without.
    """
    if data.design.shape[1] != unknown.design.shape[1]:
        raise ValueError(
            f"lives of known age have {data.design.shape[1]} design columns, lives of unknown age "
            f"{unknown.design.shape[1]}; give both the same"
        )
    if data.failures + unknown.failures <= 0:
        raise ValueError("no failure among the lives: a curve cannot be fitted, only a bound")
    prior = np.zeros(data.design.shape[1]) if prior_precision is None else np.asarray(prior_precision, dtype=float)
    with one_thread():
        return _fit(
            data, unknown, frailty=frailty, prior=prior, nodes=nodes,
            begin=None if start is None else np.array(start, dtype=float),
        )  # fmt: skip


def _fit(
    data: LifeData, unknown: UnknownAges, *, frailty: bool, prior: Array, nodes: int, begin: Array | None
) -> UnknownAgeFit:
    """The fit itself."""
    unit, exposure = _unit_and_exposure(data, unknown)
    data, unknown = data.in_units_of(unit), unknown.in_units_of(unit)
    size = data.design.shape[1] + 1
    precision = np.zeros((size, size))
    precision[np.arange(size - 1), np.arange(size - 1)] = prior
    start = np.zeros(size) if begin is None else begin
    if begin is None:
        start[0], start[-1] = math.log(exposure / unit / (data.failures + unknown.failures)), _START_LOG_SHAPE
    else:
        start[0] -= math.log(unit)
    alike = UnknownAgeLikelihood(data, unknown)
    found = climb(alike, start, precision=precision, value=alike.value)
    passes = found.passes
    if not math.isfinite(found.at_top.value):
        raise ValueError("the lives do not tell the shape: it leaves the range that parts can have")
    likelihood = frailty_objective(data, unknown, nodes=nodes) if frailty else None
    # Where the likelihood does not rise from hardly any frailty there is none to be found.
    if likelihood is not None and likelihood(np.append(found.values, _LOW_LOG_VARIANCE)).gradient[-1] > 0.0:
        wider = np.zeros((size + 1, size + 1))
        wider[:-1, :-1] = precision
        start = np.append(found.values, _START_LOG_VARIANCE)
        top = climb(likelihood, start, precision=wider)
        passes += top.passes
        if LEAST_LOG_VARIANCE < top.values[-1] <= LARGEST_LOG_VARIANCE:
            scores = top.found.scores
            return _finish(top, wider, scores, data, unknown, unit, passes, math.exp(float(top.values[-1])))
    scores = scores_by_cluster(found.found.scores, np.concatenate([data.cluster, unknown.cluster]))
    return _finish(found, precision, scores, data, unknown, unit, passes, 0.0)


def _unit_and_exposure(data: LifeData, unknown: UnknownAges) -> "tuple[float, float]":
    """Geometric mean distance seen of the lives, and the weighted distance seen of all."""
    seen = np.concatenate(
        [
            np.add.reduceat(data.before_high - data.before_entry, data.start) if data.lives else np.zeros(0),
            np.add.reduceat(unknown.to_high, unknown.start) if unknown.lives else np.zeros(0),
        ]
    )
    weight = np.concatenate([data.weight, unknown.weight])
    unit = float(np.exp(np.average(np.log(seen), weights=np.maximum(weight, 1e-12))))
    return unit, float(seen @ weight)


def _finish(
    top: Climb[Any], precision: Array, scores: Array, data: LifeData, unknown: UnknownAges, unit: float, passes: int,
    theta: float,
) -> UnknownAgeFit:  # fmt: skip
    """Covariances, and distances back in their own unit."""
    information = -top.at_top.hessian
    covariance = np.linalg.pinv(information, hermitian=True)
    gain = float(top.at_top.gradient @ covariance @ top.at_top.gradient)
    values = top.values.copy()
    exact = float(data.weight[data.exact].sum() + unknown.weight[unknown.exact].sum())
    likelihood = top.at_top.value + 0.5 * float(values @ precision @ values)
    values[0] += math.log(unit)
    return UnknownAgeFit(
        values=values,
        covariance=covariance,
        clustered_covariance=clustered_covariance(covariance, scores),
        log_likelihood=likelihood - exact * math.log(unit),
        passes=passes,
        converged=bool(np.linalg.eigvalsh(information).min() > 0) and gain < LEAST_GAIN,
        theta=theta,
    )
