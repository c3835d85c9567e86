"""The fitted life model as a value, and what can be read off it (numpy alone)."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.survival.coding import FLEET_MIX, Coding, design_row
from wearmodel.survival.covariance import drawn_errors
from wearmodel.survival.weibull import cumulative_hazard, log_life_slopes

__all__ = [
    "Band",
    "ComponentModel",
    "LifeModel",
    "ReplacementCost",
    "WeibullLaw",
    "law",
    "law_covariance",
    "life_band",
    "life_ratio_band",
    "life_ratio_error",
    "log_normal_band",
    "parameter_draws",
    "survival_band",
]

Array = NDArray[Any]


@dataclass(frozen=True)
class WeibullLaw:
    """Life law of one component at one duty and lift, where vehicles may wear unlike.

    Parameters
    ----------
    shape : float
        Weibull shape [-].
    scale : float
        Weibull scale of a vehicle with frailty 1 [distance].
    variance : float
        Variance over vehicles of the frailty, by which each multiplies its hazards [-]; 0: vehicles are alike.
    """

    shape: float
    scale: float
    variance: float = 0.0


@dataclass(frozen=True)
class Band:
    """An estimate with a two-sided confidence interval; each may be an array."""

    estimate: Array
    low: Array
    high: Array


@dataclass(frozen=True)
class ReplacementCost:
    """What one replacement costs in all: part, labour, downtime [currency].

    Parameters
    ----------
    planned : float
        Renewed before failure, at a service.
    failed : float
        Renewed after failure, averaged over failures on the road and finds at inspection.
    """

    planned: float
    failed: float


@dataclass(frozen=True)
class ComponentModel:
    """Life model of one component.

    Parameters
    ----------
    component, label, clock : str
        Code, words, and unit of its ages.
    basis : str
        `fitted` (own curve), `shape given` (own scale, borrowed shape) or `bound only` (no failure
        seen: the scale is a lower bound, not an estimate).
    values : tuple of float
        Coefficients of the log scale of a vehicle with frailty 1 in the order of `coding.names`, then the log shape.
    covariance : tuple of tuples of float
        Of `values`; zero rows for what was given, not estimated.
    coding : Coding
        How duty and ride height enter.
    lives, failures, vehicles : int
        What the fit rests on.
    log_likelihood : float
        At the estimate.
    converged : bool
        Whether the gradient vanished at the estimate.
    note : str
        One plain sentence on what the curve rests on.
    frailty_variance : float
        Variance over vehicles of the gamma frailty of mean 1 that multiplies every hazard of a vehicle's parts of
        this component [-]; 0: vehicles are alike.
    frailty_covariance : tuple of float
        Covariances of the log of that variance with each of `values`, then its own variance; empty where the variance
        is 0 or given.
    own_share : tuple of float
        How much of each of `values` is its own: 1 nothing borrowed from like groups, 0 all; empty where none is pooled.
    prior_precision : tuple of float
        Precision of the normal prior with mean 0 on each of `values`; empty where there was none.
    dated_values : tuple of float
        What lives of known age alone would give with vehicles taken as alike; empty where too few of them failed.
    dated_failures : int
        Failures among those.
    day_counts : float
        Where the component ages by time, the distance that each day counts for in its ages [distance / d]; else 0.
    hour_counts : float
        The same of each engine hour where it ages by those [distance / h]; else 0. Where both are 0 it wears by
        distance.
    """

    component: str
    label: str
    clock: str
    basis: str
    values: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    coding: Coding
    lives: int
    failures: int
    vehicles: int
    log_likelihood: float
    converged: bool
    note: str
    frailty_variance: float = 0.0
    frailty_covariance: tuple[float, ...] = ()
    own_share: tuple[float, ...] = ()
    prior_precision: tuple[float, ...] = ()
    dated_values: tuple[float, ...] = ()
    dated_failures: int = 0
    day_counts: float = 0.0
    hour_counts: float = 0.0

    @property
    def ages_by(self) -> str:
        """`distance`, `age` (time since fitting) or `hours` (engine hours)."""
        return "age" if self.day_counts > 0 else "hours" if self.hour_counts > 0 else "distance"

    @property
    def names(self) -> tuple[str, ...]:
        """Names of `values`, in order."""
        return (*self.coding.names, "log_shape")


@dataclass(frozen=True)
class LifeModel:
    """All life models of a fleet, with what is needed to turn them into money.

    Parameters
    ----------
    components : mapping of str to ComponentModel
        By component code.
    distance_unit, currency : str
        Units of every distance and price.
    as_of : str
        ISO date of the record's end.
    service_interval : float
        Distance between services [distance]; NaN when unknown.
    confidence : float
        Of all bands, two-sided.
    costs : mapping of str to ReplacementCost
        By component code; a component without known prices is missing.
    fingerprint : str
        SHA-256 of the lives the models were fitted on.
    """

    components: Mapping[str, ComponentModel]
    distance_unit: str
    currency: str
    as_of: str
    service_interval: float
    confidence: float
    costs: Mapping[str, ReplacementCost]
    fingerprint: str


def law(model: ComponentModel, *, duty: str = FLEET_MIX, lift: float = 0.0) -> WeibullLaw:
    """Life law of a component at a duty and a lift.

    Parameters
    ----------
    model : ComponentModel
        Fitted model.
    duty : str
        A duty level of the model, or `fleet` for the fleet's mix.
    lift : float
        Height above factory [mm].

    Returns
    -------
    WeibullLaw
        Shape, scale and variance of the frailty.

    Raises
    ------
    ValueError
        If the duty is not known or the lift is impossible.
    """
    row = design_row(model.coding, duty=duty, lift=lift)
    return WeibullLaw(
        shape=math.exp(model.values[-1]),
        scale=math.exp(float(row @ np.array(model.values[:-1]))),
        variance=model.frailty_variance,
    )


def _normal_quantile(confidence: float) -> float:
    return NormalDist().inv_cdf(0.5 + confidence / 2.0)


def _row_covariance(model: ComponentModel, row: Array) -> Array:
    """Covariance of log scale, log shape and log variance of the frailty at a design row, shape (3, 3)."""
    size = len(model.values)
    whole = np.zeros((size + 1, size + 1))
    whole[:size, :size] = model.covariance
    if model.frailty_covariance:
        whole[size, :] = whole[:, size] = model.frailty_covariance
    onto = np.zeros((3, size + 1))
    onto[0, : size - 1] = row
    onto[1, size - 1] = onto[2, size] = 1.0
    return onto @ whole @ onto.T


def law_covariance(model: ComponentModel, *, duty: str = FLEET_MIX, lift: float = 0.0) -> Array:
    """Covariance of what makes up a law.

    Parameters
    ----------
    model : ComponentModel
        Fitted model.
    duty, lift
        As in `law`.

    Returns
    -------
    ndarray, shape (3, 3)
        Of log scale, log shape and the log variance of the frailty [-].
    """
    return _row_covariance(model, design_row(model.coding, duty=duty, lift=lift))


def log_normal_band(log_value: float, *, error: float, confidence: float) -> Band:
    """A positive value with the interval that normal theory gives its logarithm.

    Parameters
    ----------
    log_value, error : float
        Logarithm of the estimate and its standard error [-].
    confidence : float
        Two-sided confidence.

    Returns
    -------
    Band
        In the unit of the value.
    """
    half = _normal_quantile(confidence) * error
    return Band(*(np.array(math.exp(log_value + step)) for step in (0.0, -half, half)))


def life_band(
    model: ComponentModel,
    *,
    fraction: float,
    duty: str = FLEET_MIX,
    lift: float = 0.0,
    confidence: float = 0.9,
) -> Band:
    """Distance by which a fraction has failed, with its confidence interval.

    Parameters
    ----------
    model : ComponentModel
        Fitted model.
    fraction : float
        Share failed (0.1: B10).
    duty : str
        Duty level or `fleet`.
    lift : float
        Height above factory [mm].
    confidence : float
        Two-sided confidence.

    Returns
    -------
    Band
        [distance]

    Notes
    -----
    Of a fresh part on a vehicle taken at random. Normal theory for the logarithm of the life by the delta method, the
    frailty's variance counted in (Meeker & Escobar, Statistical Methods for Reliability Data, 1998, sec. 8.4).
    """
    row = design_row(model.coding, duty=duty, lift=lift)
    point = law(model, duty=duty, lift=lift)
    slopes = np.array(log_life_slopes(fraction, shape=point.shape, variance=point.variance))
    variance = float(slopes @ _row_covariance(model, row) @ slopes)
    # The slope in the log shape is what the log life falls short of the log scale.
    log_life = math.log(point.scale) - float(slopes[1])
    return log_normal_band(log_life, error=math.sqrt(max(variance, 0.0)), confidence=confidence)


def survival_band(
    model: ComponentModel,
    age: ArrayLike,
    *,
    duty: str = FLEET_MIX,
    lift: float = 0.0,
    confidence: float = 0.9,
) -> Band:
    """Survival curve with a pointwise confidence band.

    Parameters
    ----------
    model : ComponentModel
        Fitted model.
    age : array_like, shape (n_points,)
        Ages [distance].
    duty, lift, confidence
        As in `life_band`.

    Returns
    -------
    Band
        Arrays of shape (n_points,), 0 to 1.

    Notes
    -----
    Of fresh parts on vehicles taken at random. Normal theory for the log cumulative hazard over vehicles,
    H = log(1 + theta u) / theta, so that the band stays inside 0 to 1.
    """
    row = design_row(model.coding, duty=duty, lift=lift)
    point = law(model, duty=duty, lift=lift)
    with np.errstate(divide="ignore"):
        log_ratio = np.log(np.asarray(age, dtype=float) / point.scale)
    known = np.isfinite(log_ratio)
    step = np.where(known, log_ratio, 0.0)
    mixed = point.variance * np.exp(point.shape * step)
    share = np.ones_like(mixed)
    np.divide(mixed / (1.0 + mixed), np.log1p(mixed), out=share, where=mixed > 0.0)
    slopes = np.stack([-point.shape * share, point.shape * step * share, share - 1.0])
    variance = np.einsum("i...,ij,j...->...", slopes, _row_covariance(model, row), slopes)
    half = _normal_quantile(confidence) * np.sqrt(np.maximum(variance, 0.0))
    total = cumulative_hazard(np.exp(step), shape=point.shape, scale=1.0, variance=point.variance)
    curves = [np.where(known, np.exp(-total * np.exp(sign * half)), 1.0) for sign in (0, 1, -1)]
    return Band(*curves)


def life_ratio_band(
    model: ComponentModel, *, lift: float, duty: str | Mapping[str, float] = FLEET_MIX, confidence: float = 0.9
) -> Band:
    """Life at a lift over life at factory height, in the same duty.

    Parameters
    ----------
    model : ComponentModel
        Fitted model.
    lift : float
        Height above factory [mm].
    duty : str or mapping of str to float
        Duty level, `fleet`, or shares of several. The ratio is the same in each, unless the model has effects of
        height by duty (`Coding.duty_height`).
    confidence : float
        Two-sided confidence.

    Returns
    -------
    Band
        Ratio [-], below 1 when raised vehicles wear faster; over several duties the geometric mean by share.
    """
    log_ratio = float(_height_change(model, lift, duty) @ np.array(model.values[:-1]))
    error = life_ratio_error(model, lift=lift, duty=duty)
    return log_normal_band(log_ratio, error=error, confidence=confidence)


def life_ratio_error(model: ComponentModel, *, lift: float, duty: str | Mapping[str, float] = FLEET_MIX) -> float:
    """Standard error of the logarithm of a life ratio.

    Parameters
    ----------
    model, lift, duty
        As in `life_ratio_band`.

    Returns
    -------
    float
        0 at factory height [-].
    """
    return math.sqrt(max(float(_row_covariance(model, _height_change(model, lift, duty))[0, 0]), 0.0))


def _height_change(model: ComponentModel, lift: float, duty: str | Mapping[str, float]) -> Array:
    """What a lift changes of the design row, over shares of duties."""
    shares = {duty: 1.0} if isinstance(duty, str) else duty
    change = np.zeros(len(model.coding.names))
    for level, share in shares.items():
        change += share * (
            design_row(model.coding, duty=level, lift=lift) - design_row(model.coding, duty=level, lift=0.0)
        )
    return change


def parameter_draws(model: ComponentModel, *, draws: int, rng: np.random.Generator) -> Array:
    """Parameter vectors drawn from the normal approximation of their uncertainty.

    Parameters
    ----------
    model : ComponentModel
        Fitted model.
    draws : int
        Number of draws.
    rng : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    ndarray, shape (draws, n_coefficients + 1)
        Coefficients of the log scale, then the log shape.
    """
    return np.array(model.values) + drawn_errors(np.array(model.covariance), draws=draws, rng=rng)
