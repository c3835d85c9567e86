"""The way to the top of a likelihood: from two starts, and from a sample of the lives where there are many."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import Family
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.likelihood import Evaluation, LifeLikelihood
from wearmodel.survival.newton import Climb, climb

__all__ = ["Ascent", "ascend"]

Array = NDArray[Any]
# A sample of one life in this many puts the next start so close that three passes suffice.
_ONE_IN = 16
# The way from both starts is long: it is gone on a smaller part of the smallest sample.
_LAST_ONE_IN = 4
_SMALLEST_SAMPLE = 1_500
_GOLDEN_SECTION = (math.sqrt(5.0) - 1.0) / 2.0
_MOST_PASSES, _PASSES_OF_A_SAMPLE = 60, 2
_SAME_IN_ERRORS = 1e-3
_SAME_GAIN = 1e-6


@dataclass(frozen=True)
class Ascent:
    """Where the way ended.

    Parameters
    ----------
    top : Climb of Evaluation
        The top of all lives, or a Newton step before it, ages counted in `unit`, each coefficient times its
        `reach`.
    unit : float
        About the geometric mean of the ages [distance].
    reach : ndarray, shape (n_parameters,)
        About the largest size of each covariate, 1 for the log shape: a step of 1 changes an x'b by 1 at most.
    free : ndarray of bool, shape (n_parameters,)
        Parameters that were free to move.
    precision : ndarray, shape (n_parameters, n_parameters)
        Of the prior, on coefficients times their reach.
    agreed : bool
        Whether both starts led to one top.
    """

    top: Climb[Evaluation]
    unit: float
    reach: Array
    free: Array
    precision: Array
    agreed: bool


def ascend(data: LifeData, family: Family, *, prior_precision: Array | None, given_log_shape: float | None) -> Ascent:
    """Climb to the top.

    Parameters
    ----------
    data : LifeData
        Lives with a failure among them.
    family : Family
        Life family.
    prior_precision : ndarray, shape (n_coefficients,), optional
        Of a normal prior with mean 0 on each coefficient.
    given_log_shape : float, optional
        Holds the shape.

    Returns
    -------
    Ascent
        Two data-driven starts are climbed from on the smallest sample (all lives, where there are few), the
        better top is taken on to larger samples and at last to all lives. Samples are the same each time;
        they decide where the way begins, not where it ends.
    """
    samples = _samples(data)
    unit, reach = _unit(samples[0]), _reach(samples[0])
    size = len(reach)
    precision = np.zeros((size, size))
    if prior_precision is not None:
        np.fill_diagonal(precision[:-1, :-1], prior_precision / reach[:-1] ** 2)
    free = np.ones(size, dtype=bool)
    free[-1] = given_log_shape is None
    first = _objective(samples[0], family, unit, reach)
    held = precision if len(samples) == 1 else precision + _hold(samples[0], reach)
    tops = [
        climb(first, start * reach, precision=held, free=free) for start in _starts(samples[0], unit, given_log_shape)
    ]
    agreed = _same(tops[0], tops[1], free)
    top = max(tops, key=lambda found: found.at_top.value)
    for lives in samples[1:]:
        held = precision if lives is data else precision + _hold(lives, reach)
        likelihood = _objective(lives, family, unit, reach)
        # A sample says where to begin, not where to end: a third pass over it would tell more than it knows.
        most = _MOST_PASSES if lives is data else _PASSES_OF_A_SAMPLE
        top = climb(likelihood, top.values, precision=held, free=free, most_passes=most, leave_last_step=True)
    return Ascent(top, unit, reach, free, precision, agreed)


def _objective(lives: LifeData, family: Family, unit: float, reach: Array) -> Callable[[Array], Evaluation]:
    """Log-likelihood as a function of the coefficients times their reach."""
    likelihood = LifeLikelihood(lives, family, unit=unit)

    def objective(values: Array) -> Evaluation:
        found = likelihood(values / reach)
        return replace(found, gradient=found.gradient / reach, hessian=found.hessian / np.outer(reach, reach))

    return objective


def _reach(data: LifeData) -> Array:
    """Largest size of each covariate, 1 for one that is always 0 and for the log shape."""
    largest = np.append(np.abs(data.design).max(axis=0), 1.0)
    return np.where(largest > 0, largest, 1.0)


def _samples(data: LifeData) -> list[LifeData]:
    """Samples of growing size, all lives last; a sample without a failure is of no use."""
    out = [data]
    while (count := _next_size(out[0].lives, whole=out[0] is data)) >= _SMALLEST_SAMPLE:
        sample = data.subset(_spread_out(data.lives, count))
        if sample.failures <= 0:
            break
        out.insert(0, sample)
    return out


def _spread_out(lives: int, count: int) -> Array:
    """One life of each of `count` stretches of neighbours, at places that follow no rhythm of the lives.

    The multiples of the golden section less their whole parts are spread evenly and never recur (Knuth, The Art of
    Computer Programming 3, 2nd ed. 1998, sec. 6.4, theorem S).
    """
    each = np.arange(count)
    place = np.mod(each * _GOLDEN_SECTION, 1.0)
    return ((each + place) * (lives / count)).astype(np.intp)


def _next_size(lives: int, *, whole: bool) -> int:
    """Size of the next smaller sample."""
    sparse = lives // _ONE_IN
    return lives // _LAST_ONE_IN if not whole and sparse < _SMALLEST_SAMPLE else sparse


def _unit(data: LifeData) -> float:
    """Geometric mean of the ages at the end [distance]: in it all logarithms are of moderate size."""
    ends = np.add.reduceat(data.before_high, data.start)
    return float(np.exp(np.average(np.log(ends), weights=np.maximum(data.weight, 1e-12))))


def _hold(sample: LifeData, reach: Array) -> Array:
    """Slight prior that keeps a coefficient at hand whose level has no failure in the sample."""
    spread = np.var(sample.design, axis=0) / reach[:-1] ** 2
    return np.diag(np.append(spread, 0.0))


def _starts(data: LifeData, unit: float, given_log_shape: float | None) -> list[Array]:
    """Exposure per failure with a moderately wearing shape; and mean and spread of the log ages at failure."""
    seen = np.add.reduceat(data.before_high - data.before_entry, data.start)
    failed = (data.exact | data.interval) & (data.weight > 0)
    ends = np.log(np.add.reduceat(data.before_high, data.start)[failed] / unit)
    weight = data.weight[failed]
    exposure = float(np.maximum(seen, 1e-12 * unit) @ data.weight) / unit
    middle = float(np.average(ends, weights=weight))
    spread = math.sqrt(float(np.average((ends - middle) ** 2, weights=weight)))
    # The standard deviation of log life is about 1.3 over the shape.
    shape = math.log(min(max(1.3 / max(spread, 1e-3), 0.3), 20.0))
    starts = []
    for scale, log_shape in ((math.log(exposure / data.failures), math.log(1.5)), (middle, shape)):
        start = np.zeros(data.design.shape[1] + 1)
        start[0] = scale
        start[-1] = log_shape if given_log_shape is None else given_log_shape
        starts.append(start)
    return starts


def _same(one: Climb[Evaluation], other: Climb[Evaluation], free: Array) -> bool:
    """Whether two climbs ended on one top: as high, and nearer than a thousandth of a standard error."""
    away = (one.values - other.values)[free]
    information = -one.at_top.hessian[np.ix_(free, free)]
    level = abs(one.at_top.value - other.at_top.value) < _SAME_GAIN
    return bool(level and float(away @ information @ away) < _SAME_IN_ERRORS**2)
