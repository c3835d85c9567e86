"""The life law of one component from its lives of known and unknown age: pooled effects, vehicles that wear unlike.

Effects of groups are drawn together by as much as the record says the groups are alike (`wearmodel.survival.pooling`);
then vehicles get a gamma frailty, and lives whose fitting date nobody wrote down enter by the forward-recurrence law
(`wearmodel.survival.unknown_ages`), with those priors of the effects.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.covariance import less_information, wider_covariance
from wearmodel.survival.families import WEIBULL
from wearmodel.survival.fit import Fit, fit_lives
from wearmodel.survival.frailty.fit import fit_frailty
from wearmodel.survival.frailty.likelihood import FrailtyLikelihood
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.likelihood import LifeLikelihood
from wearmodel.survival.pooling import SMALLEST_SPREAD, PooledFit, fit_pooled
from wearmodel.survival.unknown_ages.fit import UnknownAgeFit, fit_with_unknown_ages
from wearmodel.survival.unknown_ages.lives import UnknownAges

__all__ = ["FEWEST_FOR_FRAILTY", "LawFit", "fit_law", "last_kind_counts"]

Array = NDArray[Any]
#: With fewer failures the record does not tell vehicles that wear unlike from chance.
FEWEST_FOR_FRAILTY = 20
#: With fewer failures of known age, spreads of effects are given, and nothing is fitted to such lives alone.
_FEWEST_DATED = 5
#: Log marginal likelihood that a kind of group must add.
_LEAST_SUPPORT = 1.0
#: Logarithms of shapes beyond which a fit has run away for want of failures; common practice, no source.
_LOWEST_SHAPE, _HIGHEST_SHAPE = math.log(0.45), math.log(10.0)
#: Spread of the effects of a kind before it is estimated, and for fits that do not estimate it.
_GIVEN_SPREAD = 0.3


@dataclass(frozen=True)
class LawFit:
    """Fitted Weibull law of a component.

    Parameters
    ----------
    values : ndarray, shape (n_parameters,)
        Coefficients of the log scale of a vehicle with frailty 1, then the log shape.
    covariance : ndarray, shape (n_parameters, n_parameters)
        Of `values`, with what open lines and the spreads of pooled effects add.
    variance : float
        Of the frailty over vehicles; 0 when they do not differ or nothing can be said.
    variance_covariance : ndarray, shape (n_parameters + 1,)
        Covariance of the log variance with `values`, then its own variance; empty at variance 0.
    spreads : ndarray, shape (n_kinds,)
        Standard deviation of the effects of each kind.
    precision : ndarray, shape (n_parameters,)
        Of the normal prior on each of `values`.
    own_share : ndarray, shape (n_parameters,)
        How much of an effect is its own, see `PooledFit`.
    log_likelihood : float
        At the estimate, without priors.
    converged : bool
        Every step of the way.
    dated_alone : Fit or PooledFit or None
        Fit to lives of known age alone, vehicles taken as alike: the plain alternative; None where too few
        of them failed.
    """

    values: Array
    covariance: Array
    variance: float
    variance_covariance: Array
    spreads: Array
    precision: Array
    own_share: Array
    log_likelihood: float
    converged: bool
    dated_alone: Fit | PooledFit | None


def fit_law(
    data: LifeData,
    unknown: UnknownAges,
    *,
    pooled: Sequence[Array],
    tested: Sequence[bool],
    fixed_precision: Array,
    lost_information: Array | None = None,
    quick: bool = False,
    alike: bool = False,
) -> LawFit:
    """Fit the law of a component.

    Parameters
    ----------
    data : LifeData
        Lives of known age; may be empty.
    unknown : UnknownAges
        Lives of unknown age, with the same design columns; may be empty.
    pooled : sequence of ndarray of int
        Columns of the effects of each kind of group.
    tested : sequence of bool
        Kinds that count only if the record speaks for them: else their groups are taken as alike.
    fixed_precision : ndarray, shape (n_coefficients,)
        Precision of a normal prior with mean 0 on other coefficients; 0 for none and for pooled ones.
    lost_information : ndarray, shape (n_parameters, n_parameters) or one more, optional
        Information lost to lines that could be about several positions, the last row about the log variance of the
        frailty where there is one.
    quick : bool
        Lives of known age alone if enough of them failed, spreads given.
    alike : bool
        Vehicles taken to wear alike.

    Returns
    -------
    LawFit
        Estimates.

    Raises
    ------
    ValueError
        If there is no failure among the lives, or they do not tell the shape.

    Notes
    -----
    The spreads and their uncertainty are estimated on lives of known age with vehicles taken as alike; what the latter
    adds to the covariance is by how far this fit's estimates move with the spreads. Where vehicles differ the
    covariance is the inverse information with the frailty integrated out; else the wider of it and the sandwich by
    vehicle.
    """
    size = len(fixed_precision) + 1
    plain: Fit | PooledFit | None = None
    precision, spreads = _given_precision(pooled, fixed_precision), np.zeros(len(pooled))
    own, settled = np.ones(size), True
    spread_covariance = np.zeros((len(pooled), len(pooled)))
    if data.failures >= _FEWEST_DATED and quick:
        plain = fit_lives(data, prior_precision=precision)
    elif data.failures >= _FEWEST_DATED:
        dated = _dated_alone(data, pooled, tested, fixed_precision)
        plain, spreads, spread_covariance = dated.fit, dated.spreads, dated.spread_covariance
        settled = plain.converged
        precision = _with_spreads(pooled, spreads, fixed_precision)
        if isinstance(plain, PooledFit):
            own = plain.own_share.copy()
        for columns, spread in zip(pooled, spreads, strict=True):
            own[columns] *= spread > SMALLEST_SPREAD
    frailty = not alike and data.failures + unknown.failures >= FEWEST_FOR_FRAILTY
    if quick and isinstance(plain, Fit):
        differ = frailty and data.failures >= FEWEST_FOR_FRAILTY
        return _quick(plain, _dated_with_frailty(data, precision, plain) if differ else None, spreads, precision, own)
    if frailty and not quick and not unknown.lives:
        full = _dated_with_frailty(data, precision)
    else:
        full = fit_with_unknown_ages(
            data,
            unknown,
            frailty=frailty and not quick,
            prior_precision=precision,
            start=None if plain is None else plain.values,
        )
    if not _LOWEST_SHAPE < full.values[size - 1] < _HIGHEST_SHAPE:
        raise ValueError("the lives do not tell the shape: it leaves the range that parts can have")
    covariance = _from_spreads(
        _less_lost(full.covariance, lost_information), full.values, pooled, spreads, spread_covariance
    )
    wide = full.covariance if full.theta > 0 else wider_covariance(full.covariance, full.clustered_covariance)
    covariance += _less_lost(wide, lost_information)
    return LawFit(
        values=full.values[:size],
        covariance=covariance[:size, :size],
        variance=full.theta,
        variance_covariance=covariance[size, : size + 1] if full.theta > 0 else np.zeros(0),
        spreads=spreads,
        precision=np.append(precision, 0.0),
        own_share=own,
        log_likelihood=full.log_likelihood,
        converged=full.converged and settled,
        dated_alone=plain,
    )


def last_kind_counts(data: LifeData, *, pooled: Sequence[Array], beside: LawFit, fixed_precision: Array) -> bool:
    """Whether the record speaks for one more kind of effects beside those of a law.

    Parameters
    ----------
    data : LifeData
        Lives of known age, with the columns of the further kind.
    pooled : sequence of ndarray of int
        As in `fit_law`, the further kind last.
    beside : LawFit
        The law without it; kinds that do not count there stay alike.
    fixed_precision : ndarray, shape (n_coefficients,)
        As in `fit_law`.

    Returns
    -------
    bool
        Whether it adds at least 1 to the marginal log-likelihood; where vehicles wear unlike, also to that with their
        frailty: what sets a few vehicles apart would else pass for an effect of theirs. False where too few of the
        lives failed to tell.
    """
    if data.failures < _FEWEST_DATED:
        return False
    counting = np.append(beside.spreads > SMALLEST_SPREAD, True)
    kinds = [columns for columns, counts in zip(pooled, counting, strict=True) if counts]
    alike = [columns for columns, counts in zip(pooled, counting, strict=True) if not counts]
    precision = _with_spreads(alike, np.full(len(alike), SMALLEST_SPREAD), fixed_precision)
    start = fit_lives(data, prior_precision=_given_precision(pooled, fixed_precision), clustered=False)
    if _pooled_fit(data, start, kinds, precision).support[-1] < _LEAST_SUPPORT:
        return False
    if beside.variance == 0.0:
        return True
    unit = math.exp(float(start.values[0]))
    first = np.append(start.values, math.log(beside.variance))
    first[0] = 0.0
    fixed = np.diag(np.append(precision, [0.0, 0.0]))
    likelihood = FrailtyLikelihood(data.in_units_of(unit))
    return bool(fit_pooled(likelihood, first, kinds=kinds, fixed_precision=fixed).support[-1] >= _LEAST_SUPPORT)


def _quick(
    plain: Fit, unlike: UnknownAgeFit | None, spreads: Array, precision: Array, own: Array
) -> LawFit:
    """The fit to lives of known age as the law, with frailty where it was looked for and found."""
    found: Fit | UnknownAgeFit = plain if unlike is None or not unlike.theta else unlike
    size = len(plain.values)
    theta = found.theta if isinstance(found, UnknownAgeFit) else 0.0
    return LawFit(
        values=found.values[:size],
        covariance=wider_covariance(plain.covariance, plain.clustered_covariance),
        variance=theta,
        variance_covariance=np.zeros(0) if not theta else found.covariance[size, : size + 1],
        spreads=spreads,
        precision=np.append(precision, 0.0),
        own_share=own,
        log_likelihood=found.log_likelihood,
        converged=found.converged,
        dated_alone=plain,
    )


def _dated_with_frailty(data: LifeData, precision: Array, plain: Fit | None = None) -> UnknownAgeFit:
    """Frailty fit where every age is known: the closed form, several times faster than the general quadrature."""
    found = fit_frailty(data, plain=plain, prior_precision=precision)
    differ = found.variance > 0
    size = len(found.values) if differ else len(found.values) - 1
    return UnknownAgeFit(
        values=found.values[:size],
        covariance=found.covariance[:size, :size],
        clustered_covariance=found.clustered_covariance[:size, :size],
        log_likelihood=found.log_likelihood,
        passes=found.passes,
        converged=found.converged,
        theta=found.variance,
    )


def _given_precision(pooled: Sequence[Array], fixed_precision: Array) -> Array:
    """Precision of each coefficient when the spreads are given, not estimated, shape (n_coefficients,)."""
    return _with_spreads(pooled, np.full(len(pooled), _GIVEN_SPREAD), fixed_precision)


def _with_spreads(pooled: Sequence[Array], spreads: Array, fixed_precision: Array) -> Array:
    """Precision of each coefficient, those of each kind by its spread."""
    precision = fixed_precision.copy()
    for columns, spread in zip(pooled, spreads, strict=True):
        precision[columns] = spread**-2.0
    return precision


@dataclass(frozen=True)
class _DatedFit:
    """Fit to lives of known age, the spread of each kind, and the covariance of the logs of the spreads.

    A kind whose groups are taken as alike has no uncertainty of its spread.
    """

    fit: Fit | PooledFit
    spreads: Array
    spread_covariance: Array


def _dated_alone(
    data: LifeData, pooled: Sequence[Array], tested: Sequence[bool], fixed_precision: Array
) -> _DatedFit:
    """Fit to lives of known age."""
    start = fit_lives(data, prior_precision=_given_precision(pooled, fixed_precision))
    spreads = np.full(len(pooled), SMALLEST_SPREAD)
    uncertain = np.zeros((len(pooled), len(pooled)))
    kinds = list(range(len(pooled)))
    while kinds:
        dropped = [i for i in range(len(pooled)) if i not in kinds]
        precision = _with_spreads([pooled[i] for i in dropped], spreads[dropped], fixed_precision)
        found = _pooled_fit(data, start, [pooled[i] for i in kinds], precision)
        weak = [(gain, i) for gain, i in zip(found.support, kinds, strict=True) if tested[i] and gain < _LEAST_SUPPORT]
        if not weak:
            spreads[kinds] = found.spreads
            uncertain[np.ix_(kinds, kinds)] = found.spread_covariance
            return _DatedFit(found, spreads, uncertain)
        # The weakest first: kinds that say the same of the parts would else all go.
        kinds.remove(min(weak)[1])
    precision = _with_spreads(pooled, spreads, fixed_precision)
    return _DatedFit(fit_lives(data, prior_precision=precision), spreads, uncertain)


def _pooled_fit(data: LifeData, start: Fit, kinds: Sequence[Array], precision: Array) -> PooledFit:
    """Pooled fit in the units of the data."""
    unit = math.exp(float(start.values[0]))
    scaled = data.in_units_of(unit)
    first = start.values.copy()
    first[0] = 0.0
    fixed = np.zeros((len(first), len(first)))
    np.fill_diagonal(fixed[:-1, :-1], precision)
    found = fit_pooled(LifeLikelihood(scaled, WEIBULL), first, kinds=kinds, fixed_precision=fixed)
    values = found.values.copy()
    values[0] += math.log(unit)
    exact = float(data.weight[data.exact].sum())
    return replace(found, values=values, log_likelihood=found.log_likelihood - exact * math.log(unit))


def _less_lost(covariance: Array, lost: Array | None) -> Array:
    """Covariance of all parameters, its information less what open lines lost of that of the first of them."""
    if lost is None:
        return covariance
    information = np.linalg.pinv(covariance, hermitian=True)
    missing = np.zeros_like(information)
    size = min(len(lost), len(missing))
    missing[:size, :size] = lost[:size, :size]
    return np.linalg.pinv(less_information(information, missing), hermitian=True)


def _from_spreads(
    inverse: Array, values: Array, pooled: Sequence[Array], spreads: Array, spread_covariance: Array
) -> Array:
    """What the uncertainty of the spreads adds to the covariance, shape (n_parameters, n_parameters).

    The penalty of an effect b of spread s pulls by -b / s^2, which falls by 2 b / s^2 as log s rises by 1: the top then
    moves by the inverse information times that (Kass & Steffey, as in `wearmodel.survival.pooling`).
    """
    pull = np.zeros((len(values), len(pooled)))
    for kind, (columns, spread) in enumerate(zip(pooled, spreads, strict=True)):
        if spread_covariance[kind, kind] > 0:
            pull[columns, kind] = 2.0 * values[columns] / spread**2
    drift = inverse @ pull
    return np.asarray(drift @ spread_covariance @ drift.T)
