"""Derivatives of many sets of weights and parameters over lives in which one covariate changes (NumPy alone).

The likelihood is that of `wearmodel.survival.likelihood`, written out for lives in which one covariate of 0 or 1
changes at most: with eta the x'b of all others, a the effect of that one, d0 and d1 the distance run with 0 and 1,

    log psi = -eta + log(d0 + d1 exp(-a)),    H = psi^shape,

so that all derivatives hang on three numbers a life.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.life_data import LifeData

__all__ = ["LARGEST_SPENT", "DrawnLives", "build_drawn_lives", "derivatives_of_sets"]

Array = NDArray[Any]
LARGEST_SPENT = 500.0
"""Cumulative hazards are reckoned up to here."""


@dataclass(frozen=True)
class _Age:
    """Distance run by one age of some lives (entry, low or high), with 0 and with 1."""

    plain: Array
    changed: Array

    def only(self, lives: "Array | slice") -> "_Age":
        return _Age(self.plain[lives], self.changed[lives])


@dataclass
class _Sums:
    """Derivatives of each draw and life in (eta, a, log shape): gradient and the upper half of the Hessian."""

    gradient: list[Array]
    hessian: dict[tuple[int, int], Array]

    def add(self, lives: Array, gradient: list[Array], hessian: dict[tuple[int, int], Array]) -> None:
        for total, part in zip(self.gradient, gradient, strict=True):
            total[:, lives] += part
        for key, part in hessian.items():
            self.hessian[key][:, lives] += part


@dataclass(frozen=True)
class DrawnLives:
    """Lives as the steps need them.

    Parameters
    ----------
    ages : dict of str to _Age
        Distances run at `entry`, `low` and `high`.
    design : ndarray, shape (n_lives, n_coefficients)
        Covariates where each life ends.
    entered, exact, interval : ndarray of bool, shape (n_lives,)
        As in `LifeData`.
    """

    ages: dict[str, _Age]
    design: Array
    entered: Array
    exact: Array
    interval: Array

    def part(self, at: "Array | slice") -> "DrawnLives":
        """Some of the lives."""
        ages = {name: age.only(at) for name, age in self.ages.items()}
        return DrawnLives(ages, self.design[at], self.entered[at], self.exact[at], self.interval[at])

    @property
    def changes(self) -> Array:
        """Whether the covariate changes before a life ends, shape (n_lives,)."""
        return np.any([(age.plain > 0) & (age.changed > 0) for age in self.ages.values()], axis=0)


def build_drawn_lives(data: LifeData) -> DrawnLives:
    """Lives as the steps need them.

    Parameters
    ----------
    data : LifeData
        Lives; the second covariate is 0 or 1 and may change within a life, the others may not.

    Returns
    -------
    DrawnLives
        In the same order.
    """
    raised = data.design[:, 1]
    ages = {
        name: _Age(*(np.add.reduceat(run * share, data.start) for share in (1.0 - raised, raised)))
        for name, run in (("entry", data.before_entry), ("low", data.before_low), ("high", data.before_high))
    }
    return DrawnLives(ages, data.design[data.last], data.entered, data.exact, data.interval)


def derivatives_of_sets(lives: DrawnLives, weights: Array, values: Array) -> tuple[Array, Array]:
    """Gradient and Hessian of each set over some lives.

    Parameters
    ----------
    lives : DrawnLives
        The lives.
    weights : ndarray, shape (n_sets, n_lives)
        Weight of each in each set.
    values : ndarray, shape (n_sets, n_parameters)
        Coefficients and log shape of each set.

    Returns
    -------
    tuple of ndarray
        Shapes (n_sets, n_parameters) and (n_sets, n_parameters, n_parameters).
    """
    rows = np.delete(lives.design, 1, axis=1)
    sums = _derivatives(lives, rows, values)
    products = np.einsum("ni,nj->nij", rows, rows).reshape(len(rows), -1)
    sets, others = len(weights), rows.shape[1]
    # Order of the parameters: the intercept, the one that changes, the other covariates, the log shape.
    place = np.concatenate([[0], np.arange(2, others + 1)])
    last = others + 1
    gradient = np.zeros((sets, others + 2))
    gradient[:, place] = (weights * sums.gradient[0]) @ rows
    gradient[:, 1] = (weights * sums.gradient[1]).sum(axis=1)
    gradient[:, last] = (weights * sums.gradient[2]).sum(axis=1)
    hessian = np.zeros((sets, others + 2, others + 2))
    hessian[:, place[:, None], place] = ((weights * sums.hessian[0, 0]) @ products).reshape(sets, others, others)
    for number, at in ((1, 1), (2, last)):
        beside = (weights * sums.hessian[0, number]) @ rows
        hessian[:, place, at] = beside
        hessian[:, at, place] = beside
        hessian[:, at, at] = (weights * sums.hessian[number, number]).sum(axis=1)
    hessian[:, 1, last] = hessian[:, last, 1] = (weights * sums.hessian[1, 2]).sum(axis=1)
    return gradient, hessian


def _derivatives(lives: DrawnLives, rows: Array, values: Array) -> _Sums:
    """Sums over the terms of each life."""
    ages, raised = lives.ages, lives.design[:, 1]
    eta = np.delete(values[:, :-1], 1, axis=1) @ rows.T
    effect, log_shape = values[:, 1:2], values[:, -1:]
    entered, exact, interval = (np.flatnonzero(one) for one in (lives.entered, lives.exact, lives.interval))
    low = _hazard(ages["low"], eta, effect, log_shape)
    sums = _Sums([-part for part in low[0]], {key: -part for key, part in low[1].items()})
    if len(entered):
        sums.add(entered, *_hazard(ages["entry"].only(entered), eta[:, entered], effect, log_shape))
    if len(exact):
        sums.add(exact, *_log_rate(ages["low"].only(exact), eta[:, exact], effect, log_shape, raised[exact]))
    if len(interval):
        high = _hazard(ages["high"].only(interval), eta[:, interval], effect, log_shape)
        first = [part[:, interval] for part in low[0]], {key: part[:, interval] for key, part in low[1].items()}
        sums.add(interval, *_between(first, high, ages, interval, eta, effect, log_shape))
    return sums


def _log_age(age: _Age, eta: Array, effect: Array) -> tuple[Array, Array]:
    """Log operational age, and the share of it that was run with 1."""
    changed = age.changed * np.exp(-effect)
    both = np.maximum(age.plain + changed, 1e-300)
    return np.log(both) - eta, changed / both


Parts = tuple[list[Array], dict[tuple[int, int], Array]]


def _chain(
    share: Array, by_age: Array, by_age_twice: Array, mixed: Array, by_shape: Array, by_shape_twice: Array
) -> Parts:
    """From derivatives in the log age and the log shape to those in (eta, a, log shape)."""
    gradient = [-by_age, -share * by_age, by_shape]
    hessian = {
        (0, 0): by_age_twice,
        (0, 1): share * by_age_twice,
        (0, 2): -mixed,
        (1, 1): share**2 * by_age_twice + share * (1.0 - share) * by_age,
        (1, 2): -share * mixed,
        (2, 2): by_shape_twice,
    }
    return gradient, hessian


def _hazard(age: _Age, eta: Array, effect: Array, log_shape: Array) -> Parts:
    """Derivatives of the cumulative hazard psi^shape."""
    log_age, share = _log_age(age, eta, effect)
    shape = np.exp(log_shape)
    power = shape * log_age
    hazard = np.exp(np.minimum(power, np.log(LARGEST_SPENT)))
    return _chain(
        share, shape * hazard, shape**2 * hazard, shape * hazard * (1.0 + power), power * hazard,
        power * hazard * (1.0 + power),
    )  # fmt: skip


def _log_rate(age: _Age, eta: Array, effect: Array, log_shape: Array, raised: Array) -> Parts:
    """Derivatives of log shape + (shape - 1) log psi - x'b."""
    log_age, share = _log_age(age, eta, effect)
    shape = np.exp(log_shape)
    nothing = np.zeros_like(log_age)
    gradient, hessian = _chain(
        share, shape - 1.0 + nothing, nothing, shape + nothing, 1.0 + shape * log_age, shape * log_age
    )
    gradient[0] = gradient[0] - 1.0
    gradient[1] = gradient[1] - raised
    return gradient, hessian


def _between(
    low: Parts, high: Parts, ages: dict[str, _Age], lives: Array, eta: Array, effect: Array, log_shape: Array
) -> Parts:
    """Derivatives of log(1 - exp(-(H(high) - H(low))))."""
    shape = np.exp(log_shape)
    spent = []
    for name in ("low", "high"):
        log_age, _ = _log_age(ages[name].only(lives), eta[:, lives], effect)
        spent.append(np.exp(np.minimum(shape * log_age, np.log(LARGEST_SPENT))))
    rise = np.maximum(spent[1] - spent[0], 1e-12)
    pull = 1.0 / np.expm1(np.minimum(rise, LARGEST_SPENT))
    first = [upper - lower for upper, lower in zip(high[0], low[0], strict=True)]
    gradient = [pull * part for part in first]
    hessian = {
        (i, j): pull * (high[1][i, j] - low[1][i, j]) - pull * (1.0 + pull) * first[i] * first[j]
        for i, j in high[1]
    }
    return gradient, hessian
