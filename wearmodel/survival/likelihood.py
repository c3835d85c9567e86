"""Log-likelihood of lives with its exact gradient, Hessian and scores.

Each distance driven counts by exp(-x'b), so the operational age of a part is
psi = sum over its segments of distance * exp(-x'b), and z = shape * log(psi). A life gives

    + H(z at entry)                                          if it entered late
    - H(z)                                                   censored
    log h(z) - H(z) + log shape - log psi - x'b              failed, seen to the distance
    - H(z low) + log(1 - exp(-(H(z high) - H(z low))))       failed between two looks

(Lawless, Statistical Models and Methods for Lifetime Data, 2nd ed. 2003, sec. 2.4 and 6.3; for the
stretched clock Cox & Oakes, Analysis of Survival Data, 1984, sec. 5.2).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import Family
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.newton import Derivatives

__all__ = ["Evaluation", "evaluate"]

Array = NDArray[Any]
# exp overflows beyond this; a cumulative hazard of e^300 is far outside any life.
_LARGEST_Z = 300.0
_SMALLEST_GAP = 1e-140


@dataclass(frozen=True)
class Evaluation(Derivatives):
    """Log-likelihood and derivatives at one parameter vector: coefficients of the log scale, then the log shape.

    Parameters
    ----------
    scores : ndarray, shape (n_lives, n_parameters)
        Gradient of each life, weighted.
    """

    scores: Array


@dataclass(frozen=True)
class _Clock:
    """Operational age at one bound of each life: log psi, its slope, and per-segment shares."""

    log_psi: Array
    slope: Array
    share: Array
    active: Array


@dataclass(frozen=True)
class _Term:
    """What one bound contributes: first and second derivative of the log-likelihood in z."""

    clock: _Clock
    z: Array
    first: Array
    second: Array


def _sum_by_life(data: LifeData, values: Array) -> Array:
    if len(data.life) == data.lives:
        return values
    return np.add.reduceat(values, data.start, axis=0)


def _clock(data: LifeData, pace: Array, distance: Array, active: Array) -> _Clock:
    """Operational age at a bound; lives outside `active` get a neutral value."""
    run = pace * distance
    psi = _sum_by_life(data, run)
    safe = np.where(active & (psi > 0), psi, 1.0)
    share = run / safe[data.life]
    share[~active[data.life]] = 0.0
    slope = -_sum_by_life(data, share[:, None] * data.design)
    return _Clock(np.log(safe), slope, share, active)


def _censored_or_entry(family: Family, clock: _Clock, shape: float, sign: float) -> tuple[_Term, Array]:
    """Terms +-H(z) of an entry (+) or a censoring (-)."""
    z = np.minimum(shape * clock.log_psi, _LARGEST_Z)
    hazard, curve = family.slopes(z)[:2]
    on = np.where(clock.active, sign, 0.0)
    return _Term(clock, z, on * hazard, on * curve), on * family.cumulative(z)


def _interval_terms(
    family: Family, low: _Clock, high: _Clock, shape: float, weight: Array
) -> tuple[_Term, _Term, Array, Array]:
    """Terms of failures between two looks: low, high, cross derivative, log-likelihood."""
    z_low = np.minimum(shape * low.log_psi, _LARGEST_Z)
    z_high = np.minimum(shape * high.log_psi, _LARGEST_Z)
    h_low = np.where(low.active, family.cumulative(z_low), 0.0)
    slope_low, curve_low = (np.where(low.active, a, 0.0) for a in family.slopes(z_low)[:2])
    slope_high, curve_high = family.slopes(z_high)[:2]
    on = high.active
    gap = np.where(on, family.cumulative(z_high) - h_low, 1.0)
    odds = np.where(on, 1.0 / np.expm1(np.clip(gap, _SMALLEST_GAP, 600.0)), 0.0)
    bend = odds * (1.0 + odds)
    lower = _Term(
        low, z_low, np.where(on, -(1.0 + odds) * slope_low, 0.0),
        np.where(on, -(1.0 + odds) * curve_low - bend * slope_low**2, 0.0),
    )
    upper = _Term(high, z_high, odds * slope_high, odds * curve_high - bend * slope_high**2)
    cross = np.where(on, bend * slope_low * slope_high, 0.0)
    value = np.where(on, -h_low + np.log(-np.expm1(-np.maximum(gap, _SMALLEST_GAP))), 0.0)
    return lower, upper, cross * weight, value


def _exact_term(family: Family, clock: _Clock, shape: float) -> tuple[_Term, Array]:
    """Density terms of failures seen to the distance, without log shape - log psi - x'b."""
    z = np.minimum(shape * clock.log_psi, _LARGEST_Z)
    hazard, curve, log_hazard, log_slope, log_curve = family.slopes(z)
    on = clock.active
    return (
        _Term(clock, z, np.where(on, log_slope - hazard, 0.0), np.where(on, log_curve - curve, 0.0)),
        np.where(on, log_hazard - family.cumulative(z), 0.0),
    )


class _Sums:
    """Gathers gradient, Hessian and scores of the terms."""

    def __init__(self, data: LifeData, shape: float) -> None:
        size = data.design.shape[1] + 1
        self.data, self.shape = data, shape
        self.hessian = np.zeros((size, size))
        self.scores = np.zeros((data.lives, size))

    def add(self, term: _Term) -> None:
        """One bound: z depends on the coefficients through log psi and on the log shape."""
        k, u = self.shape, term.clock.slope
        weight = self.data.weight
        first, second, z = term.first * weight, term.second * weight, term.z
        self.scores[:, :-1] += (first * k)[:, None] * u
        self.scores[:, -1] += first * z
        self.hessian[:-1, :-1] += u.T @ ((second * k * k)[:, None] * u)
        self.add_curvature(term.clock, first * k)
        self.hessian[:-1, -1] += u.T @ (second * k * z + first * k)
        self.hessian[-1, -1] += float(second @ z**2 + first @ z)

    def add_curvature(self, clock: _Clock, factor: Array) -> None:
        """Second derivative of log psi in the coefficients, times a factor per life."""
        x = self.data.design
        u = clock.slope
        self.hessian[:-1, :-1] += x.T @ ((factor[self.data.life] * clock.share)[:, None] * x)
        self.hessian[:-1, :-1] -= u.T @ (factor[:, None] * u)

    def add_cross(self, low: _Term, high: _Term, cross: Array) -> None:
        """Mixed second derivative of an interval's two bounds."""
        k = self.shape
        block = low.clock.slope.T @ ((cross * k * k)[:, None] * high.clock.slope)
        self.hessian[:-1, :-1] += block + block.T
        self.hessian[:-1, -1] += k * (low.clock.slope.T @ (cross * high.z) + high.clock.slope.T @ (cross * low.z))
        self.hessian[-1, -1] += 2.0 * float(cross @ (low.z * high.z))

    def add_density(self, clock: _Clock) -> None:
        """The part log shape - log psi - x'b of the density."""
        on = np.where(self.data.exact, self.data.weight, 0.0)
        self.scores[:, :-1] -= on[:, None] * (clock.slope + self.data.design[self.data.last])
        self.scores[:, -1] += on
        self.add_curvature(clock, -on)


def evaluate(data: LifeData, parameters: Array, family: Family) -> Evaluation:
    """Log-likelihood, gradient, Hessian and scores.

    Parameters
    ----------
    data : LifeData
        Lives.
    parameters : ndarray, shape (n_coefficients + 1,)
        Coefficients of the log scale [log distance], then the log shape.
    family : Family
        Life family.

    Returns
    -------
    Evaluation
        All at once: the terms share the costly exponentials. Far from any sensible parameters some
        derivatives overflow to infinity; the caller steps back from there.
    """
    with np.errstate(over="ignore", invalid="ignore"):
        return _evaluate(data, parameters, family)


def _evaluate(data: LifeData, parameters: Array, family: Family) -> Evaluation:
    """Sum the terms of all bounds."""
    beta, shape = parameters[:-1], float(np.exp(parameters[-1]))
    predictor = data.design @ beta
    pace = np.exp(-predictor)
    sums = _Sums(data, shape)

    entry_term, entry_value = _censored_or_entry(
        family, _clock(data, pace, data.before_entry, data.entered), shape, 1.0
    )
    censored = ~(data.exact | data.interval)
    stop_term, stop_value = _censored_or_entry(
        family, _clock(data, pace, data.before_low, censored), shape, -1.0
    )
    exact_clock = _clock(data, pace, data.before_low, data.exact)
    exact_term, exact_value = _exact_term(family, exact_clock, shape)
    for term in (entry_term, stop_term, exact_term):
        sums.add(term)
    sums.add_density(exact_clock)
    total = entry_value + stop_value + exact_value
    total = total + np.where(
        data.exact, parameters[-1] - exact_clock.log_psi - predictor[data.last], 0.0
    )
    if data.interval.any():
        begun = data.interval & (_sum_by_life(data, data.before_low) > 0)
        low, high, cross, value = _interval_terms(
            family,
            _clock(data, pace, data.before_low, begun),
            _clock(data, pace, data.before_high, data.interval),
            shape,
            data.weight,
        )
        sums.add(low)
        sums.add(high)
        sums.add_cross(low, high, cross)
        total = total + value
    sums.hessian[-1, :-1] = sums.hessian[:-1, -1]
    return Evaluation(
        value=float(total @ data.weight),
        gradient=sums.scores.sum(axis=0),
        hessian=sums.hessian,
        scores=sums.scores,
    )
